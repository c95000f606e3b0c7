//! The head let float: held no higher than the valve needs.

use super::operating_point::{CircuitModel, Start};
use super::stage::Stages;
use crate::job::{Circuit, HeadControl, Job};
use crate::units::Temperature;

/// How near to the minimum temperature the search comes, K.
const NEAR: f64 = 0.02;

/// The condensing temperature that the head control of a circuit holds, K.
pub(super) fn held(circuit: &Circuit) -> Option<f64> {
    match circuit.condenser.head_control {
        HeadControl::None => None,
        HeadControl::Fans { setpoint, .. } | HeadControl::Flooding { setpoint } => Some(setpoint.kelvin()),
    }
}

/// The circuit with another temperature held, K.
pub(super) fn holding(circuit: &Circuit, kelvin: f64) -> Circuit {
    let mut circuit = circuit.clone();
    match &mut circuit.condenser.head_control {
        HeadControl::None => {}
        HeadControl::Fans { setpoint, .. } | HeadControl::Flooding { setpoint } => {
            *setpoint = Temperature::from_kelvin(kelvin);
        }
    }
    circuit
}

/// The condensing temperature down to which the head of a circuit may float, K: `float_minimum`, or as much higher as the valve
/// needs its `least_drop` at the coldest hour at every stage. None where it is held no higher as it is.
pub(super) fn level(job: &Job, circuit: &Circuit, stages: &Stages, coldest: f64) -> Option<f64> {
    let held = held(circuit)?;
    let minimum = job.limit("float_minimum");
    let feeds = |kelvin: f64| {
        let floating = holding(circuit, kelvin);
        CircuitModel::new(job, &floating).is_ok_and(|model| {
            stages.steps.iter().all(|stage| {
                let needs = circuit.valve.minimum_drop.map_or(0.0, |drop| drop.value);
                model
                    .solve(coldest, *stage, &mut Start::default())
                    .is_ok_and(|point| point.valve - point.suction >= needs)
            })
        })
    };
    if held <= minimum + NEAR {
        return None;
    }
    if feeds(minimum) {
        return Some(minimum);
    }
    if !feeds(held) {
        return None;
    }
    let (mut starves, mut feeding) = (minimum, held);
    while feeding - starves > NEAR {
        let middle = 0.5 * (starves + feeding);
        if feeds(middle) {
            feeding = middle;
        } else {
            starves = middle;
        }
    }
    (held - feeding > NEAR).then_some(feeding)
}
