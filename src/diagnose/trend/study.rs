//! A trend studied moment by moment, in constant memory.

use super::bins::Bins;
use super::expectation::{At, Expectation, Healthy};
use super::series::Series;
use super::state::{Reader, Running};
use super::stretch::{Steady, Stretch};
use super::swings::Swings;
use super::totals::Totals;
use crate::diagnose::case::Case;
use crate::diagnose::fit::{Coefficients, Fitter};
use crate::diagnose::{taken, weighed};
use crate::job::{Circuit, Job, Point, Reading, Readings, Set};
use crate::refrigerant::Refrigerant;
use crate::trend::{Log, Moment};
use std::collections::BTreeMap;

/// Seconds in a day.
const DAY: i64 = 86_400;
/// Stretches of which the worst are chosen: of each day one.
const KEPT: usize = 400;
/// Rows closer than that show hunting, s.
const CLOSE: i64 = 120;
/// Swings that are hunting: of superheat, K; of pressures, as a share.
const SWINGS: (f64, f64) = (4.0, 0.05);

/// A stretch with how far it is off what is expected.
pub struct Scored {
    pub score: f64,
    pub span: [i64; 2],
    pub set: Set,
}

/// What a trend is studied with.
pub struct Study<'a> {
    pub job: &'a Job,
    circuit: &'a Circuit,
    pub log: &'a Log,
    said: &'a Readings,
    coefficients: &'a Coefficients,
    reader: Reader<'a>,
    expectation: Expectation<'a>,
    steady: Steady,
    gap: i64,
    before: Option<(Moment, Option<Running>)>,
    /// Share that ran at the last moment; negative where it did not say.
    last_running: Option<f64>,
    /// What a healthy machine shows, near each place that was asked for.
    near: BTreeMap<[i32; 4], Option<Healthy>>,
    bands: Option<BTreeMap<Reading, f64>>,
    /// By tenths of the share.
    pub series: BTreeMap<i64, Series>,
    /// The worst stretch of each day.
    pub days: BTreeMap<i64, Scored>,
    /// Hunting of superheat, suction and discharge pressure.
    pub swings: [Swings; 3],
    pub tally: Totals,
    pub over_time: Bins,
}

impl<'a> Study<'a> {
    pub fn new(
        job: &'a Job,
        circuit: &'a Circuit,
        fluid: &'static Refrigerant,
        (log, said): (&'a Log, &'a Readings),
        coefficients: &'a Coefficients,
    ) -> Self {
        Self {
            job,
            circuit,
            log,
            said,
            coefficients,
            reader: Reader { circuit, fluid, log, always: &said.set },
            expectation: Expectation::new(job, circuit, coefficients),
            steady: Steady::new(log.gap, log.skew),
            gap: log.gap,
            before: None,
            last_running: None,
            near: BTreeMap::new(),
            bands: None,
            series: BTreeMap::new(),
            days: BTreeMap::new(),
            swings: [Swings::of(SWINGS.0), Swings::of(SWINGS.1), Swings::of(SWINGS.1)],
            tally: Totals::default(),
            over_time: Bins::over(log.span, log.interval),
        }
    }

    pub fn hear(&mut self, moment: &Moment) {
        if let Some((before, running)) = self.before.take() {
            let apart = moment.at - before.at;
            if apart > self.gap {
                self.tally.gaps = (self.tally.gaps.0 + 1, self.tally.gaps.1.max(apart));
            }
            self.lasted(&before, running, if apart > self.gap { self.log.interval } else { apart });
        }
        let running = self.reader.running(moment);
        let was = self.last_running.replace(running.map_or(-1.0, |running| running.share));
        if was == Some(0.0) && running.is_some_and(|running| running.share > 0.0) {
            self.tally.starts += 1;
        }
        if let Some(stretch) = self.steady.hear(moment, running) {
            self.stretch(&stretch);
        }
        self.swing(moment, running);
        self.before = Some((moment.clone(), running));
    }

    pub fn done(mut self) -> Self {
        if let Some((before, running)) = self.before.take() {
            let seconds = self.log.interval;
            self.lasted(&before, running, seconds);
        }
        if let Some(stretch) = self.steady.finish() {
            self.stretch(&stretch);
        }
        self.series.values_mut().for_each(Series::end_of_day);
        self
    }

    /// A moment lasted so long.
    fn lasted(&mut self, moment: &Moment, running: Option<Running>, seconds: i64) {
        self.tally.logged += seconds;
        if let Some(running) = running {
            self.tally.known += seconds;
            self.over_time.ran(moment.local, running.share, seconds);
        }
        let Some(running) = running.filter(|running| running.share > 0.0) else { return };
        self.tally.running += seconds;
        let settled = self.steady.settled();
        self.tally.steady += if settled { seconds } else { 0 };
        let Some(at) = self.reader.at(moment, running.share) else { return };
        let limit = self.job.limit("oil_riser");
        if let Some(healthy) = near(&mut self.near, &mut self.expectation, at) {
            let lost = self.tally.hear((&self.reader, moment), healthy, (seconds, settled), limit);
            self.over_time.lost(moment.local, lost, seconds);
        }
    }

    fn swing(&mut self, moment: &Moment, running: Option<Running>) {
        if self.log.interval > CLOSE {
            return;
        }
        if !self.steady.settled() || running.is_none_or(|running| running.share <= 0.0) {
            self.swings.iter_mut().for_each(Swings::restart);
            return;
        }
        let [high, low] = self.reader.pressures(moment);
        let dew = low.and_then(|low| self.reader.fluid.dew_temperature(low).ok());
        let over_dew = moment.get(Point::Of(Reading::SuctionTemperature)).zip(dew).map(|(t, dew)| t - dew);
        let superheat = moment.get(Point::Superheat).or(over_dew);
        for (swings, value) in self.swings.iter_mut().zip([superheat, low.map(f64::ln), high.map(f64::ln)]) {
            if let Some(value) = value {
                swings.hear(value, moment.at, moment.local);
            }
        }
    }

    fn stretch(&mut self, stretch: &Stretch) {
        if stretch.rows < 3 && self.log.interval < 200 {
            return;
        }
        let Some(at) = self.reader.at(&stretch.mean, stretch.running.share) else { return };
        let Some(healthy) = self.expectation.at(at) else { return };
        let [high, _] = self.reader.pressures(&stretch.mean);
        let dew = |pressure: Option<f64>| self.reader.fluid.dew_temperature(pressure?).ok();
        let condensing = dew(high).zip(dew(healthy.of(Reading::DischargePressure)));
        if let Some((is, expected)) = condensing {
            self.over_time.hear(stretch.span[0], [is, expected].map(|condensing| condensing - at.outdoor_K));
        }
        let excess = condensing.map(|(is, expected)| is - expected);
        // Where the head is held, condensing says nothing of the coil.
        let held = healthy.of(Reading::Fans).is_some_and(|fans| fans < 0.97);
        if let Some(excess) = excess.filter(|_| !held) {
            #[expect(clippy::cast_possible_truncation, reason = "tenths of a share")]
            let tenths = (10.0 * stretch.running.share).round() as i64;
            let wind = stretch.mean.get(Point::WindFrom).map(|from| (from, stretch.mean.get(Point::WindSpeed)));
            self.series.entry(tenths).or_default().hear(stretch.span[0], excess, wind);
        }
        let set = self.reader.set(&stretch.mean, stretch.running);
        let Some(score) = self.score(&set, &healthy) else { return };
        let day = stretch.span[0].div_euclid(DAY);
        let scored = Scored { score, span: stretch.span, set };
        match self.days.get_mut(&day) {
            Some(worst) if worst.score >= score => {}
            Some(worst) => *worst = scored,
            None => {
                self.days.insert(day, scored);
            }
        }
        if self.days.len() > KEPT {
            let least = self.days.iter().min_by(|a, b| a.1.score.total_cmp(&b.1.score)).map(|(day, _)| *day);
            least.and_then(|day| self.days.remove(&day));
        }
    }

    /// Mean square of what is read less what is expected, in bands.
    fn score(&mut self, set: &Set, healthy: &Healthy) -> Option<f64> {
        let all = taken::of(self.reader.fluid, set).ok()?;
        if self.bands.is_none() {
            self.bands = self.bands_at(set);
        }
        let bands = self.bands.as_ref()?;
        let (mut sum, mut count) = (0.0, 0_u32);
        for taken in all {
            let given = matches!(taken.reading, Reading::Outdoor | Reading::LeavingFluid | Reading::Fans);
            let (Some(expected), Some(band), false) = (healthy.of(taken.reading), bands.get(&taken.reading), given)
            else {
                continue;
            };
            sum += ((taken.value - expected) / band).powi(2).min(100.0);
            count += 1;
        }
        (count > 0).then(|| sum / f64::from(count))
    }

    /// Accuracies (95 %) of instrument and model at a set.
    fn bands_at(&self, set: &Set) -> Option<BTreeMap<Reading, f64>> {
        let case = self.coefficients.applied(&Case::new(self.job, self.circuit, set));
        let (explained, bands) = weighed(self.circuit, set, self.said).ok()?;
        let fitter = Fitter::new(&case, explained, bands, self.coefficients).ok()?;
        Some(fitter.readings.iter().enumerate().map(|(k, one)| (one.taken.reading, fitter.band(k))).collect())
    }
}

/// What a healthy machine shows near there: to half a degree, which is all that oil and flashing ask.
fn near<'b>(
    memory: &'b mut BTreeMap<[i32; 4], Option<Healthy>>,
    expectation: &mut Expectation<'_>,
    at: At,
) -> Option<&'b Healthy> {
    #[expect(clippy::cast_possible_truncation, reason = "halves of a degree, hundredths of a share")]
    let key = [
        (2.0 * at.outdoor_K).round() as i32,
        at.leaving_K.map_or(0, |leaving| (2.0 * leaving).round() as i32),
        (100.0 * at.share).round() as i32,
        at.bypass.map_or(-1, i32::from),
    ];
    if !memory.contains_key(&key) {
        if memory.len() > 20_000 {
            memory.clear();
        }
        let found = expectation.at(At {
            outdoor_K: f64::from(key[0]) / 2.0,
            leaving_K: at.leaving_K.map(|_| f64::from(key[1]) / 2.0),
            share: f64::from(key[2]) / 100.0,
            ..at
        });
        memory.insert(key, found);
    }
    memory.get(&key)?.as_ref()
}
