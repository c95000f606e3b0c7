//! What would make it quiet enough, in words.

use super::super::say::list;
use crate::roof::{NewScreen, Quieter, Raised, Slower};
use crate::units::{System, factor};

/// What was tried where nothing does.
pub(in crate::rules) fn nothing(show: System) -> String {
    let over = match show {
        System::Ip => "6.5 ft",
        System::Si => "2 m",
    };
    format!(
        "No one change that was tried mends it: slower fans at night, down to 40 % of full speed; units quieter by up to 20 dB; a wall between made \
         solid or higher, or a new screen, up to {over} over the units."
    )
}

/// What would mend it, each by itself; what keeps the limit and is not `clear` of it by the margin says so.
pub(in crate::rules) fn quieter(show: System, mend: &Quieter, clear: f64, when: &str) -> Option<String> {
    let hears = |level: f64| {
        let margin = if level > clear + 1e-9 { ", still within the margin" } else { "" };
        format!("({}{margin})", show.level(level))
    };
    let mut ways = Vec::new();
    if let Some(change) = &mend.slower {
        ways.push(format!("{} {}", slower(change), hears(change.reaches_dBA)));
    }
    if let Some((most, reaches)) = mend.power_dBA.zip(mend.power_reaches_dBA) {
        ways.push(format!("no unit with more than {} of sound power {when} {}", show.level(most), hears(reaches)));
    }
    if let Some(change) = &mend.raised {
        ways.push(format!("{} {}", raised(show, change), hears(change.reaches_dBA)));
    }
    if let Some(change) = &mend.screen {
        ways.push(format!("{} {}", screen(show, change), hears(change.reaches_dBA)));
    }
    let (first, rest) = ways.split_first()?;
    let others = rest.iter().fold(String::new(), |others, way| others + "; or " + way);
    let each = if rest.is_empty() { "This would do" } else { "Each by itself would do" };
    let fans = if mend.slower.is_some() {
        " At that speed the air falls with the fans, and the head pressure must still carry the load of the night."
    } else {
        ""
    };
    let engineer = if mend.raised.is_some() || mend.screen.is_some() {
        let weight = match show {
            System::Ip => "2 lb/ft2",
            System::Si => "10 kg/m2",
        };
        format!(
            " A screen must have no gaps and weigh {weight} at least; the structural engineer decides what a wall in the wind asks of \
             the roof. Draw it and study the plan again, for the warm air that it may turn back."
        )
    } else {
        String::new()
    };
    Some(format!("{each}: {first}{others}.{fans}{engineer}"))
}

fn slower(change: &Slower) -> String {
    let share = format!("{:.0} %", 100.0 * change.share);
    let of = if change.of_full { "full speed" } else { "the present speed of each" };
    format!("at night fans at {share} of {of}")
}

fn raised(show: System, change: &Raised) -> String {
    let height = show.length(change.height_m);
    if change.closed {
        format!("{} made solid, {height} high over the roof", change.name)
    } else {
        format!("{} raised to {height} over the roof", change.name)
    }
}

fn screen(show: System, change: &NewScreen) -> String {
    let off = show.length(change.distance_m);
    let stands = match &change.units[..] {
        [one] => format!("{off} off the {} side of {one}", change.side),
        all => format!(
            "{off} before the frontmost corner of {}, along the {} side of {} and before {}",
            change.frontmost,
            change.side,
            all.first().map_or("", String::as_str),
            list(all.iter().skip(1).cloned())
        ),
    };
    let finely = |metres: f64| match show {
        System::Ip => format!("{:.2} ft", metres / factor::FOOT),
        System::Si => format!("{metres:.2} m"),
    };
    let place = |place: crate::job::Place| format!("[{}, {}]", finely(place.x_m), finely(place.y_m));
    format!(
        "a new solid screen {stands}, {} high over the roof and {} long, from {} to {}",
        show.length(change.height_m),
        show.length(change.length_m),
        place(change.from),
        place(change.to)
    )
}
