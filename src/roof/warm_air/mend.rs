//! What brings a unit's warm air under what it may be: each change tried by studying the changed plan.

use super::super::before::{Before, Changed};
use super::super::moves::{self, Mend, Opened};
use super::super::outlet::catching;
use super::super::plan::{What, faces, obstacles};
use super::super::plume::{Plumes, SECTORS, Wind};
use super::WarmAir;
use crate::job::Roof;
use serde::Serialize;

/// Velocities of an outlet that are tried: to 4000 ft/min, which no propeller fan exceeds, m/s.
const FASTEST_M_S: f64 = 20.32;
/// In so many steps.
const VELOCITIES: u32 = 80;
/// A faster outlet is told where no more than this share of the warm air is left. The formula is not good for less of a
/// difference.
const REAL_SHARE: f64 = 0.75;

/// An outlet made faster.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Faster {
    /// The outlet.
    pub outlet: String,
    /// Its velocity then.
    pub velocity_m_s: f64,
}

/// Seeks what brings a unit under what is allowed, where it is over it. What is told is no least: the formula must
/// hold.
pub(in crate::roof) fn mend(before: &Before, index: usize, warm: &WarmAir) -> Option<(Mend, Option<Faster>)> {
    let (returning, limit) = (before.returning, warm.allowed_K);
    if !returning.is_judged(index) || warm.worst.as_ref().is_some_and(|worst| worst.rise_K < limit) {
        return None;
    }
    // The wind that brings most first: a change that does not help shows there.
    let most = |sector: &usize| returning.winds.get(*sector).and_then(|w| w.rises.get(index)).copied().unwrap_or(0.0);
    let first = (0..SECTORS).max_by(|a, b| most(a).total_cmp(&most(b))).unwrap_or(0);
    let settled = |plumes: &Plumes| plumes.all_under(index, limit, first);
    let settles = |roof: &Roof, changed: Changed| settled(&before.plumes(roof, changed)).is_some();
    let other = warm.worst.as_ref().filter(|worst| worst.other_K.is_some_and(|other| other > worst.own_K));
    let other = other.and_then(|worst| worst.other.as_ref());
    let giver = other.and_then(|name| before.roof.units.iter().position(|unit| unit.name == *name));
    let movers: Vec<usize> = std::iter::once(index).chain(giver).collect();
    // The walls that catch its own air, then those that catch the air of the one that gives most.
    let top = |unit: usize| before.roof.units.get(unit).map_or(0.0, |unit| unit.height_m);
    let round =
        |unit: &usize| walls_round(before, *unit).into_iter().map(|walls| (walls, top(*unit))).collect::<Vec<_>>();
    let catching: Vec<(Vec<usize>, f64)> = movers.iter().flat_map(round).collect();
    let mut mend = moves::moved(before, index, &movers, settles);
    mend.raise_m = moves::raised(before, index, settles);
    mend.lower = catching.iter().find_map(|(walls, top)| moves::lowered(before, walls, *top, settles));
    mend.open = catching.iter().find_map(|(walls, _)| opened(before, walls, settles));
    Some((mend, faster(before, index, warm, settled)))
}

/// The walls that catch a unit's air: each by itself, then all of them.
fn walls_round(before: &Before, index: usize) -> Vec<Vec<usize>> {
    let Some(unit) = before.roof.units.get(index) else { return Vec::new() };
    let standing = obstacles(before.roof);
    let mut all: Vec<usize> = Vec::new();
    for face in faces(unit) {
        for obstacle in catching(before.job, before.roof, &standing, index, &face) {
            if let What::Wall(wall) = obstacle.what {
                all.push(wall);
            }
        }
    }
    all.sort_unstable();
    all.dedup();
    let mut ways: Vec<Vec<usize>> = all.iter().map(|wall| vec![*wall]).collect();
    if all.len() > 1 {
        ways.push(all);
    }
    ways
}

/// Screens of which so much is open that they catch nothing. A wall without any opening may be a building's: it is left
/// alone.
fn opened(before: &Before, walls: &[usize], settles: impl Fn(&Roof, Changed) -> bool) -> Option<Opened> {
    let open = before.job.limit("screen_open");
    let mut changed = before.roof.clone();
    let mut names = Vec::new();
    for index in walls {
        let wall = changed.walls.get_mut(*index).filter(|wall| wall.open > 0.0)?;
        wall.open = open;
        names.push(wall.name.clone());
    }
    (settles(&changed, Changed::Walls) && before.nothing_worse(&changed, Changed::Walls))
        .then_some(Opened { walls: names, share: open })
}

/// The velocity at which the outlet that gives most, itself or another, would have to blow; none where that makes no
/// real difference.
fn faster(
    before: &Before,
    index: usize,
    warm: &WarmAir,
    settled: impl Fn(&Plumes) -> Option<Vec<Wind>>,
) -> Option<Faster> {
    let plumes = &before.returning.plumes;
    let own = || plumes.outlets.iter().position(|outlet| outlet.unit == Some(index));
    let other = warm.worst.as_ref().filter(|worst| worst.other_K.is_some_and(|other| other > worst.own_K));
    let other = other.and_then(|worst| worst.other.as_ref());
    let most = other.and_then(|name| plumes.outlets.iter().position(|o| o.unit != Some(index) && o.name == *name));
    let number = most.or_else(own)?;
    let outlet = plumes.outlets.get(number)?;
    let rise = warm.worst.as_ref().map_or(f64::INFINITY, |worst| worst.rise_K);
    let would_do = |velocity: f64| {
        let winds = settled(&plumes.with_velocity(before.roof, number, velocity));
        winds.is_some_and(|winds| super::level(&winds, index).rise <= REAL_SHARE * rise && before.no_warmer(&winds))
    };
    (1..=VELOCITIES)
        .map(|step| FASTEST_M_S * f64::from(step) / f64::from(VELOCITIES))
        .find(|velocity| *velocity > outlet.velocity && would_do(*velocity))
        .map(|velocity_m_s| Faster { outlet: outlet.name.clone(), velocity_m_s })
}
