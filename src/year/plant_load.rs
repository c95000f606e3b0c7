//! The plant against its load over the year.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]

use super::answer::{Margin, PlantYear, Shortfall};
use super::dispatch::SLACK;
use super::energy::HOUR;
use super::hourly::Hourly;
use crate::job::{Job, Plant};

/// More modules than this are no remedy.
const MOST_MORE: u32 = 99;

/// The plant in an hour, W.
struct Carried {
    hour: usize,
    capacity: f64,
    /// What the modules that are out would give.
    lost: f64,
    load: f64,
    /// What a module more like the largest would give.
    largest: f64,
}

impl Carried {
    fn spare(&self) -> f64 {
        self.capacity - self.load
    }
}

/// The year of the plant; none where no hour of it has a temperature.
pub(super) fn plant(job: &Job, hourly: &Hourly, plant: &Plant) -> Option<PlantYear> {
    let out = hourly.fleet.out(plant, &hourly.capacities);
    let name = |module: &usize| hourly.fleet.modules[*module].0.clone();
    let hour = |(hour, slot): (usize, &super::hours::Slot)| {
        let (of_each, duty) = (&hourly.capacities[slot.at], &hourly.duties[hour]);
        let lost = out.iter().map(|module| of_each[*module]).sum();
        let largest = of_each[*out.first()?];
        Some(Carried { hour, capacity: duty.capacity, lost, load: duty.load?, largest })
    };
    let all: Vec<Carried> = hourly.hours.slots.iter().enumerate().filter_map(hour).collect();
    let left = |of: &Carried| Carried { capacity: (of.capacity - of.lost).max(0.0), ..*of };
    let without: Vec<Carried> = all.iter().map(left).collect();
    let hot = all.iter().filter(|of| hourly.hours.slots[of.hour].at == 0);
    let heaviest = hot.reduce(|a, b| if b.load > a.load { b } else { a })?;
    Some(PlantYear {
        load_W: plant.load.value,
        greatest_load_W: all.iter().map(|of| of.load).fold(0.0, f64::max),
        spare: plant.spare,
        short: shortfall(job, hourly, plant, &all),
        short_without: shortfall(job, hourly, plant, &without),
        out: u32::try_from(out.len()).unwrap_or(u32::MAX),
        out_names: out.iter().map(name).collect(),
        out_capacity_W: worst(&without).map_or(0.0, |of| of.lost),
        largest: out.first().map(name).unwrap_or_default(),
        hottest: Margin {
            moment: hourly.moment(job, heaviest.hour)?,
            capacity_W: heaviest.capacity,
            capacity_without_W: heaviest.capacity - heaviest.lost,
        },
        warm_air: None,
    })
}

/// The hour with the least to spare.
fn worst(hours: &[Carried]) -> Option<&Carried> {
    hours.iter().reduce(|least, one| if one.spare() < least.spare() { one } else { least })
}

/// Hours short of the load.
fn shortfall(job: &Job, hourly: &Hourly, plant: &Plant, hours: &[Carried]) -> Shortfall {
    let each = hourly.hours.each;
    let short = |more: u32| {
        let spares = hours.iter().map(|of| (of.spare() + f64::from(more) * of.largest, of.load));
        spares
            .filter(|(spare, load)| *spare < -SLACK * *load)
            .fold((0.0, 0.0), |(hours, missing), (spare, _)| (hours + each, missing - spare * each * HOUR))
    };
    let worst = worst(hours);
    // Of hours in which nothing is asked for any load is carried; of a year without a balance none is known.
    let known = hours.iter().any(|of| of.capacity > 0.0);
    let carried = hours.iter().filter(|of| known && of.load > 0.0).map(|of| of.capacity / of.load).reduce(f64::min);
    let (short_hours, missing_J) = short(0);
    let allowed = job.limit("year_load");
    Shortfall {
        hours: short_hours,
        worst: worst.and_then(|of| hourly.moment(job, of.hour)),
        capacity_W: worst.map_or(0.0, |of| of.capacity),
        spare_W: worst.map_or(0.0, Carried::spare),
        missing_J,
        largest_W: worst.map_or(0.0, |of| of.largest),
        more: if short_hours > allowed { (1..=MOST_MORE).find(|more| short(*more).0 <= allowed) } else { Some(0) },
        carried_W: carried.map(|carried| carried * plant.load.value),
    }
}
