//! How a plan stands before a change of it, by all that is judged on the plan, so that no mend makes anything else
//! worse.

use super::clearance::{Clearance, clearances};
use super::edge::{Edge, edges};
use super::plume::{Plumes, Wind};
use super::sound::{Heard, hear};
use super::warm_air::{self, Level, Returning};
use super::weight::{Load, loads};
use crate::job::{Job, Roof};

/// Less than this is nothing in an estimate that is good to a factor of two, K.
const TOLD_K: f64 = 0.1;
/// Less than this is not told, dB.
const TOLD_DB: f64 = 0.05;

/// What of a plan is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Changed {
    /// The place or the height of that unit.
    Unit(usize),
    /// Walls.
    Walls,
}

/// A plan before it is changed.
pub(super) struct Before<'a> {
    pub job: &'a Job,
    pub roof: &'a Roof,
    pub returning: &'a Returning<'a>,
    rooms: Vec<Vec<f64>>,
    edges: Vec<[f64; 4]>,
    levels: Vec<Level>,
    heard: Vec<Hears>,
    /// Unit by unit, what the wind does to its supports.
    held: Vec<[bool; 2]>,
    /// Whether the plant carries its load with the estimates fed back.
    carries: bool,
}

impl<'a> Before<'a> {
    pub(super) fn of(returning: &'a Returning<'a>) -> Self {
        let (job, roof) = (returning.job, returning.roof);
        let levels = (0..roof.units.len()).map(|index| warm_air::level(&returning.winds, index)).collect();
        Self {
            job,
            roof,
            returning,
            rooms: clearances(job, roof).iter().map(short_of).collect(),
            edges: edges(job, roof).iter().map(|edge| unguarded(job, edge)).collect(),
            levels,
            heard: heard(job, roof),
            held: in_the_wind(returning, roof),
            carries: carries_its_load(returning),
        }
    }

    /// The outlets and intakes of a changed plan.
    pub(super) fn plumes(&self, roof: &Roof, changed: Changed) -> Plumes {
        match changed {
            Changed::Unit(index) => self.returning.plumes.with_unit(self.job, roof, index),
            Changed::Walls => Plumes::new(self.job, roof, self.returning.survey),
        }
    }

    /// Whether after a change no finding of room, working space, guards, warm air, sound or the wind on supports is
    /// worse than before.
    pub(super) fn nothing_worse(&self, roof: &Roof, changed: Changed) -> bool {
        let no_worse = |(now, then): (&f64, &f64)| *now <= then + 1e-6;
        let rooms = clearances(self.job, roof);
        rooms.iter().zip(&self.rooms).all(|(now, then)| short_of(now).iter().zip(then).all(no_worse))
            && edges(self.job, roof)
                .iter()
                .zip(&self.edges)
                .all(|(now, then)| unguarded(self.job, now).iter().zip(then).all(no_worse))
            && self.air_is_no_worse(roof, changed)
            && in_the_wind(self.returning, roof).iter().zip(&self.held).all(|(now, then)| !worse_held(*now, *then))
            && heard(self.job, roof).iter().zip(&self.heard).all(|(now, then)| then.allows(now))
    }

    fn air_is_no_worse(&self, roof: &Roof, changed: Changed) -> bool {
        let now = self.returning.with(roof, self.plumes(roof, changed));
        self.no_warmer(&now.winds) && (!self.carries || carries_its_load(&now))
    }

    /// Whether in these winds no unit's warm air is judged worse than before.
    pub(super) fn no_warmer(&self, winds: &[Wind]) -> bool {
        self.levels.iter().enumerate().filter(|(index, _)| self.returning.is_judged(*index)).all(|(index, then)| {
            let now = warm_air::level(winds, index);
            let (caution, most) = (self.caution(index), self.returning.allowed(index));
            let grade = |level: &Level| u8::from(level.rise > caution || level.at_least) + u8::from(level.rise >= most);
            let told = now.rise > then.rise + TOLD_K && grade(&now) > 0;
            grade(&now) <= grade(then) && !told && (then.at_least || !now.at_least)
        })
    }

    /// Past that the warm air of a unit is worth a caution, K.
    fn caution(&self, index: usize) -> f64 {
        self.returning.said(index) + self.job.limit("recirculation_caution")
    }
}

/// Whether the plant has a load and carries it with the estimates fed back.
fn carries_its_load(returning: &Returning) -> bool {
    let (job, survey) = (returning.job, returning.survey);
    if job.plant.is_none() {
        return false;
    }
    let fed = warm_air::fed_back(job, returning.roof, survey, &returning.warm_air());
    warm_air::plant_then(job, survey, &fed).is_some_and(|then| then.carries_then_W >= then.load_W)
}

fn worse_held(now: [bool; 2], then: [bool; 2]) -> bool {
    now.iter().zip(then).any(|(now, then)| *now && !then)
}

fn in_the_wind(returning: &Returning, roof: &Roof) -> Vec<[bool; 2]> {
    loads(returning.job, roof, returning.survey).iter().map(Load::in_the_wind).collect()
}

/// What a unit is short of, side by side, in m and as shares of what is asked; what its controls are; how deep it lies
/// in a pit.
fn short_of(clearance: &Clearance) -> Vec<f64> {
    let sides = clearance.faces.iter().flat_map(|face| [face.short_m, face.short_m / face.asked_m.max(1e-9)]);
    sides.chain([clearance.working_short_m(), clearance.sunk_m()]).collect()
}

/// What a unit's guard is short of, how far it stands within reach of the edge, and how long a guard would be; how far it stands
/// within the reach in which those who work are to be protected, m. Nothing where none is missing.
fn unguarded(job: &Job, edge: &Edge) -> [f64; 4] {
    let at_work = edge.work_short_m(job);
    if edge.short_m <= 0.0 {
        return [0.0, 0.0, 0.0, at_work];
    }
    [edge.short_m, job.limit("guard_distance") - edge.edge_m, edge.guard_length_m.unwrap_or(0.0), at_work]
}

/// What a listener hears by day and at night, against what is allowed, dB(A).
struct Hears {
    levels: [(f64, f64); 2],
    margin: f64,
    /// Units that are too near to be told.
    near: usize,
}

fn heard(job: &Job, roof: &Roof) -> Vec<Hears> {
    let margin = job.limit("sound_margin");
    let hears = |heard: Heard| {
        let level = |level: Option<f64>, limit: Option<f64>| {
            (level.unwrap_or(f64::NEG_INFINITY), limit.unwrap_or(f64::INFINITY))
        };
        let day = level(heard.day_dBA, heard.limit_dBA);
        let night = level(heard.night_dBA, heard.night_limit_dBA);
        Hears { levels: [day, night], margin, near: heard.too_near.len() }
    };
    roof.listeners.iter().filter_map(|listener| hear(job, roof, listener)).map(hears).collect()
}

impl Hears {
    /// Whether that is judged no worse, and no louder where it is over the limit.
    fn allows(&self, now: &Hears) -> bool {
        let grade = |level: f64, limit: f64| u8::from(level > limit) + u8::from(level > limit - self.margin);
        now.near <= self.near
            && self.levels.iter().zip(&now.levels).all(|((then, limit), (now, _))| {
                grade(*now, *limit) <= grade(*then, *limit) && (now <= limit || *now < then + TOLD_DB)
            })
    }
}
