//! What a change does to the findings of a circuit.

use super::change::Change;
use super::differences::differences;
use super::trial::State;
use crate::job::Circuit;
use crate::rules::{Finding, Place, Verdict};

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
    use crate::job::{LineId, Part, Path};
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
