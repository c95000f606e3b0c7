//! What makes it quiet enough: slower fans at night, quieter units. Walls are in `screen`.

use super::{Plan, Tries, with};
use crate::job::{Job, Listener, Roof, RoofUnit, SoundPower};
use crate::physics::sound::speed_for;
use crate::remedies::Change;
use crate::roof::sound::hear;
use crate::roof::{Heard, Share};
use crate::rules::{Finding, Verdict, When};

/// A fan is not slowed below this share of its full speed: the air falls with the speed, and at 40 % what passes the coil warms by two
/// and a half times as much, which few condensers can spare at night; motors cooled by their own fan want no less.
const SLOWEST: f64 = 0.4;
/// No unit is required that is quieter by more than this than the loudest drawn, in whole dB: manufacturers' quietest and loudest of one
/// duty lie hardly further apart.
const QUIETER_DB: u8 = 20;

/// What is to become quieter: a listener by day or at night.
#[derive(Clone, Copy)]
pub(super) struct TooLoud<'a> {
    pub job: &'a Job,
    pub roof: &'a Roof,
    pub listener: &'a Listener,
    heard: &'a Heard,
    night: bool,
}

impl Plan<'_> {
    /// What makes it quiet enough for a listener; nothing where a unit is too near for any level of it to be told.
    pub(super) fn quieter(&self, index: usize, finding: &Finding) -> Vec<Tries<'_>> {
        let (Some(listener), Some(heard)) = (self.roof.listeners.get(index), self.study.heard.get(index)) else {
            return Vec::new();
        };
        let night = finding.when == Some(When::Night);
        let limit = if night { listener.night_limit_dBA } else { listener.limit_dBA };
        let Some(limit) = limit.filter(|_| heard.too_near.is_empty() && finding.when.is_some()) else {
            return Vec::new();
        };
        let loud = TooLoud { job: self.job, roof: self.roof, listener, heard, night };
        // With the margin kept where that can be had, else at the limit.
        let clear = limit - self.job.limit("sound_margin").max(0.0);
        let aims = [Some(clear), (finding.verdict == Verdict::Fail).then_some(limit)].into_iter().flatten();
        vec![
            Box::new(aims.clone().filter_map(move |aim| loud.slower(aim))),
            Box::new(aims.clone().filter_map(move |aim| loud.less_power(aim))),
            Box::new(aims.clone().flat_map(move |aim| loud.walls(aim))),
            Box::new(aims.flat_map(move |aim| loud.screens(aim))),
        ]
    }
}

impl TooLoud<'_> {
    fn of(&self) -> fn(&Share) -> Option<f64> {
        if self.night { |share| share.night_dBA } else { |share| share.day_dBA }
    }

    /// The units whose sound is known then, the loudest at the listener first.
    pub(super) fn loudest(&self) -> Vec<usize> {
        let mut known: Vec<(usize, f64)> =
            self.heard.units.iter().filter_map(|share| Some((share.unit, self.of()(share)?))).collect();
        known.sort_by(|a, b| b.1.total_cmp(&a.1));
        known.into_iter().map(|(unit, _)| unit).collect()
    }

    /// What is heard on a changed roof, dB(A).
    pub(super) fn level(&self, roof: &Roof) -> Option<f64> {
        let heard = hear(self.job, roof, self.listener)?;
        if self.night { heard.night_dBA } else { heard.day_dBA }
    }

    /// What is heard with these changes, dB(A).
    fn level_with(&self, changes: &[Change]) -> Option<f64> {
        let job = with(self.job, changes);
        self.level(job.roof.as_ref()?)
    }

    /// The fans of all units slower at night, in whole per cent of their full speed, those that turn at another speed alike slower.
    fn slower(&self, aim: f64) -> Option<Vec<Change>> {
        let level = self.heard.night_dBA.filter(|_| self.night)?;
        let share = speed_for(aim - level);
        let slow = |index: usize| {
            let unit = self.roof.units.get(index)?;
            // Where the sound at night is given by itself the speed that goes with it is not known.
            let now = unit.night_speed.unwrap_or(1.0);
            let then = (100.0 * now * share + 1e-9).floor() / 100.0;
            let known = unit.night_sound.is_none() && then >= SLOWEST - 1e-9;
            known.then_some(Change::NightSpeed(index, then))
        };
        let changes = self.loudest().into_iter().map(slow).collect::<Option<Vec<Change>>>()?;
        self.level_with(&changes).filter(|level| *level <= aim + 1e-9).map(|_| changes)
    }

    /// No unit with more sound power than so much, in whole decibels.
    fn less_power(&self, aim: f64) -> Option<Vec<Change>> {
        let power = |share: &Share| if self.night { share.night_power_dBA } else { share.power_dBA };
        let known: Vec<(&Share, f64)> =
            self.heard.units.iter().filter_map(|share| Some((share, power(share)?))).collect();
        let loudest = known.iter().map(|(_, power)| *power).fold(f64::NEG_INFINITY, f64::max).floor();
        (0..=QUIETER_DB).map(|less| loudest - f64::from(less)).find_map(|maximum| {
            let louder = known.iter().filter(|(_, power)| *power > maximum);
            let change = |(share, power): &(&Share, f64)| self.with_power(share.unit, *power, maximum);
            let changes = louder.map(change).collect::<Option<Vec<Change>>>().filter(|changes| !changes.is_empty())?;
            self.level_with(&changes).filter(|level| *level <= aim + 1e-9).map(|_| changes)
        })
    }

    /// A unit of that A-weighted sound power with no more than so much.
    fn with_power(&self, index: usize, power: f64, maximum: f64) -> Option<Change> {
        let given = |unit: &RoofUnit| if self.night { unit.night_sound.or(unit.sound) } else { unit.sound };
        let quieter = match given(self.roof.units.get(index)?)? {
            SoundPower::A(_) => SoundPower::A(maximum),
            // By whole decibels in every octave, as such levels are given.
            SoundPower::Octaves(levels) => {
                SoundPower::Octaves(levels.map(|level| level - (power - maximum - 1e-9).ceil()))
            }
        };
        Some(if self.night { Change::NightSound(index, quieter) } else { Change::Sound(index, quieter) })
    }
}
