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
    question: "Does every unit have the clearance that its air, and the people who work on it, need?",
    explanation: "\
In front of each side of each unit the plan is searched, straight ahead and within the width of the side, for walls, \
screens, parapets and other units. The shortest distance counts. Objects lower than the underside of the unit do not \
count, except for one that takes air from below.

The manufacturer's own figure for a side (clearance) governs where it is given, and less is a fail. No standard \
gives one, so without it common practice is used, in widths of the unit, the smaller of its plan dimensions. A side \
that takes or discharges air requires one width to a wall, and the width of the wider between two units. Where one \
discharges at the intake of another, twice the width is required. A side without air requires 3 ft for piping and \
service. Less is a caution, less than half is a fail.

Where walls as high as the unit, or higher, are within twice its width on three sides or all, the unit is in a pit. \
Twice the width is required to each of them, and its top should not be below theirs, or its own warm air runs back \
down to it. A screen with half of its face open requires the width of the unit like any wall. More than 2 ft higher \
than the unit (`screen_over`) it requires twice that, and may make a pit. Other units make no pit.

In front of the controls there must be level space as deep as the mechanical code requires, or the electrical code \
for live parts, whichever is more; less is a fail. Above 150 V to ground ([roof] volts_to_ground; 151 to 600 V is \
the default) the depth depends on what is opposite. Nothing requires 3 ft; a grounded surface, as any wall, parapet \
and casing, 3 ft 6 in; another unit's controls 4 ft. A unit without a side for its controls requires 4 ft too, and \
is a caution where it has 3 ft 6 in. Up to 150 V all of them require 3 ft. The place of the controls in the side is \
not known, so the whole side must have the space. Nothing above the units is drawn, so the clear height above an \
outlet at the top is only reported.

Without enough clearance a condenser takes in its own warm air or starves its fans: it condenses higher, and trips \
on the hottest day.",
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
