//! `diagnose`: a complaint's answer.

use super::arguments::{Dates, Diagnose, Form};
use super::progress::Bar;
use super::screen::{self, Trouble, View};
use crate::diagnose::{self, Asked, NoAnswer, Verdict};
use crate::job::{self, Job, Readings, Unknown};
use crate::page;
use crate::trend::Order;
use std::process::ExitCode;

pub(super) fn run(what: &Diagnose, view: View) -> Result<ExitCode, Trouble> {
    let (mut job, unknown) =
        job::open_sketch(&what.job).map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    job.units = view.units.unwrap_or(job.units);
    let toml = what.readings.extension().is_none_or(|end| end.eq_ignore_ascii_case("toml"));
    if !toml {
        return trend((&job, unknown), what, view);
    }
    if what.columns.is_some() || what.dates.is_some() || what.circuit.is_some() {
        return Err(Trouble::words("--columns, --circuit and --dates are of a trend, a CSV file"));
    }
    let readings = job::open_readings(&what.readings, job.units, job.site.atmosphere.pascals())
        .map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    let readings = Readings { unknown, ..readings };
    let answer = diagnose::diagnose(&job, &readings).map_err(none)?;
    let text = match what.format {
        Form::Text => diagnose::text(&job, &answer, view.width),
        Form::Page => page::diagnosis(&job, &answer).map_err(Trouble::words)?,
        Form::Json => diagnose::json(&job, &answer).map_err(Trouble::words)?,
    };
    screen::answer(&text, matches!(answer.verdict, Verdict::Suspects | Verdict::Contradictory))
}

/// The same of a trend.
fn trend((job, unknown): (&Job, Unknown), what: &Diagnose, view: View) -> Result<ExitCode, Trouble> {
    let said = match &what.columns {
        Some(file) => job::open_columns(file, job.units, job.site.atmosphere.pascals())
            .map_err(|faults| Trouble::Text(faults.render(true, view.width)))?,
        None => Readings::default(),
    };
    let said = Readings { unknown, ..said };
    let order = what.dates.map(|dates| match dates {
        Dates::MonthFirst => Order::MonthFirst,
        Dates::DayFirst => Order::DayFirst,
    });
    let asked = Asked { file: &what.readings, order, circuit: what.circuit.as_deref(), said: &said };
    let bar = Bar::new("the trend");
    let answer = diagnose::trend(job, &asked, &|share| bar.tell(share));
    bar.finish();
    let answer = answer.map_err(none)?;
    let text = match what.format {
        Form::Text => diagnose::trend_text(job, &answer, view.width),
        Form::Json => diagnose::trend_json(job, &answer).map_err(Trouble::words)?,
        Form::Page => {
            return Err(Trouble::words(
                "a trend is answered as text or JSON; for a page, write its worst moment as readings",
            ));
        }
    };
    screen::answer(&text, matches!(answer.verdict, Verdict::Suspects | Verdict::Contradictory))
}

/// Why there is no answer.
pub(super) fn none(why: NoAnswer) -> Trouble {
    let NoAnswer::Words(words) = why;
    Trouble::words(words)
}
