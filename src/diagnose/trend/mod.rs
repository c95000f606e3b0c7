//! A complaint that comes with a trend: what moved over the days, and the worst moments explained.

mod bins;
mod events;
mod expectation;
mod json;
mod series;
mod state;
mod stretch;
mod study;
mod swings;
mod text;
mod totals;

pub use bins::Bins;
pub use events::{Event, Happened};
pub use json::{schema, trend_json};
pub use text::trend_text;
pub(crate) use text::{put_columns, put_lead, put_worst, said, titles};

use super::{Answer, NoAnswer, Verdict, circuit_of, coefficients, diagnose, running_of};
use crate::job::{Job, Point, Reading, Readings};
use crate::trend::{Column, Log, Order, Scene, Unusable, iso};
use std::collections::BTreeMap;
use std::path::Path;
use study::{Scored, Study};

/// Worst moments that are explained.
const WORST: usize = 3;
/// So far apart they lie at least, s.
const APART: i64 = 86_400;
/// The state of compressors is told to be unknown for so long, s, and such a part of the time.
const UNKNOWN: (i64, i64) = (3_600, 20);
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
    /// What it shows over its time.
    pub over_time: Bins,
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
    let circuit = circuit_of(job, asked.circuit.or(asked.said.set.circuit.as_deref()), "--circuit")?;
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    let scene = Scene { job, circuit, fluid, said: &asked.said.columns };
    let log = Log::read(asked.file, asked.order, &scene, &|share| progress(0.4 * share)).map_err(unusable)?;
    lacks(&log, &file)?;
    if let Some(crate::job::Runs::Count(count)) = asked.said.set.running {
        running_of(circuit, Some(count))?;
    }
    let (coefficients, _) = coefficients(job, circuit, asked.said)?;
    let mut study = Study::new(job, circuit, fluid, (&log, asked.said), &coefficients);
    log.moments(&mut |moment| study.hear(moment), &|share| progress(0.4 + 0.5 * share)).map_err(unusable)?;
    let study = study.done();
    // Nothing runs by what little is known of it, and no column says so.
    let columns = log.has(Point::Running) || log.has(Point::Share);
    if !columns && study.tally.running == 0 && study.tally.known < study.tally.logged * 9 / 10 {
        let says = "no column says whether compressors run: name it in [columns] of --columns, or give `running` in its [readings]";
        return Err(NoAnswer::Words(format!("{file}: {says}")));
    }
    let unknown = study.tally.logged - study.tally.known;
    let mut told = log.told.clone();
    if columns && unknown > UNKNOWN.0.max(study.tally.logged / UNKNOWN.1) {
        let says = format!(
            "the state of the compressors is unknown for {} of {}, as its last value is older than its hold: set hold for its column in [columns]",
            events::lasting(unknown),
            events::lasting(study.tally.logged)
        );
        if study.tally.running == 0 {
            return Err(NoAnswer::Words(format!("{file}: {says}")));
        }
        told.push(says);
    }
    if !columns && study.tally.running > 0 && circuit.compressors.count > 1 && asked.said.set.running.is_none() {
        let count = circuit.compressors.count;
        told.push(format!(
            "no column says how many compressors run: all {count} are taken to, where the pressures are apart"
        ));
    }
    let events = events::of(&study, job);
    let worst = worst(job, &study, asked.said);
    progress(1.0);
    let is = |wanted: Verdict| worst.iter().any(|moment| moment.answer.verdict == wanted);
    let verdict = if study.tally.running == 0 {
        Verdict::NotRunning
    } else {
        let graver = [Verdict::Suspects, Verdict::Contradictory].into_iter().find(|verdict| is(*verdict));
        let found = if events.iter().any(Event::is_a_find) { Verdict::Suspects } else { Verdict::Healthy };
        graver.unwrap_or(found)
    };
    Ok(Trend {
        circuit: circuit.name.clone(),
        written: log.written(),
        rows: log.rows.read,
        interval: log.interval,
        span: log.span,
        times: [study.tally.logged, study.tally.running, study.tally.steady],
        events,
        columns: log.columns.clone(),
        told,
        over_time: study.over_time,
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
        says.push_str("; not known are ");
        says.push_str(&free.join(", "));
    }
    says.push_str(".\nSay what is what with --columns FILE, such as\n  [columns]\n  \"OAT\" = \"outdoor\"");
    for told in &log.told {
        says.push('\n');
        says.push_str(told);
    }
    Err(NoAnswer::Words(says))
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
        // What a head says of gauge or absolute nobody may have looked at.
        let readings = Readings { set: scored.set.clone(), columns: BTreeMap::new(), bare: true, ..said.clone() };
        Some(Moments { span: scored.span, answer: diagnose(job, &readings).ok()? })
    };
    chosen.iter().filter_map(explained).collect()
}
