//! A number of the answer in the job's units, by its SI unit.

use crate::units::{System, factor};

/// A value in an SI unit as text in `units`; a ratio (`-`) stays bare, a small one becomes a percentage.
///
/// `K` stands for temperatures and differences alike: nothing here is colder than 150 K and no difference is larger, so
/// the size tells them apart. `Pa` is a loss, a difference or a stress; an absolute pressure is `Pa absolute`.
#[must_use]
pub fn figure(units: System, value: f64, unit: &str) -> String {
    match unit {
        "K" if value > 150.0 => units.temperature(value),
        "K" => units.difference(value),
        "Pa" if value.abs() >= 2.0e7 => units.stress(value),
        "Pa" => units.pressure_difference(value),
        "Pa absolute" => units.pressure_absolute(value),
        "m" if value != 0.0 && value.abs() < 0.1 => units.small_length(value),
        "m" => feet_and_inches(units, value).unwrap_or_else(|| units.length(value)),
        "m2" => units.area(value),
        "m3" => units.volume(value),
        "m/s" => units.velocity(value),
        "W" if value == 0.0 => format!("0 {}", units.heat_unit()),
        "W" => units.heat(value),
        "kg/s" => units.mass_flow(value),
        "kg" => units.mass(value),
        "kg/m3" => units.density(value),
        "m3/s" => units.air_flow(value),
        "dB" => format!("{} dB", units.ratio(value)),
        "-" | "" if value != 0.0 && value.abs() < 0.1 => units.percent(value),
        "-" | "" => units.ratio(value),
        other => format!("{} {other}", units.ratio(value)),
    }
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
            (308.706, "K", "96 F", "35.6 °C"),
            (2.2222, "K", "4 F", "2.2 K"),
            (6894.757, "Pa", "1.0 psi", "6.9 kPa"),
            (3.3e7, "Pa", "4786 psi", "33.0 MPa"),
            (0.0127, "m", "0.5 in", "12.7 mm"),
            (0.0, "m", "0 ft", "0 m"),
            (2.2098, "m", "7 ft 3 in", "2.2 m"),
            (1.0668, "m", "3.5 ft", "1.1 m"),
            (3.048, "m", "10 ft", "3 m"),
            (2.26, "m", "7.4 ft", "2.3 m"),
            (0.7, "-", "0.7", "0.7"),
            (1.0 / 240.0, "-", "0.4 %", "0.4 %"),
            (10.0, "W/(m2 K)", "10 W/(m2 K)", "10 W/(m2 K)"),
        ];
        for (value, unit, ip, si) in cases {
            assert_eq!(figure(System::Ip, value, unit), ip);
            assert_eq!(figure(System::Si, value, unit), si);
        }
    }
}
