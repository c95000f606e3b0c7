//! The job as meant: checked, in SI, without options that are not options in the world.

use super::{Line, LineId, Plant, Roof, Xy};
use crate::physics::plane;
pub use crate::refdata::Code;
use crate::refdata::{self, Tube};
use crate::units::{
    Kind, Length, MassRate, Power, Pressure, PressureDifference, System, Temperature, TemperatureDifference, Volume,
    VolumeRate,
};
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

/// The compressors of a circuit, equal and in parallel.
#[derive(Clone, Debug)]
pub struct Compressors {
    /// How many.
    pub count: u32,
    /// Lowest share of full displacement that runs, above 0 to 1.
    pub minimum_share: f64,
    /// The conditions of the rating.
    pub rated_at: RatedAt,
    /// What is known of them.
    pub performance: Performance,
    /// Hot-gas bypass.
    pub bypass: Bypass,
    /// Most that the manufacturer allows the gas that leaves them, where known.
    pub discharge_limit: Option<Temperature>,
    /// Corners of the manufacturer's envelope, suction and condensing (dew), in order; none where it is not known.
    pub envelope: Vec<[Temperature; 2]>,
    /// Oil, as typed.
    pub oil: Option<String>,
}

/// How far past the edge of an envelope still counts as on it, K: no controller sees it.
const EDGE: f64 = 0.05;

impl Compressors {
    /// Whether the manufacturer's envelope holds that evaporating and that condensing temperature (K, dew); true where none is known.
    #[must_use]
    pub fn allows(&self, evaporating: f64, condensing: f64) -> bool {
        let corners: Vec<Xy> = self.envelope.iter().map(|[x, y]| Xy::new(x.kelvin(), y.kelvin())).collect();
        let at = Xy::new(evaporating, condensing);
        corners.is_empty() || plane::within(&corners, at) || plane::to_sides(&corners, at) <= EDGE
    }
}

/// The conditions of the compressor rating, at the compressor's terminals.
#[derive(Clone, Copy, Debug)]
pub struct RatedAt {
    /// Evaporating temperature, dew.
    pub suction: Temperature,
    /// Condensing temperature, dew.
    pub condensing: Temperature,
    /// Superheat of the suction gas.
    pub superheat: TemperatureDifference,
    /// Subcooling below the bubble temperature at the discharge pressure.
    pub subcooling: TemperatureDifference,
}

/// What is known of the compressors.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "a job has a handful of circuits, read once")]
pub enum Performance {
    /// One rated point, all compressors together.
    Rating {
        /// Capacity.
        capacity: Power,
        /// Power at the terminals.
        power: Power,
    },
    /// Ten-coefficient polynomials (AHRI 540) for one compressor.
    Map(Map),
}

/// Ten-coefficient polynomials of one compressor in saturated suction S and discharge D (dew):
/// X = c1 + c2 S + c3 D + c4 S2 + c5 S D + c6 D2 + c7 S3 + c8 D S2 + c9 S D2 + c10 D3.
#[derive(Clone, Debug)]
pub struct Map {
    /// Whether S and D are in F; else in °C.
    pub fahrenheit: bool,
    /// Mass flow: coefficients and the factor to kg/s.
    pub flow: Option<Polynomial>,
    /// Capacity: coefficients and the factor to W. At least one of flow and capacity is present.
    pub capacity: Option<Polynomial>,
    /// Power: coefficients and the factor to W.
    pub power: Polynomial,
}

/// Ten coefficients and the factor that takes the result to SI.
#[derive(Clone, Copy, Debug)]
pub struct Polynomial {
    /// c1 to c10.
    pub coefficients: [f64; 10],
    /// The factor to the SI base unit.
    pub to_si: f64,
}

/// When hot-gas bypass is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BypassWhen {
    /// Never.
    Never,
    /// At the minimum share.
    Minimum,
    /// At every point but the rating.
    Always,
}

/// Hot-gas bypass: a share of the flow that never leaves the chiller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bypass {
    /// The share, 0 to below 1.
    pub share: f64,
    /// When it is open.
    pub when: BypassWhen,
}

/// What holds the evaporating temperature.
#[derive(Clone, Copy, Debug)]
pub enum Evaporating {
    /// Held.
    Held(Temperature),
    /// Leaving fluid less approach x capacity / rated capacity.
    Approach {
        /// Leaving fluid.
        leaving: Temperature,
        /// Approach at the rated capacity.
        approach: TemperatureDifference,
        /// Entering less leaving fluid at the rated capacity.
        range: TemperatureDifference,
    },
}

/// The evaporator.
#[derive(Clone, Copy, Debug)]
pub struct Evaporator {
    /// What holds the evaporating temperature.
    pub evaporating: Evaporating,
    /// Superheat at its outlet, which is the suction state.
    pub superheat: TemperatureDifference,
    /// Internal volume on the refrigerant's side, where known.
    pub volume: Option<Volume>,
}

/// How the head pressure is kept up in the cold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeadControl {
    /// Not at all.
    None,
    /// By fans.
    Fans {
        /// Lowest condensing temperature kept, dew.
        setpoint: Temperature,
        /// Least share of the air flow.
        minimum_air: f64,
    },
    /// By backing up liquid.
    Flooding {
        /// Lowest condensing temperature kept, dew.
        setpoint: Temperature,
    },
}

/// The remote condenser.
#[derive(Clone, Debug)]
pub struct Condenser {
    /// Total heat rejection at `td`.
    pub rejection: Power,
    /// Condensing (dew, at the inlet) less entering air, at the rating.
    pub td: TemperatureDifference,
    /// Air flow by volume at full speed, where known.
    pub air_flow: Option<VolumeRate>,
    /// Altitude of the rating.
    pub rated_altitude: Length,
    /// Refrigerant-side loss at the rated flow.
    pub pressure_drop: PressureDifference,
    /// Subcooling of the liquid that leaves it.
    pub subcooling: TemperatureDifference,
    /// Of its connections over the chiller's; negative below.
    pub elevation: Length,
    /// Internal volume, where known.
    pub volume: Option<Volume>,
    /// Warm air returning to this coil, where given for it; else that of the site.
    pub recirculation: Option<TemperatureDifference>,
    /// Power of its fans at full speed, where known.
    pub fan_power: Option<Power>,
    /// High-pressure switch, where known.
    pub cutout: Option<Pressure>,
    /// Head-pressure control.
    pub head_control: HeadControl,
    /// Whether it can be shut off at inlet and outlet.
    pub stop_valves: bool,
    /// How many equal coils in parallel it is made of.
    pub coils: u32,
    /// The drop legs from the coils to their common line, where drawn.
    pub legs: Option<Legs>,
}

/// Drop legs: one down from the outlet of each of several coils in parallel to their common liquid line.
#[derive(Clone, Debug, PartialEq)]
pub struct Legs {
    /// How far each falls before it joins the others.
    pub height: Length,
    /// Its tube.
    pub tube: Tube,
    /// Level tube of each, to where it joins.
    pub level: Length,
    /// Fittings of each, by name in the reference data.
    pub fittings: Vec<(String, u32)>,
}

/// Kind of expansion valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveKind {
    /// Electronic.
    Electronic,
    /// Thermostatic.
    Thermostatic,
    /// A fixed restriction, an orifice or a capillary tube: always wide open.
    Fixed,
}

/// The expansion valve.
#[derive(Clone, Copy, Debug)]
pub struct Valve {
    /// Its kind.
    pub kind: ValveKind,
    /// Least subcooling that must arrive.
    pub subcooling: TemperatureDifference,
    /// Least pressure difference for full capacity, where known.
    pub minimum_drop: Option<PressureDifference>,
}
