//! The job as meant: checked, in SI, without options that are not options in the world.

use super::{Compressors, Condenser, Evaporator, Line, LineId, Plant, Roof, Valve};
pub use crate::refdata::Code;
use crate::refdata::{self, Tube};
use crate::units::{Kind, Length, MassRate, Pressure, System, Temperature, TemperatureDifference, Volume, VolumeRate};
use crate::weather::Weather;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One installation.
#[derive(Clone, Debug)]
pub struct Job {
    /// Its title.
    pub title: String,
    /// Who drew it, and when.
    pub title_block: TitleBlock,
    /// The file it was read from, as given.
    pub file: String,
    /// Its text.
    pub text: Arc<str>,
    /// The units of its report.
    pub units: System,
    /// The place.
    pub site: Site,
    /// The year of weather, where a file of it is named.
    pub weather: Option<Arc<Weather>>,
    /// What the circuits together must carry.
    pub plant: Option<Plant>,
    /// The roof, where drawn.
    pub roof: Option<Roof>,
    /// The user's own limits by key (`liquid_velocity`), SI; they replace the defaults of `refdata`.
    pub limits: BTreeMap<String, f64>,
    /// Rooms that lines pass through.
    pub rooms: Vec<Room>,
    /// Operating points beside the standard five.
    pub points: Vec<OwnPoint>,
    /// Tubes of the job's own.
    pub tubes: Vec<Tube>,
    /// The circuits, as drawn (identical ones once).
    pub circuits: Vec<Circuit>,
    /// What the file left out and what was taken instead.
    pub assumptions: Vec<Assumption>,
}

impl Job {
    /// The limit of that key (SI): the job's own where it gives one, else the default. For keys that stand in this crate's
    /// code alone: a test holds every one of them against the table. Any other is asked of [`refdata::limit`].
    #[must_use]
    pub(crate) fn limit(&self, key: &str) -> f64 {
        self.limits.get(key).copied().unwrap_or_else(|| refdata::limit(key).map_or(f64::NAN, |limit| limit.value))
    }
}

/// The title block of a drawing, as the job gives it.
#[derive(Clone, Debug, Default)]
pub struct TitleBlock {
    /// The job's number.
    pub number: Option<String>,
    /// The revision.
    pub revision: Option<String>,
    /// Who drew or checks it.
    pub by: Option<String>,
    /// The date of the revision.
    pub date: Option<String>,
}

/// The place.
#[derive(Clone, Debug)]
pub struct Site {
    /// Altitude over the sea.
    pub altitude: Length,
    /// Atmospheric pressure at the altitude (ISO 2533).
    pub atmosphere: Pressure,
    /// Design outdoor dry-bulb.
    pub summer: Temperature,
    /// Lowest outdoor dry-bulb at which it must run.
    pub winter: Temperature,
    /// Warm air returning to the coil: air on = outdoor + this.
    pub recirculation: TemperatureDifference,
    /// Temperature at which the tube is installed.
    pub installed: Temperature,
    /// Whose codes govern.
    pub code: Code,
}

/// A room that lines pass through.
#[derive(Clone, Debug)]
pub struct Room {
    /// Its name, as the runs call it.
    pub name: String,
    /// Its volume.
    pub volume: Volume,
    /// Whether people are in it.
    pub occupied: bool,
    /// Whether it is a machinery room, as the code has it.
    pub machinery_room: bool,
    /// Its emergency ventilation, where known.
    pub ventilation: Option<VolumeRate>,
    /// Whether a refrigerant detector starts that, where said.
    pub detector: Option<bool>,
}

/// An operating point of the user's own.
#[derive(Clone, Debug)]
pub struct OwnPoint {
    /// Its name.
    pub name: String,
    /// Outdoor dry-bulb.
    pub outdoor: Temperature,
    /// Share of full displacement, above 0 to 1.
    pub share: f64,
    /// Whether the hot-gas bypass is open.
    pub bypass: bool,
}

/// What an assumption is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Concerns {
    /// The circuits alone.
    Circuits,
    /// The place and the plant: the circuits, the roof and the year.
    Plant,
    /// The roof alone.
    Roof,
    /// The year alone.
    Year,
}

/// A value taken because the file does not give it.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What it is of.
    pub concerns: Concerns,
    /// The key it stands for, as a path: `circuit 1A condenser.pressure_drop`.
    pub key: String,
    /// The value, in `unit`.
    pub value: f64,
    /// SI unit, or `-`.
    pub unit: String,
    /// Of what kind the value is; none of a number in a unit of its own.
    pub kind: Option<Kind>,
    /// The value in words, where they say it better than the number: `sea level`.
    pub says: String,
    /// Why this value, in a few words.
    pub why: String,
    /// Its source key in `sources.toml`.
    pub source: String,
}

/// One refrigerant circuit.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// Its name.
    pub name: String,
    /// The chiller it belongs to.
    pub module: String,
    /// Its refrigerant, ASHRAE 34 number, present in `refrigerant`.
    pub refrigerant: String,
    /// How many identical circuits there are.
    pub copies: u32,
    /// The room in which the chiller stands, a name in `Job::rooms`, where said.
    pub room: Option<String>,
    /// Design pressure of the high side, where given.
    pub design_pressure: Option<Pressure>,
    /// Relief valve of the receiver, else of the high side.
    pub relief: Relief,
    /// The compressors.
    pub compressors: Compressors,
    /// The evaporator.
    pub evaporator: Evaporator,
    /// The condenser.
    pub condenser: Condenser,
    /// The expansion valve.
    pub valve: Valve,
    /// From the compressors to the condenser.
    pub discharge: Line,
    /// From the condenser to the expansion valve.
    pub liquid: Line,
    /// Where its parts stand in the file.
    pub written: Written,
}

/// What is known of the relief valve.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "a job has a handful of circuits, read once")]
pub enum Relief {
    /// Nothing is said of one.
    NotGiven,
    /// There is none.
    None,
    /// It is given.
    Valve(ReliefValve),
}

impl Relief {
    /// The valve, where given.
    #[must_use]
    pub fn valve(&self) -> Option<&ReliefValve> {
        match self {
            Self::Valve(valve) => Some(valve),
            Self::NotGiven | Self::None => None,
        }
    }
}

/// A relief valve and its discharge line.
#[derive(Clone, Debug, PartialEq)]
pub struct ReliefValve {
    /// Pressure at which it opens.
    pub setting: Pressure,
    /// Stamped capacity of one valve, air, where known.
    pub capacity: Option<MassRate>,
    /// How many; two stand on a three-way valve, one at work.
    pub count: u32,
    /// Tube of its discharge line, where given.
    pub tube: Option<Tube>,
    /// Length of its discharge line, where given.
    pub length: Option<Length>,
    /// Fittings of its discharge line, by name in the reference data.
    pub fittings: Vec<(String, u32)>,
}

impl LineId {
    /// The line as drawn.
    #[must_use]
    pub fn of(self, circuit: &Circuit) -> &Line {
        match self {
            Self::Discharge => &circuit.discharge,
            Self::Liquid => &circuit.liquid,
        }
    }

    /// The line as drawn, to change it.
    pub fn of_mut(self, circuit: &mut Circuit) -> &mut Line {
        match self {
            Self::Discharge => &mut circuit.discharge,
            Self::Liquid => &mut circuit.liquid,
        }
    }
}

/// Lines of the job file, from 1, at which the parts of a circuit begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// The compressors' rating or map.
    pub rating: usize,
    /// The condenser.
    pub condenser: usize,
}
