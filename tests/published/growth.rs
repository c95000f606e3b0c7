//! Growth, offset legs and supports.

use crate::evidence::{FOOT, INCH, PSI, Table, number, reproduce, shape};
use roofrun::physics::thermal_expansion::{COPPER, COPPER_BENDING, COPPER_MODULUS, growth, offset_leg};
use roofrun::refdata::{support_spacing, tube};
use roofrun::units::{kelvins, metres, pascals};

pub const TABLES: &[Table] = &[
    Table("growth", "in", |at| growth(COPPER, metres(number(at[0]) * FOOT), kelvins(number(at[1]) / 1.8)).value / INCH),
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
        let spacing = support_spacing(tube(at[0]).unwrap()).unwrap();
        match at[1] {
            "level" => spacing.level.value / FOOT,
            "upright" => spacing.upright.value / FOOT,
            _ => f64::NAN,
        }
    }),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}

/// The level of the table of developed lengths is not that of the formula; how it goes with size and growth is.
#[test]
fn developed_lengths_have_the_shape_of_the_formula() {
    let table = TABLES.iter().find(|table| table.0 == "developed length").unwrap();
    let ratios = shape(table, &[]);
    assert_eq!(ratios.len(), 20);
    for ratio in ratios {
        assert!((ratio - 1.0).abs() < 0.01, "{ratio}");
    }
}
