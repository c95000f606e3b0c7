//! The whole remedy of a job, by itself: what `remedy` answers.

use super::json::{JobHead, NotFinite, TOOL, schema_of, write_json};
use super::remedy::{RemedyDocument, whole, whole_document};
use crate::job::Job;
use crate::layout::{Hang, Sheet, style};
use crate::remedies::Whole;
use crate::rules::{Finding, Verdict};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// The whole remedy of a job as text.
#[must_use]
pub(crate) fn text(job: &Job, findings: &[Finding], found: Option<&Whole>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    sheet.styled(Hang::flush(0), style::STRONG, &job.title);
    let failing = findings.iter().filter(|finding| finding.verdict == Verdict::Fail).count();
    sheet.space();
    match found {
        Some(found) => whole(&mut sheet, job, found),
        None if failing == 0 => sheet.paragraph(0, "Nothing fails: no change is needed."),
        None => {
            sheet.paragraph(0, "No change that was tried helps. What still fails:");
            for finding in findings.iter().filter(|finding| finding.verdict == Verdict::Fail) {
                sheet.labelled(1, finding.rule, style::FAIL, 20, &finding.text(job));
            }
        }
    }
    sheet.space();
    sheet.paragraph(0, CODE);
    sheet.finish()
}

/// Who decides.
const CODE: &str = "A proposal, not an approval: the code in force, its authority and licensed practice govern.";

#[derive(Serialize, JsonSchema)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Option::is_none")]
    whole_remedy: Option<RemedyDocument>,
    deferral: &'static str,
}

/// The whole remedy of a job as JSON.
///
/// # Errors
/// [`NotFinite`] where a number could not be written.
pub(crate) fn json(job: &Job, findings: &[Finding], found: Option<&Whole>) -> Result<String, NotFinite> {
    let verdict = findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass);
    let whole_remedy = found.map(|found| whole_document(job, &job.text, found));
    write_json(&Document { format: 1, tool: TOOL, job: job.into(), verdict, whole_remedy, deferral: CODE })
}

/// The JSON Schema of the answer.
pub(crate) fn schema() -> Value {
    schema_of::<Document>("The answer of `remedy`")
}
