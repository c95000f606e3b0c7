//! What each unit puts on its supports: its own weight, the refrigerant of its coils at their fullest, and the wind as a note.

use crate::job::{Job, Roof, RoofUnit, Weight};
use crate::physics::wind_load::{MINIMUM_PRESSURE, rooftop_force, velocity_pressure};
use crate::survey::{Charge, ChargePoint, Survey};
use crate::units::factor::GRAVITY;
use schemars::JsonSchema;
use serde::Serialize;

/// What a unit puts on its supports.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Load {
    /// The unit.
    pub name: String,
    /// Without refrigerant, where given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dry_kg: Option<f64>,
    /// Refrigerant in its coils at the operating point that fills them most, as counted.
    pub refrigerant_kg: f64,
    /// Circuits whose coils could not be counted: their volume is not given, or no operating point has a solution.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_counted: Vec<String>,
    /// On each support, refrigerant and all; a total is shared alike.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub each_kg: Vec<f64>,
    /// Whether that is a total shared alike.
    pub shared_alike: bool,
    /// What each support may carry, by the structural engineer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed_kg: Option<f64>,
    /// How many supports would do, a total shared alike; none where nothing is short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supports_needed: Option<u32>,
    /// The wind, as a note.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<WindNote>,
}

/// What the design wind does to it, before the engineer's own factors.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct WindNote {
    /// Its speed.
    pub speed_m_s: f64,
    /// Velocity pressure.
    pub pressure_Pa: f64,
    /// On the larger face.
    pub force_N: f64,
    /// The same over the face.
    pub on_the_face_Pa: f64,
    /// Whether that is less than a design usually takes at least.
    pub below_minimum: bool,
    /// What each support on the lee side takes more, as a mass; those on the other side as much less.
    pub lee_kg: f64,
    /// Whether that is more than a support carries of the unit without refrigerant, so that it would lift, and nothing is said to
    /// hold it down.
    pub lifts: bool,
}

impl Load {
    /// The most that a support carries.
    #[must_use]
    pub fn greatest_kg(&self) -> Option<f64> {
        self.each_kg.iter().copied().reduce(f64::max)
    }
}

/// What each unit puts on its supports.
pub(super) fn loads(job: &Job, roof: &Roof, survey: &Survey) -> Vec<Load> {
    roof.units.iter().map(|unit| load(job, roof, unit, survey)).collect()
}

fn load(job: &Job, roof: &Roof, unit: &RoofUnit, survey: &Survey) -> Load {
    let mut refrigerant_kg = 0.0;
    let mut not_counted = Vec::new();
    for (index, count) in &unit.circuits {
        let charge = survey.circuits.get(*index).and_then(|solved| solved.charge.as_ref());
        // Without a receiver what is left of the charge backs up in the coil.
        let in_coil = |charge: &Charge| {
            let backed_up = |point: &ChargePoint| if charge.receiver.is_none() { point.rest_kg } else { 0.0 };
            let points = charge.points.iter();
            points.filter_map(|point| Some(point.condenser_kg? + backed_up(point))).reduce(f64::max)
        };
        let fullest = charge.and_then(in_coil);
        match fullest {
            Some(kg) => refrigerant_kg += kg * f64::from(*count),
            None => not_counted.extend(job.circuits.get(*index).map(|circuit| circuit.name.clone())),
        }
    }
    let (dry_kg, each_kg, shared_alike) = match &unit.weight {
        None => (None, Vec::new(), false),
        Some(Weight::Total { kg, supports }) => {
            let each = (kg + refrigerant_kg) / f64::from(*supports);
            (Some(*kg), vec![each; *supports as usize], true)
        }
        Some(Weight::Each(own)) => {
            #[expect(clippy::cast_precision_loss, reason = "a handful of supports")]
            let more = refrigerant_kg / own.len() as f64;
            (Some(own.iter().sum()), own.iter().map(|kg| kg + more).collect(), false)
        }
    };
    let greatest: Option<f64> = each_kg.iter().copied().reduce(f64::max);
    let lightest_dry_kg = match &unit.weight {
        None => None,
        Some(Weight::Total { kg, supports }) => Some(kg / f64::from(*supports)),
        Some(Weight::Each(own)) => own.iter().copied().reduce(f64::min),
    };
    let supports_needed = unit.allowed_kg.zip(dry_kg).zip(greatest).and_then(|((allowed, dry), greatest)| {
        let needed = ((dry + refrigerant_kg) / allowed - 1e-9).ceil();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive and below ten thousand")]
        (greatest > allowed && needed < 1e4).then_some(needed as u32)
    });
    Load {
        name: unit.name.clone(),
        dry_kg,
        refrigerant_kg,
        not_counted,
        shared_alike,
        allowed_kg: unit.allowed_kg,
        supports_needed,
        wind: roof.wind_m_s.map(|speed| wind(unit, speed, each_kg.len(), lightest_dry_kg)),
        each_kg,
    }
}

/// The force on the larger face, and what a support on the lee side takes more: its moment about the middle of the height over
/// the smaller spread of the supports, taken as the unit's width. What the wind lifts is held against the dry weight: it may
/// blow while the coil is empty.
fn wind(unit: &RoofUnit, speed: f64, supports: usize, lightest_dry_kg: Option<f64>) -> WindNote {
    let face = unit.length_m.max(unit.width_m) * (unit.height_m - unit.base_height_m);
    let force = rooftop_force(speed, face);
    let arm = f64::midpoint(unit.height_m, unit.base_height_m);
    // Half of the supports stand on the lee side, four where their number is not known.
    #[expect(clippy::cast_precision_loss, reason = "a handful of supports")]
    let lee = if supports == 0 { 2.0 } else { (supports as f64 / 2.0).max(1.0) };
    let lee_kg = force * arm / unit.narrow_m() / GRAVITY / lee;
    WindNote {
        speed_m_s: speed,
        pressure_Pa: velocity_pressure(speed),
        force_N: force,
        on_the_face_Pa: force / face,
        below_minimum: force / face < MINIMUM_PRESSURE,
        lee_kg,
        lifts: !unit.held_down && lightest_dry_kg.is_some_and(|minimum| lee_kg > minimum),
    }
}
