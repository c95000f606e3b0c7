//! Fittings as equivalent lengths of their own tube.

use super::table::{between, feet, inches, rows};
use super::tubes::{Tube, tube};
use crate::units::{Length, metres};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The fittings.
const FITTINGS: &str = include_str!("../../refdata/fittings.csv");
/// Their lengths by nominal size.
const LENGTHS: &str = include_str!("../../refdata/equivalent_lengths.csv");
/// The tube whose nominal size is the smallest of the table.
const SMALLEST: &str = "1/2 L";
/// The tube whose nominal size is the largest of the table.
const LARGEST: &str = "6-1/8 L";

/// A fitting.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitting {
    /// Its name in a job file, `long-elbow`.
    pub name: String,
    /// What it is, in words.
    pub says: String,
    /// What is bought for it.
    pub bought_as: String,
    /// How many of these.
    pub pieces: u32,
    /// Joints that each piece brings: one for each end that tube or another fitting goes into.
    pub joints: u32,
    /// Source key.
    pub source: String,
    /// Source key of its lengths.
    pub lengths_source: String,
    /// Nominal size and equivalent length, m, rising.
    lengths: Vec<(f64, f64)>,
}

impl Fitting {
    /// Length of straight tube that loses as much as the fitting does.
    ///
    /// By the tube's nominal size: exactly the listed value at a listed size, in proportion between two. Below 3/8 in
    /// (tube of 1/2 in outside) and above 6 in the listed value of that end is scaled by the bore, which keeps its
    /// L/D.
    ///
    /// Source: `ashrae-halocarbon`.
    ///
    /// ```
    /// use roofrun::refdata::{fitting, tube};
    /// let elbow = fitting("long-elbow").unwrap();
    /// let feet = elbow.equivalent_length(tube("1-5/8 ACR").unwrap()).value / 0.3048;
    /// assert_eq!(format!("{feet:.1}"), "2.6");
    /// ```
    #[must_use]
    pub fn equivalent_length(&self, of: &Tube) -> Length {
        let nominal = of.nominal().value;
        let by_bore = |end: &str, length: f64| match tube(end) {
            Some(end) => length * of.bore().value / end.bore().value,
            None => length,
        };
        let beyond = |end: f64, above: bool| {
            let room = 1e-9 * end;
            if above { nominal > end + room } else { nominal < end - room }
        };
        metres(match (self.lengths.first(), self.lengths.last()) {
            (Some(&(size, length)), _) if beyond(size, false) => by_bore(SMALLEST, length),
            (_, Some(&(size, length))) if beyond(size, true) => by_bore(LARGEST, length),
            _ => between(&self.lengths, nominal),
        })
    }
}

#[derive(Deserialize)]
struct FittingRow {
    name: String,
    made_of: String,
    times: f64,
    bought_as: String,
    pieces: u32,
    joints: u32,
    says: String,
    source: String,
}

#[derive(Deserialize)]
struct LengthRow {
    nominal_in: f64,
    source: String,
    #[serde(flatten)]
    columns: BTreeMap<String, f64>,
}

fn read() -> Result<Vec<Fitting>, String> {
    let lengths: Vec<LengthRow> = rows(LENGTHS).map_err(|bad| bad.to_string())?;
    rows::<FittingRow>(FITTINGS)
        .map_err(|bad| bad.to_string())?
        .into_iter()
        .map(|row| {
            let column = format!("{}_ft", row.made_of.replace('-', "_"));
            let of = |l: &LengthRow| {
                l.columns.get(&column).map(|ft| (inches(l.nominal_in).value, feet(row.times * ft).value))
            };
            Ok(Fitting {
                lengths: lengths.iter().map(of).collect::<Option<_>>().ok_or(format!("no lengths for `{column}`"))?,
                lengths_source: lengths.first().map(|l| l.source.clone()).unwrap_or_default(),
                name: row.name,
                says: row.says,
                bought_as: row.bought_as,
                pieces: row.pieces,
                joints: row.joints,
                source: row.source,
            })
        })
        .collect()
}

/// All fittings.
#[must_use]
pub fn fittings() -> &'static [Fitting] {
    static TABLE: OnceLock<Vec<Fitting>> = OnceLock::new();
    TABLE.get_or_init(|| read().unwrap_or_default())
}

/// The fitting of that name.
#[must_use]
pub fn fitting(name: &str) -> Option<&'static Fitting> {
    fittings().iter().find(|f| f.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refdata::tubes;
    use approx::assert_relative_eq;

    fn feet_of(fitting_name: &str, tube_name: &str) -> f64 {
        fitting(fitting_name).unwrap().equivalent_length(tube(tube_name).unwrap()).value / 0.3048
    }

    #[test]
    fn the_tables_read() {
        assert_eq!(read().unwrap().len(), 13);
        assert!(read().unwrap().iter().all(|f| f.lengths.len() == 13));
    }

    #[test]
    fn listed_sizes_are_exact() {
        assert_relative_eq!(feet_of("elbow", "1/2 ACR"), 1.4, max_relative = 1e-12);
        assert_relative_eq!(feet_of("elbow", "1-3/8 K"), 3.3, max_relative = 1e-12);
        assert_relative_eq!(feet_of("elbow", "6-1/8 L"), 16.0, max_relative = 1e-12);
        assert_relative_eq!(feet_of("tee-branch", "2 Sch40"), 10.0, max_relative = 1e-12);
    }

    #[test]
    fn between_sizes_in_proportion() {
        // 3/4 in tube is nominal 5/8, half way between 1/2 and 3/4.
        assert_relative_eq!(feet_of("elbow", "3/4 ACR"), 1.8, max_relative = 1e-12);
    }

    #[test]
    fn below_the_table_by_the_bore() {
        // 1/4 in: bore 0.190 in; 1/2 L: 0.430 in.
        assert_relative_eq!(feet_of("elbow", "1/4 ACR"), 1.4 * 0.190 / 0.430, max_relative = 1e-12);
    }

    #[test]
    fn a_trap_is_three_elbows() {
        for t in tubes() {
            let elbow = fitting("elbow").unwrap().equivalent_length(t);
            for name in ["trap", "loop"] {
                assert_eq!(fitting(name).unwrap().pieces, 3);
                let three = fitting(name).unwrap().equivalent_length(t);
                assert_relative_eq!(three.value, 3.0 * elbow.value, max_relative = 1e-12);
            }
        }
    }

    #[test]
    fn larger_tube_never_has_the_shorter_length() {
        for f in fittings() {
            for kind in ["ACR", "L", "K", "Sch40", "Sch80"] {
                let of_kind: Vec<_> = tubes().iter().filter(|t| t.kind == kind).collect();
                for pair in of_kind.windows(2) {
                    assert!(f.equivalent_length(pair[0]) < f.equivalent_length(pair[1]), "{} {}", f.name, pair[1].name);
                }
            }
        }
    }
}
