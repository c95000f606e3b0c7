//! A job solved: every circuit at every operating point. The one thing that rules and reports see.

mod answer;
mod charge;
mod circuit;
mod derating;
mod drop_leg;
mod expansion;
mod feed;
mod leak;
mod plant;
mod points;
mod relief;
mod strength;
mod trapped;
mod valve_closure;
mod zones;

pub use answer::*;
pub use charge::{Charge, ChargePoint, ReceiverCharge, deferral};
pub(crate) use circuit::holds_in;
pub use circuit::{CircuitSurvey, Stops, Survey};
pub use drop_leg::{DropLeg, VentLeg, vent_leg};
pub use expansion::Straight;
pub use feed::{Feed, feed, remains};
pub(crate) use feed::{HAIR, Left, oil_of, risers_of, wanted_subcooling};
pub(crate) use leak::{Leak, RoomLimits, leaks, room_limits};
pub(crate) use plant::carries_without_spare;
pub use plant::{ModuleSurvey, PlantSurvey, plant};
pub(crate) use points::summer_condition;
pub use relief::{ReliefLine, ReliefNeed, SLENDER};
pub(crate) use relief::{longest, receiver, relief};
pub(crate) use strength::schedule_allowed;
#[cfg(test)]
pub(crate) use strength::strengths;
pub use strength::{Basis, Design, Standing, Strength, design};
pub use trapped::{By, Shut, Trapped};
pub use valve_closure::Closing;
pub use zones::Zone;

use crate::job::{Circuit, Job};
use crate::machine::{Circuitry, MachineFault};
use rayon::prelude::*;

/// A circuit that can't be surveyed, and why.
#[derive(Clone, Debug, thiserror::Error)]
#[error("circuit {circuit}: {fault}")]
pub struct SurveyFault {
    /// The circuit.
    pub circuit: String,
    /// Why.
    pub fault: Box<MachineFault>,
}

/// Solves every circuit of a job at every operating point.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn survey(job: &Job) -> Result<Survey, Vec<SurveyFault>> {
    every(job, Some(true))
}

/// The same without the curve of capacity over outdoor temperature, which only drawings and tables show.
///
/// # Errors
/// One [`SurveyFault`] for each circuit whose chiller can't be made from its ratings.
pub fn without_curve(job: &Job) -> Result<Survey, Vec<SurveyFault>> {
    every(job, Some(false))
}

/// Solves a changed circuit at every operating point of a job, without its derating.
///
/// # Errors
/// [`SurveyFault`] where its chiller can't be made from its ratings.
pub fn what_if(job: &Job, circuit: &Circuit) -> Result<CircuitSurvey, SurveyFault> {
    solve(job, circuit, None, points::From::Anew)
}

/// The same, sooner: searched from near a circuit that is like it, in so much work for a point at the most. Where the search begins
/// changes the answer by less than its tolerance.
pub(crate) fn what_if_like(
    job: &Job,
    circuit: &Circuit,
    like: &CircuitSurvey,
    work: u64,
) -> Result<CircuitSurvey, SurveyFault> {
    solve(job, circuit, None, points::From::Near(like, work))
}

/// The same of a circuit that differs from one that is solved only in what no flow depends on.
pub(crate) fn what_if_it_flows_like(
    job: &Job,
    circuit: &Circuit,
    like: &CircuitSurvey,
) -> Result<CircuitSurvey, SurveyFault> {
    solve(job, circuit, None, points::From::Solved(like))
}

fn every(job: &Job, curve: Option<bool>) -> Result<Survey, Vec<SurveyFault>> {
    let solved: Vec<Result<CircuitSurvey, SurveyFault>> =
        job.circuits.par_iter().map(|circuit| solve(job, circuit, curve, points::From::Anew)).collect();
    let mut circuits = Vec::new();
    let mut faults = Vec::new();
    for result in solved {
        match result {
            Ok(circuit) => circuits.push(circuit),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(Survey { circuits }) } else { Err(faults) }
}

/// Solves a circuit; with its derating where it is told whether that has its curve.
fn solve(job: &Job, circuit: &Circuit, curve: Option<bool>, from: points::From) -> Result<CircuitSurvey, SurveyFault> {
    let fault = |fault: MachineFault| SurveyFault { circuit: circuit.name.clone(), fault: Box::new(fault) };
    let circuitry = Circuitry::new(circuit, job.limit("oil_film_density")).map_err(fault)?;
    let points::Found { points, unsolved, summer, cut } = points::all(job, &circuitry, from);
    let derating = summer.zip(curve).and_then(|(summer, curve)| derating::derating(job, &circuitry, &summer, curve));
    let design = design(job, circuit, &points);
    Ok(CircuitSurvey {
        name: circuit.name.clone(),
        unsolved,
        derating,
        rated_efficiency: circuitry.compressor.rated().efficiency,
        charge: charge::charge(job, circuit, circuitry.compressor.rated().flow_kg_s, &points),
        strengths: strength::strengths(circuit, design.as_ref(), &points),
        closings: valve_closure::closings(circuit, design.as_ref(), &points),
        straights: expansion::straights(job, circuit, &points),
        drop_legs: drop_leg::drop_legs(circuit, &points),
        relief: relief(job, circuit),
        stops: Stops::of(circuit),
        work: circuitry.work.steps(),
        cut,
        design,
        points,
    })
}
