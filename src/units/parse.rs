//! Quantities as people write them, to SI: `12 ft 6 in`, `12'6"`, `35.5 °C`, `610 psig`, `42 bar(g)`.
//!
//! What holds the quantity knows its [`Kind`], and with it whether `F` is a temperature or a difference, and whether
//! `bar` is a loss or says too little.

use super::kind::Kind;
use super::number::{Head, head, plain};
use super::spelling::nearest;
use super::{System, factor};

/// Why a text is no quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{says}")]
pub struct Misread {
    /// In a sentence without a full stop.
    pub says: String,
    /// What to write instead, where that can be known.
    pub instead: Option<String>,
}

impl Misread {
    fn new(says: impl Into<String>) -> Self {
        Self { says: says.into(), instead: None }
    }

    fn instead(says: impl Into<String>, instead: String) -> Self {
        Self { says: says.into(), instead: Some(instead) }
    }
}

/// What a unit measures and how it goes to SI.
#[derive(Clone, Copy, PartialEq)]
enum Measure {
    Length(f64),
    Fahrenheit,
    Celsius,
    Kelvin,
    Rankine,
    /// A gauge pressure, with the same unit as a difference.
    Gauge(f64, &'static str),
    /// An absolute pressure, with the same unit as a difference.
    Absolute(f64, &'static str),
    /// A pressure that says neither gauge nor absolute, and is taken as a difference only; with its unit as a difference.
    Unsaid(f64, &'static str),
    /// Absolute as a pressure; also a difference.
    Pascal,
    Power(f64),
    VolumeRate(f64),
    Volume(f64),
    Velocity(f64),
    Density(f64),
    MassRate(f64),
    Mass(f64),
    Level,
}

use Measure::{
    Absolute, Celsius, Density, Fahrenheit, Gauge, Kelvin, Length, Level, Mass, MassRate, Pascal, Power, Rankine,
    Unsaid, Velocity, Volume, VolumeRate,
};

/// Every unit: its spellings, the first of which is shown, and its measure.
const UNITS: &[(&[&str], Measure)] = &[
    (&["ft", "'", "foot", "feet"], Length(factor::FOOT)),
    (&["in", "\"", "inch", "inches"], Length(factor::INCH)),
    (&["m", "metre", "metres", "meter", "meters"], Length(1.0)),
    (&["cm"], Length(1e-2)),
    (&["mm"], Length(1e-3)),
    (&["F", "°F", "degF"], Fahrenheit),
    (&["°C", "C", "degC"], Celsius),
    (&["K", "kelvin", "°K"], Kelvin),
    (&["R", "°R", "degR"], Rankine),
    (&["psig", "psigauge"], Gauge(factor::PSI, "psi")),
    (&["psia", "psiabs"], Absolute(factor::PSI, "psi")),
    (&["psi", "psid", "lb/in2", "lbf/in2"], Unsaid(factor::PSI, "psi")),
    (&["barg", "bargauge"], Gauge(factor::BAR, "bar")),
    (&["bara", "barabs"], Absolute(factor::BAR, "bar")),
    (&["bar"], Unsaid(factor::BAR, "bar")),
    (&["kPag", "kPagauge"], Gauge(1e3, "kPa")),
    (&["kPaa", "kPaabs"], Absolute(1e3, "kPa")),
    (&["kPa"], Unsaid(1e3, "kPa")),
    (&["MPag", "MPagauge"], Gauge(1e6, "MPa")),
    (&["MPaa", "MPaabs"], Absolute(1e6, "MPa")),
    (&["MPa"], Unsaid(1e6, "MPa")),
    (&["Pa"], Pascal),
    (&["ton", "tons", "TR"], Power(factor::TON)),
    (&["kW"], Power(1e3)),
    (&["W", "watt", "watts"], Power(1.0)),
    (&["Btu/h", "Btu/hr", "Btuh"], Power(factor::BTU_PER_HOUR)),
    (&["kBtu/h", "kBtu/hr", "kBtuh", "MBH"], Power(1e3 * factor::BTU_PER_HOUR)),
    (&["hp"], Power(factor::HORSEPOWER)),
    (&["ft3/min", "cfm", "ft3/minute"], VolumeRate(factor::CUBIC_FOOT_PER_MINUTE)),
    (&["m3/s"], VolumeRate(1.0)),
    (&["m3/h", "m3/hr"], VolumeRate(1.0 / 3_600.0)),
    (&["L/s"], VolumeRate(factor::LITRE)),
    (&["L/min"], VolumeRate(factor::LITRE / 60.0)),
    (&["gal/min", "gpm"], VolumeRate(factor::GALLON / 60.0)),
    (&["ft3", "cuft", "cubicfeet"], Volume(factor::CUBIC_FOOT)),
    (&["L", "litre", "litres", "liter", "liters"], Volume(factor::LITRE)),
    (&["m3"], Volume(1.0)),
    (&["in3", "cuin"], Volume(factor::CUBIC_INCH)),
    (&["gal", "gallon", "gallons"], Volume(factor::GALLON)),
    (&["ft/min", "fpm"], Velocity(factor::FOOT_PER_MINUTE)),
    (&["m/s"], Velocity(1.0)),
    (&["ft/s", "fps"], Velocity(factor::FOOT)),
    (&["kg/m3"], Density(1.0)),
    (&["lb/ft3"], Density(factor::POUND_PER_CUBIC_FOOT)),
    (&["lb/h", "lb/hr"], MassRate(factor::POUND_PER_HOUR)),
    (&["lb/min"], MassRate(factor::POUND_PER_MINUTE)),
    (&["lb/s"], MassRate(factor::POUND)),
    (&["kg/s"], MassRate(1.0)),
    (&["kg/h", "kg/hr"], MassRate(1.0 / 3_600.0)),
    (&["kg/min"], MassRate(1.0 / 60.0)),
    (&["g/s"], MassRate(1e-3)),
    (&["lb", "lbs"], Mass(factor::POUND)),
    (&["kg"], Mass(1.0)),
    (&["t", "tonne", "tonnes"], Mass(1e3)),
    (&["dBA"], Level),
    (&["dB"], Level),
    (&["mi/h", "mph"], Velocity(5_280.0 * factor::FOOT / 3_600.0)),
    (&["km/h"], Velocity(1.0 / 3.6)),
    (&["kn", "knot", "knots", "kt"], Velocity(1_852.0 / 3_600.0)),
];

impl Measure {
    fn says(self) -> &'static str {
        match self {
            Length(_) => "a length",
            Fahrenheit | Celsius | Kelvin => "a temperature",
            Rankine => "a temperature difference",
            Gauge(..) => "a gauge pressure",
            Absolute(..) => "an absolute pressure",
            Unsaid(..) | Pascal => "a pressure",
            Power(_) => "a power",
            VolumeRate(_) => "a flow by volume",
            Volume(_) => "a volume",
            Velocity(_) => "a velocity",
            Density(_) => "a density",
            MassRate(_) => "a flow by mass",
            Mass(_) => "a mass",
            Level => "a sound level",
        }
    }

    /// The SI value of a number in this unit as that kind; `None` where the unit is of another kind.
    fn to_si(self, number: f64, kind: Kind, atmosphere: f64) -> Option<f64> {
        match (kind, self) {
            (Kind::Temperature, Fahrenheit) => Some(factor::fahrenheit_to_kelvin(number)),
            (Kind::Temperature, Celsius) => Some(number + 273.15),
            (Kind::Temperature | Kind::Difference, Kelvin) | (Kind::Difference, Celsius) | (Kind::Level, Level) => {
                Some(number)
            }
            (Kind::Difference, Fahrenheit | Rankine) => Some(number * factor::FAHRENHEIT_DEGREE),
            (Kind::Pressure, Gauge(factor, _)) => Some(number * factor + atmosphere),
            (Kind::Pressure | Kind::PressureDifference | Kind::Stress | Kind::Rating, Pascal) => Some(number),
            (Kind::Length | Kind::SmallLength, Length(factor))
            | (Kind::Pressure, Absolute(factor, _))
            | (Kind::Rating, Gauge(factor, _))
            | (Kind::PressureDifference | Kind::Stress | Kind::Rating, Unsaid(factor, _))
            | (Kind::Power | Kind::Capacity | Kind::Heat, Power(factor))
            | (Kind::VolumeRate, VolumeRate(factor))
            | (Kind::Volume | Kind::RoomVolume, Volume(factor))
            | (Kind::Velocity | Kind::Wind, Velocity(factor))
            | (Kind::Density, Density(factor))
            | (Kind::MassRate, MassRate(factor))
            | (Kind::Mass, Mass(factor)) => Some(number * factor),
            _ => None,
        }
    }
}

/// A unit as spelt, with spaces, brackets, `^`, `deg ` and letter case forgiven.
fn unit(text: &str) -> Option<(&'static str, Measure)> {
    let text: String = text.chars().filter(|c| !matches!(c, ' ' | '^' | '.' | '(' | ')')).take(24).collect();
    let same = |by: fn(&str, &str) -> bool| {
        UNITS.iter().find(|(spellings, _)| spellings.iter().any(|s| by(s, &text))).map(|(s, m)| (s[0], *m))
    };
    same(|a, b| a == b).or_else(|| same(str::eq_ignore_ascii_case))
}

/// The SI value of a text as a quantity of that kind. Gauge pressures become absolute with the given atmospheric
/// pressure in Pa. The unit system only chooses what a mistake suggests.
///
/// ```
/// use roofrun::units::{Kind, System, quantity};
/// let read = |text, kind| quantity(text, kind, System::Ip, 101_325.0);
/// assert!((read("12'6\"", Kind::Length).unwrap() - 3.81).abs() < 1e-12);
/// assert!((read("96 F", Kind::Temperature).unwrap() - 308.706).abs() < 1e-3);
/// assert!((read("10 F", Kind::Difference).unwrap() - 5.556).abs() < 1e-3);
/// assert!((read("4.1 MPa(a)", Kind::Pressure).unwrap() - 4.1e6).abs() < 1e-6);
/// ```
///
/// # Errors
/// A [`Misread`] says what is wrong with the text and, where it can be known, what to write instead.
pub fn quantity(text: &str, kind: Kind, system: System, atmosphere_pascals: f64) -> Result<f64, Misread> {
    let plain = plain(text);
    let usual = kind.usual_unit(system);
    let Some(number) = head(&plain) else {
        return Err(match unit(&plain) {
            Some((unit, _)) => Misread::new(format!("a unit, {unit}, without its number")),
            None if plain.is_empty() => Misread::new("nothing in the quotes"),
            None => Misread::new(format!("`{}` does not begin with a number", short(&plain))),
        });
    };
    if !number.value.is_finite() {
        return Err(Misread::new(format!("{} is beyond all numbers", short(number.text))));
    }
    if number.rest.is_empty() {
        return Err(without_unit(number.text, kind, system));
    }
    if let Some(misread) = broken_number(&plain, &number) {
        return Err(misread);
    }
    if let Some((spelling, measure)) = unit(number.rest) {
        return match measure.to_si(number.value, kind, atmosphere_pascals) {
            Some(value) if value.is_finite() => Ok(value),
            Some(_) => Err(Misread::new(format!("{} is beyond all numbers", short(number.text)))),
            None => Err(wrong_kind(number.text, spelling, measure, kind, system)),
        };
    }
    if let Some(metres) = feet_and_inches(&number)? {
        return Length(1.0)
            .to_si(metres, kind, atmosphere_pascals)
            .ok_or_else(|| wrong_kind(&plain, "", Length(1.0), kind, system));
    }
    let known = UNITS
        .iter()
        .filter(|(_, m)| m.to_si(1.0, kind, 0.0).is_some())
        .flat_map(|(spellings, _)| spellings.iter().map(|s| (*s, spellings[0])));
    let near = nearest(number.rest, known.clone().map(|(s, _)| s))
        .and_then(|near| known.clone().find(|(s, _)| *s == near))
        .map(|(_, shown)| shown);
    let says = format!("`{}` is no unit of {}", short(number.rest), bare(kind));
    Err(match near {
        Some(near) => Misread::instead(says, format!("{} {near}", number.text)),
        None if unit(number.rest.trim_start_matches(|c: char| !c.is_alphabetic())).is_some() => {
            Misread::new(format!("`{}` is not one number", short(&plain)))
        }
        None => Misread::new(format!("{says}; write {usual}, for instance")),
    })
}

/// A pressure whose unit says neither gauge nor absolute, as gauge: `28 barg` for `28 bar`.
#[must_use]
pub fn as_gauge(text: &str) -> Option<String> {
    let plain = plain(text);
    let number = head(&plain)?;
    match unit(number.rest)?.1 {
        Unsaid(_, unit) => Some(format!("{} {unit}g", number.text)),
        _ => None,
    }
}

/// The [`Misread`] of a number without a unit, with the unit that is usual.
#[must_use]
pub fn without_unit(number: &str, kind: Kind, system: System) -> Misread {
    Misread::instead("a number without a unit", format!("{number} {}", kind.usual_unit(system)))
}

/// The factor from a unit alone to SI, for coefficients that carry theirs apart: `lb/h` of a mass flow.
///
/// # Errors
/// Where the text is no unit of that kind, or one with an offset.
pub fn unit_factor(text: &str, kind: Kind) -> Result<f64, Misread> {
    let plain = plain(text);
    let allowed: Vec<&str> =
        UNITS.iter().filter(|(_, m)| m.to_si(1.0, kind, 0.0).is_some()).map(|(s, _)| s[0]).collect();
    if let Some(factor) = unit(&plain).and_then(|(_, measure)| measure.to_si(1.0, kind, 0.0)) {
        return Ok(factor);
    }
    let says = format!("`{}` is no unit of {}: {}", short(&plain), bare(kind), allowed.join(", "));
    Err(Misread { says, instead: nearest(&plain, allowed).map(str::to_owned) })
}

/// The kind's name without its article.
fn bare(kind: Kind) -> &'static str {
    let says = kind.says();
    says.strip_prefix("a ").or_else(|| says.strip_prefix("an ")).unwrap_or(says)
}

/// At most so much of a text as a message can carry.
fn short(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_owned() } else { text.chars().take(37).chain("...".chars()).collect() }
}

/// Commas and spaces within a number.
fn broken_number(plain: &str, number: &Head<'_>) -> Option<Misread> {
    let after = plain[number.text.len()..].chars().next()?;
    let group = number.rest.trim_start_matches(',');
    let count = group.bytes().take_while(u8::is_ascii_digit).count();
    if count == 0 {
        return None;
    }
    let tail = &group[count..];
    let joined = format!("{}{}{tail}", number.text, &group[..count]);
    if number.rest.starts_with(',') {
        let point = format!("{}.{}{tail}", number.text, &group[..count]);
        return Some(if count == 3 && !tail.starts_with(',') {
            Misread::new(format!("a comma within a number: write {joined}, or {point} where a decimal point is meant"))
        } else if tail.starts_with(',') {
            Misread::instead("commas within a number", plain.replace(',', ""))
        } else {
            Misread::instead("a decimal comma; write a point", point)
        });
    }
    if after == ' ' && count == 3 && number.text.bytes().all(|b| b.is_ascii_digit() || b == b'-') {
        return Some(Misread::instead("a space within a number", joined));
    }
    None
}

/// `12 ft 6 in` after its first number, in m; `None` where it is not of that form.
fn feet_and_inches(feet: &Head<'_>) -> Result<Option<f64>, Misread> {
    let Some(rest) = ["'", "feet", "foot", "ft"].iter().find_map(|unit| feet.rest.strip_prefix(unit)) else {
        return Ok(None);
    };
    let rest = rest.trim_start();
    let rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    let Some(inches) = head(rest).filter(|_| rest.starts_with(|c: char| c.is_ascii_digit() || c == '.')) else {
        return Ok(None);
    };
    match unit(inches.rest) {
        Some((_, measure)) if measure == Length(factor::INCH) => {}
        None if inches.rest.is_empty() => {
            let instead = format!("{} ft {} in", feet.text, inches.text);
            return Err(Misread::instead("inches without their unit", instead));
        }
        _ => return Ok(None),
    }
    if inches.value >= 12.0 {
        return Err(Misread::new(format!("{} inches after feet; they stay under 12", inches.text)));
    }
    let inward = if feet.text.starts_with('-') { -inches.value } else { inches.value };
    Ok(Some(feet.value * factor::FOOT + inward * factor::INCH))
}

fn wrong_kind(number: &str, spelling: &str, measure: Measure, kind: Kind, system: System) -> Misread {
    let typed = format!("{number} {spelling}");
    let typed = typed.trim_end();
    match (kind, measure) {
        (Kind::Pressure, Unsaid(_, unit)) => Misread::instead(
            format!("\"{typed}\" does not say gauge or absolute: {unit}g or {unit}a"),
            format!("{number} {unit}g"),
        ),
        (Kind::PressureDifference, Gauge(_, plain) | Absolute(_, plain)) => Misread::instead(
            format!("\"{typed}\" is {}, not a difference of two pressures", measure.says()),
            format!("{number} {plain}"),
        ),
        (Kind::Rating, Absolute(_, plain)) => Misread::instead(
            format!("\"{typed}\" is an absolute pressure; a tube is rated in gauge pressure"),
            format!("{number} {plain}g"),
        ),
        (Kind::Temperature, Rankine) => {
            Misread::new(format!("\"{typed}\" is a temperature difference; write {}", kind.usual_unit(system)))
        }
        _ => Misread::new(format!("\"{typed}\" is {}, not {}", measure.says(), kind.says())),
    }
}

#[cfg(test)]
#[path = "parse_tests.rs"]
mod tests;
