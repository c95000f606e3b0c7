//! The roof studied: room to breathe, warm air returning, sound, weight and edges. What rules and reports see of it.

pub(crate) mod clearance;
pub(crate) mod dilution;
pub(crate) mod edge;
pub(crate) mod outlet;
pub(crate) mod plan;
pub(crate) mod recirculation;
pub(crate) mod sound;
#[cfg(test)]
pub(crate) mod testing;
mod weight;

pub use clearance::{Air, Asks, Clearance, FaceRoom, Opposite};
pub use edge::{Edge, Idle, Walkway, idle_rails};
pub use recirculation::{FedBack, PlantThen, Return, WarmAir};
pub use sound::{ACCURACY_DB, Heard, NightBy, Share};
pub use weight::Load;

use crate::job::Job;
use crate::survey::Survey;
use rayon::prelude::*;
use recirculation::{Returning, Summer};
use schemars::JsonSchema;
use serde::Serialize;

/// A roof studied.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RoofStudy {
    /// Room round each unit.
    pub clearances: Vec<Clearance>,
    /// Warm air that returns to each unit.
    pub warm_air: Vec<WarmAir>,
    /// Each circuit with that fed back.
    pub fed_back: Vec<FedBack>,
    /// The plant with that fed back, where it has a load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plant_then: Option<PlantThen>,
    /// What each listener hears.
    pub heard: Vec<Heard>,
    /// What each unit puts on its supports.
    pub loads: Vec<Load>,
    /// Each unit and the edge of the roof; none where that is not drawn.
    pub edges: Vec<Edge>,
    /// Piping over walkways.
    pub walkways: Vec<Walkway>,
}

impl RoofStudy {
    /// Room and edges alone; none where no roof is drawn.
    pub(crate) fn of_room(job: &Job) -> Option<Self> {
        let roof = job.roof.as_ref()?;
        Some(Self {
            clearances: clearance::clearances(job, roof),
            warm_air: Vec::new(),
            fed_back: Vec::new(),
            plant_then: None,
            heard: Vec::new(),
            loads: Vec::new(),
            edges: edge::edges(job, roof),
            walkways: edge::walkways(job, roof),
        })
    }
}

/// A job that is solved, and what of a study does not change with the plan.
pub(crate) struct Solved<'a> {
    survey: &'a Survey,
    summers: Vec<Option<Summer<'a>>>,
    /// What each circuit of the job stands of warm air, K.
    stands: Vec<f64>,
}

impl<'a> Solved<'a> {
    pub(crate) fn of(job: &'a Job, survey: &'a Survey) -> Self {
        let limit = job.limit("recirculation");
        let summers: Vec<Option<Summer>> = job.circuits.par_iter().map(|circuit| Summer::of(job, circuit)).collect();
        let stands = |summer: &Option<Summer>| summer.as_ref().map_or(0.0, |summer| summer.stands(limit));
        Self { survey, stands: summers.par_iter().map(stands).collect(), summers }
    }

    /// The warm air of that plan of the job.
    pub(crate) fn returning<'b>(&'b self, job: &'b Job) -> Option<Returning<'b>> {
        Some(Returning::of(job, job.roof.as_ref()?, self.survey, &self.stands))
    }

    /// The outlets and intakes of that plan of the job.
    pub(crate) fn dilution(&self, job: &Job) -> Option<dilution::Dilution> {
        Some(dilution::Dilution::new(job, job.roof.as_ref()?, self.survey))
    }

    /// Studies that plan of the job; none where no roof is drawn. One that is `only_judged` says of warm air and of what it does to
    /// the circuits nothing less than what is so.
    pub(crate) fn study(&self, job: &Job, only_judged: bool) -> Option<RoofStudy> {
        let (roof, survey) = (job.roof.as_ref()?, self.survey);
        let warm_air = self.returning(job)?.warm_air();
        let fed_back = recirculation::fed_back(job, roof, survey, &self.summers, &warm_air, only_judged);
        Some(RoofStudy {
            plant_then: recirculation::plant_then(job, survey, &fed_back),
            fed_back,
            warm_air,
            heard: sound::heard(job, roof),
            loads: weight::loads(job, roof, survey),
            ..RoofStudy::of_room(job)?
        })
    }
}

/// Studies the roof of a job that is solved; none where no roof is drawn.
#[must_use]
pub fn study(job: &Job, survey: &Survey) -> Option<RoofStudy> {
    job.roof.as_ref()?;
    Solved::of(job, survey).study(job, false)
}
