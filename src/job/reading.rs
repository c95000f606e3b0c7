//! The quantities that are read at a machine.

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
    /// What the discharge line loses, from the compressors to the condenser.
    DischargeDrop,
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
    /// Temperature of the liquid as it leaves the condenser.
    CondenserOut,
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
        Self::DischargeDrop,
        Self::SuctionPressure,
        Self::SuctionTemperature,
        Self::LiquidPressure,
        Self::LiquidTemperature,
        Self::ValvePressure,
        Self::ValveTemperature,
        Self::ValveOpen,
        Self::DrierOut,
        Self::CondenserOut,
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
            Self::DischargeDrop => "discharge_drop",
            Self::SuctionPressure => "suction.pressure",
            Self::SuctionTemperature => "suction.temperature",
            Self::LiquidPressure => "liquid.pressure",
            Self::LiquidTemperature => "liquid.temperature",
            Self::ValvePressure => "valve.pressure",
            Self::ValveTemperature => "valve.temperature",
            Self::ValveOpen => "valve.open",
            Self::DrierOut => "drier_out",
            Self::CondenserOut => "condenser_out",
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
            Self::DischargeDrop => "discharge line's drop",
            Self::SuctionPressure => "suction pressure",
            Self::SuctionTemperature => "suction temperature",
            Self::LiquidPressure => "liquid pressure",
            Self::LiquidTemperature => "liquid temperature",
            Self::ValvePressure => "pressure at valve",
            Self::ValveTemperature => "temperature at valve",
            Self::ValveOpen => "valve opening",
            Self::DrierOut => "temperature after drier",
            Self::CondenserOut => "liquid off condenser",
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
            | Self::DischargeDrop
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

    /// Whether it is seen, and no instrument's.
    #[must_use]
    pub const fn is_seen(self) -> bool {
        matches!(self, Self::Fans | Self::SightGlass | Self::ReceiverLevel | Self::Coil)
    }

    /// Whether it is a difference of pressures, not one over the air.
    #[must_use]
    pub const fn is_difference(self) -> bool {
        matches!(self, Self::DischargeDrop)
    }
}
