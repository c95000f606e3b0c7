//! The whole remedy: one set of changes with which nothing fails and cautions are as few as can be; else the set that fails least.

use super::candidates::candidates;
use super::cost::{Cost, tube_mass};
use super::single::{Remedy, by_circuit, in_order, of_each};
use super::trial::{State, Trial};
use super::tubes::{put, smaller};
use super::{Change, Effect, differences, search};
use crate::job::{Circuit, Job, LineId};
use crate::rules::{Finding, Verdict, look_at_the_plant};
use crate::survey::{CircuitSurvey, Survey};
use std::rc::Rc;

/// How many rounds of one change after another are made.
const ROUNDS: usize = 12;

/// Share of its limit by which a caution may miss it without a change: less than any figure here is known to.
const HAIR: f64 = 0.1;

/// The rules whose finding another tube may mend.
const OF_TUBES: [&str; 8] = [
    "tube-strength",
    "discharge-drop",
    "discharge-velocity",
    "oil-lift",
    "liquid-flash",
    "liquid-drop",
    "liquid-velocity",
    "liquid-surge",
];

/// One set of changes for a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// What it changes, circuit by circuit, in the order of the route.
    pub changes: Vec<Change>,
    /// What it does to the findings of its circuits.
    pub effect: Effect,
    /// What it costs.
    pub cost: Cost,
    /// Rules that fail with it all the same, of a circuit by its index or of the plant.
    pub left: Vec<(Option<usize>, Vec<&'static str>)>,
}

/// The whole remedy of one circuit.
struct Part {
    index: usize,
    circuit: Circuit,
    solved: CircuitSurvey,
    changes: Vec<Change>,
    effect: Effect,
    cost: Cost,
    left: Vec<&'static str>,
}

/// The whole remedy of a job that fails; nothing where nothing fails, or no change does any good.
#[must_use]
pub fn whole(job: &Job, survey: &Survey, findings: &[Finding]) -> Option<Whole> {
    let parts = by_circuit(job, survey, findings, of_circuit);
    joined(job, survey, parts.into_iter().map(Option::flatten))
}

/// The remedies of every finding, and the whole remedy: what is solved for the one is known for the other.
#[must_use]
pub fn remedies_and_whole(job: &Job, survey: &Survey, findings: &[Finding]) -> (Vec<Vec<Remedy>>, Option<Whole>) {
    let parts = by_circuit(job, survey, findings, |trial| (of_each(trial, findings), of_circuit(trial)));
    let (each, whole): (Vec<_>, Vec<_>) = parts.into_iter().map(Option::unzip).unzip();
    (
        in_order(findings, each.into_iter().flatten().flatten()),
        joined(job, survey, whole.into_iter().map(Option::flatten)),
    )
}

/// The remedies of the circuits as one, with what fails of the plant all the same.
fn joined(job: &Job, survey: &Survey, parts: impl Iterator<Item = Option<Part>>) -> Option<Whole> {
    let (mut job, mut survey) = (job.clone(), survey.clone());
    let mut all = Whole { changes: Vec::new(), effect: Effect::default(), cost: Cost::NONE, left: Vec::new() };
    for part in parts.flatten() {
        all.changes.extend(part.changes);
        all.effect.add(&part.effect);
        all.cost.add(&part.cost);
        all.left.extend((!part.left.is_empty()).then_some((Some(part.index), part.left)));
        if let (Some(circuit), Some(solved)) = (job.circuits.get_mut(part.index), survey.circuits.get_mut(part.index)) {
            (*circuit, *solved) = (part.circuit, part.solved);
        }
    }
    if all.changes.is_empty() {
        return None;
    }
    let plant = look_at_the_plant(&job, &survey);
    let fails: Vec<&'static str> = plant.iter().filter(|f| f.verdict == Verdict::Fail).map(|f| f.rule).collect();
    all.left.extend((!fails.is_empty()).then_some((None, fails)));
    Some(all)
}

/// The whole remedy of a circuit that fails, with no change where none helps.
fn of_circuit(trial: &Trial) -> Option<Part> {
    failing(&trial.drawn).next()?;
    let found = mend(trial);
    let drawn = &trial.drawn.circuit;
    let mut left: Vec<&'static str> = failing(&found).map(|finding| finding.rule).collect();
    left.dedup();
    Some(Part {
        index: trial.index,
        changes: differences(trial.index, drawn, &found.circuit),
        effect: Effect::between(trial.index, &trial.drawn, &found),
        cost: Cost::of(&trial.drawn, &found),
        circuit: found.circuit.clone(),
        solved: found.solved.clone(),
        left,
    })
}

fn failing(state: &State) -> impl Iterator<Item = &Finding> {
    state.findings.iter().filter(|finding| finding.verdict == Verdict::Fail)
}

/// A circuit as drawn, changed until nothing fails or nothing more helps.
fn mend(trial: &Trial) -> Rc<State> {
    let mut best = Rc::clone(&trial.drawn);
    for _ in 0..3 {
        let before = best.score;
        // What another tube can't mend comes first: with the head held the lines carry other gas.
        best = one_by_one(trial, best, Verdict::Fail, |rule| !OF_TUBES.contains(&rule));
        if failing(&best).any(|finding| OF_TUBES.contains(&finding.rule)) {
            best = other_tubes(trial, &best);
        }
        best = one_by_one(trial, best, Verdict::Fail, |_| true);
        if best.score.fails == 0 || best.score >= before {
            break;
        }
    }
    best = one_by_one(trial, best, Verdict::Caution, |_| true);
    slimmer(trial, without_the_needless(trial, best))
}

/// One change after another, each the one that helps most against the gravest finding that any helps.
fn one_by_one(trial: &Trial, from: Rc<State>, least: Verdict, counts: impl Fn(&str) -> bool) -> Rc<State> {
    let mut best = from;
    for _ in 0..ROUNDS {
        let worth = |finding: &&Finding| finding.verdict >= least && counts(finding.rule) && !is_by_a_hair(finding);
        let wrong: Vec<Finding> = best.findings.iter().filter(worth).cloned().collect();
        let better = wrong.iter().find_map(|finding| {
            let most = if finding.verdict == Verdict::Fail { 16 } else { 12 };
            let tries = candidates(trial, &best, finding).into_iter().take(most);
            let mut found: Option<Rc<State>> = None;
            for circuit in tries {
                let Some(state) = trial.solve(circuit) else { continue };
                if is_better(&state, &best) && found.as_ref().is_none_or(|known| is_better(&state, known)) {
                    let done = state.score.fails == 0 && state.score.cautions == 0;
                    found = Some(state);
                    if done {
                        break;
                    }
                }
            }
            found
        });
        match better {
            Some(state) => best = state,
            None => break,
        }
    }
    best
}

/// Whether a finding is a caution by so little that nobody changes a size for it.
pub(super) fn is_by_a_hair(finding: &Finding) -> bool {
    let miss = finding.measure.and_then(|found| Some((found.value - found.limit?).abs() / found.limit?.abs()));
    finding.verdict < Verdict::Fail && miss.is_some_and(|miss| miss < HAIR)
}

/// Whether a state is better than another.
fn is_better(state: &State, than: &State) -> bool {
    state.score.is_better(than.score)
}

/// The lightest tubes with which no rule fails, or fewer do: nobody lays wide tube that mends nothing. First for the runs that fail, then for their lines, then for both.
fn other_tubes(trial: &Trial, from: &Rc<State>) -> Rc<State> {
    let mut best = Rc::clone(from);
    let failing_in = |line: LineId| {
        failing(from).any(|finding| {
            OF_TUBES.contains(&finding.rule)
                && finding
                    .place
                    .as_ref()
                    .and_then(crate::rules::Place::line)
                    .map_or(line == LineId::Liquid, |of| of == line)
        })
    };
    let lines: Vec<LineId> = LineId::BOTH.into_iter().filter(|line| failing_in(*line)).collect();
    let steps: &[&[LineId]] = match lines.as_slice() {
        [LineId::Discharge] => &[&[LineId::Discharge], &[LineId::Discharge, LineId::Liquid]],
        [LineId::Liquid] => &[&[LineId::Liquid], &[LineId::Discharge, LineId::Liquid]],
        _ => &[&[LineId::Discharge, LineId::Liquid]],
    };
    for open in steps {
        if let Some(found) = search::lightest(trial, from, open)
            && (found.score.unsolved, found.score.fails) < (best.score.unsolved, best.score.fails)
        {
            best = found;
        }
        if !failing(&best).any(|finding| OF_TUBES.contains(&finding.rule)) {
            break;
        }
    }
    best
}

/// With the new tube of a line as narrow as it may be without another fail or caution.
fn slimmer(trial: &Trial, from: Rc<State>) -> Rc<State> {
    let mut best = from;
    for line in LineId::BOTH {
        while let Some(state) = narrower(trial, &best, line) {
            best = state;
        }
    }
    best
}

/// The single new tube of a line one size smaller wherever it stands, if nothing suffers.
fn narrower(trial: &Trial, from: &State, line: LineId) -> Option<Rc<State>> {
    let changes = differences(trial.index, &trial.drawn.circuit, &from.circuit);
    let new = changes.iter().find_map(|change| match change {
        Change::Tubes(_, of, _, tubes) if *of == line => tubes.first().filter(|_| tubes.len() == 1),
        _ => None,
    })?;
    let next = smaller(&trial.case(from), line, new).next()?;
    let mut circuit = from.circuit.clone();
    for change in &changes {
        if let Change::Tubes(_, of, run, tubes) = change
            && *of == line
            && tubes.as_slice() == std::slice::from_ref(new)
        {
            put(&mut circuit, line, &[*run], std::slice::from_ref(&next));
        }
    }
    let state = trial.solve(circuit)?;
    let worst = |state: &State| (state.score.unsolved, state.score.fails);
    let no_worse = worst(&state) <= worst(from) && state.score.cautions <= from.score.cautions;
    (no_worse && tube_mass(&state.circuit) < tube_mass(&from.circuit)).then_some(state)
}

/// Without the changes that are not needed for what the state reaches.
fn without_the_needless(trial: &Trial, from: Rc<State>) -> Rc<State> {
    let drawn = &trial.drawn.circuit;
    let mut best = from;
    loop {
        let changes = differences(trial.index, drawn, &best.circuit);
        let mut job = trial.job.clone();
        let leaner = (0..changes.len()).find_map(|leave| {
            if let Some(circuit) = job.circuits.get_mut(trial.index) {
                circuit.clone_from(drawn);
            }
            let rest = changes.iter().enumerate().filter(|(at, _)| *at != leave);
            rest.for_each(|(_, change)| change.apply(&mut job));
            let state = trial.solve(job.circuits.get(trial.index)?.clone())?;
            let fewer = differences(trial.index, drawn, &state.circuit).len() < changes.len();
            (fewer && !is_better(&best, &state)).then_some(state)
        });
        match leaner {
            Some(state) => best = state,
            None => return best,
        }
    }
}
