//! Reading the embedded tables.

use crate::units::{Length, metres};
use serde::de::DeserializeOwned;

/// Inch, m.
pub const INCH: f64 = 0.0254;
/// Foot, m.
pub const FOOT: f64 = 0.3048;
/// Pound-force per square inch, Pa: 4.448 221 615 260 5 N over a square inch.
pub const PSI: f64 = 4.448_221_615_260_5 / (INCH * INCH);

/// A length from inches.
pub fn inches(value: f64) -> Length {
    metres(value * INCH)
}

/// A length from feet.
pub fn feet(value: f64) -> Length {
    metres(value * FOOT)
}

/// Kelvin from degrees Fahrenheit.
pub fn kelvin_from_fahrenheit(value: f64) -> f64 {
    (value + 459.67) / 1.8
}

/// Every row of a table with a heading; lines that begin with `#` are remarks.
///
/// # Errors
/// A row that does not fit `Row`.
pub fn rows<Row: DeserializeOwned>(text: &str) -> Result<Vec<Row>, csv::Error> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
        .deserialize()
        .collect()
}

/// Linear between neighbours; the end segments go on beyond the ends. A listed x gives its y exactly.
pub fn between(points: &[(f64, f64)], x: f64) -> f64 {
    let above = points.partition_point(|p| p.0 < x).clamp(1, points.len().saturating_sub(1).max(1));
    let (Some(&(x0, y0)), Some(&(x1, y1))) = (points.get(above - 1), points.get(above)) else {
        return points.first().map_or(0.0, |p| p.1);
    };
    let share = (x - x0) / (x1 - x0);
    y0 * (1.0 - share) + y1 * share
}

/// Whether a flag column says yes; anything but `yes` and `no` is refused.
pub fn yes_or_no<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<bool, D::Error> {
    let text = <std::borrow::Cow<'de, str> as serde::Deserialize>::deserialize(deserializer)?;
    match text.as_ref() {
        "yes" => Ok(true),
        "no" => Ok(false),
        other => Err(serde::de::Error::custom(format!("`{other}` is neither yes nor no"))),
    }
}
