//! Warm air from every outlet to every intake: how much of what an intake draws has left an outlet.

use super::outlet::{Intake, Outlet, air_flow, caught, intakes, middle, outlet};
use super::plan::{bearing_deg, obstacles};
use crate::job::{Job, Roof, RoofUnit, Xy};
use crate::physics::plane;
use crate::survey::Survey;

/// Wind from outside this angle to the line from source to intake takes the warm air elsewhere, degrees.
const UPWIND_DEG: f64 = 45.0;
/// The sixteen directions of the compass.
pub(crate) const SECTORS: usize = 16;
/// Past this a coil draws hardly anything but warm air, K.
pub(crate) const STIFLED_K: f64 = 60.0;

/// What an outlet gives a unit.
#[derive(Clone, Copy, Debug)]
struct Exposure {
    /// The outlet's air over outdoor air.
    ratio: f64,
    /// Whether that is more than the formula is good for.
    beyond: bool,
    /// The share of the unit's air that it can't exceed.
    maximum: f64,
    /// The bearing from which a wind brings it, degrees; none for its own outlet.
    from_deg: Option<f64>,
}

/// What a unit draws.
#[derive(Clone, Debug)]
struct Draws {
    intakes: Vec<Intake>,
    centre: Xy,
    /// Its air flow, m3/s, where known.
    flow_m3_s: Option<f64>,
}

/// The outlets and intakes of a roof, and the ways between.
#[derive(Clone, Debug)]
pub(crate) struct Dilution {
    pub outlets: Vec<Outlet>,
    units: Vec<Draws>,
    /// For each unit, of each outlet.
    ways: Vec<Vec<Exposure>>,
}

/// Warm air at every unit in one wind.
#[derive(Clone, Debug)]
pub(crate) struct Wind {
    /// Where it comes from, degrees clockwise from north.
    pub from_deg: f64,
    /// For each unit, of each outlet: the share of the unit's air that it gives.
    shares: Vec<Vec<f64>>,
    /// For each unit, whether more may come than the formula is good for, so that its rise is a minimum.
    pub beyond: Vec<bool>,
    /// For each unit, how much warmer than outdoors its air is, K; [`STIFLED_K`] where it would draw hardly anything
    /// but warm air.
    pub rises: Vec<f64>,
}

impl Dilution {
    /// Those of a roof; outlets whose heat or air is not known are left out.
    pub(crate) fn new(job: &Job, roof: &Roof, survey: &Survey) -> Self {
        let standing = obstacles(roof);
        let units = (0..roof.units.len()).filter_map(|index| outlet(job, roof, survey, &standing, index));
        let others = roof.heats.iter().map(|heat| {
            // A round outlet as a point: its velocity stands in for its size.
            Outlet {
                unit: None,
                name: heat.name.clone(),
                rim: vec![(heat.at, heat.at)],
                height_m: heat.height_m,
                middle: heat.at,
                blows: None,
                flow_m3_s: heat.air_flow_m3_s,
                warmer_K: heat.temperature_rise_K,
                velocity_m_s: heat.outlet_m_s.unwrap_or(0.0),
                caught: 0.0,
            }
        });
        let outlets = units.chain(others).collect();
        let draws = |unit| Draws { flow_m3_s: air_flow(job, unit), ..Draws::of(unit) };
        let mut this = Self { outlets, units: roof.units.iter().map(draws).collect(), ways: Vec::new() };
        let ways = |index| (0..this.outlets.len()).filter_map(|outlet| this.way(roof, index, outlet)).collect();
        this.ways = (0..this.units.len()).map(ways).collect();
        this
    }

    /// The same with one unit in another place or at another height, as the changed roof has it.
    pub(crate) fn with_unit(&self, job: &Job, roof: &Roof, index: usize) -> Self {
        let mut this = self.clone();
        let Some(unit) = roof.units.get(index) else { return this };
        if let Some(draws) = this.units.get_mut(index) {
            *draws = Draws { flow_m3_s: draws.flow_m3_s, ..Draws::of(unit) };
        }
        let standing = obstacles(roof);
        let mut stale = Vec::new();
        for outlet in &mut this.outlets {
            let now = outlet.unit.map_or(0.0, |of| caught(job, roof, &standing, of));
            stale.push(outlet.unit == Some(index) || (now - outlet.caught).abs() > 0.0);
            outlet.caught = now;
            if outlet.unit == Some(index) {
                outlet.place(unit);
            }
        }
        this.renewed(roof, |unit, outlet| unit == index || stale.get(outlet).copied().unwrap_or(true))
    }

    /// With the ways worked out again that are stale.
    fn renewed(mut self, roof: &Roof, stale: impl Fn(usize, usize) -> bool) -> Self {
        let mut ways = std::mem::take(&mut self.ways);
        for (unit, ways) in ways.iter_mut().enumerate() {
            for (outlet, way) in ways.iter_mut().enumerate().filter(|(outlet, _)| stale(unit, *outlet)) {
                *way = self.way(roof, unit, outlet).unwrap_or(*way);
            }
        }
        self.ways = ways;
        self
    }

    fn way(&self, roof: &Roof, unit: usize, outlet: usize) -> Option<Exposure> {
        let (draws, outlet) = (self.units.get(unit)?, self.outlets.get(outlet)?);
        let own = outlet.unit == Some(unit);
        let (mut ratio, mut beyond) = (0.0, false);
        for intake in &draws.intakes {
            let (reaches, past) = outlet.reaches(intake);
            ratio += intake.share * reaches;
            beyond |= past;
        }
        Some(Exposure {
            ratio,
            beyond,
            // An outlet can't give an intake more than it blows.
            maximum: draws.flow_m3_s.map_or(1.0, |drawn| outlet.flow_m3_s / drawn),
            from_deg: (!own).then(|| bearing_deg(roof, outlet.middle.minus(draws.centre))),
        })
    }

    /// Warm air in a wind from there.
    pub(crate) fn wind(&self, from_deg: f64) -> Wind {
        let mut wind = self.in_a_wind(from_deg);
        self.settle(&mut wind, None);
        wind
    }

    /// In each of the sixteen winds.
    pub(crate) fn winds(&self) -> Vec<Wind> {
        (0..SECTORS).map(|sector| self.wind(bearing_of(sector))).collect()
    }

    /// In each of the sixteen winds from that one on, where in every one of them the unit gets less than so much and
    /// the formula holds; none at the first wind in which it does not.
    pub(crate) fn all_under(&self, unit: usize, limit_K: f64, first: usize) -> Option<Vec<Wind>> {
        let under = |sector: usize| {
            let mut wind = self.in_a_wind(bearing_of((first + sector) % SECTORS));
            let holds = wind.beyond.get(unit) == Some(&false);
            (holds && self.settle(&mut wind, Some((unit, limit_K)))).then_some(wind)
        };
        (0..SECTORS).map(under).collect()
    }

    /// The shares of each outlet in each unit's air: its air over outdoor air, over the sum of outdoor air and of all
    /// that is brought.
    fn in_a_wind(&self, from_deg: f64) -> Wind {
        let brought = |way: &Exposure| way.from_deg.is_none_or(|from| upwind(from, from_deg));
        let all = |ways: &[Exposure]| ways.iter().filter(|way| brought(way)).map(|way| way.ratio).sum::<f64>();
        let shares = |ways: &Vec<Exposure>| {
            let whole = 1.0 + all(ways);
            let share = |way: &Exposure| if brought(way) { (way.ratio / whole).min(way.maximum) } else { 0.0 };
            ways.iter().map(share).collect()
        };
        // All that an outlet blows is no minimum.
        let beyond = |ways: &Vec<Exposure>| {
            let whole = 1.0 + all(ways);
            ways.iter().any(|way| way.beyond && brought(way) && way.ratio / whole < way.maximum)
        };
        Wind {
            from_deg,
            shares: self.ways.iter().map(shares).collect(),
            beyond: self.ways.iter().map(beyond).collect(),
            rises: vec![0.0; self.ways.len()],
        }
    }

    /// Lets the rises settle, from nothing up; false as soon as the unit gets as much as it must not. They always
    /// settle: the shares of one intake add up to no more than n/(n + 1) of n outlets, so that a round leaves no more
    /// than that of what is missing.
    fn settle(&self, wind: &mut Wind, under: Option<(usize, f64)>) -> bool {
        for _ in 0..30 * (self.outlets.len() + 1) {
            let mut moved = 0.0_f64;
            for (unit, shares) in wind.shares.iter().enumerate() {
                let gives = shares.iter().zip(&self.outlets).filter(|(share, _)| **share > 0.0);
                let sum: f64 = gives.map(|(share, outlet)| share * leaves_warmer(outlet, &wind.rises)).sum();
                let next = sum.min(STIFLED_K);
                if under.is_some_and(|(one, limit)| one == unit && next >= limit) {
                    return false;
                }
                if let Some(rise) = wind.rises.get_mut(unit) {
                    moved = moved.max((next - *rise).abs());
                    *rise = next;
                }
            }
            if moved < 1e-9 {
                break;
            }
        }
        true
    }

    /// What an outlet adds to a unit's air in a wind, K.
    pub(crate) fn gives(&self, wind: &Wind, unit: usize, outlet: usize) -> f64 {
        let share = wind.shares.get(unit).and_then(|shares| shares.get(outlet)).copied().unwrap_or(0.0);
        self.outlets.get(outlet).map_or(0.0, |outlet| share * leaves_warmer(outlet, &wind.rises))
    }

    /// Whether a wind from there brings a unit any other outlet's air.
    pub(crate) fn is_downwind(&self, unit: usize, wind_from: f64) -> bool {
        let Some(ways) = self.ways.get(unit) else { return false };
        ways.iter().any(|way| way.from_deg.is_some_and(|from| upwind(from, wind_from)))
    }
}

impl Draws {
    /// Of a unit, its flow not yet known.
    fn of(unit: &RoofUnit) -> Self {
        let centre = middle(&plane::sides(&unit.corners()).collect::<Vec<_>>());
        Self { intakes: intakes(unit), centre, flow_m3_s: None }
    }
}

/// How much warmer than outdoors an outlet's air is, K.
fn leaves_warmer(outlet: &Outlet, rises: &[f64]) -> f64 {
    outlet.warmer_K + outlet.unit.and_then(|unit| rises.get(unit)).copied().unwrap_or(0.0)
}

/// Whether a wind from one bearing brings what stands at another.
fn upwind(source: f64, wind_from: f64) -> bool {
    let off = (source - wind_from).rem_euclid(360.0);
    off.min(360.0 - off) <= UPWIND_DEG + 1e-9
}

/// The middle of a sector, degrees clockwise from north.
pub(crate) fn bearing_of(sector: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "one of sixteen")]
    let number = sector as f64;
    number * 360.0 / 16.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{FAN_DISCS, Face};
    use crate::roof::testing::{FOOT, another, feet, planned, solved, wall};

    /// Six units in two rows, a screen between two of them, each drawing and blowing 18 m3/s.
    fn rows() -> Job {
        planned(|roof| {
            (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(18.0), Some(6.0));
            for (number, (x, y)) in
                [(0.0, 10.0), (0.0, 20.0), (23.0, 0.0), (23.0, 10.0), (23.0, 20.0)].into_iter().enumerate()
            {
                roof.units.push(another(roof, &format!("C{}", number + 2), (x, y)));
            }
            roof.walls.push(wall("screen", (85.0, 53.0), (140.0, 53.0), 11.0));
            roof.walls.push(wall("end", (112.0, 40.0), (112.0, 52.0), 12.0));
            roof.walls.push(wall("start", (88.0, 40.0), (88.0, 52.0), 12.0));
        })
    }

    #[test]
    fn a_side_blows_through_the_fans_of_its_face() {
        // The unit is 20 ft by 7.5 ft, from 2 ft to 8 ft over the roof.
        for (face, wide) in [(Face::East, 7.5), (Face::South, 20.0)] {
            let job = planned(|roof| {
                let unit = &mut roof.units[0];
                (unit.air_flow_m3_s, unit.air_out) = (Some(18.0), Some(face));
            });
            let dilution = Dilution::new(&job, job.roof.as_ref().unwrap(), solved());
            let face_m2 = wide * 6.0 * FOOT * FOOT;
            let velocity = dilution.outlets[0].velocity_m_s;
            assert!((velocity * FAN_DISCS * face_m2 / 18.0 - 1.0).abs() < 1e-9, "{face:?}: {velocity}");
        }
    }

    #[test]
    fn what_all_outlets_give_is_the_rise() {
        let job = rows();
        let dilution = Dilution::new(&job, job.roof.as_ref().unwrap(), solved());
        for wind in dilution.winds() {
            for (unit, rise) in wind.rises.iter().enumerate() {
                let sum: f64 = (0..dilution.outlets.len()).map(|outlet| dilution.gives(&wind, unit, outlet)).sum();
                assert!((sum - rise).abs() < 1e-7 && *rise > 0.1 && *rise < STIFLED_K, "{unit} {sum} {rise}");
            }
        }
    }

    #[test]
    fn a_unit_moved_is_the_same_as_a_plan_drawn_so() {
        let job = rows();
        let roof = job.roof.as_ref().unwrap();
        let dilution = Dilution::new(&job, roof, solved());
        assert!(dilution.outlets[0].caught > 0.5 && dilution.outlets[4].caught < 0.1);
        for (index, to, height) in [(0, (60.0, 20.0), 0.0), (4, (90.0, 80.0), 0.5), (3, (113.0, 45.0), 1.0)] {
            let mut changed = roof.clone();
            let unit = &mut changed.units[index];
            unit.at = feet(to.0, to.1);
            (unit.base_height_m, unit.height_m) = (unit.base_height_m + height, unit.height_m + height);
            let (drawn, moved) = (Dilution::new(&job, &changed, solved()), dilution.with_unit(&job, &changed, index));
            for (drawn, moved) in drawn.winds().iter().zip(moved.winds()) {
                for (a, b) in drawn.rises.iter().zip(&moved.rises) {
                    assert!((a - b).abs() < 1e-9, "{index} {drawn:?} {moved:?}");
                }
            }
        }
    }

    #[test]
    fn the_winds_are_looked_at_until_one_is_over() {
        let mut job = rows();
        // Nothing is caught: with enough room the formula holds.
        job.roof.as_mut().unwrap().walls.clear();
        let dilution = Dilution::new(&job, job.roof.as_ref().unwrap(), solved());
        let winds = dilution.winds();
        for unit in 0..6 {
            let maximum = winds.iter().map(|wind| wind.rises[unit]).fold(0.0, f64::max);
            let holds = winds.iter().all(|wind| !wind.beyond[unit]);
            for first in [0, 7] {
                assert_eq!(dilution.all_under(unit, maximum + 1e-6, first).is_some(), holds);
                assert!(dilution.all_under(unit, maximum - 1e-6, first).is_none());
            }
        }
        assert!((0..6).any(|unit| winds.iter().all(|wind| !wind.beyond[unit])));
    }
}
