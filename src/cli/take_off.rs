//! `take-off`: what to buy and to braze for a job.

use super::HOLDS;
use super::arguments::{ListFormat, TakeOff as Asked};
use super::check;
use super::screen::{self, Screen, Trouble};
use crate::survey;
use crate::takeoff::{TakeOff, TakeOffFault};

pub(super) fn run(what: &Asked, screen: &Screen) -> Result<u8, Trouble> {
    let job = check::open(&what.job, screen.width())?;
    // Only the charge needs the job solved; the list goes without it where it has no solution.
    let survey = survey::survey(&job).ok();
    let trouble = |fault: TakeOffFault| Trouble::words(fault.to_string());
    let list = TakeOff::new(&job, survey.as_ref(), what.allowance).map_err(trouble)?;
    let text = match what.format {
        ListFormat::Text => list.text(screen.width()),
        ListFormat::Csv => list.csv().map_err(trouble)?,
        ListFormat::Json => list.json().map_err(trouble)?,
    };
    screen::print(&text)?;
    Ok(HOLDS)
}
