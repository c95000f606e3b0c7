//! The edge of the roof: where a guard is required, how long it must be, and piping over walkways.

use super::plan::to_edge;
use crate::job::{Job, Rail, Roof, RoofUnit, Xy};
use crate::physics::plane;
use crate::units::factor;
use schemars::JsonSchema;
use serde::Serialize;

/// What only rounding leaves, m.
const ROUNDING_M: f64 = 1e-6;
/// A rail or a wall no farther than that from the line of the edge runs along it, m: 1 ft.
const ALONG_M: f64 = factor::FOOT;

/// A unit and the edge of the roof.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Edge {
    /// The unit.
    pub name: String,
    /// How near it comes to the edge.
    pub edge_m: f64,
    /// How far the edge lies over the ground, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drop_m: Option<f64>,
    /// The higher of the parapet and the guard; where rails and walls along the edge take all of it, the lowest of those if that
    /// is higher.
    pub barrier_m: f64,
    /// Whether a guard is required there: it stands near the edge, and the edge is high. None where the height is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard_asked: Option<bool>,
    /// By how much what is there is lower than a guard; 0 where it is not, or none is required.
    pub short_m: f64,
    /// How long the guard is that is missing, with what it runs past each end of the unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard_length_m: Option<f64>,
    /// Whether rails or walls along the edge take a part of it.
    pub guarded_in_part: bool,
}

/// Piping over a walkway.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Walkway {
    /// Its name.
    pub name: String,
    /// Of the piping's underside over it.
    pub height_m: f64,
    /// How high it must be.
    pub asked_m: f64,
    /// By how much it is short; 0 where it is not.
    pub short_m: f64,
}

impl Edge {
    /// By how much it stands nearer to an edge without a guard than work does without protection from falls, m; 0 where it does
    /// not, or the edge is low.
    #[must_use]
    pub fn work_short_m(&self, job: &Job) -> f64 {
        let low = self.drop_m.is_some_and(|drop| drop < job.limit("work_drop") - 1e-6);
        let guarded = self.barrier_m >= job.limit("guard_height") - 1e-6;
        let short = job.limit("work_distance") - self.edge_m;
        if low || guarded || short <= 1e-6 { 0.0 } else { short }
    }
}

/// Every unit and the edge; none where the edge is not drawn.
pub(crate) fn edges(job: &Job, roof: &Roof) -> Vec<Edge> {
    roof.units.iter().filter_map(|unit| edge(job, roof, unit)).collect()
}

/// Every walkway.
pub(crate) fn walkways(job: &Job, roof: &Roof) -> Vec<Walkway> {
    let asked_m = job.limit("passage_height");
    let walkway = |crossing: &crate::job::Crossing| {
        let short_m = asked_m - crossing.height_m;
        Walkway {
            name: crossing.name.clone(),
            height_m: crossing.height_m,
            asked_m,
            short_m: if short_m > ROUNDING_M { short_m } else { 0.0 },
        }
    };
    roof.crossings.iter().map(walkway).collect()
}

/// One unit and the edge.
pub(crate) fn edge(job: &Job, roof: &Roof, unit: &RoofUnit) -> Option<Edge> {
    let edge_m = to_edge(roof, unit)?;
    // At the distance itself it still stands within it, as the code has it.
    let near = edge_m <= job.limit("guard_distance") + ROUNDING_M;
    let high = roof.height_m.map(|drop| drop > job.limit("guard_drop") + ROUNDING_M);
    let guard_asked = if near { high } else { Some(false) };
    let height = job.limit("guard_height");
    let mut barrier_m = roof.parapet_m.max(roof.guard_m);
    let (mut short_m, mut guard_length_m, mut guarded_in_part) = (0.0, None, false);
    if guard_asked != Some(false) && height - barrier_m > ROUNDING_M {
        let guards = guards(roof, height, job.limit("screen_open"));
        let stretches = stretches(job, roof, unit);
        let open: f64 = stretches.iter().flat_map(|stretch| stretch.open(&guards)).map(|(from, to)| to - from).sum();
        let whole: f64 = stretches.iter().map(|stretch| stretch.last_m - stretch.first_m).sum();
        if open > ROUNDING_M {
            (short_m, guard_length_m) = (height - barrier_m, Some(open));
            guarded_in_part = open < whole - ROUNDING_M;
        } else {
            let along = guards.iter().filter(|guard| stretches.iter().any(|stretch| stretch.taken(guard).is_some()));
            barrier_m = along.map(|guard| guard.height_m).reduce(f64::min).unwrap_or(height);
        }
    }
    let (name, drop_m) = (unit.name.clone(), roof.height_m);
    Some(Edge { name, edge_m, drop_m, barrier_m, guard_asked, short_m, guard_length_m, guarded_in_part })
}

/// Where rails are missing along the edge that a unit stands near.
pub(crate) fn missing(job: &Job, roof: &Roof, unit: &RoofUnit) -> Vec<Rail> {
    let height_m = job.limit("guard_height");
    let guards = guards(roof, height_m, job.limit("screen_open"));
    let rails = |stretch: &Stretch| {
        let rail = |(from, to)| Rail { from: stretch.at(from), to: stretch.at(to), height_m };
        stretch.open(&guards).into_iter().map(rail).collect::<Vec<_>>()
    };
    stretches(job, roof, unit).iter().flat_map(rails).collect()
}

/// Why a rail guards nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Idle {
    /// It runs along no side of the roof's edge.
    OffTheEdge,
    /// It is lower than a guard.
    Low,
}

/// The rails that guard nothing, by their number from 0.
#[must_use]
pub fn idle_rails(job: &Job, roof: &Roof) -> Vec<(usize, Idle)> {
    let along = |rail: &Rail| {
        plane::sides(&roof.outline).any(|side| {
            let last = side.1.minus(side.0).length();
            Stretch { side, first_m: 0.0, last_m: last }.taken(rail).is_some()
        })
    };
    let low = |rail: &Rail| rail.height_m < job.limit("guard_height") - ROUNDING_M;
    let rails = roof.rails.iter().enumerate();
    let why = |rail: &Rail| if along(rail) { low(rail).then_some(Idle::Low) } else { Some(Idle::OffTheEdge) };
    rails.filter_map(|(number, rail)| Some((number, why(rail)?))).collect()
}

/// What is high enough to stand for a guard: rails, and walls that are not mostly open.
fn guards(roof: &Roof, height: f64, open: f64) -> Vec<Rail> {
    let walls = roof.walls.iter().filter(|wall| wall.open < open);
    let walls = walls.map(|wall| Rail { from: wall.from, to: wall.to, height_m: wall.height_m });
    let high = |guard: &Rail| guard.height_m >= height - ROUNDING_M;
    roof.rails.iter().copied().chain(walls).filter(high).collect()
}

/// The stretch of a side of the edge that requires a guard.
struct Stretch {
    side: (Xy, Xy),
    /// How far along the side it begins, m.
    first_m: f64,
    /// How far along it ends, m.
    last_m: f64,
}

impl Stretch {
    /// From where to where a guard takes its side, m; none where it does not run along it.
    fn taken(&self, guard: &Rail) -> Option<(f64, f64)> {
        let way = self.side.1.minus(self.side.0);
        let length = way.length();
        let unit = way.times(1.0 / length);
        let beside = |end: Xy| unit.cross(end.minus(self.side.0)).abs() <= ALONG_M + ROUNDING_M;
        if !beside(guard.from) || !beside(guard.to) {
            return None;
        }
        // A guard that begins a little way in from the corner meets the one along the next side.
        let at = |end: Xy| match unit.dot(end.minus(self.side.0)) {
            at if at <= ALONG_M => 0.0,
            at if at >= length - ALONG_M => length,
            at => at,
        };
        let (one, other) = (at(guard.from), at(guard.to));
        Some((one.min(other), one.max(other))).filter(|(from, to)| to > from)
    }

    /// What of it no guard takes: from where to where along its side, m.
    fn open(&self, guards: &[Rail]) -> Vec<(f64, f64)> {
        let mut taken: Vec<(f64, f64)> = guards.iter().filter_map(|guard| self.taken(guard)).collect();
        taken.push((self.last_m, self.last_m));
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut at = self.first_m;
        let gap = |(from, to): (f64, f64)| {
            let gap = (at, from.min(self.last_m));
            at = at.max(to);
            gap
        };
        taken.into_iter().map(gap).filter(|(from, to)| to - from > ROUNDING_M).collect()
    }

    /// The place so far along its side.
    fn at(&self, along: f64) -> Xy {
        let way = self.side.1.minus(self.side.0);
        self.side.0.plus(way.times(along / way.length()))
    }
}

/// The stretches of all sides of the edge that the unit stands near: what lies beside it, and a little past each end. Round a
/// corner of the roof between two such sides they go on without a gap.
fn stretches(job: &Job, roof: &Roof, unit: &RoofUnit) -> Vec<Stretch> {
    let (reach, past) = (job.limit("guard_distance"), job.limit("guard_past"));
    let corners = unit.corners();
    let sides: Vec<(Xy, Xy)> = plane::sides(&roof.outline).collect();
    let near = |edge: (Xy, Xy)| plane::sides(&corners).any(|side| plane::between(side, edge) <= reach + ROUNDING_M);
    let is_near: Vec<bool> = sides.iter().map(|edge| near(*edge)).collect();
    let count = sides.len();
    let guarded = |index: usize| is_near.get(index % count).copied().unwrap_or(false);
    let stretch = |(index, side): (usize, &(Xy, Xy))| {
        let (from, to) = *side;
        let along = to.minus(from);
        let length = along.length();
        if !guarded(index) || length <= 0.0 {
            return None;
        }
        let at = |corner: &Xy| (corner.minus(from).dot(along) / length).clamp(0.0, length);
        let first = corners.iter().map(at).fold(f64::INFINITY, f64::min) - past;
        let last = corners.iter().map(at).fold(f64::NEG_INFINITY, f64::max) + past;
        let first = if guarded(index + count - 1) { 0.0 } else { first.max(0.0) };
        let last = if guarded(index + 1) { length } else { last.min(length) };
        Some(Stretch { side: *side, first_m: first, last_m: last })
    };
    sides.iter().enumerate().filter_map(stretch).collect()
}
