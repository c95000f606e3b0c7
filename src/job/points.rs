//! What a column of a trend may be: a reading, or what else a diagnosis needs of it.

use super::reading::Reading;
use crate::units::Kind;

/// What a column is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// A reading.
    Of(Reading),
    /// Saturated temperature at the discharge, in the place of its pressure.
    DischargeSaturated,
    /// The same at the suction.
    SuctionSaturated,
    /// Superheat at the suction, in the place of its temperature.
    Superheat,
    /// Subcooling of the liquid, in the place of its temperature.
    Subcooling,
    /// A compressor that runs, or how many do; several add up.
    Running,
    /// Share of full displacement.
    Share,
    /// A fan that turns, or how many do; several add up.
    FansTurn,
    /// Current of the compressors.
    Amps,
    /// Voltage between phases.
    Volts,
    /// The controller calls for an open hot-gas bypass.
    Bypass,
    /// Where the wind comes from, degrees.
    WindFrom,
    /// Speed of the wind.
    WindSpeed,
}

/// All of them, the readings as far as they are logged.
pub const POINTS: &[Point] = &[
    Point::Of(Reading::DischargePressure),
    Point::Of(Reading::DischargeTemperature),
    Point::Of(Reading::SuctionPressure),
    Point::Of(Reading::SuctionTemperature),
    Point::Of(Reading::LiquidPressure),
    Point::Of(Reading::LiquidTemperature),
    Point::Of(Reading::ValvePressure),
    Point::Of(Reading::ValveTemperature),
    Point::Of(Reading::ValveOpen),
    Point::Of(Reading::DrierOut),
    Point::Of(Reading::CondenserOut),
    Point::Of(Reading::Outdoor),
    Point::Of(Reading::AirOn),
    Point::Of(Reading::AirOff),
    Point::Of(Reading::EnteringFluid),
    Point::Of(Reading::LeavingFluid),
    Point::Of(Reading::FluidFlow),
    Point::Of(Reading::Power),
    Point::Of(Reading::Fans),
    Point::Of(Reading::SightGlass),
    Point::Of(Reading::ReceiverLevel),
    Point::DischargeSaturated,
    Point::SuctionSaturated,
    Point::Superheat,
    Point::Subcooling,
    Point::Running,
    Point::Share,
    Point::FansTurn,
    Point::Amps,
    Point::Volts,
    Point::Bypass,
    Point::WindFrom,
    Point::WindSpeed,
];

/// What a number is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// A quantity with units.
    Quantity(Kind),
    /// Current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// Degrees of a compass.
    Compass,
    /// A share, or per cent of one.
    Share,
    /// A count, or on and off.
    Count,
}

impl Point {
    /// Its key.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.key(),
            Self::DischargeSaturated => "discharge.saturated",
            Self::SuctionSaturated => "suction.saturated",
            Self::Superheat => "suction.superheat",
            Self::Subcooling => "liquid.subcooling",
            Self::Running => "running",
            Self::Share => "share",
            Self::FansTurn => "fans.turn",
            Self::Amps => "amps",
            Self::Volts => "volts",
            Self::Bypass => "bypass",
            Self::WindFrom => "wind_from",
            Self::WindSpeed => "wind_speed",
        }
    }

    /// In words.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.says(),
            Self::DischargeSaturated => "condensing temperature",
            Self::SuctionSaturated => "evaporating temperature",
            Self::Superheat => "superheat",
            Self::Subcooling => "subcooling",
            Self::Running => "compressors running",
            Self::Share => "share of displacement",
            Self::FansTurn => "fans turning",
            Self::Amps => "compressor current",
            Self::Volts => "voltage",
            Self::Bypass => "hot-gas bypass",
            Self::WindFrom => "wind direction",
            Self::WindSpeed => "wind speed",
        }
    }

    /// SI unit of its value.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.unit(),
            Self::DischargeSaturated | Self::SuctionSaturated | Self::Superheat | Self::Subcooling => "K",
            Self::Amps => "A",
            Self::Volts => "V",
            Self::WindFrom => "deg",
            Self::WindSpeed => "m/s",
            Self::Running | Self::Share | Self::FansTurn | Self::Bypass => "-",
        }
    }

    /// What its numbers are of.
    #[must_use]
    pub fn measured(self) -> Measured {
        match self {
            Self::Superheat | Self::Subcooling => Measured::Quantity(Kind::Difference),
            Self::WindSpeed => Measured::Quantity(Kind::Wind),
            Self::Amps => Measured::Current,
            Self::Volts => Measured::Voltage,
            Self::WindFrom => Measured::Compass,
            Self::Running | Self::FansTurn | Self::Bypass | Self::Of(Reading::SightGlass) => Measured::Count,
            _ => match self.unit() {
                "Pa" => Measured::Quantity(Kind::Pressure),
                "K" => Measured::Quantity(Kind::Temperature),
                "W" => Measured::Quantity(Kind::Power),
                "m3/s" => Measured::Quantity(Kind::VolumeRate),
                _ => Measured::Share,
            },
        }
    }

    /// The point of a key.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        POINTS.iter().copied().find(|point| point.key() == key)
    }
}
