//! Outlets of warm air and intakes: where they are, what they blow, and how much of the one reaches the other.

use super::plan::{Frontage, Obstacle, What, faces};
use crate::job::{FAN_DISCS, Face, Job, Roof, RoofUnit, Xy};
use crate::physics::atmosphere::{air_density, air_rise};
use crate::physics::{plane, separation};
use crate::survey::PointId;
use crate::survey::Survey;
use crate::units::factor::FOOT;
use crate::units::{Pressure, Temperature};

/// Within this angle of the line to an intake an outlet blows at it, degrees.
const AT_IT_DEG: f64 = 45.0;
/// Least dilution factor that the formula is good for: as much outdoor air as warm air. Less is taken as this, and
/// told.
const MINIMUM_DILUTION: f64 = 1.0;
/// Of the four sides in order of how far they are closed, the one that says how much of an outlet at the top is caught: two
/// closed sides are a corner or a passage, which the air leaves; a third makes a court of it.
const THIRD: usize = 2;
/// Where so much of an outlet is caught, what is caught decides.
pub(crate) const MOST: f64 = 0.5;
/// So much higher than the top something closes a side, m: 4 ft.
const CLOSES_M: f64 = 4.0 * FOOT;

/// An outlet of warm air.
#[derive(Clone, Debug)]
pub(crate) struct Outlet {
    /// The unit that it belongs to; else another source.
    pub unit: Option<usize>,
    pub name: String,
    /// Its rim on the plan, and its height over the roof, m.
    pub rim: Vec<(Xy, Xy)>,
    pub height_m: f64,
    pub middle: Xy,
    /// The way it blows along the plan; none where it blows up.
    pub blows: Option<Xy>,
    /// Air flow, m3/s.
    pub flow_m3_s: f64,
    /// How much warmer it leaves than it was drawn, K.
    pub warmer_K: f64,
    /// Velocity, m/s.
    pub velocity_m_s: f64,
    /// How much of it is caught between higher things, so that the air does not get away, 0 to 1.
    pub caught: f64,
}

/// An intake: the middle of a face, its height, and its share of the unit's air.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Intake {
    at: Xy,
    height_m: f64,
    pub share: f64,
}

/// The air flow of a unit, m3/s: its own, or that of its coils where all of them are known.
pub(crate) fn air_flow(job: &Job, unit: &RoofUnit) -> Option<f64> {
    let of_coils = || {
        unit.circuits
            .iter()
            .map(|(index, count)| Some(job.circuits.get(*index)?.condenser.air_flow?.value * f64::from(*count)))
            .sum::<Option<f64>>()
    };
    unit.air_flow_m3_s.or_else(of_coils).filter(|flow| *flow > 0.0)
}

/// The heat that a unit rejects on the design day, W, where all of its circuits have that point.
pub(crate) fn heat(survey: &Survey, unit: &RoofUnit) -> Option<f64> {
    let of = |(index, count): &(usize, u32)| {
        let point = survey.circuits.get(*index)?.point(PointId::SummerFull)?;
        Some(point.rejection_W * f64::from(*count))
    };
    unit.circuits.iter().map(of).sum::<Option<f64>>().filter(|heat| *heat > 0.0)
}

/// The outlet of a unit, where its heat and its air are known.
pub(crate) fn outlet(job: &Job, roof: &Roof, survey: &Survey, standing: &[Obstacle], index: usize) -> Option<Outlet> {
    let unit = roof.units.get(index)?;
    let (flow, heat) = (air_flow(job, unit)?, heat(survey, unit)?);
    let site = &job.site;
    let density =
        air_density(Pressure::from_pascals(site.atmosphere.pascals()), Temperature::from_kelvin(site.summer.kelvin()))
            .value;
    let area = match unit.air_out {
        None => FAN_DISCS * unit.length_m * unit.width_m,
        Some(Face::North | Face::South) => FAN_DISCS * unit.length_m * (unit.height_m - unit.base_height_m),
        Some(Face::East | Face::West) => FAN_DISCS * unit.width_m * (unit.height_m - unit.base_height_m),
    };
    let mut outlet = Outlet {
        unit: Some(index),
        name: unit.name.clone(),
        middle: Xy::default(),
        rim: Vec::new(),
        height_m: 0.0,
        blows: None,
        flow_m3_s: flow,
        warmer_K: air_rise(heat, density * flow),
        velocity_m_s: unit.outlet_m_s.unwrap_or(flow / area),
        caught: caught(job, roof, standing, index),
    };
    outlet.place(unit);
    Some(outlet)
}

/// How much of an outlet at the top is caught, 0 to 1: as much as its third side is closed.
pub(crate) fn caught(job: &Job, roof: &Roof, standing: &[Obstacle], index: usize) -> f64 {
    let Some(unit) = roof.units.get(index).filter(|unit| unit.air_out.is_none()) else { return 0.0 };
    let closed = |face: &Frontage| {
        let closes = catching(job, roof, standing, index, face).map(|(_, closes)| closes);
        closes.fold(0.0, f64::max)
    };
    let mut sides = faces(unit).each_ref().map(closed);
    sides.sort_by(|a, b| b.total_cmp(a));
    sides.get(THIRD).copied().unwrap_or(0.0)
}

/// What stands higher than the top of a unit before a face of it, and how much it closes that side, up to 1: walls, screens
/// that are not open, the parapet or other units. All of it as near as a wall may stand to an intake, nothing as far as
/// the wall of a pit must; all of it 4 ft over the top, nothing level with it.
pub(crate) fn catching<'a>(
    job: &'a Job,
    roof: &'a Roof,
    standing: &'a [Obstacle],
    index: usize,
    face: &'a Frontage,
) -> impl Iterator<Item = (&'a Obstacle, f64)> {
    let (top, wide) = roof.units.get(index).map_or((f64::INFINITY, 0.0), |unit| (unit.height_m, unit.narrow_m()));
    let (near, far) = (job.limit("clearance_wall") * wide, job.limit("clearance_pit") * wide);
    let open = job.limit("screen_open");
    let others = standing.iter().filter(move |o| o.what != What::Unit(index));
    let closes = move |o: &Obstacle| {
        let off = o.ahead(face)?;
        let share = |part: f64, whole: f64| if whole > 0.0 { (part / whole).clamp(0.0, 1.0) } else { 1.0 };
        let reach = if off <= near { 1.0 } else { share(far - off, far - near) };
        Some(share(o.top_m - top, CLOSES_M) * reach * share(open - o.open, open))
    };
    others.filter_map(move |o| closes(o).filter(|closes| *closes > 0.0).map(|closes| (o, closes)))
}

/// The middle of the ends of stretches.
pub(crate) fn middle(rim: &[(Xy, Xy)]) -> Xy {
    let sum = rim.iter().fold(Xy::default(), |sum, (from, to)| sum.plus(*from).plus(*to));
    #[expect(clippy::cast_precision_loss, reason = "a handful of sides")]
    let count = (2 * rim.len()).max(1) as f64;
    sum.times(1.0 / count)
}

/// Where a unit draws its air: the middle of each intake side, by the area of the sides.
pub(crate) fn intakes(unit: &RoofUnit) -> Vec<Intake> {
    let tall = unit.height_m - unit.base_height_m;
    let mut intakes: Vec<Intake> = faces(unit)
        .into_iter()
        .filter(|face| unit.air_in.contains(&face.side))
        .map(|face| Intake {
            at: face.ends.0.plus(face.ends.1).times(0.5),
            height_m: unit.base_height_m + tall / 2.0,
            share: face.ends.1.minus(face.ends.0).length() * tall,
        })
        .collect();
    if unit.air_in_below {
        let sides: Vec<(Xy, Xy)> = plane::sides(&unit.corners()).collect();
        intakes.push(Intake { at: middle(&sides), height_m: unit.base_height_m, share: unit.length_m * unit.width_m });
    }
    let whole: f64 = intakes.iter().map(|intake| intake.share).sum();
    for intake in &mut intakes {
        intake.share /= whole;
    }
    intakes
}

impl Outlet {
    /// Puts it where the unit has it: the rim of its top, or the side at which the air leaves.
    pub(crate) fn place(&mut self, unit: &RoofUnit) {
        let side = unit.air_out.and_then(|side| faces(unit).into_iter().find(|face| face.side == side));
        (self.rim, self.height_m, self.blows) = match side {
            None => (plane::sides(&unit.corners()).collect(), unit.height_m, None),
            Some(face) => (vec![face.ends], f64::midpoint(unit.height_m, unit.base_height_m), Some(face.outward)),
        };
        self.middle = middle(&self.rim);
    }

    /// The outlet's air over outdoor air at an intake, 1/DF, and whether that is beyond the formula. The distance is
    /// the straight one, which is no longer than the stretched string.
    pub(crate) fn reaches(&self, intake: &Intake) -> (f64, bool) {
        let level = self.rim.iter().map(|side| plane::to_stretch(intake.at, *side)).fold(f64::INFINITY, f64::min);
        let up = intake.height_m - self.height_m;
        let distance = level.hypot(up);
        let way = intake.at.minus(self.middle);
        let (along, straight) = match self.blows {
            None => (up, distance),
            Some(blows) => (blows.dot(way), way.length().hypot(up)),
        };
        let of = |velocity: f64| {
            let dilution = separation::dilution(self.flow_m3_s, distance, velocity);
            (1.0 / dilution.max(MINIMUM_DILUTION), dilution < MINIMUM_DILUTION)
        };
        if straight > 0.0 && along / straight >= AT_IT_DEG.to_radians().cos() {
            // It blows at it, along the roof or from below.
            return of(-self.velocity_m_s);
        }
        // What of it is caught does not blow away.
        let ((free, free_beyond), (caught, caught_beyond)) = (of(self.velocity_m_s), of(0.0));
        let ratio = (1.0 - self.caught) * free + self.caught * caught;
        (ratio, if self.caught < MOST { free_beyond } else { caught_beyond })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Wall;
    use crate::roof::plan::obstacles;
    use crate::roof::testing::{planned, wall};

    #[test]
    fn what_is_caught_comes_as_from_an_outlet_without_velocity_and_the_rest_blows_away() {
        let at = |caught: f64| {
            let outlet = Outlet {
                unit: None,
                name: String::new(),
                rim: vec![(Xy::new(0.0, 0.0), Xy::new(1.0, 0.0))],
                height_m: 2.0,
                middle: Xy::new(0.5, 0.0),
                blows: None,
                flow_m3_s: 10.0,
                warmer_K: 10.0,
                velocity_m_s: 5.0,
                caught,
            };
            outlet.reaches(&Intake { at: Xy::new(0.5, 40.0), height_m: 1.0, share: 1.0 }).0
        };
        let [none, quarter, all] = [0.0, 0.25, 1.0].map(at);
        assert!(none > 0.0 && all > none && all < 1.0, "{none} {all}");
        assert!((quarter - (0.75 * none + 0.25 * all)).abs() < 1e-12, "{none} {quarter} {all}");
    }

    #[test]
    fn a_side_is_closed_less_by_walls_farther_off_and_by_screens_that_are_open() {
        let at = |between: f64, free_area: f64| {
            let job = planned(|_| {});
            let free_area = free_area * job.limit("screen_open");
            let [near, far] = ["clearance_wall", "clearance_pit"].map(|key| job.limit(key) * 7.5);
            let off = near + between * (far - near);
            let (west, east, south) = (90.0 - off, 110.0 + off, 45.0 - off);
            let job = planned(|roof| {
                for (from, to) in
                    [((west, 0.0), (west, 99.0)), ((east, 0.0), (east, 99.0)), ((0.0, south), (199.0, south))]
                {
                    roof.walls.push(Wall { open: free_area, ..wall("court", from, to, 8.0 + CLOSES_M / FOOT) });
                }
            });
            let roof = job.roof.as_ref().unwrap();
            caught(&job, roof, &obstacles(roof), 0)
        };
        for (between, free_area, share) in [
            (-0.01, 0.0, 1.0),
            (0.5, 0.0, 0.5),
            (0.75, 0.0, 0.25),
            (1.01, 0.0, 0.0),
            (-0.01, 0.25, 0.75),
            (-0.01, 1.0, 0.0),
        ] {
            let caught = at(between, free_area);
            assert!((caught - share).abs() < 1e-6, "{between} {free_area}: {caught}");
        }
    }
}
