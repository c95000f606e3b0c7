//! What a rule is and what it answers.

use crate::job::Job;
use crate::survey::Survey;
use serde::Serialize;

/// How bad it is, in rising order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Holds.
    Pass,
    /// Worth knowing.
    Note,
    /// Holds, with little to spare or against good practice.
    Caution,
    /// Does not hold.
    Fail,
}

/// One answer of one rule.
#[derive(Clone, Debug, Serialize)]
pub struct Finding {
    /// The rule's id.
    pub rule: &'static str,
    /// How bad it is.
    pub verdict: Verdict,
    /// The circuit, unless it is about the plant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub circuit: Option<String>,
    /// The worst operating point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub point: Option<String>,
    /// Where: `discharge run 2`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub r#where: Option<String>,
    /// What was found, SI, in `unit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The limit, SI, in `unit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// SI unit of `value` and `limit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<&'static str>,
    /// The finding in a sentence or two, in the job's units.
    pub says: String,
    /// What would mend it, computed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<String>,
    /// Where the limit comes from, printable.
    pub source: String,
}

/// A rule: text for people and a check.
#[derive(Clone, Copy)]
pub struct Rule {
    /// Its id.
    pub id: &'static str,
    /// The question that it answers, in the trade's words.
    pub question: &'static str,
    /// At length: what is checked, against what, what a fail does to the plant, how the mend is computed.
    pub explanation: &'static str,
    /// Keys of its limits in `refdata`.
    pub limits: &'static [&'static str],
    /// The check. At least one finding for each circuit that it applies to.
    pub check: fn(&Job, &Survey) -> Vec<Finding>,
}
