//! The answer to a job: what every exporter writes out.

use crate::job::{Circuit, Job, Line};
use crate::refdata::{Material, Tube};
use crate::remedies::{self, Remedy, Whole};
use crate::rules::{Finding, Verdict};
use crate::survey::{self, CircuitSurvey, PlantSurvey, Survey};
use schemars::JsonSchema;
use serde::Serialize;

/// A job, solved and judged.
#[derive(Clone, Debug)]
pub struct Answer<'a> {
    /// The job as meant.
    pub job: &'a Job,
    /// The job solved.
    pub survey: &'a Survey,
    /// What the rules say, in their order.
    pub findings: Vec<Finding>,
    /// The remedies of each finding, in the order of the findings.
    pub remedies: Vec<Vec<Remedy>>,
    /// One set of changes with which nothing fails, or that which fails minimum; nothing where nothing fails.
    pub whole: Option<Whole>,
    /// Whether the search for them tried all that it would.
    pub all_tried: bool,
    /// The worst of all findings.
    pub verdict: Verdict,
    /// What the plant carries.
    pub plant: Option<PlantSurvey>,
}

/// A size of tube that a circuit's lines use.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TubeAnswer {
    pub size: String,
    pub material: &'static str,
    pub outside_m: f64,
    pub wall_m: f64,
    /// Largest outside diameter by the standard's tolerance.
    pub outside_max_m: f64,
    /// Least wall by the standard's tolerance.
    pub wall_min_m: f64,
    pub bore_m: f64,
    pub roughness_m: f64,
    /// Length of it in the discharge line, each of parallel tubes counted.
    pub discharge_length_m: f64,
    /// Length of it in the liquid line, each of parallel tubes counted.
    pub liquid_length_m: f64,
    pub source: String,
}

impl<'a> Answer<'a> {
    /// Joins a job, its survey and its findings.
    #[must_use]
    pub fn new(job: &'a Job, survey: &'a Survey, findings: Vec<Finding>) -> Self {
        let verdict = findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass);
        let plant = survey::plant(job, &survey.circuits);
        Self { job, survey, verdict, plant, findings, remedies: Vec::new(), whole: None, all_tried: true }
    }

    /// With what mends its findings.
    #[must_use]
    pub fn with_remedies(mut self) -> Self {
        (self.remedies, self.whole, self.all_tried) =
            remedies::remedies_and_whole(self.job, self.survey, &self.findings);
        self
    }

    /// The findings, each with what mends it.
    pub fn mended(&self) -> impl Iterator<Item = (&Finding, &[Remedy])> {
        let remedies = self.remedies.iter().map(Vec::as_slice).chain(std::iter::repeat(&[][..]));
        self.findings.iter().zip(remedies)
    }

    /// The circuits of the job, each with its survey.
    pub fn circuits(&self) -> impl Iterator<Item = (&'a Circuit, &'a CircuitSurvey)> + use<'a> {
        self.job.circuits.iter().zip(&self.survey.circuits)
    }
}

/// The sizes that a circuit's lines use, in order of flow.
#[must_use]
pub(super) fn tubes(circuit: &Circuit) -> Vec<TubeAnswer> {
    let mut tubes: Vec<TubeAnswer> = Vec::new();
    let mut add = |line: &Line, length_of: fn(&mut TubeAnswer) -> &mut f64| {
        for run in &line.runs {
            for tube in run.tubes.iter().filter(|_| run.path.length_m() > 0.0) {
                let at = tubes.iter().position(|known| known.size == tube.name).unwrap_or_else(|| {
                    tubes.push(tube_answer(tube));
                    tubes.len() - 1
                });
                *length_of(&mut tubes[at]) += run.path.length_m();
            }
        }
    };
    add(&circuit.discharge, |tube| &mut tube.discharge_length_m);
    add(&circuit.liquid, |tube| &mut tube.liquid_length_m);
    tubes
}

fn tube_answer(tube: &Tube) -> TubeAnswer {
    TubeAnswer {
        size: tube.name.clone(),
        material: match tube.material {
            Material::Copper => "copper",
            Material::Steel => "steel",
        },
        outside_m: tube.outside.value,
        wall_m: tube.wall.value,
        outside_max_m: tube.outside_max.value,
        wall_min_m: tube.wall_min.value,
        bore_m: tube.bore().value,
        roughness_m: tube.roughness.value,
        discharge_length_m: 0.0,
        liquid_length_m: 0.0,
        source: tube.source.clone(),
    }
}
