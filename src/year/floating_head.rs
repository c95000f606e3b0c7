//! The head let float: held no higher than the valve needs.

use super::operating_point::{CircuitModel, Start};
use super::stage::Stages;
use crate::job::{Circuit, HeadControl, Job};
use crate::machine::MachineFault;
use crate::solve::bracketed;
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
    let needs = circuit.valve.minimum_drop.map_or(0.0, |drop| drop.value);
    // Pressure drop over what the valve needs, of the stage that has least, Pa.
    let spare = |kelvin: f64| -> Result<f64, MachineFault> {
        let floating = holding(circuit, kelvin);
        let (model, mut start) = (CircuitModel::new(job, &floating)?, Start::default());
        let of_each = stages.steps.iter().map(|stage| {
            model
                .solve(coldest, *stage, &mut start)
                .map_or(-1.0 - needs, |point| point.valve_Pa - point.suction_Pa - needs)
        });
        Ok(of_each.fold(f64::INFINITY, f64::min))
    };
    if held <= minimum + NEAR {
        return None;
    }
    if spare(minimum).is_ok_and(|spare| spare >= 0.0) {
        return Some(minimum);
    }
    let feeding = bracketed(spare, minimum, held, 0.25 * NEAR).ok()?.x + 0.5 * NEAR;
    (held - feeding > NEAR).then_some(feeding)
}
