//! Concentration and flammability limits: the two units of the standard, and what one follows from.

use crate::evidence::{FOOT, Table, number, reproduce};
use roofrun::refdata::{RefrigerantFacts, facts};

/// Pound, kg.
const POUND: f64 = 0.453_592_37;

pub const TABLES: &[Table] = &[
    Table("concentration limit", "lb/1000 ft3", |at| fact(at).rcl_kg_m3.unwrap() / (POUND / (1000.0 * FOOT.powi(3)))),
    Table("concentration limit from parts per million", "g/m3", |at| {
        let facts = fact(at);
        facts.rcl_ppm.unwrap() * 1e-6 * facts.molar_mass * molar_density(25.0)
    }),
    Table("quarter of the flammability limit", "g/m3", |at| fact(at).lfl_kg_m3.unwrap() * 1000.0 / 4.0),
    Table("flammability limit by volume", "%", |at| {
        let facts = fact(at);
        100.0 * facts.lfl_kg_m3.unwrap() * 1000.0 / facts.molar_mass / molar_density(number(at[1]))
    }),
];

fn fact(at: &[&str]) -> &'static RefrigerantFacts {
    facts(at[0]).unwrap()
}

/// Of an ideal gas at 101.325 kPa, mol/m3.
fn molar_density(celsius: f64) -> f64 {
    101_325.0 / (8.314_462_618 * (celsius + 273.15))
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
