//! Walls against sound: those that stand made higher or solid, and a new one.

use super::quiet::TooLoud;
use super::{step, written_at};
use crate::job::{Roof, RoofUnit, Wall, Xy};
use crate::physics::plane::{self, SLACK_M, between, length_within, within};
use crate::remedies::Change;
use crate::roof::plan::{Frontage, faces};
use crate::roof::sound::JOINED_M;

/// So much a wall may stand over the top of the units that it screens, m. A free-standing wall higher than that is a structure of its
/// own: the moment that the wind puts on the roof grows with the square of its height, and units end up in a pit.
const OVER_M: f64 = 2.0;
/// No new screen is set up so near to a wall that runs alike, m: that wall is raised or closed instead.
const SECOND_M: f64 = 3.0;
/// Walls run alike where the sine of the angle between them is below this: 30 degrees.
const ALIKE: f64 = 0.5;
/// So much further off a new screen stands, that it keeps the room also where its ends are written to a tenth, m.
const SPARE_M: f64 = 0.08;
/// How far a new screen reaches past the units on either side, as a multiple of its distance from them.
const PAST: [f64; 4] = [0.5, 1.0, 2.0, 3.0];

impl TooLoud<'_> {
    /// The lowest of these heights, rising, at which it is quiet enough on the roof that is then built.
    fn height(&self, aim: f64, heights: &[f64], build: impl Fn(&mut Roof, f64)) -> Option<f64> {
        let does = |height: &&f64| {
            let mut roof = self.roof.clone();
            build(&mut roof, **height);
            self.level(&roof).is_some_and(|level| level <= aim + 1e-9)
        };
        // Higher is not louder, so that where the highest does not do none does.
        heights.last().filter(does)?;
        heights.iter().find(does).copied()
    }

    /// Heights in whole steps, from one to so much over the top of a unit.
    fn heights(&self, from_m: f64, top_m: f64) -> Vec<f64> {
        let step = step(self.job.units);
        let first = (from_m / step - 1e-6).ceil();
        let all = (0_u16..).map(|number| (first + f64::from(number)) * step);
        all.take_while(|height| *height <= top_m + OVER_M + 1e-6).collect()
    }

    /// A wall made solid, at its height or higher, or higher: what rises minimum comes first.
    pub(super) fn walls(&self, aim: f64) -> Vec<Vec<Change>> {
        let loudest = self.loudest();
        let Some(unit) = loudest.first().and_then(|unit| self.roof.units.get(*unit)) else { return Vec::new() };
        let higher = |(index, wall): (usize, &Wall)| {
            let solid = wall.open > 0.0;
            let taller = self.heights(wall.height_m + step(self.job.units), unit.height_m);
            let heights: Vec<f64> = solid.then_some(wall.height_m).into_iter().chain(taller).collect();
            let build = |roof: &mut Roof, height: f64| {
                roof.walls.get_mut(index).into_iter().for_each(|wall| (wall.height_m, wall.open) = (height, 0.0));
            };
            let height = self.height(aim, &heights, build)?;
            let rises = (height > wall.height_m).then_some(Change::WallHeight(index, height));
            let closes = solid.then_some(Change::WallOpen(index, 0.0));
            Some((height - wall.height_m, rises.into_iter().chain(closes).collect()))
        };
        let mut ways: Vec<(f64, Vec<Change>)> = self.roof.walls.iter().enumerate().filter_map(higher).collect();
        ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        ways.into_iter().map(|(_, way)| way).collect()
    }

    /// A new screen before the loudest unit, or else before all units whose sound is known: the one with the smallest face first.
    pub(super) fn screens(&self, aim: f64) -> Vec<Vec<Change>> {
        let all = self.loudest();
        let first = all.first().map(|loudest| vec![*loudest]);
        let sets = first.into_iter().chain((all.len() > 1).then_some(all));
        let screens = sets.flat_map(|set| {
            let mut screens: Vec<Wall> = PAST.into_iter().filter_map(|past| self.before(aim, &set, past)).collect();
            let face = |wall: &Wall| wall.to.minus(wall.from).length() * wall.height_m;
            screens.sort_by(|a, b| face(a).total_cmp(&face(b)));
            screens
        });
        screens.map(|screen| vec![Change::NewWall(screen)]).collect()
    }

    /// A new screen before these units, on the listener's side of the first, that reaches past them by so many times its distance.
    fn before(&self, aim: f64, set: &[usize], past: f64) -> Option<Wall> {
        let units: Vec<&RoofUnit> = set.iter().filter_map(|index| self.roof.units.get(*index)).collect();
        let all = faces(units.first()?);
        let towards = |face: &Frontage| {
            let middle = face.ends.0.plus(face.ends.1).times(0.5);
            let way = self.listener.at.minus(middle);
            face.outward.dot(way) / way.length()
        };
        let outward = all.iter().max_by(|a, b| towards(a).total_cmp(&towards(b)))?.outward;
        let aside = Xy::new(-outward.y_m, outward.x_m);
        let step = step(self.job.units);
        let room = units.iter().map(|unit| self.room(unit, outward)).fold(0.0, f64::max);
        let distance = (room / step - 1e-6).ceil() * step + SPARE_M;
        let corners: Vec<Xy> = units.iter().flat_map(|unit| unit.corners()).collect();
        let reach = |way: Xy| corners.iter().map(|corner| corner.dot(way)).fold(f64::NEG_INFINITY, f64::max);
        let (ahead, left, right) = (reach(outward), reach(aside), -reach(aside.times(-1.0)));
        // As its ends are written, so that the height is found for the screen that is built.
        let end = |along: f64| written_at(self.job, outward.times(ahead + distance).plus(aside.times(along)));
        let (from, to) = (end(right - past * distance), end(left + past * distance));
        if !self.stands_free((from, to)) {
            return None;
        }
        let top = units.iter().map(|unit| unit.height_m).fold(0.0, f64::max);
        let wall = |height_m: f64| Wall { name: self.new_name(), from, to, height_m, open: 0.0 };
        // As high as the units at the minimum, and not higher than long.
        let mut heights = self.heights(top, top);
        heights.retain(|height| *height <= to.minus(from).length());
        self.height(aim, &heights, |roof, height| roof.walls.push(wall(height))).map(wall)
    }

    /// A name that no wall has yet.
    fn new_name(&self) -> String {
        let taken = |name: &String| self.roof.walls.iter().any(|wall| wall.name == *name);
        let names = (2..).map(|number: u32| format!("new screen {number}"));
        std::iter::once("new screen".to_owned()).chain(names).find(|name| !taken(name)).unwrap_or_default()
    }

    /// How far a solid screen has to stand off the side of a unit that looks that way.
    fn room(&self, unit: &RoofUnit, outward: Xy) -> f64 {
        let wall = self.job.limit("clearance_wall") * unit.narrow_m();
        let all = faces(unit);
        let looks = |face: &Frontage| face.outward.dot(outward);
        let side = all.iter().enumerate().max_by(|a, b| looks(a.1).total_cmp(&looks(b.1)));
        side.map_or(wall, |(number, face)| {
            let own = unit.clearance_m.get(number).copied().flatten().unwrap_or(0.0);
            let working = self.job.limit("working_space").max(self.job.limit("electrical_depth_grounded"));
            wall.max(own).max(if unit.controls == Some(face.side) { working } else { 0.0 })
        })
    }

    /// Whether a new screen stands on the roof, clear of units and walls, and not as a second one beside a wall that runs alike.
    fn stands_free(&self, screen: (Xy, Xy)) -> bool {
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
