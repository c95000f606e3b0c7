//! `clearance`: has every unit the room that its air, and those who work on it, need?

mod sides;
#[cfg(test)]
mod tests;
mod working;

use super::mend::plan;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Clearance, Mend, RoofStudy};
use sides::sides;
use working::{pit, without_controls, working};

/// The rule.
pub const RULE: Rule = Rule {
    id: "clearance",
    question: "Has every unit the room that its air, and those who work on it, need?",
    explanation: "\
Before each side of each unit the plan is searched, straight ahead and within the breadth of the side, for walls, screens, \
parapets and other units; the least distance counts. What ends below the underside of the unit is no obstacle, except to one \
that takes air from below.

The maker's own figure for a side (clearance) decides where it is given, and less is a fail. No standard gives one, so without it \
common practice is used, measured by the width of the unit, the smaller of its plan dimensions: its own width to a wall before \
a side that takes or throws air, the width of the wider between two units, twice the width where one throws its air at the \
intake of another, and 3 ft for pipework and service where no air passes. Less is a caution, less than half is a fail. Where \
walls as high as the unit, or higher, stand within twice its width on three sides or all, it stands in a pit: twice the width is \
asked to each of them, and its top should not lie below theirs, or its own warm air runs back down to it. A screen of which half \
is open asks for its width like any wall, but makes a pit only where it is higher than the unit. Other units make no pit.

In front of the side at which the controls are worked on there must be level space as deep as the mechanical code asks, or the \
electrical code for live parts, whichever is more; less is a fail. Over 150 V to ground ([roof] volts_to_ground; without it 151 to \
600 V is taken) the depth goes by what stands opposite: nothing, 3 ft; something grounded, 3 ft 6 in, as which every wall, parapet and \
casing counts; another unit's controls, 4 ft. A unit of which the side of the controls is not given is asked for 4 ft too, and has a \
caution where it has 3 ft 6 in. Up to 150 V it is 3 ft before all of them. Where in the side the controls are is not known, so the \
whole side must have it. Nothing above the units is drawn, so the clear height over an outlet at the top is only told.

Too little room makes a condenser breathe its own warm air or starves its fans: it condenses higher, and trips on the hottest day. \
The mend is found by moving the unit or the one in its way in steps, by setting it higher or by lowering a wall, and studying the \
changed plan each time: the unit must have its room, and no finding of room, working space, guards, warm air or sound may be worse \
than before. A unit is moved straight over free roof, the shortest way, and by no more than 15 ft or 5 m: farther off it stands in \
another place, with other steel, pipework and cable.",
    limits: &[
        "clearance_wall",
        "clearance_units",
        "clearance_pit",
        "clearance_above",
        "clearance_end",
        "screen_open",
        "working_space",
        "electrical_depth",
        "electrical_depth_grounded",
        "electrical_depth_live",
    ],
    look: Look::Roof(look),
};

/// What a unit does of which the working space is mended.
const HAS_ITS_WORKING_SPACE: &str = "has its working space, and nothing else gets worse";
/// What a unit does that lay in a pit.
const IS_NOT_SUNK: &str = "lies no deeper than the walls round it, and nothing else gets worse";
/// What a mended unit does.
const HAS_ITS_ROOM: &str = "has its room, and nothing else gets worse";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study
        .clearances
        .iter()
        .flat_map(|clearance| {
            let found = [
                (Some(sides(job, clearance)), None),
                (pit(job, clearance), clearance.pit_mend.as_ref().map(|mend| (mend, IS_NOT_SUNK))),
                (working(job, clearance), clearance.working_mend.as_ref().map(|mend| (mend, HAS_ITS_WORKING_SPACE))),
            ];
            mended(job, clearance, found.into_iter().filter_map(|(found, mend)| Some((found?, mend))).collect())
        })
        .collect();
    findings.extend(without_controls(study));
    findings
}

/// With the mend, once where one does for all; where none does, with what mends that finding alone.
fn mended(job: &Job, clearance: &Clearance, mut findings: Vec<(Finding, Option<(&Mend, &str)>)>) -> Vec<Finding> {
    let words = |mend: &Mend, does: &str| plan(job.units, mend, &clearance.name, does);
    let whole = clearance.mend.as_ref().map(|mend| words(mend, HAS_ITS_ROOM));
    let mut told = false;
    findings.sort_by_key(|(finding, _)| std::cmp::Reverse(finding.verdict));
    for (finding, own) in &mut findings {
        let wrong = finding.verdict > Verdict::Note;
        if let Some((mend, does)) = own.filter(|(mend, _)| wrong && !mend.is_nothing()) {
            finding.mend = Some(words(mend, does));
        } else if finding.verdict == Verdict::Fail || wrong && !told {
            finding.mend.clone_from(&whole);
            told = true;
        }
    }
    findings.into_iter().map(|(finding, _)| finding).collect()
}
