//! Room and warm air: a unit moved or set higher, walls no higher, screens more open.

use super::{Plan, Tries, step};
use crate::job::{Job, Roof, RoofUnit, Wall, Xy};
use crate::physics::plane;
use crate::remedies::Change;
use crate::roof::clearance::{Clearance, clearance};
use crate::roof::dilution::SECTORS;
use crate::roof::outlet::catching;
use crate::roof::plan::{What, faces, is_clear, obstacles};
use crate::rules::{Finding, Place};
use crate::units::System;

/// A wall that would have to lose more than this share of its height is not lowered but taken away.
const LOWERED_SHARE: f64 = 0.5;

/// How many places along the roof's longer side are looked at for a unit that can't stay where it is, and how many of those with room
/// enough are studied.
const PLACES: f64 = 100.0;
const ELSEWHERE: usize = 24;

impl Plan<'_> {
    /// What gives a unit its room, or its controls theirs, or takes it out of its pit.
    pub(super) fn room(&self, index: usize, finding: &Finding) -> Vec<Vec<Tries<'_>>> {
        let short: fn(&Clearance) -> f64 = match finding.place {
            Some(Place::Controls(..)) => Clearance::working_short_m,
            Some(Place::Pit(_)) => Clearance::sunk_m,
            _ => Clearance::sides_short_m,
        };
        let settles = move |job: &Job, _: &[Change]| {
            let found = job.roof.as_ref().and_then(|roof| clearance(job, roof, &obstacles(roof), index));
            found.is_some_and(|clearance| short(&clearance) <= 0.0)
        };
        let (movers, lower) = (self.movers(index), self.walls_in_the_way(index));
        let near = vec![self.moved(index, &movers, settles), self.raised(index, settles)];
        vec![near, vec![self.elsewhere(index)], vec![self.lowered(lower, settles)]]
    }

    /// The units at which a lack of room is mended: a gap between two at either of them.
    pub(super) fn movers(&self, index: usize) -> Vec<usize> {
        let study = self.study.clearances.get(index);
        let in_the_way = study.into_iter().flat_map(Clearance::in_the_way);
        let others = in_the_way.filter_map(|name| self.roof.units.iter().position(|unit| unit.name == name));
        std::iter::once(index).chain(others).collect()
    }

    /// Walls, and how high they may be: one that ends under the unit is no obstacle, and walls that end at its top make no pit deeper
    /// than it.
    fn walls_in_the_way(&self, index: usize) -> Vec<(Vec<usize>, f64)> {
        let Some(unit) = self.roof.units.get(index) else { return Vec::new() };
        let reach = self.job.limit("clearance_pit") * unit.narrow_m() + 1e-6;
        let near = |wall: &Wall| plane::apart(&unit.corners(), &[wall.from, wall.to]) <= reach;
        let walls = self.roof.walls.iter().enumerate();
        let higher: Vec<usize> =
            walls.filter(|(_, wall)| wall.height_m > unit.height_m && near(wall)).map(|(wall, _)| wall).collect();
        let under = (0..self.roof.walls.len()).map(|wall| (vec![wall], unit.base_height_m));
        let level = higher.iter().map(|wall| (vec![*wall], unit.height_m));
        under.chain(level).chain([(higher.clone(), unit.height_m)]).collect()
    }

    /// What brings the warm air at a unit under what it may be.
    pub(super) fn air(&self, index: usize) -> Vec<Vec<Tries<'_>>> {
        let (returning, allowed) = (&self.returning, self.returning.allowed(index));
        // The wind that brings most first: a change that does not help shows there.
        let maximum = |sector: &usize| returning.winds.get(*sector).and_then(|wind| wind.rises.get(index)).copied();
        let first =
            (0..SECTORS).max_by(|a, b| maximum(a).unwrap_or(0.0).total_cmp(&maximum(b).unwrap_or(0.0))).unwrap_or(0);
        let settles = move |job: &Job, set: &[Change]| {
            let dilution = match (set, &job.roof) {
                ([Change::UnitAt(unit, _) | Change::UnitHeight(unit, ..)], Some(roof)) => {
                    Some(returning.dilution.with_unit(job, roof, *unit))
                }
                _ => self.solved.dilution(job),
            };
            dilution.is_some_and(|dilution| dilution.all_under(index, allowed, first).is_some())
        };
        let worst = self.study.warm_air.get(index).and_then(|warm| warm.worst.as_ref());
        let giver = worst.filter(|worst| worst.other_K.is_some_and(|other| other > worst.own_K));
        let giver = giver.and_then(|worst| worst.other.as_ref());
        let giver = giver.and_then(|name| self.roof.units.iter().position(|unit| unit.name == *name));
        let movers: Vec<usize> = std::iter::once(index).chain(giver).collect();
        // The walls that catch its own air, then those that catch the air of the one that gives most.
        let walls: Vec<(Vec<usize>, f64)> = movers.iter().flat_map(|unit| self.walls_that_catch(*unit)).collect();
        let opened = self.opened(walls.iter().map(|(walls, _)| walls.clone()).collect(), settles);
        let shifted = vec![self.moved(index, &movers, settles), self.raised(index, settles), opened];
        vec![shifted, vec![self.lowered(walls, settles)]]
    }

    /// The walls that catch a unit's air, and the height of its top: each by itself, then all of them.
    fn walls_that_catch(&self, index: usize) -> Vec<(Vec<usize>, f64)> {
        let Some(unit) = self.roof.units.get(index) else { return Vec::new() };
        let standing = obstacles(self.roof);
        let mut all: Vec<usize> = Vec::new();
        for face in faces(unit) {
            for (obstacle, _) in catching(self.job, self.roof, &standing, index, &face) {
                if let What::Wall(wall) = obstacle.what {
                    all.push(wall);
                }
            }
        }
        all.sort_unstable();
        all.dedup();
        let each = all.iter().map(|wall| (vec![*wall], unit.height_m)).collect::<Vec<_>>();
        let together = (all.len() > 1).then_some((all, unit.height_m));
        each.into_iter().chain(together).collect()
    }

    /// Moves of any of these units that settle it for the first, the shortest first: over a grid along the unit's own sides, in steps
    /// of half a foot or 0.1 m along one of them and twice that along two, straight over free roof.
    pub(super) fn moved<'s>(
        &'s self,
        index: usize,
        movers: &[usize],
        settles: impl Fn(&Job, &[Change]) -> bool + 's,
    ) -> Tries<'s> {
        self.settling(self.moves(index, movers), settles)
    }

    /// All moves of these units, the shortest first and of equal ones the unit's own.
    pub(super) fn moves<'s>(&'s self, index: usize, movers: &[usize]) -> impl Iterator<Item = Vec<Change>> + use<'s> {
        let step = step(self.job.units);
        let ways = ways(self.job.units).into_iter();
        let mut all: Vec<((i32, i32), usize)> =
            ways.flat_map(|way| movers.iter().map(move |mover| (way, *mover))).collect();
        all.sort_by_key(|((x, y), mover)| (x * x + y * y, *x != 0 && *y != 0, *mover != index));
        let change = move |((x, y), mover): ((i32, i32), usize)| {
            let unit = self.roof.units.get(mover)?;
            let way = Xy::new(f64::from(x) * step, f64::from(y) * step).turned(unit.rotation_deg);
            is_way_clear(self.roof, mover, unit, way).then(|| vec![Change::UnitAt(mover, unit.at.plus(way))])
        };
        all.into_iter().filter_map(change)
    }

    /// The unit set down by a crane at another place of the roof where it has all its room, the nearest first.
    fn elsewhere(&self, index: usize) -> Tries<'_> {
        let (Some(unit), outline) = (self.roof.units.get(index), &self.roof.outline) else {
            return Box::new(std::iter::empty());
        };
        let span = |of: fn(&Xy) -> f64| {
            let least = outline.iter().map(of).fold(f64::INFINITY, f64::min);
            (least, outline.iter().map(of).fold(f64::NEG_INFINITY, f64::max))
        };
        let spans = [span(|corner| corner.x_m), span(|corner| corner.y_m)];
        let longest = spans.iter().map(|(from, to)| to - from).fold(0.0, f64::max);
        // Every 2 ft or half a metre, coarser on a large roof.
        let step = step(self.job.units) * if self.job.units == System::Ip { 4.0 } else { 5.0 };
        let step = step * (longest / (PLACES * step)).ceil().max(1.0);
        let along = |(from, to): (f64, f64), at: f64| {
            let (first, last) = (((from - at) / step).ceil(), ((to - at) / step).floor());
            let ways = std::iter::successors(Some(first), |way| Some(way + 1.0)).take_while(|way| *way <= last);
            ways.map(|way| way * step).collect::<Vec<f64>>()
        };
        let [across, up] = [along(spans[0], unit.at.x_m), along(spans[1], unit.at.y_m)];
        let ways = across.iter().flat_map(|x| up.iter().map(|y| Xy::new(*x, *y)));
        let is_free = |way: &Xy| is_clear(self.roof, index, &unit.corners().map(|corner| corner.plus(*way)));
        let mut ways: Vec<Xy> = ways.filter(is_free).collect();
        ways.sort_by(|a, b| a.length().total_cmp(&b.length()));
        let has_room = move |job: &Job, _: &[Change]| {
            let found = job.roof.as_ref().and_then(|roof| clearance(job, roof, &obstacles(roof), index));
            found.is_some_and(|it| it.working_short_m() <= 0.0 && it.sunk_m() <= 0.0 && it.sides_short_m() <= 0.0)
        };
        let change = move |way: Xy| vec![Change::UnitAt(index, unit.at.plus(way))];
        Box::new(self.settling(ways.into_iter().map(change), has_room).take(ELSEWHERE))
    }

    /// Whether no unit is shifted farther from where it is drawn than one is moved; a place elsewhere on the roof is no shift.
    pub(super) fn is_near(&self, drawn: &Roof, changes: &[Change]) -> bool {
        let maximum = f64::from(farthest(self.job.units)) * step(self.job.units) + 1e-6;
        changes.iter().all(|change| match change {
            Change::UnitAt(index, at) => {
                let is_near =
                    |roof: &Roof| roof.units.get(*index).is_some_and(|unit| at.minus(unit.at).length() <= maximum);
                is_near(drawn) || !is_near(self.roof)
            }
            _ => true,
        })
    }

    /// A unit on a higher frame, up to 5 ft or 1.5 m, but not over the top of another that is near, whose warm air it would take.
    fn raised<'s>(&'s self, index: usize, settles: impl Fn(&Job, &[Change]) -> bool + 's) -> Tries<'s> {
        let steps = match self.job.units {
            System::Ip => 1..=10,
            System::Si => 1..=15,
        };
        let step = step(self.job.units);
        let Some(unit) = self.roof.units.get(index) else { return Box::new(std::iter::empty()) };
        let up = steps.map(move |number| f64::from(number) * step);
        let free = up.take_while(move |up| !is_over_another(self.job, self.roof, index, unit.base_height_m + up));
        let change = move |up: f64| vec![Change::UnitHeight(index, unit.height_m + up, unit.base_height_m + up)];
        self.settling(free.map(change), settles)
    }

    /// Walls no higher than that, where that leaves walls.
    fn lowered<'s>(
        &'s self,
        walls: Vec<(Vec<usize>, f64)>,
        settles: impl Fn(&Job, &[Change]) -> bool + 's,
    ) -> Tries<'s> {
        let change = move |(walls, height): (Vec<usize>, f64)| {
            let lower = |index: usize| {
                let wall = self.roof.walls.get(index).filter(|wall| wall.height_m > height)?;
                (height >= LOWERED_SHARE * wall.height_m).then_some(Change::WallHeight(index, height))
            };
            walls.into_iter().map(lower).collect::<Option<Vec<Change>>>()
        };
        self.settling(walls.into_iter().filter_map(change), settles)
    }

    /// Screens of which so much is open that they catch nothing. A wall without any opening may be a building's: it is left alone.
    fn opened<'s>(&'s self, screens: Vec<Vec<usize>>, settles: impl Fn(&Job, &[Change]) -> bool + 's) -> Tries<'s> {
        let open = self.job.limit("screen_open");
        let change = move |walls: Vec<usize>| {
            let opened = |index: usize| {
                self.roof.walls.get(index).filter(|wall| wall.open > 0.0 && wall.open < open)?;
                Some(Change::WallOpen(index, open))
            };
            walls.into_iter().map(opened).collect::<Option<Vec<Change>>>()
        };
        self.settling(screens.into_iter().filter_map(change), settles)
    }

    /// Those of these sets of changes that are any and settle it by themselves.
    fn settling<'s>(
        &'s self,
        sets: impl Iterator<Item = Vec<Change>> + 's,
        settles: impl Fn(&Job, &[Change]) -> bool + 's,
    ) -> Tries<'s> {
        let mut job = self.job.clone();
        let good = move |set: &Vec<Change>| {
            job.roof.clone_from(&self.job.roof);
            for change in set {
                change.apply(&mut job);
            }
            !set.is_empty() && settles(&job, set)
        };
        Box::new(sets.map(|set| self.written(set)).filter(good))
    }
}

/// The farthest that a unit is shifted, in steps: 15 ft, or 5 m. Its frame, pipework and cable follow so far; beyond that it stands in
/// another place, to which it goes only where no shift helps.
const fn farthest(system: System) -> i32 {
    match system {
        System::Ip => 30,
        System::Si => 50,
    }
}

/// All ways in steps: along one side, or along two in double steps.
fn ways(system: System) -> Vec<(i32, i32)> {
    let maximum = farthest(system);
    let straight = (1..=maximum).flat_map(|n| [(0, n), (n, 0), (0, -n), (-n, 0)]);
    let twice = (-maximum / 2..=maximum / 2).map(|n| 2 * n);
    let aslant = twice.clone().flat_map(|x| twice.clone().map(move |y| (x, y)));
    let aslant = aslant.filter(|(x, y)| *x != 0 && *y != 0 && x * x + y * y <= maximum * maximum);
    straight.chain(aslant).collect()
}

/// Whether a unit can be moved straight there: all the ground that it sweeps is on the roof and free.
fn is_way_clear(roof: &Roof, index: usize, unit: &RoofUnit, way: Xy) -> bool {
    let from = unit.corners();
    let to = from.map(|corner| corner.plus(way));
    is_clear(roof, index, &to) && is_clear(roof, index, &plane::hull(&[from, to].concat()))
}

/// Whether a unit that stands so high would stand over the top of another that is near.
fn is_over_another(job: &Job, roof: &Roof, index: usize, base_height_m: f64) -> bool {
    let Some(unit) = roof.units.get(index) else { return false };
    let corners = unit.corners();
    let others = roof.units.iter().enumerate();
    let mut below = others.filter(|(number, other)| *number != index && other.height_m <= base_height_m + 1e-9);
    let reach = |other: &RoofUnit| job.limit("clearance_pit") * unit.narrow_m().max(other.narrow_m());
    below.any(|(_, other)| plane::apart(&corners, &other.corners()) <= reach(other))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::Solved;
    use crate::roof::testing::{FOOT, planned, solved, wall};

    /// By hand: the unit is 7.5 ft wide, from 2 ft to 8 ft high, and its south side stands at 45 ft, so that a pit reaches 15 ft.
    #[test]
    fn walls_of_a_pit_come_down_to_the_top_of_the_unit_each_and_together_and_any_to_its_underside() {
        let job = planned(|roof| {
            (roof.units[0].base_height_m, roof.units[0].height_m) = (2.0 * FOOT, 8.0 * FOOT);
            for (at, height) in [(42.0, 12.0), (30.0, 9.0), (29.0, 20.0), (43.0, 8.0)] {
                roof.walls.push(wall("wall", (80.0, at), (120.0, at), height));
            }
        });
        let of_circuits = Solved::of(&job, solved());
        let found = Plan::of(&job, &of_circuits).map(|plan| plan.walls_in_the_way(0)).unwrap_or_default();
        let under = (0..4).map(|wall| (vec![wall], 2.0 * FOOT));
        let level = [vec![0], vec![1], vec![0, 1]].map(|walls| (walls, 8.0 * FOOT));
        assert_eq!(found, under.chain(level).collect::<Vec<_>>());
    }
}
