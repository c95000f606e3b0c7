//! Where a unit takes its air, where it throws it, how much, and the room that its maker asks for.

use super::{Drawn, SIDES};
use crate::job::fault::Fault;
use crate::job::keys::ROOF_CLEARANCE;
use crate::job::notes::Notes;
use crate::job::read::roof::list;
use crate::job::syntax::quoted;
use crate::job::table::{Bounds, Table};
use crate::job::{FAN_DISCS, Face};
use crate::units::words::or;
use crate::units::{Kind, spelling::nearest};
use std::ops::Range;
use toml::de::DeValue;

/// Room that a maker may ask for, m.
const CLEARANCE: Bounds = Bounds::From(0.0, 100.0);

/// A side, or what is not one: up, below.
fn word<'w>(
    notes: &mut Notes<'_>,
    key: &str,
    value: &DeValue<'_>,
    span: &Range<usize>,
    words: &[&'w str],
) -> Option<&'w str> {
    let text = value.as_str().unwrap_or_default();
    if let Some(word) = words.iter().find(|word| **word == text) {
        return Some(word);
    }
    let choices: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    let fault = Fault::new(span.clone(), format!("`{key}` is {}", or(&choices)));
    notes.fault(match nearest(text, words.iter().copied()) {
        Some(near) => fault.expected(format!("nearest: \"{near}\"")).mend(span.clone(), quoted(near)),
        None => fault,
    });
    None
}

fn side(word: &str) -> Option<Face> {
    SIDES.iter().find(|(name, _)| *name == word).map(|(_, side)| *side)
}

/// The side at which air leaves, none for the top; nothing at all where it could not be read.
#[expect(clippy::option_option, reason = "read or not, and then a side or the top")]
pub(super) fn air_out(notes: &mut Notes<'_>, table: &Table<'_>, key: &str) -> Option<Option<Face>> {
    let Some(entry) = table.get("air_out") else {
        notes.assume(format!("{key}.air_out"), 0.0, "-", "the side at which air leaves is not given", "roofrun");
        return Some(None);
    };
    word(notes, "air_out", entry.value, &entry.span, &["up", "north", "east", "south", "west"]).map(side)
}

/// The sides at which air enters, and whether it enters from below.
#[expect(clippy::option_option, reason = "as `air_out` answers it")]
pub(super) fn air_in(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    key: &str,
    air_out: Option<Option<Face>>,
    stands: Option<f64>,
) -> Option<(Vec<Face>, bool)> {
    let out = air_out.flatten();
    let Some(entry) = table.get("air_in") else {
        let sides: Vec<Face> = Face::ALL.into_iter().filter(|side| Some(*side) != out).collect();
        let (count, why) = if out.is_none() {
            (4.0, "the sides at which air enters are not given: all four")
        } else {
            (3.0, "the sides at which air enters are not given: those at which it does not leave")
        };
        notes.assume(format!("{key}.air_in"), count, "-", why, "roofrun");
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
        match word(notes, "air_in", item.get_ref(), &span, &["north", "east", "south", "west", "below"]) {
            None => sound = false,
            Some("below") => {
                below = true;
                if stands == Some(0.0) {
                    let fault = Fault::new(span, "air can't enter below a unit that lies on the roof");
                    let example = if notes.system == crate::units::System::Si { "0.6 m" } else { "2 ft" };
                    notes.fault(fault.expected(format!("stands = \"{example}\", the height of its underside")));
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
    key: &str,
    drawn: &Drawn<'_>,
    circuits: Option<&[(usize, u32)]>,
    plan_m2: Option<f64>,
) -> (Option<f64>, Option<f64>) {
    let flow = if table.has("air_flow") {
        notes.quantity(table, "air_flow", Kind::VolumeRate, Bounds::Above(0.0, 1e4))
    } else {
        let of = |&(index, count): &(usize, u32)| {
            let flow = drawn.circuits.get(index)?.condenser.air_flow?;
            Some(flow.value * f64::from(count))
        };
        let sum: Option<f64> = circuits.and_then(|circuits| circuits.iter().map(of).sum());
        if let Some(sum) = sum.filter(|sum| *sum > 0.0) {
            notes.assume(format!("{key}.air_flow"), sum, "m3/s", "the sum of its coils' air flow", "user");
        }
        sum.filter(|sum| *sum > 0.0)
    };
    let outlet = notes.quantity(table, "outlet_velocity", Kind::Velocity, Bounds::Above(0.0, 100.0));
    if !table.has("outlet_velocity")
        && let (Some(flow), Some(plan)) = (flow, plan_m2)
    {
        let why = "air flow over fans that take 0.4 of the face at which it leaves";
        notes.assume(format!("{key}.outlet_velocity"), flow / (FAN_DISCS * plan), "m/s", why, "common-practice");
    }
    (flow, outlet)
}

/// The maker's own room at the sides, in the order of `Face::ALL`, and above.
pub(super) fn clearance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    air_in: Option<&(Vec<Face>, bool)>,
) -> Option<([Option<f64>; 4], Option<f64>)> {
    let Some(entry) = table.get("clearance") else { return Some(([None; 4], None)) };
    if entry.value.is_table() {
        let inner = notes.table(table, "clearance", &ROOF_CLEARANCE)?;
        notes.check_keys(&inner, &ROOF_CLEARANCE, &[]);
        let mut sound = true;
        let mut read = |key: &str| {
            let value = notes.quantity(&inner, key, Kind::Length, CLEARANCE);
            sound &= value.is_some() || !inner.has(key);
            value
        };
        let sides = Face::ALL.map(|side| read(side.name()));
        let above = read("above");
        return Some((sides, above)).filter(|_| sound);
    }
    let all = notes.quantity(table, "clearance", Kind::Length, CLEARANCE)?;
    let (sides, _) = air_in?;
    if sides.is_empty() {
        let fault = Fault::new(entry.span, "one `clearance` is for the sides at which air enters, and none does");
        notes.fault(fault.expected("by side: { north = \"6 ft\", above = \"10 ft\" }"));
        return None;
    }
    Some((Face::ALL.map(|side| Some(all).filter(|_| sides.contains(&side))), None))
}
