//! Limits of the rules.

use crate::evidence::{FOOT, Table, reproduce};
use roofrun::refdata::limit;

pub const TABLES: &[Table] = &[
    Table("velocity limit", "ft/min", |at| value(at) / FOOT * 60.0),
    Table("velocity limit in SI", "m/s", value),
    Table("design temperature", "°F", |at| value(at) * 1.8 - 459.67),
    Table("design temperature in SI", "°C", |at| value(at) - 273.15),
    Table("design margin", "K", value),
    Table("siting distance", "ft", |at| value(at) / FOOT),
    Table("siting distance in inches", "in", |at| value(at) / FOOT * 12.0),
    Table("siting distance in SI", "mm", |at| value(at) * 1e3),
];

fn value(at: &[&str]) -> f64 {
    limit(at[0]).unwrap().value
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
