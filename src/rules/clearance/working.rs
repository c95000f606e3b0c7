//! The space in front of the controls, and the pit that a unit stands in.

use super::super::limit::{limit, title};
use super::super::say::list;
use super::super::{Finding, Verdict};
use super::RULE;
use super::sides::source;
use crate::job::Job;
use crate::roof::{Asks, Clearance, Opposite, RoofStudy};

/// A unit that lies deeper than the walls round it.
pub(super) fn pit(job: &Job, clearance: &Clearance) -> Option<Finding> {
    let pit = clearance.pit.as_ref().filter(|pit| pit.sunk_m > 0.0)?;
    let sides = list(pit.sides.iter().map(|side| (*side).to_owned()));
    let says = format!(
        "{} stands in a pit: walls at its {sides} sides, and its top lies {} below the lowest of them. Its own warm air runs \
         back down to its intakes. The maker's manual decides.",
        clearance.name,
        job.units.length(pit.sunk_m)
    );
    let finding = Finding::new(RULE.id, Verdict::Caution, None).place(format!("unit {}", clearance.name));
    Some(finding.found(pit.sunk_m, 0.0, "m").says(says).by(source(job, Asks::Pit)))
}

/// The space in front of the controls.
pub(super) fn working(job: &Job, clearance: &Clearance) -> Option<Finding> {
    let show = job.units;
    let working = clearance.working.as_ref()?;
    let used = limit(job, working.asked_by);
    let place = format!("unit {}, {} side", clearance.name, working.side);
    let at = format!("In front of the controls of {}, at its {} side,", clearance.name, working.side);
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(place.clone()).by(used.source.clone());
    let Some(free) = working.free_m else {
        return Some(finding(Verdict::Pass).says(format!("{at} nothing stands.")));
    };
    let what = working.obstacle.as_deref().unwrap_or("nothing");
    let (free_text, asked) = (show.length(free), show.length(working.asked_m));
    let (is, at_volts) = match (working.asked_by, working.opposite) {
        ("electrical_depth_live", Opposite::Unknown) => (
            ", of which the side of the controls is not given (controls)",
            " before live parts at 151 to 600 V to ground",
        ),
        ("electrical_depth_live", _) => (", whose controls face them", " before live parts at 151 to 600 V to ground"),
        ("electrical_depth_grounded", _) => (", taken as grounded", " at 151 to 600 V to ground"),
        _ => ("", ""),
    };
    let says = format!("{at} there is {free_text} to {what}{is}; {asked} of level space is asked for{at_volts}");
    if working.short_m <= 0.0 {
        return Some(finding(Verdict::Pass).found(free, working.asked_m, "m").says(format!("{says}.")));
    }
    // Enough for a casing, and whether there is more than a casing is not known.
    let enough_for_a_casing = free >= limit(job, "electrical_depth_grounded").value - 1e-6;
    let unknown = working.opposite == Opposite::Unknown && enough_for_a_casing;
    let verdict = if unknown { Verdict::Caution } else { Verdict::Fail };
    let code = "the code in force and the authority that enforces it decide";
    Some(finding(verdict).found(free, working.asked_m, "m").says(format!("{says}: {code}.")))
}

/// A note on the units of which the side of the controls is not given.
pub(super) fn without_controls(study: &RoofStudy) -> Option<Finding> {
    let names: Vec<String> =
        study.clearances.iter().filter(|c| c.working.is_none()).map(|clearance| clearance.name.clone()).collect();
    if names.is_empty() {
        return None;
    }
    let says = format!(
        "The job does not give the side at which the controls are worked on (controls) of {}, so the working space in front of \
         them was not judged.",
        list(names)
    );
    Some(Finding::new(RULE.id, Verdict::Note, None).says(says).by(title("imc-306")))
}
