//! What mends a plant that carries too little: larger condensers, then one more chiller.

use super::change::Change;
use super::cost::Cost;
use super::remedy::Remedy;
use super::trial::Effect;
use crate::job::{Job, modules};
use crate::rules::{Finding, Verdict, check_all};
use crate::survey::{Survey, what_if};
use rayon::prelude::*;

/// How much larger condensers are tried.
const LARGER: [f64; 3] = [1.1, 1.2, 1.35];

/// More chillers than this are another plant.
const CHILLERS: u32 = 3;

/// The remedies of a plant that does not carry its load, a chiller last, each with the job and the survey that it leads to.
pub(super) fn remedies(job: &Job, survey: &Survey) -> Vec<(Remedy, Job, Survey)> {
    let before = failing(job, survey);
    if !before.contains(&"plant-load") {
        return Vec::new();
    }
    let larger =
        LARGER.into_iter().map(|times| (0..job.circuits.len()).map(|at| Change::Condenser(at, times)).collect());
    let condensers = larger.into_iter().find_map(|changes| tried(job, survey, &before, changes));
    let chiller = (1..=CHILLERS).find_map(|more| {
        // On a roof that is drawn every unit has its place.
        let kinds = if job.roof.is_none() { modules(&job.circuits) } else { Vec::new() };
        let sets = kinds.into_iter().map(|kind| {
            let circuits = kind
                .circuits
                .into_iter()
                .filter_map(|(at, each)| Some((at, job.circuits.get(at)?.copies + each * more)));
            circuits.map(|(at, copies)| Change::Copies(at, copies)).collect()
        });
        sets.into_iter().find_map(|changes| tried(job, survey, &before, changes))
    });
    condensers.into_iter().chain(chiller).collect()
}

/// The rules that fail, once for each finding.
fn failing(job: &Job, survey: &Survey) -> Vec<&'static str> {
    let findings: Vec<Finding> = check_all(job, survey);
    findings.iter().filter(|finding| finding.verdict == Verdict::Fail).map(|finding| finding.rule).collect()
}

/// What changes do, where the plant carries its load with them and no rule fails more often.
fn tried(job: &Job, survey: &Survey, before: &[&'static str], changes: Vec<Change>) -> Option<(Remedy, Job, Survey)> {
    let mut changed = job.clone();
    for change in &changes {
        change.apply(&mut changed);
    }
    let is_solved = changes.iter().all(|change| matches!(change, Change::Copies(..)));
    let solved = if is_solved {
        survey.clone()
    } else {
        let circuits = changed.circuits.par_iter().map(|circuit| what_if(&changed, circuit).ok());
        Survey { circuits: circuits.collect::<Option<_>>()? }
    };
    let after = failing(&changed, &solved);
    let count = |rules: &[&'static str], rule| rules.iter().filter(|of| **of == rule).count();
    if after.contains(&"plant-load") || after.iter().any(|rule| count(&after, *rule) > count(before, *rule)) {
        return None;
    }
    let mut effect = Effect::default();
    for rule in before.iter().filter(|rule| count(&after, **rule) < count(before, **rule)) {
        if !effect.resolves.contains(rule) {
            effect.resolves.push(rule);
        }
    }
    let mut cost = Cost::NONE;
    let circuits = job.circuits.iter().zip(&survey.circuits).zip(changed.circuits.iter().zip(&solved.circuits));
    circuits.for_each(|(before, after)| cost.add(&Cost::of(before, after)));
    Some((Remedy { changes, effect, cost }, changed, solved))
}
