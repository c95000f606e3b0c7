//! `year-load`: to be written.

use super::{Finding, Look, Rule};
use crate::year::Year;

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-load",
    question: "To be written?",
    explanation: "To be written.",
    limits: &[],
    look: Look::Year(look),
};

fn look(_job: &crate::job::Job, _year: &Year) -> Vec<Finding> {
    Vec::new()
}
