//! What a rule looks at: one circuit as drawn and as solved, in its job.

use super::say::list;
use crate::job::{Circuit, Job, LineId, Path, Run};
use crate::survey::{CircuitSurvey, Point, RunAnswer, Survey};
use crate::units::{System, factor};

/// One circuit as drawn and as solved, in its job.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The job.
    pub job: &'a Job,
    /// The circuit's index in it.
    pub index: usize,
    /// The circuit as drawn.
    pub circuit: &'a Circuit,
    /// The circuit as solved.
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
    pub(super) fn points(&self) -> impl Iterator<Item = &'a Point> + use<'a> {
        self.solved.points.iter().filter(|point| point.id.is_running())
    }

    /// The units of the report.
    pub(super) fn show(&self) -> System {
        self.job.units
    }

    /// An absolute pressure as a gauge at the site reads it.
    pub(super) fn gauge(&self, pressure_pa: f64) -> String {
        self.job.units.pressure_gauge(pressure_pa, self.job.site.atmosphere.pascals())
    }

    /// A temperature in whole degrees: no metal is known closer.
    pub(super) fn degrees(&self, kelvin: f64) -> String {
        let show = self.job.units;
        let zero = match show {
            System::Ip => factor::fahrenheit_to_kelvin(0.0),
            System::Si => factor::fahrenheit_to_kelvin(32.0),
        };
        let step = match show {
            System::Ip => factor::FAHRENHEIT_DEGREE,
            System::Si => 1.0,
        };
        show.temperature(((kelvin - zero) / step).round() * step + zero)
    }

    /// Every run of a line at every operating point.
    pub(super) fn runs(&self, side: LineId) -> impl Iterator<Item = At<'a>> {
        let circuit = self.circuit;
        self.points().flat_map(move |point| {
            side.of(circuit).runs.iter().zip(&point.line(side).runs).map(move |(run, answer)| At { point, run, answer })
        })
    }

    /// The operating point at which that is greatest.
    pub(super) fn worst(&self, measure: impl Fn(&Point) -> f64) -> Option<(&'a Point, f64)> {
        greatest(self.points().map(|point| (point, measure(point))))
    }

    /// What a run is, for a sentence: `the rise of 38 ft in 2-1/8 ACR (run 2)`.
    pub(super) fn name_run(&self, run: &Run, index: usize) -> String {
        let tubes = tubes(run);
        let show = self.show();
        match &run.path {
            Path::Level { length, .. } => {
                format!("the level run of {} in {tubes} (run {index})", show.length(length.value))
            }
            Path::Rise { length, .. } => format!("the rise of {} in {tubes} (run {index})", show.length(length.value)),
            Path::Fall { length } => format!("the fall of {} in {tubes} (run {index})", show.length(length.value)),
            Path::Part(part) => format!("the {} (run {index})", part.name),
        }
    }
}

/// A run at an operating point.
#[derive(Clone, Copy)]
pub(super) struct At<'a> {
    /// The operating point.
    pub point: &'a Point,
    /// The run as drawn.
    pub run: &'a Run,
    /// The run as solved.
    pub answer: &'a RunAnswer,
}

/// The item with the greatest finite measure; the first of equals.
pub(super) fn greatest<T>(items: impl Iterator<Item = (T, f64)>) -> Option<(T, f64)> {
    items.filter(|(_, measure)| measure.is_finite()).fold(None, |best, item| match best {
        Some((_, most)) if most >= item.1 => best,
        _ => Some(item),
    })
}

/// The item with the least finite measure; the first of equals.
pub(super) fn least<T>(items: impl Iterator<Item = (T, f64)>) -> Option<(T, f64)> {
    greatest(items.map(|(item, measure)| (item, -measure))).map(|(item, measure)| (item, -measure))
}

/// The tubes of a run: `1-1/8 ACR and 1-5/8 ACR`.
pub(super) fn tubes(run: &Run) -> String {
    list(run.tubes.iter().map(|tube| tube.name.clone()))
}
