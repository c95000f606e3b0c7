//! The space in front of a unit's controls: how deep it is, and how deep it must be by what stands opposite.

use super::{Around, looks_back, short};
use crate::job::{Face, Xy};
use crate::physics::plane;
use crate::roof::plan::{Frontage, Obstacle, SLACK_M, What, faces};
use schemars::JsonSchema;
use serde::Serialize;

/// Up to so many volts to ground the depth before live parts is the same whatever stands opposite.
///
/// Source: `nec-110-26`.
const LOW_VOLTS: f64 = 150.0;

/// What stands opposite the controls, as the electrical code sorts it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Opposite {
    /// Neither live nor grounded parts: condition 1.
    Nothing,
    /// A wall, a parapet or the casing of another unit, all taken as grounded: condition 2.
    Grounded,
    /// The side at which another unit's controls are worked on, with live parts: condition 3.
    Live,
    /// A unit of which the side of the controls is not given: taken as condition 3.
    Unknown,
}

/// The space in front of the controls.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Working {
    /// The side of the controls.
    pub side: &'static str,
    /// What bounds it, the one that falls shortest of its depth; none where nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub obstacle: Option<String>,
    /// What that is to the electrical code.
    pub opposite: Opposite,
    /// How deep it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_m: Option<f64>,
    /// How deep it must be.
    pub asked_m: f64,
    /// The limit that requires so much: of the electrical code, by what stands opposite, or of the mechanical code.
    pub asked_by: &'static str,
    /// By how much it is short; 0 where it is not.
    pub short_m: f64,
}

impl Around<'_> {
    /// The space in front of the controls, over the breadth of their side and no less than a person's: of all that stands
    /// there, what falls shortest of the depth that is asked before it.
    pub(super) fn working(&self, faces: &[Frontage], side: Face) -> Option<Working> {
        let face = faces.iter().find(|face| face.side == side)?;
        let space = widened(face, self.job.limit("working_space"));
        let standing = self.standing.iter().filter(|o| o.what != What::Unit(self.index)).filter_map(|obstacle| {
            Some((obstacle.name(self.roof), obstacle.ahead(&space)?, self.opposite(&space, obstacle)))
        });
        // Where the roof ends there is no floor, parapet or none.
        let ends = plane::sides(&self.roof.outline)
            .filter(|_| self.roof.parapet_m <= 0.0)
            .filter_map(|edge| plane::ahead(space.ends, edge, SLACK_M))
            .map(|free| ("the edge of the roof".to_owned(), free, Opposite::Nothing));
        let missing = |(_, free, opposite): &(String, f64, Opposite)| self.depth(*opposite).0 - free;
        let worst = standing.chain(ends).max_by(|a, b| missing(a).total_cmp(&missing(b)));
        let (obstacle, free_m, opposite) = match worst {
            Some((obstacle, free, opposite)) => (Some(obstacle), Some(free), opposite),
            None => (None, None, Opposite::Nothing),
        };
        let (asked_m, asked_by) = self.depth(opposite);
        let short_m = free_m.map_or(0.0, |free| short(asked_m, free));
        Some(Working { side: side.name(), obstacle, opposite, free_m, asked_m, asked_by, short_m })
    }

    /// What an obstacle before the controls is to the electrical code.
    fn opposite(&self, space: &Frontage, obstacle: &Obstacle) -> Opposite {
        let What::Unit(index) = obstacle.what else { return Opposite::Grounded };
        let Some(other) = self.roof.units.get(index) else { return Opposite::Grounded };
        let live = |theirs: &Frontage| Some(theirs.side) == other.controls && looks_back(space, theirs);
        match other.controls {
            None => Opposite::Unknown,
            Some(_) if faces(other).iter().any(live) => Opposite::Live,
            Some(_) => Opposite::Grounded,
        }
    }

    /// How deep the space in front of the controls must be, m, and the limit that requires so much: Table 110.26(A)(1), or
    /// the mechanical code where that requires more. Up to 150 V to ground what stands opposite makes no difference.
    ///
    /// Source: `nec-110-26`, `imc-306`.
    fn depth(&self, opposite: Opposite) -> (f64, &'static str) {
        let asked: &[&'static str] = match opposite {
            _ if self.roof.volts_to_ground <= LOW_VOLTS => &[],
            Opposite::Nothing => &[],
            Opposite::Grounded => &["electrical_depth_grounded"],
            Opposite::Live | Opposite::Unknown => &["electrical_depth_grounded", "electrical_depth_live"],
        };
        let maximum = (0.0, "");
        ["working_space", "electrical_depth"].iter().chain(asked).fold(maximum, |maximum, key| {
            let asked_m = self.job.limit(key);
            if asked_m >= maximum.0 { (asked_m, *key) } else { maximum }
        })
    }
}

/// A face as broad as that at least, about its own middle.
fn widened(face: &Frontage, breadth_m: f64) -> Frontage {
    let (from, to) = face.ends;
    let along = to.minus(from);
    let length = along.length();
    if length >= breadth_m || length <= 0.0 {
        return *face;
    }
    let more: Xy = along.times((breadth_m - length) / 2.0 / length);
    Frontage { ends: (from.minus(more), to.plus(more)), ..*face }
}
