//! What would mend a plan, in words.

use super::super::case::{capital, list};
use crate::roof::Mend;
use crate::units::System;

/// What was tried where nothing does.
fn nothing(show: System) -> String {
    let (far, high) = match show {
        System::Ip => ("100 ft", "5 ft"),
        System::Si => ("20 m", "1.5 m"),
    };
    format!(
        "No one change that was tried mends it: moving this unit alone by up to {far}, setting it up to {high} higher, lowering \
         one wall."
    )
}

/// What would mend it, each by itself.
pub(in crate::rules) fn plan(show: System, mend: &Mend, does: &str) -> String {
    let mut ways = Vec::new();
    if !mend.moves.is_empty() {
        let legs =
            mend.moves.iter().map(|leg| format!("{} towards its {} side", show.length(leg.distance_m), leg.towards));
        ways.push(format!("moved {}", list(legs)));
    }
    if let Some(raise) = mend.raise_m {
        ways.push(format!("set {} higher on its frame", show.length(raise)));
    }
    if let Some(lower) = &mend.lower {
        ways.push(format!("with the wall {} no higher than {}", lower.wall, show.length(lower.height_m)));
    }
    match ways.split_first() {
        None => nothing(show),
        Some((first, [])) => format!("{} it {does}.", capital(first)),
        Some((first, rest)) => format!("{}, or {}, it {does}.", capital(first), rest.join(", or ")),
    }
}
