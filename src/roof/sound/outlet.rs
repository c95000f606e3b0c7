//! Where a unit's sound comes from: the middle of its outlet, divided where the listener is near.

use super::spot::Spot;
use crate::job::{Face, RoofUnit, Xy};
use crate::physics::sound::is_point;
use crate::roof::plan::faces;

/// So many parts along the longer side of an outlet at the most.
const FINEST: u32 = 24;

/// The outlet of a unit: a rectangle, lying or upright.
#[derive(Clone, Copy, Debug)]
pub(super) struct Outlet {
    corner: Spot,
    /// Along the first side.
    along: Xy,
    /// Along the second side: on the plan, and upward.
    across: (Xy, f64),
}

impl Outlet {
    /// That of a unit on a roof whose surface lies that high over the ground.
    pub(super) fn of(unit: &RoofUnit, surface_m: f64) -> Self {
        let side = unit.air_out.and_then(|side| Face::ALL.iter().position(|one| *one == side));
        match side.and_then(|index| faces(unit).get(index).copied()) {
            Some(face) => Self {
                corner: Spot { place: face.ends.0, height_m: surface_m + unit.base_height_m },
                along: face.ends.1.minus(face.ends.0),
                across: (Xy::default(), unit.height_m - unit.base_height_m),
            },
            None => Self {
                corner: Spot { place: unit.at, height_m: surface_m + unit.height_m },
                along: Xy::new(unit.length_m, 0.0).turned(unit.rotation_deg),
                across: (Xy::new(0.0, unit.width_m).turned(unit.rotation_deg), 0.0),
            },
        }
    }

    /// Its middle.
    pub(super) fn middle(&self) -> Spot {
        self.at(0.5, 0.5)
    }

    fn at(&self, along: f64, across: f64) -> Spot {
        let (plan, up) = self.across;
        Spot {
            place: self.corner.place.plus(self.along.times(along)).plus(plan.times(across)),
            height_m: self.corner.height_m + up * across,
        }
    }

    /// The middles of the fewest equal parts of which each is a point source for the listener; none where they stand too near.
    pub(super) fn parts(&self, listener: &Spot) -> Option<Vec<Spot>> {
        let (long, wide) = (self.along.length(), self.across.0.length().hypot(self.across.1));
        (1..=FINEST).find_map(|finest| {
            let part = long.max(wide) / f64::from(finest);
            let (columns, rows) = (count(long, part), count(wide, part));
            let largest = (long / f64::from(columns)).max(wide / f64::from(rows));
            let middle = |number: u32, of: u32| (f64::from(number) + 0.5) / f64::from(of);
            let spots: Vec<Spot> = (0..rows)
                .flat_map(|row| (0..columns).map(move |column| (column, row)))
                .map(|(column, row)| self.at(middle(column, columns), middle(row, rows)))
                .collect();
            spots.iter().all(|spot| is_point(largest, spot.to(listener))).then_some(spots)
        })
    }
}

/// How many parts no longer than `part` a side is divided into.
fn count(side: f64, part: f64) -> u32 {
    (1..FINEST).find(|count| side <= f64::from(*count) * part * (1.0 + 1e-9)).unwrap_or(FINEST)
}
