//! The geometry of the plan: the faces of a unit, what stands before them, and whether a plan can stand at all.

use crate::job::{Face, HeatSource, Roof, RoofUnit, Wall, Xy};
use crate::physics::plane::{self, length_within, to_sides, way_out, within};

pub(crate) use crate::physics::plane::SLACK_M;

/// A face of a unit. It looks to the right of the way from its first end to its second.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frontage {
    /// The unit's own name for it.
    pub side: Face,
    /// Its ends.
    pub ends: (Xy, Xy),
    /// Which way it looks, of length 1.
    pub outward: Xy,
}

/// The faces of a unit, in the order of `Face::ALL`.
pub(crate) fn faces(unit: &RoofUnit) -> [Frontage; 4] {
    let [south_west, south_east, north_east, north_west] = unit.corners();
    Face::ALL.map(|side| {
        let (ends, outward) = match side {
            Face::North => ((north_east, north_west), Xy::new(0.0, 1.0)),
            Face::East => ((south_east, north_east), Xy::new(1.0, 0.0)),
            Face::South => ((south_west, south_east), Xy::new(0.0, -1.0)),
            Face::West => ((north_west, south_west), Xy::new(-1.0, 0.0)),
        };
        Frontage { side, ends, outward: outward.turned(unit.rotation_deg) }
    })
}

/// The compass bearing of a direction on the plan, degrees from 0 to below 360.
pub(crate) fn bearing_deg(roof: &Roof, direction: Xy) -> f64 {
    let bearing = (direction.x_m.atan2(direction.y_m).to_degrees() + roof.north_deg).rem_euclid(360.0);
    // What rounding makes of due north.
    if bearing >= 360.0 - 1e-9 { 0.0 } else { bearing }
}

/// What an obstacle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// The unit of that index.
    Unit(usize),
    /// The wall of that index.
    Wall(usize),
    /// The parapet along the edge.
    Parapet,
}

/// What stands on the roof and may stand before a face.
#[derive(Clone, Debug)]
pub(crate) struct Obstacle {
    /// What it is.
    pub what: What,
    /// Its stretches on the plan.
    pub stretches: Vec<(Xy, Xy)>,
    /// Of its top over the roof, m.
    pub top_m: f64,
    /// Of its underside, m.
    pub bottom_m: f64,
    /// Share of its face that is open.
    pub open: f64,
}

/// All that stands on the roof: units, walls, and the parapet where there is one.
pub(crate) fn obstacles(roof: &Roof) -> Vec<Obstacle> {
    let units = roof.units.iter().enumerate().map(|(index, unit)| Obstacle {
        what: What::Unit(index),
        stretches: plane::sides(&unit.corners()).collect(),
        top_m: unit.height_m,
        bottom_m: unit.base_height_m,
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
    pub(crate) fn ahead(&self, face: &Frontage) -> Option<f64> {
        let ahead = |stretch: &(Xy, Xy)| plane::ahead(face.ends, *stretch, SLACK_M);
        self.stretches.iter().filter_map(ahead).reduce(f64::min)
    }

    /// Its name in a sentence.
    pub(crate) fn name(&self, roof: &Roof) -> String {
        match self.what {
            What::Unit(index) => roof.units.get(index).map_or_else(String::new, |unit| unit.name.clone()),
            What::Wall(index) => roof.walls.get(index).map_or_else(String::new, Wall::in_a_sentence),
            What::Parapet => "the parapet".to_owned(),
        }
    }
}

/// How near a unit comes to the edge of the roof, m; none where the edge is not drawn.
pub(crate) fn to_edge(roof: &Roof, unit: &RoofUnit) -> Option<f64> {
    let corners = unit.corners();
    plane::sides(&roof.outline)
        .map(|edge| plane::sides(&corners).map(|side| plane::between(side, edge)).fold(f64::INFINITY, f64::min))
        .reduce(f64::min)
}

/// Velocity in the outlet of another source where none is given, for its size alone: 1000 fpm, m/s.
const OUTLET_M_S: f64 = 5.08;

/// The radius of the outlet of another source of warm air, m.
fn radius(heat: &HeatSource) -> f64 {
    let velocity = heat.outlet_m_s.filter(|velocity| *velocity > 0.0).unwrap_or(OUTLET_M_S);
    (heat.air_flow_m3_s / velocity / std::f64::consts::PI).sqrt()
}

/// Whether that ground, convex and its corners counter-clockwise, is free for a unit: on the roof, in no other unit,
/// wall or outlet of warm air. An outlet that the unit overlaps as it stands bars only its middle.
pub(crate) fn is_clear(roof: &Roof, index: usize, ground: &[Xy]) -> bool {
    let others = roof.units.iter().enumerate().filter(|(other, _)| *other != index);
    let on_the_roof = roof.outline.is_empty()
        || (ground.iter().all(|c| within(&roof.outline, *c) || to_sides(&roof.outline, *c) <= SLACK_M)
            && plane::sides(&roof.outline).all(|edge| length_within(ground, edge, SLACK_M) <= SLACK_M));
    let stands = roof.units.get(index).map(RoofUnit::corners);
    let bars = |heat: &HeatSource| {
        let clear = |ground: &[Xy]| !within(ground, heat.at) && to_sides(ground, heat.at) >= radius(heat) - SLACK_M;
        if stands.is_none_or(|stands| clear(&stands)) { !clear(ground) } else { within(ground, heat.at) }
    };
    on_the_roof
        && others.into_iter().all(|(_, other)| way_out(&other.corners(), ground, SLACK_M).is_none())
        && roof.walls.iter().all(|wall| length_within(ground, (wall.from, wall.to), SLACK_M) <= SLACK_M)
        && !roof.heats.iter().any(bars)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::clearance::clearances;
    use crate::roof::edge::edges;
    use crate::roof::testing::{FOOT, another, feet, mirrored, planned, turned, wall};
    use proptest::prelude::*;

    /// A roof with a wall, a second unit and a parapet, everything off the middle.
    fn crowded(roof: &mut Roof) {
        roof.units.push(another(roof, "C2", (3.0, 16.0)));
        roof.units.push(another(roof, "C3", (-26.0, 2.0)));
        roof.walls.push(wall("stair head", (85.0, 40.0), (130.0, 43.0), 10.0));
        roof.parapet_m = 4.0 * FOOT;
    }

    #[test]
    fn faces_look_outward_and_to_their_bearings() {
        let job = planned(|roof| roof.north_deg = 15.0);
        let roof = job.roof.unwrap();
        let bearings = |unit: &RoofUnit| faces(unit).map(|face| format!("{:.3}", bearing_deg(&roof, face.outward)));
        let mut unit = roof.units[0].clone();
        assert_eq!(bearings(&unit), ["15.000", "105.000", "195.000", "285.000"]);
        unit.rotation_deg = 90.0;
        assert_eq!(bearings(&unit), ["285.000", "15.000", "105.000", "195.000"]);
        for face in faces(&unit) {
            let (from, to) = face.ends;
            let middle = from.plus(to).times(0.5);
            assert!(!within(&unit.corners(), middle.plus(face.outward.times(0.1))), "{face:?}");
            assert!(within(&unit.corners(), middle.plus(face.outward.times(-0.1))), "{face:?}");
        }
    }

    #[test]
    fn ground_is_free_only_on_the_roof_and_in_nothing() {
        let free = |change: fn(&mut Roof)| {
            let roof = planned(change).roof.unwrap();
            is_clear(&roof, 0, &roof.units[0].corners())
        };
        assert!(free(|_| {}) && free(crowded));
        assert!(free(|roof| roof.units[0].at = feet(0.0, 0.0)), "flush with the corner");
        assert!(!free(|roof| roof.units[0].at = feet(-1.0, 0.0)), "over the edge");
        assert!(!free(|roof| roof.units.push(another(roof, "C2", (19.0, 7.0)))), "in another");
        assert!(free(|roof| roof.units.push(another(roof, "C2", (20.0, 7.5)))), "corner to corner");
        // 6 m3/s at 2 m/s take 3 m2, a circle of 0.977 m or 3.21 ft about its middle.
        let exhaust = |y: f64| {
            let name = "exhaust".to_owned();
            let at = feet(100.0, y);
            HeatSource { name, at, height_m: 1.0, air_flow_m3_s: 6.0, temperature_rise_K: 9.0, outlet_m_s: Some(2.0) }
        };
        let beside = |y: f64| {
            let mut roof = planned(|_| {}).roof.unwrap();
            let ground = roof.units[0].corners();
            roof.units[0].at = feet(10.0, 45.0);
            roof.heats.push(exhaust(y));
            is_clear(&roof, 0, &ground)
        };
        assert!(beside(41.7) && !beside(41.9) && !beside(48.0));
        assert!(!free(|roof| roof.walls.push(wall("w", (80.0, 50.0), (120.0, 50.0), 3.0))), "on a wall");
        // A notch in the edge that lies between its corners.
        let notched: fn(&mut Roof) = |roof| {
            let notch = [(95.0, 0.0), (95.0, 47.0), (97.0, 47.0), (97.0, 0.0)].map(|(x, y)| feet(x, y));
            roof.outline.splice(1..1, notch);
        };
        assert!(!free(notched));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// The whole plan turned and shifted, its north with it: the same room, the same bearings, the same guards.
        #[test]
        fn a_turn_of_the_whole_plan_changes_nothing(degrees in -180.0..180.0, x in -90.0..90.0, y in -90.0..90.0) {
            let before = planned(crowded);
            let after = planned(|roof| {
                crowded(roof);
                turned(roof, degrees, Xy::new(x, y));
                // Counter-clockwise on the plan is against the compass.
                roof.north_deg += degrees;
            });
            let (one, other) = (before.roof.as_ref().unwrap(), after.roof.as_ref().unwrap());
            let near = |a: Option<f64>, b: Option<f64>| a.is_none() && b.is_none() || (a.unwrap() - b.unwrap()).abs() < 1e-6;
            for (a, b) in clearances(&before, one).iter().zip(&clearances(&after, other)) {
                for (a, b) in a.faces.iter().zip(&b.faces) {
                    prop_assert!(near(a.free_m, b.free_m) && a.obstacle == b.obstacle && a.asks == b.asks, "{a:?} {b:?}");
                    let off = (a.bearing_deg - b.bearing_deg).rem_euclid(360.0);
                    prop_assert!(off.min(360.0 - off) < 1e-6, "{a:?} {b:?}");
                }
            }
            for (a, b) in edges(&before, one).iter().zip(&edges(&after, other)) {
                prop_assert!((a.edge_m - b.edge_m).abs() < 1e-6 && a.guard_asked == b.guard_asked);
            }
        }

        /// The whole plan mirrored at its y axis: east and west change places, and nothing else.
        #[test]
        fn a_mirrored_plan_has_the_same_room(x in 0.0..60.0, y in 2.0..60.0, degrees in -89.0..89.0) {
            let place = move |roof: &mut Roof| {
                crowded(roof);
                let other = &mut roof.units[1];
                (other.at, other.rotation_deg) = (feet(120.0 + x, y), degrees);
            };
            let before = planned(place);
            let after = planned(|roof| {
                place(roof);
                mirrored(roof);
            });
            let (one, other) = (before.roof.as_ref().unwrap(), after.roof.as_ref().unwrap());
            let (standing, twins) = (obstacles(one), obstacles(other));
            for (unit, twin) in one.units.iter().zip(&other.units) {
                let (here, there) = (faces(unit), faces(twin));
                for (face, same) in [(0, 0), (1, 3), (2, 2), (3, 1)] {
                    for (a, b) in standing.iter().zip(&twins) {
                        match (a.ahead(&here[face]), b.ahead(&there[same])) {
                            (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-6),
                            (a, b) => prop_assert!(a.is_none() && b.is_none(), "{a:?} {b:?}"),
                        }
                    }
                }
            }
        }
    }
}
