//! A complaint that comes with a trend: what moved over the days, and the worst moments explained.

mod events;
mod expectation;
mod json;
mod series;
mod state;
mod stretch;
mod swings;
mod tally;
mod text;

pub use json::trend_json;
pub use text::trend_text;

use super::fit::{Coefficients, Fitter};
use super::{Answer, NoAnswer, Verdict, circuit_of, coefficients, diagnose, taken, weighed};
use crate::job::{Circuit, Job, Point, Reading, Readings, Set};
use crate::refrigerant::Refrigerant;
use crate::trend::{Column, Log, Moment, Order, Scene, Unusable, iso};
use expectation::{At, Expectation, Healthy};
use series::Series;
use state::{Reader, Running};
use std::collections::BTreeMap;
use std::path::Path;
use stretch::{Steady, Stretch};
use swings::Swings;
use tally::Tally;

/// Worst moments that are explained.
const WORST: usize = 3;
/// So far apart they lie at least, s.
const APART: i64 = 86_400;
/// Stretches of which the worst are chosen: of each day one.
const KEPT: usize = 400;
/// Rows further apart than so many of their usual distance, and than this, s, have a gap between them.
const GAP: (i64, i64) = (3, 900);
/// Rows closer than that show hunting, s.
const CLOSE: i64 = 120;
/// Swings that are hunting: of superheat, K; of pressures, as a share.
const SWINGS: (f64, f64) = (4.0, 0.05);
/// What a moment off by more than its bands is at least worth, in mean squares of them.
const OFF: f64 = 1.0;

/// What is asked.
pub struct Asked<'a> {
    /// The file.
    pub file: &'a Path,
    /// What was said of the order of month and day.
    pub order: Option<Order>,
    /// The circuit; needed where the job has several.
    pub circuit: Option<&'a str>,
    /// What is said of its columns and of accuracies, and what is the same at all times.
    pub said: &'a Readings,
}

/// Something that happened, or that holds over a time.
#[derive(Clone, Debug)]
pub struct Event {
    /// From and to by the clock on the wall, s.
    pub span: [i64; 2],
    /// What kind.
    pub kind: &'static str,
    /// How much, SI.
    pub value: f64,
    /// SI unit of that.
    pub unit: &'static str,
    /// In a sentence.
    pub says: String,
}

/// A moment explained.
#[derive(Clone, Debug)]
pub struct Moments {
    /// From and to by the clock on the wall, s.
    pub span: [i64; 2],
    /// Its answer.
    pub answer: Answer,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Trend {
    /// Of which circuit.
    pub circuit: String,
    /// The file's name.
    pub file: String,
    /// How the file is written.
    pub written: String,
    /// What was taken for what.
    pub columns: Vec<Column>,
    /// What was taken otherwise than it stands there, and what could not be used, each in a line.
    pub told: Vec<String>,
    /// Rows.
    pub rows: u64,
    /// The usual time between two rows, s.
    pub interval: i64,
    /// First and last time by the clock on the wall, s.
    pub span: [i64; 2],
    /// Time logged, running and steady, s.
    pub times: [i64; 3],
    /// What happened, gravest first.
    pub events: Vec<Event>,
    /// The worst moments.
    pub worst: Vec<Moments>,
    /// Verdict over all.
    pub verdict: Verdict,
}

impl Trend {
    /// A time as ISO 8601 has it.
    fn iso(local: i64) -> String {
        iso(local)
    }
}

/// Explains a trend; `progress` hears from 0 to 1.
///
/// # Errors
/// [`NoAnswer`] where the file or the circuit can't be used.
pub fn trend(job: &Job, asked: &Asked<'_>, progress: &dyn Fn(f64)) -> Result<Trend, NoAnswer> {
    let file = asked.file.display().to_string();
    let unusable = |why: Unusable| NoAnswer::Words(format!("{file} {why}"));
    let circuit = circuit_of(job, asked.circuit.or(asked.said.set.circuit.as_deref()))?;
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    let scene = Scene { job, circuit, fluid, said: &asked.said.columns };
    let log = Log::read(asked.file, asked.order, &scene, &|share| progress(0.4 * share)).map_err(unusable)?;
    lacks(&log, &file)?;
    let coefficients = coefficients(job, circuit, asked.said)?;
    let mut study = Study::new(job, circuit, fluid, (&log, asked.said), &coefficients);
    log.moments(&mut |moment| study.hear(moment), &|share| progress(0.4 + 0.5 * share)).map_err(unusable)?;
    let study = study.done();
    let worst = worst(job, &study, asked.said);
    progress(1.0);
    let is = |wanted: Verdict| worst.iter().any(|moment| moment.answer.verdict == wanted);
    let verdict = if study.tally.running == 0 {
        Verdict::NotRunning
    } else {
        let graver = [Verdict::Suspects, Verdict::Contradictory].into_iter().find(|verdict| is(*verdict));
        graver.unwrap_or(Verdict::Healthy)
    };
    Ok(Trend {
        circuit: circuit.name.clone(),
        written: log.written(),
        rows: log.rows.read,
        interval: log.interval,
        span: log.span,
        times: [study.tally.logged, study.tally.running, study.tally.steady],
        events: events::of(&study, job),
        columns: log.columns.clone(),
        told: log.told.clone(),
        file,
        worst,
        verdict,
    })
}

/// Says what no answer can do without and which columns could be it.
fn lacks(log: &Log, file: &str) -> Result<(), NoAnswer> {
    let any = |points: &[Point]| points.iter().any(|point| log.has(*point));
    let needed: [(&str, &[Point]); 3] = [
        ("outdoor air", &[Point::Of(Reading::Outdoor), Point::Of(Reading::AirOn)]),
        ("discharge pressure", &[Point::Of(Reading::DischargePressure), Point::DischargeSaturated]),
        ("suction pressure", &[Point::Of(Reading::SuctionPressure), Point::SuctionSaturated]),
    ];
    let lacks: Vec<&str> = needed.iter().filter(|(_, points)| !any(points)).map(|(name, _)| *name).collect();
    if lacks.is_empty() {
        return Ok(());
    }
    let free = log.columns.iter().filter(|column| column.point.is_none()).map(|column| format!("`{}`", column.name));
    let free: Vec<String> = free.take(20).collect();
    let mut says = format!("{file} has no column that is {}", lacks.join(" and none that is "));
    if !free.is_empty() {
        says.push_str(&format!("; not known are {}", free.join(", ")));
    }
    says.push_str(".\nSay what is what with --columns FILE, such as\n  [columns]\n  \"OAT\" = \"outdoor\"");
    for told in &log.told {
        says.push_str("\n");
        says.push_str(told);
    }
    Err(NoAnswer::Words(says))
}

/// A stretch with how far it is off what is expected.
struct Scored {
    score: f64,
    span: [i64; 2],
    set: Set,
}

/// What a trend is studied with.
pub(in crate::diagnose) struct Study<'a> {
    job: &'a Job,
    circuit: &'a Circuit,
    log: &'a Log,
    said: &'a Readings,
    coefficients: &'a Coefficients,
    reader: Reader<'a>,
    expectation: Expectation<'a>,
    steady: Steady,
    gap: i64,
    before: Option<(Moment, Option<Running>)>,
    /// What a healthy machine shows, near each place that was asked for.
    near: BTreeMap<[i32; 4], Option<Healthy>>,
    bands: Option<BTreeMap<Reading, f64>>,
    /// By tenths of the share.
    series: BTreeMap<i64, Series>,
    /// The worst stretch of each day.
    days: BTreeMap<i64, Scored>,
    /// Hunting of superheat, suction and discharge pressure.
    swings: [Swings; 3],
    tally: Tally,
}

impl<'a> Study<'a> {
    fn new(
        job: &'a Job,
        circuit: &'a Circuit,
        fluid: &'static Refrigerant,
        (log, said): (&'a Log, &'a Readings),
        coefficients: &'a Coefficients,
    ) -> Self {
        let gap = (GAP.0 * log.interval).max(GAP.1);
        Self {
            job,
            circuit,
            log,
            said,
            coefficients,
            reader: Reader { circuit, fluid, log, always: &said.set },
            expectation: Expectation::new(job, circuit, coefficients),
            steady: Steady::new(gap),
            gap,
            before: None,
            near: BTreeMap::new(),
            bands: None,
            series: BTreeMap::new(),
            days: BTreeMap::new(),
            swings: [Swings::of(SWINGS.0), Swings::of(SWINGS.1), Swings::of(SWINGS.1)],
            tally: Tally::default(),
        }
    }

    fn hear(&mut self, moment: &Moment) {
        if let Some((before, running)) = self.before.take() {
            let apart = moment.at - before.at;
            if apart > self.gap {
                self.tally.gaps = (self.tally.gaps.0 + 1, self.tally.gaps.1.max(apart));
            }
            self.lasted(&before, running, if apart > self.gap { self.log.interval } else { apart });
        }
        let running = self.reader.running(moment);
        if let Some(stretch) = self.steady.hear(moment, running) {
            self.stretch(&stretch);
        }
        self.swing(moment, running);
        self.before = Some((moment.clone(), running));
    }

    fn done(mut self) -> Self {
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
        let Some(running) = running.filter(|running| running.share > 0.0) else { return };
        self.tally.running += seconds;
        let settled = self.steady.settled();
        self.tally.steady += if settled { seconds } else { 0 };
        let Some(at) = self.reader.at(moment, running.share) else { return };
        let limit = self.job.limit("oil_riser");
        if let Some(healthy) = near(&mut self.near, &mut self.expectation, at) {
            self.tally.hear((&self.reader, moment), healthy, (seconds, settled), limit);
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
        let excess = dew(high).zip(dew(healthy.of(Reading::DischargePressure))).map(|(is, expected)| is - expected);
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
        let day = stretch.span[0].div_euclid(APART);
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
        let case = self.coefficients.applied(&super::case::Case::new(self.job, self.circuit, set));
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
        (2.0 * at.outdoor).round() as i32,
        at.leaving.map_or(0, |leaving| (2.0 * leaving).round() as i32),
        (100.0 * at.share).round() as i32,
        at.bypass.map_or(-1, i32::from),
    ];
    if !memory.contains_key(&key) {
        if memory.len() > 20_000 {
            memory.clear();
        }
        let found = expectation.at(At {
            outdoor: f64::from(key[0]) / 2.0,
            leaving: at.leaving.map(|_| f64::from(key[1]) / 2.0),
            share: f64::from(key[2]) / 100.0,
            ..at
        });
        memory.insert(key, found);
    }
    memory.get(&key)?.as_ref()
}

/// The worst stretches, far enough apart, explained; where all is as expected the worst of them alone.
fn worst(job: &Job, study: &Study<'_>, said: &Readings) -> Vec<Moments> {
    let mut all: Vec<&Scored> = study.days.values().collect();
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut chosen: Vec<&Scored> = Vec::new();
    for scored in all {
        let apart = chosen.iter().all(|other| (other.span[0] - scored.span[0]).abs() >= APART);
        if chosen.is_empty() || (apart && scored.score > OFF) {
            chosen.push(scored);
        }
        if chosen.len() == WORST {
            break;
        }
    }
    let explained = |scored: &&Scored| {
        let readings = Readings { set: scored.set.clone(), columns: BTreeMap::new(), ..said.clone() };
        Some(Moments { span: scored.span, answer: diagnose(job, &readings).ok()? })
    };
    chosen.iter().filter_map(explained).collect()
}
