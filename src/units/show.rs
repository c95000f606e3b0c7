//! Quantities as text in the job's units, with no more digits than they deserve.
//!
//! For each quantity three functions: `length(m)` gives `38 ft`; `length_value(m)` the number alone with a fixed number
//! of decimals for its size, for table columns; `length_unit()` the unit alone, for their heads.

use super::factor;

/// The units of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum System {
    /// Inch-pound: ft, psi, F, ton, lb.
    #[default]
    Ip,
    /// SI: m, kPa, °C, kW, kg.
    Si,
}

/// How many digits a quantity deserves.
#[derive(Clone, Copy)]
enum Digits {
    /// This many decimals, whatever the size.
    Decimals(usize),
    /// This many significant digits; never fewer than the whole number has, never more than so many decimals.
    Significant(usize, usize),
}

use Digits::{Decimals, Significant};

/// A unit, the factor from it to SI, and its digits.
struct Unit(&'static str, f64, Digits);

/// A number with so many digits; never `-0`.
fn number(value: f64, digits: Digits) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    let text = match digits {
        Decimals(decimals) => format!("{value:.decimals$}"),
        Significant(digits, maximum) => {
            let first = decimals(value.abs(), digits, maximum);
            // Rounding can carry into one more digit (9.996 is 10.0): count again after it.
            let rounded = format!("{:.first$}", value.abs()).parse().unwrap_or(value.abs());
            let second = decimals(rounded, digits, maximum).min(first);
            format!("{value:.second$}")
        }
    };
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

/// How many decimals give so many significant digits, none past `most`.
fn decimals(size: f64, digits: usize, maximum: usize) -> usize {
    let mut decimals = digits.saturating_sub(1);
    let mut decade = 10.0;
    while decimals > 0 && size >= decade {
        decimals -= 1;
        decade *= 10.0;
    }
    let mut decade = 1.0;
    while decimals < maximum && size > 0.0 && size < decade {
        decimals += 1;
        decade /= 10.0;
    }
    decimals.min(maximum)
}

/// Numbers with equally many decimals.
fn column(values: impl Iterator<Item = f64> + Clone, digits: Digits) -> Vec<String> {
    let same = match digits {
        Decimals(decimals) => decimals,
        Significant(digits, maximum) => {
            let sizes = values.clone().map(f64::abs).filter(|size| size.is_finite());
            let largest = sizes.clone().fold(0.0, f64::max);
            // What would vanish at every number of decimals needs none.
            let minimum = sizes
                .filter(|size| *size >= 0.5 * 0.1_f64.powi(i32::try_from(maximum).unwrap_or(0)))
                .fold(largest, f64::min);
            decimals(largest, digits, maximum).max(decimals(minimum, 1, maximum))
        }
    };
    values.map(|value| number(value, Decimals(same))).collect()
}

/// The same without zeros that say nothing: `38.0` is `38`.
fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

impl System {
    fn pick(self, ip: Unit, si: Unit) -> Unit {
        match self {
            System::Ip => ip,
            System::Si => si,
        }
    }
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident, $value:ident, $column:ident, $unit:ident, $shown:ident, $si_unit:literal:
        ($ip:literal, $ip_factor:expr, $ip_digits:expr), ($si:literal, $si_factor:expr, $si_digits:expr);)*) => {
        impl System {
            $(
            $(#[$doc])*
            #[must_use]
            pub fn $name(self, value: f64) -> String {
                let text = self.$value(value);
                format!("{} {}", $shown(&text), self.$unit())
            }

            #[doc = concat!("The number of [`System::", stringify!($name), "`] alone, from ", $si_unit, ".")]
            #[must_use]
            pub fn $value(self, value: f64) -> String {
                let Unit(_, factor, digits) =
                    self.pick(Unit($ip, $ip_factor, $ip_digits), Unit($si, $si_factor, $si_digits));
                number(value / factor, digits)
            }

            #[doc = concat!("The numbers of a column of [`System::", stringify!($name), "`], from ", $si_unit, ": as many")]
            /// decimals for all, what the largest deserves and the smallest needs to be more than nothing.
            #[must_use]
            pub fn $column(self, values: &[f64]) -> Vec<String> {
                let Unit(_, factor, digits) =
                    self.pick(Unit($ip, $ip_factor, $ip_digits), Unit($si, $si_factor, $si_digits));
                column(values.iter().map(|value| value / factor), digits)
            }

            #[doc = concat!("The unit of [`System::", stringify!($name), "`] alone.")]
            #[must_use]
            pub fn $unit(self) -> &'static str {
                self.pick(Unit($ip, $ip_factor, $ip_digits), Unit($si, $si_factor, $si_digits)).0
            }
            )*
        }
    };
}

fn whole(text: &str) -> &str {
    text
}

quantities! {
    /// A length from m: `38 ft`, `11.6 m`.
    length, length_value, length_column, length_unit, trimmed, "m": ("ft", factor::FOOT, Significant(4, 1)), ("m", 1.0, Significant(4, 1));
    /// A diameter or a wall from m: `1.375 in`, `34.93 mm`.
    tube_size, small_length_value, small_length_column, small_length_unit, trimmed, "m":
        ("in", factor::INCH, Decimals(3)), ("mm", 1e-3, Decimals(2));
    /// An area from m2: `3.14 ft2`, `0.292 m2`.
    area, area_value, area_column, area_unit, whole, "m2":
        ("ft2", factor::FOOT * factor::FOOT, Significant(3, 3)), ("m2", 1.0, Significant(3, 4));
    /// A volume of a vessel or a line from m3: `1.90 ft3`, `53.8 L`.
    volume, volume_value, volume_column, volume_unit, whole, "m3":
        ("ft3", factor::CUBIC_FOOT, Significant(3, 3)), ("L", factor::LITRE, Significant(3, 2));
    /// A volume of a room from m3: `9500 ft3`, `269 m3`.
    room_volume, room_volume_value, room_volume_column, room_volume_unit, whole, "m3":
        ("ft3", factor::CUBIC_FOOT, Significant(3, 0)), ("m3", 1.0, Significant(3, 1));
    /// A temperature difference from K: `4.1 F`, `2.3 K`.
    difference, difference_value, difference_column, difference_unit, trimmed, "K":
        ("F", factor::FAHRENHEIT_DEGREE, Decimals(1)), ("K", 1.0, Decimals(1));
    /// A temperature difference that is small by nature, as that of a line's drop, from K: `0.43 F`, `0.24 K`.
    small_difference, small_difference_value, small_difference_column, small_difference_unit, whole, "K":
        ("F", factor::FAHRENHEIT_DEGREE, Decimals(2)), ("K", 1.0, Decimals(2));
    /// An absolute pressure from Pa: `427 psia`, `29.4 bara`.
    pressure_absolute, pressure_absolute_value, pressure_absolute_column, pressure_absolute_unit, whole, "Pa":
        ("psia", factor::PSI, Significant(3, 1)), ("bara", factor::BAR, Significant(3, 2));
    /// A pressure difference, a loss from Pa: `3.4 psi`, `23.4 kPa`.
    pressure_difference, pressure_difference_value, pressure_difference_column, pressure_difference_unit, whole, "Pa":
        ("psi", factor::PSI, Significant(3, 1)), ("kPa", 1e3, Significant(3, 1));
    /// A stress from Pa: `5100 psi`, `35.2 MPa`.
    stress, stress_value, stress_column, stress_unit, whole, "Pa":
        ("psi", factor::PSI, Significant(3, 0)), ("MPa", 1e6, Significant(3, 1));
    /// A velocity from m/s: `1569 fpm`, `7.97 m/s`.
    velocity, velocity_value, velocity_column, velocity_unit, whole, "m/s":
        ("fpm", factor::FOOT_PER_MINUTE, Decimals(0)), ("m/s", 1.0, Significant(3, 2));
    /// A speed of sound from m/s: `1204 ft/s`, `367 m/s`.
    speed_of_sound, speed_of_sound_value, speed_of_sound_column, speed_of_sound_unit, whole, "m/s":
        ("ft/s", factor::FOOT, Decimals(0)), ("m/s", 1.0, Decimals(0));
    /// A cooling capacity from W: `40.0 tons`, `141 kW`.
    capacity, capacity_value, capacity_column, capacity_unit, whole, "W":
        ("tons", factor::TON, Significant(3, 2)), ("kW", 1e3, Significant(3, 2));
    /// An electrical power from W: `42.0 kW` in both.
    power, power_value, power_column, power_unit, whole, "W": ("kW", 1e3, Significant(3, 2)), ("kW", 1e3, Significant(3, 2));
    /// A heat flow from W: `640 MBH`, `188 kW`.
    heat, heat_value, heat_column, heat_unit, whole, "W":
        ("MBH", 1e3 * factor::BTU_PER_HOUR, Significant(3, 2)), ("kW", 1e3, Significant(3, 3));
    /// A mass flow from kg/s: `68.3 lb/min`, `0.516 kg/s`.
    mass_flow, mass_flow_value, mass_flow_column, mass_flow_unit, whole, "kg/s":
        ("lb/min", factor::POUND_PER_MINUTE, Significant(3, 2)), ("kg/s", 1.0, Significant(3, 4));
    /// A mass from kg: `38.2 lb`, `17.3 kg`.
    mass, mass_value, mass_column, mass_unit, whole, "kg": ("lb", factor::POUND, Significant(3, 2)), ("kg", 1.0, Significant(3, 2));
    /// An air flow from m3/s: `38000 cfm`, `17.9 m3/s`.
    air_flow, air_flow_value, air_flow_column, air_flow_unit, whole, "m3/s":
        ("cfm", factor::CUBIC_FOOT_PER_MINUTE, Decimals(0)), ("m3/s", 1.0, Significant(3, 3));
    /// A flow of fluid from m3/s: `97 gpm`, `6.1 L/s`.
    liquid_flow, liquid_flow_value, liquid_flow_column, liquid_flow_unit, whole, "m3/s":
        ("gpm", factor::GALLON / 60.0, Significant(3, 1)), ("L/s", 1e-3, Significant(3, 2));
    /// An A-weighted sound level from dB: `55 dBA` in both.
    level, level_value, level_column, level_unit, trimmed, "dB": ("dBA", 1.0, Decimals(1)), ("dBA", 1.0, Decimals(1));
    /// An energy from J: `412 MWh` in both.
    energy, energy_value, energy_column, energy_unit, whole, "J": ("MWh", 3.6e9, Significant(3, 2)), ("MWh", 3.6e9, Significant(3, 2));
    /// A pressure of wind on a face from Pa: `16.0 psf`, `766 Pa`.
    face_pressure, face_pressure_value, face_pressure_column, face_pressure_unit, whole, "Pa":
        ("psf", factor::POUND * factor::GRAVITY / (factor::FOOT * factor::FOOT), Significant(3, 1)), ("Pa", 1.0, Significant(3, 0));
    /// A wind speed from m/s: `12 mph`, `5.4 m/s`.
    wind, wind_value, wind_column, wind_unit, whole, "m/s":
        ("mph", 5_280.0 * factor::FOOT / 3_600.0, Significant(2, 1)), ("m/s", 1.0, Significant(2, 1));
    /// A density from kg/m3: `61.8 lb/ft3`, `989 kg/m3`.
    density, density_value, density_column, density_unit, whole, "kg/m3":
        ("lb/ft3", factor::POUND_PER_CUBIC_FOOT, Significant(4, 4)), ("kg/m3", 1.0, Significant(4, 3));
    /// Refrigerant in the air of a room from kg/m3: `26.2 lb/1000 ft3`, `420 g/m3`.
    concentration, concentration_value, concentration_column, concentration_unit, whole, "kg/m3":
        ("lb/1000 ft3", factor::POUND / (1e3 * factor::CUBIC_FOOT), Significant(3, 2)), ("g/m3", 1e-3, Significant(3, 1));
    /// A specific enthalpy from J/kg: `118.3 Btu/lb`, `275.1 kJ/kg`.
    enthalpy, enthalpy_value, enthalpy_column, enthalpy_unit, whole, "J/kg":
        ("Btu/lb", factor::BTU_PER_POUND, Decimals(2)), ("kJ/kg", 1e3, Decimals(2));
    /// A specific entropy or heat capacity from J/(kg K): `0.2345 Btu/(lb F)`, `0.982 kJ/(kg K)`.
    entropy, entropy_value, entropy_column, entropy_unit, whole, "J/(kg K)":
        ("Btu/(lb F)", factor::BTU_PER_POUND_FAHRENHEIT, Decimals(4)), ("kJ/(kg K)", 1e3, Decimals(4));
    /// A dynamic viscosity from Pa s: `0.0331 lb/(ft h)`, `13.7 uPa s`.
    viscosity, viscosity_value, viscosity_column, viscosity_unit, whole, "Pa s":
        ("lb/(ft h)", factor::POUND_PER_FOOT_HOUR, Significant(3, 4)), ("uPa s", 1e-6, Significant(3, 2));
}

impl System {
    /// A small length from m in a sentence: `1.375 in`, `34.9 mm`.
    #[must_use]
    pub fn small_length(self, metres: f64) -> String {
        match self {
            System::Ip => self.tube_size(metres),
            System::Si => format!("{} mm", trimmed(&number(metres / 1e-3, Significant(3, 2)))),
        }
    }

    /// A length that may be a few inches, from m: `6.0 in`, `150 mm`, `2.5 ft`.
    #[must_use]
    pub fn inches_or_length(self, metres: f64) -> String {
        match self {
            System::Ip if metres < factor::FOOT => format!("{} in", number(metres / factor::INCH, Decimals(1))),
            System::Si if metres < 1.0 => format!("{} mm", number(metres * 1e3, Decimals(0))),
            _ => self.length(metres),
        }
    }

    /// A length that is read off a rule, from m: `42 in`, `1067 mm`.
    #[must_use]
    pub fn rule_length(self, metres: f64) -> String {
        format!("{} {}", self.rule_length_value(metres), self.small_length_unit())
    }

    /// The number of [`System::rule_length`] alone.
    #[must_use]
    pub fn rule_length_value(self, metres: f64) -> String {
        match self {
            System::Ip => trimmed(&self.small_length_value(metres)).to_owned(),
            System::Si => number(metres * 1e3, Decimals(0)),
        }
    }

    /// A temperature from K in a sentence: `96 F`, `35.6 °C`.
    #[must_use]
    pub fn temperature(self, kelvin: f64) -> String {
        match self {
            System::Ip => format!("{} F", number(factor::kelvin_to_fahrenheit(kelvin), Decimals(0))),
            System::Si => self.temperature_exact(kelvin),
        }
    }

    /// A temperature from K to a tenth, as of a bound: `154.3 F`, `35.6 °C`.
    #[must_use]
    pub fn temperature_exact(self, kelvin: f64) -> String {
        format!("{} {}", trimmed(&self.temperature_value(kelvin)), self.temperature_unit())
    }

    /// The number of [`System::temperature_exact`] alone with its tenth, from K.
    #[must_use]
    pub fn temperature_value(self, kelvin: f64) -> String {
        let degrees = match self {
            System::Ip => factor::kelvin_to_fahrenheit(kelvin),
            System::Si => kelvin - 273.15,
        };
        number(degrees, Decimals(1))
    }

    /// The unit of [`System::temperature`] alone.
    #[must_use]
    pub fn temperature_unit(self) -> &'static str {
        match self {
            System::Ip => "F",
            System::Si => "°C",
        }
    }

    /// An absolute pressure from Pa, as a gauge at that atmospheric pressure reads: `412 psig`, `28.4 barg`.
    #[must_use]
    pub fn pressure_gauge(self, absolute_pascals: f64, atmosphere_pascals: f64) -> String {
        format!("{} {}", self.pressure_gauge_value(absolute_pascals, atmosphere_pascals), self.pressure_gauge_unit())
    }

    /// The number of [`System::pressure_gauge`] alone, from Pa.
    #[must_use]
    pub fn pressure_gauge_value(self, absolute_pascals: f64, atmosphere_pascals: f64) -> String {
        let gauge = absolute_pascals - atmosphere_pascals;
        match self {
            System::Ip => number(gauge / factor::PSI, Significant(3, 1)),
            System::Si => number(gauge / factor::BAR, Significant(3, 2)),
        }
    }

    /// The unit of [`System::pressure_gauge`] alone.
    #[must_use]
    pub fn pressure_gauge_unit(self) -> &'static str {
        match self {
            System::Ip => "psig",
            System::Si => "barg",
        }
    }

    /// The same as a compound gauge shows it, which below the atmosphere reads inches of mercury: `14.9 inHg`.
    #[must_use]
    pub fn gauge_or_vacuum(self, absolute_pascals: f64, atmosphere_pascals: f64) -> String {
        self.vacuum(absolute_pascals, atmosphere_pascals)
            .unwrap_or_else(|| self.pressure_gauge(absolute_pascals, atmosphere_pascals))
    }

    /// The number of [`System::gauge_or_vacuum`] alone, from Pa; below the atmosphere with its unit.
    #[must_use]
    pub fn gauge_or_vacuum_value(self, absolute_pascals: f64, atmosphere_pascals: f64) -> String {
        self.vacuum(absolute_pascals, atmosphere_pascals)
            .unwrap_or_else(|| self.pressure_gauge_value(absolute_pascals, atmosphere_pascals))
    }

    fn vacuum(self, absolute_pascals: f64, atmosphere_pascals: f64) -> Option<String> {
        let inches = number((atmosphere_pascals - absolute_pascals) / factor::INCH_OF_MERCURY, Decimals(1));
        let below = self == Self::Ip && absolute_pascals < atmosphere_pascals && inches != "0.0";
        below.then(|| format!("{inches} inHg"))
    }

    /// Hours of a year, in both: `1 hour`, `35 hours`, `0.25 hours`.
    #[must_use]
    pub fn hours(self, hours: f64) -> String {
        let text = trimmed(&number(hours, Decimals(2))).to_owned();
        if text == "1" { "1 hour".to_owned() } else { format!("{text} hours") }
    }

    /// A flow coefficient from Kv (m3/h at 1 bar): `Cv 6.01`, `Kv 5.20`.
    #[must_use]
    pub fn flow_coefficient(self, kv: f64) -> String {
        match self {
            System::Ip => format!("Cv {}", number(kv * factor::CV_PER_KV, Significant(3, 2))),
            System::Si => format!("Kv {}", number(kv, Significant(3, 2))),
        }
    }

    /// A plain ratio or count with up to two decimals and no empty ones: `1.31`, `4.2`, `2`.
    #[must_use]
    pub fn ratio(self, value: f64) -> String {
        trimmed(&number(value, Significant(3, 2))).to_owned()
    }

    /// A share as a percentage: `20 %`, `0.4 %`.
    #[must_use]
    pub fn percent(self, share: f64) -> String {
        format!("{} %", trimmed(&number(share * 100.0, Significant(3, 1))))
    }
}

#[cfg(test)]
mod tests {
    use super::System::{Ip, Si};
    use super::*;

    #[test]
    fn quantities_read_as_in_the_trade() {
        assert_eq!(Ip.length(11.5824), "38 ft");
        assert_eq!(Si.length(11.5824), "11.6 m");
        assert_eq!(Ip.length(5.273_04), "17.3 ft");
        assert_eq!(Ip.length_value(11.5824), "38.0");
        assert_eq!(Ip.length(1000.0), "3281 ft");
        assert_eq!(Ip.small_length(0.034_925), "1.375 in");
        assert_eq!(Si.small_length(0.015_49), "15.5 mm");
        assert_eq!(Si.tube_size(0.034_93), "34.93 mm");
        assert_eq!(Si.small_length(0.0508), "50.8 mm");
        assert_eq!(Ip.temperature(308.705_555_6), "96 F");
        assert_eq!(Si.temperature(308.705_555_6), "35.6 °C");
        assert_eq!(Si.temperature(273.15), "0 °C");
        assert_eq!(Ip.temperature(355.6), "180 F");
        assert_eq!(Ip.temperature_exact(355.6), "180.4 F");
        assert_eq!(Ip.temperature(255.3), "0 F");
        assert_eq!(Ip.difference(2.277_8), "4.1 F");
        assert_eq!(Si.difference(2.277_8), "2.3 K");
        assert_eq!(Ip.pressure_gauge(2.941e6, 101_325.0), "412 psig");
        assert_eq!(Si.pressure_gauge(2.941e6, 101_325.0), "28.4 barg");
        assert_eq!(Ip.pressure_absolute(2.941e6), "427 psia");
        assert_eq!(Ip.pressure_difference(23_442.0), "3.4 psi");
        assert_eq!(Si.pressure_difference(23_442.0), "23.4 kPa");
        assert_eq!(Ip.velocity(7.97), "1569 fpm");
        assert_eq!(Si.velocity(7.97), "7.97 m/s");
        assert_eq!(Ip.capacity(40.0 * factor::TON), "40.0 tons");
        assert_eq!(Si.capacity(40.0 * factor::TON), "141 kW");
        assert_eq!(Ip.capacity(1250.0 * factor::TON), "1250 tons");
        assert_eq!(Ip.power(42_000.0), "42.0 kW");
        assert_eq!(Ip.heat(640e3 * factor::BTU_PER_HOUR), "640 MBH");
        assert_eq!(Si.heat(640e3 * factor::BTU_PER_HOUR), "188 kW");
        assert_eq!(Ip.air_flow(38_000.0 * factor::CUBIC_FOOT_PER_MINUTE), "38000 cfm");
        assert_eq!(Si.mass_flow(0.516), "0.516 kg/s");
        assert_eq!(Ip.flow_coefficient(5.2), "Cv 6.01");
        assert_eq!(Ip.ratio(1.306), "1.31");
        assert_eq!(Ip.percent(0.004), "0.4 %");
        assert_eq!(Ip.concentration(0.42), "26.2 lb/1000 ft3");
        assert_eq!(Si.concentration(0.0095), "9.5 g/m3");
    }

    #[test]
    fn rounding_up_into_another_digit_keeps_three() {
        assert_eq!(Si.capacity(9_996.0), "10.0 kW");
        assert_eq!(Si.capacity(99_960.0), "100 kW");
    }

    #[test]
    fn a_column_has_equally_many_decimals() {
        let tons = |values: &[f64]| Ip.capacity_column(&values.iter().map(|v| v * factor::TON).collect::<Vec<f64>>());
        assert_eq!(tons(&[40.0, 7.684]), ["40.0", "7.7"]);
        assert_eq!(tons(&[140.0, 39.6]), ["140", "40"]);
        assert_eq!(tons(&[-4.5, 0.049, 0.0]), ["-4.50", "0.05", "0.00"]);
        assert_eq!(Si.pressure_difference_column(&[110_200.0, 300.0]), ["110.2", "0.3"]);
        assert_eq!(Si.pressure_difference_column(&[110_200.0, 0.0]), ["110", "0"]);
        assert_eq!(Ip.velocity_column(&[f64::NAN]), ["?"]);
        assert!(Ip.length_column(&[]).is_empty());
    }

    #[test]
    fn nothing_is_minus_zero() {
        assert_eq!(Ip.difference(-0.001), "0 F");
        assert_eq!(Ip.difference_value(-0.001), "0.0");
        assert_eq!(Si.pressure_difference(-1e-9), "0.0 kPa");
        assert_eq!(Si.temperature(273.149), "0 °C");
        assert_eq!(Ip.pressure_gauge(101_325.0, 101_325.1), "0.0 psig");
        assert_eq!(Si.velocity(-0.0), "0.00 m/s");
    }

    #[test]
    fn what_is_not_finite_is_a_question_mark() {
        assert_eq!(Ip.length(f64::NAN), "? ft");
        assert_eq!(Ip.length(f64::INFINITY), "? ft");
    }
}
