//! The geometry of the plan: the faces of a unit, what stands before them, and whether a plan can stand at all.

use crate::job::{Place, Roof, RoofUnit, Side};
use crate::physics::plane::{self, length_within, to_sides, way_out, within};

/// Less than this is how finely lengths are typed, m.
pub(super) const SLACK_M: f64 = 2e-3;

/// A face of a unit. It looks to the right of the way from its first end to its second.
#[derive(Clone, Copy, Debug)]
pub(super) struct Face {
    /// The unit's own name for it.
    pub side: Side,
    /// Its ends.
    pub ends: (Place, Place),
    /// Which way it looks, of length 1.
    pub outward: Place,
}

/// The faces of a unit, in the order of `Side::ALL`.
pub(super) fn faces(unit: &RoofUnit) -> [Face; 4] {
    let [south_west, south_east, north_east, north_west] = unit.corners();
    Side::ALL.map(|side| {
        let (ends, outward) = match side {
            Side::North => ((north_east, north_west), Place::new(0.0, 1.0)),
            Side::East => ((south_east, north_east), Place::new(1.0, 0.0)),
            Side::South => ((south_west, south_east), Place::new(0.0, -1.0)),
            Side::West => ((north_west, south_west), Place::new(-1.0, 0.0)),
        };
        Face { side, ends, outward: outward.turned(unit.turned_deg) }
    })
}

/// The compass bearing of a direction on the plan, degrees from 0 to below 360.
pub(super) fn bearing_deg(roof: &Roof, direction: Place) -> f64 {
    let bearing = (direction.x_m.atan2(direction.y_m).to_degrees() + roof.north_deg).rem_euclid(360.0);
    // What rounding makes of due north.
    if bearing >= 360.0 - 1e-9 { 0.0 } else { bearing }
}

/// What an obstacle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    /// The unit of that index.
    Unit(usize),
    /// The wall of that index.
    Wall(usize),
    /// The parapet along the edge.
    Parapet,
}

/// What stands on the roof and may stand before a face.
#[derive(Clone, Debug)]
pub(super) struct Obstacle {
    /// What it is.
    pub what: What,
    /// Its stretches on the plan.
    pub stretches: Vec<(Place, Place)>,
    /// Of its top over the roof, m.
    pub top_m: f64,
    /// Of its underside, m.
    pub bottom_m: f64,
    /// Share of its face that is open.
    pub open: f64,
}

/// All that stands on the roof: units, walls, and the parapet where there is one.
pub(super) fn obstacles(roof: &Roof) -> Vec<Obstacle> {
    let units = roof.units.iter().enumerate().map(|(index, unit)| Obstacle {
        what: What::Unit(index),
        stretches: plane::sides(&unit.corners()).collect(),
        top_m: unit.height_m,
        bottom_m: unit.stands_m,
        open: 0.0,
    });
    let walls = roof.walls.iter().enumerate().map(|(index, wall)| Obstacle {
        what: What::Wall(index),
        stretches: vec![(wall.from, wall.to)],
        top_m: wall.height_m,
        bottom_m: 0.0,
        open: wall.open,
    });
    let parapet = (roof.parapet_m > 0.0 && !roof.outline.is_empty()).then(|| Obstacle {
        what: What::Parapet,
        stretches: plane::sides(&roof.outline).collect(),
        top_m: roof.parapet_m,
        bottom_m: 0.0,
        open: 0.0,
    });
    units.chain(walls).chain(parapet).collect()
}

impl Obstacle {
    /// How far ahead of a face it is at its nearest, within the breadth of the face, m.
    pub(super) fn ahead(&self, face: &Face) -> Option<f64> {
        let ahead = |stretch: &(Place, Place)| plane::ahead(face.ends, *stretch, SLACK_M);
        self.stretches.iter().filter_map(ahead).reduce(f64::min)
    }

    /// Its name in a sentence.
    pub(super) fn name(&self, roof: &Roof) -> String {
        match self.what {
            What::Unit(index) => roof.units.get(index).map_or_else(String::new, |unit| unit.name.clone()),
            What::Wall(index) => {
                roof.walls.get(index).map_or_else(String::new, |wall| format!("the wall {}", wall.name))
            }
            What::Parapet => "the parapet".to_owned(),
        }
    }
}

/// How near a unit comes to the edge of the roof, m; none where the edge is not drawn.
pub(super) fn to_edge(roof: &Roof, unit: &RoofUnit) -> Option<f64> {
    let corners = unit.corners();
    plane::sides(&roof.outline)
        .map(|edge| plane::sides(&corners).map(|side| plane::between(side, edge)).fold(f64::INFINITY, f64::min))
        .reduce(f64::min)
}

/// Whether a unit can stand where it is drawn: on the roof, in no other unit, wall or source of warm air.
pub(super) fn stands_free(roof: &Roof, index: usize) -> bool {
    let Some(unit) = roof.units.get(index) else { return false };
    let corners = unit.corners();
    let others = roof.units.iter().enumerate().filter(|(other, _)| *other != index);
    let on_the_roof = roof.outline.is_empty()
        || (corners.iter().all(|c| within(&roof.outline, *c) || to_sides(&roof.outline, *c) <= SLACK_M)
            && plane::sides(&roof.outline).all(|edge| length_within(&corners, edge, SLACK_M) <= SLACK_M));
    on_the_roof
        && others.into_iter().all(|(_, other)| way_out(&other.corners(), &corners, SLACK_M).is_none())
        && roof.walls.iter().all(|wall| length_within(&corners, (wall.from, wall.to), SLACK_M) <= SLACK_M)
        && roof.heats.iter().all(|heat| !within(&corners, heat.at))
}
