//! Circuits and findings for the tests of the remedies.

use super::trial::State;
use crate::job::Job;
use crate::rules::finding::Source;
use crate::rules::say::Say;
use crate::rules::testing::by_hand;
use crate::rules::{Case, Finding, Measure, Place, Verdict};
use crate::survey::{PointId, Survey};
use crate::units::Kind;

/// A finding of the first circuit.
pub(super) fn finding(rule: &'static str, verdict: Verdict, place: Option<Place>) -> Finding {
    let (says, source) = (Say::default(), Source::Balance);
    Finding { rule, verdict, circuit: Some(0), when: None, place, measure: None, says, source }
}

/// The same of a length against its limit, m.
pub(super) fn of_a_length(rule: &'static str, verdict: Verdict, value: f64, limit: f64) -> Finding {
    let measure = Some(Measure { kind: Kind::Length, value, limit: Some(limit) });
    Finding { measure, ..finding(rule, verdict, None) }
}

/// A job with a survey made by hand, at full load on the design day.
pub(super) fn surveyed(job: &Job) -> Survey {
    by_hand(job, PointId::SummerFull, |_| {})
}

/// The first circuit of a job.
pub(super) fn case<'a>(job: &'a Job, survey: &'a Survey) -> Case<'a> {
    Case::all(job, survey).next().unwrap()
}

/// Its state with those findings.
pub(super) fn state(job: &Job, findings: Vec<Finding>) -> State {
    let solved = surveyed(job).circuits.into_iter().next().unwrap();
    State::of(job.circuits[0].clone(), solved, findings)
}
