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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job;
    use crate::refdata::tube;
    use crate::units::pascals;
    use crate::year::stage::Stage;
    use std::path::Path;

    /// The bottling hall, whose valve needs so much drop (Pa), with the discharge line drawn or all in that tube.
    fn hall(needs: Option<f64>, narrow: Option<&str>) -> Job {
        let text = include_str!("../../examples/bottling-hall.toml");
        let mut job = job::read("hall.toml", text, Path::new(".")).unwrap();
        job.circuits[0].valve.minimum_drop = needs.map(pascals);
        if let Some(narrow) = narrow {
            for run in &mut job.circuits[0].discharge.runs {
                run.tubes = vec![tube(narrow).unwrap().clone()];
            }
        }
        job
    }

    fn floats_to(job: &Job) -> Option<f64> {
        level(job, &job.circuits[0], &Stages::of(&job.circuits[0]), job.site.winter.kelvin())
    }

    /// The drop at the valve where a head is held, of the stage that has least, Pa.
    fn drop_at(job: &Job, held: f64) -> f64 {
        let circuit = holding(&job.circuits[0], held);
        let model = CircuitModel::new(job, &circuit).unwrap();
        let drop = |stage: &Stage| {
            let point = model.solve(job.site.winter.kelvin(), *stage, &mut Start::default()).unwrap();
            point.valve_Pa - point.suction_Pa
        };
        Stages::of(&circuit).steps.iter().map(drop).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn a_head_floats_down_to_70_f_or_to_where_the_valve_just_has_its_drop() {
        let (drawn, minimum) = (hall(None, None), 294.261);
        let held = held(&drawn.circuits[0]).unwrap();
        let [low, high] = [minimum, held].map(|kelvin| drop_at(&drawn, kelvin));
        for needs in [None, Some(low - 1e3)] {
            assert!(floats_to(&hall(needs, None)).is_some_and(|level| (level - minimum).abs() < 1e-3));
        }
        // In between; a step of 0.02 K is less than 1 kPa.
        let needs = 0.5 * (low + high);
        let between = hall(Some(needs), None);
        let level = floats_to(&between).unwrap();
        assert!(minimum < level && level < held && (0.0..1e3).contains(&(drop_at(&between, level) - needs)), "{level}");
        // Where it would float by next to nothing, or the valve has too little as it is, it stays.
        assert!([high - 100.0, high + 1e3].iter().all(|needs| floats_to(&hall(Some(*needs), None)).is_none()));
    }

    #[test]
    fn a_stage_without_a_solution_bars_a_floating_head_whatever_the_valve_needs() {
        // All compressors bring their gas through 1/2 in at no head.
        assert!([None, Some(4e5)].iter().all(|needs| floats_to(&hall(*needs, Some("1/2 ACR"))).is_none()));
    }
}
