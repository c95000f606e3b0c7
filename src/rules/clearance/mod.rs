//! `clearance`: has every unit the room that its air, and those who work on it, need?

mod sides;
#[cfg(test)]
mod tests;
mod working;

use super::finding::{Finding, Look, Rule};
use crate::job::Job;
use crate::roof::RoofStudy;
use sides::{ID, sides};
use working::{pit, without_controls, working};

/// The rule.
pub const RULE: Rule = Rule {
    id: ID,
    question: "Has every unit the room that its air, and those who work on it, need?",
    explanation: "\
Before each side of each unit the plan is searched, straight ahead and within the breadth of the side, for walls, screens, \
parapets and other units; the shortest distance counts. What ends below the underside of the unit is no obstacle, except to one \
that takes air from below.

The manufacturer's own figure for a side (clearance) decides where it is given, and less is a fail. No standard gives one, so without it \
common practice is used, measured by the width of the unit, the smaller of its plan dimensions: its own width to a wall before \
a side that takes or throws air, the width of the wider between two units, twice the width where one throws its air at the \
intake of another, and 3 ft for pipework and service where no air passes. Less is a caution, less than half is a fail. Where \
walls as high as the unit, or higher, stand within twice its width on three sides or all, it stands in a pit: twice the width is \
asked to each of them, and its top should not lie below theirs, or its own warm air runs back down to it. A screen of which half \
is open requires the width of the unit like any wall; more than 2 ft higher than the unit (`screen_over`) it requires twice that, and \
may make a pit. Other units make no pit.

In front of the side at which the controls are worked on there must be level space as deep as the mechanical code asks, or the \
electrical code for live parts, whichever is more; less is a fail. Over 150 V to ground ([roof] volts_to_ground; without it 151 to \
600 V is taken) the depth goes by what stands opposite: nothing, 3 ft; something grounded, 3 ft 6 in, as which every wall, parapet and \
casing counts; another unit's controls, 4 ft. A unit of which the side of the controls is not given is required 4 ft too, and has a \
caution where it has 3 ft 6 in. Up to 150 V it is 3 ft before all of them. Where in the side the controls are is not known, so the \
whole side must have it. Nothing above the units is drawn, so the clear height over an outlet at the top is only told.

Too little room makes a condenser breathe its own warm air or starves its fans: it condenses higher, and trips on the hottest day.",
    limits: &[
        "clearance_wall",
        "clearance_units",
        "clearance_pit",
        "clearance_above",
        "clearance_end",
        "screen_open",
        "screen_over",
        "working_space",
        "electrical_depth",
        "electrical_depth_grounded",
        "electrical_depth_live",
    ],
    look: Look::Roof(look),
};

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let of_one = |(index, clearance)| {
        [Some(sides(job, index, clearance)), pit(job, index, clearance), working(job, index, clearance)]
    };
    let mut findings: Vec<Finding> = study.clearances.iter().enumerate().flat_map(of_one).flatten().collect();
    findings.extend(without_controls(study));
    findings
}
