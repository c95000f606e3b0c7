//! New tube for the discharge line: the lightest with which no rule fails, and the widest, from which it is estimated.

use super::open_tube::{Choice, Section, choices, with};
use super::search::{self, ENOUGH, Set, open_places, side_of};
use super::trial::{State, Trial};
use super::tubes::{RISER, is_ordered, schedules, tubed};
use crate::job::{Circuit, LineId};
use crate::refdata::Tube;
use crate::rules::Verdict;
use std::rc::Rc;

/// In what order sets are looked for where something failed, as [`search::ORDER`] is for new lines.
const MENDING: [(bool, f64); 5] =
    [(true, ENOUGH), (true, 2.0), (false, ENOUGH), (true, f64::INFINITY), (false, f64::INFINITY)];

/// The lightest tubes in the runs of the discharge line with which no rule fails, else those with which it fails minimum: from the job's
/// own, from copper, or where no copper holds the pressure from steel.
pub(super) fn lightest(trial: &Trial, from: &State) -> Option<Rc<State>> {
    let (opened, all) = opened_in(trial, from);
    // Tube that has to be ordered as listed for the pressure only where what the tables have does not do.
    let stocked: Vec<(Section, Vec<Tube>)> = all
        .iter()
        .map(|(section, tubes)| (*section, tubes.iter().filter(|tube| !is_ordered(trial.job, tube)).cloned().collect()))
        .collect();
    let with_tables = || lightest_of(trial, &opened, &stocked);
    if stocked == all {
        return with_tables();
    }
    let does = |state: &Rc<State>| {
        state.score.unsolved == 0
            && !state.findings.iter().any(|finding| finding.verdict == Verdict::Fail && side_of(finding) == Some(0))
    };
    with_tables().filter(does).or_else(|| lightest_of(trial, &opened, &all))
}

/// The widest tubes in the runs of the discharge line, which stay open.
pub(super) fn widest(trial: &Trial, from: &State) -> Option<Rc<State>> {
    let (opened, all) = opened_in(trial, from);
    let lists = all_choices(&all)?;
    trial.solve(with(&opened, &search::widest(&lists)))
}

/// The circuit with every run of its discharge line open, and the tubes that may stand in each place of it.
fn opened_in(trial: &Trial, from: &State) -> (Circuit, Vec<(Section, Vec<Tube>)>) {
    let mut opened = from.circuit.clone();
    let runs = tubed(&opened, LineId::Discharge);
    for (index, run) in opened.discharge.runs.iter_mut().enumerate() {
        run.open = runs.contains(&index);
    }
    opened.liquid.runs.iter_mut().for_each(|run| run.open = false);
    let case = trial.case(from);
    let all = open_places(&opened)
        .into_iter()
        .map(|section| (section, schedules(&case, section.line_id(), section.longest(&opened))))
        .collect();
    (opened, all)
}

/// The choices of each place; nothing where a place has none.
fn all_choices(tubes: &[(Section, Vec<Tube>)]) -> Option<Vec<(Section, Vec<Choice>)>> {
    let lists: Vec<_> = tubes.iter().map(|(section, tubes)| (*section, choices(*section, tubes))).collect();
    lists.iter().all(|(_, list)| !list.is_empty()).then_some(lists)
}

/// The same from these tubes.
fn lightest_of(trial: &Trial, opened: &Circuit, tubes: &[(Section, Vec<Tube>)]) -> Option<Rc<State>> {
    let lists = all_choices(tubes)?;
    let reference = trial.solve(with(opened, &search::widest(&lists)))?;
    // Where nothing flows through the widest, nothing is known by which one could be chosen.
    if reference.solved.points.is_empty() {
        return None;
    }
    let (Ok(set) | Err(set)) = search::search(trial, &reference, &lists, &MENDING, is_ordinary);
    let mut found = with(opened, &set);
    found.discharge.runs.iter_mut().for_each(|run| run.open = false);
    trial.solve(found)
}

/// Whether no riser is wider than the level tube before and behind it.
fn is_ordinary(set: &Set) -> bool {
    let of = |section: Section| set.iter().find(|(of, _)| *of == section).map(|(_, choice)| choice.largest_bore());
    match (of(Section::DischargeLevel), of(Section::DischargeRise)) {
        (Some(level), Some(rise)) => rise <= level * RISER,
        _ => true,
    }
}
