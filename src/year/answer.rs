//! What a year holds. SI base units but for hours, the unit in the name.

use crate::units::words::and;
use schemars::JsonSchema;
use serde::Serialize;

/// An hour of the year.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
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

impl Moment {
    /// `23 July, 14 to 15 h`.
    #[must_use]
    pub fn says(&self) -> String {
        crate::weather::when(self.month, self.day, self.hour)
    }
}

/// How long something lasts in the year, and when it is worst.
#[derive(Clone, Copy, Debug, Default, Serialize, JsonSchema)]
pub struct Spell {
    /// Hours of the year.
    pub hours: f64,
    /// The worst of them; of a year without any, the one that comes nearest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<Worst>,
}

/// The worst hour of a kind, for one circuit.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Worst {
    /// When.
    pub moment: Moment,
    /// Share of full displacement that runs.
    pub share: f64,
    /// Share of the flow through the hot-gas bypass.
    pub bypass: f64,
    /// What was found there: a pressure (Pa), a subcooling over what is needed (K), a ratio to the minimum flow.
    pub value: f64,
    /// Number of the run, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run: Option<usize>,
}

/// A year of a job.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
    /// Energy of all circuits with the head let float wherever it may, where anything changes by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floating: Option<Energy>,
    /// Hour by hour, in the order of the file.
    #[serde(skip)]
    pub course: Vec<CourseHour>,
}

/// What is counted of an hour, in any of the circuits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is counted by itself")]
pub struct Counts {
    /// The high-pressure switch opens, or the heat can't be rejected, with all compressors running.
    pub trips: bool,
    /// Within the margin of the switch.
    pub near_cutout: bool,
    /// Liquid flashes before the valve, or less arrives than it needs.
    pub flash: bool,
    /// A riser is below the least flow that lifts oil.
    pub oil: bool,
}

impl Counts {
    /// With those of another circuit.
    pub(super) fn or(&mut self, other: Self) {
        self.trips |= other.trips;
        self.near_cutout |= other.near_cutout;
        self.flash |= other.flash;
        self.oil |= other.oil;
    }
}

/// An hour of the course of a year.
#[derive(Clone, Copy, Debug)]
pub struct CourseHour {
    /// When.
    pub moment: Moment,
    /// Capacity of all machines, W.
    pub capacity_W: f64,
    /// What is counted of it.
    pub counts: Counts,
}

/// A year of a circuit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CircuitYear {
    /// Its name.
    pub name: String,
    /// How many of its kind.
    pub copies: u32,
    /// Hours in which at least one of its kind runs.
    pub running_hours: f64,
    /// Capacity of one of its kind in the hottest hour, with the most compressors that stay on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hottest_capacity_W: Option<f64>,
    /// The mean of that capacity over the year, where there is any in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_capacity_W: Option<f64>,
    /// Hours in which all compressors together have no balance: the heat cannot be rejected, or a line is too small. The value
    /// is the outdoor temperature.
    pub unsolved: Spell,
    /// Hours in which the condensing temperature falls to the evaporating temperature with all compressors running. The value
    /// is the outdoor temperature.
    pub falls: Spell,
    /// Hours in which the expansion valve, though wide open, passes less than all compressors would take. The value is the outdoor
    /// temperature.
    pub starves: Spell,
    /// Hours in which the high-pressure switch opens with all compressors running. The value is their discharge pressure.
    pub trips: Spell,
    /// Hours within the margin of the switch, those in which it opens not counted.
    pub near_cutout: Spell,
    /// Hours in which, as it runs then, liquid flashes before the valve or less arrives than it needs. The value is the
    /// subcooling over what is needed.
    pub flash: Spell,
    /// Hours in which, as it runs then, a riser is below the minimum flow that lifts oil. The value is flow over that flow.
    pub oil: Spell,
    /// The high-pressure switch with the warm air that the plan returns, where that is looked at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warm_air: Option<WithWarmAir>,
    /// Energy of all its copies.
    pub energy: Energy,
    /// The same with the head let float, where it may.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floating: Option<Floating>,
}

/// A circuit's year with other warm air returning than the job says.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct WithWarmAir {
    /// Warm air returning, in every hour.
    pub recirculation_K: f64,
    /// Hours in which the high-pressure switch opens with all compressors running, or the heat cannot be rejected.
    pub trip_hours: f64,
    /// Hours within the margin of the switch, those in which it opens not counted.
    pub near_hours: f64,
}

/// Energy of a year.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Energy {
    /// Compressors.
    pub compressors_J: f64,
    /// Fans, as far as their power is known; of none of them known nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fans_J: Option<f64>,
    /// Heat taken from the fluid.
    pub cooling_J: f64,
}

impl Energy {
    /// Of compressors and, where known, fans.
    #[must_use]
    pub fn all_J(&self) -> f64 {
        self.compressors_J + self.fans_J.unwrap_or(0.0)
    }
}

/// A circuit's year with the head let float.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Floating {
    /// The condensing temperature that is held as drawn.
    pub held_K: f64,
    /// The one down to which it may float.
    pub to_K: f64,
    /// Energy.
    pub energy: Energy,
    /// Hours in which liquid then flashes before the valve or less arrives than it needs.
    pub flash_hours: f64,
}

/// A year of the plant.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
    /// How many modules are out there: those that give most in the hottest hour.
    pub out: u32,
    /// Names of those modules.
    pub out_names: Vec<String>,
    /// Capacity of those modules in the hour in which the plant without them has the minimum to spare.
    pub out_capacity_W: f64,
    /// Name of the module that gives most in the hottest hour.
    pub largest: String,
    /// The hottest hour that has the greatest load of its kind.
    pub hottest: Margin,
    /// The same with the warm air that the plan returns, where that is looked at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warm_air: Option<PlantWithWarmAir>,
}

/// The year of a plant with other warm air returning than the job says.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct PlantWithWarmAir {
    /// Hours short of the load with every module.
    pub short_hours: f64,
    /// Hours short of it with the spare modules out (with one out, where no spare is named).
    pub short_without_hours: f64,
}

impl PlantYear {
    /// The modules that are out, in words, those of one name once: `2 of syrup and malt`.
    #[must_use]
    pub fn out_in_words(&self) -> String {
        alike(&self.out_names)
    }
}

/// Names in words, each once with its number.
fn alike(names: &[String]) -> String {
    let mut counted: Vec<(&str, usize)> = Vec::new();
    for name in names {
        match counted.iter_mut().find(|(other, _)| other == name) {
            Some((_, count)) => *count += 1,
            None => counted.push((name, 1)),
        }
    }
    let words = |(name, count): &(&str, usize)| {
        if *count == 1 { (*name).to_owned() } else { format!("{count} of {name}") }
    };
    and(&counted.iter().map(words).collect::<Vec<String>>())
}

/// Capacity and load in one hour.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Margin {
    /// When; its load is there too.
    pub moment: Moment,
    /// Capacity of all modules.
    pub capacity_W: f64,
    /// Capacity of those that are left without the spare.
    pub capacity_without_W: f64,
}

/// How long the plant falls short of its load.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Shortfall {
    /// Hours of the year.
    pub hours: f64,
    /// The hour with the minimum to spare.
    pub worst: Option<Moment>,
    /// Capacity in that hour.
    pub capacity_W: f64,
    /// Capacity less load in that hour; negative where it falls short.
    pub spare_W: f64,
    /// Cooling that is missing over the year.
    pub missing_J: f64,
    /// Capacity of the largest module in the hour with the minimum to spare.
    pub largest_W: f64,
    /// With how many more modules like the largest it is short in no more hours than are allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub more: Option<u32>,
    /// The load on the design day that is carried in every hour, with the same course over the year; none where nothing balances or no
    /// load is required.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carried_W: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::{Counts, Energy, alike};

    #[test]
    fn energy_is_that_of_compressors_and_of_the_fans_that_are_known() {
        let of = |fans_J: Option<f64>| Energy { compressors_J: 3.0, fans_J, cooling_J: 9.0 }.all_J();
        assert!((of(Some(2.0)) - 5.0).abs() < 1e-12 && (of(None) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn an_hour_counts_where_any_circuit_does() {
        let one = Counts { trips: true, near_cutout: true, flash: true, oil: true };
        for [first, second] in [[one, Counts::default()], [Counts::default(), one]] {
            let mut of_both = first;
            of_both.or(second);
            assert_eq!(of_both, one);
        }
        let mut none = Counts::default();
        none.or(Counts::default());
        assert_eq!(none, Counts::default());
    }

    #[test]
    fn machines_of_one_name_are_counted() {
        let words = |names: &[&str]| alike(&names.iter().map(|name| (*name).to_owned()).collect::<Vec<String>>());
        assert_eq!(words(&["syrup"]), "syrup");
        assert_eq!(words(&["syrup", "syrup"]), "2 of syrup");
        assert_eq!(words(&["syrup", "malt", "syrup", "hall"]), "2 of syrup, malt and hall");
    }
}
