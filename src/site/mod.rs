//! The site: the roof and the year of a job, judged. `site` prints it as text or JSON.

mod json;
mod text;

pub use json::{json, schema};
pub(crate) use text::studied;
pub use text::text;

use crate::job::{Concerns, Job};
use crate::remedies::{self, Remedy, SiteStudy, Whole};
use crate::roof::RoofStudy;
use crate::rules::{self, Finding, Look, Verdict};
use crate::survey::{Survey, SurveyFault};
use crate::weather::Climate;
use crate::year::Year;

/// A job's site, studied and judged.
#[derive(Clone, Debug)]
pub struct Site<'a> {
    /// The job.
    pub job: &'a Job,
    /// The roof, where drawn.
    pub roof: Option<RoofStudy>,
    /// The weather in figures, where a file of it is named.
    pub climate: Option<Climate>,
    /// The year, where a weather file is named.
    pub year: Option<Year>,
    /// What the rules of the site say, in their order.
    pub findings: Vec<Finding>,
    /// What would mend each of them.
    pub remedies: Vec<Vec<Remedy>>,
    /// The changes of circuits, roof and year with which nothing of the job fails, or as little as can be.
    pub whole: Option<Whole>,
    /// The worst of the findings.
    pub verdict: Verdict,
}

impl Site<'_> {
    /// Whether a rule has looked at that here.
    fn looks(&self, look: &Look) -> bool {
        match look {
            Look::Roof(_) => self.roof.is_some(),
            Look::Year(_) => self.year.is_some(),
            Look::Circuit(_) | Look::Plant(_) => false,
        }
    }
}

/// Whether an assumption counts for the site.
fn counts(concerns: Concerns) -> bool {
    concerns != Concerns::Circuits
}

/// Studies the site of a job that is solved; `told` hears how much of it is done, from 0 to 1.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn study<'a>(job: &'a Job, survey: &Survey, told: &(dyn Fn(f64) + Sync)) -> Result<Site<'a>, Vec<SurveyFault>> {
    let study = SiteStudy::of(job, survey, told)?;
    let (remedies, whole) = remedies::of_the_site(job, survey, &rules::check_all(job, survey), &study);
    let SiteStudy { roof, year, findings, .. } = study;
    let climate = job.weather.as_ref().map(|weather| weather.climate(job.site.atmosphere));
    let verdict = findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass);
    Ok(Site { job, roof, climate, year, findings, remedies, whole, verdict })
}
