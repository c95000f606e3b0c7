//! Units as loggers write them: behind a number, in a head or in a row of their own.

use crate::job::{Measured, Point};
use crate::units::{Kind, System, quantity};

/// A unit in the spelling that quantities are read in.
pub fn tidy(unit: &str) -> String {
    let unit = unit.trim().trim_matches(['(', ')', '[', ']', '{', '}']).replace(['º', '˚', '\u{fffd}'], "°");
    let plain: String = unit.chars().filter(|c| !matches!(c, '(' | ')' | ' ' | '.')).collect();
    let lower = plain.to_ascii_lowercase();
    let whole = |text: &str| text.to_owned();
    match lower.as_str() {
        "deg" | "°" => whole("°"),
        "f" | "degreesf" | "degf" | "°f" | "fahrenheit" | "deltaf" | "df" => whole("F"),
        "c" | "degreesc" | "degc" | "°c" | "celsius" => whole("°C"),
        "kpaabs" => whole("kPaa"),
        "psiabs" => whole("psia"),
        "barabs" => whole("bara"),
        "kpagauge" => whole("kPag"),
        "psigauge" => whole("psig"),
        "bargauge" => whole("barg"),
        "amps" | "amp" | "a" => whole("A"),
        "volts" | "volt" | "v" => whole("V"),
        "percent" | "pct" => whole("%"),
        _ => plain,
    }
}

/// How numbers of a unit go over to SI: first + second times the number.
pub fn linear(measured: Measured, unit: &str, atmosphere: f64) -> Option<[f64; 2]> {
    let unit = tidy(unit);
    match (measured, unit.as_str()) {
        (Measured::Current, "A") | (Measured::Voltage, "V") | (Measured::Compass, "°") => return Some([0.0, 1.0]),
        (Measured::Current, "mA") => return Some([0.0, 1e-3]),
        (Measured::Share, "%") => return Some([0.0, 0.01]),
        (Measured::Quantity(_), _) => {}
        _ => return None,
    }
    let Measured::Quantity(kind) = measured else { return None };
    let bare = kind == Kind::Pressure && ["psi", "bar", "kpa", "mpa"].contains(&unit.to_ascii_lowercase().as_str());
    let unit = if bare { format!("{unit}g") } else { unit };
    let at = |number: f64| quantity(&format!("{number} {unit}"), kind, System::Ip, atmosphere).ok();
    let (one, two) = (at(100.0)?, at(200.0)?);
    let slope = (two - one) / 100.0;
    Some([one - 100.0 * slope, slope])
}

/// By how much a number of a column goes up with its unit, SI, where its name or a second row says the unit.
pub fn slope(point: Point, name: &str, second: Option<&String>) -> Option<f64> {
    let measured = point.measured();
    let beside = second.and_then(|unit| linear(measured, unit, 0.0));
    let said = beside.or_else(|| linear(measured, &unit_in(name, measured)?, 0.0));
    said.map(|[_, slope]| slope)
}

/// Whether a cell of a second row is a unit.
pub fn is_unit(text: &str) -> bool {
    let tidied = tidy(text);
    let kinds = [Kind::Pressure, Kind::Temperature, Kind::Power, Kind::VolumeRate, Kind::Wind];
    matches!(tidied.to_ascii_lowercase().as_str(), "%" | "a" | "v" | "°" | "on/off" | "-" | "count" | "hz" | "state")
        || kinds.iter().any(|kind| linear(Measured::Quantity(*kind), &tidied, 0.0).is_some())
}

/// The unit that a name ends with.
pub fn unit_in(name: &str, measured: Measured) -> Option<String> {
    let name = name.trim();
    let closes = [('(', ')'), ('[', ']'), ('{', '}')];
    let bracketed = closes.iter().find_map(|(open, close)| {
        let inner = name.strip_suffix(*close)?;
        // A unit may hold brackets itself: kPa(g).
        let mut starts = inner.match_indices(*open).map(|(at, _)| at);
        starts.find_map(|at| inner.get(at + 1..).filter(|unit| linear(measured, unit, 0.0).is_some()))
    });
    let last = name.rsplit([',', ' ', '_', '-', '/']).next().filter(|last| last.len() < name.len());
    bracketed.or(last).filter(|unit| linear(measured, unit, 0.0).is_some()).map(str::to_owned)
}

/// Units that are looked at where none is said or the one that is said can't be, the usual first.
pub fn usual(measured: Measured, system: System) -> &'static [&'static str] {
    match (measured, system) {
        (Measured::Quantity(Kind::Pressure), System::Ip) => &["psig", "barg", "kPag", "MPag"],
        (Measured::Quantity(Kind::Pressure), System::Si) => &["barg", "kPag", "psig", "MPag"],
        (Measured::Quantity(Kind::Temperature), System::Ip) => &["F", "°C"],
        (Measured::Quantity(Kind::Temperature), System::Si) => &["°C", "F"],
        (Measured::Quantity(Kind::Difference), System::Ip) => &["F", "K"],
        (Measured::Quantity(Kind::Difference), System::Si) => &["K", "F"],
        (Measured::Quantity(Kind::Power), _) => &["kW", "W"],
        (Measured::Quantity(Kind::VolumeRate), System::Ip) => &["gal/min", "L/s", "m3/h"],
        (Measured::Quantity(Kind::VolumeRate), System::Si) => &["L/s", "m3/h", "gal/min"],
        (Measured::Quantity(Kind::Wind), System::Ip) => &["mph", "m/s"],
        (Measured::Quantity(_), _) => &["m/s"],
        (Measured::Current, _) => &["A"],
        (Measured::Voltage, _) => &["V"],
        (Measured::Compass, _) => &["°"],
        (Measured::Share, _) => &["%"],
        (Measured::Count, _) => &[],
    }
}
