//! What mends a plant that carries too little: larger condensers, discharge lines that lose less, then one more chiller.

use super::change::Change;
use super::cost::Cost;
use super::differences::differences;
use super::effect::Effect;
use super::refit::held;
use super::remedy::Remedy;
use super::trial::{POINTS, work_of};
use super::tubes::{larger as larger_tube, lifting_bore, tubed};
use crate::job::{Job, LineId, Path, modules};
use crate::rules::{Case, Finding, Verdict, check_all};
use crate::survey::{Survey, what_if, what_if_like};
use rayon::prelude::*;

/// How much larger condensers are tried.
pub(super) const LARGER: [f64; 4] = [1.1, 1.2, 1.35, LARGEST];

/// How many times as large a condenser may become: one that is larger yet is another machine on another frame, not a remedy.
pub(super) const LARGEST: f64 = 1.5;

/// More chillers than this are another plant.
const CHILLERS: u32 = 3;

/// The remedies of a plant that does not carry its load, a chiller last, each with the job and the survey that it leads to.
pub(super) fn remedies(job: &Job, survey: &Survey) -> Vec<(Remedy, Job, Survey)> {
    let before = failing(job, survey);
    if !before.contains(&"plant-load") {
        return Vec::new();
    }
    let larger = |times: f64| (0..job.circuits.len()).map(move |at| Change::Condenser(at, times));
    let wider = less_loss(job, survey);
    let condensers = LARGER.into_iter().find_map(|times| tried(job, survey, &before, larger(times).collect()));
    let lines = tried(job, survey, &before, wider.clone());
    let both = || {
        let both = |times: f64| wider.iter().cloned().chain(larger(times)).collect();
        LARGER.into_iter().find_map(|times| tried(job, survey, &before, both(times)))
    };
    let both = if condensers.is_none() && lines.is_none() { both() } else { None };
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
    [condensers, lines, both, chiller].into_iter().flatten().collect()
}

/// Every discharge line one size wider, its risers where they still lift oil.
fn less_loss(job: &Job, survey: &Survey) -> Vec<Change> {
    let of_circuit = |case: Case| {
        let lifts = case.limit("oil_riser_caution").value;
        let wider = tubed(case.circuit, LineId::Discharge).into_iter().filter_map(move |at| {
            let run = case.circuit.discharge.runs.get(at)?;
            let [drawn] = run.tubes.as_slice() else { return None };
            let next = larger_tube(&case, LineId::Discharge, drawn).next()?;
            let rises = matches!(run.path, Path::Rise { .. });
            let fits = !rises || next.bore().value <= lifting_bore(&case, at, lifts);
            fits.then(|| Change::Tubes(case.index, LineId::Discharge, at, vec![next]))
        });
        wider.collect::<Vec<_>>()
    };
    Case::all(job, survey).flat_map(of_circuit).collect()
}

/// The receivers that are too small for what a changed circuit holds, as large as it needs.
fn receivers(job: &Job, survey: &Survey) -> Vec<Change> {
    let short = check_all(job, survey);
    let short = |case: &Case| {
        let is_short =
            |f: &Finding| f.rule == "receiver" && f.verdict == Verdict::Fail && f.circuit == Some(case.index);
        short.iter().any(is_short)
    };
    let larger = Case::all(job, survey).filter(short).filter_map(|case| Some((case.index, case.circuit, held(&case)?)));
    larger.flat_map(|(index, from, to)| differences(index, from, &to)).collect()
}

/// The rules that fail, once for each finding.
fn failing(job: &Job, survey: &Survey) -> Vec<&'static str> {
    let findings: Vec<Finding> = check_all(job, survey);
    findings.iter().filter(|finding| finding.verdict == Verdict::Fail).map(|finding| finding.rule).collect()
}

/// What changes do, where the plant carries its load with them and no rule fails more often.
fn tried(
    job: &Job,
    survey: &Survey,
    before: &[&'static str],
    mut changes: Vec<Change>,
) -> Option<(Remedy, Job, Survey)> {
    if changes.is_empty() {
        return None;
    }
    let mut changed = job.clone();
    for change in &changes {
        change.apply(&mut changed);
    }
    let is_solved = changes.iter().all(|change| matches!(change, Change::Copies(..)));
    let solve = |changed: &Job| {
        let circuits = changed.circuits.par_iter().zip(&survey.circuits);
        let near =
            circuits.map(|(circuit, like)| what_if_like(changed, circuit, like, work_of(changed, like) / POINTS).ok());
        Some(Survey { circuits: near.collect::<Option<_>>()? })
    };
    let mut solved = if is_solved { survey.clone() } else { solve(&changed)? };
    let receivers = receivers(&changed, &solved);
    if !receivers.is_empty() {
        for change in &receivers {
            change.apply(&mut changed);
        }
        solved = solve(&changed)?;
        changes.extend(receivers);
    }
    let count = |rules: &[&'static str], rule| rules.iter().filter(|of| **of == rule).count();
    let helps = |after: &[&'static str]| {
        !after.contains(&"plant-load") && after.iter().all(|rule| count(after, *rule) <= count(before, *rule))
    };
    if !helps(&failing(&changed, &solved)) {
        return None;
    }
    // What is told is solved as `check` solves what is written.
    if !is_solved {
        let circuits = changed.circuits.par_iter().map(|circuit| what_if(&changed, circuit).ok());
        solved = Survey { circuits: circuits.collect::<Option<_>>()? };
    }
    let after = failing(&changed, &solved);
    if !helps(&after) {
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
