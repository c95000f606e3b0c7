//! `diagnose`: a complaint's answer.

use super::arguments::{Dates, Diagnose, Form, OfATrend};
use super::progress::Bar;
use super::screen::{self, Trouble, View};
use crate::diagnose::{self, Answer, Asked, NoAnswer, Trend, Verdict};
use crate::job::{self, Job, Readings, Unknown};
use crate::page;
use crate::trend::Order;
use std::path::Path;
use std::process::ExitCode;

/// The answer to a set of readings, or to a trend.
pub(super) enum Answered {
    Set(Box<Answer>),
    Trend(Box<Trend>),
}

pub(super) fn run(what: &Diagnose, view: View) -> Result<ExitCode, Trouble> {
    let (job, answered) = answered(&what.job, &what.readings, what.circuit.as_deref(), &what.trend, view)?;
    let (text, verdict) = match &answered {
        Answered::Set(answer) => {
            let text = match what.format {
                Form::Text => diagnose::text(&job, answer, view.width),
                Form::Page => page::diagnosis(&job, answer).map_err(Trouble::words)?,
                Form::Json => diagnose::json(&job, answer).map_err(Trouble::words)?,
            };
            (text, answer.verdict)
        }
        Answered::Trend(answer) => {
            let text = match what.format {
                Form::Text => diagnose::trend_text(&job, answer, view.width),
                Form::Page => page::trend(&job, answer).map_err(Trouble::words)?,
                Form::Json => diagnose::trend_json(&job, answer).map_err(Trouble::words)?,
            };
            (text, answer.verdict)
        }
    };
    screen::answer(&text, matches!(verdict, Verdict::Suspects | Verdict::Contradictory))
}

/// A job, and what is not known of it.
pub(super) fn open(file: &Path, view: View) -> Result<(Job, Unknown), Trouble> {
    let opened = job::open_sketch(file).map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    let (mut job, unknown) = opened;
    job.units = view.units.unwrap_or(job.units);
    Ok((job, unknown))
}

/// A job and what its readings, TOML or a trend as CSV, say of it.
pub(super) fn answered(
    file: &Path,
    readings: &Path,
    circuit: Option<&str>,
    taken: &OfATrend,
    view: View,
) -> Result<(Job, Answered), Trouble> {
    if [file, readings].into_iter().all(screen::is_standard) {
        return Err(Trouble::words("the job and the readings can't both come from standard input; give one as a file"));
    }
    let told = |faults: &job::Faults| Trouble::Text(faults.render(true, view.width));
    if holds_readings(file) {
        return Err(Trouble::words(format!(
            "{} holds readings, and the job comes first: are the two exchanged?",
            file.display()
        )));
    }
    let (job, unknown) = open(file, view)?;
    let toml = readings.extension().is_none_or(|end| end.eq_ignore_ascii_case("toml"));
    if !toml {
        let said = match &taken.columns {
            Some(file) => {
                job::open_columns(file, job.units, job.site.atmosphere.pascals()).map_err(|faults| told(&faults))?
            }
            None => Readings::default(),
        };
        let said = Readings { unknown, ..said };
        let order = taken.dates.map(|dates| match dates {
            Dates::MonthFirst => Order::MonthFirst,
            Dates::DayFirst => Order::DayFirst,
        });
        let asked = Asked { file: readings, order, circuit, said: &said };
        let bar = Bar::new("the trend");
        let answer = diagnose::trend(&job, &asked, &|share| bar.tell(share));
        bar.finish();
        return Ok((job, Answered::Trend(Box::new(answer.map_err(none)?))));
    }
    if taken.columns.is_some() || taken.dates.is_some() || circuit.is_some() {
        return Err(Trouble::words("--columns, --circuit and --dates are of a trend, a CSV file"));
    }
    let readings = job::open_readings(readings, &job).map_err(|faults| told(&faults))?;
    let answer = diagnose::diagnose(&job, &Readings { unknown, ..readings }).map_err(none)?;
    Ok((job, Answered::Set(Box::new(answer))))
}

/// Whether a file that should be a job holds readings instead.
fn holds_readings(file: &Path) -> bool {
    if screen::is_standard(file) || file.metadata().is_ok_and(|about| !about.is_file() || about.len() > 1 << 20) {
        return false;
    }
    let text = std::fs::read_to_string(file).unwrap_or_default();
    let heads = |head: &str| text.lines().any(|line| line.trim_start().starts_with(head));
    heads("[readings]") && !heads("[[circuit]]")
}

/// Why there is no answer.
pub(super) fn none(why: NoAnswer) -> Trouble {
    let NoAnswer::Words(words) = why;
    Trouble::words(words)
}
