//! What a year holds. SI base units but for hours, the unit in the name.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]

use serde::Serialize;

/// An hour of the year.
#[derive(Clone, Debug, Serialize)]
pub struct Moment {
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
    /// Hour of the day in which it lies, 0 to 23.
    pub hour: u8,
    /// Outdoor dry-bulb.
    pub outdoor_K: f64,
    /// Load of the plant, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load_W: Option<f64>,
}

/// How long something lasts in the year, and when it is worst.
#[derive(Clone, Debug, Serialize)]
pub struct Spell {
    /// Hours of the year.
    pub hours: f64,
    /// The worst of them; of a year without any, the one that comes nearest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<Worst>,
}

/// The worst hour of a kind, for one circuit.
#[derive(Clone, Debug, Serialize)]
pub struct Worst {
    /// When.
    pub moment: Moment,
    /// Share of full displacement that runs.
    pub share: f64,
    /// Share of the flow through the hot-gas bypass.
    pub bypass: f64,
    /// What was found there: a pressure (Pa), a subcooling over what is needed (K), a ratio to the least flow.
    pub value: f64,
    /// Number of the run, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run: Option<usize>,
}

/// A year of a job.
#[derive(Clone, Debug, Serialize)]
pub struct Year {
    /// Hours that have a temperature.
    pub hours: f64,
    /// Hours that have none and are left out.
    pub missing_hours: f64,
    /// Each circuit.
    pub circuits: Vec<CircuitYear>,
    /// The plant, where it has a load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plant: Option<PlantYear>,
    /// Energy of all circuits.
    pub energy: Energy,
}

/// A year of a circuit.
#[derive(Clone, Debug, Serialize)]
pub struct CircuitYear {
    /// Its name.
    pub name: String,
    /// How many of its kind.
    pub copies: u32,
    /// Hours in which at least one of its kind runs.
    pub running_hours: f64,
    /// Capacity with all compressors: in the hottest hour.
    pub hottest_capacity_W: Option<f64>,
    /// Mean capacity with all compressors.
    pub mean_capacity_W: f64,
    /// Hours in which all compressors together have no balance.
    pub unsolved: Spell,
    /// Hours in which the high-pressure switch opens with all compressors running.
    pub trips: Spell,
    /// Hours within the margin of the switch, those above it not counted.
    pub near_cutout: Spell,
    /// Hours in which, at the load that the plant then has, liquid flashes before the valve or less arrives than it needs.
    pub flash: Spell,
    /// Hours in which, at the load that the plant then has, a riser is below the least flow that lifts oil.
    pub oil: Spell,
    /// Energy.
    pub energy: Energy,
}

/// Energy of a year, all copies together.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct Energy {
    /// Compressors.
    pub compressors_J: f64,
    /// Fans, where their power is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fans_J: Option<f64>,
    /// Heat taken from the fluid.
    pub cooling_J: f64,
    /// Compressors, with the head let float down to `float_to_K`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floating_compressors_J: Option<f64>,
    /// Fans, with the head let float.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floating_fans_J: Option<f64>,
    /// The least condensing temperature to which the head may float, where one circuit is meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub float_to_K: Option<f64>,
}

/// A year of the plant.
#[derive(Clone, Debug, Serialize)]
pub struct PlantYear {
    /// The load on the design day.
    pub load_W: f64,
    /// Greatest load of the year.
    pub greatest_load_W: f64,
    /// Modules that may be out.
    pub spare: u32,
    /// Hours short of the load with every module.
    pub short: Shortfall,
    /// Hours short of the load with the spare modules out (with one out, where no spare is named).
    pub short_without: Shortfall,
    /// How many modules are out there.
    pub out: u32,
    /// Names of those modules.
    pub out_names: Vec<String>,
}

/// How long the plant falls short of its load.
#[derive(Clone, Debug, Serialize)]
pub struct Shortfall {
    /// Hours of the year.
    pub hours: f64,
    /// The hour with the least to spare.
    pub worst: Option<Moment>,
    /// Capacity in that hour.
    pub capacity_W: f64,
    /// Capacity less load in that hour; negative where it falls short.
    pub spare_W: f64,
    /// Cooling that is missing over the year.
    pub missing_J: f64,
}
