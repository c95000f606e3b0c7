//! `check`: a job's answer.

use super::arguments::{Check, Report, Shown};
use super::screen::{self, Trouble, View};
use crate::job::{self, Job, Performance};
use crate::layout::{Hang, Sheet, style};
use crate::page;
use crate::report::{self, Answer};
use crate::rules::{self, Verdict};
use crate::survey::PointId;
use crate::survey::{self, CircuitSurvey, Survey, SurveyFault, Why};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

pub(super) fn run(what: &Check, view: View) -> Result<ExitCode, Trouble> {
    #[cfg(feature = "watch")]
    if let (Some(out), [job]) = (&what.shown.watch, what.jobs.as_slice()) {
        return super::watch::run(job, what.shown.format, out, &|| answer(job, &what.shown, view));
    }
    match what.jobs.as_slice() {
        [job] if !what.brief && !what.compare => {
            let (text, fails) = answer(job, &what.shown, view)?;
            screen::answer(&text, fails)
        }
        [old, new] if what.compare => compare(old, new, view),
        _ if what.compare => Err(Trouble::words("--compare takes two jobs, the old and the new")),
        jobs => each(jobs, what, view),
    }
}

/// Every job by itself; what can't be used is told, and the others are checked.
fn each(jobs: &[PathBuf], what: &Check, view: View) -> Result<ExitCode, Trouble> {
    if !what.brief && what.shown.format != Report::Text {
        return Err(Trouble::words("several jobs give text only; JSON, page or sheet take one job"));
    }
    let (mut fails, mut unusable) = (false, false);
    for (at, job) in jobs.iter().enumerate() {
        let told = if what.brief { brief(job, view) } else { answer(job, &what.shown, view) };
        match told {
            Ok((text, failing)) => {
                let space = if at > 0 && !what.brief { "\n" } else { "" };
                screen::print(&format!("{space}{text}"))?;
                fails |= failing;
            }
            Err(trouble) => {
                screen::tell(&trouble, view.width);
                unusable = true;
            }
        }
    }
    Ok(if unusable { screen::UNUSABLE.into() } else { ExitCode::from(u8::from(fails)) })
}

/// A line of a job.
fn brief(path: &Path, view: View) -> Result<(String, bool), Trouble> {
    with_answer(path, view, [false, false], |answer| {
        Ok((report::brief(answer, view.width), answer.verdict == Verdict::Fail))
    })
}

/// What two jobs answer, held against each other.
fn compare(old: &Path, new: &Path, view: View) -> Result<ExitCode, Trouble> {
    with_answer(old, view, [false, false], |old| {
        with_answer(new, view, [true, false], |new| {
            screen::answer(&report::compared(old, new, view.width), new.verdict == Verdict::Fail)
        })
    })
}

/// The answer as it is asked for, and whether anything fails.
fn answer(path: &Path, shown: &Shown, view: View) -> Result<(String, bool), Trouble> {
    let curve = shown.full || shown.format != Report::Text;
    with_answer(path, view, [true, curve], |answer| {
        let text = match shown.format {
            Report::Text => report::text(answer, view.width, shown.full),
            Report::Json => report::json(answer).map_err(Trouble::words)?,
            Report::Page => page::check(answer).map_err(Trouble::words)?,
            Report::Sheet => page::review(answer.job, &answer.findings, &answer.remedies).map_err(Trouble::words)?,
        };
        Ok((text, answer.verdict == Verdict::Fail))
    })
}

/// Checks a job, with its remedies and with the curves of its capacity or without, and does something with the answer.
fn with_answer<T>(
    path: &Path,
    view: View,
    [remedies, curve]: [bool; 2],
    then: impl FnOnce(&Answer) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    let job = open(path, view)?;
    let survey = if curve { survey::survey(&job) } else { survey::without_curve(&job) };
    let survey = survey.map_err(|faults| unsurveyed(&job, &faults, view))?;
    if survey.circuits.iter().all(never_balances) {
        return Err(Trouble::words(no_answer(&job, &survey)));
    }
    let findings = rules::check_all(&job, &survey);
    let answer = Answer::new(&job, &survey, findings);
    then(&if remedies { answer.with_remedies() } else { answer })
}

/// Says which circuits can't be solved at all, each with its place in the file.
pub(super) fn unsurveyed(job: &Job, faults: &[SurveyFault], view: View) -> Trouble {
    let mut sheet = Sheet::new(view.width);
    for fault in faults {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &report::why_unsurveyed(fault, job));
    }
    Trouble::Text(sheet.finish())
}

/// Whether no point of a circuit but the rating has a solution because its condenser never balances. A line that is too small
/// is no such reason: it is what the rules are there to find.
fn never_balances(circuit: &CircuitSurvey) -> bool {
    circuit.points.iter().all(|point| point.name == "rating")
        && circuit.unsolved.iter().any(|point| matches!(point.why, Why::NeverCondenses { .. }))
        && !circuit.unsolved.iter().any(|point| matches!(point.why, Why::LineTooSmall { .. }))
}

/// Says of each circuit why it never balances, and what its condenser would have to reject.
fn no_answer(job: &Job, survey: &Survey) -> String {
    let mut lines = vec![format!("{}: no operating point has a solution", job.file)];
    for (circuit, solved) in job.circuits.iter().zip(&survey.circuits) {
        lines.extend(solved.unsolved.first().map(|point| {
            format!("  circuit {}, {}: {}", circuit.name, point.name, report::why_unsolved(&point.why, job))
        }));
        let needed = match (solved.point(PointId::Rating), &circuit.compressors.performance) {
            (Some(rating), _) => Some(rating.rejection_W),
            (None, Performance::Rating { capacity, power }) => Some(capacity.value + power.value),
            (None, Performance::Map(_)) => None,
        };
        lines.extend(needed.map(|needed| {
            let condenser = &circuit.condenser;
            format!(
                "  At its rating the chiller rejects {}; the condenser is given as {} at {} TD.",
                job.units.heat(needed),
                job.units.heat(condenser.rejection.value),
                job.units.difference(condenser.td.value)
            )
        }));
    }
    lines.join("\n")
}

/// The job of a file, or of standard input for `-`.
pub(super) fn open(path: &Path, view: View) -> Result<Job, Trouble> {
    let mut job = job::open(path).map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    job.units = view.units.unwrap_or(job.units);
    Ok(job)
}
