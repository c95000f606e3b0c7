//! The whole remedy: the least set of changes with which nothing fails, and what costs little against cautions; else the set with which fewest fail,
//! and nothing in it that no failure requires.

use super::candidates::candidates;
use super::change::{Change, as_written};
use super::cost::{Cost, tube_mass};
use super::differences::differences;
use super::effect::Effect;
use super::reaches::{Reaches, failing};
use super::refit::{held, receivers, subcooler_steps};
use super::remedy::Remedy;
use super::resort::{Resort, by_resort, go_together, is_by_a_hair, is_required, is_worth_a_change, made};
use super::single::{by_circuit, in_order, of_each};
use super::trial::{OF_THE_LIQUID, State, Trial};
use super::tubes::{bore, ordinary_riser, smaller};
use super::{discharge_line, plant, search};
use crate::job::{Circuit, HeadControl, Job, LineId, Path};
use crate::rules::{Finding, Place, Verdict, liquid_flash, look_at_the_plant};
use crate::survey::{CircuitSurvey, Survey};
use crate::units::{Kind, Temperature, watts};
use std::rc::Rc;

/// How many rounds of one change after another are made.
const ROUNDS: usize = 12;

/// The rules for which the discharge line is sized anew.
const OF_DISCHARGE: [&str; 3] = ["discharge-drop", "discharge-velocity", "oil-riser"];

/// Those of them that are of what the whole line loses.
const OF_LOSS: [&str; 2] = ["discharge-drop", "discharge-velocity"];

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

/// The remedies of every finding, the whole remedy, and whether all was tried; what is solved for the one is known for the other.
#[must_use]
pub fn remedies_and_whole(job: &Job, survey: &Survey, findings: &[Finding]) -> (Vec<Vec<Remedy>>, Option<Whole>, bool) {
    let parts = by_circuit(job, survey, findings, |trial| {
        let whole = of_circuit(trial);
        trial.go_on();
        ((of_each(trial, findings), whole), trial.has_tried_all())
    });
    let all_tried = parts.iter().flatten().all(|(_, all)| *all);
    let parts = parts.into_iter().map(|part| part.map(|(found, _)| found));
    let (each, whole): (Vec<_>, Vec<_>) = parts.map(Option::unzip).unzip();
    (
        in_order(job, survey, findings, each.into_iter().flatten().flatten()),
        joined(job, survey, whole.into_iter().map(Option::flatten)),
        all_tried,
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
    if let Some((remedy, changed, solved)) = plant::remedies(&job, &survey).into_iter().next() {
        all.changes.extend(remedy.changes);
        all.effect.add(&remedy.effect);
        all.cost.add(&remedy.cost);
        (job, survey) = (changed, solved);
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
    let found = trial.confirmed(&mend(trial));
    let drawn = &trial.drawn.circuit;
    let mut left: Vec<&'static str> = failing(&found).map(|finding| finding.rule).collect();
    left.dedup();
    Some(Part {
        index: trial.index,
        changes: differences(trial.index, drawn, &found.circuit),
        effect: Effect::between(trial.index, &trial.drawn, &found),
        cost: Cost::of(trial.drawn.both(), found.both()),
        circuit: found.circuit.clone(),
        solved: found.solved.clone(),
        left,
    })
}

/// A circuit as drawn, changed until nothing fails or nothing more helps.
fn mend(trial: &Trial) -> Rc<State> {
    let mut best = Rc::clone(&trial.drawn);
    for _ in 0..3 {
        let before = best.score;
        // What sets the flow comes first: with the head held the lines carry other gas.
        let stopped = best.solved.stopped_line() == Some(LineId::Discharge);
        best = one_by_one(trial, best, Verdict::Fail, |rule| stopped || !OF_DISCHARGE.contains(&rule));
        // A riser that lifts no oil by itself wants another riser, not another line.
        if !failing(&best).any(|finding| OF_LOSS.contains(&finding.rule)) {
            best = one_by_one(trial, best, Verdict::Fail, |_| true);
        }
        if failing(&best).any(|finding| OF_DISCHARGE.contains(&finding.rule)) {
            let found = discharge_line::lightest(trial, &best);
            best = found.filter(|found| Reaches::of(trial, found) < Reaches::of(trial, &best)).unwrap_or(best);
        }
        best = one_by_one(trial, best, Verdict::Fail, |_| true);
        if Reaches::of(trial, &best).is_all() || best.score >= before {
            break;
        }
    }
    if Reaches::of(trial, &best).is_all() {
        best = one_by_one(trial, best, Verdict::Caution, |_| true);
    }
    slimmer(trial, without_the_needless(trial, best))
}

/// One change after another, each the one that helps most against the gravest finding that any helps.
fn one_by_one(trial: &Trial, from: Rc<State>, minimum: Verdict, counts: impl Fn(&str) -> bool) -> Rc<State> {
    let mut best = from;
    for _ in 0..ROUNDS {
        let trips = failing(&trial.drawn).any(|finding| finding.rule == "high-pressure");
        let is_near = |finding: &Finding| trips && finding.rule == "high-pressure";
        let worth = |finding: &&Finding| {
            let grave = finding.verdict >= minimum || (finding.verdict == Verdict::Caution && is_near(finding));
            grave && counts(finding.rule) && (finding.verdict == Verdict::Fail || is_worth_a_change(finding))
        };
        let mut wrong: Vec<Finding> = best.findings.iter().filter(worth).cloned().collect();
        wrong.sort_by_key(|finding| !best.hides(finding));
        let Some(better) = wrong.iter().find_map(|finding| best_for(trial, &best, finding)) else { break };
        best = better;
    }
    best
}

/// The change that helps most against a finding, if any does.
fn best_for(trial: &Trial, from: &State, finding: &Finding) -> Option<Rc<State>> {
    let fails = finding.verdict == Verdict::Fail;
    let maximum = if fails { 16 } else { 12 };
    let mut found: Option<(Resort, Rc<State>)> = None;
    for (resort, circuit) in by_resort(trial, from, candidates(trial, from, finding).into_iter().take(maximum)) {
        if is_ordinary(&from.circuit) && !is_ordinary(&circuit) || !(fails || costs_little(trial, from, &circuit)) {
            continue;
        }
        let does = |(before, known): &(Resort, Rc<State>)| *before < resort && settles(known, from, finding);
        if resort.is_last() && found.as_ref().is_some_and(does) {
            break;
        }
        let Some(state) = trial.solve_with_receiver(circuit, from) else { continue };
        if state.is_too_heavy(&trial.drawn, finding) {
            continue;
        }
        let reached = Reaches::of(trial, &state);
        let better = |than: &State| reached.is_better(&Reaches::of(trial, than));
        if better(from) && found.as_ref().is_none_or(|(_, known)| better(known)) {
            let done = reached.is_all() && reached.cautions == 0;
            found = Some((resort, state));
            if done {
                break;
            }
        }
    }
    found.map(|(_, state)| state)
}

/// Whether fewer findings of a rule are as grave in a state as in another.
fn settles(state: &State, from: &State, finding: &Finding) -> bool {
    let count = |state: &State| {
        state.findings.iter().filter(|found| found.rule == finding.rule && found.verdict >= finding.verdict).count()
    };
    count(state) < count(from)
}

/// Whether a circuit has, over another, only what costs little: what a caution may be mended with.
fn costs_little(trial: &Trial, from: &State, circuit: &Circuit) -> bool {
    let drawn = &trial.drawn.circuit;
    let known = differences(trial.index, drawn, &from.circuit);
    let is_new_tube =
        |of: &Change| known.iter().any(|known| matches!(known, Change::Tubes(..)) && known.run() == of.run());
    differences(trial.index, drawn, circuit).iter().all(|change| match change {
        Change::Tubes(..) => is_new_tube(change),
        change => known.contains(change) || is_cheap(change, drawn),
    })
}

/// Whether a change that is no tube costs little: traps, slopes, parts, settings.
fn is_cheap(change: &Change, drawn: &Circuit) -> bool {
    match change {
        Change::Condenser(..) | Change::Subcooling(..) | Change::Bypass(..) | Change::Legs(..) | Change::Copies(..) => {
            false
        }
        Change::HeadControl(_, HeadControl::Flooding { .. }) => {
            matches!(drawn.condenser.head_control, HeadControl::Flooding { .. })
        }
        Change::Inserted(.., part) => part.receiver.is_none() && part.subcooler.is_none() && !part.is_head_valve(),
        _ => true,
    }
}

/// With new tube as narrow as it may be, and the receiver as small, without another fail or caution: nobody pays for more.
fn slimmer(trial: &Trial, from: Rc<State>) -> Rc<State> {
    let mut best = from;
    while let Some(state) = narrower(trial, &best) {
        best = state;
    }
    while let Some(state) = smaller_subcooler(trial, &best) {
        best = state;
    }
    smaller_receiver(trial, &best).unwrap_or(best)
}

/// A new mechanical subcooler that holds the liquid as warm as every operating point allows, and takes no more heat than that: the
/// changes since it was sized may have made it colder than it has to be.
fn smaller_subcooler(trial: &Trial, from: &State) -> Option<Rc<State>> {
    let drawn = &trial.drawn.circuit;
    if drawn.liquid.runs.iter().any(|run| run.subcooler().is_some()) {
        return None;
    }
    let case = trial.case(from);
    let (step, degree) = subcooler_steps(trial.job.units);
    let spare = case.points().map(|point| liquid_flash::margin(&case, point)).fold(f64::INFINITY, f64::min);
    let taken = case.points().map(|point| point.liquid_line.subcooled_W).fold(0.0, f64::max);
    let warmer = ((spare / degree).floor() - 1.0).max(0.0) * degree;
    let mut circuit = from.circuit.clone();
    let subcooler = circuit.liquid.runs.iter_mut().find_map(|run| match &mut run.path {
        Path::Part(part) => part.subcooler.as_mut(),
        _ => None,
    })?;
    let capacity = as_written(Kind::Capacity, (taken / step - 1e-6).ceil() * step, trial.job);
    let before = *subcooler;
    subcooler.capacity = watts(capacity.min(before.capacity.value));
    if warmer.is_finite() {
        subcooler.leaving =
            Temperature::from_kelvin(as_written(Kind::Temperature, before.leaving.kelvin() + warmer, trial.job));
    }
    if *subcooler == before {
        return None;
    }
    trial.solve(circuit).filter(|state| Reaches::of(trial, state).is_no_worse(&Reaches::of(trial, from)))
}

/// The new tube of some runs that have the same one size smaller, if nothing suffers.
fn narrower(trial: &Trial, from: &State) -> Option<Rc<State>> {
    let changes = differences(trial.index, &trial.drawn.circuit, &from.circuit);
    changes.iter().find_map(|change| {
        let Change::Tubes(_, line, run, tubes) = change else { return None };
        // Where new tube is narrower than the drawn, the widest that does is the best.
        let drawn = line.of(&trial.drawn.circuit).runs.get(*run).filter(|run| !run.open);
        if drawn.is_some_and(|drawn| bore(tubes) < bore(&drawn.tubes) * 0.999) {
            return None;
        }
        let next = match tubes.as_slice() {
            [one] => smaller(&trial.case(from), *line, one).next()?,
            [one, other] if one == other => one.clone(),
            _ => return None,
        };
        let smaller = |other: &Change| match other {
            Change::Tubes(circuit, line, run, _) if go_together(change, other) => {
                Change::Tubes(*circuit, *line, *run, vec![next.clone()])
            }
            other => other.clone(),
        };
        let changes: Vec<Change> = changes.iter().map(smaller).collect();
        let circuit = made(trial, changes.iter())?;
        let lighter = tube_mass(&circuit) < tube_mass(&from.circuit) && is_ordinary(&circuit);
        let state = lighter.then(|| trial.solve(circuit)).flatten()?;
        let no_worse = Reaches::of(trial, &state).is_no_worse(&Reaches::of(trial, from));
        (no_worse && keeps_the_aims(&state, from)).then_some(state)
    })
}

/// Whether no pressure drop or gas velocity misses its usual aim by more than a hair that another state does not miss as far.
fn keeps_the_aims(state: &State, than: &State) -> bool {
    let missed = |state: &State| -> Vec<(&'static str, f64)> {
        let missed = state.findings.iter().filter(|finding| search::misses_aim(finding) && !is_by_a_hair(finding));
        missed.filter_map(|finding| Some((finding.rule, finding.measure?.value))).collect()
    };
    let known = missed(than);
    missed(state).iter().all(|(rule, value)| known.iter().any(|(of, found)| of == rule && found >= value))
}

/// Whether no tube of a riser is wider than the widest level tube of its discharge line.
fn is_ordinary(circuit: &Circuit) -> bool {
    let risers = circuit.discharge.runs.iter().filter(|run| matches!(run.path, Path::Rise { .. }));
    risers.flat_map(|run| &run.tubes).all(|tube| tube.bore().value <= ordinary_riser(circuit))
}

/// The drawn receiver, else the one that the charge needs, where that is smaller and nothing suffers.
fn smaller_receiver(trial: &Trial, from: &State) -> Option<Rc<State>> {
    let largest = |circuit: &Circuit| {
        let volumes: Vec<_> = receivers(&mut circuit.clone()).filter_map(|receiver| receiver.volume).collect();
        volumes.iter().map(|volume| volume.value).fold(0.0, f64::max)
    };
    let mut drawn = from.circuit.clone();
    let as_drawn: Vec<_> =
        receivers(&mut trial.drawn.circuit.clone()).map(|receiver| (receiver.volume, receiver.shell)).collect();
    receivers(&mut drawn).zip(as_drawn).for_each(|(receiver, vessel)| (receiver.volume, receiver.shell) = vessel);
    let minimum = largest(&drawn);
    let needed = held(&trial.case(from)).filter(|circuit| largest(circuit) > minimum);
    let ways = [Some(drawn), needed].into_iter().flatten();
    let fits =
        ways.filter(|circuit| largest(circuit) < largest(&from.circuit)).filter_map(|circuit| trial.solve(circuit));
    fits.into_iter().find(|state| Reaches::of(trial, state).is_no_worse(&Reaches::of(trial, from)))
}

/// Without the changes that no failure requires; of those that cost little, and of the tube that a failure is about, without those
/// that no caution requires either.
fn without_the_needless(trial: &Trial, from: Rc<State>) -> Rc<State> {
    let drawn = &trial.drawn.circuit;
    let counts = |change: &Change| match change {
        Change::Tubes(_, line, run, _) => is_of_a_failure(&trial.drawn, *line, *run),
        change => is_cheap(change, drawn),
    };
    let mut best = from;
    // Each turn leaves out one change at least.
    for _ in 0..differences(trial.index, drawn, &best.circuit).len() {
        let reached = Reaches::of(trial, &best);
        let changes = differences(trial.index, drawn, &best.circuit);
        let leaner = changes.iter().filter(|change| !is_required(&trial.drawn, change)).find_map(|needless| {
            let of_cautions = counts(needless);
            let goes = |change: &&Change| go_together(needless, change) && counts(change) == of_cautions;
            let circuit = made(trial, changes.iter().filter(|change| !goes(change)))?;
            let state = trial.solve_with_receiver(circuit, &trial.drawn)?;
            let fewer = differences(trial.index, drawn, &state.circuit).len() < changes.len();
            let leaner = Reaches::of(trial, &state);
            let does = if of_cautions { leaner.is_no_worse(&reached) } else { leaner.fails_no_more(&reached) };
            (fewer && does).then_some(state)
        });
        match leaner {
            Some(state) => best = state,
            None => break,
        }
    }
    best
}

/// Whether a failure is about the tube of a run: of the liquid line all of it, which people pipe in one size.
fn is_of_a_failure(drawn: &State, line: LineId, run: usize) -> bool {
    failing(drawn).any(|finding| match &finding.place {
        _ if drawn.hides(finding) => true,
        _ if OF_LOSS.contains(&finding.rule) => line == LineId::Discharge,
        Some(Place::Runs(of, numbers)) => *of == line && (line == LineId::Liquid || numbers.contains(&(run + 1))),
        Some(Place::Line(of)) => *of == line,
        _ => line == LineId::Liquid && OF_THE_LIQUID.contains(&finding.rule),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::remedies::testing::{finding, state};
    use crate::rules::testing::job;

    #[test]
    fn a_failure_is_about_the_runs_that_it_names_about_a_whole_line_or_about_what_its_rule_is() {
        let of = |rule: &'static str, verdict: Verdict, place: Option<Place>| {
            let drawn = state(&job(), vec![finding(rule, verdict, place)]);
            let is = |line: LineId| [0, 1].map(|run| is_of_a_failure(&drawn, line, run));
            LineId::BOTH.map(is)
        };
        let (discharge, liquid) = ([[true; 2], [false; 2]], [[false; 2], [true; 2]]);
        let line = |line: LineId| Some(Place::Line(line));
        let second = |line: LineId| Some(Place::Runs(line, vec![2]));
        assert_eq!(of("line-length", Verdict::Fail, line(LineId::Discharge)), discharge);
        assert_eq!(of("line-length", Verdict::Fail, line(LineId::Liquid)), liquid);
        assert_eq!(of("tube-strength", Verdict::Fail, second(LineId::Discharge)), [[false, true], [false; 2]]);
        // A liquid line is piped in one size.
        assert_eq!(of("tube-strength", Verdict::Fail, second(LineId::Liquid)), liquid);
        assert_eq!(of("discharge-velocity", Verdict::Fail, second(LineId::Discharge)), discharge);
        assert_eq!(of("liquid-flash", Verdict::Fail, Some(Place::Valve)), liquid);
        assert_eq!(of("receiver", Verdict::Fail, Some(Place::Receiver)), [[false; 2]; 2]);
        assert_eq!(of("line-length", Verdict::Caution, line(LineId::Liquid)), [[false; 2]; 2]);
    }
}
