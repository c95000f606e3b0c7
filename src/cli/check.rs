//! `check`: a job's answer.

use super::arguments::{JobFile, Report};
use super::screen::{self, Trouble};
use crate::job::{self, Job, Performance};
use crate::layout::{Hang, Sheet, style};
use crate::page;
use crate::report::{self, Answer};
use crate::rules::{self, Verdict};
use crate::survey::PointId;
use crate::survey::{self, CircuitSurvey, Survey, SurveyFault, Why};
use std::path::Path;
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
    let job = open(&what.job, width)?;
    let survey = survey::survey(&job).map_err(|faults| unsurveyed(&job, &faults, width))?;
    if survey.circuits.iter().all(never_balances) {
        return Err(Trouble::words(no_answer(&job, &survey)));
    }
    let findings = rules::check_all(&job, &survey);
    let answer = Answer::new(&job, &survey, findings).with_remedies();
    let text = match what.format {
        Report::Text => report::text(&answer, width, what.full),
        Report::Json => report::json(&answer).map_err(Trouble::words)?,
        Report::Page => page::check(&answer).map_err(Trouble::words)?,
        Report::Sheet => page::review(&job, &answer.findings, &answer.remedies).map_err(Trouble::words)?,
    };
    Ok((text, answer.verdict == Verdict::Fail))
}

/// Says which circuits can't be solved at all, each with its place in the file.
pub(super) fn unsurveyed(job: &Job, faults: &[SurveyFault], width: usize) -> Trouble {
    let mut sheet = Sheet::new(width);
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
                "  At its rating the chiller rejects {}; the condenser is given as {} at a difference of {}.",
                job.units.heat(needed),
                job.units.heat(condenser.rejection.value),
                job.units.difference(condenser.td.value)
            )
        }));
    }
    lines.join("\n")
}

/// The job of a file, or of standard input for `-`.
pub(super) fn open(path: &Path, width: usize) -> Result<Job, Trouble> {
    job::open(path).map_err(|faults| Trouble::Text(faults.render(true, width)))
}
