//! The course of a year, hour by hour: what it holds is all that the answers are made of.

use super::Moment;
use super::hours::{Hours, Slot, profile};
use super::service::{Duty, Fleet, duties};
use super::stage::Stages;
use super::stand::{Runner, Stand};
use super::table::{Before, Demand, Ran, Table};
use crate::job::{Circuit, Job};
use crate::machine::MachineFault;
use crate::survey::SurveyFault;
use crate::weather::Weather;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The course of a year.
#[derive(Clone, Debug)]
pub struct Course {
    pub(super) hours: Hours,
    pub(super) fleet: Fleet,
    pub(super) duties: Vec<Duty>,
    pub(super) tables: Vec<Table>,
    /// For each circuit and hour how it ran.
    rans: Vec<Vec<Ran>>,
}

/// A circuit in an hour.
#[derive(Clone, Debug)]
pub struct CircuitHour {
    /// How many of its kind run.
    pub copies: u32,
    /// How it stands, and for what part of the hour; for the rest it is off.
    pub stands: Vec<(Stand, f64)>,
}

/// An hour of the year.
#[derive(Clone, Debug)]
pub struct Hour {
    /// When.
    pub moment: Moment,
    /// Capacity of all machines, W.
    pub capacity: f64,
    /// The circuits, in the order of the job.
    pub circuits: Vec<CircuitHour>,
}

/// How far a course has come.
pub(super) struct Progress<'a> {
    pub told: &'a (dyn Fn(f64) + Sync),
    /// Share of the whole that this course is, and where it begins.
    pub from: f64,
    pub share: f64,
}

impl Progress<'_> {
    /// So many pieces of a part of this course.
    fn parts(&self, count: usize, from: f64, share: f64) -> impl Fn() + Sync {
        let done = AtomicUsize::new(0);
        let (begins, of) = (self.from + from * self.share, share * self.share);
        move || {
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            #[expect(clippy::cast_precision_loss, reason = "a count of pieces")]
            let part = (done as f64 / count.max(1) as f64).min(1.0);
            (self.told)(begins + of * part);
        }
    }
}

fn fault(circuit: &Circuit, fault: MachineFault) -> SurveyFault {
    SurveyFault { circuit: circuit.name.clone(), fault: Box::new(fault) }
}

/// A runner for each circuit.
pub(super) fn runners(job: &Job) -> Result<Vec<(Runner<'_>, Stages)>, Vec<SurveyFault>> {
    let mut runners = Vec::new();
    let mut faults = Vec::new();
    for circuit in &job.circuits {
        match Runner::new(job, circuit) {
            Ok(runner) => runners.push((runner, Stages::of(circuit))),
            Err(cause) => faults.push(fault(circuit, cause)),
        }
    }
    if faults.is_empty() { Ok(runners) } else { Err(faults) }
}

/// A course that was run before; of which circuits it is not the same.
type Known<'a> = Option<(&'a Course, &'a [bool])>;

fn known(before: Known<'_>, circuit: usize) -> Option<Before<'_>> {
    let (course, changed) = before?;
    Some(Before { table: course.tables.get(circuit)?, unchanged: !changed.get(circuit).copied().unwrap_or(true) })
}

impl Course {
    /// What a job's machines can carry in each hour of its year, and what of them is asked; not how they then run. What a course
    /// before it holds is taken over where it is the same.
    pub(super) fn standing(
        job: &Job,
        weather: &Weather,
        runners: &[(Runner, Stages)],
        before: Known,
        progress: &Progress,
    ) -> Self {
        let hours = Hours::new(weather, &profile(job));
        let fleet = Fleet::of(job);
        let stages = runners.iter().map(|(_, stages)| stages.steps.len()).sum();
        let done = progress.parts(stages, 0.0, 0.6);
        let tables: Vec<Table> = runners
            .par_iter()
            .enumerate()
            .map(|(i, (runner, stages))| Table::new(runner, stages, &hours.temperatures, known(before, i), &done))
            .collect();
        let duties = duties(job, &hours, &fleet, &tables);
        Self { hours, fleet, duties, tables, rans: Vec::new() }
    }

    /// The same, and how the machines then run.
    pub(super) fn run(self, runners: &[(Runner, Stages)], before: Known, progress: &Progress) -> Self {
        let Self { hours, fleet, duties, mut tables, .. } = self;
        let done = progress.parts(runners.len(), 0.6, 0.4);
        let rans: Vec<Vec<Ran>> = tables
            .par_iter_mut()
            .zip(runners)
            .enumerate()
            .map(|(i, (table, (runner, stages)))| {
                let demand = |(slot, duty): (&Slot, &Duty)| -> Option<Demand> {
                    let runs = duty.share > 0.0 && fleet.copies(duty.machines, i) > 0;
                    runs.then(|| (u32::try_from(slot.at).unwrap_or(u32::MAX), duty.share))
                };
                let asked: Vec<Option<Demand>> = hours.slots.iter().zip(&duties).map(demand).collect();
                let demands = asked.iter().flatten().copied().collect();
                table.ask(runner, stages, &hours.temperatures, demands, known(before, i), &done);
                asked
                    .into_iter()
                    .map(|demand| demand.map(|demand| table.ran(stages, demand)).unwrap_or_default())
                    .collect()
            })
            .collect();
        Self { hours, fleet, duties, tables, rans }
    }

    /// How many hours it has: those of the weather file that have a temperature.
    #[must_use]
    pub fn len(&self) -> usize {
        self.hours.slots.len()
    }

    /// Whether it has none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.hours.slots.is_empty()
    }

    /// The stands at which a circuit ran in an hour, each with its part of it.
    pub(super) fn stands(&self, circuit: usize, hour: usize) -> impl Iterator<Item = (&Stand, f64)> {
        let ran = self.rans.get(circuit).and_then(|rans| rans.get(hour)).copied().unwrap_or_default();
        let at = self.hours.slots.get(hour).map_or(usize::MAX, |slot| slot.at);
        let table = self.tables.get(circuit);
        ran.into_iter().flatten().filter_map(move |(place, part)| Some((table?.stand(at, place)?, part)))
    }

    /// When an hour is.
    pub(super) fn moment(&self, job: &Job, hour: usize) -> Option<Moment> {
        let (slot, duty) = (self.hours.slots.get(hour)?, self.duties.get(hour)?);
        let record = job.weather.as_ref()?.records.get(slot.record)?;
        Some(Moment {
            month: record.month,
            day: record.day,
            hour: record.hour,
            outdoor_K: *self.hours.temperatures.get(slot.at)?,
            load_W: Some(duty.load).filter(|load| load.is_finite()),
        })
    }

    /// An hour, counted among those that have a temperature.
    #[must_use]
    pub fn hour(&self, job: &Job, hour: usize) -> Option<Hour> {
        let duty = self.duties.get(hour)?;
        let circuits = (0..self.tables.len())
            .map(|circuit| {
                let stands: Vec<(Stand, f64)> =
                    self.stands(circuit, hour).map(|(stand, part)| (*stand, part)).collect();
                let copies = if stands.is_empty() { 0 } else { self.fleet.copies(duty.machines, circuit) };
                CircuitHour { copies, stands }
            })
            .collect();
        Some(Hour { moment: self.moment(job, hour)?, capacity: duty.capacity, circuits })
    }
}
