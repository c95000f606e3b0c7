//! The site: the roof and the year of a job, judged. `site` prints it as text or JSON.

mod json;
mod text;

pub use json::json;
pub use text::text;

use crate::job::Job;
use crate::remedies::{self, Remedy};
use crate::report::of_the_site;
use crate::roof::{self, RoofStudy};
use crate::rules::{self, Finding, Look, Verdict};
use crate::survey::{Survey, SurveyFault};
use crate::weather::Climate;
use crate::year::{self, Year};

/// A job's site, studied and judged.
#[derive(Clone, Debug)]
pub struct Site<'a> {
    /// The job.
    pub job: &'a Job,
    /// The job solved.
    pub survey: &'a Survey,
    /// The roof, where drawn.
    pub roof: Option<RoofStudy>,
    /// The weather in figures, where a file of it is named.
    pub climate: Option<Climate>,
    /// The year, where a weather file is named.
    pub year: Option<Year>,
    /// What the rules of the site say, in their order.
    pub findings: Vec<Finding>,
    /// What would mend each of them, as far as it is of the roof.
    pub remedies: Vec<Vec<Remedy>>,
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
fn counts(key: &str) -> bool {
    of_the_site(key) || key.starts_with("site") || key.starts_with("plant")
}

/// The most warm air that the plan returns to a coil of a circuit, K, where it is more than the job says. A unit that draws
/// hardly anything but warm air has no estimate: its circuit has a fail of its own.
fn returns(roof: &RoofStudy, circuit: &str) -> Option<f64> {
    let coils = roof.fed_back.iter().filter(|fed| fed.circuit == circuit);
    coils.filter_map(|fed| fed.estimate_K.filter(|estimate| *estimate > fed.said_K)).reduce(f64::max)
}

/// Studies the site of a job that is solved.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose machine can't be made from its ratings.
pub fn study<'a>(job: &'a Job, survey: &'a Survey) -> Result<Site<'a>, Vec<SurveyFault>> {
    study_telling(job, survey, &|_| {})
}

/// The same; `told` hears how much of it is done, from 0 to 1.
///
/// # Errors
/// As [`study`].
pub fn study_telling<'a>(
    job: &'a Job,
    survey: &'a Survey,
    told: &(dyn Fn(f64) + Sync),
) -> Result<Site<'a>, Vec<SurveyFault>> {
    let roof = roof::study(job, survey);
    let climate = job.weather.as_ref().map(|weather| weather.climate(job.site.atmosphere));
    let mut year = year::year(job, told)?;
    if let (Some(roof), Some(year)) = (&roof, &mut year) {
        let rises: Vec<Option<f64>> = job.circuits.iter().map(|circuit| returns(roof, &circuit.name)).collect();
        year::with_warm_air(job, year, &rises)?;
    }
    let findings = rules::check_site(job, roof.as_ref(), year.as_ref());
    let verdict = findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass);
    let remedies = match &roof {
        Some(roof) => remedies::of_the_roof(job, survey, roof, &findings),
        None => vec![Vec::new(); findings.len()],
    };
    Ok(Site { job, survey, roof, climate, year, findings, remedies, verdict })
}
