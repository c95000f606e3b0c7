//! `diagnose`: a complaint's answer.

use super::arguments::{Diagnose, Form};
use super::check;
use super::screen::{self, Trouble, View};
use crate::diagnose::{self, NoAnswer, Verdict};
use crate::{job, page};
use std::process::ExitCode;

pub(super) fn run(what: &Diagnose, view: View) -> Result<ExitCode, Trouble> {
    let job = check::open(&what.job, view)?;
    let readings = job::open_readings(&what.readings, job.units, job.site.atmosphere.pascals())
        .map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    let answer = diagnose::diagnose(&job, &readings).map_err(none)?;
    let text = match what.format {
        Form::Text => diagnose::text(&job, &answer, view.width),
        Form::Page => page::diagnosis(&job, &answer).map_err(Trouble::words)?,
        Form::Json => diagnose::json(&job, &answer).map_err(Trouble::words)?,
    };
    screen::answer(&text, matches!(answer.verdict, Verdict::Suspects | Verdict::Contradictory))
}

/// Why there is no answer.
pub(super) fn none(why: NoAnswer) -> Trouble {
    let NoAnswer::Words(words) = why;
    Trouble::words(words)
}
