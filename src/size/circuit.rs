//! The tube of one circuit's open runs.

use super::answer::{CircuitSizing, Neighbour, Numbers, Outcome, numbers};
use crate::job::{Circuit, Job};
use crate::refdata::Tube;
use crate::remedies::open_tube::{Choice, Section, choices, with};
use crate::remedies::search::{ORDER, counts, is_plain, length, misses_aim, open_places, seals, search, widest};
use crate::remedies::trial::{self, State, Trial};
use crate::rules::{self, Case, Finding, Verdict};
use crate::survey::{CircuitSurvey, SurveyFault, what_if};

/// What the search for tube may do for a circuit, and for all circuits of a job, in steps along lines: it looks at many more sets than
/// a search for remedies.
const WORK: u64 = 800_000;
const WORK_OF_JOB: u64 = 1_600_000;

/// Sizes one circuit; answers it with its tubes in place. Where none of the first tubes passes, those of the second are beside them.
pub(super) fn circuit(
    job: &Job,
    index: usize,
    drawn: &Circuit,
    tubes: [&[Tube]; 2],
) -> Result<(Circuit, CircuitSizing), SurveyFault> {
    let first = from(job, index, drawn, tubes[0])?;
    let passes = matches!(first.1.outcome, Outcome::Found { .. } | Outcome::NothingOpen);
    if passes || tubes[1].is_empty() {
        return Ok(first);
    }
    let all: Vec<Tube> = tubes.concat();
    let second = from(job, index, drawn, &all)?;
    Ok(if matches!(second.1.outcome, Outcome::Found { .. }) { second } else { first })
}

fn from(job: &Job, index: usize, drawn: &Circuit, tubes: &[Tube]) -> Result<(Circuit, CircuitSizing), SurveyFault> {
    let sections = open_places(drawn);
    let done = |circuit: Circuit, outcome: Outcome, solved: u32| {
        (circuit, CircuitSizing { name: drawn.name.clone(), copies: drawn.copies, outcome, solved })
    };
    if sections.is_empty() {
        return Ok(done(drawn.clone(), Outcome::NothingOpen, 0));
    }
    let lists: Vec<(Section, Vec<Choice>)> =
        sections.iter().map(|section| (*section, choices(*section, tubes))).collect();
    // All largest: nothing is lost, so densities and flows are those that the estimates want.
    let opened = with(drawn, &widest(&lists));
    let solved = what_if(job, &opened)?;
    let findings = rules::look(&Case { job, index, circuit: &opened, solved: &solved });
    let circuits = u64::try_from(job.circuits.len()).unwrap_or(u64::MAX).max(1);
    let work = (WORK_OF_JOB / circuits).clamp(trial::WORK, WORK);
    let trial = Trial::new(job, index, (&opened, &solved), findings, work);
    let found = search(&trial, &trial.drawn, &lists, &ORDER, |_| true);
    let (Ok(set) | Err(set)) = &found;
    let stopped = trial.is_spent();
    let Some(state) = trial.solve(with(drawn, set)) else {
        let outcome = Outcome::Blocked { nearest: own(set), fails: Vec::new(), stopped };
        return Ok(done(opened.clone(), outcome, trial.solved()));
    };
    let fails: Vec<Finding> =
        state.findings.iter().filter(|finding| finding.verdict == Verdict::Fail).cloned().collect();
    // To the last figure as it is checked.
    let solved = what_if(job, &state.circuit)?;
    let outcome = match (&found, numbers(&state.circuit, &solved)) {
        (Ok(set), Some(numbers)) => Outcome::Found {
            set: own(set),
            numbers,
            neighbours: neighbours(&trial, &trial.drawn, &lists, set),
            cautions: rules_with(&state.findings, Verdict::Caution),
            sealed_at: sealed_at(&state.circuit, &state.solved),
            fails,
        },
        (Ok(set) | Err(set), _) => Outcome::Blocked { nearest: own(set), fails, stopped },
    };
    Ok(done(state.circuit.clone(), outcome, trial.solved()))
}

/// The rules that have a finding of that verdict, each once.
fn rules_with(findings: &[Finding], verdict: Verdict) -> Vec<&'static str> {
    let mut rules: Vec<&'static str> = findings.iter().filter(|f| f.verdict == verdict).map(|f| f.rule).collect();
    rules.dedup();
    rules
}

/// The operating points at which oil seals the larger tube of a double riser.
fn sealed_at(circuit: &Circuit, solved: &CircuitSurvey) -> Vec<String> {
    let runs = Section::DischargeRise.runs(circuit);
    let sealed = |point: &&crate::survey::Point| {
        let answers = runs.iter().filter_map(|at| point.discharge_line.runs.get(*at));
        answers.flat_map(|run| &run.tubes).any(|tube| tube.sealed)
    };
    solved.points.iter().filter(sealed).map(|point| point.name.clone()).collect()
}

fn own(set: &[(Section, &Choice)]) -> Vec<(Section, Choice)> {
    set.iter().map(|(section, choice)| (*section, (*choice).clone())).collect()
}

/// One size up and down in each section.
fn neighbours(
    trial: &Trial,
    opened: &State,
    lists: &[(Section, Vec<Choice>)],
    set: &[(Section, &Choice)],
) -> Vec<Neighbour> {
    let mut all = Vec::new();
    for (section, chosen) in set {
        let Some((_, list)) = lists.iter().find(|(p, _)| p == section) else { continue };
        for larger in [false, true] {
            let Some(choice) = beside(list, chosen, larger) else { continue };
            let changed: Vec<(Section, &Choice)> =
                set.iter().map(|(p, c)| if p == section { (*p, choice) } else { (*p, *c) }).collect();
            let (numbers, fails, misses): (Option<Numbers>, Vec<&'static str>, Vec<&'static str>) =
                match trial.solve(with(&opened.circuit, &changed)) {
                    Some(state) => {
                        let mut fails = rules_with(&state.findings, Verdict::Fail);
                        if !seals(&state.circuit, &state.solved) {
                            fails.push("never seals");
                        }
                        let misses = state.findings.iter().filter(|finding| misses_aim(finding)).map(|f| f.rule);
                        (numbers(&state.circuit, &state.solved), fails, misses.collect())
                    }
                    None => (None, Vec::new(), Vec::new()),
                };
            all.push(Neighbour { section: *section, larger, choice: choice.clone(), numbers, fails, misses });
        }
    }
    all
}

/// The next choice of the same kind and count up or down, by its outside as tube is bought; of two tubes the larger one changes.
fn beside<'a>(list: &'a [Choice], chosen: &Choice, larger: bool) -> Option<&'a Choice> {
    let (last, rest) = chosen.tubes.split_last()?;
    let same = list.iter().filter(|choice| {
        choice.tubes.split_last().is_some_and(|(tube, others)| others == rest && tube.kind == last.kind)
    });
    let bore = chosen.largest_bore();
    let gap = |choice: &&Choice| (choice.largest_bore() - bore).abs();
    let wider = |choice: &&Choice| choice.tubes.last().map(|tube| tube.outside.value - last.outside.value);
    same.filter(|choice| wider(choice).is_some_and(|by| if larger { by > 1e-4 } else { by < -1e-4 }))
        .min_by(|a, b| gap(a).total_cmp(&gap(b)))
}

/// Whether nothing stands in the way of a circuit, and its double riser is one.
fn passes(job: &Job, circuit: &Circuit, aim: f64) -> bool {
    what_if(job, circuit).is_ok_and(|solved| {
        let case = Case { job, index: 0, circuit, solved: &solved };
        !rules::look(&case).iter().any(|finding| counts(finding, aim)) && seals(circuit, &solved)
    })
}

/// The lightest set that passes, with the usual aims met where one can, found by trying every combination: for the tests of the search.
///
/// # Errors
/// [`SurveyFault`] where the chiller can't be made from its ratings.
pub fn brute_force(job: &Job, drawn: &Circuit, tubes: &[Tube]) -> Result<Option<Vec<(Section, Choice)>>, SurveyFault> {
    what_if(job, drawn)?;
    Ok(ORDER.into_iter().find_map(|order| every_set(job, drawn, tubes, order)))
}

fn every_set(job: &Job, drawn: &Circuit, tubes: &[Tube], (single, aim): (bool, f64)) -> Option<Vec<(Section, Choice)>> {
    let sections = open_places(drawn);
    let lists: Vec<Vec<Choice>> = sections.iter().map(|section| choices(*section, tubes)).collect();
    let mut best: Option<(f64, Vec<(Section, Choice)>)> = None;
    let mut at = vec![0; sections.len()];
    loop {
        let set: Vec<(Section, &Choice)> = sections
            .iter()
            .zip(&lists)
            .zip(&at)
            .filter_map(|((section, list), i)| Some((*section, list.get(*i)?)))
            .collect();
        let mass: f64 = set.iter().map(|(section, choice)| length(drawn, *section) * choice.mass_kg_m).sum();
        if set.len() == sections.len()
            && (!single || is_plain(&set))
            && best.as_ref().is_none_or(|(minimum, _)| mass < *minimum)
            && passes(job, &with(drawn, &set), aim)
        {
            best = Some((mass, own(&set)));
        }
        let Some(digit) = (0..at.len()).find(|digit| at[*digit] + 1 < lists[*digit].len()) else {
            return best.map(|(_, set)| set);
        };
        at[digit] += 1;
        at[..digit].fill(0);
    }
}
