//! `site`: the roof and the year of a job.

use super::arguments::{JobFile, Report};
use super::check;
use super::screen::{self, Trouble};
use crate::job::Job;
use crate::rules::Verdict;
use crate::{page, site, survey};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::process::ExitCode;
use std::sync::Once;
use std::time::{Duration, Instant};

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
    let bar = Bar::new();
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

/// So long nobody waits for a sign of life.
const PATIENCE: Duration = Duration::from_secs(1);
/// Steps of the bar.
const STEPS: u64 = 100;

/// A bar on standard error, for a year that takes longer than a moment; none where that is no terminal.
struct Bar {
    drawn: ProgressBar,
    begun: Instant,
    shown: Once,
}

impl Bar {
    fn new() -> Self {
        let drawn = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("the year {bar:40} {percent} %") {
            drawn.set_style(style);
        }
        Self { drawn, begun: Instant::now(), shown: Once::new() }
    }

    /// Hears from 0 to 1 how much is done.
    fn tell(&self, share: f64) {
        if self.begun.elapsed() > PATIENCE {
            self.shown.call_once(|| self.drawn.set_draw_target(ProgressDrawTarget::stderr()));
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "0 to 100"
        )]
        self.drawn.set_position((share.clamp(0.0, 1.0) * STEPS as f64) as u64);
    }

    fn finish(&self) {
        self.drawn.finish_and_clear();
    }
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
