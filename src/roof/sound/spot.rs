//! Where a sound starts, passes or is heard, and what may stand between.

use crate::job::Xy;

/// Walls that come as near to each other as this are joined, m.
pub(crate) const JOINED_M: f64 = 0.05;

/// A spot in space: a place on the plan and its height over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    /// On the plan.
    pub place: Xy,
    /// Over the ground, m.
    pub height_m: f64,
}

impl Spot {
    /// How far it is from another, m.
    pub(super) fn to(&self, other: &Spot) -> f64 {
        self.place.minus(other.place).length().hypot(self.height_m - other.height_m)
    }
}

/// What may stand between.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Screen {
    /// The wall of that index.
    Wall(usize),
    /// The edge of the roof, with its parapet.
    Edge,
}
