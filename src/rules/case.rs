//! What a rule looks at: one circuit as drawn and as solved, in its job.

use super::say::{Say, Value, say};
use crate::job::{Circuit, Job, LineId, Run};
use crate::survey::{Charge, CircuitSurvey, Point, RunAnswer, Survey};
use crate::units::Kind;

/// One circuit as drawn and as solved, in its job.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    pub job: &'a Job,
    /// The circuit's index in it.
    pub index: usize,
    pub circuit: &'a Circuit,
    pub solved: &'a CircuitSurvey,
}

impl<'a> Case<'a> {
    /// The circuits of a job, in its order.
    pub fn all(job: &'a Job, survey: &'a Survey) -> impl Iterator<Item = Case<'a>> {
        job.circuits.iter().zip(&survey.circuits).enumerate().map(move |(index, (circuit, solved))| Case {
            job,
            index,
            circuit,
            solved,
        })
    }

    /// The solved operating points at which the plant runs: all but the rating, which stands on paper.
    pub(crate) fn points(&self) -> impl Iterator<Item = &'a Point> + use<'a> {
        self.solved.points.iter().filter(|point| point.id.is_running())
    }

    /// Every run of a line at every operating point.
    pub(crate) fn runs(&self, side: LineId) -> impl Iterator<Item = At<'a>> {
        let circuit = self.circuit;
        self.points().flat_map(move |point| {
            side.of(circuit).runs.iter().zip(&point.line(side).runs).map(move |(run, answer)| At { point, run, answer })
        })
    }

    /// The operating point at which that is greatest.
    pub(crate) fn worst(&self, measure: impl Fn(&Point) -> f64) -> Option<(&'a Point, f64)> {
        greatest(self.points().map(|point| (point, measure(point))))
    }
}

/// A run at an operating point.
#[derive(Clone, Copy)]
pub(crate) struct At<'a> {
    pub point: &'a Point,
    pub run: &'a Run,
    pub answer: &'a RunAnswer,
}

impl At<'_> {
    /// The velocities in those of its tubes in which anything flows, m/s.
    pub(super) fn velocities(&self) -> impl Iterator<Item = f64> {
        self.answer.tubes.iter().filter(|tube| tube.flow_kg_s > 0.0).map(|tube| tube.velocity_m_s)
    }
}

/// The item with the greatest finite measure; the first of equals.
pub(crate) fn greatest<T>(items: impl Iterator<Item = (T, f64)>) -> Option<(T, f64)> {
    items.filter(|(_, measure)| measure.is_finite()).fold(None, |best, item| match best {
        Some((_, maximum)) if maximum >= item.1 => best,
        _ => Some(item),
    })
}

/// The item with the minimum finite measure; the first of equals.
pub(crate) fn minimum<T>(items: impl Iterator<Item = (T, f64)>) -> Option<(T, f64)> {
    greatest(items.map(|(item, measure)| (item, -measure))).map(|(item, measure)| (item, -measure))
}

/// What the charge of a circuit is, and what is not in it.
pub(super) fn charge_in_words(charge: &Charge) -> Say {
    let left_out = Value::names(charge.not_counted.iter().copied());
    let total = Value::Of(Kind::Mass, charge.total_kg);
    match charge.in_the_evaporator() {
        None => say("Charge {}, without {}.", [total, left_out]),
        Some(evaporator) => say(
            "Charge {}, without {}; {} of it in the evaporator, where correlations differ by up to 40 %.",
            [total, left_out, Value::Of(Kind::Mass, evaporator)],
        ),
    }
}

/// What must be given so that all of the charge that can be counted is.
pub(super) fn asked_for(charge: &Charge) -> Option<Say> {
    let asks = || say("Not the whole charge: give {}.", [Value::names(charge.missing.iter().copied())]);
    (!charge.missing.is_empty()).then(asks)
}
