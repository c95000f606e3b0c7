//! A number of the answer in the job's units, by its kind.

use crate::units::{Kind, System, factor};

/// A value of a kind as text in `units`; a pressure as a gauge reads it there.
#[must_use]
pub fn figure(units: System, value: f64, kind: Kind, atmosphere_pascals: f64) -> String {
    let feet = if kind == Kind::Length { feet_and_inches(units, value) } else { None };
    feet.unwrap_or_else(|| kind.show(units, value, atmosphere_pascals))
}

/// Whole feet and inches, where tenths of a foot would round them: `7 ft 3 in`.
fn feet_and_inches(units: System, metres: f64) -> Option<String> {
    let inches = metres / factor::INCH;
    let is_whole = |value: f64| (value - value.round()).abs() < 1e-6;
    let rounds = units == System::Ip && is_whole(inches) && !is_whole(inches / 1.2);
    let (feet, over) = ((inches.round() / 12.0).floor(), inches.round().rem_euclid(12.0));
    (rounds && feet > 0.0).then(|| format!("{feet:.0} ft {over:.0} in"))
}

/// A temperature from K, for a column: whole degrees F, or tenths of °C.
pub(super) fn degrees(units: System, kelvin: f64) -> String {
    match units {
        System::Ip => units.temperature(kelvin).trim_end_matches(" F").to_owned(),
        System::Si => units.temperature_value(kelvin),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_unit_is_shown_in_the_units_of_the_job() {
        let cases = [
            (308.706, Kind::Temperature, "96 F", "35.6 °C"),
            (2.2222, Kind::Difference, "4 F", "2.2 K"),
            (160.0, Kind::Difference, "288 F", "160 K"),
            (6894.757, Kind::PressureDifference, "1.0 psi", "6.9 kPa"),
            (2.2e6, Kind::Pressure, "304 psig", "21.0 barg"),
            (3.3e7, Kind::Stress, "4786 psi", "33.0 MPa"),
            (0.0127, Kind::SmallLength, "0.5 in", "12.7 mm"),
            (0.0, Kind::Length, "0 ft", "0 m"),
            (2.2098, Kind::Length, "7 ft 3 in", "2.2 m"),
            (1.0668, Kind::Length, "3.5 ft", "1.1 m"),
            (3.048, Kind::Length, "10 ft", "3 m"),
            (2.26, Kind::Length, "7.4 ft", "2.3 m"),
            (0.7, Kind::Ratio, "0.7", "0.7"),
            (0.05, Kind::Ratio, "0.05", "0.05"),
            (1.0 / 240.0, Kind::Share, "0.4 %", "0.4 %"),
        ];
        for (value, kind, ip, si) in cases {
            assert_eq!(figure(System::Ip, value, kind, 101_325.0), ip);
            assert_eq!(figure(System::Si, value, kind, 101_325.0), si);
        }
    }
}
