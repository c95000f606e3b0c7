//! The site for a program. SI base units, the unit in the key.

use super::Site;
use crate::roof::RoofStudy;
use crate::rules::{Finding, Verdict};
use crate::year::Year;
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Option::is_none")]
    roof: Option<&'a RoofStudy>,
    #[serde(skip_serializing_if = "Option::is_none")]
    year: Option<&'a Year>,
    findings: &'a [Finding],
}

/// The answer of `site` as JSON, format 1.
///
/// # Errors
/// What the serialiser says; it has nothing to say of these types.
pub fn json(site: &Site) -> Result<String, serde_json::Error> {
    let tool = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
    let document = Document {
        format: 1,
        tool,
        verdict: site.verdict,
        roof: site.roof.as_ref(),
        year: site.year.as_ref(),
        findings: &site.findings,
    };
    serde_json::to_string_pretty(&document).map(|text| text + "\n")
}
