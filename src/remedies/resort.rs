//! What is tried first and what last, what is one change to who makes it, and what is worth one.

use super::change::Change;
use super::search;
use super::trial::{State, Trial};
use super::tubes::{bore, is_ordered};
use crate::job::{Circuit, LineId};
use crate::refdata::{Material, Tube};
use crate::rules::{Finding, Verdict};
use crate::survey::Why;
use std::collections::BTreeSet;

/// Share of its limit by which a caution may miss it without a change: less than any figure here is known to.
const HAIR: f64 = 0.1;

/// What is turned to only where nothing before it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Resort {
    /// What a contractor has and does.
    First,
    /// Copper that has to be ordered as listed for a pressure.
    Ordered,
    /// Steel in the place of copper, a lower cut-out.
    Otherwise,
    /// Less hot-gas bypass: that is how the plant is controlled.
    Control,
    /// What leaves the tube as it is of a line that does not carry the flow.
    Elsewhere,
}

impl Resort {
    /// Whether it is tried only where nothing before it does: steel or a lower cut-out may yet do better.
    pub(super) fn is_last(self) -> bool {
        matches!(self, Self::Ordered | Self::Control | Self::Elsewhere)
    }
}

/// Candidates in their order, but last resorts behind the others; none where the discharge line does not carry the flow and none of them
/// has other tube there: until it does, nothing else can be looked at.
pub(super) fn by_resort(
    trial: &Trial,
    from: &State,
    candidates: impl Iterator<Item = Circuit>,
) -> Vec<(Resort, Circuit)> {
    let count = |circuit: &Circuit, is: &dyn Fn(&Tube) -> bool| {
        let runs = LineId::BOTH.into_iter().flat_map(|line| &line.of(circuit).runs);
        runs.flat_map(|run| &run.tubes).filter(|tube| is(tube)).count()
    };
    let ordered = |circuit: &Circuit| count(circuit, &|tube| is_ordered(trial.job, tube));
    let steel = |circuit: &Circuit| count(circuit, &|tube| tube.material == Material::Steel);
    let drawn = &from.circuit;
    let stopped = from.solved.stopped_line();
    let names = |circuit: &Circuit, line: LineId| {
        let tubes = line.of(circuit).runs.iter().flat_map(|run| &run.tubes);
        // A part that is put in has tube of its line too.
        tubes.map(|tube| tube.name.clone()).collect::<BTreeSet<_>>()
    };
    let is_elsewhere = |circuit: &Circuit| stopped.is_some_and(|line| names(circuit, line) == names(drawn, line));
    let resort = |circuit: Circuit| {
        let resort = if is_elsewhere(&circuit) {
            Resort::Elsewhere
        } else if circuit.compressors.bypass.share < drawn.compressors.bypass.share {
            Resort::Control
        } else if steel(&circuit) > steel(drawn) || circuit.condenser.cutout != drawn.condenser.cutout {
            Resort::Otherwise
        } else if ordered(&circuit) > ordered(drawn) {
            Resort::Ordered
        } else {
            Resort::First
        };
        (resort, circuit)
    };
    let mut all: Vec<(Resort, Circuit)> = candidates.map(resort).collect();
    all.sort_by_key(|(resort, _)| *resort);
    if stopped == Some(LineId::Discharge) && all.first().is_some_and(|(first, _)| *first == Resort::Elsewhere) {
        all.clear();
    }
    all
}

/// Whether a caution is worth a change: it does not miss by a hair, nor is it a loss for which nobody takes tube a size wider. A switch
/// that is near the hottest day's pressure always is.
pub(super) fn is_worth_a_change(finding: &Finding) -> bool {
    !is_by_a_hair(finding) && is_more_than_enough(finding)
}

/// Whether a caution is no loss of the discharge line for which nobody takes tube a size wider.
pub(super) fn is_more_than_enough(finding: &Finding) -> bool {
    finding.rule != "discharge-drop" || search::counts(finding, search::ENOUGH)
}

/// Whether a finding is a caution by so little that nobody changes a size for it.
pub(super) fn is_by_a_hair(finding: &Finding) -> bool {
    if finding.rule == "high-pressure" {
        return false;
    }
    let miss = finding.measure.and_then(|found| Some((found.value - found.limit?).abs() / found.limit?.abs()));
    finding.verdict < Verdict::Fail && miss.is_some_and(|miss| miss < HAIR)
}

/// The drawn circuit with changes.
pub(super) fn made<'c>(trial: &Trial, changes: impl Iterator<Item = &'c Change>) -> Option<Circuit> {
    let mut job = trial.job.clone();
    job.circuits.get_mut(trial.index)?.clone_from(&trial.drawn.circuit);
    changes.for_each(|change| change.apply(&mut job));
    (trial.index < job.circuits.len()).then(|| job.circuits.swap_remove(trial.index))
}

/// Whether a change is of tube that was no wider than where the flow does not get through: without it no solution is to be had.
pub(super) fn is_required(drawn: &State, change: &Change) -> bool {
    let Change::Tubes(_, line, run, _) = change else { return false };
    let bore_of = |run: usize| line.of(&drawn.circuit).runs.get(run).map_or(0.0, |run| bore(&run.tubes));
    drawn.solved.unsolved.iter().any(|unsolved| match unsolved.why {
        Why::LineTooSmall { line: of, run: number } => of == *line && bore_of(*run) <= bore_of(number - 1) * 1.001,
        _ => false,
    })
}

/// Whether two changes are one to who makes them: a line in one size, flooding with its valve and receiver, every slope.
pub(super) fn go_together(a: &Change, b: &Change) -> bool {
    match (a, b) {
        (Change::Tubes(_, line, _, tubes), Change::Tubes(_, of, _, others)) => line == of && tubes == others,
        (Change::Insulation(_, line, ..), Change::Insulation(_, of, ..)) => line == of,
        (Change::Sloped(..), Change::Sloped(..))
        | (Change::Expansion(..), Change::Expansion(..))
        | (
            Change::HeadControl(..) | Change::Inserted(_, LineId::Liquid, ..) | Change::Bypassed(..),
            Change::HeadControl(..) | Change::Inserted(_, LineId::Liquid, ..) | Change::Bypassed(..),
        ) => true,
        _ => a == b,
    }
}
