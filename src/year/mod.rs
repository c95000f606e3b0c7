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
        missing_hours: hourly.hours.missing_h,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{self, Plant, Profile, Running};
    use crate::units::{Pressure, watts};
    use std::path::Path;
    use std::sync::Arc;

    /// A job in a year whose temperatures are rounded, so that few differ.
    fn rounded(file: &str) -> Job {
        let mut job = job::open(Path::new(file)).unwrap();
        let mut weather = crate::weather::open(Path::new("tests/data/weather/typical_year_45N_8E.epw")).unwrap();
        for record in &mut weather.records {
            record.dry_bulb_K = record.dry_bulb_K.map(|kelvin| (2.0 * kelvin).round() / 2.0);
        }
        job.weather = Some(Arc::new(weather));
        job
    }

    fn with_load(mut job: Job, of_full: f64, running: Running) -> Job {
        let week = (0..168).map(|hour| 0.3 + 0.7 * (f64::from(hour) * 0.37).sin().abs()).collect();
        let full: f64 = year(&Job { plant: None, ..job.clone() }, &|_| {})
            .unwrap()
            .unwrap()
            .circuits
            .iter()
            .map(|circuit| circuit.hottest_capacity_W.unwrap_or_default() * f64::from(circuit.copies))
            .sum();
        job.plant = Some(Plant { load: watts(of_full * full), spare: 1, profile: Profile::Week(week), running });
        job
    }

    /// The hours that are counted, in all.
    fn counts(year: &Year) -> Vec<f64> {
        let of_circuit = |circuit: &CircuitYear| {
            let CircuitYear { unsolved, falls, starves, trips, near_cutout, flash, oil, .. } = circuit;
            let spells = [unsolved, falls, starves, trips, near_cutout, flash, oil].map(|spell| spell.hours);
            [circuit.running_hours].into_iter().chain(spells).collect::<Vec<f64>>()
        };
        let of_plant = year.plant.iter().flat_map(|plant| [plant.short.hours, plant.short_without.hours]);
        year.circuits.iter().flat_map(of_circuit).chain(of_plant).collect()
    }

    /// Counts, and energies to 0.1 %, as with every hour solved by itself; how many counts are neither none nor all.
    fn as_alone(what: &str, job: &Job) -> usize {
        let weather = job.weather.as_ref().unwrap();
        let models = models(job).unwrap();
        let temperatures = hours::Hours::new(weather, &Profile::Constant).temperatures;
        let as_drawn = models.par_iter().map(|(model, stages)| Performance::alone(model, stages, &temperatures));
        let known = KnownCircuits { as_drawn: as_drawn.collect(), floating: Vec::new() };
        let (alone, _) = run(job, Some(Earlier { known: &known, unchanged: &|_| true }), &|_| {}).unwrap().unwrap();
        let drawn = year(job, &|_| {}).unwrap().unwrap();
        assert_eq!(counts(&drawn), counts(&alone), "{what}");
        for (drawn, alone) in drawn.circuits.iter().zip(&alone.circuits) {
            let off = |of: fn(&Energy) -> f64| (of(&drawn.energy) / of(&alone.energy) - 1.0).abs();
            assert!(off(Energy::all_J) <= 1e-3, "{what}, {}: {}", drawn.name, off(Energy::all_J));
            assert!(off(|energy| energy.cooling_J) <= 1e-3, "{what}, {}", drawn.name);
        }
        counts(&alone).into_iter().filter(|count| *count > 0.0 && *count < alone.hours).count()
    }

    /// The cut-out so low that it opens in some hours.
    fn with_low_cutout(mut job: Job) -> Job {
        for circuit in &mut job.circuits {
            let model =
                CircuitModel::new(&job::open(Path::new("examples/bottling-hall.toml")).unwrap(), circuit).unwrap();
            let point = model.solve(302.2, Stage { share: 1.0, bypass: 0.0 }, &mut operating_point::Start::default());
            circuit.condenser.cutout = Some(Pressure::from_pascals(point.unwrap().discharge_Pa));
        }
        job
    }

    #[test]
    fn counts_are_those_of_every_hour_solved_by_itself() {
        let twelve = with_load(rounded("examples/plant-of-twelve.toml"), 0.9, Running::Few);
        assert!(as_alone("in steps", &twelve) >= 4);
        let low = with_load(with_low_cutout(rounded("examples/bottling-hall.toml")), 1.0, Running::All);
        assert!(as_alone("at the cut-out", &low) >= 4);
        let mut variable = rounded("examples/plant-of-twelve.toml");
        for circuit in &mut variable.circuits {
            circuit.compressors.minimum_share = 0.2;
        }
        let variable = with_load(variable, 1.0, Running::All);
        assert!(as_alone("of variable speed", &variable) >= 4);
        assert!(as_alone("as drawn", &with_load(rounded("examples/as-drawn.toml"), 0.95, Running::All)) >= 1);
        assert!(as_alone("with the condenser below", &with_low_cutout(rounded("examples/condenser-below.toml"))) >= 2);
    }
}
