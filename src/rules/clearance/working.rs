//! The space in front of the controls, and the pit that a unit stands in.

use super::super::finding::{Finding, Place, Source, Verdict};
use super::super::limit::limit;
use super::super::say::{Value, say};
use super::sides::{ID, source};
use crate::job::Job;
use crate::roof::{Asks, Clearance, Opposite, RoofStudy};
use crate::units::Kind;

/// A unit that lies deeper than the walls round it.
pub(super) fn pit(job: &Job, index: usize, clearance: &Clearance) -> Option<Finding> {
    let pit = clearance.pit.as_ref().filter(|pit| pit.sunk_m > 0.0)?;
    let says = say(
        "{} is in a pit: walls at its {} sides, its top {} below the lowest of them. Its warm air runs back down to \
         its intakes. The manufacturer's instructions govern.",
        [Value::name(&clearance.name), Value::names(pit.sides.iter().copied()), Value::Of(Kind::Length, pit.sunk_m)],
    );
    let finding = Finding::new(ID, Verdict::Caution, None).place(Place::Pit(index));
    Some(finding.found(pit.sunk_m, 0.0, Kind::Length).says(says).by(source(job, Asks::Pit)))
}

/// The space in front of the controls.
pub(super) fn working(job: &Job, index: usize, clearance: &Clearance) -> Option<Finding> {
    let working = clearance.working.as_ref()?;
    let finding = |verdict| {
        let finding = Finding::new(ID, verdict, None).place(Place::Controls(index, working.side));
        finding.by(limit(job, working.asked_by).source)
    };
    let (name, side) = (Value::name(&clearance.name), Value::name(working.side));
    let Some(free) = working.free_m else {
        let says = say("Nothing is in front of the controls of {}, at its {} side.", [name, side]);
        return Some(finding(Verdict::Pass).says(says));
    };
    let (is, at_volts) = match (working.asked_by, working.opposite) {
        ("electrical_depth_live", Opposite::Unknown) => {
            (", whose controls have no side given (controls)", " in front of live parts at 151 to 600 V to ground")
        }
        ("electrical_depth_live", _) => (
            ", whose controls face them",
            " in front of live parts at 151 to 600 V to \
          ground",
        ),
        ("electrical_depth_grounded", _) => (", taken as grounded", " at 151 to 600 V to ground"),
        _ => ("", ""),
    };
    let short = working.short_m > 0.0;
    let what = Value::name(working.obstacle.as_deref().unwrap_or("nothing"));
    let says = say(
        "In front of the controls of {}, at its {} side, there is {} to {}",
        [name, side, Value::Of(Kind::Length, free), what],
    )
    .and(is, [])
    .and("; {} of level space is required", [Value::Of(Kind::Length, working.asked_m)])
    .and(at_volts, [])
    .and(if short { ". The code in force and the authority having jurisdiction govern." } else { "." }, []);
    // Enough for a casing, and whether there is more than a casing is not known.
    let enough_for_a_casing = free >= limit(job, "electrical_depth_grounded").value - 1e-6;
    let verdict = match working.opposite {
        _ if !short => Verdict::Pass,
        Opposite::Unknown if enough_for_a_casing => Verdict::Caution,
        _ => Verdict::Fail,
    };
    Some(finding(verdict).found(free, working.asked_m, Kind::Length).says(says))
}

/// The units of which the side of the controls is not given.
pub(super) fn without_controls(study: &RoofStudy) -> Option<Finding> {
    let names: Vec<&str> =
        study.clearances.iter().filter(|c| c.working.is_none()).map(|clearance| clearance.name.as_str()).collect();
    let says =
        |names| say("Working space was not judged: the job gives no side for the controls (controls) of {}.", [names]);
    let finding = Finding::new(ID, Verdict::NotJudged, None).by(Source::Published("imc-306"));
    (!names.is_empty()).then(|| finding.says(says(Value::names(names))))
}
