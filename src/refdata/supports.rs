//! How far apart a tube's supports may stand.

use super::code::Code;
use super::table::{feet, inches, rows};
use super::tubes::{Material, Tube};
use crate::units::{Length, metres};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/supports.csv");

/// The table of metric tube.
const EU_TEXT: &str = include_str!("../../refdata/supports_eu.csv");

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

#[derive(Deserialize)]
struct EuRow {
    material: Material,
    size_to_mm: f64,
    level_m: f64,
    upright_m: f64,
    source: String,
}

fn table() -> &'static [Row] {
    static TABLE: OnceLock<Vec<Row>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

fn eu_table() -> &'static [EuRow] {
    static TABLE: OnceLock<Vec<EuRow>> = OnceLock::new();
    TABLE.get_or_init(|| rows(EU_TEXT).unwrap_or_default())
}

/// Greatest distance between supports of a tube, by material and size: nominal size, but the outside diameter of copper where the
/// codes are European.
///
/// Sources: `irc-p2605`, `metric-supports`.
///
/// ```
/// use roofrun::refdata::{Code, support_spacing, tube};
/// let feet = support_spacing(Code::Us, tube("1-3/8 ACR").unwrap()).unwrap().level.value / 0.3048;
/// assert_eq!(format!("{feet:.0}"), "6");
/// let metres = support_spacing(Code::Eu, tube("42 x 1.5").unwrap()).unwrap().level.value;
/// assert_eq!(format!("{metres:.1}"), "2.4");
/// ```
#[must_use]
pub fn support_spacing(code: Code, tube: &Tube) -> Option<SupportSpacing> {
    let size = match (code, tube.material) {
        (Code::Eu, Material::Copper) => tube.outside,
        _ => tube.nominal(),
    };
    let within = |material: Material, to: Length| material == tube.material && size * (1.0 - 1e-9) <= to;
    Some(match code {
        Code::Us => {
            let row = table().iter().find(|row| within(row.material, inches(row.nominal_to_in)))?;
            SupportSpacing { level: feet(row.level_ft), upright: feet(row.upright_ft), source: &row.source }
        }
        Code::Eu => {
            let row = eu_table().iter().find(|row| within(row.material, metres(row.size_to_mm * 1e-3)))?;
            SupportSpacing { level: metres(row.level_m), upright: metres(row.upright_m), source: &row.source }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tube_has_a_spacing() {
        assert_eq!(rows::<Row>(TEXT).unwrap().len(), 3);
        assert_eq!(rows::<EuRow>(EU_TEXT).unwrap().len(), 10);
        for code in [Code::Us, Code::Eu] {
            assert!(crate::refdata::tubes().iter().all(|t| support_spacing(code, t).is_some()));
        }
    }
}
