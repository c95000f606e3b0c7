//! What a room with refrigerant requires: the emergency ventilation of a machinery room, and the charge that may burn.

use crate::units::factor::{CUBIC_FOOT_PER_MINUTE, FOOT, POUND};

/// Emergency ventilation of a machinery room by the American codes, m3/s:
///
/// Q = 100 sqrt(G)
///
/// | symbol | meaning | unit of the formula |
/// | --- | --- | --- |
/// | Q | air flow | cfm |
/// | G | charge of the largest system with any part in the room | lb |
///
/// Takes kg. The code prints 0.07 sqrt(G) beside it for m3/s and kg.
///
/// Source: `imc-1105`.
#[must_use]
pub fn emergency_ventilation(charge: f64) -> f64 {
    100.0 * (charge.max(0.0) / POUND).sqrt() * CUBIC_FOOT_PER_MINUTE
}

/// The same by the European standard, m3/s: V = 0.014 m^(2/3), m in kg.
///
/// Source: `en-378-3`.
#[must_use]
pub fn emergency_ventilation_en(charge: f64) -> f64 {
    0.014 * charge.max(0.0).powf(2.0 / 3.0)
}

/// Emergency ventilation of a machinery room for a refrigerant of group A2L by ASHRAE 15 from 2019 on, m3/s, whatever
/// the charge: what a broken line blows is kept at half of the flammability limit.
///
/// Q = density a A / (0.5 LFL), A = 0.00136 ft2
///
/// | symbol | meaning | unit |
/// | --- | --- | --- |
/// | density | saturated vapour at 50 °C | kg/m3 |
/// | a | speed of sound in it | m/s |
/// | A | area of the leak | m2 |
/// | LFL | lower flammability limit | kg/m3 |
///
/// Formula, area and temperature are from memory; with them come out the rows of the standard's table that are
/// remembered, 32 600 cfm of R-32 to its digits and three others to 4 %.
///
/// Source: `ashrae-15-a2l`.
#[must_use]
pub fn emergency_ventilation_a2l(density: f64, sound: f64, lfl: f64) -> f64 {
    density * sound * LEAK / (0.5 * lfl)
}

/// Temperature of the saturated vapour that leaks in [`emergency_ventilation_a2l`], K.
pub const LEAK_K: f64 = 323.15;

/// Area of that leak, m2.
const LEAK: f64 = 0.001_36 * FOOT * FOOT;

/// Ventilation of a room with a hydrocarbon where the electrical installation could ignite it, m3/s: all of the charge
/// leaks in ten minutes into half of the flammability limit.
///
/// V = M / (t SF LFL), t = 0.17 h, SF = 0.5
///
/// M is the charge, kg; LFL the lower flammability limit, kg/m3.
///
/// Source: `hydrocarbon-guidelines`, equation 2.6.4.a.
#[must_use]
pub fn hydrocarbon_ventilation(charge: f64, lfl: f64) -> f64 {
    charge.max(0.0) / (0.17 * 3600.0 * 0.5 * lfl)
}

/// The most of what burns in a room of people that is no machinery room, kg, whatever the room's volume:
///
/// m = 1.5 m2, m2 = 26 LFL
///
/// | symbol | meaning | unit |
/// | --- | --- | --- |
/// | m2 | charge at which the second step of the standard begins | kg |
/// | LFL | lower flammability limit | kg/m3 |
///
/// Below it the practical limit holds, 0.2 LFL times the volume.
///
/// Source: `en-378-1`.
#[must_use]
pub fn greatest_flammable_charge(lfl: f64) -> f64 {
    1.5 * 26.0 * lfl
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_two_forms_of_the_american_formula_agree_to_the_printed_digits() {
        // 0.07 is printed beside 100 cfm.
        assert!((emergency_ventilation(1.0) - 0.07).abs() < 0.0005);
        assert_relative_eq!(emergency_ventilation(100.0 * POUND), 1000.0 * CUBIC_FOOT_PER_MINUTE, max_relative = 1e-12);
        assert_relative_eq!(emergency_ventilation(0.0), 0.0);
    }

    #[test]
    fn the_european_one_grows_with_the_power_two_thirds() {
        assert_relative_eq!(emergency_ventilation_en(8.0), 0.056, max_relative = 1e-12);
        assert_relative_eq!(emergency_ventilation_en(0.0), 0.0);
    }

    #[test]
    fn what_a_broken_line_blows_is_kept_at_half_of_the_flammability_limit() {
        // By hand: 0.00136 ft2 is 1.26348e-4 m2; 100 kg/m3 at 150 m/s blow 1.89522 kg/s through it, over 0.5 0.3 kg/m3.
        assert_relative_eq!(emergency_ventilation_a2l(100.0, 150.0, 0.3), 12.634_8, max_relative = 1e-5);
    }

    #[test]
    fn a_hydrocarbon_is_thinned_to_half_of_its_limit_in_ten_minutes() {
        // 10 kg of propane: 10/(0.17 h 0.5 0.038 kg/m3) = 3096 m3/h.
        assert_relative_eq!(hydrocarbon_ventilation(10.0, 0.038) * 3600.0, 3095.98, max_relative = 1e-5);
        assert_relative_eq!(hydrocarbon_ventilation(0.0, 0.038), 0.0);
    }

    #[test]
    fn the_cap_of_propane_is_the_printed_kilogram_and_a_half() {
        assert_relative_eq!(greatest_flammable_charge(0.038), 1.5, max_relative = 0.02);
        assert_relative_eq!(greatest_flammable_charge(0.3), 11.7, max_relative = 1e-12);
    }
}
