//! The roof studied: room to breathe, warm air returning, sound, weight and edges. What rules and reports see of it.

mod before;
mod clearance;
mod edge;
mod moves;
mod outlet;
mod plan;
mod plume;
mod sound;
#[cfg(test)]
pub(crate) mod testing;
mod warm_air;
mod weight;

pub use clearance::{Air, Asks, Clearance, FaceRoom, Opposite, Pit, Working};
pub use edge::{Edge, Idle, Walkway, idle_rails};
pub use moves::{Leg, Lowered, Mend, Opened};
pub use sound::{ACCURACY_DB, Heard, NewScreen, NightBy, Quieter, Raised, Share, Slower};
pub use warm_air::{Faster, FedBack, PlantThen, Return, WarmAir};
pub use weight::{Load, WindNote};

use crate::job::Job;
use crate::survey::Survey;
use before::Before;
use rayon::prelude::*;
use serde::Serialize;

/// A roof studied.
#[derive(Clone, Debug, Serialize)]
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

/// Studies the roof of a job that is solved; none where no roof is drawn.
#[must_use]
pub fn study(job: &Job, survey: &Survey) -> Option<RoofStudy> {
    let roof = job.roof.as_ref()?;
    let returning = warm_air::Returning::of(job, roof, survey);
    let warm_air = returning.warm_air();
    let fed_back = warm_air::fed_back(job, roof, survey, &warm_air);
    let mut study = RoofStudy {
        clearances: clearance::clearances(job, roof),
        plant_then: warm_air::plant_then(job, survey, &fed_back),
        fed_back,
        warm_air,
        heard: sound::heard(job, roof),
        loads: weight::loads(job, roof, survey),
        edges: edge::edges(job, roof),
        walkways: edge::walkways(job, roof),
    };
    mend(&mut study, &Before::of(&returning));
    Some(study)
}

/// Seeks what would mend the plan, where it wants mending.
fn mend(study: &mut RoofStudy, before: &Before) {
    study.clearances.par_iter_mut().enumerate().filter(|(_, found)| found.short_m() > 0.0).for_each(
        |(index, found)| {
            let part =
                |of: fn(&Clearance) -> f64| (of(found) > 0.0).then(|| moves::mend_clearance(before, index, found, of));
            let whole = part(Clearance::short_m);
            if whole.as_ref().is_some_and(Mend::is_nothing) {
                let parts = (part(Clearance::sunk_m), part(Clearance::working_short_m));
                (found.pit_mend, found.working_mend) = parts;
            }
            found.mend = whole;
        },
    );
    study.edges.par_iter_mut().enumerate().filter(|(_, found)| found.short_m > 0.0).for_each(|(index, found)| {
        found.mend = Some(moves::mend_edge(before, index));
    });
    study.warm_air.par_iter_mut().enumerate().for_each(|(index, found)| {
        (found.mend, found.faster) =
            warm_air::mend(before, index, found).map_or((None, None), |(mend, faster)| (Some(mend), faster));
    });
}
