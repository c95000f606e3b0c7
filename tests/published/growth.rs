//! Growth, offset legs and supports.

use crate::evidence::{FOOT, INCH, PSI, Table, number, reproduce};
use roofrun::physics::thermal_expansion::{COPPER, COPPER_BENDING, COPPER_MODULUS, growth, offset_leg};
use roofrun::refdata::{Code, support_spacing, tube};
use roofrun::units::{kelvins, metres, pascals};

pub const TABLES: &[Table] = &[
    Table("growth", "in", |at| growth(COPPER, metres(number(at[0]) * FOOT), kelvins(number(at[1]) / 1.8)).value / INCH),
    Table("growth in mm", "mm", |at| growth(COPPER, metres(number(at[0])), kelvins(number(at[1]))).value * 1000.0),
    Table("expansion of copper", "1e-6/K", |_| COPPER * 1e6),
    Table("offset leg", "ft", |at| {
        let (modulus, stress) = (pascals(17e6 * PSI), pascals(6000.0 * PSI));
        offset_leg(modulus, stress, metres(number(at[0]) * INCH), metres(number(at[1]) * INCH)).value / FOOT
    }),
    Table("developed length", "in", |at| {
        let (modulus, stress) = (pascals(COPPER_MODULUS), pascals(COPPER_BENDING));
        offset_leg(modulus, stress, tube(at[0]).unwrap().outside, metres(number(at[1]) * INCH)).value / INCH
    }),
    Table("support spacing", "ft", |at| {
        let spacing = support_spacing(Code::Us, tube(at[0]).unwrap()).unwrap();
        match at[1] {
            "level" => spacing.level.value / FOOT,
            "upright" => spacing.upright.value / FOOT,
            _ => f64::NAN,
        }
    }),
    Table("support spacing in metres", "m", |at| {
        let spacing = support_spacing(Code::Eu, tube(at[0]).unwrap()).unwrap();
        match at[1] {
            "level" => spacing.level.value,
            "upright" => spacing.upright.value,
            _ => f64::NAN,
        }
    }),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}
