//! What a set of changes costs.

use super::trial::State;
use crate::job::{Circuit, LineId};
use crate::survey::PointId;
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

    /// Of a circuit that stands there so many times.
    pub(super) fn of(before: &State, after: &State, copies: u32) -> Self {
        let charge = |state: &State| state.solved.charge.as_ref().map(|charge| charge.total_kg);
        let design =
            |state: &State, of: fn(&crate::survey::Point) -> f64| state.solved.point(PointId::SummerFull).map(of);
        let more = |before: Option<f64>, after: Option<f64>| Some(after? - before?);
        let each = |value: Option<f64>| value.map(|value| value * f64::from(copies));
        Self {
            copper_kg: (tube_mass(&after.circuit) - tube_mass(&before.circuit)) * f64::from(copies),
            charge_kg: each(more(charge(before), charge(after))),
            power_w: each(more(design(before, |point| point.power_W), design(after, |point| point.power_W))),
            capacity_w: each(more(design(before, |point| point.capacity_W), design(after, |point| point.capacity_W))),
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
