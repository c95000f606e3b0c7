//! Quantities and their text.
//!
//! The only module that names `uom`. A quantity holds SI base units; `.value` is the number.
//! Two things `uom` cannot tell apart have types of their own here: an absolute pressure is not a pressure
//! difference, and a temperature is not a temperature difference.

mod apart;
pub mod factor;
mod kind;
mod number;
mod parse;
mod show;
pub mod spelling;
pub mod words;

pub use kind::Kind;
pub(crate) use number::{head, plain};
pub use parse::{Misread, as_gauge, quantity, unit_factor, without_unit};
pub use show::System;
pub use uom::si::f64::{
    Acceleration, Area, DynamicViscosity, Energy, HeatTransfer, Length, Mass, MassDensity, MassRate, Power,
    TemperatureInterval as TemperatureDifference, ThermalConductivity, Time, Velocity, Volume, VolumeRate,
};

/// A difference of pressure, a loss or a stress, Pa.
pub type PressureDifference = uom::si::f64::Pressure;

/// A temperature on the absolute scale, K.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From kelvin.
    #[must_use]
    pub const fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin)
    }

    /// In kelvin.
    #[must_use]
    pub const fn kelvin(self) -> f64 {
        self.0
    }
}

/// An absolute pressure, Pa.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Pressure(f64);

impl Pressure {
    /// From pascals, absolute.
    #[must_use]
    pub const fn from_pascals(pascals: f64) -> Self {
        Self(pascals)
    }

    /// In pascals, absolute.
    #[must_use]
    pub const fn pascals(self) -> f64 {
        self.0
    }
}

/// What is made from its value in SI.
pub trait Si {
    /// Its SI unit; empty for a plain number, which may be of any.
    const UNIT: &'static str;
    /// From its value.
    fn from_si(value: f64) -> Self;
}

impl Si for f64 {
    const UNIT: &'static str = "";
    fn from_si(value: f64) -> Self {
        value
    }
}

impl Si for Temperature {
    const UNIT: &'static str = "K";
    fn from_si(value: f64) -> Self {
        Self(value)
    }
}

impl Si for Pressure {
    const UNIT: &'static str = "Pa";
    fn from_si(value: f64) -> Self {
        Self(value)
    }
}

macro_rules! si_constructors {
    ($($(#[$doc:meta])* $name:ident, $quantity:ty, $unit:path, $symbol:literal;)*) => {
        $($(#[$doc])*
        #[must_use]
        pub fn $name(value: f64) -> $quantity {
            <$quantity>::new::<$unit>(value)
        }

        impl Si for $quantity {
            const UNIT: &'static str = $symbol;
            fn from_si(value: f64) -> Self {
                $name(value)
            }
        })*
    };
}

si_constructors! {
    /// A length from metres.
    metres, Length, uom::si::length::meter, "m";
    /// An area from square metres.
    square_metres, Area, uom::si::area::square_meter, "m2";
    /// A volume from cubic metres.
    cubic_metres, Volume, uom::si::volume::cubic_meter, "m3";
    /// A power from watts.
    watts, Power, uom::si::power::watt, "W";
    /// A temperature difference from kelvins.
    kelvins, TemperatureDifference, uom::si::temperature_interval::kelvin, "K";
    /// A pressure difference, loss or stress from pascals.
    pascals, PressureDifference, uom::si::pressure::pascal, "Pa";
    /// A velocity from metres per second.
    metres_per_second, Velocity, uom::si::velocity::meter_per_second, "m/s";
    /// A volume flow from cubic metres per second.
    cubic_metres_per_second, VolumeRate, uom::si::volume_rate::cubic_meter_per_second, "m3/s";
    /// A mass flow from kilograms per second.
    kilograms_per_second, MassRate, uom::si::mass_rate::kilogram_per_second, "kg/s";
    /// A density from kilograms per cubic metre.
    kilograms_per_cubic_metre, MassDensity, uom::si::mass_density::kilogram_per_cubic_meter, "kg/m3";
}
