//! A year of weather through the balance: every hour, every circuit.
//!
//! Nothing of an hour matters to a circuit but its outdoor temperature and its stage: each stage is solved at the temperatures of
//! the year, close enough together that what lies between is interpolated to more digits than the balance has (`column`).
//! From all compressors follows what the machines can carry in each hour, from that and the load which of them run and at
//! which stages. What an hour holds is what `check` would say of an operating point there, to the tolerance of the balance.

mod answer;
mod column;
mod course;
mod field;
mod float;
mod hours;
mod service;
mod stage;
mod stand;
mod table;
mod tally;

pub use answer::*;
pub use course::{CircuitHour, Course, Hour};
pub use stage::Stage;
pub use stand::Stand;

use crate::job::Job;
use crate::survey::SurveyFault;
use crate::units::kelvins;
use crate::weather::Weather;
use course::{Progress, runners};
use rayon::prelude::*;

/// Runs the year of a job; none where no weather file is named. `told` hears how much of it is done, from 0 to 1.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn year(job: &Job, told: &(dyn Fn(f64) + Sync)) -> Result<Option<Year>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let runners = runners(job)?;
    let progress = Progress { told, from: 0.0, share: 0.6 };
    let course = Course::standing(job, weather, &runners, None, &progress).run(&runners, None, &progress);
    let mut circuits: Vec<CircuitYear> = job
        .circuits
        .par_iter()
        .zip(&runners)
        .enumerate()
        .map(|(i, (circuit, (_, stages)))| tally::circuit(job, &course, i, circuit, stages))
        .collect();
    let floating = let_float(job, weather, &course, &mut circuits, &Progress { told, from: 0.6, share: 0.4 })?;
    Ok(Some(Year {
        hours: tally::hours(&course),
        missing_hours: course.hours.missing,
        plant: job.plant.as_ref().filter(|_| !course.is_empty()).map(|plant| tally::plant(job, &course, plant)),
        energy: tally::total(circuits.iter().map(|circuit| circuit.energy)),
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
    let runners = runners(&warm)?;
    let course = Course::standing(&warm, weather, &runners, None, &Progress { told: &|_| {}, from: 0.0, share: 1.0 });
    for (i, (circuit, (_, stages))) in warm.circuits.iter().zip(&runners).enumerate() {
        if let (Some(rise), Some(told)) = (rises.get(i).copied().flatten(), year.circuits.get_mut(i)) {
            let of = tally::circuit(&warm, &course, i, circuit, stages);
            let trip_hours = of.trips.hours + of.unsolved.hours;
            told.warm_air = Some(WithWarmAir { recirculation_K: rise, trip_hours, near_hours: of.near_cutout.hours });
        }
    }
    if let (Some(told), Some(plant)) = (&mut year.plant, &warm.plant) {
        let of = tally::plant(&warm, &course, plant);
        let (short_hours, short_without_hours) = (of.short.hours, of.short_without.hours);
        told.warm_air = Some(PlantWithWarmAir { short_hours, short_without_hours });
    }
    Ok(())
}

/// The course of a job's year; none where no weather file is named.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn course(job: &Job) -> Result<Option<Course>, Vec<SurveyFault>> {
    let Some(weather) = &job.weather else { return Ok(None) };
    let runners = runners(job)?;
    let progress = Progress { told: &|_| {}, from: 0.0, share: 1.0 };
    Ok(Some(Course::standing(job, weather, &runners, None, &progress).run(&runners, None, &progress)))
}

/// Runs the year again with every head let float that may, and tells each circuit what that takes.
fn let_float(
    job: &Job,
    weather: &Weather,
    held: &Course,
    circuits: &mut [CircuitYear],
    progress: &Progress,
) -> Result<Option<Energy>, Vec<SurveyFault>> {
    let Some(coldest) = held.hours.temperatures.last().copied() else { return Ok(None) };
    let levels: Vec<Option<f64>> = job
        .circuits
        .par_iter()
        .enumerate()
        .map(|(i, circuit)| {
            let acts = (0..held.len()).any(|hour| held.stands(i, hour).any(|(stand, _)| stand.controlled()));
            acts.then(|| float::level(job, circuit, &stage::Stages::of(circuit), coldest)).flatten()
        })
        .collect();
    if levels.iter().all(Option::is_none) {
        return Ok(None);
    }
    let mut floating = job.clone();
    for (circuit, level) in floating.circuits.iter_mut().zip(&levels) {
        if let Some(level) = level {
            *circuit = float::holding(circuit, *level);
        }
    }
    let changed: Vec<bool> = levels.iter().map(Option::is_some).collect();
    let runners = runners(&floating)?;
    let before = Some((held, changed.as_slice()));
    let course = Course::standing(&floating, weather, &runners, before, progress).run(&runners, before, progress);
    let energies: Vec<Energy> =
        floating.circuits.par_iter().enumerate().map(|(i, circuit)| tally::energy(&course, i, circuit)).collect();
    for (i, (year, energy)) in circuits.iter_mut().zip(&energies).enumerate() {
        let (Some(to), Some(circuit)) = (levels.get(i).copied().flatten(), floating.circuits.get(i)) else { continue };
        year.floating = job.circuits.get(i).and_then(float::held).map(|held_at| Floating {
            held_K: held_at,
            to_K: to,
            energy: *energy,
            flash_hours: tally::flash_hours(&floating, &course, i, circuit),
        });
    }
    Ok(Some(tally::total(energies.into_iter())))
}
