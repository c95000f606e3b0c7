//! Warm air that returns to the intakes, and what it does to the circuits.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]

use super::moves::{self, Leg};
use super::plume::{Plumes, SECTORS, air_flow, bearing_of, heat};
use crate::job::{Job, Roof};
use crate::survey::{Survey, what_if};
use crate::units::{Pressure, kelvins};
use crate::weather::Rose;
use rayon::prelude::*;
use serde::Serialize;

/// Velocities of an outlet that are tried: to 4000 ft/min, which no propeller fan exceeds, m/s.
const FASTEST_M_S: f64 = 20.32;
/// In so many steps.
const VELOCITIES: u32 = 80;

/// Warm air that returns to a unit.
#[derive(Clone, Debug, Serialize)]
pub struct WarmAir {
    /// The unit.
    pub name: String,
    /// The circuits whose coils it holds.
    pub circuits: Vec<String>,
    /// Its air flow, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_flow_m3_s: Option<f64>,
    /// How much warmer its air leaves than it was drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaves_warmer_K: Option<f64>,
    /// Velocity at its outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet_m_s: Option<f64>,
    /// Whether its outlet is caught between higher things.
    pub caught: bool,
    /// In the wind that brings it most. None where it can't be estimated, or where more and more would come back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<Return>,
    /// In the prevailing wind of the warm season, where a weather file is named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prevailing: Option<Return>,
    /// Share of the warm season's hours with wind in which it blows here from another source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub downwind_share: Option<f64>,
    /// Most that the job says of its circuits.
    pub said_K: f64,
    /// The most that it may be: the limit, or less where one of its circuits then reaches its cut-out.
    pub allowed_K: f64,
    /// Why there is no estimate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknown: Option<String>,
    /// Where there is too much of it: the least move of the unit that brings it under the limit, found by studying the changed
    /// plan.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moves: Vec<Leg>,
    /// Where there is too much of it: the velocity at the outlet that gives most that brings it under the limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub faster: Option<Faster>,
}

/// An outlet made faster.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Faster {
    /// The outlet.
    pub outlet: String,
    /// Its velocity then.
    pub velocity_m_s: f64,
}

/// Warm air in one wind.
#[derive(Clone, Debug, Serialize)]
pub struct Return {
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: f64,
    /// How much warmer the air on the coil is than outdoors.
    pub rise_K: f64,
    /// Of that, what comes from its own outlet.
    pub own_K: f64,
    /// The other outlet that gives most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other: Option<String>,
    /// What that gives.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_K: Option<f64>,
}

/// A circuit with the estimate fed back.
#[derive(Clone, Debug, Serialize)]
pub struct FedBack {
    /// The circuit.
    pub circuit: String,
    /// What the job says.
    pub said_K: f64,
    /// The estimate: the most of its units.
    pub estimate_K: f64,
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

/// What the job says of a circuit, K.
fn said(job: &Job, index: usize) -> f64 {
    job.circuits
        .get(index)
        .map_or(0.0, |circuit| circuit.condenser.recirculation.unwrap_or(job.site.recirculation).value)
}

/// The wind of the warm season, where a weather file is named.
fn warm_season(job: &Job) -> Option<Rose> {
    job.weather.as_ref().map(|weather| weather.wind().warm_season)
}

/// What a unit gets in one wind.
fn returned(plumes: &Plumes, index: usize, wind_from_deg: f64, rises: &[f64]) -> Option<Return> {
    let rise = *rises.get(index)?;
    let mut own = 0.0;
    let mut other: Option<(String, f64)> = None;
    for (number, outlet) in plumes.outlets.iter().enumerate() {
        let gives = plumes.gives(index, number, wind_from_deg, rises);
        if outlet.unit == Some(index) {
            own += gives;
        } else if gives > other.as_ref().map_or(0.0, |(_, most)| *most) {
            other = Some((outlet.name.clone(), gives));
        }
    }
    let (other, other_k) = other.unzip();
    Some(Return { wind_from_deg, rise_K: rise, own_K: own, other, other_K: other_k })
}

/// The most that a unit gets in any wind; none where it never settles.
fn worst(plumes: &Plumes, units: usize, index: usize) -> Option<Return> {
    let mut worst: Option<Return> = None;
    for wind in (0..SECTORS).map(bearing_of) {
        let rises = plumes.rises(units, wind)?;
        let here = returned(plumes, index, wind, &rises)?;
        if worst.as_ref().is_none_or(|worst| here.rise_K > worst.rise_K + 1e-9) {
            worst = Some(here);
        }
    }
    worst
}

/// Warm air that returns to each unit.
pub(super) fn warm_air(job: &Job, roof: &Roof, survey: &Survey) -> Vec<WarmAir> {
    let plumes = Plumes::new(job, roof, survey);
    let season = warm_season(job);
    (0..roof.units.len())
        .into_par_iter()
        .filter_map(|index| {
            let mut answer = unit(job, roof, survey, &plumes, season.as_ref(), index)?;
            mend(job, roof, survey, &plumes, index, &mut answer);
            Some(answer)
        })
        .collect()
}

fn unit(
    job: &Job,
    roof: &Roof,
    survey: &Survey,
    plumes: &Plumes,
    season: Option<&Rose>,
    index: usize,
) -> Option<WarmAir> {
    let unit = roof.units.get(index)?;
    let outlet = plumes.outlets.iter().find(|outlet| outlet.unit == Some(index));
    let unknown = match (air_flow(job, unit), heat(survey, unit)) {
        (None, _) => Some("its air flow is not known (air_flow of the unit or of its circuits)".to_owned()),
        (_, None) => Some("one of its circuits has no solution at summer full".to_owned()),
        _ => None,
    };
    let known = unknown.is_none();
    let worst = if known { worst(plumes, roof.units.len(), index) } else { None };
    let unknown = match (&worst, unknown) {
        (None, None) => Some("hardly anything but warm air would reach a coil on this roof".to_owned()),
        (_, unknown) => unknown,
    };
    let prevailing = season.and_then(|season| season.prevailing.as_ref()).filter(|_| known).and_then(|wind| {
        let rises = plumes.rises(roof.units.len(), wind.from_deg)?;
        returned(plumes, index, wind.from_deg, &rises)
    });
    let downwind_share = season.filter(|season| season.hours > 0.0).map(|season| {
        let from_a_source = season.sectors.iter().filter(|sector| plumes.is_downwind(index, sector.from_deg));
        from_a_source.map(|sector| sector.hours).sum::<f64>() / season.hours
    });
    Some(WarmAir {
        name: unit.name.clone(),
        circuits: unit.circuits.iter().filter_map(|(i, _)| Some(job.circuits.get(*i)?.name.clone())).collect(),
        air_flow_m3_s: air_flow(job, unit),
        leaves_warmer_K: outlet.map(|outlet| outlet.warmer),
        outlet_m_s: outlet.map(|outlet| outlet.velocity),
        caught: outlet.is_some_and(|outlet| outlet.caught),
        worst,
        prevailing,
        downwind_share,
        said_K: unit.circuits.iter().map(|(i, _)| said(job, *i)).fold(0.0, f64::max),
        allowed_K: job.limit("recirculation"),
        unknown,
        moves: Vec::new(),
        faster: None,
    })
}

/// Seeks what brings a unit under the limit, where it is over it.
fn mend(job: &Job, roof: &Roof, survey: &Survey, plumes: &Plumes, index: usize, answer: &mut WarmAir) {
    let Some(unit) = roof.units.get(index) else { return };
    // The most that the limit and the cut-outs of its circuits allow.
    let limit =
        unit.circuits.iter().map(|(circuit, _)| stands(job, *circuit)).fold(job.limit("recirculation"), f64::min);
    answer.allowed_K = limit;
    let settles = |roof: &Roof| {
        let changed = Plumes::new(job, roof, survey);
        worst(&changed, roof.units.len(), index).is_some_and(|worst| worst.rise_K < limit)
    };
    let over = match &answer.worst {
        Some(worst) => worst.rise_K >= limit,
        None => plumes.outlets.iter().any(|outlet| outlet.unit == Some(index)),
    };
    if !over {
        return;
    }
    answer.moves = moves::mend_warm_air(job, roof, index, settles);
    // The outlet that gives most, itself or another.
    let own = plumes.outlets.iter().find(|outlet| outlet.unit == Some(index));
    let other = answer.worst.as_ref().filter(|worst| worst.other_K.is_some_and(|other| other > worst.own_K));
    let other = other.and_then(|worst| worst.other.as_ref());
    let most = other.and_then(|name| plumes.outlets.iter().find(|o| o.unit != Some(index) && o.name == *name)).or(own);
    let Some(most) = most else { return };
    let fastest = |velocity: f64| {
        let mut changed = roof.clone();
        match most.unit.and_then(|index| changed.units.get_mut(index)) {
            Some(unit) => unit.outlet_m_s = Some(velocity),
            None => {
                for heat in changed.heats.iter_mut().filter(|heat| heat.name == most.name) {
                    heat.outlet_m_s = Some(velocity);
                }
            }
        }
        changed
    };
    answer.faster = (1..=VELOCITIES)
        .map(|step| FASTEST_M_S * f64::from(step) / f64::from(VELOCITIES))
        .find(|velocity| *velocity > most.velocity && settles(&fastest(*velocity)))
        .map(|velocity_m_s| Faster { outlet: most.name.clone(), velocity_m_s });
}

/// The warm air at which a circuit reaches its cut-out on the design day, K; the limit where it stands that.
fn stands(job: &Job, index: usize) -> f64 {
    let limit = job.limit("recirculation");
    let Some(circuit) = job.circuits.get(index) else { return limit };
    let cutout = circuit.condenser.cutout.map_or(f64::INFINITY, Pressure::pascals);
    let clear = |rise: f64| {
        let mut changed = circuit.clone();
        changed.condenser.recirculation = Some(kelvins(rise));
        let solved = what_if(job, &changed).ok();
        let point = solved.as_ref().and_then(|solved| solved.point("summer full"));
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

/// Every circuit whose coils stand on the roof with the estimate of its units fed back.
pub(super) fn fed_back(job: &Job, roof: &Roof, survey: &Survey, warm: &[WarmAir]) -> Vec<FedBack> {
    (0..job.circuits.len())
        .into_par_iter()
        .filter_map(|index| {
            let circuit = job.circuits.get(index)?;
            let holds = |unit: &crate::job::RoofUnit| unit.circuits.iter().any(|(i, _)| *i == index);
            let rises = roof.units.iter().zip(warm).filter(|(unit, _)| holds(unit));
            let estimate = rises.filter_map(|(_, warm)| Some(warm.worst.as_ref()?.rise_K)).reduce(f64::max)?;
            let mut changed = circuit.clone();
            changed.condenser.recirculation = Some(kelvins(estimate));
            let then = what_if(job, &changed).ok();
            let before = survey.circuits.get(index)?.point("summer full");
            let after = then.as_ref().and_then(|then| then.point("summer full"));
            let cutout = circuit.condenser.cutout.map_or(f64::INFINITY, Pressure::pascals);
            let over = |pressure: f64| pressure >= cutout;
            let discharge_pa = before.map(|point| point.state.discharge.pressure_Pa);
            let discharge_then_pa = after.map(|point| point.state.discharge.pressure_Pa);
            Some(FedBack {
                circuit: circuit.name.clone(),
                said_K: said(job, index),
                estimate_K: estimate,
                capacity_W: before.map(|point| point.capacity_W),
                capacity_then_W: after.map(|point| point.capacity_W),
                discharge_Pa: discharge_pa,
                discharge_then_Pa: discharge_then_pa,
                trips: discharge_then_pa.is_none_or(over),
            })
        })
        .collect()
}

/// The plant with the estimates fed back, where it has a load.
pub(super) fn plant_then(job: &Job, survey: &Survey, fed_back: &[FedBack]) -> Option<PlantThen> {
    let plant = job.plant.as_ref()?;
    let before: Vec<f64> = survey
        .circuits
        .iter()
        .map(|solved| solved.point("summer full").map_or(0.0, |point| point.capacity_W))
        .collect();
    let after: Vec<f64> = job
        .circuits
        .iter()
        .zip(&before)
        .map(|(circuit, before)| {
            let found = fed_back.iter().find(|fed| fed.circuit == circuit.name);
            found.map_or(*before, |fed| if fed.trips { 0.0 } else { fed.capacity_then_W.unwrap_or(0.0) })
        })
        .collect();
    let carries = |capacities: &[f64]| {
        let mut modules: Vec<f64> = crate::job::modules(&job.circuits)
            .iter()
            .map(|module| {
                let of =
                    |(index, count): &(usize, u32)| capacities.get(*index).copied().unwrap_or(0.0) * f64::from(*count);
                module.circuits.iter().map(of).sum()
            })
            .collect();
        modules.sort_by(|a, b| b.total_cmp(a));
        modules.iter().skip(plant.spare as usize).sum()
    };
    Some(PlantThen { load_W: plant.load.value, carries_W: carries(&before), carries_then_W: carries(&after) })
}
