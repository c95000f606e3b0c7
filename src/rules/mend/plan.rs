//! What would mend a plan, in words.

use super::super::case::{capital, list};
use crate::roof::Mend;
use crate::units::System;

/// How far a unit is moved and how much higher it is set, at the most.
pub(in crate::rules) fn farthest(show: System) -> (&'static str, &'static str) {
    match show {
        System::Ip => ("15 ft", "5 ft"),
        System::Si => ("5 m", "1.5 m"),
    }
}

/// What was tried where nothing does.
fn nothing(show: System, name: &str) -> String {
    let (far, high) = farthest(show);
    format!(
        "No one change that was tried mends it and makes nothing else worse: moving one unit by up to {far}, setting {name} up to {high} \
         higher, lowering one wall. {name} wants another place."
    )
}

/// What would mend it for the unit of that name, each by itself.
pub(in crate::rules) fn plan(show: System, mend: &Mend, name: &str, does: &str) -> String {
    if mend.is_nothing() {
        return nothing(show, name);
    }
    let mut ways = Vec::new();
    if !mend.moves.is_empty() {
        let legs =
            mend.moves.iter().map(|leg| format!("{} towards its {} side", show.length(leg.distance_m), leg.towards));
        let who = mend.other.as_ref().map_or_else(String::new, |other| format!("with {other} "));
        ways.push(format!("{who}moved {}", list(legs)));
    }
    if let Some(raise) = mend.raise_m {
        ways.push(format!("set {} higher on its frame", show.length(raise)));
    }
    if let Some(lower) = &mend.lower {
        ways.push(format!("with {} no higher than {}", walls(&lower.walls), show.length(lower.height_m)));
    }
    if let Some(open) = &mend.open {
        ways.push(format!("with {:.0} % of {} open", 100.0 * open.share, walls(&open.walls)));
    }
    format!("{}, {name} {does}.", capital(&ways.join(", or ")))
}

/// Walls by name: `the wall slats`, `the walls north and east`.
fn walls(names: &[String]) -> String {
    let word = if names.len() == 1 { "wall" } else { "walls" };
    format!("the {word} {}", list(names.iter().cloned()))
}
