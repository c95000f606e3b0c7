//! A year of weather: its records, and how hot it is for how long.

use super::calendar::{LEAP_DAY, Weekday};
use super::hours::Filled;
use super::items::Header;
use super::record::{Location, Record};
use schemars::JsonSchema;
use serde::Serialize;

/// How a weather file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub enum Format {
    /// The plain-text hourly format of the open simulation programs.
    #[serde(rename = "EPW")]
    Epw,
    /// The third set of typical meteorological years, as CSV.
    #[serde(rename = "TMY3 CSV")]
    Tmy3,
}

impl Format {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Format::Epw => "EPW",
            Format::Tmy3 => "TMY3 CSV",
        }
    }
}

/// A year of weather.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// The file's name.
    pub file: String,
    /// How it is written.
    pub format: Format,
    /// Where the station stands.
    pub location: Location,
    /// What the head of an EPW says beside the place, and what of any head cannot be used.
    pub header: Header,
    /// The first day of the year, where the file says.
    pub first_day: Option<Weekday>,
    /// Whether the file's times are those at which the hours begin, against the custom of its format.
    pub times_begin_hours: bool,
    /// Records in an hour; each weighs 1/n of an hour.
    pub per_hour: u32,
    /// All records in the order of the file; hours that it lacks are not among them.
    pub records: Vec<Record>,
    /// Whether the year has 29 February.
    pub leap: bool,
    /// The day of the year that is `first_day`.
    starts: u16,
    /// The dry-bulbs from the hottest down, K.
    pub(super) falling_K: Vec<f64>,
}

impl Weather {
    pub(super) fn new(file: &str, format: Format, location: Location, filled: Filled, per_hour: u32) -> Self {
        let Filled { records, leap } = filled;
        let mut falling_K: Vec<f64> = records.iter().filter_map(|record| record.dry_bulb_K).collect();
        falling_K.sort_by(|a, b| b.total_cmp(a));
        Self {
            file: file.to_owned(),
            format,
            location,
            header: Header::default(),
            first_day: None,
            times_begin_hours: false,
            per_hour,
            starts: records.first().map_or(0, |record| record.day_of_year),
            records,
            leap,
            falling_K,
        }
    }

    /// `first_day` is that day of a leap year.
    pub(super) fn start_at(&mut self, leap_day: u16) {
        self.starts = if self.leap || leap_day < LEAP_DAY { leap_day } else { leap_day - 1 };
    }

    /// The dry-bulb that the hottest hours reach or exceed, K: of n hours in falling order the one numbered
    /// int(share n), counted from 0. `share` is that of the hours that have a temperature, 0.004 for the 0.4 % design day.
    #[must_use]
    pub fn exceeded(&self, share: f64) -> f64 {
        let count = self.falling_K.len();
        // Between 0 and the count, so the cast is exact but for the fraction, which is cut off as the definition says.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a count of hours"
        )]
        let index = (share.clamp(0.0, 1.0) * count as f64) as usize;
        self.falling_K.get(index.min(count.saturating_sub(1))).copied().unwrap_or(f64::NAN)
    }

    /// The coldest hour, K.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        self.falling_K.last().copied().unwrap_or(f64::NAN)
    }

    /// Hours in which it is hotter than that, K.
    #[must_use]
    pub fn hours_above(&self, kelvin: f64) -> f64 {
        self.hours_of(self.falling_K.partition_point(|hour| *hour > kelvin))
    }

    /// Hours that have a temperature.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.hours_of(self.falling_K.len())
    }

    /// Hours of its year, 8760 or 8784.
    #[must_use]
    pub fn year_hours(&self) -> f64 {
        f64::from(self.days()) * 24.0
    }

    /// Hours of the year without a temperature: those that the file lacks, and those that it holds without one.
    #[must_use]
    pub fn missing_hours(&self) -> f64 {
        self.year_hours() - self.hours()
    }

    /// Hours of the year that the file lacks altogether.
    #[must_use]
    pub fn absent_hours(&self) -> f64 {
        self.year_hours() - self.hours_of(self.records.len())
    }

    /// Records that have no temperature.
    #[must_use]
    pub fn missing_dry_bulbs(&self) -> usize {
        self.records.len() - self.falling_K.len()
    }

    /// Month and day of the day of which `first_day` is told, or of its first where none is.
    #[must_use]
    pub fn first_date(&self) -> Option<(u8, u8)> {
        let first = self.records.iter().find(|record| record.day_of_year == self.starts).or(self.records.first());
        first.map(|record| (record.month, record.day))
    }

    /// The hour of the week in which a record lies, 0 for Monday 0 to 1 h. Where the file doesn't name the first day, it is
    /// taken for a Monday.
    #[must_use]
    pub fn hour_of_week(&self, record: &Record) -> usize {
        let first = self.first_day.unwrap_or(Weekday::Monday).index();
        let days = usize::from((record.day_of_year + self.days()).saturating_sub(self.starts) % self.days());
        (first + days) % 7 * 24 + usize::from(record.hour)
    }

    fn days(&self) -> u16 {
        if self.leap { 366 } else { 365 }
    }

    /// Hours that so many records are.
    pub(super) fn hours_of(&self, records: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a count of records")]
        let records = records as f64;
        records / f64::from(self.per_hour)
    }
}

/// How a dry-bulb that was taken from a file is explained, by the share of its hours in per cent.
#[must_use]
pub fn reached_in(percent: f64) -> String {
    format!("reached or exceeded in {percent} % of the hours of the weather file")
}

/// How the coldest hour is explained.
pub const COLDEST: &str = "the lowest hour of the weather file";

/// Mean and count; none of nothing.
pub(super) fn mean(values: impl Iterator<Item = f64>) -> Option<(f64, usize)> {
    let (sum, count) = values.fold((0.0, 0_usize), |(sum, count), value| (sum + value, count + 1));
    #[expect(clippy::cast_precision_loss, reason = "a count of records")]
    let divisor = count as f64;
    (count > 0).then(|| (sum / divisor, count))
}
