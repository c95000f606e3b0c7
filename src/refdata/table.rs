//! Reading the embedded tables.

use crate::units::factor::{FOOT, INCH};
use crate::units::{Length, metres};
use serde::de::DeserializeOwned;

/// A length from inches.
pub fn inches(value: f64) -> Length {
    metres(value * INCH)
}

/// A length from feet.
pub fn feet(value: f64) -> Length {
    metres(value * FOOT)
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
