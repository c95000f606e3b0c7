//! From a route without tube to the tube: the cheapest set by mass of copper with which no rule fails at any operating
//! point. It stands on the survey and the rules; it has no physics of its own.

mod circuit;
mod json;
mod text;
mod write;

pub use crate::remedies::{Choice, Section, choices, seals, tube_mass};
pub use circuit::brute_force;
pub use json::json;
pub use text::text;
pub use write::{WriteFault, write};

use crate::job::{Circuit, Job};
use crate::refdata::{self, Tube};
use crate::rules::{Finding, Look, RULES, Verdict};
use crate::survey::{CircuitSurvey, PointId, SurveyFault, survey};
use rayon::prelude::*;

/// The tubes that are searched, and those that are searched beside them where none of the first passes: copper of ACR, type L and
/// type K with the job's own, then steel.
#[must_use]
pub fn catalogue(job: &Job) -> [Vec<Tube>; 2] {
    let of =
        |kinds: &[&str]| refdata::tubes().iter().filter(|tube| kinds.contains(&tube.kind.as_str())).cloned().collect();
    let mut copper: Vec<Tube> = of(&["ACR", "L", "K"]);
    copper.extend(job.tubes.iter().cloned());
    [copper, of(&["Sch40", "Sch80"])]
}

/// A kind that a search can't be kept to.
#[derive(Clone, Debug, thiserror::Error)]
#[error(
    "no tube is called {name}; a size such as \"1-3/8 ACR\", a kind (ACR, L, K, Sch40, Sch80), or a name of the job's own [[tube]] is"
)]
pub struct UnknownTube {
    /// As given.
    pub name: String,
}

/// The tubes of the reference data and of the job's own that are of one of these kinds or have one of these names.
///
/// # Errors
/// [`UnknownTube`] for a word that is neither.
pub fn of_kinds(job: &Job, words: &[String]) -> Result<Vec<Tube>, UnknownTube> {
    let all: Vec<Tube> = refdata::tubes().iter().chain(&job.tubes).cloned().collect();
    let is = |tube: &Tube, word: &str| tube.name == word || (!tube.kind.is_empty() && tube.kind == word);
    if let Some(word) = words.iter().find(|word| !all.iter().any(|tube| is(tube, word))) {
        return Err(UnknownTube { name: word.clone() });
    }
    Ok(all.into_iter().filter(|tube| words.iter().any(|word| is(tube, word))).collect())
}

/// A job with every tube that was open found, or what stands in the way.
#[derive(Clone, Debug)]
pub struct Sizing {
    /// One for each circuit, in the job's order.
    pub circuits: Vec<CircuitSizing>,
    /// The job with the tubes in place; circuits of which none passes have their nearest miss.
    pub job: Job,
    /// What fails of the plant with these tubes, with what would have to change.
    pub plant: Vec<Finding>,
}

impl Sizing {
    /// Whether every circuit has its tube and nothing fails with it, and the plant carries its load.
    #[must_use]
    pub fn complete(&self) -> bool {
        let fails =
            |circuit: &CircuitSizing| matches!(&circuit.outcome, Outcome::Found { fails, .. } if !fails.is_empty());
        self.plant.is_empty() && self.sized() && !self.circuits.iter().any(fails)
    }

    /// Whether every circuit has its tube.
    #[must_use]
    pub fn sized(&self) -> bool {
        self.circuits.iter().all(|circuit| matches!(circuit.outcome, Outcome::Found { .. } | Outcome::NothingOpen))
    }
}

/// What was found for a circuit.
#[derive(Clone, Debug)]
pub struct CircuitSizing {
    /// Its name.
    pub name: String,
    /// How many identical circuits it stands for.
    pub copies: u32,
    /// What was found.
    pub outcome: Outcome,
    /// How many circuits were solved on the way.
    pub solved: u32,
}

/// What was found for a circuit.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// No tube is open in it.
    NothingOpen,
    /// The cheapest set that passes.
    Found {
        /// The tubes by section.
        set: Vec<(Section, Choice)>,
        /// What it costs.
        numbers: Numbers,
        /// One size up and down in each section.
        neighbours: Vec<Neighbour>,
        /// The rules that have a caution for it.
        cautions: Vec<&'static str>,
        /// The operating points at which oil seals the larger tube of a double riser.
        sealed_at: Vec<String>,
        /// What fails whatever the tube.
        fails: Vec<Finding>,
    },
    /// Nothing passes.
    Blocked {
        /// The set that comes nearest.
        nearest: Vec<(Section, Choice)>,
        /// What fails with it, with what would have to change.
        fails: Vec<Finding>,
    },
}

/// What a set of tubes costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numbers {
    /// Loss of the discharge line at `summer full`, as dew temperature, K.
    pub discharge_drop: f64,
    /// Capacity at `summer full`, W.
    pub capacity: f64,
    /// Least ratio of flow to the flow that lifts oil, of all rises at all points; none without a rise.
    pub oil_ratio: Option<f64>,
    /// Least subcooling at the valve, K.
    pub subcooling: f64,
    /// Tube in both lines, kg: copper, unless steel was asked for.
    pub copper: f64,
    /// Refrigerant in both lines at `summer full`, kg.
    pub refrigerant: f64,
}

/// One size up or down in one section.
#[derive(Clone, Debug)]
pub struct Neighbour {
    /// Where.
    pub section: Section,
    /// Whether it is larger than what was chosen.
    pub larger: bool,
    /// The tubes.
    pub choice: Choice,
    /// What the set then costs; none where the circuit can't be solved with it.
    pub numbers: Option<Numbers>,
    /// The rules that fail with it.
    pub fails: Vec<&'static str>,
}

/// Finds the tube of every open run, from the first of these tubes, and where none of them passes from all.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn size(job: &Job, [first, then]: &[Vec<Tube>; 2]) -> Result<Sizing, Vec<SurveyFault>> {
    let results: Vec<Result<(Circuit, CircuitSizing), SurveyFault>> = job
        .circuits
        .par_iter()
        .enumerate()
        .map(|(index, drawn)| circuit::circuit(job, index, drawn, [first, then]))
        .collect();
    let mut sized = job.clone();
    sized.circuits.clear();
    let (mut circuits, mut faults) = (Vec::new(), Vec::new());
    for result in results {
        match result {
            Ok((circuit, sizing)) => {
                sized.circuits.push(circuit);
                circuits.push(sizing);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut sizing = Sizing { circuits, job: sized, plant: Vec::new() };
    if sizing.job.plant.is_some() && sizing.sized() {
        let survey = survey(&sizing.job)?;
        let plant = RULES.iter().filter(|rule| matches!(rule.look, Look::Plant(_)));
        sizing.plant = plant.flat_map(|rule| rule.check(&sizing.job, &survey)).collect();
        sizing.plant.retain(|finding| finding.verdict == Verdict::Fail);
    }
    Ok(sizing)
}

/// Opens every run of a job.
pub fn open_all(job: &mut Job) {
    for circuit in &mut job.circuits {
        for run in circuit.discharge.runs.iter_mut().chain(&mut circuit.liquid.runs) {
            run.open = true;
        }
    }
}

/// What a circuit as drawn costs, once solved; none where a point that it needs has no solution.
#[must_use]
pub fn numbers(circuit: &Circuit, solved: &CircuitSurvey) -> Option<Numbers> {
    let summer = solved.point(PointId::SummerFull)?;
    let running = || solved.points.iter().filter(|point| point.id.is_running());
    let ratios = running().flat_map(|point| &point.discharge_line.runs).filter_map(|run| run.oil_lift.map(|l| l.ratio));
    let subcooling = running()
        .filter_map(|point| point.liquid_line.runs.last().and_then(|run| run.out.subcooling_K))
        .fold(f64::INFINITY, f64::min);
    let refrigerant = summer.discharge_line.runs.iter().chain(&summer.liquid_line.runs).map(|run| run.charge_kg).sum();
    let oil_ratio = ratios.fold(f64::INFINITY, f64::min);
    Some(Numbers {
        discharge_drop: summer.discharge_line.saturation_drop_K,
        capacity: summer.capacity_W,
        oil_ratio: oil_ratio.is_finite().then_some(oil_ratio),
        subcooling,
        copper: tube_mass(circuit),
        refrigerant,
    })
}
