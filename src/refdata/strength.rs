//! Allowable stress of the tube's material.

use super::table::{PSI, kelvin_from_fahrenheit, rows};
use super::tubes::Material;
use crate::units::{PressureDifference, Temperature, pascals};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/stress.csv");

/// A temperature above the last one for which a stress is listed, or no temperature at all.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("no allowable stress is listed at {value_k:.2} K; the table ends at {bound_k:.2} K")]
pub struct OutOfTable {
    /// The temperature asked for, K.
    pub value_k: f64,
    /// The highest listed, K.
    pub bound_k: f64,
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
    let si = |r: Row| (r.material, kelvin_from_fahrenheit(r.temperature_f), r.allowable_psi * PSI);
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
        return Err(OutOfTable { value_k: at.kelvin(), bound_k: f64::NAN });
    };
    let t = at.kelvin();
    // A temperature that came through F and back may stand a hair above the last row.
    if t.is_nan() || t > last.0 * (1.0 + 1e-12) {
        return Err(OutOfTable { value_k: t, bound_k: last.0 });
    }
    Ok(pascals(super::fittings::between(&listed, t.clamp(first.0, last.0))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn psi_at(fahrenheit: f64) -> Result<f64, OutOfTable> {
        let at = Temperature::from_kelvin(kelvin_from_fahrenheit(fahrenheit));
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
    fn above_the_table_there_is_none() {
        assert_relative_eq!(psi_at(400.0).unwrap(), 3000.0, max_relative = 1e-12);
        let refused = psi_at(400.1).unwrap_err();
        assert_eq!(refused.to_string(), "no allowable stress is listed at 477.65 K; the table ends at 477.59 K");
        assert!(psi_at(f64::NAN).is_err());
        assert!(psi_at(f64::INFINITY).is_err());
    }
}
