//! What a solved job holds. SI base units, the unit in the name; the names are those of the JSON answer.

use crate::job::{Job, LineId};
use crate::refrigerant::OutOfRange;
use schemars::JsonSchema;
use serde::Serialize;

/// An operating point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PointId {
    /// The compressors' rating, at which no plant runs.
    Rating,
    /// All compressors on the design day.
    SummerFull,
    /// The minimum share of them on the design day.
    SummerMinimum,
    /// All compressors on the coldest day.
    WinterFull,
    /// The minimum share of them on the coldest day.
    WinterMinimum,
    /// One of the job's own, by its index.
    Own(usize),
}

impl PointId {
    /// Its name in reports and answers.
    #[must_use]
    pub fn name(self, job: &Job) -> &str {
        match self {
            Self::Rating => "rating",
            Self::SummerFull => "summer full",
            Self::SummerMinimum => "summer minimum",
            Self::WinterFull => "winter full",
            Self::WinterMinimum => "winter minimum",
            Self::Own(index) => job.points.get(index).map_or("", |point| &point.name),
        }
    }

    /// Whether the plant runs there: it never does at the compressors' rating.
    #[must_use]
    pub fn is_running(self) -> bool {
        self != Self::Rating
    }

    /// Whether it is on the design day.
    #[must_use]
    pub fn is_summer(self) -> bool {
        matches!(self, Self::SummerFull | Self::SummerMinimum)
    }
}

/// A point without a solution.
#[derive(Clone, Debug)]
pub struct Unsolved {
    /// The operating point.
    pub id: PointId,
    /// Its name.
    pub name: String,
    /// Why, in a sentence.
    pub why: Why,
}

/// Why a point has no solution.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// The condenser can't reject the heat at any condensing temperature in the range.
    NeverCondenses {
        /// Highest discharge pressure that was tried.
        top_Pa: f64,
    },
    /// The condensing temperature falls to the evaporating temperature.
    FallsToSuction {
        /// Evaporating temperature.
        evaporating_K: f64,
    },
    /// A line loses so much that its pressure leaves the refrigerant's range.
    LineTooSmall {
        /// The line.
        line: LineId,
        /// Number of the run.
        run: usize,
    },
    /// A property was required outside its range.
    OutOfRange(OutOfRange),
    /// No balance was found, in words.
    NoBalance(String),
}

/// One operating point, solved.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Point {
    /// Which it is.
    #[serde(skip)]
    pub id: PointId,
    /// Its name.
    pub name: String,
    /// Outdoor dry-bulb.
    pub outdoor_K: f64,
    /// Air on the coil.
    pub air_on_K: f64,
    /// Share of full displacement that runs.
    pub compressor_share: f64,
    /// Share of the flow that the hot-gas bypass takes.
    pub bypass_share: f64,
    /// Evaporating temperature, dew, at the evaporator's outlet.
    pub evaporating_K: f64,
    /// Condensing temperature, dew, at the condenser's inlet.
    pub condensing_K: f64,
    /// Cooling capacity.
    pub capacity_W: f64,
    /// Compressor power.
    pub power_W: f64,
    /// Heat rejected by the condenser.
    pub rejection_W: f64,
    /// Flow of the compressors; the lines carry (1 - bypass) of it.
    pub mass_flow_kg_s: f64,
    /// Share of the air flow that the head control leaves.
    pub air_share: f64,
    /// Share of the coil that the head control floods.
    pub flooded_share: f64,
    /// Whether the valve, though wide open, passes less than the compressors would take.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub starved: bool,
    /// Share of the evaporator's surface that only heats gas then: where the search for one that is like it begins.
    #[serde(skip)]
    pub dry_share: Option<f64>,
    /// Leaving fluid of an evaporator that starves: warmer than it should.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaving_K: Option<f64>,
    /// Cooling capacity of an evaporator that starves at `summer full`, at the leaving fluid that the job requires.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_at_leaving_W: Option<f64>,
    /// Whether a fixed restriction passes more than the compressors take, even without superheat: liquid comes back to them.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub flooded: bool,
    /// Pressure difference across the valve, wide open, at which it passes the flow of this point.
    #[serde(skip)]
    pub valve_requires_Pa: f64,
    /// States round the circuit.
    pub state: States,
    /// From the compressors to the condenser.
    pub discharge_line: LineAnswer,
    /// From the condenser to the valve.
    pub liquid_line: LineAnswer,
}

impl Point {
    /// That line.
    #[must_use]
    pub fn line(&self, line: LineId) -> &LineAnswer {
        match line {
            LineId::Discharge => &self.discharge_line,
            LineId::Liquid => &self.liquid_line,
        }
    }
}

/// States round the circuit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct States {
    /// Compressor inlet.
    pub suction: StateAnswer,
    /// Compressor outlet.
    pub discharge: StateAnswer,
    /// Condenser inlet.
    pub condenser_inlet: StateAnswer,
    /// Condenser outlet.
    pub condenser_outlet: StateAnswer,
    /// Expansion valve inlet.
    pub valve_inlet: StateAnswer,
}

/// A state of the refrigerant.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct StateAnswer {
    /// Absolute pressure.
    pub pressure_Pa: f64,
    /// Temperature.
    pub temperature_K: f64,
    /// Density.
    pub density_kg_m3: f64,
    /// Enthalpy (200 kJ/kg for bubble liquid at 0 °C).
    pub enthalpy_J_kg: f64,
    /// Dynamic viscosity.
    pub viscosity_Pa_s: f64,
    /// Mass share of vapour, where the state is two-phase.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quality: Option<f64>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde passes it")]
fn is_nothing(heat: &f64) -> bool {
    *heat == 0.0
}

/// A line at an operating point.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LineAnswer {
    /// Flow in the line.
    pub flow_kg_s: f64,
    /// Heat that leaves the refrigerant to the air round it.
    pub heat_W: f64,
    /// Heat that mechanical subcoolers take.
    #[serde(skip_serializing_if = "is_nothing")]
    pub subcooled_W: f64,
    /// Length of tube.
    pub length_m: f64,
    /// With fittings, traps and the parts that count as length.
    pub equivalent_length_m: f64,
    /// Net climb.
    pub rise_m: f64,
    /// Loss by friction in tube and fittings.
    pub friction_Pa: f64,
    /// Loss in parts.
    pub parts_Pa: f64,
    /// Static head, positive where the flow climbs.
    pub static_Pa: f64,
    /// Inlet less outlet.
    pub pressure_drop_Pa: f64,
    /// Friction and parts as saturation temperature: dew in gas, bubble in liquid.
    pub saturation_drop_K: f64,
    /// Subcooling with which liquid enters a liquid line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inlet_subcooling_K: Option<f64>,
    /// Least bubble temperature less temperature along a liquid line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_subcooling_K: Option<f64>,
    /// Number of the run in which that is; 0 at the line's inlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_subcooling_run: Option<usize>,
    /// The runs in order of flow.
    pub runs: Vec<RunAnswer>,
}

/// A run at an operating point.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RunAnswer {
    /// Number, from 1.
    pub index: usize,
    /// `level`, `rise`, `fall` or `part`.
    pub path: &'static str,
    /// Name of the part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Length of tube.
    pub length_m: f64,
    /// With fittings, of the largest tube that flows.
    pub equivalent_length_m: f64,
    /// The parallel tubes, smallest bore first.
    pub tubes: Vec<PipeAnswer>,
    /// Loss by friction; of a part, its loss.
    pub friction_Pa: f64,
    /// Static head.
    pub static_Pa: f64,
    /// Heat that leaves the refrigerant.
    pub heat_W: f64,
    /// Refrigerant in its tubes; of a part nothing is counted.
    pub charge_kg: f64,
    /// Oil lift of a rise in gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_lift: Option<OilLift>,
    /// Warmest temperature of the refrigerant in it.
    #[serde(skip)]
    pub warmest_K: f64,
    /// State at its outlet.
    pub out: OutState,
}

/// Oil lift of a rise.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct OilLift {
    /// Flow over the minimum flow that lifts oil, in the worst open tube.
    pub ratio: f64,
}

/// One of a run's parallel tubes.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PipeAnswer {
    /// Trade name.
    pub size: String,
    /// Inside diameter.
    pub bore_m: f64,
    /// Flow in it; 0 where oil seals it.
    pub flow_kg_s: f64,
    /// Mean velocity over the length.
    pub velocity_m_s: f64,
    /// Reynolds number at mid-length.
    pub reynolds: f64,
    /// Darcy friction factor such that f L/D G v/2 is the loss; 0 without flow.
    pub friction_factor: f64,
    /// Least flow that lifts oil, in a rise of gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_minimum_flow_kg_s: Option<f64>,
    /// Whether oil seals it at this point.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub sealed: bool,
}

/// State at a run's outlet.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct OutState {
    /// The state.
    #[serde(flatten)]
    pub state: StateAnswer,
    /// Bubble temperature less temperature, in a liquid line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub subcooling_K: Option<f64>,
    /// Temperature less dew temperature, in a discharge line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub superheat_K: Option<f64>,
}

/// What the design day leaves of the capacity.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Derating {
    /// Capacity at the rating.
    pub rated_W: f64,
    /// Capacity at `summer full`.
    pub at_design_W: f64,
    /// Their ratio.
    pub share: f64,
    /// Causes, which add up to the difference.
    pub steps: Vec<Step>,
    /// Capacity over outdoor temperature, from 60 F to the highest.
    pub curve: Vec<CurvePoint>,
    /// Outdoor temperature at which the cut-out trips (or the refrigerant's range ends), all compressors running.
    pub highest_outdoor_K: f64,
    /// Whether that is the cut-out; else it is where the refrigerant's data end.
    pub highest_is_cutout: bool,
}

/// A cause of derating.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Step {
    /// The cause.
    pub cause: String,
    /// What it changes.
    pub change_W: f64,
}

/// A point of the capacity curve.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct CurvePoint {
    /// Outdoor dry-bulb.
    pub outdoor_K: f64,
    /// Capacity.
    pub capacity_W: f64,
    /// Power.
    pub power_W: f64,
    /// Condensing temperature.
    pub condensing_K: f64,
}
