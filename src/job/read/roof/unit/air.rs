//! Where a unit takes its air, where it throws it, how much, and the room that its manufacturer requires.

use crate::job::fault::Fault;
use crate::job::key::Holds;
use crate::job::notes::Notes;
use crate::job::read::known::Drawn;
use crate::job::read::roof::plan::list;
use crate::job::table::Table;
use crate::job::{FAN_DISCS, Face};
use crate::units::System;

fn side(word: &str) -> Option<Face> {
    Face::ALL.into_iter().find(|side| side.name() == word)
}

/// The side at which air leaves, none for the top; nothing at all where it could not be read.
#[expect(clippy::option_option, reason = "read or not, and then a side or the top")]
pub(super) fn air_out(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Option<Face>> {
    let [north, east, south, west] = Face::ALL.map(Some);
    notes.choice(table, "air_out", &[None, north, east, south, west])
}

/// The sides at which air enters, and whether it enters from below.
#[expect(clippy::option_option, reason = "as `air_out` answers it")]
pub(super) fn air_in(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    air_out: Option<Option<Face>>,
    stands: Option<f64>,
) -> Option<(Vec<Face>, bool)> {
    let out = air_out.flatten();
    let Some(entry) = table.get("air_in") else {
        let sides: Vec<Face> = Face::ALL.into_iter().filter(|side| Some(*side) != out).collect();
        if out.is_none() {
            let why = "the sides at which air enters are not given: all four";
            notes.taken_as(table, "air_in", 4.0, "4 sides", why);
        } else {
            let why = "the sides at which air enters are not given: those at which it does not leave";
            notes.taken_as(table, "air_in", 3.0, "3 sides", why);
        }
        return Some((sides, false));
    };
    let array = list(notes, &entry, "\"north\", \"south\"", 500)?;
    if array.is_empty() {
        let fault = Fault::new(entry.span, "`air_in` is empty: no air would enter");
        notes.fault(fault.expected("sides, or \"below\""));
        return None;
    }
    let (mut sides, mut below, mut sound) = (Vec::new(), false, true);
    for item in array {
        let span = item.span();
        match notes.word_of("air_in", item.get_ref(), &span, &["north", "east", "south", "west", "below"]) {
            None => sound = false,
            Some("below") => {
                below = true;
                if stands == Some(0.0) {
                    let fault = Fault::new(span, "air can't enter below a unit that lies on the roof");
                    let example = if notes.system == System::Si { "0.6 m" } else { "2 ft" };
                    notes.fault(fault.expected(format!("base_height = \"{example}\", the height of its underside")));
                    sound = false;
                }
            }
            Some(name) => {
                let Some(side) = side(name) else { continue };
                if Some(side) == out {
                    let fault = Fault::new(span, format!("air leaves at the {name} side and can't enter there too"));
                    notes.fault(fault.expected("`air_out` names the same side"));
                    sound = false;
                } else if sides.contains(&side) {
                    notes.fault(Fault::new(span, format!("`air_in` names the {name} side twice")));
                    sound = false;
                }
                sides.push(side);
            }
        }
    }
    sides.sort();
    Some((sides, below)).filter(|_| sound)
}

/// Air flow and the velocity at which it leaves, where known.
pub(super) fn flow(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    drawn: &Drawn<'_>,
    circuits: Option<&[(usize, u32)]>,
    plan_m2: Option<f64>,
) -> (Option<f64>, Option<f64>) {
    let flow = if table.has("air_flow") {
        notes.get(table, "air_flow")
    } else {
        let of = |&(index, count): &(usize, u32)| {
            let flow = drawn.circuits.get(index)?.condenser.air_flow?;
            Some(flow.value * f64::from(count))
        };
        let sum: Option<f64> = circuits.and_then(|circuits| circuits.iter().map(of).sum());
        let sum = sum.filter(|sum| *sum > 0.0);
        if let Some(sum) = sum {
            notes.follows(table, "air_flow", sum);
        }
        sum
    };
    let outlet = notes.get(table, "outlet_velocity");
    if !table.has("outlet_velocity")
        && let (Some(flow), Some(plan)) = (flow, plan_m2)
    {
        notes.follows(table, "outlet_velocity", flow / (FAN_DISCS * plan));
    }
    (flow, outlet)
}

/// The manufacturer's own room at the sides, in the order of `Face::ALL`, and above.
pub(super) fn clearance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    air_in: Option<&(Vec<Face>, bool)>,
) -> Option<([Option<f64>; 4], Option<f64>)> {
    let Some(entry) = table.get("clearance") else { return Some(([None; 4], None)) };
    let Holds::Table(keys) = notes.key(table, "clearance")?.holds else { return notes.no_such(table, "clearance") };
    if entry.value.is_table() {
        let before = notes.found;
        let inner = notes.table(table, "clearance")?;
        let sides = Face::ALL.map(|side| notes.get(&inner, side.name()));
        let above = notes.get(&inner, "above");
        return notes.whole(before, (sides, above));
    }
    let Holds::Quantity(kind, bounds) = keys.key("above")?.holds else { return None };
    let all = notes.quantity_of("clearance", entry.value, &entry.span, kind, bounds)?;
    let (sides, _) = air_in?;
    if sides.is_empty() {
        let fault = Fault::new(entry.span, "one `clearance` is for the sides at which air enters, and none does");
        notes.fault(fault.expected("by side: { north = \"6 ft\", above = \"10 ft\" }"));
        return None;
    }
    Some((Face::ALL.map(|side| Some(all).filter(|_| sides.contains(&side))), None))
}
