//! The site of a job studied: its roof, its year with the warm air that the roof returns, and what the rules find of both.

use crate::job::Job;
use crate::roof::{self, RoofStudy};
use crate::rules::{Finding, check_site};
use crate::survey::{Survey, SurveyFault};
use crate::year::{self, Earlier, KnownCircuits, Year};

/// A site studied.
#[derive(Clone, Debug)]
pub struct SiteStudy {
    /// The roof, where drawn.
    pub roof: Option<RoofStudy>,
    /// The year, where a weather file is named.
    pub year: Option<Year>,
    /// What the rules of the site say, in their order.
    pub findings: Vec<Finding>,
    /// What a year of a changed job need not solve again.
    pub(super) known: Option<KnownCircuits>,
}

impl SiteStudy {
    /// Studies the site of a job that is solved; `told` hears how much of it is done, from 0 to 1.
    ///
    /// # Errors
    /// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
    pub fn of(job: &Job, survey: &Survey, told: &(dyn Fn(f64) + Sync)) -> Result<Self, Vec<SurveyFault>> {
        Self::after(job, survey, None, told)
    }

    /// The same for a job of which some circuits may be as they were in an earlier year.
    pub(super) fn after(
        job: &Job,
        survey: &Survey,
        earlier: Option<Earlier>,
        told: &(dyn Fn(f64) + Sync),
    ) -> Result<Self, Vec<SurveyFault>> {
        let roof = roof::study(job, survey);
        let (mut year, known) = year::run(job, earlier, told)?.unzip();
        if let (Some(roof), Some(year)) = (&roof, &mut year) {
            let rises: Vec<Option<f64>> = job.circuits.iter().map(|circuit| returns(roof, &circuit.name)).collect();
            year::with_warm_air(job, year, &rises)?;
        }
        let findings = check_site(job, roof.as_ref(), year.as_ref());
        Ok(Self { roof, year, findings, known })
    }
}

/// The most warm air that the plan returns to a coil of a circuit, K, where it is more than the job says. A unit that draws
/// hardly anything but warm air has no estimate: its circuit has a fail of its own.
fn returns(roof: &RoofStudy, circuit: &str) -> Option<f64> {
    let coils = roof.fed_back.iter().filter(|fed| fed.circuit == circuit);
    coils.filter_map(|fed| fed.estimate_K.filter(|estimate| *estimate > fed.said_K)).reduce(f64::max)
}
