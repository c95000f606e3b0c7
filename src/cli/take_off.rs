//! `take-off`: what to buy and to braze for a job.

use super::arguments::{ListFormat, TakeOff as Asked};
use super::check;
use super::screen::{self, Trouble, View};
use crate::takeoff::{TakeOff, TakeOffFault};
use crate::{page, survey};
use std::process::ExitCode;

pub(super) fn run(what: &Asked, view: View) -> Result<ExitCode, Trouble> {
    let job = check::open(&what.job, view)?;
    // Only the charge needs the job solved; the list goes without it where it has no solution.
    let survey = survey::without_curve(&job).ok();
    let trouble = |fault: TakeOffFault| Trouble::words(fault.to_string());
    let list = TakeOff::new(&job, survey.as_ref(), what.allowance).map_err(trouble)?;
    let text = match what.format {
        ListFormat::Text => list.text(view.width),
        ListFormat::Csv => list.csv().map_err(trouble)?,
        ListFormat::Page => page::take_off(&job, &list).map_err(Trouble::words)?,
        ListFormat::Json => list.json().map_err(trouble)?,
    };
    screen::answer(&text, false)
}
