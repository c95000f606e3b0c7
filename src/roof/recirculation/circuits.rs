//! The estimates fed back to the circuits: unit by unit, for two coils of one circuit may draw air of two kinds.

use super::{WarmAir, said};
use crate::job::{BypassWhen, Circuit, Job, Roof};
use crate::machine::{Balance, Circuitry, Condition};
use crate::survey::{self, CircuitSurvey, PointId, Survey, summer_condition};
use crate::units::Pressure;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Mutex;

/// The coils of one circuit in one unit with the estimate of that unit fed back.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct PlantThen {
    /// The load.
    pub load_W: f64,
    /// What it carries on the design day with the spare modules out, as the job says.
    pub carries_W: f64,
    /// The same with the estimates.
    pub carries_then_W: f64,
}

/// So finely is warm air looked at where a plan is only judged, K.
const NEARLY_K: f64 = 0.01;

/// A circuit at `summer full` with as much warm air as is required.
pub(crate) struct Summer<'a> {
    circuitry: Circuitry<'a>,
    condition: Condition,
    /// As the job says: the others are near.
    start: Option<Balance>,
    /// Pressure at which its switch opens, Pa; infinite where none is given.
    cutout_Pa: f64,
    /// What was nearly solved, by warm air in steps.
    known: Mutex<BTreeMap<u64, Option<Full>>>,
}

/// A circuit solved at `summer full`.
#[derive(Clone, Copy, Debug)]
struct Full {
    capacity_W: f64,
    discharge_Pa: f64,
}

impl<'a> Summer<'a> {
    /// None where the chiller can't be made from its ratings.
    pub(crate) fn of(job: &Job, circuit: &'a Circuit) -> Option<Self> {
        let circuitry = Circuitry::new(circuit, job.limit("oil_film_density")).ok()?;
        let bypass = circuit.compressors.bypass;
        let bypass = if bypass.when == BypassWhen::Always { bypass.share } else { 0.0 };
        let condition = Condition { bypass, ..summer_condition(job, circuit, job.site.summer.kelvin()) };
        let start = circuitry.solve(&condition, None).ok().map(|solution| solution.balance);
        let cutout = circuit.condenser.cutout.map_or(f64::INFINITY, Pressure::pascals);
        Some(Self { circuitry, condition, start, cutout_Pa: cutout, known: Mutex::default() })
    }

    /// With so much warm air, K; none where that has no solution.
    fn with(&self, rise_K: f64) -> Option<Full> {
        let condition = Condition { recirculation_K: rise_K, ..self.condition };
        let balance = self.circuitry.solve(&condition, self.start.as_ref()).ok()?.balance;
        Some(Full { capacity_W: balance.capacity_W, discharge_Pa: balance.running.discharge_Pa })
    }

    /// With that or up to a hundredth of a degree more, remembered.
    fn nearly(&self, rise_K: f64) -> Option<Full> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a warm air of up to a hundred K")]
        let step = (rise_K / NEARLY_K).ceil() as u64;
        let known = self.known.lock().ok().and_then(|known| known.get(&step).copied());
        known.unwrap_or_else(|| {
            #[expect(clippy::cast_precision_loss, reason = "some thousands at the most")]
            let full = self.with(step as f64 * NEARLY_K);
            if let Ok(mut known) = self.known.lock() {
                known.insert(step, full);
            }
            full
        })
    }

    /// The warm air at which it reaches its cut-out on the design day, K; the limit where it stands that.
    pub(crate) fn stands(&self, limit: f64) -> f64 {
        let clear = |rise: f64| self.with(rise).is_some_and(|full| full.discharge_Pa < self.cutout_Pa);
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
}

/// The coils of every circuit in every unit of which the warm air is estimated.
///
/// Where a plan is only judged warm air is rounded up by a hundredth of a degree, so that little is solved twice.
pub(crate) fn fed_back(
    job: &Job,
    roof: &Roof,
    survey: &Survey,
    summers: &[Option<Summer>],
    warm: &[WarmAir],
    only_judged: bool,
) -> Vec<FedBack> {
    let judged = roof.units.iter().zip(warm).filter(|(_, warm)| warm.leaves_warmer_K.is_some());
    let coils: Vec<(&WarmAir, usize, u32)> = judged
        .flat_map(|(unit, warm)| unit.circuits.iter().map(move |(index, count)| (warm, *index, *count)))
        .collect();
    let feed = |(warm, index, coils): &(&WarmAir, usize, u32)| {
        let estimate = warm.worst.as_ref().map(|worst| worst.rise_K);
        let summer = summers.get(*index)?.as_ref()?;
        let after = estimate.and_then(|rise| if only_judged { summer.nearly(rise) } else { summer.with(rise) });
        let before = survey.circuits.get(*index)?.point(PointId::SummerFull);
        Some(FedBack {
            unit: warm.name.clone(),
            circuit: job.circuits.get(*index)?.name.clone(),
            coils: *coils,
            said_K: said(job, *index),
            estimate_K: estimate,
            capacity_W: before.map(|point| point.capacity_W),
            capacity_then_W: after.map(|full| full.capacity_W),
            discharge_Pa: before.map(|point| point.state.discharge.pressure_Pa),
            discharge_then_Pa: after.map(|full| full.discharge_Pa),
            trips: after.is_none_or(|full| full.discharge_Pa >= summer.cutout_Pa),
        })
    };
    coils.par_iter().filter_map(feed).collect()
}

/// The plant with the estimates fed back, where it has a load. The first copies of a circuit are those in the first
/// unit of the plan that holds any; copies of which nothing is estimated give what the job says.
pub(crate) fn plant_then(job: &Job, survey: &Survey, fed_back: &[FedBack]) -> Option<PlantThen> {
    let plant = survey::plant(job, &survey.circuits)?;
    let full = |solved: &CircuitSurvey| solved.point(PointId::SummerFull).map_or(0.0, |point| point.capacity_W);
    let copies: Vec<Vec<f64>> = job
        .circuits
        .iter()
        .zip(&survey.circuits)
        .map(|(circuit, solved)| {
            let mut gives = vec![full(solved); circuit.copies as usize];
            let estimated = fed_back.iter().filter(|fed| fed.circuit == circuit.name).flat_map(|fed| {
                let then = if fed.trips { 0.0 } else { fed.capacity_then_W.unwrap_or(0.0) };
                std::iter::repeat_n(then, fed.coils as usize)
            });
            gives.iter_mut().zip(estimated).for_each(|(gives, then)| *gives = then);
            gives
        })
        .collect();
    let gives = |index: usize, copy: usize| copies.get(index).and_then(|gives| gives.get(copy)).copied().unwrap_or(0.0);
    Some(PlantThen {
        load_W: plant.load_W,
        carries_W: plant.carries_without_spare_W,
        carries_then_W: survey::carries_without_spare(job, gives)?,
    })
}
