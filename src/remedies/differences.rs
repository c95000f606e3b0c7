//! How two circuits differ, as changes.

use super::change::{Change, move_run};
use crate::job::{Circuit, Line, LineId, Path, Run};

/// The changes that make one circuit of another: to the runs that both have, then the parts that are new, from the last to
/// the first. Nothing else than what a change can say may differ.
#[must_use]
pub fn differences(index: usize, from: &Circuit, to: &Circuit) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut inserted = Vec::new();
    for line in LineId::BOTH {
        let (mut before, new) = (line.of(from).clone(), &line.of(to).runs);
        for (at, there) in moved(&before, new) {
            move_run(&mut before, at, there);
            changes.push(Change::Moved(index, line, at, there));
        }
        let old = &before.runs;
        let mut at = 0;
        let mut extra = new.len().saturating_sub(old.len());
        for run in new {
            match old.get(at) {
                Some(before) if is_same(before, run) || extra == 0 => {
                    of_run(&mut changes, index, line, at, before, run);
                    at += 1;
                }
                _ => {
                    if let Path::Part(part) = &run.path {
                        inserted.push(Change::Inserted(index, line, at, part.clone()));
                    }
                    extra = extra.saturating_sub(1);
                }
            }
        }
    }
    let (old, new) = (&from.condenser, &to.condenser);
    if old.head_control != new.head_control {
        changes.push(Change::HeadControl(index, new.head_control));
    }
    if old.rejection != new.rejection {
        changes.push(Change::Condenser(index, new.rejection.value / old.rejection.value));
    }
    if old.subcooling != new.subcooling {
        changes.push(Change::Subcooling(index, new.subcooling));
    }
    if (from.compressors.bypass.share - to.compressors.bypass.share).abs() > 0.0 {
        changes.push(Change::Bypass(index, to.compressors.bypass));
    }
    if old.cutout != new.cutout {
        changes.extend(new.cutout.map(|cutout| Change::Cutout(index, cutout)));
    }
    if from.relief != to.relief {
        changes.extend(to.relief.valve().map(|valve| Change::Relief(index, valve.clone())));
    }
    if let Some(after) = &new.legs
        && old.legs.as_ref().is_none_or(|before| before.height != after.height || before.tube != after.tube)
    {
        changes.push(Change::Legs(index, after.clone()));
    }
    if from.copies != to.copies {
        changes.push(Change::Copies(index, to.copies));
    }
    changes.extend(inserted.into_iter().rev());
    changes
}

/// The moves, one after another, that put the parts of a line where they stand now, but for those that are new; none where more than
/// moved parts differs.
fn moved(old: &Line, new: &[Run]) -> Vec<(usize, usize)> {
    let is_part = |run: &Run| matches!(run.path, Path::Part(_));
    let is_new = |run: &Run| is_part(run) && !old.runs.iter().any(|old| is_same(old, run));
    let kept: Vec<&Run> = new.iter().filter(|run| !is_new(run)).collect();
    let mut line = old.clone();
    let mut moves = Vec::new();
    if kept.len() != line.runs.len() {
        return moves;
    }
    for _ in 0..kept.len() {
        let Some(at) = line.runs.iter().zip(&kept).position(|(a, b)| !is_same(a, b)) else { return moves };
        let (Some(stood), Some(stands)) = (line.runs.get(at), kept.get(at)) else { break };
        let later = || (at + 1..kept.len()).rev();
        let (from, to) = if is_part(stands) {
            (later().find(|index| line.runs.get(*index).is_some_and(|run| is_same(run, stands))), Some(at))
        } else if is_part(stood) {
            (Some(at), later().find(|index| kept.get(*index).is_some_and(|run| is_same(run, stood))))
        } else {
            break;
        };
        let (Some(from), Some(to)) = (from, to) else { break };
        move_run(&mut line, from, to);
        moves.push((from, to));
    }
    if line.runs.iter().zip(&kept).all(|(a, b)| is_same(a, b)) { moves } else { Vec::new() }
}

fn is_same(a: &Run, b: &Run) -> bool {
    match (&a.path, &b.path) {
        (Path::Part(a), Path::Part(b)) => a.name == b.name,
        (a, b) => std::mem::discriminant(a) == std::mem::discriminant(b) && (a.length_m() - b.length_m()).abs() < 1e-12,
    }
}

fn of_run(changes: &mut Vec<Change>, circuit: usize, line: LineId, at: usize, old: &Run, new: &Run) {
    // A part takes the tube of the line beside it.
    if old.tubes != new.tubes && (old.path.length_m() > 0.0 || old.open) {
        changes.push(Change::Tubes(circuit, line, at, new.tubes.clone()));
    }
    if old.insulation != new.insulation {
        changes.push(Change::Insulation(circuit, line, at, new.insulation.value));
    }
    if old.expansion != new.expansion {
        changes.extend(new.expansion.map(|expansion| Change::Expansion(circuit, line, at, expansion)));
    }
    match (&old.path, &new.path) {
        (Path::Rise { traps: before, .. }, Path::Rise { traps, .. }) if before != traps => {
            changes.push(Change::Traps(circuit, at, traps.clone()));
        }
        (Path::Level { slope: before, .. }, Path::Level { slope, .. }) if before != slope => {
            changes.push(Change::Sloped(circuit, line, at));
        }
        (Path::Part(before), Path::Part(part)) => {
            if before.resistance != part.resistance {
                changes.push(Change::Resistance(circuit, line, at, part.resistance));
            }
            if part.bypass && !before.bypass {
                changes.push(Change::Bypassed(circuit, at));
            }
            if before.receiver != part.receiver {
                changes.extend(part.receiver.map(|receiver| Change::Receiver(circuit, at, receiver)));
            }
        }
        _ => {}
    }
}
