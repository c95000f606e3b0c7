//! What each listener hears: the sound of every unit, by day and at night.
//!
//! L_p = L_W + 3 + 3 q - A_div - A_atm - D_z, by octave where the sound power is given so, else by the terms of 500 Hz:
//! the general method of ISO 9613-2, edition of 1996, with the reflecting plane on which the units stand and hard
//! ground beyond it. The standard lets go of the 3 + 3 q where something screens, since C_2 = 20 has the reflections at
//! the ground in it; here they are kept, which makes a screened listener up to 3 dB louder.

mod around_the_ends;
mod diffraction;
mod outlet;
mod over_the_top;
mod spot;

use crate::job::{Job, Listener, Roof, RoofUnit, SoundPower, Wall};
use crate::physics::air_absorption::{AIR_HUMIDITY, AIR_K, Air, absorption};
use crate::physics::sound::{
    A_WEIGHTS, HZ_500, REFLECTING_PLANE, divergence, exact_octaves, fan_speed, hard_ground, sum,
};
use crate::units::Temperature;
use diffraction::Screens;
use outlet::Outlet;
use schemars::JsonSchema;
use serde::Serialize;
pub(crate) use spot::JOINED_M;
use spot::{Screen, Spot};
use std::collections::BTreeSet;

/// What the standard says of the accuracy of its method, dB, up to 1000 m and without reflections and screens.
///
/// Source: `iso-9613-2`.
pub const ACCURACY_DB: f64 = 3.0;

/// What a listener hears.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Heard {
    /// The listener.
    pub name: String,
    /// By day, all units at full speed; none where no unit's sound is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day_dBA: Option<f64>,
    /// At night.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night_dBA: Option<f64>,
    /// What the local ordinance allows by day, where given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_dBA: Option<f64>,
    /// What it allows at night, where given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night_limit_dBA: Option<f64>,
    /// The units whose sound is known, in the order of the plan.
    pub units: Vec<Share>,
    /// Units whose sound by day is not known.
    pub without_day: Vec<String>,
    /// Units whose sound at night is not known.
    pub without_night: Vec<String>,
    /// Units to which the listener is too near for the formula, so that the levels are without them.
    pub too_near: Vec<String>,
}

/// One unit's share in what a listener hears.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Share {
    /// The unit, by its index on the roof.
    #[serde(skip)]
    pub unit: usize,
    /// Its name.
    pub name: String,
    /// From the middle of its outlet.
    pub distance_m: f64,
    /// Into so many point sources its outlet is divided.
    pub parts: usize,
    /// Whether its sound is known by octave.
    pub octaves: bool,
    /// What spreading takes, less what the reflecting plane and the ground add.
    pub spread_dB: f64,
    /// What the air takes, of the A-weighted level.
    pub air_dB: f64,
    /// What screens take, of the A-weighted level.
    pub screens_dB: f64,
    /// The screens that take it, where it is as much as is shown.
    pub screens: Vec<String>,
    /// A-weighted sound power by day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub power_dBA: Option<f64>,
    /// A-weighted sound power at night.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night_power_dBA: Option<f64>,
    /// Where that at night comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night_by: Option<NightBy>,
    /// Its level at the listener by day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day_dBA: Option<f64>,
    /// Its level at the listener at night.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night_dBA: Option<f64>,
}

/// Where the sound power at night comes from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum NightBy {
    /// Given.
    Given,
    /// From that at full speed, by the law of fans.
    Speed {
        /// Share of the full speed.
        share: f64,
    },
    /// As by day.
    AsByDay,
}

/// What a screen has to take to be named, dB: less is shown as 0.
const SHOWN_DB: f64 = 0.05;

/// By day or at night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Time {
    Day,
    Night,
}

/// A-weighted sound by octave; one A-weighted level stands at 500 Hz, whose terms stand for all.
type Spectrum = [f64; 8];

/// What every listener hears.
pub(super) fn heard(job: &Job, roof: &Roof) -> Vec<Heard> {
    roof.listeners.iter().filter_map(|listener| hear(job, roof, listener)).collect()
}

/// What one listener hears; none where the height of the roof is not known.
pub(crate) fn hear(job: &Job, roof: &Roof, listener: &Listener) -> Option<Heard> {
    let scene = Scene::of(job, roof, listener)?;
    let units: Vec<Share> = scene.shares(roof);
    let unknown = |time: Time| roof.units.iter().filter(move |unit| spectrum(unit, time).is_none());
    let names = |time: Time| unknown(time).map(|unit| unit.name.clone()).collect();
    let together = |level: fn(&Share) -> Option<f64>| {
        Some(sum(units.iter().filter_map(level))).filter(|together| together.is_finite())
    };
    Some(Heard {
        name: listener.name.clone(),
        day_dBA: together(|unit| unit.day_dBA),
        night_dBA: together(|unit| unit.night_dBA),
        limit_dBA: listener.limit_dBA,
        night_limit_dBA: listener.night_limit_dBA,
        without_day: names(Time::Day),
        without_night: names(Time::Night),
        too_near: scene.ways.iter().filter(|way| way.paths.is_none()).map(|way| way.name.clone()).collect(),
        units,
    })
}

/// The ways of sound from all units to one listener.
struct Scene {
    /// In the order of the plan.
    ways: Vec<SoundPath>,
}

/// The ways from one unit.
struct SoundPath {
    name: String,
    distance_m: f64,
    /// From each point source; none where the listener is too near.
    paths: Option<Vec<Path>>,
    /// What screens, by octave.
    screens: [Vec<Screen>; 8],
}

/// What sound loses on its way from one point source, by octave.
struct Path {
    spread: f64,
    air: Spectrum,
    screens: Spectrum,
}

/// How much of a path counts.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Upto {
    Spreading,
    Air,
    Screens,
}

impl Scene {
    fn of(job: &Job, roof: &Roof, listener: &Listener) -> Option<Self> {
        let surface_m = roof.height_m?;
        let screens = Screens::of(roof, surface_m);
        let to = Spot { place: listener.at, height_m: listener.height_m };
        let air =
            Air { temperature: Temperature::from_kelvin(AIR_K), humidity: AIR_HUMIDITY, pressure: job.site.atmosphere };
        let mut per_metre = [0.0; 8];
        for (taken, hz) in per_metre.iter_mut().zip(exact_octaves()) {
            // Air outside the formula's range, which no job has, is taken to absorb nothing: louder, and nothing is
            // left out.
            *taken = absorption(hz, &air).unwrap_or(0.0);
        }
        let way = |unit: &RoofUnit| {
            let outlet = Outlet::of(unit, surface_m);
            let mut by: [Vec<Screen>; 8] = std::array::from_fn(|_| Vec::new());
            let paths = outlet.parts(&to).map(|parts| {
                let path = |from: &Spot| {
                    let distance = from.to(&to);
                    let taken = screens.taken(from, &to);
                    by.iter_mut().zip(&taken).for_each(|(by, (_, screens))| by.extend(screens));
                    let on_plan = from.place.minus(to.place).length();
                    let plane = REFLECTING_PLANE + hard_ground(from.height_m, to.height_m, on_plan);
                    Path {
                        spread: divergence(distance) - plane,
                        air: per_metre.map(|taken| taken * distance),
                        screens: taken.map(|(takes, _)| takes),
                    }
                };
                parts.iter().map(path).collect::<Vec<Path>>()
            });
            SoundPath { name: unit.name.clone(), distance_m: outlet.middle().to(&to), paths, screens: by }
        };
        Some(Self { ways: roof.units.iter().map(way).collect() })
    }

    /// The shares of the units whose sound is known.
    fn shares(&self, roof: &Roof) -> Vec<Share> {
        let pairs = roof.units.iter().zip(&self.ways).enumerate();
        pairs.filter_map(|(index, (unit, way))| way.share(roof, index, unit)).collect()
    }
}

impl SoundPath {
    /// The level at the listener, its sound shared alike by the parts.
    fn level(&self, spectrum: &Spectrum, upto: Upto) -> Option<f64> {
        let paths = self.paths.as_ref()?;
        let one = |path: &Path| {
            let terms = path.air.iter().zip(&path.screens).map(|(air, screens)| match upto {
                Upto::Spreading => 0.0,
                Upto::Air => *air,
                Upto::Screens => air + screens,
            });
            sum(spectrum.iter().zip(terms).map(|(power, loses)| power - path.spread - loses))
        };
        Some(sum(paths.iter().map(one)) - sum(paths.iter().map(|_| 0.0)))
    }

    /// The screens that take something of that sound, in the order of the plan.
    fn named(&self, roof: &Roof, spectrum: &Spectrum) -> Vec<String> {
        let heard = self.screens.iter().zip(spectrum).filter(|(_, level)| level.is_finite());
        let screens: BTreeSet<Screen> = heard.flat_map(|(screens, _)| screens).copied().collect();
        screens.into_iter().map(|screen| named(roof, screen)).collect()
    }

    fn share(&self, roof: &Roof, index: usize, unit: &RoofUnit) -> Option<Share> {
        let (day, night) = (spectrum(unit, Time::Day), spectrum(unit, Time::Night));
        let shown = day.or(night)?;
        let power = sum(shown);
        let [spreading, air, screens] =
            [Upto::Spreading, Upto::Air, Upto::Screens].map(|upto| self.level(&shown, upto));
        let (spreading, air, screens) = (spreading?, air?, screens?);
        let level = |spectrum: &Spectrum| self.level(spectrum, Upto::Screens).filter(|level| level.is_finite());
        Some(Share {
            unit: index,
            name: self.name.clone(),
            distance_m: self.distance_m,
            parts: self.paths.as_ref().map_or(0, Vec::len),
            octaves: matches!(unit.sound.or(unit.night_sound), Some(SoundPower::Octaves(_))),
            spread_dB: power - spreading,
            air_dB: spreading - air,
            screens_dB: air - screens,
            screens: if air - screens < SHOWN_DB { Vec::new() } else { self.named(roof, &shown) },
            power_dBA: day.map(sum),
            night_power_dBA: night.map(sum),
            night_by: night.map(|_| night_by(unit)),
            day_dBA: day.as_ref().and_then(level),
            night_dBA: night.as_ref().and_then(level),
        })
    }
}

/// A screen's name in a sentence.
fn named(roof: &Roof, screen: Screen) -> String {
    match screen {
        Screen::Wall(index) => roof.walls.get(index).map_or_else(String::new, Wall::in_a_sentence),
        Screen::Edge if roof.parapet_m > 0.0 => "the parapet".to_owned(),
        Screen::Edge => "the edge of the roof".to_owned(),
    }
}

fn night_by(unit: &RoofUnit) -> NightBy {
    match (unit.night_sound, unit.night_speed) {
        (Some(_), _) => NightBy::Given,
        (None, Some(share)) => NightBy::Speed { share },
        (None, None) => NightBy::AsByDay,
    }
}

/// The A-weighted sound power of a unit, where known.
fn spectrum(unit: &RoofUnit, time: Time) -> Option<Spectrum> {
    let given = match time {
        Time::Day => unit.sound?,
        Time::Night => unit.night_sound.or(unit.sound)?,
    };
    let slower = match (time, night_by(unit)) {
        (Time::Night, NightBy::Speed { share }) => fan_speed(share),
        _ => 0.0,
    };
    let weighted = match given {
        SoundPower::A(level) => {
            let mut one = [f64::NEG_INFINITY; 8];
            if let Some(at) = one.get_mut(HZ_500) {
                *at = level;
            }
            one
        }
        SoundPower::Octaves(levels) => std::array::from_fn(|octave| {
            levels.get(octave).zip(A_WEIGHTS.get(octave)).map_or(f64::NEG_INFINITY, |(level, weight)| level + weight)
        }),
    };
    Some(weighted.map(|level| level + slower))
}

#[cfg(test)]
mod tests;
