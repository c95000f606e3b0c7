//! What a rule is and what it answers.

use super::case::Case;
use super::mend::Tries;
use crate::job::Job;
use crate::roof::RoofStudy;
use crate::survey::{DEFERRAL, Survey};
use crate::year::Year;
use serde::Serialize;

/// How a mend tells what charge the circuit would have.
pub(super) const CHARGE_TOLD: &str = "the charge then being";

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
    pub look: Look,
}

/// What a rule looks at.
#[derive(Clone, Copy)]
pub enum Look {
    /// Each circuit by itself.
    Circuit(fn(&Case) -> Vec<Finding>),
    /// The circuits together.
    Plant(fn(&Job, &Survey) -> Vec<Finding>),
    /// The roof, where it is studied.
    Roof(fn(&Job, &RoofStudy) -> Vec<Finding>),
    /// The year, where it is run.
    Year(fn(&Job, &Year) -> Vec<Finding>),
}

impl Rule {
    /// Its findings about a job; those about its site are `check_site`.
    #[must_use]
    pub fn check(&self, job: &Job, survey: &Survey) -> Vec<Finding> {
        match self.look {
            Look::Circuit(look) => Case::all(job, survey).flat_map(|case| look(&case)).collect(),
            Look::Plant(look) => look(job, survey),
            Look::Roof(_) | Look::Year(_) => Vec::new(),
        }
    }
}

impl Finding {
    /// A finding that says nothing yet.
    pub(super) fn new(rule: &'static str, verdict: Verdict, circuit: Option<&str>) -> Self {
        Self {
            rule,
            verdict,
            circuit: circuit.map(str::to_owned),
            point: None,
            r#where: None,
            value: None,
            limit: None,
            unit: None,
            says: String::new(),
            mend: None,
            source: String::new(),
        }
    }

    /// At that operating point.
    pub(super) fn at(mut self, point: impl Into<String>) -> Self {
        self.point = Some(point.into());
        self
    }

    /// At that place.
    pub(super) fn place(mut self, place: impl Into<String>) -> Self {
        self.r#where = Some(place.into());
        self
    }

    /// What was found against which limit, SI. A value that is not finite is left out.
    pub(super) fn found(mut self, value: f64, limit: impl Into<Option<f64>>, unit: &'static str) -> Self {
        self.value = Some(value).filter(|v| v.is_finite());
        self.limit = limit.into().filter(|v| v.is_finite());
        self.unit = Some(unit);
        self
    }

    /// In a sentence or two.
    pub(super) fn says(mut self, says: impl Into<String>) -> Self {
        self.says = says.into();
        self
    }

    /// Where the limit comes from.
    pub(super) fn by(mut self, source: impl Into<String>) -> Self {
        self.source = source.into();
        self
    }

    /// What would mend it, sought only where something is wrong and the case wants to know.
    pub(super) fn mended(mut self, case: &Case, search: impl FnOnce(&mut Tries) -> Option<String>) -> Self {
        if case.mending && self.verdict > Verdict::Note {
            self.mend = search(&mut Tries::new(case, self.rule, self.verdict));
            if self.mend.is_none() && self.verdict == Verdict::Fail {
                self.mend = Some("No one change that was tried mends it.".to_owned());
            }
            // Who decides about a charge stands once wherever one is told.
            if let Some(mend) = &mut self.mend
                && mend.contains(CHARGE_TOLD)
                && !self.says.contains(DEFERRAL)
            {
                mend.push(' ');
                mend.push_str(DEFERRAL);
            }
        }
        self
    }
}
