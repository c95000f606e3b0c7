//! The room before the four sides of a unit.

use super::super::case::greatest;
use super::super::finding::{Finding, Place, Source, Verdict};
use super::super::limit::limit;
use super::super::say::{Say, Value, say};
use crate::job::Job;
use crate::roof::{Air, Asks, Clearance, FaceRoom};
use crate::units::Kind;

/// The rule's id.
pub(super) const ID: &str = "clearance";

/// The four sides: one finding, by the side that is worst.
pub(super) fn sides(job: &Job, index: usize, clearance: &Clearance) -> Finding {
    // The verdict first, then what is missing as a share of what is asked.
    let rooms = clearance.faces.iter().filter_map(|face| {
        let free = face.free_m?;
        let missing = (face.asked_m - free) / face.asked_m.max(1e-9);
        Some(((face, free), 1e3 * f64::from(grade(face, free) as u8) + missing))
    });
    let name = Value::name(&clearance.name);
    let Some(((face, free), _)) = greatest(rooms) else {
        return Finding::new(ID, Verdict::Pass, None)
            .place(Place::Unit(index))
            .says(say("Nothing is in front of any side of {}.", [name]))
            .by(source(job, Asks::Wall));
    };
    let short: Vec<&FaceRoom> = clearance.faces.iter().filter(|face| face.short_m > 0.0).collect();
    let says = if short.is_empty() {
        say(
            "{} has the required clearance. The smallest margin is at its {} side: {} to {}; {}.",
            [name, Value::name(face.side), length(free), obstacle(face), Value::Say(asked(face))],
        )
    } else {
        what_is_short(&name, face, short)
    };
    Finding::new(ID, grade(face, free), None)
        .place(Place::UnitSide(index, face.side))
        .found(free, face.asked_m, Kind::Length)
        .says(says)
        .by(source(job, face.asks))
}

/// How bad it is: the manufacturer's figure may not be broken, common practice not by more than half.
fn grade(face: &FaceRoom, free: f64) -> Verdict {
    match (face.short_m > 0.0, face.asks) {
        (false, _) => Verdict::Pass,
        (true, Asks::Maker) => Verdict::Fail,
        (true, _) if free < face.asked_m / 2.0 - 1e-6 => Verdict::Fail,
        (true, _) => Verdict::Caution,
    }
}

fn length(metres: f64) -> Value {
    Value::Of(Kind::Length, metres)
}

fn obstacle(face: &FaceRoom) -> Value {
    Value::name(face.obstacle.as_deref().unwrap_or("nothing"))
}

/// What is asked of a face and why.
fn asked(face: &FaceRoom) -> Say {
    let words = match face.asks {
        Asks::Maker => "its manufacturer requires {}",
        Asks::Wall => "{} to a wall is required",
        Asks::Screen => "{} to a screen is required",
        Asks::Unit => "{} between two units is required",
        Asks::Throw => "{} is required where one discharges at the intake of another",
        Asks::Pit => "{} to each wall of a pit is required",
        Asks::End => "{} for piping and service is required",
    };
    say(words, [length(face.asked_m)])
}

/// The sides that are short; those of which the same is asked stand in one sentence.
fn what_is_short(name: &Value, worst: &FaceRoom, short: Vec<&FaceRoom>) -> Say {
    let alike = |a: &FaceRoom, b: &FaceRoom| a.air == b.air && a.asks == b.asks && (a.asked_m - b.asked_m).abs() < 1e-6;
    let mut sentences = Vec::new();
    let mut left = short;
    while let Some(first) = left.first().copied() {
        let (these, others) = left.into_iter().partition(|face| alike(first, face));
        sentences.push(sentence(name, first, these));
        left = others;
    }
    let own = (worst.asks != Asks::Maker).then(|| say("The manufacturer's instructions govern.", []));
    Say::sentences(sentences.into_iter().chain(own))
}

/// What is short at these sides, of which the same is asked.
fn sentence(name: &Value, first: &FaceRoom, faces: Vec<&FaceRoom>) -> Say {
    let does = match first.air {
        Air::In => "{} takes air at {}; {}.",
        Air::Out => "{} discharges air at {}; {}.",
        Air::None => "{} has {}; {}.",
    };
    let sides = faces.into_iter().filter_map(|face| Some(Value::Say(side(face, face.free_m?)))).collect();
    say(does, [name.clone(), Value::List(sides), Value::Say(asked(first))])
}

fn side(face: &FaceRoom, free: f64) -> Say {
    let (side, free, what) = (Value::name(face.side), length(free), obstacle(face));
    match (face.air, face.hidden_share) {
        (Air::None, _) => say("{} to {} at its {} side", [free, what, side]),
        (Air::In, Some(share)) if share < 0.995 => {
            say("its {} side, {} from {} along {} of its height", [side, free, what, Value::Of(Kind::Share, share)])
        }
        _ => say("its {} side, {} from {}", [side, free, what]),
    }
}

/// Where what is asked comes from.
pub(super) fn source(job: &Job, asks: Asks) -> Source {
    let key = match asks {
        Asks::Maker => return Source::Job("[[roof.unit]] clearance"),
        Asks::Wall | Asks::Screen => "clearance_wall",
        Asks::Unit => "clearance_units",
        Asks::Throw | Asks::Pit => "clearance_pit",
        Asks::End => "clearance_end",
    };
    limit(job, key).source
}
