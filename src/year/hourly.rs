//! The year hour by hour: what it holds is all that the answers are made of.

use super::Moment;
use super::dispatch::{Duty, Fleet, duties, undecided};
use super::hours::{Hours, Slot, profile};
use super::operating_point::{CircuitModel, OperatingPoint};
use super::part_load::{Demand, Operation, Performance};
use super::stage::Stages;
use crate::job::{Circuit, Job};
use crate::machine::MachineFault;
use crate::survey::SurveyFault;
use crate::weather::Weather;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The year of a job, hour by hour.
#[derive(Clone, Debug)]
pub struct Hourly {
    pub(super) hours: Hours,
    pub(super) fleet: Fleet,
    pub(super) duties: Vec<Duty>,
    pub(super) performances: Vec<Performance>,
    /// For each circuit and hour how it ran.
    operations: Vec<Vec<Operation>>,
}

/// A circuit in an hour.
#[derive(Clone, Debug)]
pub struct CircuitHour {
    /// How many of its kind run.
    pub copies: u32,
    /// How it runs, and for what part of the hour; for the rest it is off.
    pub points: Vec<(OperatingPoint, f64)>,
}

/// An hour of the year.
#[derive(Clone, Debug)]
pub struct Hour {
    /// When.
    pub moment: Moment,
    /// Capacity of all chillers, W.
    pub capacity_W: f64,
    /// The circuits, in the order of the job.
    pub circuits: Vec<CircuitHour>,
}

/// How far a year has come.
pub(super) struct Progress<'a> {
    pub told: &'a (dyn Fn(f64) + Sync),
    /// Share of the whole that this part is, and where it begins.
    pub from: f64,
    pub share: f64,
}

impl Progress<'_> {
    /// So many pieces of a part of it.
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

/// Each circuit ready for its year, with its stages.
pub(super) fn models(job: &Job) -> Result<Vec<(CircuitModel<'_>, Stages)>, Vec<SurveyFault>> {
    let mut models = Vec::new();
    let mut faults = Vec::new();
    for circuit in &job.circuits {
        match CircuitModel::new(job, circuit) {
            Ok(model) => models.push((model, Stages::of(circuit))),
            Err(cause) => faults.push(fault(circuit, cause)),
        }
    }
    if faults.is_empty() { Ok(models) } else { Err(faults) }
}

impl Hourly {
    /// What a job's chillers can carry in each hour of its year, and what of them is asked; not how they then run. `known` is what is
    /// known of a circuit from an earlier run in the same weather.
    pub(super) fn dispatched<'k>(
        job: &Job,
        weather: &Weather,
        models: &[(CircuitModel, Stages)],
        known: &(dyn Fn(usize) -> Option<&'k Performance> + Sync),
        progress: &Progress,
    ) -> Self {
        let hours = Hours::new(weather, &profile(job));
        let fleet = Fleet::of(job);
        let done = progress.parts(models.len(), 0.0, 0.5);
        let performance = |(i, (model, stages)): (usize, &(CircuitModel, Stages))| {
            let performance = known(i).cloned().unwrap_or_else(|| Performance::new(model, stages, &hours.temperatures));
            done();
            performance
        };
        let mut performances: Vec<Performance> = models.par_iter().enumerate().map(performance).collect();
        let mut duties = self::duties(job, &hours, &fleet, &performances);
        let undecided = undecided(job, &hours, &fleet, &performances, models, &duties);
        if !undecided.is_empty() {
            performances.par_iter_mut().zip(models).for_each(|(performance, (model, stages))| {
                performance.solve_alone(model, stages, &hours.temperatures, &undecided);
            });
            duties = self::duties(job, &hours, &fleet, &performances);
        }
        Self { hours, fleet, duties, performances, operations: Vec::new() }
    }

    /// The same, and how the chillers then run.
    pub(super) fn run(mut self, models: &[(CircuitModel, Stages)], progress: &Progress) -> Self {
        let Self { hours, fleet, duties, performances, .. } = &self;
        let done = progress.parts(models.len(), 0.5, 0.5);
        let operations = performances.par_iter().zip(models).enumerate().map(|(i, (performance, (model, stages)))| {
            let demand = |(slot, duty): (&Slot, &Duty)| -> Option<Demand> {
                (duty.share > 0.0 && fleet.copies(duty.machines, i) > 0).then_some((slot.at, duty.share))
            };
            let demands: Vec<Option<Demand>> = hours.slots.iter().zip(&*duties).map(demand).collect();
            let operations = performance.run(model, stages, &hours.temperatures, &demands);
            done();
            operations
        });
        self.operations = operations.collect();
        self
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

    /// The operating points at which a circuit ran in an hour, each with its part of it.
    pub(super) fn points(&self, circuit: usize, hour: usize) -> impl Iterator<Item = &(OperatingPoint, f64)> {
        let operation = self.operations.get(circuit).and_then(|operations| operations.get(hour));
        operation.into_iter().flatten().flatten()
    }

    /// Capacity of each chiller at each temperature, W.
    pub(super) fn capacities(&self) -> Vec<Vec<f64>> {
        (0..self.hours.temperatures.len()).map(|at| self.fleet.capacities(&self.performances, at)).collect()
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
            load_W: duty.load_W,
        })
    }

    /// An hour, counted among those that have a temperature.
    #[must_use]
    pub fn hour(&self, job: &Job, hour: usize) -> Option<Hour> {
        let duty = self.duties.get(hour)?;
        let circuits = (0..self.performances.len())
            .map(|circuit| {
                let points: Vec<(OperatingPoint, f64)> = self.points(circuit, hour).copied().collect();
                let copies = if points.is_empty() { 0 } else { self.fleet.copies(duty.machines, circuit) };
                CircuitHour { copies, points }
            })
            .collect();
        Some(Hour { moment: self.moment(job, hour)?, capacity_W: duty.capacity_W, circuits })
    }
}
