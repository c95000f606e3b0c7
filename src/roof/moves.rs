//! What would mend a plan: a unit moved, a unit on a higher frame, a wall lowered. Each is tried by studying the changed plan.

use super::clearance::{clearance, shorts};
use super::edge::edge;
use super::plan::{faces, obstacles, stands_free};
use crate::job::{Job, Place, Roof, Side};
use crate::units::{System, factor};
use serde::Serialize;

/// What would mend it. Of several any one does; none at all where nothing that was tried does.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Mend {
    /// The unit moved: towards these of its sides, together.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moves: Vec<Leg>,
    /// The unit set higher by so much, on its frame.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub raise_m: Option<f64>,
    /// A wall no higher than that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lower: Option<Lowered>,
}

/// A part of a move.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Leg {
    /// Towards the unit's own side of that name.
    pub towards: &'static str,
    /// How far.
    pub distance_m: f64,
}

/// A wall made lower.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lowered {
    /// The wall.
    pub wall: String,
    /// Its height then.
    pub height_m: f64,
}

/// Steps of a move along one side of the unit: to 100 ft, or 20 m.
const STEPS: u32 = 200;
/// Double steps of a move along two.
const DOUBLE_STEPS: u32 = 40;
/// How much higher a frame may be, m.
const HIGHEST_FRAME_M: f64 = 1.5;

/// What would give the unit its room.
pub(super) fn mend_clearance(job: &Job, roof: &Roof, index: usize) -> Mend {
    let has_its_room = |changed: &Roof| {
        clearance(job, changed, &obstacles(changed), index).is_some_and(|clearance| clearance.short_m() <= 0.0)
    };
    let before = Before::of(job, roof);
    let good =
        |changed: &Roof| stands_free(changed, index) && has_its_room(changed) && before.nothing_worse(job, changed);
    Mend {
        moves: least_move(job.units, roof, index, good),
        raise_m: raised(job.units, roof, index, good),
        lower: lowered(roof, index, good),
    }
}

/// What would take the unit away from the edge.
pub(super) fn mend_edge(job: &Job, roof: &Roof, index: usize) -> Mend {
    let before = Before::of(job, roof);
    let good = |changed: &Roof| {
        stands_free(changed, index)
            && changed
                .units
                .get(index)
                .and_then(|unit| edge(job, changed, unit))
                .is_some_and(|edge| edge.short_m <= 0.0)
            && before.nothing_worse(job, changed)
    };
    Mend { moves: least_move(job.units, roof, index, good), ..Mend::default() }
}

/// The least move of a unit after which `settles`, and nothing else has less room or newly needs a guard.
pub(super) fn mend_warm_air(job: &Job, roof: &Roof, index: usize, settles: impl Fn(&Roof) -> bool) -> Vec<Leg> {
    let before = Before::of(job, roof);
    let good = |changed: &Roof| stands_free(changed, index) && before.nothing_worse(job, changed) && settles(changed);
    least_move(job.units, roof, index, good)
}

/// What the plan is short of before it is changed, unit by unit.
struct Before {
    rooms: Vec<f64>,
    guards: Vec<f64>,
}

impl Before {
    fn of(job: &Job, roof: &Roof) -> Self {
        Self { rooms: shorts(job, roof), guards: guards(job, roof) }
    }

    fn nothing_worse(&self, job: &Job, changed: &Roof) -> bool {
        let no_worse = |(now, then): (&f64, &f64)| *now <= then + 1e-6;
        guards(job, changed).iter().zip(&self.guards).all(no_worse)
            && shorts(job, changed).iter().zip(&self.rooms).all(no_worse)
    }
}

/// What each unit's guard is short of.
fn guards(job: &Job, roof: &Roof) -> Vec<f64> {
    roof.units.iter().map(|unit| edge(job, roof, unit).map_or(0.0, |edge| edge.short_m)).collect()
}

/// The shortest move that is good: along one side of the unit, or else along two.
fn least_move(system: System, roof: &Roof, index: usize, good: impl Fn(&Roof) -> bool) -> Vec<Leg> {
    let Some(unit) = roof.units.get(index) else { return Vec::new() };
    let step = step(system);
    let faces = faces(unit);
    let at = unit.at;
    let mut changed = roof.clone();
    let mut good_at = |way: Place| {
        if let Some(unit) = changed.units.get_mut(index) {
            unit.at = at.plus(way);
        }
        good(&changed)
    };
    let leg = |side: Side, steps: u32| Leg { towards: side.name(), distance_m: f64::from(steps) * step };
    for steps in 1..=STEPS {
        for face in &faces {
            if good_at(face.outward.times(f64::from(steps) * step)) {
                return vec![leg(face.side, steps)];
            }
        }
    }
    for total in 2..=2 * DOUBLE_STEPS {
        for first in 1.max(total.saturating_sub(DOUBLE_STEPS))..total.min(DOUBLE_STEPS + 1) {
            let second = total - first;
            for (one, other) in [(0, 1), (0, 3), (2, 1), (2, 3)] {
                let (Some(one), Some(other)) = (faces.get(one), faces.get(other)) else { continue };
                let way = |face: &super::plan::Face, steps: u32| face.outward.times(2.0 * f64::from(steps) * step);
                if good_at(way(one, first).plus(way(other, second))) {
                    return vec![leg(one.side, 2 * first), leg(other.side, 2 * second)];
                }
            }
        }
    }
    Vec::new()
}

/// By how much the unit would have to stand higher, on a frame that someone would build.
fn raised(system: System, roof: &Roof, index: usize, good: impl Fn(&Roof) -> bool) -> Option<f64> {
    let unit = roof.units.get(index)?;
    let step = step(system);
    let mut changed = roof.clone();
    let mut raise = step;
    while raise <= HIGHEST_FRAME_M {
        let higher = changed.units.get_mut(index)?;
        higher.height_m = unit.height_m + raise;
        higher.stands_m = unit.stands_m + raise;
        // Over the top of another it would take that one's warm air.
        let stands = unit.stands_m + raise;
        let over_another =
            roof.units.iter().enumerate().any(|(i, other)| i != index && other.height_m <= stands + 1e-9);
        if over_another {
            return None;
        }
        if good(&changed) {
            return Some(raise);
        }
        raise += step;
    }
    None
}

/// The wall that would no longer obstruct if it ended under the unit.
fn lowered(roof: &Roof, index: usize, good: impl Fn(&Roof) -> bool) -> Option<Lowered> {
    let stands = roof.units.get(index).map(|unit| unit.stands_m).filter(|stands| *stands > 0.0)?;
    (0..roof.walls.len()).find_map(|number| {
        let mut changed = roof.clone();
        let wall = changed.walls.get_mut(number).filter(|wall| wall.height_m > stands)?;
        wall.height_m = stands;
        let lowered = Lowered { wall: wall.name.clone(), height_m: stands };
        good(&changed).then_some(lowered)
    })
}

/// How finely places are given on a roof, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
