//! What a circuit is made of: compressors, evaporator, condenser, expansion valve.

use super::Xy;
use crate::physics::plane;
use crate::refdata::Tube;
use crate::units::{
    Length, Power, Pressure, PressureDifference, Temperature, TemperatureDifference, Volume, VolumeRate,
};

/// The compressors of a circuit, equal and in parallel.
#[derive(Clone, Debug)]
pub struct Compressors {
    /// How many.
    pub count: u32,
    /// Lowest share of full displacement that runs, 0.02 to 1.
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
    /// The share, 0 to 0.9.
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
