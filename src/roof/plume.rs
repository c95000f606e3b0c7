//! Warm air from every outlet to every intake: how much of what an intake draws has left an outlet.

use super::plan::{Face, Obstacle, SLACK_M, What, bearing_deg, faces, obstacles};
use crate::job::{FAN_DISCS, Job, Place, Roof, RoofUnit};
use crate::physics::atmosphere::{air_density, air_rise};
use crate::physics::{plane, separation};
use crate::survey::Survey;
use crate::units::{Pressure, Temperature};

/// Wind from outside this angle to the line from source to intake takes the warm air elsewhere, degrees.
const UPWIND_DEG: f64 = 45.0;
/// The sixteen directions of the compass.
pub(super) const SECTORS: usize = 16;
/// Least dilution factor that the formula is good for: as much outdoor air as warm air. Less is taken as this, and told.
const LEAST_DILUTION: f64 = 1.0;
/// Sides with something higher at which an outlet at the top is caught: a corner, a court, a pit.
const CAUGHT_SIDES: usize = 2;
/// Rounds after which the intakes' temperatures have settled or never do.
const ROUNDS: usize = 20_000;
/// Past this a coil draws hardly anything but warm air, K.
pub(super) const STIFLED_K: f64 = 60.0;

/// An outlet of warm air.
#[derive(Clone, Debug)]
pub(super) struct Outlet {
    /// The unit that it belongs to; else another source.
    pub unit: Option<usize>,
    pub name: String,
    /// Its rim on the plan, and its height over the roof, m.
    rim: Vec<(Place, Place)>,
    height: f64,
    middle: Place,
    /// The way it blows along the plan; none where it blows up.
    blows: Option<Place>,
    /// Air flow, m3/s.
    pub flow: f64,
    /// How much warmer it leaves than it was drawn, K.
    pub warmer: f64,
    /// Velocity, m/s.
    pub velocity: f64,
    /// Whether something as near as its width stands higher, so that the air does not get away.
    pub caught: bool,
}

/// An intake: the middle of a face, its height, and its share of the unit's air.
struct Intake {
    at: Place,
    height: f64,
    share: f64,
}

/// What an outlet gives an intake.
struct Way {
    ratio: f64,
    beyond: bool,
    most: f64,
    from: Option<f64>,
}

/// The outlets and intakes of a roof.
pub(super) struct Plumes {
    pub outlets: Vec<Outlet>,
    /// For each unit and outlet: the outlet's air over outdoor air, the share that it can't exceed, and the bearing from which a
    /// wind brings it; none for its own.
    paths: Vec<Vec<Way>>,
}

/// The air flow of a unit, m3/s: its own, or that of its coils where all of them are known.
pub(super) fn air_flow(job: &Job, unit: &RoofUnit) -> Option<f64> {
    let of_coils = || {
        unit.circuits
            .iter()
            .map(|(index, count)| Some(job.circuits.get(*index)?.condenser.air_flow?.value * f64::from(*count)))
            .sum::<Option<f64>>()
    };
    unit.air_flow_m3_s.or_else(of_coils).filter(|flow| *flow > 0.0)
}

/// The heat that a unit rejects on the design day, W, where all of its circuits have that point.
pub(super) fn heat(survey: &Survey, unit: &RoofUnit) -> Option<f64> {
    let of = |(index, count): &(usize, u32)| {
        let point = survey.circuits.get(*index)?.point("summer full")?;
        Some(point.rejection_W * f64::from(*count))
    };
    unit.circuits.iter().map(of).sum::<Option<f64>>().filter(|heat| *heat > 0.0)
}

/// The outlet of a unit, where its heat and its air are known.
fn outlet(job: &Job, roof: &Roof, survey: &Survey, index: usize) -> Option<Outlet> {
    let unit = roof.units.get(index)?;
    let (flow, heat) = (air_flow(job, unit)?, heat(survey, unit)?);
    let site = &job.site;
    let density =
        air_density(Pressure::from_pascals(site.atmosphere.pascals()), Temperature::from_kelvin(site.summer.kelvin()))
            .value;
    let corners = unit.corners();
    let (rim, height, blows, area) = match unit.air_out {
        None => (plane::sides(&corners).collect(), unit.height_m, None, FAN_DISCS * unit.length_m * unit.width_m),
        Some(side) => {
            let face = faces(unit).into_iter().find(|face| face.side == side)?;
            let breadth = face.ends.1.minus(face.ends.0).length();
            let height = f64::midpoint(unit.height_m, unit.stands_m);
            (vec![face.ends], height, Some(face.outward), FAN_DISCS * breadth * (unit.height_m - unit.stands_m))
        }
    };
    Some(Outlet {
        unit: Some(index),
        name: unit.name.clone(),
        middle: middle(&rim),
        rim,
        height,
        blows,
        flow,
        warmer: air_rise(heat, density * flow),
        velocity: unit.outlet_m_s.unwrap_or(flow / area),
        caught: unit.air_out.is_none() && is_caught(job, roof, index),
    })
}

/// Whether walls, screens that are not open, the parapet or other units stand higher than the outlet at the top on two sides or
/// more, no farther off than the unit is wide.
fn is_caught(job: &Job, roof: &Roof, index: usize) -> bool {
    let Some(unit) = roof.units.get(index) else { return false };
    let standing = obstacles(roof);
    let higher = |obstacle: &&Obstacle| {
        obstacle.what != What::Unit(index)
            && obstacle.top_m > unit.height_m + SLACK_M
            && obstacle.open < job.limit("screen_open")
    };
    let closed = |face: &Face| {
        let ahead = |obstacle: &Obstacle| obstacle.ahead(face).is_some_and(|off| off <= unit.narrow_m());
        standing.iter().filter(higher).any(ahead)
    };
    faces(unit).iter().filter(|face| closed(face)).count() >= CAUGHT_SIDES
}

fn middle(rim: &[(Place, Place)]) -> Place {
    let sum = rim.iter().fold(Place::default(), |sum, (from, to)| sum.plus(*from).plus(*to));
    #[expect(clippy::cast_precision_loss, reason = "a handful of sides")]
    let count = (2 * rim.len()).max(1) as f64;
    sum.times(1.0 / count)
}

/// Where a unit draws its air: the middle of each intake side, by the area of the sides.
fn intakes(unit: &RoofUnit) -> Vec<Intake> {
    let tall = unit.height_m - unit.stands_m;
    let mut intakes: Vec<Intake> = faces(unit)
        .into_iter()
        .filter(|face| unit.air_in.contains(&face.side))
        .map(|face| Intake {
            at: face.ends.0.plus(face.ends.1).times(0.5),
            height: unit.stands_m + tall / 2.0,
            share: face.ends.1.minus(face.ends.0).length() * tall,
        })
        .collect();
    if unit.air_in_below {
        let sides: Vec<(Place, Place)> = plane::sides(&unit.corners()).collect();
        intakes.push(Intake { at: middle(&sides), height: unit.stands_m, share: unit.length_m * unit.width_m });
    }
    let whole: f64 = intakes.iter().map(|intake| intake.share).sum();
    for intake in &mut intakes {
        intake.share /= whole;
    }
    intakes
}

impl Outlet {
    /// The outlet's air over outdoor air at an intake, 1/DF, and whether that is beyond the formula. The distance is the straight one, which is no longer than the
    /// stretched string.
    fn reaches(&self, intake: &Intake) -> (f64, bool) {
        let level = self.rim.iter().map(|side| plane::to_stretch(intake.at, *side)).fold(f64::INFINITY, f64::min);
        let up = intake.height - self.height;
        let distance = level.hypot(up);
        let way = intake.at.minus(self.middle);
        // Within 45 degrees of the line to the intake it does not blow away from it; a jet along the roof then blows at it.
        let (along, straight, at_it) = match self.blows {
            None => (up, distance, 0.0),
            Some(blows) => (blows.dot(way), way.length().hypot(up), -self.velocity),
        };
        let velocity = if self.caught {
            0.0
        } else if straight > 0.0 && along / straight >= UPWIND_DEG.to_radians().cos() {
            at_it
        } else {
            self.velocity
        };
        let dilution = separation::dilution(self.flow, distance, velocity);
        (1.0 / dilution.max(LEAST_DILUTION), dilution < LEAST_DILUTION)
    }
}

impl Plumes {
    /// Those of a roof; outlets whose heat or air is not known are left out.
    pub(super) fn new(job: &Job, roof: &Roof, survey: &Survey) -> Self {
        let units = (0..roof.units.len()).filter_map(|index| outlet(job, roof, survey, index));
        let others = roof.heats.iter().map(|heat| {
            // A round outlet as a point: its velocity stands in for its size.
            Outlet {
                unit: None,
                name: heat.name.clone(),
                rim: vec![(heat.at, heat.at)],
                height: heat.height_m,
                middle: heat.at,
                blows: None,
                flow: heat.air_flow_m3_s,
                warmer: heat.warmer_k,
                velocity: heat.outlet_m_s.unwrap_or(0.0),
                caught: false,
            }
        });
        let mut this = Self { outlets: units.chain(others).collect(), paths: Vec::new() };
        this.paths = roof.units.iter().enumerate().map(|(index, unit)| this.paths_to(job, roof, index, unit)).collect();
        this
    }

    fn paths_to(&self, job: &Job, roof: &Roof, index: usize, unit: &RoofUnit) -> Vec<Way> {
        let intakes = intakes(unit);
        let centre = middle(&plane::sides(&unit.corners()).collect::<Vec<_>>());
        let drawn = air_flow(job, unit);
        self.outlets
            .iter()
            .map(|outlet| {
                let own = outlet.unit == Some(index);
                let reached = || intakes.iter().map(|intake| (intake.share, outlet.reaches(intake)));
                Way {
                    ratio: reached().map(|(share, (ratio, _))| share * ratio).sum(),
                    beyond: reached().any(|(_, (_, beyond))| beyond),
                    // An outlet can't give an intake more than it blows.
                    most: drawn.map_or(1.0, |drawn| outlet.flow / drawn),
                    from: (!own).then(|| bearing_deg(roof, outlet.middle.minus(centre))),
                }
            })
            .collect()
    }

    /// Share of a unit's air that an outlet gives it in a wind from there: its air over outdoor air, over the sum of outdoor air and
    /// of all that is brought.
    pub(super) fn share(&self, unit: usize, outlet: usize, wind_from: f64) -> f64 {
        let Some(ways) = self.paths.get(unit) else { return 0.0 };
        let brought = |way: &&Way| way.from.is_none_or(|from| upwind(from, wind_from));
        let all: f64 = ways.iter().filter(brought).map(|way| way.ratio).sum();
        ways.get(outlet).filter(brought).map_or(0.0, |way| (way.ratio / (1.0 + all)).min(way.most))
    }

    /// Whether what comes to a unit in a wind from there is more than the formula is good for, so that it is a least.
    pub(super) fn is_beyond(&self, unit: usize, wind_from: f64) -> bool {
        let Some(ways) = self.paths.get(unit) else { return false };
        ways.iter().any(|way| way.beyond && way.from.is_none_or(|from| upwind(from, wind_from)))
    }

    /// Whether a wind from there brings a unit any other outlet's air.
    pub(super) fn is_downwind(&self, unit: usize, wind_from: f64) -> bool {
        let Some(ways) = self.paths.get(unit) else { return false };
        ways.iter().any(|way| way.from.is_some_and(|from| upwind(from, wind_from)))
    }

    /// How much warmer than outdoors each unit's air is in a wind from there, K; [`STIFLED_K`] where a coil would draw hardly
    /// anything but warm air. None where they do not settle.
    pub(super) fn rises(&self, units: usize, wind_from: f64) -> Option<Vec<f64>> {
        let mut rises = vec![0.0; units];
        for _ in 0..ROUNDS {
            let sum = |unit| (0..self.outlets.len()).map(|outlet| self.gives(unit, outlet, wind_from, &rises)).sum();
            let next: Vec<f64> = (0..units).map(|unit| f64::min(sum(unit), STIFLED_K)).collect();
            let moved = next.iter().zip(&rises).map(|(a, b): (&f64, &f64)| (a - b).abs()).fold(0.0, f64::max);
            rises = next;
            if moved < 1e-9 {
                return Some(rises);
            }
        }
        None
    }

    /// What an outlet adds to a unit's air, K, with the rises of all units.
    pub(super) fn gives(&self, unit: usize, outlet: usize, wind_from: f64, rises: &[f64]) -> f64 {
        let Some(source) = self.outlets.get(outlet) else { return 0.0 };
        let drawn = source.unit.and_then(|index| rises.get(index)).copied().unwrap_or(0.0);
        self.share(unit, outlet, wind_from) * (source.warmer + drawn)
    }
}

/// Whether a wind from one bearing brings what stands at another.
fn upwind(source: f64, wind_from: f64) -> bool {
    let off = (source - wind_from).rem_euclid(360.0);
    off.min(360.0 - off) <= UPWIND_DEG + 1e-9
}

/// The middle of a sector, degrees clockwise from north.
pub(super) fn bearing_of(sector: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "one of sixteen")]
    let number = sector as f64;
    number * 360.0 / 16.0
}
