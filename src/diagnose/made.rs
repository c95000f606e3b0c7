//! Readings that the model makes of a chiller with something wrong: what the tests put before the diagnosis.

use super::case::Case;
use super::cause::Cause;
use super::fit::Coefficients;
use crate::job::{Circuit, Job, Reading, Set};
use std::collections::BTreeMap;

/// What every reading would be with some causes at their sizes, at what a set says of load and weather, with coefficients that are off
/// by so many of their standard deviations (coil, displacement, efficiency, evaporator, subcooling, superheat); none where there is no
/// balance.
#[must_use]
pub fn made(
    job: &Job,
    circuit: &Circuit,
    set: &Set,
    causes: &[(Cause, f64)],
    off: [f64; 6],
) -> Option<BTreeMap<Reading, f64>> {
    let case = Coefficients::off_by(off).applied(&Case::new(job, circuit, set));
    let circuitry = case.circuitry().ok()?;
    let prediction = case.predict(&circuitry, causes, None).ok()?;
    Some(Reading::ALL.iter().filter_map(|reading| Some((*reading, prediction.of(*reading)?))).collect())
}
