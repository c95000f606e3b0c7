//! What mends one finding at a time.

use super::candidates::candidates;
use super::change::Change;
use super::cost::{Cost, tube_mass};
use super::differences::differences;
use super::effect::Effect;
use super::plant;
use super::remedy::Remedy;
use super::resort::{Resort, by_resort, go_together, is_more_than_enough, is_required, made};
use super::trial::{State, Trial, work_of};
use crate::job::{Circuit, Job};
use crate::rules::{Finding, Verdict};
use crate::survey::{CircuitSurvey, Survey};
use rayon::prelude::*;
use std::rc::Rc;

/// How many remedies a finding is told.
const TOLD: usize = 2;

/// A change of a circuit that was tried, with what it does.
struct Tried {
    state: Rc<State>,
    effect: Effect,
    /// Whether the finding that it was tried for is gone, and nothing worth a caution is left of it.
    clears: bool,
    resort: Resort,
    bought_kg: f64,
}

impl Tried {
    /// Less is better: what newly fails, whether it changes the control, what is left of the finding, new cautions, what still fails where
    /// something was changed, tube that is bought.
    fn rank(&self) -> (usize, bool, bool, usize, usize, f64) {
        let effect = &self.effect;
        (
            effect.newly_fails.len(),
            self.resort == Resort::Control,
            !self.clears,
            effect.newly_cautions.len(),
            effect.still_fails.len(),
            self.bought_kg,
        )
    }
}

/// The remedies of every finding of a survey that fails or is a caution, in the order of the findings; none where none was found.
#[must_use]
pub fn remedies(job: &Job, survey: &Survey, findings: &[Finding]) -> Vec<Vec<Remedy>> {
    let parts = by_circuit(job, survey, findings, |trial| of_each(trial, findings));
    in_order(job, survey, findings, parts.into_iter().flatten().flatten())
}

/// Something of every circuit that has a finding worth a caution, by circuit.
pub(super) fn by_circuit<T: Send>(
    job: &Job,
    survey: &Survey,
    findings: &[Finding],
    of: impl Fn(&Trial) -> T + Sync,
) -> Vec<Option<T>> {
    let circuits = job.circuits.par_iter().zip(&survey.circuits).enumerate();
    let part = |(index, drawn): (usize, (&Circuit, &CircuitSurvey))| {
        let own: Vec<Finding> = findings.iter().filter(|finding| finding.circuit == Some(index)).cloned().collect();
        let worth = own.iter().any(|finding| finding.verdict >= Verdict::Caution);
        worth.then(|| of(&Trial::new(job, index, drawn, own, work_of(job, drawn.1))))
    };
    circuits.map(part).collect()
}

/// The remedies of the circuits' findings at their places among all, with those of the plant.
pub(super) fn in_order(
    job: &Job,
    survey: &Survey,
    findings: &[Finding],
    parts: impl Iterator<Item = (usize, Vec<Remedy>)>,
) -> Vec<Vec<Remedy>> {
    let mut all = vec![Vec::new(); findings.len()];
    for (at, remedies) in parts {
        if let Some(place) = all.get_mut(at) {
            *place = remedies;
        }
    }
    let of_plant = |finding: &Finding| finding.rule == "plant-load" && finding.verdict == Verdict::Fail;
    for (_, place) in findings.iter().zip(&mut all).filter(|(finding, _)| of_plant(finding)) {
        *place = plant::remedies(job, survey).into_iter().map(|(remedy, ..)| remedy).collect();
    }
    all
}

/// The remedies of a circuit's findings, each with its place among all.
pub(super) fn of_each(trial: &Trial, findings: &[Finding]) -> Vec<(usize, Vec<Remedy>)> {
    let own = findings.iter().enumerate().filter(|(_, finding)| finding.circuit == Some(trial.index));
    let mut worth: Vec<_> = own.filter(|(_, finding)| finding.verdict >= Verdict::Caution).collect();
    worth.sort_by_key(|(_, finding)| !trial.drawn.hides(finding));
    trial.share(worth, |(at, finding)| (at, of_finding(trial, finding)))
}

/// What mends one finding of a circuit as drawn.
fn of_finding(trial: &Trial, finding: &Finding) -> Vec<Remedy> {
    let drawn = Rc::clone(&trial.drawn);
    // A caution is not worth as long a search.
    let maximum = if finding.verdict == Verdict::Fail { 16 } else { 5 };
    let mut found: Vec<Tried> = Vec::new();
    for (resort, circuit) in by_resort(trial, &drawn, candidates(trial, &drawn, finding).into_iter().take(maximum)) {
        let does = |known: &Tried| known.resort < resort && known.effect.newly_fails.is_empty();
        // What brings no flow into a line is worth a look only beside what does: together they are the whole remedy.
        if resort == Resort::Elsewhere || resort.is_last() && found.iter().any(does) {
            break;
        }
        let Some(tried_one) = tried(trial, &drawn, circuit, finding, resort) else { continue };
        // Two ways to one circuit are one remedy.
        if found.iter().any(|known| Rc::ptr_eq(&known.state, &tried_one.state)) {
            continue;
        }
        let clean =
            tried_one.effect.newly_fails.is_empty() && tried_one.clears && tried_one.effect.newly_cautions.is_empty();
        found.push(tried_one);
        if clean && (finding.verdict < Verdict::Fail || found.len() >= TOLD) {
            break;
        }
    }
    found.sort_by(|a, b| a.rank().partial_cmp(&b.rank()).unwrap_or(std::cmp::Ordering::Equal));
    // A second one that breaks something is no choice beside a first that breaks nothing.
    let breaks = found.first().is_some_and(|tried_one| !tried_one.effect.newly_fails.is_empty());
    found.retain(|tried_one| breaks || tried_one.effect.newly_fails.is_empty());
    found.truncate(if breaks { 1 } else { TOLD });
    let mut lean: Vec<Tried> = Vec::new();
    for tried_one in found {
        // A second one is not worth more than there was to do.
        if !lean.is_empty() && trial.is_spent() {
            break;
        }
        let leaner = without_the_needless(trial, &drawn, tried_one, finding);
        let state = trial.confirmed(&leaner.state);
        let Some(tried_one) = judged(trial, &drawn, state, finding, leaner.resort) else { continue };
        if !lean.iter().any(|known| Rc::ptr_eq(&known.state, &tried_one.state)) {
            lean.push(tried_one);
        }
    }
    lean.iter().map(|tried_one| remedy(trial, &drawn, tried_one)).collect()
}

/// Without the changes that it does as well without.
fn without_the_needless(trial: &Trial, from: &Rc<State>, tried_one: Tried, finding: &Finding) -> Tried {
    let mut best = tried_one;
    loop {
        let changes = differences(trial.index, &from.circuit, &best.state.circuit);
        let leaner = changes.iter().filter(|change| !is_required(from, change)).find_map(|needless| {
            let kept: Vec<&Change> = changes.iter().filter(|change| !go_together(needless, change)).collect();
            let circuit = (!kept.is_empty()).then(|| made(trial, kept.into_iter())).flatten()?;
            let lean = tried(trial, from, circuit, finding, best.resort)?;
            let fewer = differences(trial.index, &from.circuit, &lean.state.circuit).len() < changes.len();
            let does = |tried_one: &Tried| {
                let (newly, resort, left, cautions, ..) = tried_one.rank();
                (newly, resort, left, cautions)
            };
            (fewer && does(&lean) <= does(&best)).then_some(lean)
        });
        match leaner {
            Some(leaner) => best = leaner,
            None => return best,
        }
    }
}

/// A changed circuit where the finding is no longer as bad; a switch that trips is mended only where it stands clear.
fn tried(trial: &Trial, from: &Rc<State>, circuit: Circuit, finding: &Finding, resort: Resort) -> Option<Tried> {
    judged(trial, from, trial.solve_with_receiver(circuit, from)?, finding, resort)
}

/// The same of a circuit that is solved.
fn judged(trial: &Trial, from: &State, state: Rc<State>, finding: &Finding, resort: Resort) -> Option<Tried> {
    // What was not found in the work that a trial may do is not told.
    if state.solved.cut || state.is_too_heavy(from, finding) {
        return None;
    }
    let effect = Effect::between(trial.index, from, &state);
    let left =
        |verdict: Verdict| state.findings.iter().filter(|f| f.rule == finding.rule && f.verdict >= verdict).count();
    let were =
        |verdict: Verdict| from.findings.iter().filter(|f| f.rule == finding.rule && f.verdict >= verdict).count();
    let gone = left(finding.verdict) < were(finding.verdict) && effect.resolves.contains(&finding.rule);
    let worth = |found: &&Finding| {
        found.rule == finding.rule
            && (found.verdict == Verdict::Fail || found.verdict == Verdict::Caution && is_more_than_enough(found))
    };
    let clears = state.findings.iter().filter(worth).count() < were(Verdict::Caution);
    let clear = clears || finding.rule != "high-pressure";
    let bought_kg = (tube_mass(&state.circuit) - tube_mass(&from.circuit)).max(0.0);
    (gone && clear).then_some(Tried { state, effect, clears, resort, bought_kg })
}

fn remedy(trial: &Trial, from: &State, tried_one: &Tried) -> Remedy {
    Remedy {
        changes: differences(trial.index, &from.circuit, &tried_one.state.circuit),
        effect: tried_one.effect.clone(),
        cost: Cost::of(from.both(), tried_one.state.both()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::remedies::testing::state;
    use crate::rules::testing::job;

    #[test]
    fn what_breaks_nothing_comes_first_then_what_leaves_the_control_then_what_clears() {
        let state = Rc::new(state(&job(), Vec::new()));
        let tried_one = |resort: Resort, clears: bool, newly_fails: &[&'static str]| {
            let effect = Effect { newly_fails: newly_fails.to_vec(), ..Effect::default() };
            Tried { state: Rc::clone(&state), effect, clears, resort, bought_kg: 0.0 }
        };
        let in_order = [
            tried_one(Resort::First, true, &[]),
            tried_one(Resort::Otherwise, false, &[]),
            tried_one(Resort::Control, true, &[]),
            tried_one(Resort::Control, false, &[]),
            tried_one(Resort::First, true, &["slope"]),
        ];
        assert!(in_order.windows(2).all(|two| two[0].rank() < two[1].rank()));
        // To the rank no other resort is worse than what a contractor has.
        assert_eq!(tried_one(Resort::Ordered, true, &[]).rank(), in_order[0].rank());
    }
}
