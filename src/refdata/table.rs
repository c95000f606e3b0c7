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

/// Whether a flag column says yes; anything but `yes` and `no` is refused.
pub fn yes_or_no<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<bool, D::Error> {
    let text = <std::borrow::Cow<'de, str> as serde::Deserialize>::deserialize(deserializer)?;
    match text.as_ref() {
        "yes" => Ok(true),
        "no" => Ok(false),
        other => Err(serde::de::Error::custom(format!("`{other}` is neither yes nor no"))),
    }
}
