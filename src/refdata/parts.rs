//! Parts of the lines and what they typically lose.

use super::table::{rows, yes_or_no};
use crate::units::factor::PSI;
use crate::units::{PressureDifference, pascals};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/parts.csv");

/// The lines that a part belongs in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Lines {
    /// The discharge line.
    Discharge,
    /// The liquid line.
    Liquid,
    /// Either.
    Both,
}

/// What stands for a part whose loss the job does not give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Typical {
    /// Loss at the circuit's rated flow.
    Loss(PressureDifference),
    /// Equivalent length in bores of the line's tube, L/D.
    Bores(f64),
}

/// A kind of part.
#[expect(clippy::struct_excessive_bools, reason = "columns of a table")]
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(try_from = "Row")]
pub struct PartFacts {
    /// Its name in a job file, `filter-drier`.
    pub name: String,
    /// The lines it belongs in.
    pub lines: Lines,
    /// What it typically loses.
    pub typical: Typical,
    /// Whether it shuts fast.
    pub closes: bool,
    /// Whether it stops back flow.
    pub checks: bool,
    /// Whether it is shut by hand.
    pub by_hand: bool,
    /// Whether it relieves what is shut in.
    pub relieves: bool,
    /// Whether it is a receiver.
    pub receiver: bool,
    /// Whether oil lies in it where it stands in a riser.
    pub pockets: bool,
    /// What it is, in words.
    pub says: String,
    /// Source key.
    pub source: String,
}

#[derive(Deserialize)]
#[expect(clippy::struct_excessive_bools, reason = "columns of a table")]
struct Row {
    name: String,
    lines: Lines,
    loss_psi: Option<f64>,
    bores: Option<f64>,
    #[serde(deserialize_with = "yes_or_no")]
    closes: bool,
    #[serde(deserialize_with = "yes_or_no")]
    checks: bool,
    #[serde(deserialize_with = "yes_or_no")]
    by_hand: bool,
    #[serde(deserialize_with = "yes_or_no")]
    relieves: bool,
    #[serde(deserialize_with = "yes_or_no")]
    receiver: bool,
    #[serde(deserialize_with = "yes_or_no")]
    pockets: bool,
    says: String,
    source: String,
}

impl TryFrom<Row> for PartFacts {
    type Error = String;

    fn try_from(row: Row) -> Result<Self, String> {
        let typical = match (row.loss_psi, row.bores) {
            (Some(psi), None) => Typical::Loss(pascals(psi * PSI)),
            (None, Some(bores)) => Typical::Bores(bores),
            _ => return Err(format!("`{}` has not exactly one of a loss and a length", row.name)),
        };
        Ok(Self {
            name: row.name,
            lines: row.lines,
            typical,
            closes: row.closes,
            checks: row.checks,
            by_hand: row.by_hand,
            relieves: row.relieves,
            receiver: row.receiver,
            pockets: row.pockets,
            says: row.says,
            source: row.source,
        })
    }
}

/// All kinds of part.
#[must_use]
pub fn parts() -> &'static [PartFacts] {
    static TABLE: OnceLock<Vec<PartFacts>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// The kind of part of that name.
///
/// ```
/// let valve = roofrun::refdata::part("solenoid valve").unwrap();
/// assert!(valve.closes && !valve.checks);
/// ```
#[must_use]
pub fn part(name: &str) -> Option<&'static PartFacts> {
    parts().iter().find(|p| p.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_every_part_loses_something() {
        let parts: Vec<PartFacts> = rows(TEXT).unwrap();
        assert!(parts.len() >= 15);
        for p in parts {
            match p.typical {
                Typical::Loss(loss) => assert!(loss.value > 0.0 && loss.value < 1e5, "{}", p.name),
                Typical::Bores(bores) => assert!(bores > 0.0 && bores < 1000.0, "{}", p.name),
            }
        }
    }

    #[test]
    fn flags_are_where_they_belong() {
        let named = |flag: fn(&PartFacts) -> bool| {
            parts().iter().filter(|p| flag(p)).map(|p| p.name.as_str()).collect::<Vec<_>>()
        };
        assert_eq!(named(|p| p.closes), ["solenoid valve"]);
        assert_eq!(named(|p| p.checks), ["check valve", "swing check valve"]);
        assert_eq!(named(|p| p.receiver), ["receiver"]);
        assert_eq!(named(|p| p.by_hand).len(), 5);
        assert_eq!(named(|p| p.relieves), ["relief valve"]);
    }
}
