//! Warm air between outlet and intake, the air that takes up heat, and the wind.

use crate::evidence::{FOOT, Table, number, reproduce};
use roofrun::physics::atmosphere::{SEA_LEVEL, air_density, air_rise, pressure};
use roofrun::physics::separation::dilution;
use roofrun::physics::wind_load::velocity_pressure;
use roofrun::units::{Temperature, metres};

const MILE_PER_HOUR: f64 = 5_280.0 * FOOT / 3_600.0;
const POUND_PER_SQUARE_FOOT: f64 = 47.880_26;

pub const TABLES: &[Table] = &[
    // The distance that thins 1 L/s without velocity so much; dilution goes with its square.
    Table("separation for 1 L/s", "m", |at| (number(at[0]) / dilution(1e-3, 1.0, 0.0)).sqrt()),
    // The velocity that counts as much as a root of the dilution factor of 1.
    Table("velocity that makes up for a root of dilution", "m/s", |at| {
        let velocity = number(at[0]);
        velocity / dilution(1.0, 0.0, velocity).sqrt()
    }),
    Table("velocity pressure of wind", "lb/ft2", |at| {
        velocity_pressure(number(at[0]) * MILE_PER_HOUR) / POUND_PER_SQUARE_FOOT
    }),
    Table("velocity pressure of wind in m/s", "Pa", |at| velocity_pressure(number(at[0]))),
    Table("velocity pressure of wind in m/s, kPa", "kPa", |at| velocity_pressure(number(at[0])) / 1e3),
    // Heat that 1 ft3/min of 70 F air takes up for 1 F, at an altitude.
    Table("sensible heat factor of air", "Btu/(h ft3/min F)", |at| {
        let density = air_density(
            pressure(metres(number(at[0]) * FOOT)).unwrap(),
            Temperature::from_kelvin((70.0 + 459.67) / 1.8),
        );
        let flow = FOOT.powi(3) / 60.0 * density.value;
        // W that warm it by 1 K, in Btu/h for 1 F.
        1.0 / air_rise(1.0, flow) / 1.8 / (1_055.055_852_62 / 3_600.0)
    }),
    Table("sensible heat factor of air in SI", "kW/(m3/s K)", |_| {
        let density = air_density(SEA_LEVEL, Temperature::from_kelvin((70.0 + 459.67) / 1.8));
        1.0 / air_rise(1.0, density.value) / 1e3
    }),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}
