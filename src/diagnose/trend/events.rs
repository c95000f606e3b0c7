//! What happened over the days of a trend, each in a sentence.

use super::series::{Change, SECTORS, Series};
use super::study::Study;
use super::swings::Swings;
use super::totals::Lasting;
use crate::job::Job;
use crate::trend::shown;
use std::collections::BTreeMap;

/// What kind of thing happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Happened {
    /// A riser lost its oil return.
    OilLost,
    /// Liquid flashed ahead of the valve.
    Flash,
    /// Condensing over outdoor is not that of a healthy chiller.
    Split,
    /// It changed from first to last.
    Drift,
    /// It changed at once.
    Step,
    /// It is more at some hours of the day.
    Hour,
    /// It is more with some winds.
    Wind,
    /// Something hunted.
    Hunting,
    /// Compressors start too often.
    Cycling,
    /// A column stayed the same.
    Stuck,
    /// A column was written in another unit.
    Slip,
    /// The log has gaps.
    Gap,
}

impl Happened {
    /// Its name for programs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::OilLost => "oil-riser",
            Self::Flash => "flash",
            Self::Split => "split",
            Self::Drift => "drift",
            Self::Step => "step",
            Self::Hour => "hour",
            Self::Wind => "wind",
            Self::Hunting => "hunting",
            Self::Cycling => "short-cycling",
            Self::Stuck => "stuck",
            Self::Slip => "slip",
            Self::Gap => "gap",
        }
    }
}

/// Something that happened, or that holds over a time.
#[derive(Clone, Debug)]
pub struct Event {
    /// From and to by the clock on the wall, s.
    pub span: [i64; 2],
    /// What kind.
    pub kind: Happened,
    /// How much, SI.
    pub value: f64,
    /// SI unit of that.
    pub unit: &'static str,
    /// In a sentence.
    pub says: String,
}

impl Event {
    /// Whether it is a fault by itself, whatever the steady stretches show.
    #[must_use]
    pub fn is_a_find(&self) -> bool {
        match self.kind {
            Happened::Hunting | Happened::Cycling | Happened::Flash | Happened::Hour | Happened::Wind => true,
            Happened::Drift | Happened::Step => self.value > 0.0,
            Happened::OilLost | Happened::Split | Happened::Stuck | Happened::Slip | Happened::Gap => false,
        }
    }
}

/// Starts an hour past which it is told: makers of scroll and screw compressors allow 4 to 8 (assumption).
const STARTS: f64 = 4.0;
/// Starts that make it.
const FEW_STARTS: u32 = 6;

/// Time shorter than that is none that is told, s.
const SHORT: i64 = 120;
/// The least that condensing over outdoor is over that of a healthy machine to be told, K.
const OVER: f64 = 1.7;

/// A time in words: minutes up to two hours, then hours.
pub fn lasting(seconds: i64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
    let minutes = seconds as f64 / 60.0;
    match minutes {
        m if m < 1.5 => format!("{seconds} s"),
        m if m < 120.0 => format!("{m:.0} min"),
        m if m < 1_200.0 => format!("{:.1} h", m / 60.0),
        m => format!("{:.0} h", m / 60.0),
    }
}

/// All events, gravest first.
pub(super) fn of(study: &Study<'_>, job: &Job) -> Vec<Event> {
    let mut events = Vec::new();
    oil(study, job, &mut events);
    flash(study, job, &mut events);
    if let Some(series) = study.series.values().max_by_key(|series| series.count) {
        split(study, series, job, &mut events);
    }
    cycling(study, &mut events);
    hunting(study, job, &mut events);
    of_columns(study, &mut events);
    gaps(study, &mut events);
    events
}

fn share(part: i64, whole: i64, job: &Job) -> String {
    #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
    let share = part as f64 / whole.max(1) as f64;
    job.units.percent(share)
}

#[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
fn seconds(seconds: i64) -> f64 {
    seconds as f64
}

fn oil(study: &Study<'_>, job: &Job, events: &mut Vec<Event>) {
    for (run, (lost, least)) in &study.tally.oil {
        let Some(span) = lost.span.filter(|_| lost.time >= SHORT) else { continue };
        let says = format!(
            "oil return is lost in discharge run {run} for {} of {} run ({}), {} at the longest: {} of the minimum flow at worst",
            lasting(lost.time),
            lasting(study.tally.running),
            share(lost.time, study.tally.running, job),
            lasting(lost.longest),
            job.units.ratio(*least)
        );
        events.push(Event { span, kind: Happened::OilLost, value: seconds(lost.time), unit: "s", says });
    }
}

fn flash(study: &Study<'_>, job: &Job, events: &mut Vec<Event>) {
    let (Lasting { time, longest, span, .. }, worst) = study.tally.flash;
    let Some(span) = span.filter(|_| time >= SHORT) else { return };
    let says = format!(
        "liquid flashes before the valve for {} of {} steady ({}), {} at the longest: it lacks {} of subcooling at worst",
        lasting(time),
        lasting(study.tally.steady),
        share(time, study.tally.steady, job),
        lasting(longest),
        job.units.difference(-worst)
    );
    events.push(Event { span, kind: Happened::Flash, value: seconds(time), unit: "s", says });
}

/// Condensing over outdoor over that of a healthy chiller at like load.
fn split(study: &Study<'_>, series: &Series, job: &Job, events: &mut Vec<Event>) {
    let difference = |kelvin: f64| job.units.difference(kelvin.abs());
    let span = study.log.span;
    if let Some([least, median, greatest]) = series.range().filter(|[_, median, _]| median.abs() > OVER) {
        let way = if median > 0.0 { "above" } else { "below" };
        let says = format!(
            "condensing over outdoor is {} {way} that of a healthy chiller at like load (hours from {} to {})",
            difference(median),
            job.units.difference(least),
            job.units.difference(greatest)
        );
        events.push(Event { span, kind: Happened::Split, value: median, unit: "K", says });
    }
    match series.change() {
        Some(Change::Drift(by)) => {
            let way = if by > 0.0 { "risen" } else { "fallen" };
            let says =
                format!("condensing over outdoor has {way} by {} at like load from first to last", difference(by));
            events.push(Event { span, kind: Happened::Drift, value: by, unit: "K", says });
        }
        Some(Change::Step(by, at)) => {
            let way = if by > 0.0 { "up" } else { "down" };
            let says = format!(
                "condensing over outdoor steps {way} by {} at like load at {}: something happened then",
                difference(by),
                shown(at, false)
            );
            events.push(Event { span: [at, span[1]], kind: Happened::Step, value: by, unit: "K", says });
        }
        None => {}
    }
    if let Some((from, to, by)) = series.hours_of_day() {
        let says = format!(
            "condensing over outdoor is {} more from {from}:00 to {to}:00 than in other hours at like load: warm air, sun, or a neighbour that runs then",
            difference(by)
        );
        events.push(Event { span, kind: Happened::Hour, value: by, unit: "K", says });
    }
    if let Some((sector, by)) = series.wind() {
        let says = format!(
            "condensing over outdoor is {} more with wind from the {} than with other winds at like load: warm air comes back",
            difference(by),
            SECTORS[sector]
        );
        events.push(Event { span, kind: Happened::Wind, value: by, unit: "K", says });
    }
}

fn cycling(study: &Study<'_>, events: &mut Vec<Event>) {
    let (starts, known) = (study.tally.starts, study.tally.known);
    let hourly = f64::from(starts) / (seconds(known.max(1)) / 3600.0);
    if starts < FEW_STARTS || hourly < STARTS {
        return;
    }
    let says = format!(
        "compressors start {starts} times in {}, {hourly:.0} an hour: short cycling, which wears them and takes oil away",
        lasting(known)
    );
    events.push(Event { span: study.log.span, kind: Happened::Cycling, value: f64::from(starts), unit: "-", says });
}

fn hunting(study: &Study<'_>, job: &Job, events: &mut Vec<Event>) {
    let [superheat, suction, discharge] = &study.swings;
    let told = |swings: &Swings, what: &str, by: &dyn Fn(f64) -> String| {
        let ([swing, period], span) = swings.found().zip(swings.span)?;
        #[expect(clippy::cast_possible_truncation, reason = "a period")]
        let every = lasting(period.round() as i64);
        let says =
            format!("{what} hunts for {} while nothing steps: {} every {every}", lasting(swings.time), by(swing));
        Some((says, span, seconds(swings.time)))
    };
    let by_share = |swing: f64| job.units.percent(swing.exp_m1());
    let low_side = told(superheat, "superheat", &|swing| job.units.difference(swing))
        .or_else(|| told(suction, "suction pressure", &by_share));
    let high_side = told(discharge, "discharge pressure", &by_share);
    for (says, span, value) in low_side.into_iter().chain(high_side) {
        events.push(Event { span, kind: Happened::Hunting, value, unit: "s", says });
    }
}

/// Columns that were stuck or in another unit for a time, each told once.
fn of_columns(study: &Study<'_>, events: &mut Vec<Event>) {
    let log = study.log;
    let slips = log.slips.iter().map(|(column, span, how)| ((Happened::Slip, *column, *how), *span));
    let stuck = log.stuck.iter().map(|(column, span)| ((Happened::Stuck, *column, ""), *span));
    let mut all: BTreeMap<(Happened, usize, &str), Vec<[i64; 2]>> = BTreeMap::new();
    slips.chain(stuck).for_each(|(of, span)| all.entry(of).or_default().push(span));
    for ((kind, column, how), spans) in all {
        let name = log.columns.iter().find(|other| other.number == column + 1).map_or("", |column| &column.name);
        let time: i64 = spans.iter().map(|[from, to]| to - from).sum();
        let (first, last) = (spans.first().map_or(0, |[from, _]| *from), spans.last().map_or(0, |[_, to]| *to));
        let span = [log.local(first), log.local(last)];
        let does = if kind == Happened::Slip {
            format!("is written in another unit ({how})")
        } else {
            "stays the same while the chiller runs".to_owned()
        };
        let times = if spans.len() > 1 { format!(" in {} stretches, the first", spans.len()) } else { String::new() };
        let says = format!(
            "column {} `{name}` {does} for {}{times} from {}: left out",
            column + 1,
            lasting(time),
            shown(span[0], false)
        );
        events.push(Event { span, kind, value: seconds(time), unit: "s", says });
    }
}

fn gaps(study: &Study<'_>, events: &mut Vec<Event>) {
    let (count, longest) = study.tally.gaps;
    if count > 0 {
        let gaps = if count == 1 { "gap" } else { "gaps" };
        let says = format!("{count} {gaps} in the log, {} at the longest", lasting(longest));
        events.push(Event { span: study.log.span, kind: Happened::Gap, value: seconds(longest), unit: "s", says });
    }
}
