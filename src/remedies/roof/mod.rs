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
use super::resort::is_by_a_hair;
use super::trial::Score;
use super::{Change, Cost, Remedy};
use crate::job::{Job, Rail, Roof, Wall, Xy};
use crate::roof::recirculation::Returning;
use crate::roof::{RoofStudy, Solved, edge};
use crate::rules::{Finding, Place, Verdict, check_site};
use crate::survey::Survey;
use crate::units::{Kind, System, factor};
use rayon::prelude::*;

/// Sets of changes, the cheapest first: the first that does is the remedy.
type Tries<'a> = Box<dyn Iterator<Item = Vec<Change>> + 'a>;

/// A plan, and what the rules find of it.
struct Plan<'a> {
    job: &'a Job,
    roof: &'a Roof,
    study: RoofStudy,
    solved: &'a Solved<'a>,
    returning: Returning<'a>,
    findings: Vec<Finding>,
}

/// How many rounds of one change after another are made.
const ROUNDS: usize = 12;
/// How many moves that bring a plan nearer are studied in a round.
const STUDIED: usize = 8;

/// The remedies of every finding of the roof that fails or is a caution, in the order of the findings; none where none was found. Of
/// several any one does.
#[must_use]
pub(crate) fn of_the_roof(job: &Job, survey: &Survey, findings: &[Finding]) -> Vec<Vec<Remedy>> {
    let solved = Solved::of(job, survey);
    let Some(plan) = Plan::of(job, &solved) else { return vec![Vec::new(); findings.len()] };
    findings.par_iter().map(|finding| plan.remedies(finding)).collect()
}

/// Changes of the roof, one after another, until nothing of it fails and cautions are as few as can be, or nothing more helps.
pub(super) fn mend(job: &Job, drawn: &Roof, survey: &Survey) -> Vec<Change> {
    let solved = Solved::of(job, survey);
    let mut changes = Vec::new();
    for _ in 0..ROUNDS {
        let now = with(job, &changes);
        let Some(step) = Plan::of(&now, &solved).and_then(|plan| plan.step(drawn)) else { break };
        let walls = job.roof.as_ref().map_or(0, |roof| roof.walls.len());
        for change in step {
            join(&mut changes, change, walls);
        }
    }
    without_the_needless(job, &solved, changes)
}

/// Adds a change, in the place of one of the same thing; a change of a new wall changes that.
pub(super) fn join(changes: &mut Vec<Change>, change: Change, walls: usize) {
    if let Change::WallHeight(index, _) | Change::WallOpen(index, _) = change
        && let Some(new) = index.checked_sub(walls)
    {
        let mut new_walls = changes.iter_mut().filter_map(|change| match change {
            Change::NewWall(wall) => Some(wall),
            _ => None,
        });
        match (new_walls.nth(new), change) {
            (Some(wall), Change::WallHeight(_, height)) => wall.height_m = height,
            (Some(wall), Change::WallOpen(_, open)) => wall.open = open,
            _ => {}
        }
        return;
    }
    let thing = |change: &Change| match change {
        Change::UnitAt(unit, _) => Some(("at", *unit)),
        Change::UnitHeight(unit, ..) => Some(("height", *unit)),
        Change::NightSpeed(unit, _) | Change::NightSound(unit, _) => Some(("night", *unit)),
        Change::Sound(unit, _) => Some(("sound", *unit)),
        Change::WallHeight(wall, _) => Some(("wall height", *wall)),
        Change::WallOpen(wall, _) => Some(("wall open", *wall)),
        _ => None,
    };
    if let Some(of) = thing(&change) {
        changes.retain(|other| thing(other) != Some(of));
    }
    changes.push(change);
}

/// What the rules find of a changed plan.
fn found(job: &Job, solved: &Solved, changes: &[Change]) -> Option<Vec<Finding>> {
    let job = with(job, changes);
    Some(check_site(&job, Some(&solved.study(&job, true)?), None))
}

/// Without the changes that are not needed for what all together reach.
fn without_the_needless(job: &Job, solved: &Solved, mut changes: Vec<Change>) -> Vec<Change> {
    let score = |changes: &[Change]| found(job, solved, changes).map(|findings| Score::of(0, &findings));
    let Some(all) = score(&changes) else { return changes };
    for at in (0..changes.len()).rev() {
        let mut rest = changes.clone();
        rest.remove(at);
        if score(&rest).is_some_and(|rest| !all.is_better(rest)) {
            changes = rest;
        }
    }
    changes
}

impl<'a> Plan<'a> {
    /// Of a job; `solved` is of one with the same circuits.
    fn of(job: &'a Job, solved: &'a Solved<'a>) -> Option<Self> {
        let (roof, study) = (job.roof.as_ref()?, solved.study(job, true)?);
        let findings = check_site(job, Some(&study), None);
        Some(Self { job, roof, study, solved, returning: solved.returning(job)?, findings })
    }
}

impl Plan<'_> {
    fn remedies(&self, finding: &Finding) -> Vec<Remedy> {
        let remedy = |(changes, after): (Vec<Change>, Vec<Finding>)| Remedy {
            changes,
            effect: effect(&self.findings, &after),
            cost: Cost::NONE,
        };
        self.found(finding).into_iter().map(remedy).collect()
    }

    /// What settles a finding and makes none graver, with what the rules find then.
    fn found(&self, finding: &Finding) -> Vec<(Vec<Change>, Vec<Finding>)> {
        if finding.verdict < Verdict::Caution {
            return Vec::new();
        }
        let does = |mut way: Tries| way.find_map(|set| self.tried(finding, set));
        let found = self.ways(finding).into_iter().map(|ways| ways.into_iter().filter_map(does).collect::<Vec<_>>());
        found.into_iter().find(|found| !found.is_empty()).unwrap_or_default()
    }

    /// The next change: for the gravest finding that any change settles the one that leaves minimum, else a move that brings the plan
    /// nearer to what is asked.
    fn step(&self, drawn: &Roof) -> Option<Vec<Change>> {
        let mut wrong: Vec<&Finding> =
            self.findings.iter().filter(|finding| finding.verdict >= Verdict::Caution).collect();
        wrong.sort_by_key(|finding| std::cmp::Reverse(finding.verdict));
        wrong.retain(|finding| !is_by_a_hair(finding));
        let better = |finding: &Finding| {
            let mut sets = self.found(finding);
            sets.retain(|(changes, _)| self.is_near(drawn, changes));
            let mut scored = sets.into_iter().map(|(changes, after)| (Score::of(0, &after), changes));
            let first = scored.next()?;
            let best = scored.fold(first, |best, next| if next.0.is_better(best.0) { next } else { best });
            best.0.is_better(Score::of(0, &self.findings)).then_some(best.1)
        };
        let mut fails = wrong.iter().filter(|finding| finding.verdict == Verdict::Fail && finding.rule == "clearance");
        wrong
            .iter()
            .find_map(|finding| better(finding))
            .or_else(|| fails.find_map(|finding| self.nearer(drawn, finding)))
    }

    /// A move of a unit, or of one that stands in its way, that brings the plan nearer to its room.
    fn nearer(&self, drawn: &Roof, finding: &Finding) -> Option<Vec<Change>> {
        let Some(Place::Unit(index) | Place::UnitSide(index, _) | Place::Controls(index, _) | Place::Pit(index)) =
            finding.place
        else {
            return None;
        };
        let room = |changes: &[Change]| {
            let job = with(self.job, changes);
            Some(Score::of(0, &check_site(&job, Some(&RoofStudy::of_room(&job)?), None)))
        };
        let before = room(&[])?;
        let moves: Vec<Vec<Change>> = self.moves(index, &self.movers(index)).map(|set| self.written(set)).collect();
        let near = moves.into_par_iter().filter(|set| self.is_near(drawn, set));
        let mut nearer: Vec<(Score, Vec<Change>)> =
            near.filter_map(|set| Some((room(&set).filter(|score| score.is_better(before))?, set))).collect();
        nearer.sort_by(|a, b| a.0.partial_cmp(&b.0).unwrap_or(std::cmp::Ordering::Equal));
        let now = Score::of(0, &self.findings);
        let does = |set: &Vec<Change>| {
            found(self.job, self.solved, set).is_some_and(|after| Score::of(0, &after).is_better(now))
        };
        nearer.into_iter().map(|(_, set)| set).take(STUDIED).find(does)
    }

    fn written(&self, set: Vec<Change>) -> Vec<Change> {
        set.into_iter().map(|change| written(self.job, change)).collect()
    }

    /// What is tried; what stands later only where nothing before it does.
    fn ways<'s>(&'s self, finding: &'s Finding) -> Vec<Vec<Tries<'s>>> {
        match (finding.rule, &finding.place) {
            (
                "clearance",
                Some(Place::Unit(unit) | Place::UnitSide(unit, _) | Place::Controls(unit, _) | Place::Pit(unit)),
            ) => self.room(*unit, finding),
            ("recirculation", Some(Place::Unit(unit))) => self.air(*unit),
            ("roof-edge", Some(Place::Unit(unit))) => vec![self.guard(*unit)],
            ("sound", Some(Place::Listener(listener))) => vec![self.quieter(*listener, finding)],
            _ => Vec::new(),
        }
    }

    /// A set of changes with what the rules find then, where the finding is gone with it and none is graver.
    fn tried(&self, finding: &Finding, changes: Vec<Change>) -> Option<(Vec<Change>, Vec<Finding>)> {
        let changes = self.written(changes);
        let job = with(self.job, &changes);
        let no_graver = |study: &RoofStudy| {
            let after = check_site(&job, Some(study), None);
            is_nothing_graver(&self.findings, &after).then_some(after)
        };
        // Most of what is tried fails for room, which is soon seen.
        no_graver(&RoofStudy::of_room(&job)?)?;
        let after = no_graver(&self.solved.study(&job, true)?)?;
        is_settled(finding, &after).then_some((changes, after))
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
    fn guard(&self, index: usize) -> Vec<Tries<'_>> {
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
pub(super) fn with(job: &Job, changes: &[Change]) -> Job {
    let mut job = job.clone();
    for change in changes {
        change.apply(&mut job);
    }
    job
}

/// A change with its places and heights as they are written in the job's file.
fn written(job: &Job, change: Change) -> Change {
    let length = |metres: f64| as_written(Kind::Length, metres, job);
    let place = |at: Xy| written_at(job, at);
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

/// A place as it is written in the job's file.
fn written_at(job: &Job, at: Xy) -> Xy {
    Xy::new(as_written(Kind::Length, at.x_m, job), as_written(Kind::Length, at.y_m, job))
}

/// How finely places and heights on a roof are given, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
