//! `site`: the roof and the year of a job.

use super::arguments::{Format, SiteArguments};
use super::screen::{self, Screen, Trouble};
use super::{FAILS, HOLDS, check};
use crate::job::Job;
use crate::rules::Verdict;
use crate::{site, survey};

pub(super) fn run(what: &SiteArguments, screen: &Screen) -> Result<u8, Trouble> {
    let job = check::open(&what.job, screen.width())?;
    if job.roof.is_none() && job.weather.is_none() {
        return Err(Trouble::words(nothing(&job)));
    }
    let survey = survey::survey(&job).map_err(|faults| check::unsurveyed(&job, &faults, screen.width()))?;
    let site = site::study(&job, &survey).map_err(|faults| check::unsurveyed(&job, &faults, screen.width()))?;
    let text = match what.format {
        Format::Text => site::text(&site, screen.width()),
        Format::Json => site::json(&site).map_err(|fault| Trouble::words(fault.to_string()))?,
    };
    screen::print(&text)?;
    Ok(if site.verdict == Verdict::Fail { FAILS } else { HOLDS })
}

/// Says what a job needs for a site to be studied.
fn nothing(job: &Job) -> String {
    format!(
        "{} draws no [roof] and names no weather file: there is no site to study.\n\
         For the roof, draw it in coordinates ([roof] with its [[roof.unit]]); for the year, write under [site]\n  \
         weather = \"FILE\"\n\
         with an EPW or TMY3 file beside the job, in place of summer and winter. `roofrun new` shows every key.",
        job.file
    )
}
