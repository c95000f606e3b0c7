//! What would make it quiet enough: slower fans at night, quieter units, a higher wall, a new one. Each is tried by computing the
//! listener's level again.

use super::way::{Screen, Screens, Spot};
use super::{Scene, Spectrum, Time, hear, named, spectrum};
use crate::job::{Job, Listener, Place, Roof, RoofUnit, Wall};
use crate::physics::plane::{length_within, within};
use crate::physics::sound::{fan_speed, speed_for, sum};
use crate::roof::clearance::shorts;
use crate::roof::plan::{SLACK_M, faces};
use crate::units::{System, factor};
use serde::Serialize;

/// A fan is not let turn slower than this share of its full speed.
const SLOWEST: f64 = 0.2;
/// Quietest unit that is asked for, dBA of sound power.
const QUIETEST: f64 = 40.0;
/// So much higher a wall may become, or a new one stand over the units, m.
const HIGHER_M: f64 = 6.0;

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
    /// Whether of the full speed; else of what each has at night now.
    pub of_full: bool,
    /// What the listener hears then.
    pub reaches_dBA: f64,
}

/// A wall made higher.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct Raised {
    /// Which.
    pub name: String,
    /// Its height over the roof then.
    pub height_m: f64,
    /// What the listener hears then.
    pub reaches_dBA: f64,
}

/// A new screen, solid and straight.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]
pub struct NewScreen {
    /// Beside these units.
    pub units: Vec<String>,
    /// At that side of the first of them.
    pub side: &'static str,
    /// So far from it.
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
    if search.level(&search.scene) <= clear {
        return None;
    }
    // With the margin kept where that can be had, else without.
    let either = [clear, limit];
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
        let mut known = self.roof.units.iter().filter(|unit| spectrum(unit, self.time).is_some());
        let now = |unit: &RoofUnit| unit.night_sound.is_none().then(|| unit.night_speed.unwrap_or(1.0));
        let first = now(known.next()?);
        let same = |unit: &RoofUnit| now(unit).zip(first).is_some_and(|(a, b)| (a - b).abs() < 1e-9);
        let full = first.filter(|_| known.all(same));
        let from = full.unwrap_or(1.0);
        let share = (100.0 * from * speed_for(most - self.level(&self.scene)) + 1e-9).floor() / 100.0;
        let reaches = self.changed(|_| fan_speed(share / from));
        let good = share >= SLOWEST && reaches <= most + 1e-9;
        good.then_some(Slower { share, of_full: full.is_some(), reaches_dBA: reaches })
    }

    /// The greatest sound power that any unit may have, in whole decibels, and what is heard then.
    fn power(&self, most: f64) -> Option<(f64, f64)> {
        let loudest = self.spectra.iter().flatten().map(|spectrum| sum(*spectrum)).fold(f64::NEG_INFINITY, f64::max);
        let mut power = loudest.floor();
        while power >= QUIETEST {
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

    /// The lowest of the heights, a step apart from `from_m` up, at which it is quiet enough on the roof that is then built.
    fn height(&self, most: f64, from_m: f64, build: impl Fn(f64) -> Option<Roof>) -> Option<(f64, f64, Roof)> {
        let step = step(self.job.units);
        let height = |number: u32| ((from_m / step - 1e-6).floor() + f64::from(number)) * step;
        let at = |number: u32| {
            let height = height(number);
            let roof = build(height)?;
            let reaches = self.on(&roof)?;
            (reaches <= most).then_some((height, reaches, roof))
        };
        let (mut low, mut high) =
            (0_u32, (1..10_000).take_while(|number| height(*number) <= from_m + HIGHER_M).last()?);
        let mut best = at(high)?;
        // Higher is not louder: halving finds the lowest.
        while high - low > 1 {
            let middle = u32::midpoint(low, high);
            match at(middle) {
                Some(found) => (high, best) = (middle, found),
                None => low = middle,
            }
        }
        Some(best)
    }

    /// Whether no unit has less room on a changed roof.
    fn leaves_room(&self, changed: &Roof) -> bool {
        let (before, after) = (shorts(self.job, self.roof), shorts(self.job, changed));
        before.iter().zip(&after).all(|(before, after)| *after <= before + 1e-6)
    }

    /// The unit that is loudest at the listener.
    fn loudest(&self) -> Option<usize> {
        let heard = hear(self.job, self.roof, self.listener)?;
        let level = |name: &str| {
            let share = heard.units.iter().find(|share| share.name == name)?;
            if self.time == Time::Day { share.day_dBA } else { share.night_dBA }
        };
        let levels = self.roof.units.iter().enumerate().filter_map(|(index, unit)| Some((index, level(&unit.name)?)));
        levels.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
    }

    /// The wall, or the parapet, that stands between the loudest unit and the listener, and has to rise least.
    fn raised(&self, most: f64) -> Option<Raised> {
        let unit = self.roof.units.get(self.loudest()?)?;
        let surface = self.roof.height_m?;
        let from: Spot = super::Outlet::of(unit, surface).middle();
        let mut between = Screens::of(self.roof, surface).passed_by(from.place, self.listener.at);
        between.sort_unstable();
        between.dedup();
        let ways = between.into_iter().filter_map(|screen| {
            let drawn = match screen {
                Screen::Wall(index) => self.roof.walls.get(index)?.height_m,
                Screen::Edge => self.roof.parapet_m,
            };
            let build = |height: f64| {
                let mut roof = self.roof.clone();
                match screen {
                    Screen::Wall(index) => roof.walls.get_mut(index)?.height_m = height,
                    Screen::Edge => roof.parapet_m = height,
                }
                Some(roof)
            };
            let (height_m, reaches, roof) = self.height(most, drawn, build)?;
            let raised = Raised { name: named(&roof, screen), height_m, reaches_dBA: reaches };
            self.leaves_room(&roof).then_some((height_m - drawn, raised))
        });
        ways.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, raised)| raised)
    }

    /// A new screen beside the loudest unit, or else beside all units whose sound is known: the one with the smallest face.
    fn screen(&self, most: f64) -> Option<NewScreen> {
        let loudest = self.loudest()?;
        let all = (0..self.roof.units.len()).filter(|index| self.spectra.get(*index).is_some_and(Option::is_some));
        let all: Vec<usize> = std::iter::once(loudest).chain(all.filter(|index| *index != loudest)).collect();
        let sets = if all.len() > 1 { vec![vec![loudest], all] } else { vec![all] };
        sets.iter().find_map(|set| {
            let tries = [0.5, 1.0, 2.0, 3.0].into_iter().filter_map(|past| self.beside(most, set, past));
            tries.min_by(|a, b| (a.length_m * a.height_m).total_cmp(&(b.length_m * b.height_m)))
        })
    }

    /// A new screen beside these units, on the listener's side of the first, that reaches past them by so many times its distance.
    fn beside(&self, most: f64, set: &[usize], past: f64) -> Option<NewScreen> {
        let units: Vec<&RoofUnit> = set.iter().filter_map(|index| self.roof.units.get(*index)).collect();
        let first = units.first()?;
        let step = step(self.job.units);
        let towards = |face: &crate::roof::plan::Face| {
            let middle = face.ends.0.plus(face.ends.1).times(0.5);
            let way = self.listener.at.minus(middle);
            face.outward.dot(way) / way.length()
        };
        let all = faces(first);
        let (number, face) = all.iter().enumerate().max_by(|a, b| towards(a.1).total_cmp(&towards(b.1)))?;
        let own = first.clearance_m.get(number).copied().flatten().unwrap_or(0.0);
        let distance = (self.job.limit("clearance_wall") * first.narrow_m()).max(own);
        let distance = (distance / step - 1e-6).ceil() * step;
        let outward = face.outward;
        let aside = Place::new(-outward.y_m, outward.x_m);
        let corners: Vec<Place> = units.iter().flat_map(|unit| unit.corners()).collect();
        let reach = |way: Place| corners.iter().map(|corner| corner.dot(way)).fold(f64::NEG_INFINITY, f64::max);
        let (ahead, left, right) = (reach(outward) + distance, reach(aside), -reach(aside.times(-1.0)));
        let end = |along: f64| outward.times(ahead).plus(aside.times(along));
        let (from, to) = (end(right - past * distance), end(left + past * distance));
        let on_the_roof = self.roof.outline.is_empty() || [from, to].iter().all(|end| within(&self.roof.outline, *end));
        let free = self.roof.units.iter().all(|unit| length_within(&unit.corners(), (from, to), SLACK_M) <= SLACK_M);
        if !on_the_roof || !free {
            return None;
        }
        let top = units.iter().map(|unit| unit.height_m).fold(0.0, f64::max);
        let build = |height: f64| {
            let mut roof = self.roof.clone();
            roof.walls.push(Wall { name: String::new(), from, to, height_m: height, open: 0.0 });
            Some(roof)
        };
        let (height_m, reaches, roof) = self.height(most, top, build)?;
        self.leaves_room(&roof).then(|| NewScreen {
            units: units.iter().map(|unit| unit.name.clone()).collect(),
            side: face.side.name(),
            distance_m: distance,
            from,
            to,
            length_m: to.minus(from).length(),
            height_m,
            reaches_dBA: reaches,
        })
    }
}

/// How finely heights of walls are given, m: half a foot, or 0.1 m.
fn step(system: System) -> f64 {
    match system {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    }
}
