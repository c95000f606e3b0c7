//! The whole remedy: one set of changes with which nothing fails and cautions are as few as can be; else the set that fails least.

use super::bench::{Bench, Score, State};
use super::candidates::candidates;
use super::tubes::{put, smaller};
use super::{Change, Cost, Effect, differences, search, tube_mass};
use crate::job::{Circuit, Job, LineId};
use crate::rules::{Finding, Verdict};
use crate::survey::{CircuitSurvey, Survey};
use rayon::prelude::*;
use std::rc::Rc;

/// How many rounds of one change after another are made.
const ROUNDS: usize = 12;

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
    /// Rules that fail with it all the same, by circuit.
    pub left: Vec<(usize, Vec<&'static str>)>,
}

/// The whole remedy of a job that fails; nothing where nothing fails, or nothing does any good.
#[must_use]
pub fn whole(job: &Job, survey: &Survey, findings: &[Finding]) -> Option<Whole> {
    let parts: Vec<Option<Whole>> = job
        .circuits
        .par_iter()
        .zip(&survey.circuits)
        .enumerate()
        .map(|(index, (circuit, solved))| of_circuit(job, index, circuit, solved, findings))
        .collect();
    parts.into_iter().flatten().reduce(|mut all, part| {
        all.changes.extend(part.changes);
        all.effect.add(&part.effect);
        all.cost.add(&part.cost);
        all.left.extend(part.left);
        all
    })
}

fn of_circuit(
    job: &Job,
    index: usize,
    circuit: &Circuit,
    solved: &CircuitSurvey,
    findings: &[Finding],
) -> Option<Whole> {
    let own: Vec<Finding> = findings.iter().filter(|finding| finding.circuit == Some(index)).cloned().collect();
    if !own.iter().any(|finding| finding.verdict == Verdict::Fail) {
        return None;
    }
    let bench = Bench::new(job, index, circuit, solved, own);
    let found = mend(&bench);
    let changes = differences(index, circuit, &found.circuit);
    if changes.is_empty() {
        return None;
    }
    let effect = Effect::between(index, &bench.drawn, &found);
    let mut left: Vec<&'static str> = failing(&found).map(|finding| finding.rule).collect();
    left.dedup();
    let cost = Cost::of(&bench.drawn, &found, circuit.copies);
    Some(Whole { changes, effect, cost, left: if left.is_empty() { Vec::new() } else { vec![(index, left)] } })
}

fn failing(state: &State) -> impl Iterator<Item = &Finding> {
    state.findings.iter().filter(|finding| finding.verdict == Verdict::Fail)
}

/// A circuit as drawn, changed until nothing fails or nothing more helps.
fn mend(bench: &Bench) -> Rc<State> {
    let mut best = Rc::clone(&bench.drawn);
    for _ in 0..3 {
        let before = best.score;
        // What another tube can't mend comes first: with the head held the lines carry other gas.
        best = one_by_one(bench, best, Verdict::Fail, |rule| !OF_TUBES.contains(&rule));
        if failing(&best).any(|finding| OF_TUBES.contains(&finding.rule)) {
            best = other_tubes(bench, &best);
        }
        best = one_by_one(bench, best, Verdict::Fail, |_| true);
        if best.score.fails == 0 || best.score >= before {
            break;
        }
    }
    best = one_by_one(bench, best, Verdict::Caution, |_| true);
    slimmer(bench, without_the_needless(bench, best))
}

/// One change after another, each the one that helps most against the gravest finding that any helps.
fn one_by_one(bench: &Bench, from: Rc<State>, least: Verdict, counts: impl Fn(&str) -> bool) -> Rc<State> {
    let mut best = from;
    for _ in 0..ROUNDS {
        let wrong: Vec<Finding> =
            best.findings.iter().filter(|f| f.verdict >= least && counts(f.rule)).cloned().collect();
        let better = wrong.iter().find_map(|finding| {
            let most = if finding.verdict == Verdict::Fail { 16 } else { 6 };
            let tries = candidates(bench, &best, finding).into_iter().take(most);
            let mut found: Option<Rc<State>> = None;
            for circuit in tries {
                let Some(state) = bench.solve(circuit) else { continue };
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

/// Whether a state is better than another: fewer fails, a smaller miss, fewer cautions.
fn is_better(state: &State, than: &State) -> bool {
    let coarse = |score: Score| (score.fails, (score.short * 50.0).round(), score.cautions);
    coarse(state.score) < coarse(than.score)
}

/// The lightest tubes with which no rule fails, or fewer do: nobody lays wide tube that mends nothing. First for the runs that fail, then for their lines, then for both.
fn other_tubes(bench: &Bench, from: &Rc<State>) -> Rc<State> {
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
        if let Some(found) = search::lightest(bench, from, open)
            && found.score.fails < best.score.fails
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
fn slimmer(bench: &Bench, from: Rc<State>) -> Rc<State> {
    let mut best = from;
    for line in LineId::BOTH {
        while let Some(state) = narrower(bench, &best, line) {
            best = state;
        }
    }
    best
}

/// The single new tube of a line one size smaller wherever it stands, if nothing suffers.
fn narrower(bench: &Bench, from: &State, line: LineId) -> Option<Rc<State>> {
    let changes = differences(bench.index, &bench.drawn.circuit, &from.circuit);
    let new = changes.iter().find_map(|change| match change {
        Change::Tubes(_, of, _, tubes) if *of == line => tubes.first().filter(|_| tubes.len() == 1),
        _ => None,
    })?;
    let next = smaller(&bench.case(from), line, new).next()?;
    let mut circuit = from.circuit.clone();
    for change in &changes {
        if let Change::Tubes(_, of, run, tubes) = change
            && *of == line
            && tubes.as_slice() == std::slice::from_ref(new)
        {
            put(&mut circuit, line, &[*run], std::slice::from_ref(&next));
        }
    }
    let state = bench.solve(circuit)?;
    let no_worse = state.score.fails <= from.score.fails && state.score.cautions <= from.score.cautions;
    (no_worse && tube_mass(&state.circuit) < tube_mass(&from.circuit)).then_some(state)
}

/// Without the changes that are not needed for what the state reaches.
fn without_the_needless(bench: &Bench, from: Rc<State>) -> Rc<State> {
    let drawn = &bench.drawn.circuit;
    let mut best = from;
    loop {
        let changes = differences(bench.index, drawn, &best.circuit);
        let mut job = bench.job.clone();
        let leaner = (0..changes.len()).find_map(|leave| {
            if let Some(circuit) = job.circuits.get_mut(bench.index) {
                circuit.clone_from(drawn);
            }
            let rest = changes.iter().enumerate().filter(|(at, _)| *at != leave);
            rest.for_each(|(_, change)| change.apply(&mut job));
            let state = bench.solve(job.circuits.get(bench.index)?.clone())?;
            (!is_better(&best, &state)).then_some(state)
        });
        match leaner {
            Some(state) => best = state,
            None => return best,
        }
    }
}
