//! A plan to test with: one unit of 20 ft by 7.5 ft in the middle of a wide roof, with nothing near it.

use super::{RoofStudy, study};
use crate::job::{self, Job, Roof, RoofUnit, Wall, Xy};
use crate::survey::{Survey, survey};
use std::path::Path;
use std::sync::OnceLock;

/// A foot, m.
pub(crate) const FOOT: f64 = 0.3048;

const PLAN: &str = r#"
[roof]
height = "36 ft"
outline = [["0 ft", "0 ft"], ["200 ft", "0 ft"], ["200 ft", "100 ft"], ["0 ft", "100 ft"]]

[[roof.unit]]
name = "C1"
circuits = ["1A"]
at = ["90 ft", "45 ft"]
size = ["20 ft", "7.5 ft"]
height = "8 ft"
base_height = "2 ft"
air_in = ["north", "south"]
controls = "east"
"#;

/// The job, its plan changed.
pub(crate) fn planned(change: impl FnOnce(&mut Roof)) -> Job {
    let text = include_str!("../../tests/data/hall.toml").to_owned() + PLAN;
    let mut job = job::read("hall.toml", &text, Path::new("tests/data")).unwrap();
    change(job.roof.as_mut().unwrap());
    job
}

/// What is found of the plan of a job.
pub(crate) fn studied(job: &Job) -> RoofStudy {
    study(job, solved()).unwrap()
}

/// The job solved; the plan has no part in it.
pub(crate) fn solved() -> &'static Survey {
    static SOLVED: OnceLock<Survey> = OnceLock::new();
    SOLVED.get_or_init(|| survey(&planned(|_| {})).unwrap())
}

/// A place in feet.
pub(crate) fn feet(x: f64, y: f64) -> Xy {
    Xy::new(x * FOOT, y * FOOT)
}

/// A solid wall, in feet.
pub(crate) fn wall(name: &str, from: (f64, f64), to: (f64, f64), height: f64) -> Wall {
    let (from, to) = (feet(from.0, from.1), feet(to.0, to.1));
    Wall { name: name.to_owned(), from, to, height_m: height * FOOT, open: 0.0 }
}

/// One more like the first, moved by so many feet.
pub(crate) fn another(roof: &Roof, name: &str, by: (f64, f64)) -> RoofUnit {
    let first = roof.units[0].clone();
    RoofUnit { name: name.to_owned(), at: first.at.plus(feet(by.0, by.1)), ..first }
}

/// Turns the whole plan and shifts it; north stays where it is on the sheet.
pub(crate) fn turned(roof: &mut Roof, degrees: f64, by: Xy) {
    let moved = |place: &mut Xy| *place = place.turned(degrees).plus(by);
    roof.outline.iter_mut().for_each(moved);
    roof.walls.iter_mut().flat_map(|wall| [&mut wall.from, &mut wall.to]).for_each(moved);
    for unit in &mut roof.units {
        moved(&mut unit.at);
        unit.rotation_deg += degrees;
    }
}

/// Mirrors the whole plan at its y axis, each unit's own sides left as they are called.
pub(crate) fn mirrored(roof: &mut Roof) {
    let mirror = |place: &mut Xy| place.x_m = -place.x_m;
    roof.outline.iter_mut().for_each(mirror);
    roof.walls.iter_mut().flat_map(|wall| [&mut wall.from, &mut wall.to]).for_each(mirror);
    for unit in &mut roof.units {
        // What was the corner at the right is the corner at the left.
        let [_, right, ..] = unit.corners();
        unit.at = Xy::new(-right.x_m, right.y_m);
        unit.rotation_deg = -unit.rotation_deg;
    }
}
