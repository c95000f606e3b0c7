//! What a set of changes costs.

use crate::job::{Circuit, LineId};
use crate::survey::{CircuitSurvey, Point, PointId};
use crate::units::metres;

/// What a set of changes costs, over the job as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// Tube, kg: copper, or steel where it is that.
    pub copper_kg: f64,
    /// Charge, kg, where it could be counted before and after.
    pub charge_kg: Option<f64>,
    /// Power of the compressors on the design day, W, where they run before and after.
    pub power_W: Option<f64>,
    /// Cooling capacity on the design day, W, likewise.
    pub capacity_W: Option<f64>,
}

impl Cost {
    /// Nothing.
    pub(super) const NONE: Self =
        Self { copper_kg: 0.0, charge_kg: Some(0.0), power_W: Some(0.0), capacity_W: Some(0.0) };

    /// Of a circuit as drawn and solved, and so changed, with all its copies.
    pub(super) fn of(before: (&Circuit, &CircuitSurvey), after: (&Circuit, &CircuitSurvey)) -> Self {
        let more = |of: &dyn Fn((&Circuit, &CircuitSurvey)) -> Option<f64>| {
            let all = |side: (&Circuit, &CircuitSurvey)| Some(of(side)? * f64::from(side.0.copies));
            Some(all(after)? - all(before)?)
        };
        let design = |of: fn(&Point) -> f64| more(&|(_, solved)| solved.point(PointId::SummerFull).map(of));
        Self {
            copper_kg: more(&|(circuit, _)| Some(all_tube_mass(circuit))).unwrap_or_default(),
            charge_kg: more(&|(_, solved)| solved.charge.as_ref().map(|charge| charge.total_kg)),
            power_W: design(|point| point.power_W),
            capacity_W: design(|point| point.capacity_W),
        }
    }

    pub(super) fn add(&mut self, other: &Self) {
        let sum = |a: Option<f64>, b: Option<f64>| Some(a? + b?);
        self.copper_kg += other.copper_kg;
        self.charge_kg = sum(self.charge_kg, other.charge_kg);
        self.power_W = sum(self.power_W, other.power_W);
        self.capacity_W = sum(self.capacity_W, other.capacity_W);
    }
}

/// Mass of all tube of a circuit, kg: of its lines, its drop legs and the discharge line of its relief valve.
#[must_use]
pub fn all_tube_mass(circuit: &Circuit) -> f64 {
    let condenser = &circuit.condenser;
    let legs = condenser
        .legs
        .as_ref()
        .map_or(0.0, |legs| f64::from(condenser.coils.max(1)) * legs.tube.mass(legs.height + legs.level).value);
    let relief = circuit.relief.valve().and_then(|valve| Some(valve.tube.as_ref()?.mass(valve.length?).value));
    tube_mass(circuit) + legs + relief.unwrap_or_default()
}

/// Mass of the tube of a circuit's lines as drawn, kg; fittings are not counted.
#[must_use]
pub fn tube_mass(circuit: &Circuit) -> f64 {
    let runs = LineId::BOTH.into_iter().flat_map(|line| &line.of(circuit).runs);
    runs.map(|run| run.tubes.iter().map(|tube| tube.mass(metres(run.path.length_m())).value).sum::<f64>()).sum()
}
