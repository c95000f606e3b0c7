//! What the hours of a course add up to.

use super::answer::{CircuitYear, Energy, Margin, PlantYear, Shortfall, Spell, Worst};
use super::course::Course;
use super::service::SLACK;
use super::stage::{Stage, Stages};
use super::stand::{Cause, Stand};
use crate::job::{Circuit, HeadControl, Job, Plant};

/// Seconds in an hour.
const HOUR: f64 = 3600.0;
/// Subcooling that no drawing knows, K.
const LIQUID_SLACK: f64 = 1e-3;

/// A spell that is being counted: its hours, and the hour with the least measure.
#[derive(Default)]
struct Counted {
    hours: f64,
    worst: Option<(usize, Stage, f64, Option<usize>)>,
    least: f64,
}

impl Counted {
    /// An hour; `measure` is the less the worse, `value` what is told.
    fn look(&mut self, hour: usize, stage: Stage, measure: f64, value: f64, run: Option<usize>) {
        if measure.is_finite() && (self.worst.is_none() || measure < self.least) {
            (self.least, self.worst) = (measure, Some((hour, stage, value, run)));
        }
    }

    fn spell(self, job: &Job, course: &Course) -> Spell {
        let worst = self.worst.and_then(|(hour, stage, value, run)| {
            let moment = course.moment(job, hour)?;
            Some(Worst { moment, share: stage.share, bypass: stage.bypass, value, run })
        });
        Spell { hours: self.hours, worst }
    }
}

/// What the fans of a circuit take at a stand, W, where it is known.
///
/// By the fan laws the power of a fan goes with the cube of its speed, and its air with the speed: fans that hold the head by
/// their speed take (air share)^3 of their power at full speed. Fans that run all the time take all of it.
///
/// Source: `fan-affinity`.
fn fans(circuit: &Circuit, stand: &Stand) -> Option<f64> {
    let full = circuit.condenser.fan_power?.value;
    Some(match circuit.condenser.head_control {
        HeadControl::Fans { .. } => full * stand.air_share.powi(3),
        HeadControl::None | HeadControl::Flooding { .. } => full,
    })
}

/// Hours that have a temperature.
pub(super) fn hours(course: &Course) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count of hours")]
    let slots = course.len() as f64;
    slots * course.hours.each
}

/// A circuit's year.
pub(super) fn circuit(job: &Job, course: &Course, index: usize, circuit: &Circuit, stages: &Stages) -> CircuitYear {
    let hours = &course.hours;
    let table = &course.tables[index];
    let top = stages.steps.last().copied().unwrap_or(Stage { share: 1.0, bypass: 0.0 });
    let cutout = circuit.condenser.cutout.map(crate::units::Pressure::pascals);
    let clear = cutout.map(|cutout| cutout * (1.0 - job.limit("cutout_margin")));
    let (lift, margin) = (job.limit("oil_lift"), job.limit("liquid_margin"));
    let [mut unsolved, mut falls, mut trips, mut near, mut flash, mut oil] = <[Counted; 6]>::default();
    let (mut running, mut capacity) = (0.0, 0.0);
    for (hour, slot) in hours.slots.iter().enumerate() {
        let outdoor = hours.temperatures.get(slot.at).copied().unwrap_or(f64::NAN);
        capacity += table.capacity(slot.at) * hours.each;
        match table.all(slot.at) {
            Ok(stand) => {
                let pressure = stand.discharge;
                trips.look(hour, top, -pressure, pressure, None);
                near.look(hour, top, -pressure, pressure, None);
                if cutout.is_some_and(|cutout| pressure >= cutout) {
                    trips.hours += hours.each;
                } else if clear.is_some_and(|clear| pressure > clear) {
                    near.hours += hours.each;
                }
            }
            Err(Cause::FallsToSuction) => {
                falls.hours += hours.each;
                falls.look(hour, top, outdoor, outdoor, None);
            }
            Err(_) => {
                unsolved.hours += hours.each;
                unsolved.look(hour, top, -outdoor, outdoor, None);
            }
        }
        let (mut runs, mut flashes, mut drops) = (false, false, false);
        for (stand, _) in course.stands(index, hour) {
            runs = true;
            let left = stand.liquid_margin(circuit, margin);
            flashes |= left < -LIQUID_SLACK;
            flash.look(hour, stand.stage, left, left, Some(stand.feed.run));
            if let Some((ratio, run)) = stand.oil {
                drops |= ratio < lift;
                oil.look(hour, stand.stage, ratio, ratio, Some(run));
            }
        }
        for (counts, hours_of) in [(runs, &mut running), (flashes, &mut flash.hours), (drops, &mut oil.hours)] {
            if counts {
                *hours_of += hours.each;
            }
        }
    }
    let counted = self::hours(course);
    CircuitYear {
        name: circuit.name.clone(),
        copies: circuit.copies,
        running_hours: running,
        hottest_capacity_W: table.at(0).map(|stand| stand.capacity),
        mean_capacity_W: if counted > 0.0 { capacity / counted } else { 0.0 },
        unsolved: unsolved.spell(job, course),
        falls: falls.spell(job, course),
        trips: trips.spell(job, course),
        near_cutout: near.spell(job, course),
        flash: flash.spell(job, course),
        oil: oil.spell(job, course),
        warm_air: None,
        energy: energy(course, index, circuit),
        floating: None,
    }
}

/// Energy of a circuit, all its copies.
pub(super) fn energy(course: &Course, index: usize, circuit: &Circuit) -> Energy {
    let mut energy = Energy { fans_J: circuit.condenser.fan_power.map(|_| 0.0), ..Energy::default() };
    for (hour, duty) in course.duties.iter().enumerate() {
        let copies = f64::from(course.fleet.copies(duty.machines, index));
        for (stand, part) in course.stands(index, hour) {
            let seconds = copies * part * course.hours.each * HOUR;
            energy.compressors_J += stand.power * seconds;
            energy.cooling_J += stand.capacity * seconds;
            if let (Some(sum), Some(watts)) = (&mut energy.fans_J, fans(circuit, stand)) {
                *sum += watts * seconds;
            }
        }
    }
    energy
}

/// Hours in which a circuit runs and its valve is not fed.
pub(super) fn flash_hours(job: &Job, course: &Course, index: usize, circuit: &Circuit) -> f64 {
    let margin = job.limit("liquid_margin");
    let flashes = |hour: &usize| {
        course.stands(index, *hour).any(|(stand, _)| stand.liquid_margin(circuit, margin) < -LIQUID_SLACK)
    };
    (0..course.len()).filter(flashes).fold(0.0, |sum, _| sum + course.hours.each)
}

/// All of several energies; the fans' as far as they are known.
pub(super) fn total(energies: impl Iterator<Item = Energy>) -> Energy {
    energies.fold(Energy::default(), |sum, one| Energy {
        compressors_J: sum.compressors_J + one.compressors_J,
        fans_J: sum.fans_J.map_or(one.fans_J, |fans| Some(fans + one.fans_J.unwrap_or(0.0))),
        cooling_J: sum.cooling_J + one.cooling_J,
    })
}

/// The year of the plant.
pub(super) fn plant(job: &Job, course: &Course, plant: &Plant) -> PlantYear {
    let hours = &course.hours;
    // The modules that give most in the hottest hour are those that may be out.
    let hottest = course.fleet.capacities(&course.tables, 0);
    let mut order: Vec<usize> = (0..hottest.len()).collect();
    order.sort_by(|a, b| hottest[*b].total_cmp(&hottest[*a]));
    let out = usize::try_from(plant.spare.max(1)).unwrap_or(usize::MAX).min(order.len());
    let gone = order.get(..out).unwrap_or_default();
    let lost: Vec<f64> = (0..hours.temperatures.len())
        .map(|at| {
            let capacities = course.fleet.capacities(&course.tables, at);
            gone.iter().filter_map(|module| capacities.get(*module)).sum()
        })
        .collect();
    let lost_at = |hour: usize| hours.slots.get(hour).and_then(|slot| lost.get(slot.at)).copied().unwrap_or(0.0);
    let largest: Vec<f64> = (0..hours.temperatures.len())
        .map(|at| order.first().and_then(|module| course.fleet.capacities(&course.tables, at).get(*module).copied()))
        .map(Option::unwrap_or_default)
        .collect();
    let largest_at = |hour: usize| hours.slots.get(hour).and_then(|slot| largest.get(slot.at)).copied().unwrap_or(0.0);
    let short = shortfall(job, course, &largest_at, &|_| 0.0);
    let short_without = shortfall(job, course, &largest_at, &lost_at);
    let at = short_without.1.and_then(|hour| hours.slots.get(hour)).map_or(0, |slot| slot.at);
    let name = |module: &usize| course.fleet.modules.get(*module).map(|(name, _)| name.clone()).unwrap_or_default();
    let heaviest = (0..course.len())
        .filter(|hour| hours.slots[*hour].at == 0)
        .reduce(|a, b| if course.duties[b].load > course.duties[a].load { b } else { a })
        .unwrap_or(0);
    let moment = course.moment(job, heaviest);
    let capacity = course.duties.get(heaviest).map_or(0.0, |duty| duty.capacity);
    PlantYear {
        load_W: plant.load.value,
        greatest_load_W: course.duties.iter().map(|duty| duty.load).fold(0.0, f64::max),
        spare: plant.spare,
        short: short.0,
        short_without: short_without.0,
        out: u32::try_from(out).unwrap_or(u32::MAX),
        out_names: gone.iter().map(name).collect(),
        out_capacity_W: lost.get(at).copied().unwrap_or(0.0),
        largest: order.first().map(name).unwrap_or_default(),
        hottest: Margin {
            moment: moment.unwrap_or(super::Moment { month: 0, day: 0, hour: 0, outdoor_K: 0.0, load_W: None }),
            capacity_W: capacity,
            capacity_without_W: capacity - lost_at(heaviest),
        },
        warm_air: None,
    }
}

/// More modules than this are no mend.
const MOST_MORE: u32 = 99;

/// Hours short of the load with so much capacity (W) lost, and the hour with the least to spare; `largest` is what a module more
/// gives in an hour, W.
fn shortfall(
    job: &Job,
    course: &Course,
    largest: &dyn Fn(usize) -> f64,
    lost: &dyn Fn(usize) -> f64,
) -> (Shortfall, Option<usize>) {
    let each = course.hours.each;
    let spare = |hour: usize, more: u32| {
        let duty = course.duties.get(hour)?;
        Some(((duty.capacity - lost(hour)).max(0.0) + f64::from(more) * largest(hour) - duty.load, duty.load))
    };
    let short = |more: u32| {
        let spares = (0..course.len()).filter_map(|hour| spare(hour, more));
        spares
            .filter(|(spare, load)| *spare < -SLACK * load)
            .fold((0.0, 0.0), |(hours, missing), (spare, _)| (hours + each, missing - spare * each * HOUR))
    };
    let worst = (0..course.len())
        .filter_map(|hour| Some((hour, spare(hour, 0)?)))
        .reduce(|least, one| if one.1.0 < least.1.0 { one } else { least });
    // Of hours in which nothing is asked for any load is carried.
    let shares = (0..course.len()).filter_map(|hour| spare(hour, 0)).filter(|(_, load)| *load > 0.0);
    let carried = shares.map(|(spare, load)| (spare + load) / load).fold(f64::INFINITY, f64::min);
    let (hours, missing) = short(0);
    let allowed = job.limit("year_load");
    let shortfall = Shortfall {
        hours,
        worst: worst.and_then(|(hour, _)| course.moment(job, hour)),
        capacity_W: worst.map_or(0.0, |(_, (spare, load))| spare + load),
        spare_W: worst.map_or(0.0, |(_, (spare, _))| spare),
        missing_J: missing,
        largest_W: worst.map_or(0.0, |(hour, _)| largest(hour)),
        more: if hours > allowed { (1..=MOST_MORE).find(|more| short(*more).0 <= allowed) } else { Some(0) },
        carried_W: if carried.is_finite() {
            carried * job.plant.as_ref().map_or(0.0, |plant| plant.load.value)
        } else {
            0.0
        },
    };
    (shortfall, worst.map(|(hour, _)| hour))
}
