//! A year of weather through the balance: every hour, every circuit.
//!
//! Nothing of an hour matters to a circuit but its outdoor temperature and its stage or share: each circuit has a performance map over
//! both. From all compressors follows what the machines can carry in each hour, from that and the load which of them run and how.
//! Hours that are counted are exact: what is near to a threshold is solved by itself.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]

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

use crate::job::Job;
use crate::survey::SurveyFault;
use crate::units::kelvins;
use crate::weather::Weather;
use hourly::models;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU32, Ordering};

/// Runs the year of a job; none where no weather file is named. `told` hears how much of it is done, from 0 to 1.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn year(job: &Job, told: &(dyn Fn(f64) + Sync)) -> Result<Option<Year>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let models = models(job)?;
    let pieces = AtomicU32::new(0);
    let done = || {
        // Each circuit twice as drawn and twice let float.
        #[expect(clippy::cast_precision_loss, reason = "a count of circuits")]
        let all = 4.0 * models.len() as f64;
        told(f64::from(pieces.fetch_add(1, Ordering::Relaxed) + 1) / all);
    };
    let hourly = Hourly::dispatched(job, weather, &models, &|_| None, &done).run(&models, &done);
    let circuit = |(i, model)| counted_hours::circuit(job, &hourly, i, model);
    let mut circuits: Vec<CircuitYear> = models.par_iter().enumerate().map(circuit).collect();
    let floating = let_float(job, weather, &hourly, &mut circuits, &done)?;
    told(1.0);
    Ok(Some(Year {
        hours: hourly.hours.counted(),
        missing_hours: hourly.hours.missing,
        plant: job.plant.as_ref().and_then(|plant| plant_load::plant(job, &hourly, plant)),
        energy: energy::total(circuits.iter().map(|circuit| circuit.energy)),
        circuits,
        floating,
    }))
}

/// Looks at the high-pressure switch and at the load in a year with so much warm air returning to each circuit in every hour (K),
/// where it is given.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn with_warm_air(job: &Job, year: &mut Year, rises: &[Option<f64>]) -> Result<(), Vec<SurveyFault>> {
    let Some(weather) = job.weather.as_ref().filter(|_| rises.iter().any(Option::is_some)) else { return Ok(()) };
    let mut warm = job.clone();
    for (circuit, rise) in warm.circuits.iter_mut().zip(rises) {
        circuit.condenser.recirculation = rise.map(kelvins).or(circuit.condenser.recirculation);
    }
    let models = models(&warm)?;
    let hourly = Hourly::dispatched(&warm, weather, &models, &|_| None, &|| {});
    for (i, ((told, rise), model)) in year.circuits.iter_mut().zip(rises).zip(&models).enumerate() {
        let Some(recirculation_K) = *rise else { continue };
        let of = counted_hours::circuit(&warm, &hourly, i, model);
        let trip_hours = of.trips.hours + of.unsolved.hours;
        told.warm_air = Some(WithWarmAir { recirculation_K, trip_hours, near_hours: of.near_cutout.hours });
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
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn hourly(job: &Job) -> Result<Option<Hourly>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let models = models(job)?;
    Ok(Some(Hourly::dispatched(job, weather, &models, &|_| None, &|| {}).run(&models, &|| {})))
}

/// Runs the year again with every head let float that may, tells each circuit what that takes, and answers what all take.
fn let_float(
    job: &Job,
    weather: &Weather,
    held: &Hourly,
    circuits: &mut [CircuitYear],
    done: &(dyn Fn() + Sync),
) -> Result<Option<Energy>, Vec<SurveyFault>> {
    let Some(coldest) = held.hours.temperatures.last().copied() else { return Ok(None) };
    let level = |i: usize| {
        let acts = (0..held.len()).any(|hour| held.points(i, hour).any(|(point, _)| point.controlled()));
        acts.then(|| floating_head::level(job, &job.circuits[i], coldest)).flatten()
    };
    let levels: Vec<Option<f64>> = (0..job.circuits.len()).into_par_iter().map(level).collect();
    if levels.iter().all(Option::is_none) {
        return Ok(None);
    }
    let mut floating = job.clone();
    for (circuit, level) in floating.circuits.iter_mut().zip(&levels) {
        if let Some(level) = level {
            *circuit = floating_head::holding(circuit, *level);
        }
    }
    let models = models(&floating)?;
    let as_held = |i: usize| levels[i].is_none().then(|| held.performances[i].clone());
    let hourly = Hourly::dispatched(&floating, weather, &models, &as_held, done).run(&models, done);
    let years = models.par_iter().enumerate().map(|(i, model)| counted_hours::circuit(&floating, &hourly, i, model));
    let years: Vec<CircuitYear> = years.collect();
    for ((told, level), (circuit, year)) in circuits.iter_mut().zip(levels).zip(job.circuits.iter().zip(&years)) {
        let levels = floating_head::held(circuit).zip(level);
        let (energy, flash_hours) = (year.energy, year.flash.hours);
        told.floating = levels.map(|(held_K, to_K)| Floating { held_K, to_K, energy, flash_hours });
    }
    Ok(Some(energy::total(years.iter().map(|year| year.energy))))
}
