//! How far apart a tube's supports may stand.

use super::table::{feet, inches, rows};
use super::tubes::{Material, Tube};
use crate::units::Length;
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/supports.csv");

/// Greatest distance between supports.
#[derive(Clone, Debug, PartialEq)]
pub struct SupportSpacing {
    /// Of a level tube.
    pub level: Length,
    /// Of an upright tube.
    pub upright: Length,
    /// Source key.
    pub source: &'static str,
}

#[derive(Deserialize)]
struct Row {
    material: Material,
    nominal_to_in: f64,
    level_ft: f64,
    upright_ft: f64,
    source: String,
}

fn table() -> &'static [Row] {
    static TABLE: OnceLock<Vec<Row>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// Greatest distance between supports of a tube, by material and nominal size.
///
/// Source: `irc-p2605`.
///
/// ```
/// use roofrun::refdata::{support_spacing, tube};
/// let feet = support_spacing(tube("1-3/8 ACR").unwrap()).unwrap().level.value / 0.3048;
/// assert_eq!(format!("{feet:.0}"), "6");
/// ```
#[must_use]
pub fn support_spacing(tube: &Tube) -> Option<SupportSpacing> {
    let nominal = tube.nominal().value * (1.0 - 1e-9);
    let row = table().iter().find(|r| r.material == tube.material && nominal <= inches(r.nominal_to_in).value)?;
    Some(SupportSpacing { level: feet(row.level_ft), upright: feet(row.upright_ft), source: &row.source })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tube_has_a_spacing() {
        assert_eq!(rows::<Row>(TEXT).unwrap().len(), 3);
        assert!(crate::refdata::tubes().iter().all(|t| support_spacing(t).is_some()));
    }
}
