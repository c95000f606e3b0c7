//! Design temperatures of the high side by ambient temperature.

use super::table::rows;
use crate::units::Temperature;
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/design_temperatures.csv");

#[derive(Deserialize)]
struct Row {
    #[serde(rename = "ambient_C")]
    ambient: f64,
    #[serde(rename = "air_cooled_C")]
    air_cooled: f64,
    #[serde(rename = "source")]
    _source: String,
}

/// Design temperature of an air-cooled high side by EN 378: that of the first row whose ambient temperature is not below the
/// design dry-bulb, of the last one above all.
///
/// | ambient, up to | 32 | 38 | 43 | 55 °C |
/// | --- | --- | --- | --- | --- |
/// | air-cooled high side | 55 | 59 | 63 | 67 °C |
///
/// Source: `en-378-2`.
///
/// ```
/// use roofrun::{refdata::design_temperature, units::Temperature};
/// let at_35 = design_temperature(Temperature::from_kelvin(308.15));
/// assert_eq!(format!("{:.0}", at_35.kelvin() - 273.15), "59");
/// ```
#[must_use]
pub fn design_temperature(ambient: Temperature) -> Temperature {
    static TABLE: OnceLock<Vec<Row>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(TEXT).unwrap_or_default());
    let celsius = ambient.kelvin() - 273.15;
    // A dry-bulb as typed in F may stand a hair over a whole degree.
    let row = table.iter().find(|row| celsius <= row.ambient + 1e-6).or_else(|| table.last());
    Temperature::from_kelvin(row.map_or(f64::NAN, |row| row.air_cooled) + 273.15)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_both_ends_hold() {
        assert_eq!(rows::<Row>(TEXT).unwrap().len(), 4);
        let at = |celsius: f64| design_temperature(Temperature::from_kelvin(celsius + 273.15)).kelvin() - 273.15;
        for (ambient, design) in
            [(-40.0, 55.0), (32.0, 55.0), (32.1, 59.0), (38.0, 59.0), (43.0, 63.0), (55.0, 67.0), (60.0, 67.0)]
        {
            assert!((at(ambient) - design).abs() < 1e-9, "{ambient}");
        }
    }
}
