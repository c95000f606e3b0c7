//! The air: pressure at an altitude, density.

use crate::units::{Length, MassDensity, Pressure, Temperature, kilograms_per_cubic_metre, metres};

/// Pressure of the standard atmosphere at sea level.
///
/// Source: `iso-2533`.
pub const SEA_LEVEL: Pressure = Pressure::from_pascals(101_325.0);
/// Temperature of the standard atmosphere at sea level, K.
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with height in the lowest layer of the standard atmosphere, K/m.
///
/// Source: `iso-2533`.
pub const LAPSE: f64 = 0.0065;
/// Specific gas constant of dry air, J/(kg K).
const GAS_CONSTANT: f64 = 287.052_87;
/// Lowest altitude taken, m.
const LOWEST: f64 = -500.0;
/// Top of the layer in which the formula holds, m.
const HIGHEST: f64 = 11_000.0;

/// An altitude outside the lowest layer of the standard atmosphere.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("an altitude of {altitude_m} m is outside {lowest_m} to {highest_m} m")]
pub struct AltitudeOutOfRange {
    /// The altitude, m.
    pub altitude_m: f64,
    /// The lowest, m.
    pub lowest_m: f64,
    /// The highest, m.
    pub highest_m: f64,
}

/// Pressure of the standard atmosphere:
///
/// p = 101 325 Pa x (1 - 0.0065 h / 288.15)^(g / (R 0.0065)), the exponent 5.25588
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | h | altitude over the sea | m | -500 to 11 000 |
/// | g | 9.806 65 | m/s2 | |
/// | R | 287.052 87, dry air | J/(kg K) | |
///
/// The altitude counts as geopotential, which makes 0.02 % of the pressure at 3000 m.
///
/// # Errors
/// [`AltitudeOutOfRange`] outside the range.
///
/// Source: `iso-2533`.
///
/// ```
/// use roofrun::{physics::atmosphere::pressure, units::metres};
/// assert_eq!(format!("{:.0}", pressure(metres(1000.0)).unwrap().pascals()), "89875");
/// assert!(pressure(metres(12_000.0)).is_err());
/// ```
pub fn pressure(altitude: Length) -> Result<Pressure, AltitudeOutOfRange> {
    let h = altitude.value;
    if !(LOWEST..=HIGHEST).contains(&h) {
        return Err(AltitudeOutOfRange { altitude_m: h, lowest_m: LOWEST, highest_m: HIGHEST });
    }
    let exponent = super::static_head::GRAVITY / (GAS_CONSTANT * LAPSE);
    Ok(Pressure::from_pascals(SEA_LEVEL.pascals() * (1.0 - LAPSE * h / SEA_LEVEL_K).powf(exponent)))
}

/// A pressure that the lowest layer of the standard atmosphere doesn't have.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "a pressure of {pressure_Pa} Pa is outside {lowest_Pa:.0} to {highest_Pa:.0} Pa, which the lowest layer of the standard atmosphere has"
)]
pub struct PressureOutOfRange {
    /// The pressure, Pa.
    pub pressure_Pa: f64,
    /// At the top of the layer, Pa.
    pub lowest_Pa: f64,
    /// At its bottom, Pa.
    pub highest_Pa: f64,
}

/// Altitude at which the standard atmosphere has a pressure, the inverse of [`pressure`]:
///
/// h = 288.15 / 0.0065 x (1 - (p / 101 325 Pa)^(R 0.0065 / g))
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | p | pressure | Pa | 22 632 to 107 478 |
///
/// # Errors
/// [`PressureOutOfRange`] outside the range.
///
/// Source: `iso-2533`.
///
/// ```
/// use roofrun::{physics::atmosphere::altitude, units::Pressure};
/// assert_eq!(format!("{:.0}", altitude(Pressure::from_pascals(89_875.0)).unwrap().value), "1000");
/// assert!(altitude(Pressure::from_pascals(20_000.0)).is_err());
/// ```
pub fn altitude(pressure: Pressure) -> Result<Length, PressureOutOfRange> {
    let exponent = GAS_CONSTANT * LAPSE / super::static_head::GRAVITY;
    let at = |h: f64| SEA_LEVEL.pascals() * (1.0 - LAPSE * h / SEA_LEVEL_K).powf(1.0 / exponent);
    let (lowest_Pa, highest_Pa) = (at(HIGHEST), at(LOWEST));
    let pressure_Pa = pressure.pascals();
    if !(lowest_Pa..=highest_Pa).contains(&pressure_Pa) {
        return Err(PressureOutOfRange { pressure_Pa, lowest_Pa, highest_Pa });
    }
    Ok(metres(SEA_LEVEL_K / LAPSE * (1.0 - (pressure_Pa / SEA_LEVEL.pascals()).powf(exponent))))
}

/// Density of dry air, rho = p / (R T).
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | p | pressure | Pa |
/// | R | 287.052 87 | J/(kg K) |
/// | T | actual air temperature | K |
///
/// Source: `iso-2533`.
///
/// ```
/// use roofrun::{physics::atmosphere::{SEA_LEVEL, air_density}, units::Temperature};
/// assert_eq!(format!("{:.4}", air_density(SEA_LEVEL, Temperature::from_kelvin(288.15)).value), "1.2250");
/// ```
#[must_use]
pub fn air_density(pressure: Pressure, temperature: Temperature) -> MassDensity {
    kilograms_per_cubic_metre(pressure.pascals() / (GAS_CONSTANT * temperature.kelvin()))
}

/// Specific heat of dry air, J/(kg K).
///
/// Source: `common-practice`.
pub const AIR_CP: f64 = 1_006.0;

/// How much warmer air leaves that takes up heat, K: dT = Q / (m cp), with Q the heat in W and m the flow in kg/s.
#[must_use]
pub fn air_rise(heat: f64, mass_flow: f64) -> f64 {
    heat / (mass_flow * AIR_CP)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_and_just_outside() {
        assert_eq!(pressure(metres(0.0)), Ok(SEA_LEVEL));
        for inside in [-500.0, 11_000.0] {
            assert!(pressure(metres(inside)).is_ok());
        }
        for outside in [-500.01, 11_000.01, f64::NAN, f64::INFINITY] {
            assert!(pressure(metres(outside)).is_err());
        }
        let refused = pressure(metres(11_500.0)).unwrap_err();
        assert_eq!(refused.to_string(), "an altitude of 11500 m is outside -500 to 11000 m");
    }

    #[test]
    fn the_altitude_of_a_pressure_is_that_of_which_it_is_the_pressure() {
        for h in [-499.9, 0.0, 250.0, 3000.0, 10_999.9] {
            let back = altitude(pressure(metres(h)).unwrap()).unwrap().value;
            assert!((back - h).abs() < 1e-6, "{h}: {back}");
        }
        for outside in [22_630.0, 107_480.0, 0.0, -1.0, f64::NAN] {
            assert!(altitude(Pressure::from_pascals(outside)).is_err(), "{outside}");
        }
    }

    /// Printed in ISO 2533:1975, Table 5, by geopotential altitude: kg/m3 to four digits.
    #[test]
    fn printed_densities() {
        for (altitude, printed) in [(0.0, 1.2250), (1000.0, 1.1116), (5000.0, 0.7361), (10_000.0, 0.4127)] {
            let temperature = Temperature::from_kelvin(288.15 - 0.0065 * altitude);
            let found = air_density(pressure(metres(altitude)).unwrap(), temperature).value;
            assert!((found - printed).abs() <= 0.5e-4, "{altitude} m: {found}");
        }
    }

    /// By hand: 5030 W into 2.5 kg/s of 1006 J/(kg K).
    #[test]
    fn air_is_warmed_by_its_heat() {
        assert!((air_rise(5_030.0, 2.5) - 2.0).abs() < 1e-12);
    }
}
