//! The year hour by hour: what it holds is all that the answers are made of.

use super::answer::Moment;
use super::dispatch::{Duty, Fleet};
use super::hours::Hours;
use super::operating_point::{CircuitModel, OperatingPoint};
use super::part_load::{Demand, Operation, Performance};
use crate::job::Job;
use crate::survey::SurveyFault;
use crate::weather::Weather;
use rayon::prelude::*;

/// The year of a job, hour by hour.
#[derive(Clone, Debug)]
pub struct Hourly {
    pub(super) hours: Hours,
    pub(super) fleet: Fleet,
    /// Capacity of each machine at each temperature, W.
    pub(super) capacities: Vec<Vec<f64>>,
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
    /// Capacity of all machines, W.
    pub capacity: f64,
    /// The circuits, in the order of the job.
    pub circuits: Vec<CircuitHour>,
}

/// Each circuit ready for its year.
pub(super) fn models(job: &Job) -> Result<Vec<CircuitModel<'_>>, Vec<SurveyFault>> {
    let (models, faults): (Vec<_>, Vec<_>) =
        job.circuits.iter().map(|circuit| CircuitModel::new(job, circuit)).partition(Result::is_ok);
    if faults.is_empty() {
        return Ok(models.into_iter().filter_map(Result::ok).collect());
    }
    Err(faults.into_iter().filter_map(Result::err).collect())
}

impl Hourly {
    /// What a job's machines can carry in each hour of its year, and what of them is asked; not how they then run. `known` is what is
    /// known of a circuit in the same weather; `done` hears when a circuit is.
    pub(super) fn dispatched(
        job: &Job,
        weather: &Weather,
        models: &[CircuitModel],
        known: &(dyn Fn(usize) -> Option<Performance> + Sync),
        done: &(dyn Fn() + Sync),
    ) -> Self {
        let hours = Hours::new(weather, job.plant.as_ref());
        let temperatures = &hours.temperatures;
        let performance = |(i, model): (usize, &CircuitModel)| {
            let performance = known(i).unwrap_or_else(|| Performance::new(model, temperatures));
            done();
            performance
        };
        let mut performances: Vec<Performance> = models.par_iter().enumerate().map(performance).collect();
        let fleet = Fleet::of(job);
        let mut capacities = fleet.capacities(&performances, temperatures.len());
        if let Some(plant) = &job.plant {
            let close = fleet.close_calls(plant, &hours, &capacities);
            performances.par_iter_mut().zip(models).for_each(|(performance, model)| {
                close.iter().for_each(|at| performance.solve(model, *at, temperatures[*at]));
            });
            capacities = fleet.capacities(&performances, temperatures.len());
        }
        let duties =
            hours.slots.iter().map(|slot| fleet.duty(job.plant.as_ref(), slot, &capacities[slot.at])).collect();
        Self { hours, fleet, capacities, duties, performances, operations: Vec::new() }
    }

    /// The same, and how the machines then run.
    pub(super) fn run(mut self, models: &[CircuitModel], done: &(dyn Fn() + Sync)) -> Self {
        let Self { hours, fleet, duties, performances, .. } = &mut self;
        let of_circuit = |(i, (performance, model)): (usize, (&mut Performance, &CircuitModel))| {
            let runs = |duty: &Duty| duty.share > 0.0 && fleet.copies(duty.machines, i) > 0;
            let demands = hours.slots.iter().zip(&*duties);
            let demands: Vec<Option<Demand>> =
                demands.map(|(slot, duty)| runs(duty).then_some((slot.at, duty.share))).collect();
            let operations = performance.run(model, &hours.temperatures, &demands);
            done();
            operations
        };
        self.operations = performances.par_iter_mut().zip(models).enumerate().map(of_circuit).collect();
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

    /// When an hour is.
    pub(super) fn moment(&self, job: &Job, hour: usize) -> Option<Moment> {
        let (slot, duty) = (self.hours.slots.get(hour)?, self.duties.get(hour)?);
        let record = job.weather.as_ref()?.records.get(slot.record)?;
        Some(Moment {
            month: record.month,
            day: record.day,
            hour: record.hour,
            outdoor_K: *self.hours.temperatures.get(slot.at)?,
            load_W: duty.load,
        })
    }

    /// An hour, counted among those that have a temperature.
    #[must_use]
    pub fn hour(&self, job: &Job, hour: usize) -> Option<Hour> {
        let duty = self.duties.get(hour)?;
        let circuit = |circuit: usize| {
            let points: Vec<(OperatingPoint, f64)> = self.points(circuit, hour).copied().collect();
            let copies = if points.is_empty() { 0 } else { self.fleet.copies(duty.machines, circuit) };
            CircuitHour { copies, points }
        };
        let circuits = (0..self.performances.len()).map(circuit).collect();
        Some(Hour { moment: self.moment(job, hour)?, capacity: duty.capacity, circuits })
    }
}
