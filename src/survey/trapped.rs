//! Where two valves can shut liquid in.

use super::relief::receiver;
use crate::job::{Circuit, LineId, Part, Path, Run, ValveKind};
use crate::refdata::part;

/// What shuts one end of a stretch of the liquid line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shut {
    /// A part of the line, by the number of its run from 1.
    Run(usize),
    /// A stop valve where the liquid line begins.
    Start,
    /// A stop valve where it ends.
    End,
    /// A stop valve of the receiver.
    Receiver,
    /// The electronic expansion valve.
    Expansion,
}

/// Liquid between two valves, with no receiver and no relief between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trapped {
    /// What holds it from flowing back.
    pub back: Shut,
    /// What holds it from flowing on.
    pub ahead: Shut,
    /// How sure it is that they shut.
    pub by: By,
    /// Runs between them, from 1.
    pub runs: Vec<usize>,
}

/// Who shuts two valves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Both shut by themselves: a check valve and a solenoid valve.
    Themselves,
    /// Both may shut by themselves: a check valve and an electronic expansion valve.
    Perhaps,
    /// Someone shuts both, with tube between them.
    Hand,
}

/// What a valve is.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Check,
    Solenoid,
    Expansion,
    Hand,
}

/// A valve at a place between runs: before the run of that index, and for a part of the line behind it too.
struct Valve {
    kind: Kind,
    shut: Shut,
    /// The first run behind it.
    from: usize,
    /// The first run that is not before it.
    to: usize,
}

/// The part that a run is.
fn part_of(run: &Run) -> Option<&Part> {
    match &run.path {
        Path::Part(part) => Some(part),
        _ => None,
    }
}

fn by_hand(run: &Run) -> bool {
    part_of(run).and_then(|of| part(&of.name)).is_some_and(|facts| facts.by_hand)
}

fn relieves(run: &Run) -> bool {
    part_of(run).and_then(|of| part(&of.name)).is_some_and(|facts| facts.relieves)
}

fn is_receiver(run: &Run) -> bool {
    part_of(run).is_some_and(|part| part.receiver.is_some())
}

/// The valves of the liquid line in order of flow.
fn valves(circuit: &Circuit) -> Vec<Valve> {
    let line = &circuit.liquid;
    let mut valves = Vec::new();
    let at = |kind, shut, at| Valve { kind, shut, from: at, to: at };
    if line.stop_valves || circuit.condenser.stop_valves {
        valves.push(at(Kind::Hand, Shut::Start, 0));
    }
    for (index, run) in line.runs.iter().enumerate() {
        let Some(part) = part_of(run) else { continue };
        if part.receiver.is_some_and(|receiver| receiver.stop_valves) {
            valves.push(at(Kind::Hand, Shut::Receiver, index));
            valves.push(at(Kind::Hand, Shut::Receiver, index + 1));
        }
        let kind = match () {
            () if part.checks => Kind::Check,
            () if part.closes => Kind::Solenoid,
            () if by_hand(run) => Kind::Hand,
            () => continue,
        };
        valves.push(Valve { kind, shut: Shut::Run(index + 1), from: index + 1, to: index });
    }
    let end = line.runs.len();
    if line.stop_valves {
        valves.push(at(Kind::Hand, Shut::End, end));
    }
    if circuit.valve.kind == ValveKind::Electronic {
        valves.push(at(Kind::Expansion, Shut::Expansion, end));
    }
    valves
}

/// Every stretch of the liquid line that two valves can shut in, those that shut by themselves first.
///
/// A solenoid valve lets liquid back and is no end behind which liquid stands; a receiver holds vapour and lets it expand.
#[must_use]
pub(super) fn trapped(circuit: &Circuit) -> Vec<Trapped> {
    let runs = &circuit.liquid.runs;
    let valves = valves(circuit);
    let between = |back: &Valve, ahead: &Valve, by: By| {
        let inner = runs.get(back.from..ahead.to)?;
        let free = inner.iter().any(|run| is_receiver(run) || relieves(run));
        (!free && !inner.is_empty()).then(|| Trapped {
            back: back.shut,
            ahead: ahead.shut,
            by,
            runs: (back.from + 1..=ahead.to).collect(),
        })
    };
    let mut all = Vec::new();
    for (index, ahead) in valves.iter().enumerate() {
        let by = match ahead.kind {
            Kind::Solenoid => By::Themselves,
            Kind::Expansion => By::Perhaps,
            Kind::Check | Kind::Hand => continue,
        };
        let before = valves.get(..index).unwrap_or_default();
        let check = before.iter().rposition(|back| back.kind == Kind::Check);
        let Some(check) = check else { continue };
        // Past a solenoid valve it is that one which holds the liquid of the check valve.
        let solenoid = before.iter().rposition(|back| back.kind == Kind::Solenoid);
        if solenoid.is_none_or(|solenoid| solenoid < check) {
            all.extend(before.get(check).and_then(|back| between(back, ahead, by)));
        }
    }
    for pair in valves.windows(2) {
        let [back, ahead] = pair else { continue };
        let tube = runs.get(back.from..ahead.to).is_some_and(|runs| runs.iter().any(|run| run.path.length_m() > 0.0));
        if tube && back.kind == Kind::Hand && ahead.kind == Kind::Hand {
            all.extend(between(back, ahead, By::Hand));
        }
    }
    all
}

/// Whether someone can shut the coil off at both ends, with no relief of its own.
#[must_use]
pub(super) fn coil_shut_in(circuit: &Circuit) -> bool {
    let (discharge, liquid) = (&circuit.discharge, &circuit.liquid);
    let until = liquid.runs.iter().position(|run| is_receiver(run) || part_of(run).is_some_and(|part| part.closes));
    let outlet = liquid.runs.get(..until.unwrap_or(liquid.runs.len())).unwrap_or_default();
    let at_inlet = discharge.stop_valves || discharge.runs.iter().any(by_hand);
    let at_outlet = liquid.stop_valves || outlet.iter().any(by_hand);
    let relieved = discharge.runs.iter().chain(outlet).any(relieves)
        || circuit.relief.valve().is_some() && receiver(circuit).is_none();
    (circuit.condenser.stop_valves || at_inlet && at_outlet) && !relieved
}

/// Stop valves that are drawn at the receiver: at its inlet, at its outlet; none without a receiver.
#[must_use]
pub(super) fn receiver_stops(circuit: &Circuit) -> Option<[bool; 2]> {
    let runs = &LineId::Liquid.of(circuit).runs;
    let at = runs.iter().position(is_receiver)?;
    let own = receiver(circuit)?.stop_valves;
    let closes = |run: &Run| part_of(run).is_some_and(|part| part.closes);
    let inlet = runs.iter().take(at).any(by_hand);
    let outlet = runs.iter().skip(at + 1).take_while(|run| !closes(run)).any(by_hand);
    Some([own || inlet, own || outlet])
}
