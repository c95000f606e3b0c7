//! Allowable stress of a tube's material, and the pressure that it may hold.

use super::table::{between, rows};
use super::tubes::{Material, Tube};
use crate::physics::OutOfBounds;
use crate::physics::strength::{nominal_rated_pressure, rated_pressure};
use crate::units::factor::{PSI, fahrenheit_to_kelvin};
use crate::units::{PressureDifference, Temperature, pascals};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/stress.csv");

/// A temperature above the last one for which a stress is listed, or no temperature at all.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("no allowable stress is listed at {value_K:.2} K; the table ends at {bound_K:.2} K")]
pub struct OutOfTable {
    /// The temperature required, K.
    pub value_K: f64,
    /// The highest listed, K.
    pub bound_K: f64,
}

#[derive(Deserialize)]
struct Row {
    material: Material,
    #[serde(rename = "temperature_F")]
    temperature_f: f64,
    allowable_psi: f64,
    #[serde(rename = "source")]
    _source: String,
}

/// Material, K, Pa.
fn read() -> Result<Vec<(Material, f64, f64)>, csv::Error> {
    let si = |r: Row| (r.material, fahrenheit_to_kelvin(r.temperature_f), r.allowable_psi * PSI);
    Ok(rows::<Row>(TEXT)?.into_iter().map(si).collect())
}

fn table() -> &'static [(Material, f64, f64)] {
    static TABLE: OnceLock<Vec<(Material, f64, f64)>> = OnceLock::new();
    TABLE.get_or_init(|| read().unwrap_or_default())
}

/// Allowable stress: of copper annealed, for a joint that is brazed is annealed; of steel as it comes.
///
/// Listed by temperature; linear between, and below the first temperature (100 F) its value.
///
/// | range | 100 to 400 F, and colder |
/// | --- | --- |
///
/// # Errors
/// [`OutOfTable`] above 400 F, and for what is not a number.
///
/// Source: `cda-tube-handbook` (Table 3c) for copper, `asme-b31` for steel.
///
/// ```
/// use roofrun::{refdata::{Material, allowable_stress}, units::Temperature};
/// let at_150_f = allowable_stress(Material::Copper, Temperature::from_kelvin(338.705_555_6)).unwrap();
/// assert_eq!(format!("{:.2}", at_150_f.value / 1e6), "35.16"); // MPa: 5100 psi
/// ```
pub fn allowable_stress(material: Material, at: Temperature) -> Result<PressureDifference, OutOfTable> {
    let listed: Vec<(f64, f64)> = table().iter().filter(|r| r.0 == material).map(|r| (r.1, r.2)).collect();
    let (Some(&first), Some(&last)) = (listed.first(), listed.last()) else {
        return Err(OutOfTable { value_K: at.kelvin(), bound_K: f64::NAN });
    };
    let t = at.kelvin();
    // A temperature that came through F and back may stand a hair above the last row.
    if t.is_nan() || t > last.0 * (1.0 + 1e-12) {
        return Err(OutOfTable { value_K: t, bound_K: last.0 });
    }
    Ok(pascals(between(&listed, t.clamp(first.0, last.0))))
}

/// How hard metric copper is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Temper {
    /// R220, and whatever is brazed.
    Annealed,
    /// R250, where nothing heats it.
    HalfHard,
    /// R290, where nothing heats it.
    Hard,
}

/// Highest temperature of the printed metric ratings: 65 °C.
const METRIC_TO_K: f64 = 338.15;

/// Allowable stress of metric copper, on its nominal wall: annealed 200/3.5 MPa, the tensile strength over the factor of safety that
/// is printed with the ratings; half-hard 60 and hard 72 MPa, to which a manufacturer's printed ratings come by the same formula.
///
/// Up to 65 °C. Above, where no figure was seen (nor the stresses of EN 14276-2), it falls as [`allowable_stress`] of copper does.
///
/// | range | 65 to 204 °C, and colder |
/// | --- | --- |
///
/// # Errors
/// [`OutOfTable`] above 204 °C (400 F), and for what is not a number.
///
/// Sources: `en-1057-ratings`, `metric-hard-ratings`, `cda-tube-handbook`.
///
/// ```
/// use roofrun::{refdata::{Temper, metric_allowable_stress}, units::Temperature};
/// let at_60 = metric_allowable_stress(Temper::Annealed, Temperature::from_kelvin(333.15)).unwrap();
/// assert_eq!(format!("{:.1}", at_60.value / 1e6), "57.1"); // MPa
/// ```
pub fn metric_allowable_stress(temper: Temper, at: Temperature) -> Result<PressureDifference, OutOfTable> {
    let cold = pascals(match temper {
        Temper::Annealed => 200e6 / 3.5,
        Temper::HalfHard => 60e6,
        Temper::Hard => 72e6,
    });
    let stress = allowable_stress(Material::Copper, at)?;
    let printed = allowable_stress(Material::Copper, Temperature::from_kelvin(METRIC_TO_K))?;
    Ok(cold * (stress / printed).value.min(1.0))
}

/// Why a tube has no rated pressure.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Unrated {
    /// No stress is listed at the temperature.
    #[error(transparent)]
    Stress(#[from] OutOfTable),
    /// The wall is no wall of a thin tube.
    #[error(transparent)]
    Wall(#[from] OutOfBounds),
}

impl Tube {
    /// Pressure that the tube may hold, brazed (annealed), over the pressure outside it, at a temperature.
    ///
    /// The user's own rating where the tube has one; else [`rated_pressure`] with the minimum wall and the largest outside
    /// diameter of the standard, and the user's own stress where there is one, else [`allowable_stress`]; of metric copper
    /// [`nominal_rated_pressure`] with [`metric_allowable_stress`].
    ///
    /// # Errors
    /// [`Unrated`] where no stress is listed at the temperature, or the wall is too thick for the formula.
    ///
    /// ```
    /// use roofrun::{refdata::tube, units::Temperature};
    /// let at_150_f = Temperature::from_kelvin(338.705_555_6);
    /// let rated = tube("1-3/8 ACR").unwrap().rated_pressure(at_150_f).unwrap();
    /// assert_eq!(format!("{:.0}", rated.value / 6894.757), "373"); // psi
    /// ```
    pub fn rated_pressure(&self, at: Temperature) -> Result<PressureDifference, Unrated> {
        if let Some(rated) = self.rated {
            return Ok(rated);
        }
        if self.is_metric() {
            return Ok(nominal_rated_pressure(
                metric_allowable_stress(Temper::Annealed, at)?,
                self.wall,
                self.outside,
            )?);
        }
        let stress = match self.allowable {
            Some(own) => own,
            None => allowable_stress(self.material, at)?,
        };
        Ok(rated_pressure(stress, self.wall_min, self.outside_max)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn psi_at(fahrenheit: f64) -> Result<f64, OutOfTable> {
        let at = Temperature::from_kelvin(fahrenheit_to_kelvin(fahrenheit));
        allowable_stress(Material::Copper, at).map(|s| s.value / PSI)
    }

    #[test]
    fn the_table_reads() {
        assert_eq!(read().unwrap().len(), 9);
    }

    #[test]
    fn linear_between_and_flat_below() {
        assert_relative_eq!(psi_at(125.0).unwrap(), 5550.0, max_relative = 1e-12);
        assert_relative_eq!(psi_at(-40.0).unwrap(), 6000.0, max_relative = 1e-12);
        assert_relative_eq!(psi_at(100.0).unwrap(), 6000.0, max_relative = 1e-12);
    }

    #[test]
    fn every_tube_is_rated_and_the_users_own_comes_first() {
        let at = Temperature::from_kelvin(340.0);
        for t in crate::refdata::tubes() {
            assert!(t.rated_pressure(at).unwrap().value > 1e6, "{}", t.name);
        }
        let own = Tube { rated: Some(pascals(4.2e6)), ..crate::refdata::tube("1-3/8 ACR").unwrap().clone() };
        assert_eq!(own.rated_pressure(Temperature::from_kelvin(600.0)), Ok(pascals(4.2e6)));
        let strong = Tube { rated: None, allowable: Some(pascals(70e6)), ..own };
        let plain = crate::refdata::tube("1-3/8 ACR").unwrap();
        let ratio = strong.rated_pressure(at).unwrap() / plain.rated_pressure(at).unwrap();
        let stress = allowable_stress(Material::Copper, at).unwrap();
        assert_relative_eq!(ratio.value, 70e6 / stress.value, max_relative = 1e-12);
        assert!(matches!(plain.rated_pressure(Temperature::from_kelvin(600.0)), Err(Unrated::Stress(_))));
    }

    #[test]
    fn metric_stress_stands_to_65_degrees_and_falls_above() {
        let at = |kelvin: f64| metric_allowable_stress(Temper::Annealed, Temperature::from_kelvin(kelvin));
        assert_relative_eq!(at(250.0).unwrap().value, 200e6 / 3.5, max_relative = 1e-12);
        assert_relative_eq!(at(338.15).unwrap().value, 200e6 / 3.5, max_relative = 1e-12);
        let warm = at(fahrenheit_to_kelvin(250.0)).unwrap().value;
        assert!((52e6..55e6).contains(&warm), "{warm}");
        assert!(at(500.0).is_err() && at(f64::NAN).is_err());
    }

    #[test]
    fn above_the_table_there_is_none() {
        assert_relative_eq!(psi_at(400.0).unwrap(), 3000.0, max_relative = 1e-12);
        let refused = psi_at(400.1).unwrap_err();
        assert_eq!(refused.to_string(), "no allowable stress is listed at 477.65 K; the table ends at 477.59 K");
        assert!(psi_at(f64::NAN).is_err());
        assert!(psi_at(f64::INFINITY).is_err());
    }
}
