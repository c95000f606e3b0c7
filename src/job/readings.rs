//! What a technician reads at a chiller: one set of readings, as typed.

use super::points::Point;
use super::reading::Reading;
use std::collections::BTreeMap;

/// What a reading is taken with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Instrument {
    /// The chiller's own sensor, on its screen.
    Screen,
    /// A gauge with a needle.
    Gauge,
    /// A digital manifold.
    Digital,
    /// A clamp on the pipe.
    Clamp,
    /// A sensor in a well.
    Well,
}

impl Instrument {
    /// Its word in a file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Screen => "screen",
            Self::Gauge => "gauge",
            Self::Digital => "digital",
            Self::Clamp => "clamp",
            Self::Well => "well",
        }
    }
}

/// A value as read, SI; pressures absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Read {
    /// The value.
    pub value: f64,
    /// The last digit that was read.
    pub step: f64,
}

/// The line that a saturated temperature belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Saturation {
    /// Last liquid.
    Dew,
    /// First gas.
    Bubble,
    /// Half way between.
    Mid,
}

/// Pressure and temperature at a place, as pressure or as what a screen makes of it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Station {
    /// Pressure, Pa absolute.
    pub pressure: Option<Read>,
    /// Saturated temperature in its place, K, and its line.
    pub saturated: Option<(Read, Saturation)>,
    /// Temperature, K.
    pub temperature: Option<Read>,
    /// Superheat or subcooling in its place, K.
    pub margin: Option<Read>,
    /// What the pressure is read with.
    pub pressure_by: Option<Instrument>,
    /// What the temperature is read with.
    pub temperature_by: Option<Instrument>,
}

/// Where the liquid is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LiquidAt {
    /// At the chiller, before the parts at the end of the line.
    #[default]
    Machine,
    /// Where it leaves the condenser.
    Condenser,
    /// Where it leaves the receiver.
    Receiver,
}

/// What runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Runs {
    /// So many compressors.
    Count(u32),
    /// A share of full displacement.
    Share(f64),
}

/// One set of readings.
#[derive(Clone, Debug, Default)]
pub struct Set {
    /// Its title.
    pub title: Option<String>,
    /// The circuit, by name.
    pub circuit: Option<String>,
    /// Discharge.
    pub discharge: Station,
    /// Suction.
    pub suction: Station,
    /// Liquid.
    pub liquid: Station,
    /// Where the liquid is read.
    pub liquid_at: LiquidAt,
    /// At the valve's inlet.
    pub valve: Station,
    /// At a stop: pressure, and the air.
    pub stopped: Option<(Read, f64)>,
    /// Everything else.
    pub values: BTreeMap<Reading, Read>,
    /// Whether the power follows from amperes and volts.
    pub power_by_amps: bool,
    /// Compressors running.
    pub running: Option<Runs>,
    /// Whether the controller calls for an open hot-gas bypass.
    pub bypass: Option<bool>,
    /// How many fans there are, where counted.
    pub fans_of: Option<u32>,
}

/// What an accuracy is given for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stated {
    /// A reading.
    Of(Reading),
    /// Pressures by an instrument.
    Pressures(Instrument),
    /// Temperatures by an instrument.
    Temperatures(Instrument),
}

/// What is said of a column of a trend.
#[derive(Clone, Debug, Default)]
pub struct ColumnSaid {
    /// What it is; none where it is left out.
    pub point: Option<Point>,
    /// Its unit.
    pub unit: Option<String>,
    /// What its numbers are multiplied with.
    pub scale: Option<f64>,
    /// How long a value that is logged on change holds, s.
    pub hold: Option<f64>,
}

/// What is not known of the job that readings belong to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unknown {
    /// The rating of the condenser.
    pub condenser: bool,
    /// The lines, or how high the condenser stands.
    pub lines: bool,
}

/// A file of readings.
#[derive(Clone, Debug, Default)]
pub struct Readings {
    /// The set to explain.
    pub set: Set,
    /// A set from when it ran well.
    pub healthy: Option<Set>,
    /// Accuracies given, 95 %, SI.
    pub accuracy: BTreeMap<Stated, f64>,
    /// What was taken how.
    pub taken: Vec<String>,
    /// Some pressures say neither gauge nor absolute.
    pub bare: bool,
    /// What is said of the columns of a trend, by their names.
    pub columns: BTreeMap<String, ColumnSaid>,
    /// What is not known of the job.
    pub unknown: Unknown,
}
