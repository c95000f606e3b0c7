//! The review sheet: findings in the order of the route on one page, with room to answer.

use super::Unwritten;
use super::common::CHECK;
use super::row::at_length;
use super::view::{Page, Part};
use crate::job::Job;
use crate::remedies::Remedy;
use crate::report::first::First;
use crate::rules::{Finding, Verdict};

/// Findings as a review sheet, to be sent with a request for information.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn review(job: &Job, findings: &[Finding], remedies: &[Vec<Remedy>]) -> Result<String, Unwritten> {
    let first = First::of_findings(job, findings, remedies);
    let fails = first.count(Verdict::Fail);
    let verdict = format!(
        "Review: {} to answer",
        if first.rows.len() == 1 { "1 finding".to_owned() } else { format!("{} findings", first.rows.len()) }
    );
    let mut page = Page::new(job, verdict);
    page.is_review = true;
    page.summary = format!(
        "In the order of the route; {} of them {}. Numbers are those of the page and the drawings.",
        fails,
        if fails == 1 { "fails" } else { "fail" }
    );
    page.check = CHECK;
    page.deferral.clear();
    let rows = first.along_the_route().into_iter().map(|row| at_length(job, row, Vec::new()));
    page.part(Part::Review(rows.collect()));
    page.html()
}
