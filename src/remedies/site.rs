//! The whole remedy of a site: one set of changes across circuits, year and roof with which nothing fails and cautions are as few as
//! can be; else the set that fails minimum.

use super::Change;
use super::remedy::Remedy;
use super::roof::{join, mend as mend_roof, of_the_roof, with};
use super::study::SiteStudy;
use super::whole::{Whole, whole};
use super::year::{Site, mend as mend_year, of_the_year};
use crate::job::Job;
use crate::rules::{Finding, Verdict};
use crate::survey::Survey;

/// Rounds of the year and the roof: each has a part in the other.
const ROUNDS: usize = 2;

/// The remedies of every finding of a site, in their order, and the whole remedy of the job.
#[must_use]
pub fn of_the_site(
    job: &Job,
    survey: &Survey,
    check: &[Finding],
    study: &SiteStudy,
) -> (Vec<Vec<Remedy>>, Option<Whole>) {
    let drawn = drawn(job, survey, check, study);
    let roof = of_the_roof(job, survey, &study.findings);
    let each = roof.into_iter().zip(of_the_year(&drawn)).map(|(roof, year)| [roof, year].concat()).collect();
    (each, of_all(&drawn))
}

/// The whole remedy of a job with its site; nothing where nothing fails, or no change does any good. `check` is what the rules find of
/// the circuits and the plant.
#[must_use]
pub fn whole_of_the_site(job: &Job, survey: &Survey, check: &[Finding], study: &SiteStudy) -> Option<Whole> {
    of_all(&drawn(job, survey, check, study))
}

fn drawn(job: &Job, survey: &Survey, check: &[Finding], study: &SiteStudy) -> Site {
    Site { job: job.clone(), survey: survey.clone(), check: check.to_vec(), study: study.clone() }
}

fn fails(site: &Site) -> bool {
    site.findings().any(|finding| finding.verdict == Verdict::Fail)
}

fn of_all(drawn: &Site) -> Option<Whole> {
    if !fails(drawn) {
        return None;
    }
    let (mut of_the_job, mut of_the_roof): (Vec<Change>, Vec<Change>) = (Vec::new(), Vec::new());
    let mut now = drawn.clone();
    if let Some(circuits) = whole(&drawn.job, &drawn.survey, &drawn.check) {
        now = Site::of(with(&drawn.job, &circuits.changes))?;
        of_the_job.extend(circuits.changes.into_iter().filter(|change| change.circuit().is_none()));
    }
    for round in 0..ROUNDS {
        now = mend_year(now, &drawn.job, if round == 0 { Verdict::Fail } else { Verdict::Caution });
        let Some(roof) = &drawn.job.roof else { continue };
        let changes = mend_roof(&now.job, roof, &now.survey);
        if !changes.is_empty() {
            now = Site::of(with(&now.job, &changes))?;
            for change in changes {
                join(&mut of_the_roof, change, roof.walls.len());
            }
        }
    }
    let of_circuits = drawn.effect(&now).0;
    as_written(drawn, [of_the_job, of_circuits, of_the_roof].concat())
}

/// What changes do, solved and studied from the beginning as they are written.
fn as_written(drawn: &Site, changes: Vec<Change>) -> Option<Whole> {
    let then = Site::of(with(&drawn.job, &changes))?;
    let (_, effect, cost) = drawn.effect(&then);
    let mut left: Vec<(Option<usize>, Vec<&'static str>)> = Vec::new();
    for finding in then.findings().filter(|finding| finding.verdict == Verdict::Fail) {
        match left.iter_mut().find(|(of, _)| *of == finding.circuit) {
            Some((_, rules)) if rules.contains(&finding.rule) => {}
            Some((_, rules)) => rules.push(finding.rule),
            None => left.push((finding.circuit, vec![finding.rule])),
        }
    }
    then.score().is_better(drawn.score()).then_some(Whole { changes, effect, cost, left })
}
