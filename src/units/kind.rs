//! What a key, an option or a limit holds: the kind of quantity, how to say it, and how to show it.

use super::System;
use serde::Deserialize;

/// A kind of quantity. Kinds of the same dimension differ in what is usual to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A length of a run, a height.
    Length,
    /// A wall, a diameter, an insulation thickness.
    SmallLength,
    /// A temperature.
    Temperature,
    /// A temperature difference.
    Difference,
    /// A pressure, gauge or absolute.
    Pressure,
    /// A pressure over the atmosphere's, as of a tube's rating.
    Rating,
    /// A pressure difference, a loss.
    PressureDifference,
    /// A stress.
    Stress,
    /// A cooling capacity.
    Capacity,
    /// An electrical power.
    Power,
    /// A heat flow.
    Heat,
    /// A flow by volume.
    VolumeRate,
    /// The volume of a vessel.
    Volume,
    /// The volume of a room.
    RoomVolume,
    /// A velocity.
    Velocity,
    /// The speed of wind.
    Wind,
    /// A density.
    Density,
    /// Refrigerant in the air of a room.
    Concentration,
    /// A flow by mass.
    MassRate,
    /// A mass.
    Mass,
    /// A sound level, A-weighted where it is one number.
    Level,
    /// A ratio of two like quantities.
    Ratio,
    /// A share of a whole, shown in per cent.
    Share,
    /// Hours of a year.
    Hours,
}

impl Kind {
    /// In words, with its article.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Kind::Length => "a length",
            Kind::SmallLength => "a thickness or a diameter",
            Kind::Temperature => "a temperature",
            Kind::Difference => "a temperature difference",
            Kind::Pressure => "a pressure, gauge or absolute",
            Kind::Rating => "a gauge pressure",
            Kind::PressureDifference => "a pressure difference",
            Kind::Stress => "a stress",
            Kind::Capacity => "a cooling capacity",
            Kind::Power => "a power",
            Kind::Heat => "a heat flow",
            Kind::VolumeRate => "an air flow",
            Kind::Volume | Kind::RoomVolume => "a volume",
            Kind::Velocity => "a velocity",
            Kind::Wind => "a wind speed",
            Kind::Density => "a density",
            Kind::Concentration => "a concentration",
            Kind::MassRate => "a mass flow",
            Kind::Mass => "a mass",
            Kind::Level => "a sound level",
            Kind::Ratio => "a ratio",
            Kind::Share => "a share",
            Kind::Hours => "a number of hours",
        }
    }

    /// How one is written.
    #[must_use]
    pub const fn example(self, system: System) -> &'static str {
        let (ip, si) = match self {
            Kind::Length => ("38 ft", "11.6 m"),
            Kind::SmallLength => ("1/2 in", "13 mm"),
            Kind::Temperature => ("96 F", "35.5 °C"),
            Kind::Difference => ("10 F", "5.5 K"),
            Kind::Pressure => ("610 psig", "42 barg"),
            Kind::Rating => ("700 psig", "48 barg"),
            Kind::PressureDifference => ("2 psi", "14 kPa"),
            Kind::Stress => ("6000 psi", "41 MPa"),
            Kind::Capacity => ("40 ton", "140 kW"),
            Kind::Power => ("42 kW", "42 kW"),
            Kind::Heat => ("640 MBH", "190 kW"),
            Kind::VolumeRate => ("38000 cfm", "18 m3/s"),
            Kind::Volume => ("1.9 ft3", "54 L"),
            Kind::RoomVolume => ("9500 ft3", "270 m3"),
            Kind::Velocity => ("300 fpm", "1.5 m/s"),
            Kind::Wind => ("105 mph", "47 m/s"),
            Kind::Density => ("61.1 lb/ft3", "980 kg/m3"),
            Kind::Concentration => ("26.2 lb/1000 ft3", "420 g/m3"),
            Kind::MassRate => ("4000 lb/h", "0.5 kg/s"),
            Kind::Mass => ("1200 lb", "540 kg"),
            Kind::Level => ("55 dBA", "55 dBA"),
            Kind::Ratio => ("1.15", "1.15"),
            Kind::Share => ("0.8", "0.8"),
            Kind::Hours => ("88", "88"),
        };
        match system {
            System::Ip => ip,
            System::Si => si,
        }
    }

    /// The unit that it is usually written in.
    #[must_use]
    pub fn usual_unit(self, system: System) -> &'static str {
        let example = self.example(system);
        example.split_once(' ').map_or(example, |(_, unit)| unit)
    }

    /// An SI value of this kind as text; pressures are absolute and are shown as a gauge reads at that atmospheric
    /// pressure (Pa), ratings are over it.
    #[must_use]
    pub fn show(self, system: System, value: f64, atmosphere_pascals: f64) -> String {
        match self {
            Kind::Length => system.length(value),
            Kind::SmallLength => system.small_length(value),
            Kind::Temperature => system.temperature_exact(value),
            Kind::Difference => system.difference(value),
            Kind::Pressure => system.pressure_gauge(value, atmosphere_pascals),
            Kind::Rating => system.pressure_gauge(value, 0.0),
            Kind::PressureDifference => system.pressure_difference(value),
            Kind::Stress => system.stress(value),
            Kind::Capacity => system.capacity(value),
            Kind::Power => system.power(value),
            Kind::Heat => system.heat(value),
            Kind::VolumeRate => system.air_flow(value),
            Kind::Volume => system.volume(value),
            Kind::RoomVolume => system.room_volume(value),
            Kind::Velocity => system.velocity(value),
            Kind::Wind => system.wind(value),
            Kind::Density => system.density(value),
            Kind::Concentration => system.concentration(value),
            Kind::MassRate => system.mass_flow(value),
            Kind::Mass => system.mass(value),
            Kind::Level => system.level(value),
            Kind::Ratio => system.ratio(value),
            Kind::Share => system.percent(value),
            Kind::Hours => system.hours(value),
        }
    }

    /// The SI unit of its value.
    #[must_use]
    pub const fn si_unit(self) -> &'static str {
        match self {
            Kind::Length | Kind::SmallLength => "m",
            Kind::Temperature | Kind::Difference => "K",
            Kind::Pressure | Kind::Rating | Kind::PressureDifference | Kind::Stress => "Pa",
            Kind::Capacity | Kind::Power | Kind::Heat => "W",
            Kind::VolumeRate => "m3/s",
            Kind::Volume | Kind::RoomVolume => "m3",
            Kind::Velocity | Kind::Wind => "m/s",
            Kind::Density | Kind::Concentration => "kg/m3",
            Kind::MassRate => "kg/s",
            Kind::Mass => "kg",
            Kind::Level => "dB",
            Kind::Ratio | Kind::Share => "-",
            Kind::Hours => "h",
        }
    }

    /// Every kind that is written with a unit.
    pub const ALL: &'static [Kind] = &[
        Kind::Length,
        Kind::SmallLength,
        Kind::Temperature,
        Kind::Difference,
        Kind::Pressure,
        Kind::Rating,
        Kind::PressureDifference,
        Kind::Stress,
        Kind::Capacity,
        Kind::Power,
        Kind::Heat,
        Kind::VolumeRate,
        Kind::Volume,
        Kind::RoomVolume,
        Kind::Velocity,
        Kind::Wind,
        Kind::Density,
        Kind::MassRate,
        Kind::Mass,
        Kind::Level,
    ];
}
