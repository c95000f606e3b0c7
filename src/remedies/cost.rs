//! What a set of changes costs.

use super::trial::State;
use crate::job::{Circuit, LineId};
use crate::survey::{Point, PointId};
use crate::units::metres;

/// What a set of changes costs, over the job as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// Tube, kg: copper, or steel where it is that.
    pub copper_kg: f64,
    /// Charge, kg, where it could be counted before and after.
    pub charge_kg: Option<f64>,
    /// Power of the compressors on the design day, W, where they run before and after.
    pub power_w: Option<f64>,
    /// Cooling capacity on the design day, W, likewise.
    pub capacity_w: Option<f64>,
}

impl Cost {
    /// Nothing.
    pub(super) const NONE: Self =
        Self { copper_kg: 0.0, charge_kg: Some(0.0), power_w: Some(0.0), capacity_w: Some(0.0) };

    /// Of a circuit, which may stand there several times.
    pub(super) fn of(before: &State, after: &State) -> Self {
        let more = |of: &dyn Fn(&State) -> Option<f64>| {
            let all = |state: &State| Some(of(state)? * f64::from(state.circuit.copies));
            Some(all(after)? - all(before)?)
        };
        let design = |of: fn(&Point) -> f64| more(&|state| state.solved.point(PointId::SummerFull).map(of));
        Self {
            copper_kg: more(&|state| Some(tube_mass(&state.circuit))).unwrap_or(0.0),
            charge_kg: more(&|state| state.solved.charge.as_ref().map(|charge| charge.total_kg)),
            power_w: design(|point| point.power_W),
            capacity_w: design(|point| point.capacity_W),
        }
    }

    pub(super) fn add(&mut self, other: &Self) {
        let sum = |a: Option<f64>, b: Option<f64>| Some(a? + b?);
        self.copper_kg += other.copper_kg;
        self.charge_kg = sum(self.charge_kg, other.charge_kg);
        self.power_w = sum(self.power_w, other.power_w);
        self.capacity_w = sum(self.capacity_w, other.capacity_w);
    }
}

/// Mass of the tube of a circuit's lines as drawn, kg; fittings are not counted.
#[must_use]
pub fn tube_mass(circuit: &Circuit) -> f64 {
    let runs = LineId::BOTH.into_iter().flat_map(|line| &line.of(circuit).runs);
    runs.map(|run| run.tubes.iter().map(|tube| tube.mass(metres(run.path.length_m())).value).sum::<f64>()).sum()
}
