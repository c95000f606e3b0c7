//! What would mend a plan: a unit moved or set higher, walls lower or more open, a rail; fans that are slower at night, quieter
//! units, a wall that screens. What is tried is cheapest first and settles the finding by itself; then the changed plan is studied,
//! all rules of the roof look at it, and it is taken only where the finding is gone and none is graver.

mod quiet;
mod screen;
mod shift;
#[cfg(test)]
mod tests;

use super::change::as_written;
use super::compare::{effect, is_nothing_graver, is_settled};
use super::{Change, Cost, Remedy};
use crate::job::{Job, Rail, Roof, Wall, Xy};
use crate::roof::recirculation::Returning;
use crate::roof::{RoofStudy, Solved, edge};
use crate::rules::{Finding, Place, Verdict, check_site};
use crate::survey::Survey;
use crate::units::{Kind, System, factor};
use rayon::prelude::*;

/// Sets of changes, the cheapest first: the first that does is the remedy.
type Way<'a> = Box<dyn Iterator<Item = Vec<Change>> + 'a>;

/// A plan as drawn, and what the rules find of it.
struct Plan<'a> {
    job: &'a Job,
    roof: &'a Roof,
    study: &'a RoofStudy,
    solved: &'a Solved<'a>,
    returning: Returning<'a>,
    findings: Vec<Finding>,
}

/// The remedies of every finding of the roof that fails or is a caution, in the order of the findings; none where none was found. Of
/// several any one does.
#[must_use]
pub fn of_the_roof(job: &Job, survey: &Survey, study: &RoofStudy, findings: &[Finding]) -> Vec<Vec<Remedy>> {
    let solved = Solved::of(job, survey);
    let (Some(roof), Some(returning)) = (&job.roof, solved.returning(job)) else {
        return vec![Vec::new(); findings.len()];
    };
    let solved = &solved;
    let before = solved.study(job, true).map_or_else(Vec::new, |judged| check_site(job, Some(&judged), None));
    let plan = Plan { job, roof, study, solved, returning, findings: before };
    findings.par_iter().map(|finding| plan.remedies(finding)).collect()
}

impl Plan<'_> {
    fn remedies(&self, finding: &Finding) -> Vec<Remedy> {
        if finding.verdict < Verdict::Caution {
            return Vec::new();
        }
        self.ways(finding).into_iter().filter_map(|mut way| way.find_map(|set| self.tried(finding, set))).collect()
    }

    fn ways<'s>(&'s self, finding: &'s Finding) -> Vec<Way<'s>> {
        match (finding.rule, &finding.place) {
            (
                "clearance",
                Some(Place::Unit(unit) | Place::UnitSide(unit, _) | Place::Controls(unit, _) | Place::Pit(unit)),
            ) => self.room(*unit, finding),
            ("recirculation", Some(Place::Unit(unit))) => self.air(*unit),
            ("roof-edge", Some(Place::Unit(unit))) => self.guard(*unit),
            ("sound", Some(Place::Listener(listener))) => self.quieter(*listener, finding),
            _ => Vec::new(),
        }
    }

    /// What a set of changes does, where the finding is gone with it and none is graver.
    fn tried(&self, finding: &Finding, changes: Vec<Change>) -> Option<Remedy> {
        let changes: Vec<Change> = changes.into_iter().map(|change| written(self.job, change)).collect();
        let job = with(self.job, &changes);
        let no_graver = |study: &RoofStudy| {
            let after = check_site(&job, Some(study), None);
            is_nothing_graver(&self.findings, &after).then_some(after)
        };
        // Most of what is tried fails for room, which is soon seen.
        no_graver(&RoofStudy::of_room(&job)?)?;
        let after = no_graver(&self.solved.study(&job, true)?)?;
        is_settled(finding, &after).then(|| Remedy {
            changes,
            effect: effect(&self.findings, &after),
            cost: Cost::NONE,
        })
    }

    /// A rail that is no shorter and no lower where it is written to a tenth.
    fn longer(&self, rail: Rail) -> Rail {
        let tenth = match self.job.units {
            System::Ip => 0.1 * factor::FOOT,
            System::Si => 0.1,
        };
        let way = rail.to.minus(rail.from);
        // At a corner of the roof rails meet, and need no more.
        let is_corner = |end: Xy| self.roof.outline.iter().any(|corner| corner.minus(end).length() < 1e-6);
        let more = |end: Xy| if is_corner(end) { Xy::default() } else { way.times(tenth / way.length()) };
        let height_m = (rail.height_m / tenth - 1e-6).ceil() * tenth;
        Rail { from: rail.from.minus(more(rail.from)), to: rail.to.plus(more(rail.to)), height_m }
    }

    /// What takes a unit away from the edge of the roof, or guards it there.
    fn guard(&self, index: usize) -> Vec<Way<'_>> {
        let is_guarded = move |job: &Job, _: &[Change]| {
            let found = job.roof.as_ref().and_then(|roof| edge::edge(job, roof, roof.units.get(index)?));
            found.is_some_and(|edge| edge.short_m <= 0.0)
        };
        let unit = self.roof.units.get(index);
        let missing = unit.map_or_else(Vec::new, |unit| edge::missing(self.job, self.roof, unit));
        let rails: Vec<Change> = missing.into_iter().map(|rail| Change::NewRail(self.longer(rail))).collect();
        vec![self.moved(index, &[index], is_guarded), Box::new(std::iter::once(rails))]
    }
}

/// The job with these changes.
fn with(job: &Job, changes: &[Change]) -> Job {
    let mut job = job.clone();
    for change in changes {
        change.apply(&mut job);
    }
    job
}

/// A change with its places and heights as they are written in the job's file.
fn written(job: &Job, change: Change) -> Change {
    let length = |metres: f64| as_written(Kind::Length, metres, job);
    let place = |at: Xy| Xy::new(length(at.x_m), length(at.y_m));
    match change {
        Change::UnitAt(unit, at) => Change::UnitAt(unit, place(at)),
        Change::UnitHeight(unit, top, stands) => Change::UnitHeight(unit, length(top), length(stands)),
        Change::WallHeight(wall, height) => Change::WallHeight(wall, length(height)),
        Change::NewWall(wall) => Change::NewWall(Wall {
            from: place(wall.from),
            to: place(wall.to),
            height_m: length(wall.height_m),
            ..wall
        }),
        Change::NewRail(rail) => {
            Change::NewRail(Rail { from: place(rail.from), to: place(rail.to), height_m: length(rail.height_m) })
        }
        change => change,
    }
}

/// How finely places and heights on a roof are given, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
