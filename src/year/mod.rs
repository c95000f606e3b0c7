//! A year of weather through the balance: every hour, every circuit.
//!
//! Nothing of an hour matters to a circuit but its outdoor temperature and its stage or share: each circuit has a performance map over
//! both. From all compressors follows what the chillers can carry in each hour, from that and the load which of them run and how.
//! Hours that are counted are exact: what is near to a threshold is solved by itself.

mod answer;
mod counted_hours;
mod dispatch;
mod energy;
mod floating_head;
mod hourly;
mod hours;
mod operating_point;
mod part_load;
mod performance_map;
mod plant_load;
mod stage;

pub use answer::*;
pub use hourly::{CircuitHour, Hour, Hourly};
pub use operating_point::OperatingPoint;
pub use stage::Stage;

use crate::job::{Circuit, Job};
use crate::survey::SurveyFault;
use crate::units::kelvins;
use crate::weather::Weather;
use hourly::{Progress, models};
use operating_point::CircuitModel;
use part_load::Performance;
use rayon::prelude::*;
use stage::Stages;

/// A year of which nobody is told how far it is.
const UNTOLD: Progress<'static> = Progress { told: &|_| {}, from: 0.0, share: 1.0 };

/// What a year knows of each circuit by itself, for another of the same weather, site and limits.
#[derive(Clone, Debug)]
pub struct KnownCircuits {
    as_drawn: Vec<Performance>,
    /// The temperature to which the head floats, and how it runs then.
    floating: Vec<Option<(f64, Performance)>>,
}

/// An earlier year, and whether a circuit is still as it was then: itself and all of its condenser's surroundings.
#[derive(Clone, Copy)]
pub struct Earlier<'a> {
    /// What it knows of the circuits.
    pub known: &'a KnownCircuits,
    /// Whether the circuit of that number is unchanged.
    pub unchanged: &'a (dyn Fn(usize) -> bool + Sync),
}

impl<'a> Earlier<'a> {
    fn as_drawn(&self, circuit: usize) -> Option<&'a Performance> {
        self.known.as_drawn.get(circuit).filter(|_| (self.unchanged)(circuit))
    }

    fn floating(&self, circuit: usize) -> Option<&'a (f64, Performance)> {
        self.known.floating.get(circuit)?.as_ref().filter(|_| (self.unchanged)(circuit))
    }
}

/// Runs the year of a job; none where no weather file is named. `told` hears how much of it is done, from 0 to 1.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn year(job: &Job, told: &(dyn Fn(f64) + Sync)) -> Result<Option<Year>, Vec<SurveyFault>> {
    Ok(run(job, None, told)?.map(|(year, _)| year))
}

/// The same for a job of which some circuits may be as they were in an earlier year: those are not solved again.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn run(
    job: &Job,
    earlier: Option<Earlier>,
    told: &(dyn Fn(f64) + Sync),
) -> Result<Option<(Year, KnownCircuits)>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let models = models(job)?;
    let known = |i: usize| earlier.and_then(|earlier| earlier.as_drawn(i));
    let progress = Progress { told, from: 0.0, share: 0.6 };
    let hourly = Hourly::dispatched(job, weather, &models, &known, &progress).run(&models, &progress);
    let circuit = |(i, (circuit, model)): (usize, (&Circuit, &(CircuitModel, Stages)))| {
        counted_hours::circuit(job, &hourly, i, circuit, model)
    };
    let (mut circuits, counts): (Vec<CircuitYear>, Vec<Vec<Counts>>) =
        job.circuits.par_iter().zip(&models).enumerate().map(circuit).unzip();
    let progress = Progress { told, from: 0.6, share: 0.4 };
    let (energy_floating, floating) = let_float(job, weather, &hourly, earlier, &mut circuits, &progress)?;
    let year = Year {
        hours: counted_hours::hours(&hourly),
        missing_hours: hourly.hours.missing,
        plant: job.plant.as_ref().and_then(|plant| plant_load::plant(job, &hourly, plant)),
        energy: energy::total(circuits.iter().map(|circuit| circuit.energy)),
        circuits,
        floating: energy_floating,
        course: counted_hours::course(job, &hourly, &counts),
    };
    Ok(Some((year, KnownCircuits { as_drawn: hourly.performances, floating })))
}

/// Looks at the high-pressure switch and at the load in a year with so much warm air returning to each circuit in every hour (K),
/// where it is given.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn with_warm_air(job: &Job, year: &mut Year, rises: &[Option<f64>]) -> Result<(), Vec<SurveyFault>> {
    let Some(weather) = job.weather.as_ref().filter(|_| rises.iter().any(Option::is_some)) else { return Ok(()) };
    let mut warm = job.clone();
    for (circuit, rise) in warm.circuits.iter_mut().zip(rises) {
        circuit.condenser.recirculation = rise.map(kelvins).or(circuit.condenser.recirculation);
    }
    let models = models(&warm)?;
    let hourly = Hourly::dispatched(&warm, weather, &models, &|_| None, &UNTOLD);
    for (i, (circuit, model)) in warm.circuits.iter().zip(&models).enumerate() {
        if let (Some(rise), Some(told)) = (rises.get(i).copied().flatten(), year.circuits.get_mut(i)) {
            let (of, _) = counted_hours::circuit(&warm, &hourly, i, circuit, model);
            let trip_hours = of.trips.hours + of.unsolved.hours;
            told.warm_air = Some(WithWarmAir { recirculation_K: rise, trip_hours, near_hours: of.near_cutout.hours });
        }
    }
    let of_plant = warm.plant.as_ref().and_then(|plant| plant_load::plant(&warm, &hourly, plant));
    if let (Some(told), Some(of)) = (&mut year.plant, of_plant) {
        let (short_hours, short_without_hours) = (of.short.hours, of.short_without.hours);
        told.warm_air = Some(PlantWithWarmAir { short_hours, short_without_hours });
    }
    Ok(())
}

/// The year of a job hour by hour; none where no weather file is named.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn hourly(job: &Job) -> Result<Option<Hourly>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let models = models(job)?;
    Ok(Some(Hourly::dispatched(job, weather, &models, &|_| None, &UNTOLD).run(&models, &UNTOLD)))
}

/// Energy of all circuits let float, and what is known of each that floats.
type Afloat = (Option<Energy>, Vec<Option<(f64, Performance)>>);

/// Runs the year again with every head let float that may, and tells each circuit what that takes.
fn let_float(
    job: &Job,
    weather: &Weather,
    held: &Hourly,
    earlier: Option<Earlier>,
    circuits: &mut [CircuitYear],
    progress: &Progress,
) -> Result<Afloat, Vec<SurveyFault>> {
    let Some(coldest) = held.hours.temperatures.last().copied() else { return Ok((None, Vec::new())) };
    let level = |(i, circuit): (usize, &Circuit)| {
        let acts = (0..held.len()).any(|hour| held.points(i, hour).any(|(point, _)| point.controlled()));
        let known = earlier.and_then(|earlier| earlier.floating(i)).map(|(level, _)| *level);
        acts.then(|| known.or_else(|| floating_head::level(job, circuit, &Stages::of(circuit), coldest))).flatten()
    };
    let levels: Vec<Option<f64>> = job.circuits.par_iter().enumerate().map(level).collect();
    if levels.iter().all(Option::is_none) {
        return Ok((None, Vec::new()));
    }
    let mut floating = job.clone();
    for (circuit, level) in floating.circuits.iter_mut().zip(&levels) {
        if let Some(level) = level {
            *circuit = floating_head::holding(circuit, *level);
        }
    }
    let models = models(&floating)?;
    let known = |i: usize| match levels.get(i)? {
        Some(_) => earlier.and_then(|earlier| earlier.floating(i)).map(|(_, performance)| performance),
        None => held.performances.get(i),
    };
    let hourly = Hourly::dispatched(&floating, weather, &models, &known, progress).run(&models, progress);
    let energies = floating.circuits.iter().enumerate().map(|(i, circuit)| energy::of_circuit(&hourly, i, circuit));
    let energies: Vec<Energy> = energies.collect();
    for (i, (year, energy)) in circuits.iter_mut().zip(&energies).enumerate() {
        let (Some(to), Some((model, _))) = (levels.get(i).copied().flatten(), models.get(i)) else { continue };
        year.floating = job.circuits.get(i).and_then(floating_head::held).map(|held_at| Floating {
            held_K: held_at,
            to_K: to,
            energy: *energy,
            flash_hours: counted_hours::flash_hours(&hourly, i, model),
        });
    }
    let known = levels.into_iter().zip(hourly.performances).map(|(level, performance)| Some((level?, performance)));
    Ok((Some(energy::total(energies.into_iter())), known.collect()))
}
