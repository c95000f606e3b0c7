//! What is heard, on plans small enough to work by hand.

mod open;
mod properties;
mod screens;

use super::*;
use crate::job::{SoundPower, Xy};
use crate::roof::testing::{FOOT, another, feet, planned, wall};
use approx::assert_relative_eq;

/// A listener at a place in feet, at that height over the ground.
fn listener(x: f64, y: f64, height: f64) -> Listener {
    Listener {
        name: "flat across the lane".to_owned(),
        at: feet(x, y),
        height_m: height * FOOT,
        limit_dBA: Some(55.0),
        night_limit_dBA: Some(45.0),
    }
}

/// The plan with a unit of that sound power and a listener.
fn plan(power: f64, at: Listener, change: impl FnOnce(&mut Roof)) -> Job {
    planned(|roof| {
        roof.units[0].sound = Some(SoundPower::A(power));
        roof.listeners.push(at);
        change(roof);
    })
}

fn only(job: &Job) -> Heard {
    let mut heard = heard(job, job.roof.as_ref().unwrap());
    assert_eq!(heard.len(), 1);
    heard.pop().unwrap()
}

/// Without the roof's edge: in the open.
fn open(roof: &mut Roof) {
    roof.outline.clear();
}

/// What the air takes at 500 Hz at the site, dB/m.
fn air_500(job: &Job) -> f64 {
    let air =
        Air { temperature: Temperature::from_kelvin(AIR_K), humidity: AIR_HUMIDITY, pressure: job.site.atmosphere };
    absorption(exact_octaves()[HZ_500], &air).unwrap()
}
