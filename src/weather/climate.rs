//! What a designer takes from a year of weather. SI base units but for hours, the unit in the name.

use super::calendar::Weekday;
use super::items::Header;
use super::record::{Location, Record};
use super::rose::Wind;
use super::year::{Format, Weather, mean};
use crate::physics::atmosphere;
use crate::units::{Pressure as Absolute, metres};
use schemars::JsonSchema;
use serde::Serialize;

/// The shares of the hours for which dry-bulbs are told, in per cent.
const PERCENTS: [f64; 5] = [0.4, 1.0, 2.0, 99.0, 99.6];

/// A year of weather in figures.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Climate {
    /// The file's name.
    pub file: String,
    /// How it is written.
    pub format: Format,
    /// Where the station stands.
    pub location: Location,
    /// What of the year the file tells.
    pub told: Summary,
    /// The first day of the file, where it says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_day: Option<&'static str>,
    /// Dry-bulbs.
    pub dry_bulb: DryBulb,
    /// Where the wind comes from.
    pub wind: Wind,
    /// Pressure at the station.
    pub pressure: Pressure,
    /// What the head of an EPW says, and what of any head cannot be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub header: Option<Header>,
}

/// What of a year a file tells.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Summary {
    /// Hours of the year.
    pub year_hours: f64,
    /// Hours with a temperature.
    pub hours: f64,
    /// Hours that the file lacks.
    pub absent_hours: f64,
    /// Hours that it holds without a temperature.
    pub without_dry_bulb_hours: f64,
    /// Records in an hour.
    pub records_per_hour: u32,
    /// Whether the year has 29 February.
    pub leap_year: bool,
    /// Whether the times are those at which the hours begin, against the custom of the format.
    pub times_begin_hours: bool,
}

/// Dry-bulbs of the year.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DryBulb {
    /// The mean of the year.
    pub mean_K: f64,
    /// What the hottest hours reach or exceed.
    pub exceeded: Vec<Exceeded>,
    /// The hottest record, the first of equals.
    pub highest: Option<Extreme>,
    /// The coldest record, the first of equals.
    pub lowest: Option<Extreme>,
}

/// A dry-bulb that is reached or exceeded.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Exceeded {
    /// In that share of the hours that have a temperature, per cent.
    pub percent: f64,
    /// The dry-bulb.
    pub dry_bulb_K: f64,
}

/// An extreme of the year.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Extreme {
    /// The dry-bulb.
    pub dry_bulb_K: f64,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
    /// Hour of the day in which it lies, 0 to 23.
    pub hour: u8,
}

/// Pressure at the station.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pressure {
    /// Hours that have one.
    pub hours: f64,
    /// Its mean.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_Pa: Option<f64>,
    /// The altitude at which the standard atmosphere has the mean.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answers_to_m: Option<f64>,
    /// What the standard atmosphere has at the station's elevation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard_at_station_Pa: Option<f64>,
    /// The mean over the standard pressure at the station, less one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_station: Option<f64>,
    /// The standard pressure at the station (the mean where its elevation is not known) over that of the job's site, less one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_site: Option<f64>,
    /// How much warmer than at the job's site the standard atmosphere is at the station.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warmer_than_site_K: Option<f64>,
}

impl Weather {
    /// The year in figures, the station's pressure held against that of the job's site.
    #[must_use]
    pub fn climate(&self, site: Absolute) -> Climate {
        Climate {
            file: self.file.clone(),
            format: self.format,
            location: self.location.clone(),
            told: Summary {
                year_hours: self.year_hours(),
                hours: self.hours(),
                absent_hours: self.absent_hours(),
                without_dry_bulb_hours: self.hours_of(self.missing_dry_bulbs()),
                records_per_hour: self.per_hour,
                leap_year: self.leap,
                times_begin_hours: self.times_begin_hours,
            },
            first_day: self.first_day.map(Weekday::name),
            dry_bulb: self.dry_bulb(),
            wind: self.wind(),
            pressure: self.pressure(site),
            header: (self.format == Format::Epw || !self.header.unread.is_empty()).then(|| self.header.clone()),
        }
    }

    fn dry_bulb(&self) -> DryBulb {
        let extreme = |hotter: fn(f64, f64) -> bool| {
            let mut found: Option<Extreme> = None;
            for (record, kelvin) in self.records.iter().filter_map(|record| Some((record, record.dry_bulb_K?))) {
                if found.is_none_or(|found| hotter(kelvin, found.dry_bulb_K)) {
                    let Record { month, day, hour, .. } = *record;
                    found = Some(Extreme { dry_bulb_K: kelvin, month, day, hour });
                }
            }
            found
        };
        DryBulb {
            mean_K: mean(self.falling_K.iter().copied()).map_or(f64::NAN, |(mean, _)| mean),
            exceeded: PERCENTS
                .into_iter()
                .map(|percent| Exceeded { percent, dry_bulb_K: self.exceeded(percent / 100.0) })
                .collect(),
            highest: extreme(|a, b| a > b),
            lowest: extreme(|a, b| a < b),
        }
    }

    fn pressure(&self, site: Absolute) -> Pressure {
        let mean = mean(self.records.iter().filter_map(|record| record.pressure_Pa));
        let altitude = |pascals: f64| atmosphere::altitude(Absolute::from_pascals(pascals)).ok().map(|h| h.value);
        let mean_Pa = mean.map(|(mean, _)| mean);
        let station = self.location.elevation_m.and_then(|elevation| atmosphere::pressure(metres(elevation)).ok());
        let standard_at_station_Pa = station.map(Absolute::pascals);
        let at_station = standard_at_station_Pa.or(mean_Pa);
        let lower = at_station.and_then(altitude).and_then(|station| Some(altitude(site.pascals())? - station));
        Pressure {
            hours: mean.map_or(0.0, |(_, count)| self.hours_of(count)),
            mean_Pa,
            answers_to_m: mean_Pa.and_then(altitude),
            standard_at_station_Pa,
            over_station: mean_Pa.zip(standard_at_station_Pa).map(|(mean, standard)| mean / standard - 1.0),
            over_site: at_station.map(|pascals| pascals / site.pascals() - 1.0),
            warmer_than_site_K: lower.map(|lower| lower * atmosphere::LAPSE),
        }
    }
}
