//! `clearance`: to be written.

use super::{Finding, Look, Rule};
use crate::roof::RoofStudy;

/// The rule.
pub const RULE: Rule = Rule {
    id: "clearance",
    question: "To be written?",
    explanation: "To be written.",
    limits: &[],
    look: Look::Roof(look),
};

fn look(_job: &crate::job::Job, _study: &RoofStudy) -> Vec<Finding> {
    Vec::new()
}
