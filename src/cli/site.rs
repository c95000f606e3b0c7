//! `site`: the roof and the year of a job.

use super::arguments::{Format, SiteArguments};
use super::screen::{self, Screen, Trouble};
use super::{FAILS, HOLDS, check};
use crate::rules::Verdict;
use crate::{site, survey};

pub(super) fn run(what: &SiteArguments, screen: &Screen) -> Result<u8, Trouble> {
    let job = check::open(&what.job, screen.width())?;
    let survey = survey::survey(&job).map_err(|faults| check::unsurveyed(&job, &faults, screen.width()))?;
    let site = site::study(&job, &survey).map_err(|faults| check::unsurveyed(&job, &faults, screen.width()))?;
    let text = match what.format {
        Format::Text => site::text(&site, screen.width()),
        Format::Json => site::json(&site).map_err(|fault| Trouble::words(fault.to_string()))?,
    };
    screen::print(&text)?;
    Ok(if site.verdict == Verdict::Fail { FAILS } else { HOLDS })
}
