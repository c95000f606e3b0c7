//! The estimates fed back to the circuits: unit by unit, for two coils of one circuit may draw air of two kinds.

use super::{WarmAir, said};
use crate::job::{Job, Roof};
use crate::survey::PointId;
use crate::survey::{CircuitSurvey, Survey, what_if};
use crate::units::{Pressure, kelvins};
use rayon::prelude::*;
use serde::Serialize;

/// The coils of one circuit in one unit with the estimate of that unit fed back.
#[derive(Clone, Debug, Serialize)]
pub struct FedBack {
    /// The unit.
    pub unit: String,
    /// The circuit.
    pub circuit: String,
    /// How many coils of it the unit holds. What follows is of one.
    pub coils: u32,
    /// What the job says.
    pub said_K: f64,
    /// The estimate; none where the unit would draw hardly anything but warm air.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub estimate_K: Option<f64>,
    /// Capacity at `summer full` as the job says, where it has a solution.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_W: Option<f64>,
    /// Capacity with the estimate; none without a solution.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_then_W: Option<f64>,
    /// Discharge pressure at `summer full` as the job says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub discharge_Pa: Option<f64>,
    /// Discharge pressure with the estimate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub discharge_then_Pa: Option<f64>,
    /// Whether it reaches its cut-out, or has no solution, with the estimate.
    pub trips: bool,
}

/// The plant with the estimates fed back.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct PlantThen {
    /// The load.
    pub load_W: f64,
    /// What it carries on the design day with the spare modules out, as the job says.
    pub carries_W: f64,
    /// The same with the estimates.
    pub carries_then_W: f64,
}

/// A circuit with so much warm air, solved; none where it can't be.
fn with_warm_air(job: &Job, index: usize, rise_k: f64) -> Option<CircuitSurvey> {
    let mut changed = job.circuits.get(index)?.clone();
    changed.condenser.recirculation = Some(kelvins(rise_k));
    what_if(job, &changed).ok()
}

/// The pressure at which a circuit's switch opens, Pa; infinite where none is given.
fn cutout(job: &Job, index: usize) -> f64 {
    job.circuits.get(index).and_then(|circuit| circuit.condenser.cutout).map_or(f64::INFINITY, Pressure::pascals)
}

/// The warm air at which a circuit reaches its cut-out on the design day, K; the limit where it stands that.
pub(super) fn stands(job: &Job, index: usize) -> f64 {
    let (limit, cutout) = (job.limit("recirculation"), cutout(job, index));
    let clear = |rise: f64| {
        let solved = with_warm_air(job, index, rise);
        let point = solved.as_ref().and_then(|solved| solved.point(PointId::SummerFull));
        point.is_some_and(|point| point.state.discharge.pressure_Pa < cutout)
    };
    if clear(limit) {
        return limit;
    }
    let (mut low, mut high) = (0.0, limit);
    while high - low > 0.01 {
        let middle = f64::midpoint(low, high);
        if clear(middle) { low = middle } else { high = middle }
    }
    low
}

/// The coils of every circuit in every unit of which the warm air is estimated.
pub(in crate::roof) fn fed_back(job: &Job, roof: &Roof, survey: &Survey, warm: &[WarmAir]) -> Vec<FedBack> {
    let judged = roof.units.iter().zip(warm).filter(|(_, warm)| warm.leaves_warmer_K.is_some());
    let coils: Vec<(&WarmAir, usize, u32)> = judged
        .flat_map(|(unit, warm)| unit.circuits.iter().map(move |(index, count)| (warm, *index, *count)))
        .collect();
    let feed = |(warm, index, coils): &(&WarmAir, usize, u32)| {
        let estimate = warm.worst.as_ref().map(|worst| worst.rise_K);
        let then = estimate.and_then(|rise| with_warm_air(job, *index, rise));
        let before = survey.circuits.get(*index)?.point(PointId::SummerFull);
        let after = then.as_ref().and_then(|then| then.point(PointId::SummerFull));
        let discharge_then_pa = after.map(|point| point.state.discharge.pressure_Pa);
        Some(FedBack {
            unit: warm.name.clone(),
            circuit: job.circuits.get(*index)?.name.clone(),
            coils: *coils,
            said_K: said(job, *index),
            estimate_K: estimate,
            capacity_W: before.map(|point| point.capacity_W),
            capacity_then_W: after.map(|point| point.capacity_W),
            discharge_Pa: before.map(|point| point.state.discharge.pressure_Pa),
            discharge_then_Pa: discharge_then_pa,
            trips: discharge_then_pa.is_none_or(|pressure| pressure >= cutout(job, *index)),
        })
    };
    coils.par_iter().filter_map(feed).collect()
}

/// The plant with the estimates fed back, where it has a load. The first copies of a circuit are those in the first
/// unit of the plan that holds any; copies of which nothing is estimated give what the job says.
pub(in crate::roof) fn plant_then(job: &Job, survey: &Survey, fed_back: &[FedBack]) -> Option<PlantThen> {
    let plant = job.plant.as_ref()?;
    let full = |solved: &CircuitSurvey| solved.point(PointId::SummerFull).map_or(0.0, |point| point.capacity_W);
    let before: Vec<Vec<f64>> = job
        .circuits
        .iter()
        .zip(&survey.circuits)
        .map(|(circuit, solved)| vec![full(solved); circuit.copies as usize])
        .collect();
    let mut after = before.clone();
    for (circuit, gives) in job.circuits.iter().zip(&mut after) {
        let estimated = fed_back.iter().filter(|fed| fed.circuit == circuit.name).flat_map(|fed| {
            let then = if fed.trips { 0.0 } else { fed.capacity_then_W.unwrap_or(0.0) };
            std::iter::repeat_n(then, fed.coils as usize)
        });
        gives.iter_mut().zip(estimated).for_each(|(gives, then)| *gives = then);
    }
    let carries = |copies: &[Vec<f64>]| {
        let mut left: Vec<_> = copies.iter().map(|gives| gives.iter()).collect();
        let mut modules: Vec<f64> = Vec::new();
        for module in crate::job::modules(&job.circuits) {
            let mut gives = 0.0;
            for (index, count) in module.circuits {
                gives += left.get_mut(index).map_or(0.0, |left| left.by_ref().take(count as usize).sum());
            }
            modules.push(gives);
        }
        modules.sort_by(|a, b| b.total_cmp(a));
        modules.iter().skip(plant.spare as usize).sum()
    };
    Some(PlantThen { load_W: plant.load.value, carries_W: carries(&before), carries_then_W: carries(&after) })
}
