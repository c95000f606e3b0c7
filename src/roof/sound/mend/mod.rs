//! What would make it quiet enough: slower fans at night, quieter units, a higher wall, a new one. Each is tried by
//! computing the listener's level again.

mod screen;

use super::{Scene, Spectrum, Time, Upto, spectrum};
use crate::job::{Job, Listener, Place, Roof, RoofUnit};
use crate::physics::sound::{fan_speed, speed_for, sum};
use serde::Serialize;

/// A fan is not asked to turn slower than this share of its full speed: the air falls with the speed, and at 40 % what
/// passes the coil warms by two and a half times as much, which few condensers can spare at night; motors cooled by
/// their own fan want no less.
const SLOWEST: f64 = 0.4;
/// No unit is asked for that is quieter by more than this than the loudest drawn, dB: makers' quietest and loudest of
/// one duty lie hardly further apart.
const QUIETER_DB: f64 = 20.0;
/// What a mend has to bring where it does not bring the level under the margin, dB: less nobody hears or measures.
const LEAST_DB: f64 = 1.0;

/// What would make it quiet enough; of several any one does.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct Quieter {
    /// Fans that run slower.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slower: Option<Slower>,
    /// No unit with more sound power than that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub power_dBA: Option<f64>,
    /// What the listener hears then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub power_reaches_dBA: Option<f64>,
    /// A wall, or the parapet, made higher.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub raised: Option<Raised>,
    /// A new screen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub screen: Option<NewScreen>,
}

/// Fans that run slower at night.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct Slower {
    /// Share of the speed.
    pub share: f64,
    /// Whether of the full speed; else of the speed that each has at night as it is drawn.
    pub of_full: bool,
    /// What the listener hears then.
    pub reaches_dBA: f64,
}

/// A wall, or the parapet, made higher; or one that is open in part, closed.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct Raised {
    /// Which.
    pub name: String,
    /// Its height over the roof then.
    pub height_m: f64,
    /// Whether it is open in part and has to be made solid.
    pub closed: bool,
    /// What the listener hears then.
    pub reaches_dBA: f64,
}

/// A new screen, solid and straight.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct NewScreen {
    /// Before these units, the loudest first.
    pub units: Vec<String>,
    /// At that side of the loudest.
    pub side: &'static str,
    /// Of these units the one that reaches furthest towards it.
    pub frontmost: String,
    /// So far from the corner of that one which is nearest to it.
    pub distance_m: f64,
    /// One end.
    pub from: Place,
    /// The other end.
    pub to: Place,
    /// How long.
    pub length_m: f64,
    /// How high over the roof.
    pub height_m: f64,
    /// What the listener hears then.
    pub reaches_dBA: f64,
}

/// What would make it quiet enough for a listener; none where it is.
pub(super) fn quieter(job: &Job, roof: &Roof, listener: &Listener, time: Time) -> Option<Quieter> {
    let limit = match time {
        Time::Day => listener.limit_dba,
        Time::Night => listener.night_limit_dba,
    }?;
    let search = Search::of(job, roof, listener, time)?;
    let clear = limit - job.limit("sound_margin").max(0.0);
    let level = search.level(&search.scene);
    // What a unit brings that is too near for the formula no change can be said to outweigh.
    if level <= clear || search.scene.ways.iter().any(|way| way.paths.is_none()) {
        return None;
    }
    // With the margin kept where that can be had, else at the limit; from under it, so much lower that it is worth
    // while.
    let either = [clear, if level > limit { limit } else { level - LEAST_DB }];
    let power = either.iter().find_map(|most| search.power(*most));
    Some(Quieter {
        slower: either.iter().find_map(|most| search.slower(*most)),
        power_dBA: power.map(|(power, _)| power),
        power_reaches_dBA: power.map(|(_, reaches)| reaches),
        raised: either.iter().find_map(|most| search.raised(*most)),
        screen: either.iter().find_map(|most| search.screen(*most)),
    })
}

struct Search<'a> {
    job: &'a Job,
    roof: &'a Roof,
    listener: &'a Listener,
    time: Time,
    scene: Scene,
    spectra: Vec<Option<Spectrum>>,
}

impl<'a> Search<'a> {
    fn of(job: &'a Job, roof: &'a Roof, listener: &'a Listener, time: Time) -> Option<Self> {
        let scene = Scene::of(job, roof, listener)?;
        let spectra = roof.units.iter().map(|unit| spectrum(unit, time)).collect();
        Some(Self { job, roof, listener, time, scene, spectra })
    }

    fn level(&self, scene: &Scene) -> f64 {
        scene.level(self.spectra.iter().copied())
    }

    /// The level with each unit's sound changed by so much.
    fn changed(&self, by: impl Fn(&Spectrum) -> f64) -> f64 {
        let change = |spectrum: &Spectrum| {
            let by = by(spectrum);
            spectrum.map(|level| level + by)
        };
        self.scene.level(self.spectra.iter().map(|spectrum| spectrum.as_ref().map(change)))
    }

    /// The speed at night, in whole per cent, of the fans of all units.
    fn slower(&self, most: f64) -> Option<Slower> {
        if self.time == Time::Day {
            return None;
        }
        let known = || self.roof.units.iter().filter(|unit| spectrum(unit, self.time).is_some());
        // Where the sound at night is given by itself the speed that goes with it is not known.
        let now = |unit: &RoofUnit| unit.night_sound.is_none().then(|| unit.night_speed.unwrap_or(1.0));
        let first = now(known().next()?);
        let same = |unit: &RoofUnit| now(unit).zip(first).is_some_and(|(a, b)| (a - b).abs() < 1e-9);
        let full = first.filter(|_| known().all(same));
        let from = full.unwrap_or(1.0);
        let share = (100.0 * from * speed_for(most - self.level(&self.scene)) + 1e-9).floor() / 100.0;
        let slowest = match full {
            Some(_) => share,
            None => share * known().map(|unit| now(unit).unwrap_or(1.0)).fold(1.0, f64::min),
        };
        let reaches = self.changed(|_| fan_speed(share / from));
        let good = slowest >= SLOWEST - 1e-9 && reaches <= most + 1e-9;
        good.then_some(Slower { share, of_full: full.is_some(), reaches_dBA: reaches })
    }

    /// The greatest sound power that any unit may have, in whole decibels, and what is heard then.
    fn power(&self, most: f64) -> Option<(f64, f64)> {
        let loudest = self.spectra.iter().flatten().map(|spectrum| sum(*spectrum)).fold(f64::NEG_INFINITY, f64::max);
        let mut power = loudest.floor();
        while power >= loudest - QUIETER_DB - 1e-9 {
            let reaches = self.changed(|spectrum| (power - sum(*spectrum)).min(0.0));
            if reaches <= most {
                return Some((power, reaches));
            }
            power -= 1.0;
        }
        None
    }

    /// What the listener hears on a changed roof.
    fn on(&self, roof: &Roof) -> Option<f64> {
        let level = Scene::of(self.job, roof, self.listener).map(|scene| self.level(&scene));
        level.filter(|level| level.is_finite())
    }

    /// The unit that is loudest at the listener.
    fn loudest(&self) -> Option<usize> {
        let level = |(index, (way, spectrum)): (usize, (&super::Way, &Option<Spectrum>))| {
            Some((index, way.level(spectrum.as_ref()?, Upto::Screens)?))
        };
        let levels = self.scene.ways.iter().zip(&self.spectra).enumerate().filter_map(level);
        levels.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
    }
}
