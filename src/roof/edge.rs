//! The edge of the roof: where a guard is asked for, how long it must be, and piping over walkways.

use super::moves::Mend;
use super::plan::to_edge;
use crate::job::{Job, Place, Roof, RoofUnit};
use crate::physics::plane;
use serde::Serialize;

/// A unit and the edge of the roof.
#[derive(Clone, Debug, Serialize)]
pub struct Edge {
    /// The unit.
    pub name: String,
    /// How near it comes to the edge.
    pub edge_m: f64,
    /// How far the edge lies over the ground, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drop_m: Option<f64>,
    /// The higher of the parapet and the guard.
    pub barrier_m: f64,
    /// Whether a guard is asked for there: it stands near the edge, and the edge is high. None where the height is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard_asked: Option<bool>,
    /// By how much what is there is lower than a guard; 0 where it is not, or none is asked for.
    pub short_m: f64,
    /// How long a guard would be, with what it runs past each end of the unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard_length_m: Option<f64>,
    /// How far it would have to move to need none, found by studying the changed plan. None where nothing is short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<Mend>,
}

/// Piping over a walkway.
#[derive(Clone, Debug, Serialize)]
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

/// Every unit and the edge, without mends; none where the edge is not drawn.
pub(super) fn edges(job: &Job, roof: &Roof) -> Vec<Edge> {
    roof.units.iter().filter_map(|unit| edge(job, roof, unit)).collect()
}

/// Every walkway.
pub(super) fn walkways(job: &Job, roof: &Roof) -> Vec<Walkway> {
    let asked_m = job.limit("passage_height");
    let walkway = |crossing: &crate::job::Crossing| {
        let short_m = asked_m - crossing.height_m;
        Walkway {
            name: crossing.name.clone(),
            height_m: crossing.height_m,
            asked_m,
            short_m: if short_m > 1e-6 { short_m } else { 0.0 },
        }
    };
    roof.crossings.iter().map(walkway).collect()
}

/// One unit and the edge.
pub(super) fn edge(job: &Job, roof: &Roof, unit: &RoofUnit) -> Option<Edge> {
    let edge_m = to_edge(roof, unit)?;
    // At the distance itself it stands "within" it, as the code has it, only where it is nearer.
    let near = edge_m < job.limit("guard_distance") - 1e-6;
    let barrier_m = roof.parapet_m.max(roof.guard_m);
    let high = roof.height_m.map(|drop| drop > job.limit("guard_drop") + 1e-6);
    let guard_asked = if near { high } else { Some(false) };
    let missing = job.limit("guard_height") - barrier_m;
    let short_m = if guard_asked != Some(false) && missing > 1e-6 { missing } else { 0.0 };
    Some(Edge {
        name: unit.name.clone(),
        edge_m,
        drop_m: roof.height_m,
        barrier_m,
        guard_asked,
        short_m,
        guard_length_m: (short_m > 0.0).then(|| guard_length(job, roof, unit)),
        mend: None,
    })
}

/// The length of guard along all sides of the edge that the unit stands near: what lies beside it, and a little past each
/// end. Round a corner of the roof between two such sides it goes on without a gap.
fn guard_length(job: &Job, roof: &Roof, unit: &RoofUnit) -> f64 {
    let (reach, past) = (job.limit("guard_distance"), job.limit("guard_past"));
    let corners = unit.corners();
    let sides: Vec<(Place, Place)> = plane::sides(&roof.outline).collect();
    let near = |edge: (Place, Place)| plane::sides(&corners).any(|side| plane::between(side, edge) < reach - 1e-6);
    let is_near: Vec<bool> = sides.iter().map(|edge| near(*edge)).collect();
    let count = sides.len();
    let guarded = |index: usize| is_near.get(index % count).copied().unwrap_or(false);
    let length_of = |(index, (from, to)): (usize, &(Place, Place))| {
        let along = to.minus(*from);
        let length = along.length();
        if !guarded(index) || length <= 0.0 {
            return 0.0;
        }
        let at = |corner: &Place| (corner.minus(*from).dot(along) / length).clamp(0.0, length);
        let first = corners.iter().map(at).fold(f64::INFINITY, f64::min) - past;
        let last = corners.iter().map(at).fold(f64::NEG_INFINITY, f64::max) + past;
        let first = if guarded(index + count - 1) { 0.0 } else { first.max(0.0) };
        let last = if guarded(index + 1) { length } else { last.min(length) };
        last - first
    };
    sides.iter().enumerate().map(length_of).sum()
}
