//! Weather files (EPW, the plain-text hourly format of the open simulation programs): dry-bulb by the hour.

use super::{Format, Location, Record, Weather};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// No hourly file of one year comes near this size.
const LARGEST: u64 = 16 * 1024 * 1024;
/// Lines before the hours.
const HEAD: usize = 8;
/// Fewer hours than this are no year.
const LEAST_HOURS: usize = 8_000;
/// Dry-bulb column, from 0, in °C; 99 and above is a missing value.
const DRY_BULB: usize = 6;
const MISSING: f64 = 99.0;
/// Elevation field of the LOCATION line, from 0, in m.
const ELEVATION: usize = 9;

/// Why a file is no weather file.
#[derive(Debug, thiserror::Error)]
pub enum WeatherFault {
    /// It cannot be read.
    #[error("{name} cannot be read: {why}")]
    Unreadable {
        /// The file.
        name: String,
        /// What the system says.
        why: std::io::Error,
    },
    /// It is a folder.
    #[error("{0} is a folder")]
    Folder(String),
    /// It is not there.
    #[error("{0} is not there")]
    Absent(String),
    /// It is larger than any such file.
    #[error("{0} is larger than any hourly file of one year")]
    TooLarge(String),
    /// It does not begin as such files do.
    #[error("{0} does not begin with LOCATION, as an EPW file does")]
    NoLocation(String),
    /// An hour has no temperature.
    #[error("{name}, line {line}: no dry-bulb temperature in the seventh field")]
    BadHour {
        /// The file.
        name: String,
        /// The line, from 1.
        line: usize,
    },
    /// It holds too few hours for a year.
    #[error("{name} holds {hours} hours with a temperature; a year has 8760")]
    TooShort {
        /// The file.
        name: String,
        /// The hours that have a temperature.
        hours: usize,
    },
}

/// Reads a weather file.
///
/// # Errors
/// Where it is not there, is none, or has no full year.
pub fn open(path: &Path) -> Result<Weather, WeatherFault> {
    let name = path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
    let unreadable = |why: std::io::Error| match why.kind() {
        std::io::ErrorKind::NotFound => WeatherFault::Absent(name.clone()),
        _ => WeatherFault::Unreadable { name: name.clone(), why },
    };
    let about = std::fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(WeatherFault::Folder(name));
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes)).map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST {
        return Err(WeatherFault::TooLarge(name));
    }
    // Names of places are in whatever encoding; the numbers are plain.
    read(&name, &String::from_utf8_lossy(&bytes))
}

/// Reads the text of a weather file.
///
/// # Errors
/// Where it is none, or has no full year.
pub fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let name = || name.to_owned();
    let mut lines = text.trim_start_matches('\u{feff}').lines();
    let location: Vec<&str> = lines.next().unwrap_or_default().split(',').map(str::trim).collect();
    if !location.first().is_some_and(|word| word.eq_ignore_ascii_case("LOCATION")) {
        return Err(WeatherFault::NoLocation(name()));
    }
    let elevation =
        location.get(ELEVATION).and_then(|f| f.parse::<f64>().ok()).filter(|e| (-450.0..6_000.0).contains(e));
    let mut records = Vec::with_capacity(8_784);
    for (number, line) in lines.enumerate().skip(HEAD - 1) {
        if line.trim().is_empty() {
            continue;
        }
        let dry_bulb = line.split(',').nth(DRY_BULB).and_then(|field| field.trim().parse::<f64>().ok());
        match dry_bulb {
            Some(celsius) if celsius >= MISSING => {}
            Some(celsius) if celsius > -100.0 => {
                records.push(Record { dry_bulb_k: Some(celsius + 273.15), ..Record::default() });
            }
            _ => return Err(WeatherFault::BadHour { name: name(), line: number + 2 }),
        }
    }
    let mut falling: Vec<f64> = records.iter().filter_map(|record| record.dry_bulb_k).collect();
    if falling.len() < LEAST_HOURS {
        return Err(WeatherFault::TooShort { name: name(), hours: falling.len() });
    }
    falling.sort_by(|a, b| b.total_cmp(a));
    Ok(Weather {
        file: name(),
        format: Format::Epw,
        location: Location { elevation_m: elevation, ..Location::default() },
        first_day: None,
        per_hour: 1,
        records,
        falling_k: falling,
    })
}
