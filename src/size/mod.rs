//! From a route without tube to the tube: the lightest set in copper with which no rule fails at any operating
//! point. It stands on the survey and the rules; it has no physics of its own.

mod answer;
mod circuit;
mod json;
mod text;
mod write;

pub use crate::remedies::{Choice, Section, choices, seals, tube_mass};
pub use answer::{CircuitSizing, Neighbour, Numbers, Outcome, Sizing, numbers};
pub use circuit::brute_force;
pub use json::{json, schema};
pub(crate) use text::put;
pub use text::text;
pub use write::write;

use crate::job::{Circuit, Job};
use crate::refdata::{self, Tube, tubes_meant};
use crate::rules::{Look, RULES, Verdict};
use crate::survey::{SurveyFault, without_curve};
use rayon::prelude::*;

/// The tubes that are searched, and those that are searched beside them where none of the first passes: copper as the code has it
/// (ACR, type L and type K, or metric) with the job's own, then steel.
#[must_use]
pub fn catalogue(job: &Job) -> [Vec<Tube>; 2] {
    let of =
        |kinds: &[&str]| refdata::tubes().iter().filter(|tube| kinds.contains(&tube.kind.as_str())).cloned().collect();
    let mut copper: Vec<Tube> = of(job.site.code.copper());
    copper.extend(job.tubes.iter().cloned());
    [copper, of(&["Sch40", "Sch80"])]
}

/// A kind that a search can't be kept to.
#[derive(Clone, Debug, thiserror::Error)]
#[error(
    "no tube is called {name}; a size such as \"1-3/8 ACR\" or \"42 x 1.5\", a kind (ACR, L, K, EN 12735-1, Sch40, Sch80), or a name of the job's own [[tube]] is"
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
    let is = |tube: &Tube, word: &str| {
        tube.name == word
            || refdata::tube(word).is_some_and(|named| named.name == tube.name)
            || !tube.kind.is_empty() && tube.kind.eq_ignore_ascii_case(word)
            || !tubes_meant(word, [tube]).is_empty()
    };
    let words = || words.iter().map(|word| word.trim());
    if let Some(word) = words().find(|word| !all.iter().any(|tube| is(tube, word))) {
        return Err(UnknownTube { name: word.to_owned() });
    }
    Ok(all.into_iter().filter(|tube| words().any(|word| is(tube, word))).collect())
}

/// Finds the tube of every open run, from the first of these tubes, and where none of them passes from all.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
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
        let survey = without_curve(&sizing.job)?;
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
