//! One circuit under trial: what is changed is solved again, what was solved is remembered, and the rules look.

use super::known::{Known, key};
use super::refit::held;
use crate::job::{Circuit, Job, Path};
use crate::rules::{self, Case, Finding, Verdict};
use crate::survey::{CircuitSurvey, Point, SurveyFault, what_if, what_if_it_flows_like, what_if_like};
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// What a search for remedies may do, whatever the job, in steps along lines.
pub(crate) const WORK: u64 = 80_000;
/// The same for all circuits of a job together...
const TOGETHER: u64 = 180_000;
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
    known: RefCell<Known<State>>,
    confirmed: RefCell<Known<State>>,
    work: u64,
    left: Cell<u64>,
    done: Cell<u64>,
    solved: Cell<u32>,
    untried: Cell<bool>,
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
        let (known, confirmed) = <(RefCell<Known<State>>, RefCell<Known<State>>)>::default();
        known.borrow_mut().keep(key(circuit), Some(&drawn));
        confirmed.borrow_mut().keep(key(circuit), Some(&drawn));
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
            untried: Cell::new(false),
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
                self.untried.set(true);
                return None;
            }
            self.solved.set(self.solved.get() + 1);
            self.counted(what_if_like(self.job, &circuit, &self.drawn.solved, self.work / POINTS))
        };
        let state = self.looked_at(circuit, solved).ok();
        if state.as_ref().is_some_and(|state| state.solved.cut) {
            self.untried.set(true);
        }
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
        !self.untried.get()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::job;
    use crate::survey::what_if;
    use crate::units::watts;

    fn larger(circuit: &Circuit, times: f64) -> Circuit {
        let mut larger = circuit.clone();
        larger.condenser.rejection = watts(times * circuit.condenser.rejection.value);
        larger
    }

    #[test]
    fn what_is_left_untried_is_known() {
        let job = job();
        let circuit = &job.circuits[0];
        let solved = what_if(&job, circuit).unwrap();
        let trial = |work| Trial::new(&job, 0, (circuit, &solved), Vec::new(), work);
        let enough = trial(WORK);
        assert!(enough.solve(larger(circuit, 1.1)).is_some() && enough.has_tried_all() && !enough.is_spent());
        // The first takes all that there is; what flows like one that is known takes none.
        let little = trial(1);
        little.solve(larger(circuit, 1.1));
        assert!(little.is_spent());
        let mut known = circuit.clone();
        known.condenser.cutout = None;
        assert!(little.solve(known).is_some());
        assert!(little.solve(larger(circuit, 1.2)).is_none() && !little.has_tried_all());
        // A point that was not found in its share of the work is not known to have no solution.
        let bounded = trial(POINTS);
        assert!(bounded.solve(larger(circuit, 1.1)).is_some_and(|state| state.solved.cut) && !bounded.has_tried_all());
    }

    #[test]
    fn each_question_gets_up_to_twice_its_share() {
        let job = job();
        let circuit = &job.circuits[0];
        let solved = what_if(&job, circuit).unwrap();
        let trial = Trial::new(&job, 0, (circuit, &solved), Vec::new(), 120);
        // Of 120 for four twice 30; of the rest for three twice a third; then all that is left.
        let shares = trial.share(vec![(); 4], |()| trial.left.get());
        assert_eq!(shares, [60, 80, 120, 120]);
        let spent = trial.share(vec![(); 3], |()| trial.left.replace(0));
        assert_eq!(spent, [80, 40, 0]);
        trial.go_on();
        // What one takes beyond its share is no other's, until all took twice the work.
        let over = trial.share(vec![(); 3], |()| {
            trial.done.set(trial.done.get() + 120);
            trial.left.get()
        });
        assert_eq!(over, [80, 120, 0]);
    }
}
