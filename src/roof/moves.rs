//! What would mend a plan: a unit moved, a unit on a higher frame, walls lowered or opened. Each is tried by studying
//! the changed plan, and none is told that makes another finding worse.

use super::before::{Before, Changed};
use super::clearance::{Clearance, clearance};
use super::edge::edge;
use super::plan::{is_clear, obstacles};
use crate::job::{Place, Roof, RoofUnit, Side, Wall};
use crate::physics::plane;
use crate::units::{System, factor};
use serde::Serialize;

/// What would mend it. Of several any one does; none at all where nothing that was tried does.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Mend {
    /// The unit moved: towards these of its sides, together and straight.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moves: Vec<Leg>,
    /// The unit that is moved, where it is another.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other: Option<String>,
    /// The unit set higher by so much, on its frame.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub raise_m: Option<f64>,
    /// Walls no higher than that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lower: Option<Lowered>,
    /// Screens opened so far.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open: Option<Opened>,
}

/// A part of a move.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Leg {
    /// Towards the unit's own side of that name.
    pub towards: &'static str,
    /// How far.
    pub distance_m: f64,
}

/// Walls made lower.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lowered {
    /// The walls.
    pub walls: Vec<String>,
    /// Their height then.
    pub height_m: f64,
}

/// Screens made more open.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Opened {
    /// The screens.
    pub walls: Vec<String>,
    /// Share of their face that is open then.
    pub share: f64,
}

/// A wall that would have to lose more than this share of its height is not lowered but taken away.
const LOWERED_SHARE: f64 = 0.5;

impl Mend {
    /// Whether nothing that was tried mends it.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.moves.is_empty() && self.raise_m.is_none() && self.lower.is_none() && self.open.is_none()
    }
}

/// What would give the unit its room, all of it or what that measures.
pub(super) fn mend_clearance(before: &Before, index: usize, short: &Clearance, of: fn(&Clearance) -> f64) -> Mend {
    let settles = |changed: &Roof, _: Changed| {
        let clearance = clearance(before.job, changed, &obstacles(changed), index);
        clearance.is_some_and(|clearance| of(&clearance) <= 0.0)
    };
    // A gap between two units is mended at either of them.
    let in_the_way = short.in_the_way().filter_map(|name| before.roof.units.iter().position(|unit| unit.name == name));
    let movers: Vec<usize> = std::iter::once(index).chain(in_the_way).collect();
    let mut mend = moved(before, index, &movers, settles);
    mend.raise_m = raised(before, index, settles);
    // A wall that ends under the unit is no obstacle, and walls that end at its top make no pit deeper than it.
    let Some(unit) = before.roof.units.get(index) else { return mend };
    let reach = before.job.limit("clearance_pit") * unit.narrow_m() + 1e-6;
    let higher: Vec<usize> = (0..before.roof.walls.len())
        .filter(|wall| {
            let near = |wall: &Wall| plane::apart(&unit.corners(), &[wall.from, wall.to]) <= reach;
            before.roof.walls.get(*wall).is_some_and(|wall| wall.height_m > unit.height_m && near(wall))
        })
        .collect();
    let under = (0..before.roof.walls.len()).find_map(|wall| lowered(before, &[wall], unit.stands_m, settles));
    let level = |walls: &[usize]| lowered(before, walls, unit.height_m, settles);
    mend.lower = under.or_else(|| higher.iter().find_map(|wall| level(&[*wall]))).or_else(|| level(&higher));
    mend
}

/// What would take the unit away from the edge.
pub(super) fn mend_edge(before: &Before, index: usize) -> Mend {
    let settles = |changed: &Roof, _: Changed| {
        let unit = changed.units.get(index);
        unit.and_then(|unit| edge(before.job, changed, unit)).is_some_and(|edge| edge.short_m <= 0.0)
    };
    moved(before, index, &[index], settles)
}

/// The shortest move of any of these units that settles it for the first: over a grid along the unit's own sides, in
/// steps of half a foot or 0.1 m along one of them and twice that along two, straight, and no farther than a
/// unit is shifted on the same place.
pub(super) fn moved(before: &Before, index: usize, movers: &[usize], settles: impl Fn(&Roof, Changed) -> bool) -> Mend {
    let step = step(before.job.units);
    let mut changed = before.roof.clone();
    // Of equal ways the unit's own comes first.
    let with_all = |way: (i32, i32)| movers.iter().map(move |mover| (way, *mover));
    let mut all: Vec<((i32, i32), usize)> = ways(before.job.units).into_iter().flat_map(with_all).collect();
    all.sort_by_key(|((x, y), mover)| (x * x + y * y, *x != 0 && *y != 0, *mover != index));
    for ((x, y), mover) in all {
        let Some(unit) = before.roof.units.get(mover) else { continue };
        let way = Place::new(f64::from(x) * step, f64::from(y) * step).turned(unit.turned_deg);
        if !is_way_clear(before.roof, mover, unit, way) {
            continue;
        }
        let put =
            |changed: &mut Roof, at: Place| changed.units.get_mut(mover).into_iter().for_each(|unit| unit.at = at);
        put(&mut changed, unit.at.plus(way));
        let change = Changed::Unit(mover);
        if settles(&changed, change) && before.nothing_worse(&changed, change) {
            let other = (mover != index).then(|| unit.name.clone());
            return Mend { moves: legs(x, y, step), other, ..Mend::default() };
        }
        put(&mut changed, unit.at);
    }
    Mend::default()
}

/// The farthest that a unit is moved: 15 ft, or 5 m. Its frame, pipework and cable follow so far; beyond that it stands
/// in another place, which wants a design of its own.
const fn farthest(system: System) -> i32 {
    match system {
        System::Ip => 30,
        System::Si => 50,
    }
}

/// All ways in steps: along one side, or along two in double steps.
fn ways(system: System) -> Vec<(i32, i32)> {
    let most = farthest(system);
    let straight = (1..=most).flat_map(|n| [(0, n), (n, 0), (0, -n), (-n, 0)]);
    let twice = (-most / 2..=most / 2).map(|n| 2 * n);
    let aslant = twice.clone().flat_map(|x| twice.clone().map(move |y| (x, y)));
    let aslant = aslant.filter(|(x, y)| *x != 0 && *y != 0 && x * x + y * y <= most * most);
    straight.chain(aslant).collect()
}

/// A way in words: so far towards these sides.
fn legs(x: i32, y: i32, step: f64) -> Vec<Leg> {
    let leg = |steps: i32, ahead: Side, back: Side| {
        let towards = if steps > 0 { ahead.name() } else { back.name() };
        (steps != 0).then(|| Leg { towards, distance_m: f64::from(steps.abs()) * step })
    };
    [leg(y, Side::North, Side::South), leg(x, Side::East, Side::West)].into_iter().flatten().collect()
}

/// Whether a unit can be moved straight there: all the ground that it sweeps is on the roof and free.
fn is_way_clear(roof: &Roof, index: usize, unit: &RoofUnit, way: Place) -> bool {
    let from = unit.corners();
    let to = from.map(|corner| corner.plus(way));
    is_clear(roof, index, &to) && is_clear(roof, index, &plane::hull(&[from, to].concat()))
}

/// By how much the unit would have to stand higher, on a frame that someone would build.
pub(super) fn raised(before: &Before, index: usize, settles: impl Fn(&Roof, Changed) -> bool) -> Option<f64> {
    // Frames to 5 ft, or 1.5 m.
    let steps = match before.job.units {
        System::Ip => 10,
        System::Si => 15,
    };
    let unit = before.roof.units.get(index)?;
    let mut changed = before.roof.clone();
    for step in (1..=steps).map(|number| f64::from(number) * step(before.job.units)) {
        let higher = changed.units.get_mut(index)?;
        (higher.height_m, higher.stands_m) = (unit.height_m + step, unit.stands_m + step);
        if is_over_another(before, index, higher.stands_m) {
            return None;
        }
        if settles(&changed, Changed::Unit(index)) && before.nothing_worse(&changed, Changed::Unit(index)) {
            return Some(step);
        }
    }
    None
}

/// Whether a unit that stands so high would stand over the top of another that is near, whose warm air it would take.
fn is_over_another(before: &Before, index: usize, stands_m: f64) -> bool {
    let Some(unit) = before.roof.units.get(index) else { return false };
    let corners = unit.corners();
    let others = before
        .roof
        .units
        .iter()
        .enumerate()
        .filter(|(number, other)| *number != index && other.height_m <= stands_m + 1e-9);
    let reach = |other: &RoofUnit| before.job.limit("clearance_pit") * unit.narrow_m().max(other.narrow_m());
    others.into_iter().any(|(_, other)| plane::apart(&corners, &other.corners()) <= reach(other))
}

/// The walls, none of them higher than that, where that settles it and leaves walls.
pub(super) fn lowered(
    before: &Before,
    walls: &[usize],
    height_m: f64,
    settles: impl Fn(&Roof, Changed) -> bool,
) -> Option<Lowered> {
    let mut changed = before.roof.clone();
    let mut names = Vec::new();
    if walls.is_empty() {
        return None;
    }
    for wall in walls {
        let wall = changed.walls.get_mut(*wall).filter(|wall| wall.height_m > height_m)?;
        if height_m < LOWERED_SHARE * wall.height_m {
            return None;
        }
        wall.height_m = height_m;
        names.push(wall.name.clone());
    }
    (settles(&changed, Changed::Walls) && before.nothing_worse(&changed, Changed::Walls))
        .then_some(Lowered { walls: names, height_m })
}

/// How finely places are given on a roof, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
