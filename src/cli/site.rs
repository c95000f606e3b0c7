//! `site`: the roof and the year of a job.

use super::arguments::{JobFile, Report};
use super::check;
use super::progress::Bar;
use super::screen::{self, Trouble, View};
use crate::job::Job;
use crate::rules::Verdict;
use crate::{page, site, survey};
use std::process::ExitCode;

pub(super) fn run(what: &JobFile, view: View) -> Result<ExitCode, Trouble> {
    #[cfg(feature = "watch")]
    if let Some(out) = &what.shown.watch {
        return super::watch::run(&what.job, what.shown.format, out, &|| answer(what, view));
    }
    let (text, fails) = answer(what, view)?;
    screen::answer(&text, fails)
}

/// The answer as it is asked for, and whether anything fails.
fn answer(what: &JobFile, view: View) -> Result<(String, bool), Trouble> {
    let job = check::open(&what.job, view)?;
    if job.roof.is_none() && job.weather.is_none() {
        return Err(Trouble::words(nothing(&job)));
    }
    let survey = survey::survey(&job).map_err(|faults| check::unsurveyed(&job, &faults, view))?;
    let bar = Bar::new("the year");
    let site = site::study(&job, &survey, &|share| bar.tell(share));
    bar.finish();
    let site = site.map_err(|faults| check::unsurveyed(&job, &faults, view))?;
    let text = match what.shown.format {
        Report::Text => site::text(&site, view.width, what.shown.full),
        Report::Json => site::json(&site).map_err(Trouble::words)?,
        Report::Page => page::site(&site).map_err(Trouble::words)?,
        Report::Sheet => page::review(&job, &site.findings, &site.remedies).map_err(Trouble::words)?,
    };
    Ok((text, site.verdict == Verdict::Fail))
}

/// Says what a job needs for a site to be studied.
fn nothing(job: &Job) -> String {
    format!(
        "{} draws no [roof] and gives no weather file: there is no site to study.\n\
         For the roof, draw it in coordinates ([roof] with its [[roof.unit]]); for the year, write under [site]\n  \
         weather = \"FILE\"\n\
         with an EPW or TMY3 file beside the job, and take out summer and winter. `roofrun new` shows every key.",
        job.file
    )
}
