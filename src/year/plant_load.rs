//! The plant against its load over the year.

use super::answer::{Margin, PlantYear, Shortfall};
use super::dispatch::SLACK;
use super::energy::HOUR;
use super::hourly::Hourly;
use crate::job::{Job, Plant};

/// More modules than this are no remedy.
const MAXIMUM_MORE: u32 = 99;

/// The year of the plant; none where no hour of it has a temperature.
pub(super) fn plant(job: &Job, hourly: &Hourly, plant: &Plant) -> Option<PlantYear> {
    let slots = &hourly.hours.slots;
    let capacities = hourly.capacities();
    let gone = &hourly.fleet.out(plant.spare, &hourly.performances);
    let largest = gone.get(..gone.len().min(1))?;
    let of = |modules: &[usize]| -> Vec<f64> {
        let at = |slot: &super::hours::Slot| {
            let of_each = capacities.get(slot.at).map(Vec::as_slice).unwrap_or_default();
            modules.iter().filter_map(|module| of_each.get(*module)).sum()
        };
        slots.iter().map(at).collect()
    };
    let (lost, of_largest) = (of(gone), of(largest));
    let (short, _) = shortfall(job, hourly, &of_largest, None);
    let (short_without, worst) = shortfall(job, hourly, &of_largest, Some(&lost));
    let names = |modules: &[usize]| -> Vec<String> {
        modules.iter().filter_map(|module| hourly.fleet.modules.get(*module)).map(|(name, _)| name.clone()).collect()
    };
    let load = |hour: &usize| hourly.duties.get(*hour).and_then(|duty| duty.load_W).unwrap_or_default();
    let hot = (0..slots.len()).filter(|hour| slots[*hour].at == 0);
    let heaviest = hot.reduce(|a, b| if load(&b) > load(&a) { b } else { a })?;
    let capacity_W = hourly.duties.get(heaviest)?.capacity_W;
    Some(PlantYear {
        load_W: plant.load.value,
        greatest_load_W: (0..slots.len()).map(|hour| load(&hour)).fold(0.0, f64::max),
        spare: plant.spare,
        short,
        short_without,
        out: u32::try_from(gone.len()).unwrap_or(u32::MAX),
        out_names: names(gone),
        out_capacity_W: worst.and_then(|hour| lost.get(hour)).copied().unwrap_or_default(),
        largest: names(largest).pop().unwrap_or_default(),
        hottest: Margin {
            moment: hourly.moment(job, heaviest)?,
            capacity_W,
            capacity_without_W: capacity_W - lost.get(heaviest)?,
        },
        warm_air: None,
    })
}

/// Hours short of the load with so much capacity (W, by hour) lost, and the hour with the minimum to spare; `largest` is what a module
/// more gives, W, by hour.
fn shortfall(job: &Job, hourly: &Hourly, largest: &[f64], lost: Option<&[f64]>) -> (Shortfall, Option<usize>) {
    let each = hourly.hours.each_h;
    let hours: Vec<(f64, f64)> = hourly
        .duties
        .iter()
        .enumerate()
        .filter_map(|(hour, duty)| {
            let lost = lost.and_then(|lost| lost.get(hour)).copied().unwrap_or_default();
            Some(((duty.capacity_W - lost).max(0.0), duty.load_W?))
        })
        .collect();
    let short = |more: u32| {
        let spares =
            hours.iter().zip(largest).map(|((capacity, load), one)| (capacity + f64::from(more) * one - load, load));
        spares
            .filter(|(spare, load)| *spare < -SLACK * *load)
            .fold((0.0, 0.0), |(hours, missing), (spare, _)| (hours + each, missing - spare * each * HOUR))
    };
    let spare = |hour: usize| hours.get(hour).map_or(f64::INFINITY, |(capacity, load)| capacity - load);
    let worst = (0..hours.len()).reduce(|minimum, one| if spare(one) < spare(minimum) { one } else { minimum });
    let there = worst.and_then(|hour| hours.get(hour)).copied().unwrap_or_default();
    // Of hours in which nothing is required any load is carried.
    let carried = hours.iter().filter(|(_, load)| *load > 0.0).map(|(capacity, load)| capacity / load);
    let carried = carried.reduce(f64::min).unwrap_or_default();
    let (short_hours, missing_J) = short(0);
    let allowed = job.limit("year_load");
    let shortfall = Shortfall {
        hours: short_hours,
        worst: worst.and_then(|hour| hourly.moment(job, hour)),
        capacity_W: there.0,
        spare_W: there.0 - there.1,
        missing_J,
        largest_W: worst.and_then(|hour| largest.get(hour)).copied().unwrap_or_default(),
        more: if short_hours > allowed { (1..=MAXIMUM_MORE).find(|more| short(*more).0 <= allowed) } else { Some(0) },
        carried_W: job.plant.as_ref().map(|plant| carried * plant.load.value).filter(|carried| *carried > 0.0),
    };
    (shortfall, worst)
}
