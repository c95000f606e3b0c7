//! Weather files: a year of hourly records, read in full, and what a designer takes from it.

mod epw;

pub use epw::{WeatherFault, open, read};

/// How a weather file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// The plain-text hourly format of the open simulation programs.
    Epw,
    /// The third set of typical meteorological years, as CSV.
    Tmy3,
}

/// Where the station stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Location {
    /// City.
    pub city: String,
    /// State or province.
    pub state: String,
    /// Country.
    pub country: String,
    /// Where the data come from.
    pub source: String,
    /// Number of the station.
    pub station: String,
    /// Degrees, north positive.
    pub latitude: Option<f64>,
    /// Degrees, east positive.
    pub longitude: Option<f64>,
    /// Hours ahead of Greenwich.
    pub time_zone: Option<f64>,
    /// Over the sea, m.
    pub elevation_m: Option<f64>,
}

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the days of the week")]
pub enum Weekday {
    Monday,
    Tuesday,
    Wednesday,
    Thursday,
    Friday,
    Saturday,
    Sunday,
}

/// One record: what was measured over the hour (or its part) that ends at its time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Record {
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
    /// Hour of the day in which it lies, 0 to 23: record "1" of a file is hour 0.
    pub hour: u8,
    /// Day of the year, from 0.
    pub day_of_year: u16,
    /// Dry-bulb, K.
    pub dry_bulb_k: Option<f64>,
    /// Dew point, K.
    pub dew_point_k: Option<f64>,
    /// Relative humidity, 0 to 1.
    pub humidity: Option<f64>,
    /// Pressure at the station, Pa.
    pub pressure_pa: Option<f64>,
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: Option<f64>,
    /// Wind speed, m/s.
    pub wind_m_s: Option<f64>,
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
    /// The first day of the year, where the file says.
    pub first_day: Option<Weekday>,
    /// Records in an hour.
    pub per_hour: u32,
    /// All records in the order of the file.
    pub records: Vec<Record>,
    /// The dry-bulbs from the hottest down, K.
    falling_k: Vec<f64>,
}

impl Weather {
    /// The dry-bulb that the hottest hours reach or exceed, K: of n hours in falling order the one numbered
    /// int(share n), counted from 0. `share` is that of the year's hours, 0.004 for the 0.4 % design day.
    #[must_use]
    pub fn exceeded(&self, share: f64) -> f64 {
        let count = self.falling_k.len();
        // Between 0 and the count, so the cast is exact but for the fraction, which is cut off as the definition says.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a count of hours"
        )]
        let index = (share.clamp(0.0, 1.0) * count as f64) as usize;
        self.falling_k.get(index.min(count.saturating_sub(1))).copied().unwrap_or(f64::NAN)
    }

    /// The hottest hour, K.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.falling_k.first().copied().unwrap_or(f64::NAN)
    }

    /// The coldest hour, K.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        self.falling_k.last().copied().unwrap_or(f64::NAN)
    }
}
