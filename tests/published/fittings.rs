//! Fittings and valves as lengths of tube.

use crate::evidence::{FOOT, Table, reproduce};
use roofrun::refdata::{Typical, fitting, part, tube};

pub const TABLES: &[Table] = &[
    Table("equivalent length", "ft", |at| feet(at[0], at[1])),
    Table("length over bore", "-", |at| feet(at[0], at[1]) * FOOT / tube(at[1]).unwrap().bore().value),
    Table("equivalent length of a part", "ft", |at| match part(at[0]).unwrap().typical {
        Typical::Bores(bores) => bores * tube(at[1]).unwrap().bore().value / FOOT,
        Typical::Loss(_) => f64::NAN,
    }),
];

fn feet(name: &str, size: &str) -> f64 {
    fitting(name).unwrap().equivalent_length(tube(size).unwrap()).value / FOOT
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
