//! One circuit under trial: what is changed is solved again, what was solved is remembered, and the rules look.

use super::change::Change;
use super::differences::differences;
use super::refit::held;
use crate::job::{Circuit, Job, LineId, Part, Path};
use crate::rules::{self, Case, Finding, Place, Verdict};
use crate::survey::{CircuitSurvey, Point, SurveyFault, what_if, what_if_it_flows_like, what_if_like};
use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::rc::Rc;

/// What a search for remedies may do, whatever the job, in steps along lines.
pub(crate) const WORK: u64 = 80_000;
/// The same for all circuits of a job together...
const TOGETHER: u64 = 204_000;
/// ...of which each has this at least.
const LEAST: u64 = 3000;

/// Its share that one operating point may take of a circuit that is tried.
pub(super) const POINTS: u64 = 6;

/// What a search may do for a circuit of a job: less where many may fail, and where it took long as drawn.
pub(crate) fn work_of(job: &Job, drawn: &CircuitSurvey) -> u64 {
    let circuits = u64::try_from(job.circuits.len()).unwrap_or(u64::MAX).max(1);
    (TOGETHER / circuits).min(WORK).saturating_sub(drawn.work).max(LEAST)
}

/// A circuit, solved and looked at.
#[derive(Clone, Debug)]
pub(crate) struct State {
    /// The circuit as changed.
    pub circuit: Circuit,
    /// The circuit as solved.
    pub solved: CircuitSurvey,
    /// What the rules find of it.
    pub findings: Vec<Finding>,
    /// How good it is.
    pub score: Score,
}

/// Rules of the liquid line, for which nobody fills many times the charge.
pub(super) const OF_THE_LIQUID: [&str; 4] = ["liquid-flash", "liquid-drop", "liquid-velocity", "liquid-hammer"];

impl State {
    /// Whether a fail is of a point without a solution: until that is mended nothing else can be looked at there, and every solution
    /// takes long.
    pub fn hides(&self, finding: &Finding) -> bool {
        let lost = |point| self.solved.unsolved.iter().any(|unsolved| unsolved.id == point);
        finding.verdict == Verdict::Fail && finding.point().is_some_and(lost)
    }

    /// A circuit, solved, with what the rules find of it.
    pub fn of(circuit: Circuit, solved: CircuitSurvey, findings: Vec<Finding>) -> Self {
        let score = Score::of(solved.unsolved.len(), &findings);
        Self { circuit, solved, findings, score }
    }
}

/// How good a circuit is: less is better, and what comes first counts first.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(crate) struct Score {
    /// How many operating points have no solution: until they have, no rule can look at them.
    pub unsolved: usize,
    /// How many findings fail.
    pub fails: usize,
    /// By how much of their limits they miss, each ten times at the most.
    pub short: f64,
    /// How many are a caution.
    pub cautions: usize,
}

impl State {
    /// The circuit and what was solved of it.
    pub fn both(&self) -> (&Circuit, &CircuitSurvey) {
        (&self.circuit, &self.solved)
    }

    /// Whether it takes so much more charge than another that nobody fills it for the sake of a liquid line: half as much again to be
    /// rid of a caution, two and a half times as much where it fails.
    pub fn is_too_heavy(&self, other: &Self, finding: &Finding) -> bool {
        let maximum = if finding.verdict == Verdict::Fail { 2.5 } else { 1.5 };
        let charge = |state: &Self| state.solved.charge.as_ref().map(|charge| charge.total_kg);
        charge(self).zip(charge(other)).is_some_and(|(ours, theirs)| ours > maximum * theirs)
            && OF_THE_LIQUID.contains(&finding.rule)
    }
}

impl Score {
    /// Of findings, and so many operating points without a solution.
    pub fn of(unsolved: usize, findings: &[Finding]) -> Self {
        let count = |verdict| findings.iter().filter(|finding| finding.verdict == verdict).count();
        let short = findings.iter().filter(|finding| finding.verdict == Verdict::Fail).map(|finding| {
            let found = finding.measure.and_then(|found| Some((found.value, found.limit?)));
            found.map_or(1.0, |(value, limit)| ((value - limit) / limit.abs().max(1e-9)).abs().min(10.0))
        });
        Self { unsolved, fails: count(Verdict::Fail), short: short.sum(), cautions: count(Verdict::Caution) }
    }

    /// Whether it is better than another: fewer points without a solution, fewer fails, a smaller miss, fewer cautions.
    pub fn is_better(self, than: Self) -> bool {
        let coarse = |score: Self| (score.unsolved, score.fails, (score.short * 50.0).round(), score.cautions);
        coarse(self) < coarse(than)
    }
}

/// One circuit under trial.
pub(crate) struct Trial<'a> {
    /// The job.
    pub job: &'a Job,
    /// The circuit's index in it.
    pub index: usize,
    /// The circuit as drawn.
    pub drawn: Rc<State>,
    known: RefCell<Known>,
    confirmed: RefCell<Known>,
    work: u64,
    left: Cell<u64>,
    done: Cell<u64>,
    solved: Cell<u32>,
    refused: Cell<bool>,
}

impl<'a> Trial<'a> {
    /// For a circuit of a job, solved, with what the rules found of it.
    pub fn new(
        job: &'a Job,
        index: usize,
        (circuit, solved): (&Circuit, &CircuitSurvey),
        findings: Vec<Finding>,
        work: u64,
    ) -> Self {
        let drawn = Rc::new(State::of(circuit.clone(), solved.clone(), findings));
        let (known, confirmed) = <(RefCell<Known>, RefCell<Known>)>::default();
        known.borrow_mut().keep(key(circuit), Some(&drawn));
        Self {
            job,
            index,
            drawn,
            known,
            confirmed,
            work,
            left: Cell::new(work),
            done: Cell::new(0),
            solved: Cell::new(0),
            refused: Cell::new(false),
        }
    }

    /// A state as what a rule looks at.
    pub fn case<'s>(&'s self, state: &'s State) -> Case<'s> {
        Case { job: self.job, index: self.index, circuit: &state.circuit, solved: &state.solved }
    }

    /// A changed circuit, solved as `check` solves it; nothing where that can't be done or the search has done enough.
    pub fn solve(&self, circuit: Circuit) -> Option<Rc<State>> {
        let key = key(&circuit);
        if let Some(known) = self.known.borrow().states.get(&key) {
            return known.clone();
        }
        let like = self.known.borrow().flows.get(&key.flow).cloned();
        let solved = if let Some(like) = like {
            what_if_it_flows_like(self.job, &circuit, &like.solved)
        } else {
            if self.is_spent() {
                self.refused.set(true);
                return None;
            }
            self.solved.set(self.solved.get() + 1);
            self.counted(what_if_like(self.job, &circuit, &self.drawn.solved, self.work / POINTS))
        };
        let state = self.looked_at(circuit, solved).ok();
        self.known.borrow_mut().keep(key, state.as_ref());
        state
    }

    fn counted(&self, solved: Result<CircuitSurvey, SurveyFault>) -> Result<CircuitSurvey, SurveyFault> {
        let steps = solved.as_ref().map_or(1, |solved| solved.work);
        self.left.set(self.left.get().saturating_sub(steps));
        self.done.set(self.done.get() + steps);
        solved
    }

    fn looked_at(
        &self,
        circuit: Circuit,
        solved: Result<CircuitSurvey, SurveyFault>,
    ) -> Result<Rc<State>, SurveyFault> {
        let solved = solved?;
        let findings = rules::look(&Case { job: self.job, index: self.index, circuit: &circuit, solved: &solved });
        Ok(Rc::new(State::of(circuit, solved, findings)))
    }

    /// A state solved from the beginning, as `check` solves what is written: near the most that a line carries, whether there is a
    /// solution can hang on where its search began.
    pub fn confirmed(&self, state: &Rc<State>) -> Rc<State> {
        if is_firm(&state.solved) {
            return Rc::clone(state);
        }
        let key = key(&state.circuit);
        if let Some(Some(known)) = self.confirmed.borrow().states.get(&key) {
            return Rc::clone(known);
        }
        let like = self.confirmed.borrow().flows.get(&key.flow).cloned();
        let solved = match like {
            Some(like) => what_if_it_flows_like(self.job, &state.circuit, &like.solved),
            None => self.counted(what_if(self.job, &state.circuit)),
        };
        let anew = self.looked_at(state.circuit.clone(), solved).unwrap_or_else(|_| Rc::clone(state));
        self.confirmed.borrow_mut().keep(key, Some(&anew));
        anew
    }

    /// A changed circuit, with the receiver that its charge needs where that of the state that it comes from does and its own does not.
    pub fn solve_with_receiver(&self, circuit: Circuit, from: &State) -> Option<Rc<State>> {
        let state = self.solve(circuit)?;
        if is_short(from) || !is_short(&state) {
            return Some(state);
        }
        held(&self.case(&state)).and_then(|circuit| self.solve(circuit)).or(Some(state))
    }

    /// Gives a search all of its work again, for another question.
    pub fn go_on(&self) {
        self.left.set(self.work);
    }

    /// Answers questions in turn, each with up to twice its share of the work that is left. The last circuit that one tries may take
    /// more than that; where all of them took twice the work, no more is tried.
    pub fn share<Q, A>(&self, questions: Vec<Q>, answer: impl Fn(Q) -> A) -> Vec<A> {
        let (mut left, before) = (self.left.get(), self.done.get());
        let count = questions.len();
        let answers = questions.into_iter().enumerate().map(|(turn, question)| {
            let share = (2 * left / u64::try_from(count - turn).unwrap_or(1)).min(left);
            let share = if self.done.get() - before < 2 * self.work { share } else { 0 };
            self.left.set(share);
            let answer = answer(question);
            left -= share - self.left.get();
            answer
        });
        answers.collect()
    }

    /// Whether it has done all the work that it may: what it says then is what it found until there.
    pub fn is_spent(&self) -> bool {
        self.left.get() == 0
    }

    /// Whether nothing was left untried for want of work.
    pub fn has_tried_all(&self) -> bool {
        !self.refused.get()
    }

    /// How many circuits were solved.
    pub fn solved(&self) -> u32 {
        self.solved.get()
    }
}

/// Whether a circuit's receiver is too small, or of no volume that is known.
fn is_short(state: &State) -> bool {
    let mut receivers = state.circuit.liquid.runs.iter().filter_map(|run| match &run.path {
        Path::Part(part) => part.receiver,
        _ => None,
    });
    receivers.any(|receiver| receiver.volume.is_none())
        || state.solved.charge.as_ref().and_then(|charge| charge.receiver).is_some_and(|receiver| receiver.is_short())
}

/// The largest share of its pressure that a line loses where its points have one solution, wherever the search begins.
const FIRM: f64 = 0.1;

/// Whether all operating points have a solution that is far from the most that the lines carry.
fn is_firm(solved: &CircuitSurvey) -> bool {
    let firm = |point: &Point| {
        let lines =
            [(&point.discharge_line, &point.state.discharge), (&point.liquid_line, &point.state.condenser_outlet)];
        !point.starved && lines.iter().all(|(line, inlet)| line.friction_Pa + line.parts_Pa < FIRM * inlet.pressure_Pa)
    };
    solved.unsolved.is_empty() && solved.points.iter().all(firm)
}

/// Circuits that were solved.
#[derive(Default)]
struct Known {
    states: HashMap<Key, Option<Rc<State>>>,
    /// One of each flow.
    flows: HashMap<String, Rc<State>>,
}

impl Known {
    fn keep(&mut self, key: Key, state: Option<&Rc<State>>) {
        if let Some(state) = state {
            self.flows.entry(key.flow.clone()).or_insert_with(|| Rc::clone(state));
        }
        self.states.insert(key, state.cloned());
    }
}

/// All of a circuit that a change can change.
#[derive(PartialEq, Eq, Hash)]
struct Key {
    /// What the flow depends on...
    flow: String,
    /// ...and what it does not.
    rest: String,
}

fn key(circuit: &Circuit) -> Key {
    let (mut flow, mut rest) = (String::with_capacity(256), String::with_capacity(256));
    for line in LineId::BOTH {
        for run in &line.of(circuit).runs {
            for tube in &run.tubes {
                flow.push_str(&tube.name);
                flow.push('+');
            }
            let _ = write!(flow, "{}{:?}", run.insulation.value, run.expansion);
            let _ = match &run.path {
                Path::Level { slope, .. } => write!(rest, "{slope:?}"),
                Path::Rise { traps, .. } => write!(flow, "{traps:?}"),
                Path::Drop { .. } => Ok(()),
                Path::Part(part) => {
                    let Part { name, resistance, receiver, subcooler, bypass, .. } = part;
                    let _ = write!(rest, "{receiver:?}");
                    let style = receiver.as_ref().map(|receiver| (receiver.style, receiver.vented));
                    write!(flow, "{name}{resistance:?}{style:?}{subcooler:?}{bypass}")
                }
            };
            flow.push(';');
            rest.push(';');
        }
    }
    let condenser = &circuit.condenser;
    let _ = write!(
        flow,
        "{:?}{}+{}+{}{:?}",
        condenser.head_control,
        condenser.rejection.value,
        condenser.subcooling.value,
        circuit.compressors.bypass.share,
        condenser.legs.as_ref().map(|legs| (legs.height.value, &legs.tube.name))
    );
    let _ = write!(rest, "{:?}{:?}", condenser.cutout, circuit.relief);
    Key { flow, rest }
}

/// What a change does to the findings of a circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Effect {
    /// Rules of which something that failed or was a caution is gone.
    pub resolves: Vec<&'static str>,
    /// Rules that failed in what was changed, and fail there still.
    pub still_fails: Vec<&'static str>,
    /// Rules that fail somewhere where they did not.
    pub newly_fails: Vec<&'static str>,
    /// Rules that have a caution where they were content.
    pub newly_cautions: Vec<&'static str>,
}

impl Effect {
    /// With that of another circuit.
    pub(crate) fn add(&mut self, other: &Self) {
        let pairs = [
            (&mut self.resolves, &other.resolves),
            (&mut self.still_fails, &other.still_fails),
            (&mut self.newly_fails, &other.newly_fails),
            (&mut self.newly_cautions, &other.newly_cautions),
        ];
        for (ours, theirs) in pairs {
            for rule in theirs {
                add(ours, rule);
            }
        }
    }

    /// Between two states of a circuit.
    pub(crate) fn between(index: usize, before: &State, now: &State) -> Self {
        let changes = differences(index, &before.circuit, &now.circuit);
        let back = |finding: &Finding| placed_before(&before.circuit, &now.circuit, finding.place.as_ref());
        let after: Vec<(&Finding, Option<Place>)> =
            now.findings.iter().map(|finding| (finding, back(finding))).collect();
        let still = |finding: &Finding, minimum: Verdict| {
            after.iter().any(|(other, place)| {
                other.rule == finding.rule
                    && other.verdict >= minimum
                    && overlaps(finding.place.as_ref(), place.as_ref())
            })
        };
        let count = |state: &State, rule: &str, verdict| {
            state.findings.iter().filter(|finding| finding.rule == rule && finding.verdict >= verdict).count()
        };
        // What is gone in one place and came up in another is not resolved.
        let fewer = |rule: &str, verdict| count(now, rule, verdict) < count(before, rule, verdict);
        let mut effect = Self::default();
        for finding in before.findings.iter().filter(|finding| finding.verdict >= Verdict::Caution) {
            if !still(finding, finding.verdict) && fewer(finding.rule, finding.verdict) {
                add(&mut effect.resolves, finding.rule);
            } else if finding.verdict == Verdict::Fail && changes.iter().any(|change| is_there(change, finding)) {
                add(&mut effect.still_fails, finding.rule);
            }
        }
        for (finding, place) in after.iter().filter(|(finding, _)| finding.verdict >= Verdict::Caution) {
            let before = before.findings.iter().filter(|other| other.rule == finding.rule);
            let worst = before
                .filter(|other| overlaps(other.place.as_ref(), place.as_ref()))
                .map(|other| other.verdict)
                .max()
                .unwrap_or(Verdict::Pass);
            if worst < finding.verdict && finding.verdict == Verdict::Fail {
                add(&mut effect.newly_fails, finding.rule);
            } else if worst < Verdict::Caution {
                add(&mut effect.newly_cautions, finding.rule);
            }
        }
        effect
    }
}

fn add(rules: &mut Vec<&'static str>, rule: &'static str) {
    if !rules.contains(&rule) {
        rules.push(rule);
    }
}

/// Whether two findings of a rule can be about the same: one that names no place is about all of its circuit.
fn overlaps(a: Option<&Place>, b: Option<&Place>) -> bool {
    match (a, b) {
        (Some(Place::Runs(a, ours)), Some(Place::Runs(b, theirs))) => {
            a == b && ours.iter().any(|number| theirs.contains(number))
        }
        (Some(Place::Line(a)), Some(Place::Runs(b, _) | Place::Line(b)))
        | (Some(Place::Runs(a, _)), Some(Place::Line(b))) => a == b,
        (Some(a), Some(b)) => a == b,
        _ => true,
    }
}

/// Whether a change is of the runs that a finding is about.
fn is_there(change: &Change, finding: &Finding) -> bool {
    match (change.run(), &finding.place) {
        (Some((line, run)), Some(Place::Runs(of, numbers))) => line == *of && numbers.contains(&(run + 1)),
        (Some((line, _)), Some(Place::Line(of))) => line == *of,
        _ => false,
    }
}

/// A place after parts were put in, by the numbers that its runs had before.
fn placed_before(before: &Circuit, after: &Circuit, place: Option<&Place>) -> Option<Place> {
    let Place::Runs(line, numbers) = place? else { return place.cloned() };
    let (old, new) = (&line.of(before).runs, &line.of(after).runs);
    if old.len() == new.len() {
        return place.cloned();
    }
    let inserted: Vec<usize> = differences(0, before, after)
        .iter()
        .filter_map(|change| match change {
            Change::Inserted(_, of, at, _) if of == line => Some(*at),
            _ => None,
        })
        .collect();
    // The last comes first; each one moves what stands behind it.
    let at: Vec<usize> = inserted.iter().rev().enumerate().map(|(before, at)| at + before).collect();
    let number_before = |number: usize| number - at.iter().filter(|at| **at + 1 < number).count();
    Some(Place::Runs(*line, numbers.iter().map(|number| number_before(*number)).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::remedies::change::insert;
    use crate::rules::testing::job;

    /// A receiver, level, drop, level, drier and solenoid valve, into which parts are put before the third run and before the fifth.
    #[test]
    fn a_place_behind_what_was_put_in_has_its_number_from_before() {
        let before = job().circuits.swap_remove(0);
        let part = |name: &str| {
            let Some(Path::Part(part)) = before.liquid.runs.last().map(|run| &run.path) else { panic!("no part") };
            Part { name: name.to_owned(), ..part.clone() }
        };
        let mut after = before.clone();
        insert(&mut after.liquid, 4, part("sight glass"));
        insert(&mut after.liquid, 2, part("ball valve"));
        insert(&mut after.discharge, 0, part("muffler"));
        let place = |line: LineId, numbers: &[usize]| {
            let place = placed_before(&before, &after, Some(&Place::Runs(line, numbers.to_vec())));
            let Some(Place::Runs(of, numbers)) = place else { panic!("no runs") };
            assert_eq!(of, line);
            numbers
        };
        assert_eq!(place(LineId::Liquid, &[1, 2, 4, 5, 7, 8]), [1, 2, 3, 4, 5, 6]);
        // What was put in stands for the run before which it was.
        assert_eq!(place(LineId::Liquid, &[3, 6]), [3, 5]);
        assert_eq!(place(LineId::Discharge, &[2, 3, 5]), [1, 2, 4]);
    }
}
