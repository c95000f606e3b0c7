//! What the air itself takes from sound.

use super::OutOfBounds;
use crate::units::{Pressure, Temperature};

/// Temperature of reference, K.
const REFERENCE_K: f64 = 293.15;
/// Triple point of water, K.
const TRIPLE_K: f64 = 273.16;
/// Pressure of reference, Pa.
const REFERENCE_PA: f64 = 101_325.0;

/// Temperature of the outdoor air that sound is taken to go through, K: 10 °C, with which the standard's table of absorption
/// begins.
///
/// Source: `iso-9613-2`.
pub const AIR_K: f64 = 283.15;
/// Relative humidity of that air.
///
/// Source: `iso-9613-2`.
pub const AIR_HUMIDITY: f64 = 0.7;

/// The air that sound goes through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Its temperature.
    pub temperature: Temperature,
    /// Its relative humidity, 0 to 1.
    pub humidity: f64,
    /// Its pressure.
    pub pressure: Pressure,
}

/// Absorption of a pure tone by the air, dB/m:
///
/// alpha = 8.686 f^2 { 1.84e-11 (p_r / p) (T / T_0)^(1/2) + (T / T_0)^(-5/2) [ 0.01275 exp(-2239.1 / T) / (f_O + f^2 / f_O)
/// + 0.1068 exp(-3352.0 / T) / (f_N + f^2 / f_N) ] }
///
/// f_O = (p / p_r) { 24 + 4.04e4 h (0.02 + h) / (0.391 + h) }
///
/// f_N = (p / p_r) (T / T_0)^(-1/2) { 9 + 280 h exp[-4.170 ((T / T_0)^(-1/3) - 1)] }
///
/// h = 100 phi p_sat / p, with p_sat / p_r = 10^C and C = -6.8346 (T_01 / T)^1.261 + 4.6151
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | f | frequency; the exact mid-band frequency for a band | Hz | f / p from 0.0004 to 10 Hz/Pa |
/// | T | temperature | K | 253.15 to 323.15 |
/// | p | pressure | Pa | above 0 to 200 000 |
/// | phi | relative humidity | - | 0 to 1 |
/// | h | molar concentration of water vapour | % | |
/// | f_O, f_N | relaxation frequencies of oxygen and nitrogen | Hz | |
/// | T_0, T_01, p_r | 293.15 K, 273.16 K, 101 325 Pa | | |
///
/// Accuracy by the standard: 10 % for h from 0.05 to 5 %, 20 % outside. The formulas are those that two open libraries of
/// acoustics code too, python-acoustics and pyfar; they differ in h away from sea level, where vapour pressure over air pressure
/// is taken here, as in the first and as the words of the standard have it.
///
/// # Errors
/// [`OutOfBounds`] outside the range.
///
/// Source: `iso-9613-1`.
///
/// ```
/// use roofrun::physics::{air_absorption::{Air, absorption}, atmosphere::SEA_LEVEL};
/// use roofrun::units::Temperature;
/// let air = Air { temperature: Temperature::from_kelvin(283.15), humidity: 0.7, pressure: SEA_LEVEL };
/// assert_eq!(format!("{:.1}", 1000.0 * absorption(1000.0, &air).unwrap()), "3.7"); // dB/km, ISO 9613-2, Table 2
/// ```
pub fn absorption(hz: f64, air: &Air) -> Result<f64, OutOfBounds> {
    let (kelvin, pa) = (air.temperature.kelvin(), air.pressure.pascals());
    bounded("the temperature of the air", kelvin, (253.15, 323.15), "K")?;
    bounded("the pressure of the air", pa, (f64::MIN_POSITIVE, 200_000.0), "Pa")?;
    bounded("the relative humidity of the air", air.humidity, (0.0, 1.0), "")?;
    bounded("frequency over pressure", hz / pa, (4e-4, 10.0), "Hz/Pa")?;
    let warm = kelvin / REFERENCE_K;
    let dense = pa / REFERENCE_PA;
    let saturation = 10f64.powf(-6.8346 * (TRIPLE_K / kelvin).powf(1.261) + 4.6151);
    let h = 100.0 * air.humidity * saturation / dense;
    let oxygen = dense * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h));
    let nitrogen = dense * warm.powf(-0.5) * (9.0 + 280.0 * h * (-4.170 * (warm.powf(-1.0 / 3.0) - 1.0)).exp());
    let relaxation = |at: f64| 1.0 / (at + hz * hz / at);
    let classical = 1.84e-11 / dense * warm.sqrt();
    let vibration = 0.012_75 * (-2239.1 / kelvin).exp() * relaxation(oxygen)
        + 0.1068 * (-3352.0 / kelvin).exp() * relaxation(nitrogen);
    Ok(8.686 * hz * hz * (classical + warm.powf(-2.5) * vibration))
}

fn bounded(
    what: &'static str,
    value: f64,
    (minimum, maximum): (f64, f64),
    unit: &'static str,
) -> Result<(), OutOfBounds> {
    if (minimum..=maximum).contains(&value) {
        return Ok(());
    }
    let below = value < minimum;
    Err(OutOfBounds { what, value, bound: if below { minimum } else { maximum }, unit, below })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::atmosphere::SEA_LEVEL;
    use proptest::prelude::*;

    fn at(kelvin: f64, humidity: f64, pa: f64, hz: f64) -> Result<f64, OutOfBounds> {
        let air = Air { temperature: Temperature::from_kelvin(kelvin), humidity, pressure: Pressure::from_pascals(pa) };
        absorption(hz, &air)
    }

    #[test]
    fn both_ends_and_just_outside() {
        let sea = SEA_LEVEL.pascals();
        for (kelvin, humidity, pa, hz) in [
            (253.15, 0.0, sea, 1000.0),
            (323.15, 1.0, 200_000.0, 1000.0),
            (283.15, 0.5, 100_000.0, 40.0),
            (283.15, 0.5, 100_000.0, 1e6),
        ] {
            assert!(at(kelvin, humidity, pa, hz).unwrap() > 0.0);
        }
        for (kelvin, humidity, pa, hz) in [
            (253.14, 0.5, sea, 1000.0),
            (323.16, 0.5, sea, 1000.0),
            (283.15, -0.01, sea, 1000.0),
            (283.15, 1.01, sea, 1000.0),
            (283.15, 0.5, 0.0, 1000.0),
            (283.15, 0.5, 200_001.0, 1000.0),
            (283.15, 0.5, 100_000.0, 39.0),
            (283.15, 0.5, 100_000.0, 1.01e6),
            (f64::NAN, 0.5, sea, 1000.0),
            (283.15, f64::NAN, sea, 1000.0),
            (283.15, 0.5, f64::NAN, 1000.0),
            (283.15, 0.5, sea, f64::NAN),
        ] {
            assert!(at(kelvin, humidity, pa, hz).is_err(), "{kelvin} {humidity} {pa} {hz}");
        }
        let refused = at(340.0, 0.5, sea, 1000.0).unwrap_err().to_string();
        assert_eq!(refused, "the temperature of the air is 340 K, above 323.15 K");
        let refused = at(200.0, 0.5, sea, 1000.0).unwrap_err().to_string();
        assert_eq!(refused, "the temperature of the air is 200 K, below 253.15 K");
    }

    /// Printed in ISO 9613-1:1993, Table 1, at 101.325 kPa and the exact mid-band frequencies: dB/km to three digits.
    #[test]
    fn printed_values() {
        for (kelvin, humidity, hz, printed) in [
            (253.15, 0.1, 63.096, 0.756),
            (253.15, 0.1, 1000.0, 1.65),
            (253.15, 0.1, 7943.3, 10.9),
            (258.15, 0.3, 251.19, 2.97),
            (258.15, 0.3, 1995.3, 11.0),
            (298.15, 0.8, 63.096, 0.0673),
            (298.15, 0.8, 501.19, 2.95),
            (298.15, 0.8, 7943.3, 59.8),
            (293.15, 0.1, 5011.9, 133.0),
            (323.15, 0.7, 1000.0, 8.03),
        ] {
            let found = 1000.0 * at(kelvin, humidity, SEA_LEVEL.pascals(), hz).unwrap();
            assert!((found / printed - 1.0).abs() < 0.005, "{kelvin} K, {humidity}, {hz} Hz: {found} dB/km");
        }
    }

    /// Pressure scales: at twice the pressure and twice the vapour in it, a tone twice as high loses twice as much.
    #[test]
    fn a_tone_as_high_over_the_pressure_loses_as_much_for_each_wave() {
        let (thin, dense) = (60_000.0, 120_000.0);
        for hz in [100.0, 1000.0, 5000.0] {
            // The molar share of vapour is that of humidity over pressure.
            let low = at(293.15, 0.3, thin, hz).unwrap();
            let high = at(293.15, 0.6, dense, 2.0 * hz).unwrap();
            assert!((high / low - 2.0).abs() < 1e-9, "{low} {high}");
        }
    }

    proptest! {
        /// A higher tone is absorbed more, in any air.
        #[test]
        fn a_higher_tone_loses_more(kelvin in 253.15..323.15, humidity in 0.0..1.0, pa in 60_000.0..110_000.0, hz in 63.0..7000.0) {
            let low = at(kelvin, humidity, pa, hz).unwrap();
            let high = at(kelvin, humidity, pa, 1.1 * hz).unwrap();
            prop_assert!(low > 0.0 && high > low);
        }
    }
}
