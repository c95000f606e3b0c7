//! Walls that would screen: those that stand made higher or solid, and a new one.

use super::super::named;
use super::super::outlet::Outlet;
use super::super::way::{JOINED_M, Screen, Screens};
use super::{NewScreen, Raised, Search};
use crate::job::{Place, Roof, RoofUnit, Wall};
use crate::physics::plane::{self, between, length_within, within};
use crate::roof::clearance::shorts;
use crate::roof::plan::{Face, SLACK_M, faces};
use crate::units::{System, factor};

/// So much a wall may stand over the top of the units that it screens, m. A free-standing wall higher than that is a
/// structure of its own: the moment that the wind puts on the roof grows with the square of its height, and units end
/// up in a pit.
const OVER_M: f64 = 2.0;
/// No new screen is set up so near to a wall that runs alike, m: that wall is raised or closed instead.
const SECOND_M: f64 = 3.0;
/// Walls run alike where the sine of the angle between them is below this: 30 degrees.
const ALIKE: f64 = 0.5;
/// So much further off a new screen stands, that it keeps the room also where its ends are typed to a hundredth, m.
const HAIR_M: f64 = 0.01;
/// How far a new screen reaches past the units on either side, as a multiple of its distance from them.
const PAST: [f64; 4] = [0.5, 1.0, 2.0, 3.0];

impl Search<'_> {
    /// The lowest of these heights, rising, at which it is quiet enough on the roof that is then built.
    fn height(&self, most: f64, heights: &[f64], build: impl Fn(f64) -> Option<Roof>) -> Option<(f64, f64, Roof)> {
        let at = |height: f64| {
            let roof = build(height)?;
            let reaches = self.on(&roof)?;
            (reaches <= most).then_some((height, reaches, roof))
        };
        // Higher is not louder, so that where the highest does not do none does.
        at(*heights.last()?)?;
        heights.iter().find_map(|height| at(*height))
    }

    /// Heights in whole steps, from one to so much over the top of a unit.
    fn heights(&self, from_m: f64, top_m: f64) -> Vec<f64> {
        let step = step(self.job.units);
        let first = (from_m / step - 1e-6).ceil();
        let all = (0_u16..).map(|number| (first + f64::from(number)) * step);
        all.take_while(|height| *height <= top_m + OVER_M + 1e-6).collect()
    }

    /// Whether no unit has less room on a changed roof.
    fn leaves_room(&self, changed: &Roof) -> bool {
        let (before, after) = (shorts(self.job, self.roof), shorts(self.job, changed));
        before.iter().zip(&after).all(|(before, after)| *after <= before + 1e-6)
    }

    /// The wall, or the parapet, that stands between the loudest unit and the listener, and has to rise least. One that
    /// is open in part has to be made solid, at its height or higher.
    pub(super) fn raised(&self, most: f64) -> Option<Raised> {
        let unit = self.roof.units.get(self.loudest()?)?;
        let surface = self.roof.height_m?;
        let mut solid = self.roof.clone();
        solid.walls.iter_mut().for_each(|wall| wall.open = 0.0);
        let from = Outlet::of(unit, surface).middle();
        let mut between = Screens::of(&solid, surface).passed_by(from.place, self.listener.at);
        between.sort_unstable();
        between.dedup();
        let ways = between.into_iter().filter_map(|screen| {
            let (drawn, closed) = match screen {
                Screen::Wall(index) => self.roof.walls.get(index).map(|wall| (wall.height_m, wall.open > 0.0))?,
                Screen::Edge => (self.roof.parapet_m, false),
            };
            let build = |height: f64| {
                let mut roof = self.roof.clone();
                match screen {
                    Screen::Wall(index) => {
                        let wall = roof.walls.get_mut(index)?;
                        (wall.height_m, wall.open) = (height, 0.0);
                    }
                    Screen::Edge => roof.parapet_m = height,
                }
                Some(roof)
            };
            let higher = self.heights(drawn + step(self.job.units), unit.height_m);
            let heights: Vec<f64> = closed.then_some(drawn).into_iter().chain(higher).collect();
            let (height_m, reaches, roof) = self.height(most, &heights, build)?;
            let raised = Raised { name: named(&roof, screen), height_m, closed, reaches_dBA: reaches };
            self.leaves_room(&roof).then_some((height_m - drawn, raised))
        });
        ways.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, raised)| raised)
    }

    /// A new screen before the loudest unit, or else before all units whose sound is known: the one with the smallest
    /// face.
    pub(super) fn screen(&self, most: f64) -> Option<NewScreen> {
        let loudest = self.loudest()?;
        let all = (0..self.roof.units.len()).filter(|index| self.spectra.get(*index).is_some_and(Option::is_some));
        let all: Vec<usize> = std::iter::once(loudest).chain(all.filter(|index| *index != loudest)).collect();
        let sets = if all.len() > 1 { vec![vec![loudest], all] } else { vec![all] };
        sets.iter().find_map(|set| {
            let tries = PAST.into_iter().filter_map(|past| self.before(most, set, past));
            tries.min_by(|a, b| (a.length_m * a.height_m).total_cmp(&(b.length_m * b.height_m)))
        })
    }

    /// A new screen before these units, on the listener's side of the first, that reaches past them by so many times
    /// its distance.
    fn before(&self, most: f64, set: &[usize], past: f64) -> Option<NewScreen> {
        let units: Vec<&RoofUnit> = set.iter().filter_map(|index| self.roof.units.get(*index)).collect();
        let all = faces(units.first()?);
        let towards = |face: &Face| {
            let middle = face.ends.0.plus(face.ends.1).times(0.5);
            let way = self.listener.at.minus(middle);
            face.outward.dot(way) / way.length()
        };
        let face = all.iter().max_by(|a, b| towards(a).total_cmp(&towards(b)))?;
        let outward = face.outward;
        let step = step(self.job.units);
        let room = units.iter().map(|unit| self.room(unit, outward)).fold(0.0, f64::max);
        let distance = (room / step - 1e-6).ceil() * step;
        let front =
            |unit: &RoofUnit| unit.corners().iter().map(|one| one.dot(outward)).fold(f64::NEG_INFINITY, f64::max);
        let (frontmost, ahead) = units.iter().map(|unit| (unit, front(unit))).max_by(|a, b| a.1.total_cmp(&b.1))?;
        let aside = Place::new(-outward.y_m, outward.x_m);
        let corners: Vec<Place> = units.iter().flat_map(|unit| unit.corners()).collect();
        let reach = |way: Place| corners.iter().map(|corner| corner.dot(way)).fold(f64::NEG_INFINITY, f64::max);
        let (left, right) = (reach(aside), -reach(aside.times(-1.0)));
        let end = |along: f64| outward.times(ahead + distance + HAIR_M).plus(aside.times(along));
        let (from, to) = (end(right - past * distance), end(left + past * distance));
        if !self.stands_free((from, to)) {
            return None;
        }
        let top = units.iter().map(|unit| unit.height_m).fold(0.0, f64::max);
        let length_m = to.minus(from).length();
        let build = |height: f64| {
            let mut roof = self.roof.clone();
            roof.walls.push(Wall { name: String::new(), from, to, height_m: height, open: 0.0 });
            Some(roof)
        };
        // As high as the units at the least, and not higher than long.
        let mut heights = self.heights(top, top);
        heights.retain(|height| *height <= length_m);
        let (height_m, reaches, roof) = self.height(most, &heights, build)?;
        self.leaves_room(&roof).then(|| NewScreen {
            units: units.iter().map(|unit| unit.name.clone()).collect(),
            side: face.side.name(),
            frontmost: frontmost.name.clone(),
            distance_m: distance,
            from,
            to,
            length_m,
            height_m,
            reaches_dBA: reaches,
        })
    }

    /// How far a solid screen has to stand off the side of a unit that looks that way.
    fn room(&self, unit: &RoofUnit, outward: Place) -> f64 {
        let wall = self.job.limit("clearance_wall") * unit.narrow_m();
        let all = faces(unit);
        let looks = |face: &Face| face.outward.dot(outward);
        let side = all.iter().enumerate().max_by(|a, b| looks(a.1).total_cmp(&looks(b.1)));
        side.map_or(wall, |(number, face)| {
            let own = unit.clearance_m.get(number).copied().flatten().unwrap_or(0.0);
            let controls = unit.controls == Some(face.side);
            let working = self.job.limit("working_space").max(self.job.limit("electrical_depth_grounded"));
            wall.max(own).max(if controls { working } else { 0.0 })
        })
    }

    /// Whether a new screen stands on the roof, clear of units and walls, and not as a second one beside a wall that
    /// runs alike.
    fn stands_free(&self, screen: (Place, Place)) -> bool {
        let outline = &self.roof.outline;
        let on_the_roof = outline.is_empty()
            || [screen.0, screen.1].iter().all(|end| within(outline, *end))
                && plane::sides(outline).all(|edge| between(edge, screen) > JOINED_M);
        let clear = |unit: &RoofUnit| length_within(&unit.corners(), screen, SLACK_M) <= SLACK_M;
        let way = screen.1.minus(screen.0);
        let own = |wall: &Wall| {
            let along = wall.to.minus(wall.from);
            let alike = along.cross(way).abs() < ALIKE * along.length() * way.length();
            between((wall.from, wall.to), screen) > if alike { SECOND_M } else { JOINED_M }
        };
        on_the_roof && self.roof.units.iter().all(clear) && self.roof.walls.iter().all(own)
    }
}

/// How finely heights of walls are given, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
