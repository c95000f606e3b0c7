//! Hours of a circuit's year that are counted: switched off, without a balance, flashing, dropping oil.

use super::answer::{CircuitYear, Counts, CourseHour, Spell, Worst};
use super::energy;
use super::hourly::Hourly;
use super::operating_point::{Cause, CircuitModel};
use super::stage::{Stage, Stages};
use crate::job::{Circuit, Job};

/// A spell that is being counted: its hours, and the hour with the minimum measure.
#[derive(Default)]
struct Counted {
    hours: f64,
    worst: Option<(usize, Stage, f64, Option<usize>)>,
    minimum: f64,
}

impl Counted {
    /// An hour; `measure` is the less the worse, `value` what is told.
    fn look(&mut self, hour: usize, stage: Stage, measure: f64, value: f64, run: Option<usize>) {
        if measure.is_finite() && (self.worst.is_none() || measure < self.minimum) {
            (self.minimum, self.worst) = (measure, Some((hour, stage, value, run)));
        }
    }

    fn spell(self, job: &Job, hourly: &Hourly) -> Spell {
        let worst = self.worst.and_then(|(hour, stage, value, run)| {
            let moment = hourly.moment(job, hour)?;
            Some(Worst { moment, share: stage.share, bypass: stage.bypass, value, run })
        });
        Spell { hours: self.hours, worst }
    }
}

/// Hours that have a temperature.
pub(super) fn hours(hourly: &Hourly) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count of hours")]
    let slots = hourly.len() as f64;
    slots * hourly.hours.each_h
}

/// The course of a year, from what is counted of each hour in each circuit.
pub(super) fn course(job: &Job, hourly: &Hourly, circuits: &[Vec<Counts>]) -> Vec<CourseHour> {
    let hour = |(hour, duty): (usize, &super::dispatch::Duty)| {
        let mut counts = Counts::default();
        circuits.iter().filter_map(|of| of.get(hour)).for_each(|of| counts.or(*of));
        Some(CourseHour { moment: hourly.moment(job, hour)?, capacity_W: duty.capacity_W, counts })
    };
    hourly.duties.iter().enumerate().filter_map(hour).collect()
}

/// A circuit's year, and what is counted of each hour.
pub(super) fn circuit(
    job: &Job,
    hourly: &Hourly,
    index: usize,
    circuit: &Circuit,
    (model, stages): &(CircuitModel, Stages),
) -> (CircuitYear, Vec<Counts>) {
    let hours = &hourly.hours;
    let mut course = Vec::with_capacity(hours.slots.len());
    let performance = &hourly.performances[index];
    let top = stages.steps.last().copied().unwrap_or(Stage { share: 1.0, bypass: 0.0 });
    let [mut unsolved, mut falls, mut starves, mut trips, mut near, mut flash, mut oil] = <[Counted; 7]>::default();
    let (mut running, mut capacity) = (0.0, 0.0);
    for (hour, slot) in hours.slots.iter().enumerate() {
        let outdoor = hours.temperatures.get(slot.at).copied().unwrap_or(f64::NAN);
        let mut counts = Counts::default();
        capacity += performance.capacity(slot.at) * hours.each_h;
        match performance.all(slot.at) {
            Ok(point) => {
                if point.starved {
                    starves.hours += hours.each_h;
                    starves.look(hour, top, outdoor, outdoor, None);
                }
                let pressure = point.discharge_Pa;
                trips.look(hour, top, -pressure, pressure, None);
                near.look(hour, top, -pressure, pressure, None);
                if !model.stays_on(&point) {
                    trips.hours += hours.each_h;
                    counts.trips = true;
                } else if model.near_cutout_Pa.is_some_and(|near| pressure > near) {
                    near.hours += hours.each_h;
                    counts.near_cutout = true;
                }
            }
            Err(Cause::FallsToSuction) => {
                falls.hours += hours.each_h;
                falls.look(hour, top, outdoor, outdoor, None);
            }
            Err(_) => {
                unsolved.hours += hours.each_h;
                counts.trips = true;
                unsolved.look(hour, top, -outdoor, outdoor, None);
            }
        }
        let (mut runs, mut flashes, mut drops) = (false, false, false);
        for (point, _) in hourly.points(index, hour) {
            runs = true;
            flashes |= model.flashes(point);
            drops |= model.drops_oil(point);
            let left = model.liquid_left(point);
            flash.look(hour, point.stage, left, left, Some(point.feed.run));
            if let Some((ratio, run)) = point.oil {
                oil.look(hour, point.stage, ratio, ratio, Some(run));
            }
        }
        for (counts, hours_of) in [(runs, &mut running), (flashes, &mut flash.hours), (drops, &mut oil.hours)] {
            if counts {
                *hours_of += hours.each_h;
            }
        }
        (counts.flash, counts.oil) = (flashes, drops);
        course.push(counts);
    }
    let counted = self::hours(hourly);
    let year = CircuitYear {
        name: circuit.name.clone(),
        copies: circuit.copies,
        running_hours: running,
        hottest_capacity_W: performance.best(0).map(|point| point.capacity_W),
        mean_capacity_W: (counted > 0.0).then(|| capacity / counted),
        unsolved: unsolved.spell(job, hourly),
        falls: falls.spell(job, hourly),
        starves: starves.spell(job, hourly),
        trips: trips.spell(job, hourly),
        near_cutout: near.spell(job, hourly),
        flash: flash.spell(job, hourly),
        oil: oil.spell(job, hourly),
        warm_air: None,
        energy: energy::of_circuit(hourly, index, circuit),
        floating: None,
    };
    (year, course)
}

/// Hours in which a circuit runs and its valve is not fed.
pub(super) fn flash_hours(hourly: &Hourly, index: usize, model: &CircuitModel) -> f64 {
    let flashes = |hour: &usize| hourly.points(index, *hour).any(|(point, _)| model.flashes(point));
    (0..hourly.len()).filter(flashes).fold(0.0, |sum, _| sum + hourly.hours.each_h)
}
