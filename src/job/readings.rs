//! What a technician reads at a chiller: one set of readings, as typed.

use super::points::Point;
use std::collections::BTreeMap;

/// A quantity that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reading {
    /// Outdoor dry-bulb.
    Outdoor,
    /// Air on the coil.
    AirOn,
    /// Air off the coil.
    AirOff,
    /// Discharge pressure at the compressors.
    DischargePressure,
    /// Discharge temperature at the compressors.
    DischargeTemperature,
    /// Suction pressure at the compressors.
    SuctionPressure,
    /// Suction temperature at the compressors.
    SuctionTemperature,
    /// Liquid pressure.
    LiquidPressure,
    /// Liquid temperature.
    LiquidTemperature,
    /// Pressure at the valve's inlet.
    ValvePressure,
    /// Temperature at the valve's inlet.
    ValveTemperature,
    /// Share of its stroke that the valve is open.
    ValveOpen,
    /// Temperature just after the drier.
    DrierOut,
    /// Fluid that enters the evaporator.
    EnteringFluid,
    /// Fluid that leaves it.
    LeavingFluid,
    /// Flow of the fluid.
    FluidFlow,
    /// Power of the compressors.
    Power,
    /// Share of the condenser's fans.
    Fans,
    /// Bubbles in the sight glass: 1, clear: 0.
    SightGlass,
    /// Level in the receiver, a share.
    ReceiverLevel,
    /// The coil looked at: dirty 1, clean 0.
    Coil,
    /// The bypass line downstream of its valve: hot 1, cold 0.
    BypassLine,
    /// Pressure at a stop.
    StoppedPressure,
}

impl Reading {
    /// All of them, in the order in which they are shown.
    pub const ALL: &'static [Self] = &[
        Self::DischargePressure,
        Self::DischargeTemperature,
        Self::SuctionPressure,
        Self::SuctionTemperature,
        Self::LiquidPressure,
        Self::LiquidTemperature,
        Self::ValvePressure,
        Self::ValveTemperature,
        Self::ValveOpen,
        Self::DrierOut,
        Self::Outdoor,
        Self::AirOn,
        Self::AirOff,
        Self::EnteringFluid,
        Self::LeavingFluid,
        Self::FluidFlow,
        Self::Power,
        Self::Fans,
        Self::SightGlass,
        Self::ReceiverLevel,
        Self::Coil,
        Self::BypassLine,
        Self::StoppedPressure,
    ];

    /// Its key, dotted.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Outdoor => "outdoor",
            Self::AirOn => "air_on",
            Self::AirOff => "air_off",
            Self::DischargePressure => "discharge.pressure",
            Self::DischargeTemperature => "discharge.temperature",
            Self::SuctionPressure => "suction.pressure",
            Self::SuctionTemperature => "suction.temperature",
            Self::LiquidPressure => "liquid.pressure",
            Self::LiquidTemperature => "liquid.temperature",
            Self::ValvePressure => "valve.pressure",
            Self::ValveTemperature => "valve.temperature",
            Self::ValveOpen => "valve.open",
            Self::DrierOut => "drier_out",
            Self::EnteringFluid => "entering_fluid",
            Self::LeavingFluid => "leaving_fluid",
            Self::FluidFlow => "fluid_flow",
            Self::Power => "power",
            Self::Fans => "fans",
            Self::SightGlass => "sight_glass",
            Self::ReceiverLevel => "receiver_level",
            Self::Coil => "coil",
            Self::BypassLine => "bypass_line",
            Self::StoppedPressure => "stopped.pressure",
        }
    }

    /// In words.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Outdoor => "outdoor air",
            Self::AirOn => "air on the coil",
            Self::AirOff => "air off the coil",
            Self::DischargePressure => "discharge pressure",
            Self::DischargeTemperature => "discharge temperature",
            Self::SuctionPressure => "suction pressure",
            Self::SuctionTemperature => "suction temperature",
            Self::LiquidPressure => "liquid pressure",
            Self::LiquidTemperature => "liquid temperature",
            Self::ValvePressure => "pressure at valve",
            Self::ValveTemperature => "temperature at valve",
            Self::ValveOpen => "valve opening",
            Self::DrierOut => "temperature after drier",
            Self::EnteringFluid => "entering fluid",
            Self::LeavingFluid => "leaving fluid",
            Self::FluidFlow => "fluid flow",
            Self::Power => "compressor power",
            Self::Fans => "fans turning",
            Self::SightGlass => "sight glass",
            Self::ReceiverLevel => "receiver level",
            Self::Coil => "coil face",
            Self::BypassLine => "bypass line",
            Self::StoppedPressure => "pressure at a stop",
        }
    }

    /// SI unit of its value.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::DischargePressure
            | Self::SuctionPressure
            | Self::LiquidPressure
            | Self::ValvePressure
            | Self::StoppedPressure => "Pa",
            Self::FluidFlow => "m3/s",
            Self::Power => "W",
            Self::ValveOpen | Self::Fans | Self::SightGlass | Self::ReceiverLevel | Self::Coil | Self::BypassLine => {
                "-"
            }
            _ => "K",
        }
    }
}

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
pub struct Place {
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
    pub discharge: Place,
    /// Suction.
    pub suction: Place,
    /// Liquid.
    pub liquid: Place,
    /// Where the liquid is read.
    pub liquid_at: LiquidAt,
    /// At the valve's inlet.
    pub valve: Place,
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
    /// What is said of the columns of a trend, by their names.
    pub columns: BTreeMap<String, ColumnSaid>,
}
