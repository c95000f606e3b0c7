//! Warm air that returns to the intakes, and what it does to the circuits.

mod circuits;

pub use circuits::{FedBack, PlantThen};
pub(super) use circuits::{Summer, fed_back, plant_then};

use super::dilution::{Dilution, STIFLED_K, Wind};
use super::outlet::{MOST, air_flow, heat};
use crate::job::{Job, Roof};
use crate::survey::Survey;
use schemars::JsonSchema;
use serde::Serialize;

/// Warm air that returns to a unit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
    /// Whether that is assumed: the job does not give it.
    pub outlet_assumed: bool,
    /// Whether most of what its outlet blows is caught between higher things.
    pub caught: bool,
    /// How much of it, 0 to 1.
    pub caught_share: f64,
    /// In the wind that brings it most. None where it can't be estimated, or where it would draw hardly anything but
    /// warm air.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<Return>,
    /// In the prevailing wind of the warm season, where a weather file is named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prevailing: Option<Return>,
    /// Share of the warm season's hours with wind in which it blows here from another source, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub downwind_share: Option<f64>,
    /// Most that the job says of its circuits.
    pub said_K: f64,
    /// The most that it may be: the limit, or less where one of its circuits then reaches its cut-out.
    pub allowed_K: f64,
    /// Why there is no estimate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknown: Option<String>,
}

/// Warm air in one wind, or in any.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Return {
    /// Where the wind comes from, degrees clockwise from north; none where every wind brings as much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind_from_deg: Option<f64>,
    /// How much warmer the air on the coil is than outdoors.
    pub rise_K: f64,
    /// Whether that is a minimum: a dilution factor came out below 1, for which the formula is not good, and was taken as
    /// 1.
    pub at_least: bool,
    /// Of that, what comes from its own outlet.
    pub own_K: f64,
    /// The other outlet that gives most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other: Option<String>,
    /// What that gives.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_K: Option<f64>,
    /// What all the others give.
    pub rest_K: f64,
}

/// All of a roof's warm air.
pub(crate) struct Returning<'a> {
    pub job: &'a Job,
    pub roof: &'a Roof,
    pub survey: &'a Survey,
    pub dilution: Dilution,
    pub winds: Vec<Wind>,
    /// What each circuit of the job stands, K.
    stands: &'a [f64],
}

impl<'a> Returning<'a> {
    pub(super) fn of(job: &'a Job, roof: &'a Roof, survey: &'a Survey, stands: &'a [f64]) -> Self {
        let dilution = Dilution::new(job, roof, survey);
        let winds = dilution.winds();
        Self { job, roof, survey, dilution, winds, stands }
    }

    /// Warm air that returns to each unit.
    pub(super) fn warm_air(&self) -> Vec<WarmAir> {
        (0..self.roof.units.len()).filter_map(|index| self.unit(index)).collect()
    }

    /// The most that a unit may get: the limit, or less where one of its circuits then reaches its cut-out, K.
    pub(crate) fn allowed(&self, index: usize) -> f64 {
        let circuits = self.roof.units.get(index).into_iter().flat_map(|unit| &unit.circuits);
        circuits
            .filter_map(|(circuit, _)| self.stands.get(*circuit).copied())
            .fold(self.job.limit("recirculation"), f64::min)
    }

    /// The most that the job says of the circuits of a unit, K.
    pub(super) fn said(&self, index: usize) -> f64 {
        let circuits = self.roof.units.get(index).into_iter().flat_map(|unit| &unit.circuits);
        circuits.map(|(circuit, _)| said(self.job, *circuit)).fold(0.0, f64::max)
    }

    fn unit(&self, index: usize) -> Option<WarmAir> {
        let unit = self.roof.units.get(index)?;
        let outlet = self.dilution.outlets.iter().find(|outlet| outlet.unit == Some(index));
        let worst = if outlet.is_some() { self.worst(index) } else { None };
        let unknown = match (air_flow(self.job, unit), heat(self.survey, unit), &worst) {
            (None, ..) => Some("its air flow is not known (air_flow of the unit or of its circuits)"),
            (_, None, _) => Some("one of its circuits has no solution at summer full"),
            (.., None) => Some("it would draw almost only warm air"),
            _ => None,
        };
        let season = self.job.weather.as_ref().map(|weather| weather.wind().warm_season);
        let season = season.as_ref().filter(|_| outlet.is_some());
        let prevailing = season.and_then(|season| season.prevailing.as_ref()).and_then(|wind| {
            let returned = self.returned(index, &self.dilution.wind(wind.from_deg))?;
            Some(returned).filter(|returned| returned.rise_K < STIFLED_K)
        });
        let others = self.dilution.outlets.iter().any(|outlet| outlet.unit != Some(index));
        let downwind_share = season.filter(|season| season.hours > 0.0 && others).map(|season| {
            let from_a_source =
                season.sectors.iter().filter(|sector| self.dilution.is_downwind(index, sector.from_deg));
            from_a_source.map(|sector| sector.hours).sum::<f64>() / season.hours
        });
        Some(WarmAir {
            name: unit.name.clone(),
            circuits: unit.circuits.iter().filter_map(|(i, _)| Some(self.job.circuits.get(*i)?.name.clone())).collect(),
            air_flow_m3_s: air_flow(self.job, unit),
            leaves_warmer_K: outlet.map(|outlet| outlet.warmer_K),
            outlet_m_s: outlet.map(|outlet| outlet.velocity_m_s),
            outlet_assumed: outlet.is_some() && unit.outlet_m_s.is_none(),
            caught: outlet.is_some_and(|outlet| outlet.caught >= MOST),
            caught_share: outlet.map_or(0.0, |outlet| outlet.caught),
            worst,
            prevailing,
            downwind_share,
            said_K: self.said(index),
            allowed_K: self.allowed(index),
            unknown: unknown.map(str::to_owned),
        })
    }

    /// What a unit gets in one wind.
    fn returned(&self, index: usize, wind: &Wind) -> Option<Return> {
        let rise = *wind.rises.get(index)?;
        let mut own = 0.0;
        let mut other: Option<(String, f64)> = None;
        for (number, outlet) in self.dilution.outlets.iter().enumerate() {
            let gives = self.dilution.gives(wind, index, number);
            if outlet.unit == Some(index) {
                own += gives;
            } else if gives > other.as_ref().map_or(0.0, |(_, maximum)| *maximum) {
                other = Some((outlet.name.clone(), gives));
            }
        }
        let (other, other_K) = other.unzip();
        Some(Return {
            wind_from_deg: Some(wind.from_deg),
            rise_K: rise,
            at_least: wind.beyond.get(index).copied().unwrap_or(false),
            own_K: own,
            other,
            other_K,
            rest_K: (rise - own - other_K.unwrap_or(0.0)).max(0.0),
        })
    }

    /// The most that a unit gets in any wind; none where it would draw hardly anything else.
    fn worst(&self, index: usize) -> Option<Return> {
        let rises = || self.winds.iter().filter_map(|wind| wind.rises.get(index)).copied();
        let (minimum, maximum) = (rises().fold(f64::INFINITY, f64::min), rises().fold(0.0, f64::max));
        let wind = self.winds.iter().find(|wind| wind.rises.get(index).is_some_and(|rise| *rise > maximum - 1e-9))?;
        let mut worst = self.returned(index, wind).filter(|worst| worst.rise_K < STIFLED_K)?;
        // Where the formula does not hold in one of them, it may be that one.
        worst.at_least = self.winds.iter().any(|wind| wind.beyond.get(index) == Some(&true));
        if maximum - minimum < 1e-6 {
            worst.wind_from_deg = None;
        }
        Some(worst)
    }
}

/// What the job says of a circuit, K.
fn said(job: &Job, index: usize) -> f64 {
    job.circuits
        .get(index)
        .map_or(0.0, |circuit| circuit.condenser.recirculation.unwrap_or(job.site.recirculation).value)
}
