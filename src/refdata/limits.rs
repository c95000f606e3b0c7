//! Default limits of the rules.

use super::table::rows;
use crate::units::Kind;
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/limits.csv");

/// Which way a limit keeps people or the plant from harm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Safety {
    /// At least so much: a smaller one requires less.
    Minimum,
    /// At most so much: a greater one requires less.
    Maximum,
}

/// A default limit.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Limit {
    /// Its key in `[limits]` of a job.
    pub key: String,
    /// The limit, SI.
    pub value: f64,
    /// What kind of quantity it is.
    pub kind: Kind,
    /// Whether it keeps people or the plant from harm, and which way.
    pub safety: Option<Safety>,
    /// What it means, in words.
    pub says: String,
    /// Source key.
    pub source: String,
}

impl Limit {
    /// Whether that value of a job's own requires less than a limit that keeps from harm.
    #[must_use]
    pub fn is_weakened_by(&self, own: f64) -> bool {
        match self.safety {
            Some(Safety::Minimum) => own < self.value,
            Some(Safety::Maximum) => own > self.value,
            None => false,
        }
    }
}

/// All limits.
#[must_use]
pub fn limits() -> &'static [Limit] {
    static TABLE: OnceLock<Vec<Limit>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// The limit of that key.
///
/// ```
/// let limit = roofrun::refdata::limit("liquid_velocity").unwrap();
/// assert_eq!(format!("{:.3} {}", limit.value, limit.kind.si_unit()), "1.524 m/s"); // 300 fpm
/// ```
#[must_use]
pub fn limit(key: &str) -> Option<&'static Limit> {
    limits().iter().find(|l| l.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_table_reads() {
        assert_eq!(rows::<Limit>(TEXT).unwrap().len(), 76);
    }

    #[test]
    fn what_keeps_from_harm_is_weakened_one_way_only() {
        let weakened = |key: &str, own: f64| limit(key).unwrap().is_weakened_by(own);
        assert_eq!(limits().iter().filter(|limit| limit.safety.is_some()).count(), 22);
        assert!(weakened("guard_height", 1.0) && !weakened("guard_height", 1.0668) && !weakened("guard_height", 1.2));
        assert!(weakened("receiver_fill", 0.9) && !weakened("receiver_fill", 0.8) && !weakened("receiver_fill", 0.7));
        assert!(!weakened("liquid_velocity", 0.1) && !weakened("liquid_velocity", 9.0));
        assert!(!weakened("guard_height", f64::NAN));
    }

    #[test]
    fn values_are_the_trade_numbers() {
        let is = |key: &str, si: f64| assert_relative_eq!(limit(key).unwrap().value, si, max_relative = 1e-15);
        is("discharge_drop_caution", 1.0 / 1.8);
        is("discharge_drop", 3.0 / 1.8);
        is("liquid_drop", 2.0 / 1.8);
        is("discharge_velocity_caution", 3500.0 * 0.3048 / 60.0);
        is("discharge_velocity", 4000.0 * 0.3048 / 60.0);
        is("oil_level", 500.0 * 0.3048 / 60.0);
        is("liquid_velocity", 300.0 * 0.3048 / 60.0);
        is("drain_velocity", 100.0 * 0.3048 / 60.0);
        is("trap_height", 8.0 * 0.3048);
        is("trap_spacing", 20.0 * 0.3048);
        is("slope", 0.5 / 120.0);
        is("design_above_summer", 30.0 / 1.8);
        is("design_minimum", (122.0 + 459.67) / 1.8);
        is("receiver_temperature", (90.0 + 459.67) / 1.8);
        is("elevations_length", 2.0 * 0.3048);
        is("fan_air_minimum", 0.05);
        is("steel_schedule_80", 1.5 * 0.0254);
    }
}
