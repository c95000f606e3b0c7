//! The room before the four sides of a unit.

use super::super::case::greatest;
use super::super::limit::limit;
use super::super::say::list;
use super::super::{Finding, Verdict};
use super::RULE;
use crate::job::Job;
use crate::roof::{Air, Asks, Clearance, FaceRoom};
use crate::units::System;

/// The four sides: one finding, by the side that is worst.
pub(super) fn sides(job: &Job, clearance: &Clearance) -> Finding {
    let show = job.units;
    let place = format!("unit {}", clearance.name);
    let worst = greatest(
        clearance
            .faces
            .iter()
            .filter_map(|face| {
                let free = face.free_m?;
                // The verdict first, then what is missing as a share of what is asked.
                Some((face, (f64::from(grade(face) as u8), (face.asked_m - free) / face.asked_m.max(1e-9))))
            })
            .map(|(face, (verdict, share))| (face, 1e3 * verdict + share)),
    );
    let Some((face, _)) = worst else {
        let says = format!("Nothing stands before any side of {}.", clearance.name);
        return Finding::new(RULE.id, Verdict::Pass, None).place(place).says(says).by(source(job, Asks::Wall));
    };
    let free = face.free_m.unwrap_or(f64::NAN);
    let verdict = grade(face);
    let short: Vec<&FaceRoom> = clearance.faces.iter().filter(|face| face.short_m > 0.0).collect();
    let says = if short.is_empty() {
        format!(
            "{} has the room that is asked for. It is tightest at its {} side: {}, where {}.",
            clearance.name,
            face.side,
            far(show, face),
            asked(show, face)
        )
    } else {
        // Sides of which the same is asked stand in one sentence.
        let alike = |a: &&FaceRoom, b: &&FaceRoom| a.air == b.air && a.asks == b.asks && show_alike(show, a, b);
        let mut left = short;
        let mut says = String::new();
        while let Some(first) = left.first().copied() {
            let (these, others): (Vec<&FaceRoom>, Vec<&FaceRoom>) =
                left.into_iter().partition(|face| alike(&first, face));
            says += &sentence(show, &clearance.name, first, &these);
            says.push(' ');
            left = others;
        }
        if face.asks != Asks::Maker {
            says += "The maker's manual decides.";
        }
        says.trim_end().to_owned()
    };
    Finding::new(RULE.id, verdict, None)
        .place(format!("{place}, {} side", face.side))
        .found(free, face.asked_m, "m")
        .says(says)
        .by(source(job, face.asks))
}

/// How bad it is: the maker's figure may not be broken, common practice not by more than half.
fn grade(face: &FaceRoom) -> Verdict {
    let free = face.free_m.unwrap_or(f64::INFINITY);
    match (face.short_m > 0.0, face.asks) {
        (false, _) => Verdict::Pass,
        (true, Asks::Maker) => Verdict::Fail,
        (true, _) if free < face.asked_m / 2.0 - 1e-6 => Verdict::Fail,
        (true, _) => Verdict::Caution,
    }
}

fn far(show: System, face: &FaceRoom) -> String {
    let free = face.free_m.unwrap_or(f64::NAN);
    format!("{} to {}", show.length(free), face.obstacle.as_deref().unwrap_or("nothing"))
}

/// What is asked of a face and why.
fn asked(show: System, face: &FaceRoom) -> String {
    let asked = show.length(face.asked_m);
    match face.asks {
        Asks::Maker => format!("its maker asks for {asked}"),
        Asks::Wall => format!("{asked} before a wall is asked for"),
        Asks::Screen => format!("{asked} before a screen is asked for"),
        Asks::Unit => format!("{asked} between two units is asked for"),
        Asks::Throw => format!("{asked} is asked for where one throws its air at the intake of another"),
        Asks::Pit => format!("{asked} to each wall of a pit is asked for"),
        Asks::End => format!("{asked} for pipework and service is asked for"),
    }
}

/// Whether the same distance is shown as asked of both.
fn show_alike(show: System, a: &FaceRoom, b: &FaceRoom) -> bool {
    show.length(a.asked_m) == show.length(b.asked_m)
}

/// What is short at these sides, of which the same is asked.
fn sentence(show: System, name: &str, first: &FaceRoom, faces: &[&FaceRoom]) -> String {
    let does = match first.air {
        Air::In => "takes air at",
        Air::Out => "throws its air out at",
        Air::None => "has",
    };
    let sides = faces.iter().map(|face| {
        let what = face.obstacle.as_deref().unwrap_or("nothing");
        let free = show.length(face.free_m.unwrap_or(f64::NAN));
        match (face.air, face.hidden_share) {
            (Air::None, _) => format!("{free} to {what} at its {} side", face.side),
            (Air::In, Some(share)) if share < 0.995 => {
                let share = 100.0 * share;
                format!("its {} side, {free} from {what} before {share:.0} % of its height", face.side)
            }
            _ => format!("its {} side, {free} from {what}", face.side),
        }
    });
    format!("{name} {does} {}; {}.", list(sides), asked(show, first))
}

/// Where what is asked comes from.
pub(super) fn source(job: &Job, asks: Asks) -> String {
    let key = match asks {
        Asks::Maker => return "the job file (the maker's clearance)".to_owned(),
        Asks::Wall | Asks::Screen => "clearance_wall",
        Asks::Unit => "clearance_units",
        Asks::Throw | Asks::Pit => "clearance_pit",
        Asks::End => "clearance_end",
    };
    limit(job, key).source.text()
}
