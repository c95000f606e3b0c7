//! A remedy: what it changes, does and costs.

use super::change::Change;
use super::cost::Cost;
use super::effect::Effect;

/// A set of changes, and what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What it changes.
    pub changes: Vec<Change>,
    /// What it does to the findings.
    pub effect: Effect,
    /// What it costs.
    pub cost: Cost,
}
