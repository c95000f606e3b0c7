//! What one line of a weather file tells, and where it was measured.

use schemars::JsonSchema;
use serde::Serialize;

/// Where the station stands.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
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
    #[serde(rename = "latitude_deg", skip_serializing_if = "Option::is_none")]
    pub latitude: Option<f64>,
    /// Degrees, east positive.
    #[serde(rename = "longitude_deg", skip_serializing_if = "Option::is_none")]
    pub longitude: Option<f64>,
    /// Hours ahead of Greenwich.
    #[serde(rename = "time_zone_h", skip_serializing_if = "Option::is_none")]
    pub time_zone: Option<f64>,
    /// Over the sea, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elevation_m: Option<f64>,
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
    /// Day of the year, from 0; 1 March is 60 only where the year has 29 February.
    pub day_of_year: u16,
    /// Dry-bulb, K.
    pub dry_bulb_K: Option<f64>,
    /// Dew point, K.
    pub dew_point_K: Option<f64>,
    /// Relative humidity, 0 to 1.
    pub humidity: Option<f64>,
    /// Pressure at the station, Pa.
    pub pressure_Pa: Option<f64>,
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: Option<f64>,
    /// Wind speed, m/s.
    pub wind_m_s: Option<f64>,
}

impl Record {
    /// How far its dew point lies above its dry-bulb, K; less than nothing where either is missing.
    pub(super) fn above_dry_bulb(&self) -> f64 {
        self.dew_point_K.zip(self.dry_bulb_K).map_or(f64::NEG_INFINITY, |(dew_point, dry_bulb)| dew_point - dry_bulb)
    }
}
