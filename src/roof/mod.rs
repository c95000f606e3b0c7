//! The roof studied: room to breathe, warm air returning, sound, weight and edges. What rules and reports see of it.

mod clearance;
mod edge;
mod moves;
mod plan;
mod sound;
#[cfg(test)]
pub(crate) mod testing;
mod warm_air;
mod weight;

pub use clearance::{Air, Asks, Clearance, FaceRoom, Pit, Working};
pub use edge::{Edge, Walkway};
pub use moves::{Leg, Lowered, Mend};
pub use sound::{ACCURACY_DB, AIR_HUMIDITY, AIR_K, Heard, NewScreen, NightBy, Quieter, Raised, Share, Slower};
pub use warm_air::WarmAir;
pub use weight::Load;

use crate::job::Job;
use crate::survey::Survey;
use serde::Serialize;

/// A roof studied.
#[derive(Clone, Debug, Serialize)]
pub struct RoofStudy {
    /// Room round each unit.
    pub clearances: Vec<Clearance>,
    /// Warm air that returns to each unit.
    pub warm_air: Vec<WarmAir>,
    /// What each listener hears.
    pub heard: Vec<Heard>,
    /// What each unit puts on its supports.
    pub loads: Vec<Load>,
    /// Each unit and the edge of the roof; none where that is not drawn.
    pub edges: Vec<Edge>,
    /// Piping over walkways.
    pub walkways: Vec<Walkway>,
}

/// Studies the roof of a job that is solved; none where no roof is drawn.
#[must_use]
pub fn study(job: &Job, survey: &Survey) -> Option<RoofStudy> {
    let roof = job.roof.as_ref()?;
    Some(RoofStudy {
        clearances: clearance::clearances(job, roof),
        warm_air: warm_air::warm_air(job, roof, survey),
        heard: sound::heard(job, roof),
        loads: weight::loads(job, roof, survey),
        edges: edge::edges(job, roof),
        walkways: edge::walkways(job, roof),
    })
}
