//! Units as factors to the SI base unit.
//!
//! All follow from exact definitions: inch 0.0254 m, avoirdupois pound 0.453 592 37 kg, standard gravity
//! 9.806 65 m/s2, International Table Btu 1055.055 852 62 J (NIST Special Publication 811, appendix B, from memory).
//! `uom` carries seven digits of most of these, and its `btu` is the thermochemical one.

/// Inch, m.
pub const INCH: f64 = 0.0254;
/// Foot, m.
pub const FOOT: f64 = 12.0 * INCH;
/// Cubic foot, m3.
pub const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
/// Cubic inch, m3.
pub const CUBIC_INCH: f64 = INCH * INCH * INCH;
/// US gallon, m3.
pub const GALLON: f64 = 231.0 * CUBIC_INCH;
/// Litre, m3.
pub const LITRE: f64 = 1.0e-3;
/// Pound, kg.
pub const POUND: f64 = 0.453_592_37;
/// Standard gravity, m/s2.
pub const GRAVITY: f64 = 9.806_65;
/// Pound-force per square inch, Pa.
pub const PSI: f64 = POUND * GRAVITY / (INCH * INCH);
/// Inch of mercury at 32 F, Pa.
pub const INCH_OF_MERCURY: f64 = 3_386.389;
/// Bar, Pa.
pub const BAR: f64 = 1.0e5;
/// British thermal unit, International Table, J.
pub const BTU: f64 = 1_055.055_852_62;
/// Btu per hour, W.
pub const BTU_PER_HOUR: f64 = BTU / 3_600.0;
/// Ton of refrigeration, 12 000 Btu/h, W.
pub const TON: f64 = 12_000.0 * BTU_PER_HOUR;
/// Mechanical horsepower, 550 ft lbf/s, W.
pub const HORSEPOWER: f64 = 550.0 * FOOT * POUND * GRAVITY;
/// Degree Fahrenheit as a difference, K.
pub const FAHRENHEIT_DEGREE: f64 = 5.0 / 9.0;
/// Foot per minute, m/s.
pub const FOOT_PER_MINUTE: f64 = FOOT / 60.0;
/// Cubic foot per minute, m3/s.
pub const CUBIC_FOOT_PER_MINUTE: f64 = CUBIC_FOOT / 60.0;
/// Pound per hour, kg/s.
pub const POUND_PER_HOUR: f64 = POUND / 3_600.0;
/// Pound per minute, kg/s.
pub const POUND_PER_MINUTE: f64 = POUND / 60.0;
/// Pound per cubic foot, kg/m3.
pub const POUND_PER_CUBIC_FOOT: f64 = POUND / CUBIC_FOOT;
/// Btu per pound, J/kg.
pub const BTU_PER_POUND: f64 = BTU / POUND;
/// Btu per pound and degree Fahrenheit, J/(kg K).
pub const BTU_PER_POUND_FAHRENHEIT: f64 = BTU / (POUND * FAHRENHEIT_DEGREE);
/// Pound per foot and hour, Pa s.
pub const POUND_PER_FOOT_HOUR: f64 = POUND / (FOOT * 3_600.0);
/// Flow coefficient Cv (US gal/min at 1 psi, water at 60 F) over Kv (m3/h at 1 bar): 1.156 (IEC 60534).
pub const CV_PER_KV: f64 = 1.156;

/// Degrees Fahrenheit to kelvin.
#[must_use]
pub fn fahrenheit_to_kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit + 459.67) * FAHRENHEIT_DEGREE
}

/// Kelvin to degrees Fahrenheit.
#[must_use]
pub fn kelvin_to_fahrenheit(kelvin: f64) -> f64 {
    kelvin / FAHRENHEIT_DEGREE - 459.67
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// NIST SP 811 appendix B, printed digits (from memory).
    #[test]
    fn factors_agree_with_the_printed_table() {
        assert_relative_eq!(PSI, 6.894_757e3, max_relative = 1e-7);
        assert_relative_eq!(CUBIC_FOOT, 2.831_685e-2, max_relative = 2e-7);
        assert_relative_eq!(GALLON, 3.785_412e-3, max_relative = 1e-7);
        assert_relative_eq!(HORSEPOWER, 7.456_999e2, max_relative = 1e-7);
        assert_relative_eq!(TON, 3.516_853e3, max_relative = 1e-7);
        assert_relative_eq!(BTU_PER_POUND, 2.326e3, max_relative = 1e-9);
        assert_relative_eq!(POUND_PER_CUBIC_FOOT, 16.018_46, max_relative = 1e-6);
        assert_relative_eq!(fahrenheit_to_kelvin(32.0), 273.15, max_relative = 1e-12);
        assert_relative_eq!(kelvin_to_fahrenheit(373.15), 212.0, max_relative = 1e-12);
    }
}
