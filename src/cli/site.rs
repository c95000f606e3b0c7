//! `site`: the roof and the year of a job.

use super::arguments::{JobFile, Report};
use super::check;
use super::progress::Bar;
use super::screen::{self, Trouble};
use crate::job::Job;
use crate::rules::Verdict;
use crate::{page, site, survey};
use std::process::ExitCode;

pub(super) fn run(what: &JobFile, width: usize) -> Result<ExitCode, Trouble> {
    #[cfg(feature = "watch")]
    if let Some(out) = &what.watch {
        return super::watch::run(what, out, &|| answer(what, width));
    }
    let (text, fails) = answer(what, width)?;
    screen::answer(&text, fails)
}

/// The answer as it is asked for, and whether anything fails.
fn answer(what: &JobFile, width: usize) -> Result<(String, bool), Trouble> {
    let job = check::open(&what.job, width)?;
    if job.roof.is_none() && job.weather.is_none() {
        return Err(Trouble::words(nothing(&job)));
    }
    let survey = survey::survey(&job).map_err(|faults| check::unsurveyed(&job, &faults, width))?;
    let bar = Bar::new("the year");
    let site = site::study(&job, &survey, &|share| bar.tell(share));
    bar.finish();
    let site = site.map_err(|faults| check::unsurveyed(&job, &faults, width))?;
    let text = match what.format {
        Report::Text => site::text(&site, width, what.full),
        Report::Json => site::json(&site).map_err(Trouble::words)?,
        Report::Page => page::site(&site).map_err(Trouble::words)?,
        Report::Sheet => page::review(&job, &site.findings, &site.remedies).map_err(Trouble::words)?,
    };
    Ok((text, site.verdict == Verdict::Fail))
}

/// Says what a job needs for a site to be studied.
fn nothing(job: &Job) -> String {
    format!(
        "{} draws no [roof] and names no weather file: there is no site to study.\n\
         For the roof, draw it in coordinates ([roof] with its [[roof.unit]]); for the year, write under [site]\n  \
         weather = \"FILE\"\n\
         with an EPW or TMY3 file beside the job, and take out summer and winter. `roofrun new` shows every key.",
        job.file
    )
}
