//! The site for a program. SI base units, the unit in the key.

use super::{Site, counts};
use crate::report::{
    AssumptionDocument, CautionDocument, FindingDocument, JobHead, NotFinite, RemedyDocument, TOOL, assumptions,
    hazards, mended, schema_of, who_decides, whole_document, write_json,
};
use crate::roof::RoofStudy;
use crate::rules::{self, OwnLimit, Verdict};
use crate::weather::Climate;
use crate::year::Year;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize, JsonSchema)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Option::is_none")]
    climate: Option<&'a Climate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    year: Option<&'a Year>,
    #[serde(skip_serializing_if = "Option::is_none")]
    roof: Option<&'a RoofStudy>,
    findings: Vec<FindingDocument<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    whole_remedy: Option<RemedyDocument>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    own_limits: Vec<OwnLimit>,
    assumptions: Vec<AssumptionDocument<'a>>,
    cautions: Vec<CautionDocument>,
    /// Who decides.
    deferral: String,
}

/// The JSON Schema of the answer.
#[must_use]
pub fn schema() -> Value {
    schema_of::<Document>("The answer of `site`")
}

/// The answer of `site` as JSON, format 1.
///
/// # Errors
/// A number in it is not finite.
pub fn json(site: &Site) -> Result<String, NotFinite> {
    write_json(&Document {
        format: 1,
        tool: TOOL,
        job: site.job.into(),
        verdict: site.verdict,
        climate: site.climate.as_ref(),
        year: site.year.as_ref(),
        roof: site.roof.as_ref(),
        findings: mended(site.job, &site.findings, &site.remedies),
        whole_remedy: site.whole.as_ref().map(|whole| whole_document(site.job, &site.job.text, whole)),
        own_limits: rules::own_limits(site.job, |look| site.looks(look)),
        assumptions: assumptions(site.job, counts),
        cautions: hazards(site.job),
        deferral: who_decides(),
    })
}
