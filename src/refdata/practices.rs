//! What a take-off counts by.

use super::table::rows;
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/practices.csv");

/// A figure that a take-off counts by.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Practice {
    /// Its key.
    pub key: String,
    /// The figure, SI.
    pub value: f64,
    /// Its SI unit, `-` for a ratio.
    pub unit: String,
    /// What it means, in words.
    pub says: String,
    /// Source key.
    pub source: String,
}

/// All of them.
#[must_use]
pub fn practices() -> &'static [Practice] {
    static TABLE: OnceLock<Vec<Practice>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// The figure of that key.
///
/// ```
/// let length = roofrun::refdata::practice("straight_length_copper").unwrap();
/// assert_eq!(format!("{:.3} {}", length.value, length.unit), "6.096 m"); // 20 ft
/// ```
#[must_use]
pub fn practice(key: &str) -> Option<&'static Practice> {
    practices().iter().find(|practice| practice.key == key)
}

/// Its value, SI; NaN, which nothing compares with, for a key that there is not.
pub(crate) fn figure(key: &str) -> f64 {
    practice(key).map_or(f64::NAN, |practice| practice.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads() {
        let read = rows::<Practice>(TEXT).unwrap();
        assert_eq!(read.len(), 19);
        assert!(read.iter().all(|practice| practice.value > 0.0 && !practice.says.is_empty()));
    }
}
