//! What tube weighs and what it holds.

use crate::evidence::{FOOT, INCH, Table, number, reproduce};
use roofrun::refdata::{Material, Tube, tube};
use roofrun::units::{Length, metres};
use std::f64::consts::FRAC_PI_4;

/// Pound, kg.
const POUND: f64 = 0.453_592_37;

pub const TABLES: &[Table] = &[
    Table("mass per length", "lb/ft", |at| tube(at[0]).unwrap().mass(metres(FOOT)).value / POUND),
    Table("content per length", "ft3/ft", |at| area(tube(at[0]).unwrap().bore()) / FOOT.powi(2)),
    Table("content of metric tube", "L/m", |at| {
        let wall = metres(number(at[1]) / 1000.0);
        area(Tube { outside: metres(number(at[0]) / 1000.0), wall, ..tube("7/8 L").unwrap().clone() }.bore()) * 1000.0
    }),
    Table("density", "lb/in3", |at| {
        let material = if at[0] == "copper" { Material::Copper } else { Material::Steel };
        material.density().value * INCH.powi(3) / POUND
    }),
];

/// Cross-section, m2.
fn area(bore: Length) -> f64 {
    FRAC_PI_4 * bore.value.powi(2)
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
