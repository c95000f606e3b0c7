//! Factors of the relief capacity by refrigerant.

use super::table::rows;
use crate::units::factor::{FOOT, POUND_PER_MINUTE};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/relief_factors.csv");

/// The factor of a refrigerant.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ReliefFactor {
    /// Its ASHRAE 34 number.
    pub refrigerant: String,
    /// f, lb/min of air for each ft2 of diameter times length.
    pub f_lb_min_ft2: f64,
    /// Source key.
    pub source: String,
}

impl ReliefFactor {
    /// f, kg/(s m2).
    #[must_use]
    pub fn si(&self) -> f64 {
        self.f_lb_min_ft2 * POUND_PER_MINUTE / (FOOT * FOOT)
    }
}

/// The factor of that refrigerant, where the table has it.
///
/// ```
/// assert_eq!(roofrun::refdata::relief_factor("R-410A").unwrap().f_lb_min_ft2, 2.5);
/// assert!(roofrun::refdata::relief_factor("R-454B").is_none());
/// ```
#[must_use]
pub fn relief_factor(refrigerant: &str) -> Option<&'static ReliefFactor> {
    all().iter().find(|row| row.refrigerant == refrigerant)
}

/// The greatest factor of the table, which asks most of a valve.
#[must_use]
pub fn greatest_relief_factor() -> Option<&'static ReliefFactor> {
    all().iter().max_by(|a, b| a.f_lb_min_ft2.total_cmp(&b.f_lb_min_ft2))
}

fn all() -> &'static [ReliefFactor] {
    static TABLE: OnceLock<Vec<ReliefFactor>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refdata::{facts, source};

    #[test]
    fn the_table_reads_and_knows_its_refrigerants_and_sources() {
        let all = rows::<ReliefFactor>(TEXT).unwrap();
        assert_eq!(all.len(), 9);
        for row in &all {
            assert!(facts(&row.refrigerant).is_some() && source(&row.source).is_some(), "{row:?}");
        }
        // As the reference gives it in SI: 0.08137 kg/(s m2) for each lb/(min ft2).
        assert!((relief_factor("R-32").unwrap().si() - 0.081_37).abs() < 5e-6);
    }
}
