//! What tube weighs.

use crate::evidence::{FOOT, INCH, Table, reproduce};
use roofrun::refdata::{Material, tube};
use roofrun::units::metres;

/// Pound, kg.
const POUND: f64 = 0.453_592_37;

pub const TABLES: &[Table] = &[
    Table("mass per length", "lb/ft", |at| tube(at[0]).unwrap().mass(metres(FOOT)).value / POUND),
    Table("density", "lb/in3", |at| {
        let material = if at[0] == "copper" { Material::Copper } else { Material::Steel };
        material.density().value * INCH.powi(3) / POUND
    }),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}
