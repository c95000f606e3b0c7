//! `remedy`: one set of changes with which nothing fails, of the circuits and, where the job has them, of the roof and the year.

use super::arguments::{Form, RemedyArguments};
use super::check;
use super::screen::{self, Trouble, View};
use crate::job::edit;
use crate::remedies::{SiteStudy, edits, whole, whole_of_the_site};
use crate::rules::{self, Verdict};
use crate::survey::without_curve;
use crate::{page, report};
use std::process::ExitCode;

pub(super) fn run(what: &RemedyArguments, view: View) -> Result<ExitCode, Trouble> {
    if let Some(file) = &what.write {
        screen::may_write(file, what.overwrite)?;
    }
    let job = check::open(&what.job, view)?;
    let survey = without_curve(&job).map_err(|faults| check::unsurveyed(&job, &faults, view))?;
    let mut findings = rules::check_all(&job, &survey);
    let found = if job.roof.is_none() && job.weather.is_none() {
        whole(&job, &survey, &findings)
    } else {
        let study = SiteStudy::of(&job, &survey, &|_| {}).map_err(|faults| check::unsurveyed(&job, &faults, view))?;
        let found = whole_of_the_site(&job, &survey, &findings, &study);
        findings.extend(study.findings);
        found
    };
    let text = match what.format {
        Form::Text => report::proposal::text(&job, &findings, found.as_ref(), view.width),
        Form::Page => page::proposal(&job, &findings, found.as_ref()).map_err(Trouble::words)?,
        Form::Json => report::proposal::json(&job, &findings, found.as_ref()).map_err(Trouble::words)?,
    };
    // The changed job stands alone where it goes to standard output.
    let alone = what.write.as_deref().is_some_and(screen::is_standard);
    if !alone {
        screen::print(&text)?;
    }
    if let Some(file) = &what.write {
        let changes = found.as_ref().map_or(&[][..], |found| &found.changes);
        let text = edit(&job.text, &edits(&job, &job.text, changes)).map_err(Trouble::words)?;
        screen::put(file, &text, what.overwrite)?;
        let how = if changes.is_empty() { "as it is: there is no change to make" } else { "with the changes made" };
        if !alone {
            screen::note(&format!("Wrote {} {how}.", file.display()), view.width);
        }
    }
    let fails = match &found {
        Some(found) => !found.left.is_empty(),
        None => findings.iter().any(|finding| finding.verdict == Verdict::Fail),
    };
    Ok(if fails { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}
