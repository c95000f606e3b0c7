//! What would mend a year: the changes that a finding of the operating points would be tried with, each tried on the year that is then
//! run again.

use super::candidates::candidates;
use super::compare::{effect, is_settled};
use super::cost::Cost;
use super::plant::LARGEST;
use super::remedy::Remedy;
use super::study::SiteStudy;
use super::trial::{Score, State, Trial, WORK};
use super::{Change, Effect, differences};
use crate::job::{Circuit, Job, modules};
use crate::rules::{Finding, Place, Verdict, check_all};
use crate::survey::{Survey, without_curve};
use crate::year::Earlier;
use std::rc::Rc;

/// How many years are run for a finding that fails, and for a caution.
const YEARS: usize = 8;
const YEARS_OF_A_CAUTION: usize = 4;
/// Rounds of one change after another.
const ROUNDS: usize = 6;

/// A job, solved and looked at, with its site.
#[derive(Clone, Debug)]
pub(super) struct Site {
    pub job: Job,
    pub survey: Survey,
    /// What the rules of its circuits and its plant find.
    pub check: Vec<Finding>,
    pub study: SiteStudy,
}

/// Circuits by their index, changed.
type Set = Vec<(usize, Rc<State>)>;

/// The remedies of every finding of a year that fails or is a caution, in the order of the site's findings.
pub(super) fn of_the_year(site: &Site) -> Vec<Vec<Remedy>> {
    let remedies = |finding: &Finding| {
        let remedy = |after: Site| {
            let (changes, effect, cost) = site.effect(&after);
            Remedy { changes, effect, cost }
        };
        tried(site, finding).map(remedy).into_iter().collect()
    };
    site.study.findings.iter().map(remedies).collect()
}

/// A site changed until nothing of its year that is as grave is left, or nothing more helps.
pub(super) fn mend(mut site: Site, drawn: &Job, minimum: Verdict) -> Site {
    let heat = |circuit: &Circuit| circuit.condenser.rejection.value;
    let is_a_remedy = |then: &Site| {
        let circuits = then.job.circuits.iter().zip(&drawn.circuits);
        circuits.into_iter().all(|(now, drawn)| heat(now) <= heat(drawn) * LARGEST * 1.001)
    };
    for _ in 0..ROUNDS {
        let wrong = site.study.findings.iter().filter(|finding| finding.verdict >= minimum);
        let better = wrong
            .filter_map(|finding| tried(&site, finding))
            .find(|then| is_a_remedy(then) && then.score().is_better(site.score()));
        match better {
            Some(better) => site = better,
            None => break,
        }
    }
    site
}

impl Site {
    /// A job solved and looked at from the beginning; nothing where that can't be done.
    pub fn of(job: Job) -> Option<Self> {
        let survey = without_curve(&job).ok()?;
        let check = check_all(&job, &survey);
        let study = SiteStudy::of(&job, &survey, &|_| {}).ok()?;
        Some(Self { job, survey, check, study })
    }

    /// All that is found of it.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.check.iter().chain(&self.study.findings)
    }

    /// How good it is.
    pub fn score(&self) -> Score {
        let unsolved = self.survey.circuits.iter().map(|circuit| circuit.unsolved.len()).sum();
        Score::of(unsolved, &self.findings().cloned().collect::<Vec<_>>())
    }

    /// A circuit of it, as a trial sees it.
    pub fn state(&self, index: usize) -> Option<State> {
        let own = self.check.iter().filter(|finding| finding.circuit == Some(index)).cloned().collect();
        Some(State::of(self.job.circuits.get(index)?.clone(), self.survey.circuits.get(index)?.clone(), own))
    }

    fn with(&self, set: &Set) -> Option<Self> {
        let (mut job, mut survey) = (self.job.clone(), self.survey.clone());
        for (index, state) in set {
            job.circuits.get_mut(*index)?.clone_from(&state.circuit);
            survey.circuits.get_mut(*index)?.clone_from(&state.solved);
        }
        let changed: Vec<usize> = set.iter().map(|(index, _)| *index).collect();
        let unchanged = |index: usize| !changed.contains(&index);
        let earlier = self.study.known.as_ref().map(|known| Earlier { known, unchanged: &unchanged });
        let study = SiteStudy::after(&job, &survey, earlier, &|_| {}).ok()?;
        let check = check_all(&job, &survey);
        Some(Self { job, survey, check, study })
    }

    fn trial(&self, index: usize) -> Option<Trial<'_>> {
        let State { circuit, solved, findings, .. } = self.state(index)?;
        Some(Trial::new(&self.job, index, (&circuit, &solved), findings, WORK))
    }

    /// What two sites have changed to each other: their circuits, and what the rules find of plant, roof and year.
    pub fn effect(&self, after: &Self) -> (Vec<Change>, Effect, Cost) {
        let (mut changes, mut cost) = (Vec::new(), Cost::NONE);
        let together = |site: &Self| -> Vec<Finding> {
            site.findings().filter(|finding| !is_of_a_circuit(finding)).cloned().collect()
        };
        let mut all = effect(&together(self), &together(after));
        for index in 0..self.job.circuits.len() {
            let (Some(before), Some(then)) = (self.state(index), after.state(index)) else { continue };
            let own = differences(index, &before.circuit, &then.circuit);
            if !own.is_empty() {
                all.add(&Effect::between(index, &before, &then));
                cost.add(&Cost::of(before.both(), then.both()));
                changes.extend(own);
            }
        }
        (changes, all, cost)
    }
}

/// Whether a finding is of the operating points of a circuit.
fn is_of_a_circuit(finding: &Finding) -> bool {
    finding.circuit.is_some() && related(finding).is_none()
}

/// The rule of the operating points, and what of it, whose changes are tried for a finding of the year.
fn related(finding: &Finding) -> Option<&'static str> {
    match finding.rule {
        "year-cutout" | "year-load" => Some("high-pressure"),
        "year-flash" if finding.place == Some(Place::Condenser) => Some("low-ambient"),
        "year-flash" => Some("liquid-flash"),
        "year-oil" => Some("oil-riser"),
        _ => None,
    }
}

/// The first changed site in which a finding is settled, one in which nothing newly fails if there is one.
fn tried(site: &Site, finding: &Finding) -> Option<Site> {
    let years = if finding.verdict == Verdict::Fail { YEARS } else { YEARS_OF_A_CAUTION };
    if finding.verdict < Verdict::Caution {
        return None;
    }
    let mut best: Option<(usize, Site)> = None;
    for set in sets(site, finding).into_iter().take(years) {
        let Some(after) = site.with(&set).filter(|after| is_settled(finding, &after.study.findings)) else { continue };
        let fails = site.effect(&after).1.newly_fails.len();
        if best.as_ref().is_none_or(|(fewest, _)| fails < *fewest) {
            best = Some((fails, after));
        }
        if fails == 0 {
            break;
        }
    }
    best.map(|(_, site)| site)
}

/// What is tried for a finding: changes of its circuit with which nothing newly fails at the operating points; for the load larger
/// condensers all over the plant, then one more chiller, and two.
fn sets(site: &Site, finding: &Finding) -> Vec<Set> {
    let Some(rule) = related(finding) else { return Vec::new() };
    let like = Finding { rule, ..finding.clone() };
    let of_circuit = |index: usize| -> Vec<(usize, Rc<State>)> {
        let Some(trial) = site.trial(index) else { return Vec::new() };
        let drawn = Rc::clone(&trial.drawn);
        let harmless = |state: &Rc<State>| {
            let changed = !differences(index, &drawn.circuit, &state.circuit).is_empty();
            changed && Effect::between(index, &drawn, state).newly_fails.is_empty()
        };
        let states = candidates(&trial, &drawn, &like).into_iter().filter_map(|circuit| trial.solve(circuit));
        states.filter(harmless).map(|state| (index, state)).collect()
    };
    if let Some(index) = finding.circuit {
        return of_circuit(index).into_iter().map(|one| vec![one]).collect();
    }
    let each: Vec<_> = (0..site.job.circuits.len()).map(of_circuit).collect();
    let sizes = each.iter().map(Vec::len).min().unwrap_or(0);
    let larger = (0..sizes.min(YEARS / 2)).map(|size| each.iter().filter_map(|all| all.get(size).cloned()).collect());
    larger.chain((1..=2).filter_map(|more| more_chillers(site, more))).collect()
}

/// So many more chillers like the one that gives most in the hottest hour. On a roof that is drawn they have no place.
fn more_chillers(site: &Site, more: u32) -> Option<Set> {
    let plant = site.study.year.as_ref()?.plant.as_ref().filter(|_| site.job.roof.is_none())?;
    let modules = modules(&site.job.circuits);
    let largest = modules.iter().find(|module| module.name == plant.largest)?;
    let another = |(index, each): &(usize, u32)| {
        let mut state = site.state(*index)?;
        state.circuit.copies += each * more;
        Some((*index, Rc::new(state)))
    };
    largest.circuits.iter().map(another).collect()
}
