//! Pressure and density of the air at an altitude, and what it does to a coil.

use crate::evidence::{FOOT, Table, number, reproduce};
use roofrun::physics::atmosphere::{SEA_LEVEL, air_density, altitude as altitude_of, pressure};
use roofrun::units::{Pressure, Temperature, metres};

pub const TABLES: &[Table] = &[
    Table("pressure at altitude", "hPa", |at| at_metres(altitude(at[0])).pascals() / 100.0),
    Table("altitude of a pressure", "m", |at| {
        altitude_of(Pressure::from_pascals(number(at[0]) * 100.0)).unwrap().value
    }),
    Table("density at altitude", "kg/m3", |at| density(altitude(at[0]), standard(altitude(at[0])))),
    Table("density ratio at altitude", "-", |at| {
        density(altitude(at[0]), standard(altitude(at[0]))) / density(0.0, standard(0.0))
    }),
    Table("pressure ratio at altitude", "-", |at| at_metres(altitude(at[0])).pascals() / SEA_LEVEL.pascals()),
    Table("density of 70 F air at altitude", "lb/ft3", |at| {
        density(altitude(at[0]), (70.0 + 459.67) / 1.8) / (0.453_592_37 / FOOT.powi(3))
    }),
];

fn altitude(argument: &str) -> f64 {
    number(argument) * if argument.ends_with(" ft") { FOOT } else { 1.0 }
}

fn at_metres(altitude: f64) -> Pressure {
    pressure(metres(altitude)).unwrap()
}

/// Temperature of the standard atmosphere, K.
fn standard(altitude: f64) -> f64 {
    288.15 - 0.0065 * altitude
}

fn density(altitude: f64, temperature: f64) -> f64 {
    air_density(at_metres(altitude), Temperature::from_kelvin(temperature)).value
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
