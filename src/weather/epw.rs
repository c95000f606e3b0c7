//! The plain-text hourly format of the open simulation programs (EPW): eight lines of head, then a line of 35 fields for
//! each hour.
//!
//! A small reader of our own: the one crate for the format (`epw-rs` 0.1.4, which calls itself alpha) stops the program at
//! an unreadable line, a time zone or a rain depth that is no number, knows no gaps, repeats or short years, names no line in its
//! messages, takes a dry-bulb of 99 for a temperature (writers use both 99 and the published 99.9), and holds all 35 fields of
//! all hours as text and numbers where six are needed. Heads are split by `csv`; the hours have no quotes, and are
//! split where they stand.
//!
//! The published field list, with the codes that mean missing:
//!
//! | field | is | missing | | field | is | missing |
//! | --- | --- | --- | --- | --- | --- | --- |
//! | 1-3 | year, month, day | | | 21 | **wind direction**, degrees | 999 |
//! | 4, 5 | hour from 1, minute | | | 22 | **wind speed**, m/s | 999 |
//! | 6 | flags of source and uncertainty | | | 23, 24 | sky cover, total and opaque, tenths | 99 |
//! | 7 | **dry-bulb**, °C | 99.9 | | 25 | visibility, km | 9999 |
//! | 8 | **dew point**, °C | 99.9 | | 26 | ceiling, m | 99999 |
//! | 9 | **relative humidity**, % | 999 | | 27, 28 | present weather, observed and codes | 9, 999999999 |
//! | 10 | **station pressure**, Pa | 999999 | | 29 | precipitable water, mm | 999 |
//! | 11-13 | radiation beyond the air, of the sky, Wh/m2 | 9999 | | 30 | aerosol depth, thousandths | .999 |
//! | 14-16 | radiation at the ground, Wh/m2 | 9999 | | 31, 32 | snow depth, cm; days since | 999, 99 |
//! | 17-19 | illuminance, lux | 999999 | | 33 | albedo | 999 |
//! | 20 | luminance of the zenith, cd/m2 | 9999 | | 34, 35 | rain depth, mm; its duration, h | 999, 99 |
//!
//! Those in bold are kept, each within the bounds that the list gives. A record has 35 fields, or 32 in older files, which leave the last three away; all of a file have the same.
//!
//! Source: `epw`.

use super::errors::{LineErrors, WeatherFault};
use super::header;
use super::hours::{Form, Hours, Stamp};
use super::reading::{DEW_POINT, DRY_BULB, Fields, HUMIDITY, PRESSURE, WIND, WIND_FROM};
use super::record::Record;
use super::year::{Format, Weather};

/// Fields of a record; older files end after the snow's days.
const WIDTHS: [usize; 2] = [35, 32];

/// Reads the text of an EPW file.
///
/// # Errors
/// Where its head will not do, an hour can't be read or stands out of place, or there is no full year.
pub(super) fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let head = header::read(name, &mut text.lines())?;
    let form = Form { head: header::NAMES.len(), per_hour: head.per_hour, widths: &WIDTHS };
    let lines = |errors: LineErrors| WeatherFault::Lines { name: name.to_owned(), errors };
    let whole = |what| WeatherFault::Whole { name: name.to_owned(), what };
    let hours = Hours::read(text, &form, record).map_err(lines)?;
    let filled = hours.finish(head.header.leap_year).map_err(whole)?;
    let mut weather = Weather::new(name, Format::Epw, head.location, filled, head.per_hour);
    weather.first_day = head.first_day;
    if let Some(starts) = head.starts {
        weather.start_at(starts);
    }
    weather.header = head.header;
    Ok(weather)
}

/// A record by its fields; none where its time can't be read.
fn record(fields: &mut Fields<'_>) -> Option<(Stamp, Record)> {
    let month = fields.count(1, "month", 1..=12);
    let day = fields.count(2, "day", 1..=31);
    let hour = fields.count(3, "hour", 1..=24);
    let minute = fields.count(4, "minute", 0..=60);
    let record = Record {
        // 99.9 is published, and 99 is written too.
        dry_bulb_K: fields.value(6, &DRY_BULB, |number, text| number >= 99.0 && nines(text)),
        dew_point_K: fields.aside(7, &DEW_POINT, |number, text| number >= 99.0 && nines(text)),
        humidity: fields.aside(8, &HUMIDITY, |number, text| number >= 999.0 && nines(text)),
        pressure_Pa: fields.value(9, &PRESSURE, |number, text| number >= 999_999.0 && nines(text)),
        wind_from_deg: fields.value(20, &WIND_FROM, |number, text| number >= 999.0 && nines(text)),
        wind_m_s: fields.value(21, &WIND, |number, text| number >= 99.0 && nines(text)),
        ..Record::default()
    };
    Some((Stamp { month: month?, day: day?, hour: hour? - 1, minute: minute? }, record))
}

/// Whether a number is written with nines alone but for zeros after the point: a code for a missing value, also where it is
/// longer than published.
fn nines(text: &str) -> bool {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    whole.bytes().chain(part.trim_end_matches('0').bytes()).all(|b| b == b'9')
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: &str = "2018,7,1,15,0,?,31.5,18,40,98000,0,0,0,0,0,0,0,0,0,0,225,3.5,0,0";

    fn read(hour: &str) -> (Option<(Stamp, Record)>, Vec<String>) {
        let split: Vec<&str> = hour.split(',').collect();
        let mut fields = Fields::new(&split);
        let found = record(&mut fields);
        (found, fields.errors.into_iter().map(|error| format!("{}: {}", error.field.unwrap(), error.what)).collect())
    }

    #[test]
    fn an_hour() {
        let (stamp, record) = read(HOUR).0.unwrap();
        assert_eq!(stamp, Stamp { month: 7, day: 1, hour: 14, minute: 0 });
        assert_eq!((record.dry_bulb_K, record.dew_point_K, record.humidity), (Some(304.65), Some(291.15), Some(0.4)));
        assert_eq!((record.wind_from_deg, record.wind_m_s), (Some(225.0), Some(3.5)));
    }

    #[test]
    fn codes_of_a_missing_value() {
        let record = |from: &str, to: &str| {
            let (found, errors) = read(&HOUR.replace(from, to));
            assert_eq!(errors, Vec::<String>::new(), "{to}");
            found.unwrap().1
        };
        for code in ["99", "99.0", "99.9", "99.90", "999", "9999", "999.9", ""] {
            assert_eq!(record("31.5", code).dry_bulb_K, None, "{code}");
            assert_eq!(record(",18,", &format!(",{code},")).dew_point_K, None);
        }
        assert_eq!(record("98000", "999999").pressure_Pa, None);
        assert_eq!(record(",40,", ",999,").humidity, None);
        let still = record("225,3.5", "999,999");
        assert_eq!((still.wind_from_deg, still.wind_m_s), (None, None));
    }

    /// What is out of the published bounds and no code is a fault, however far out, and all of a line are told.
    #[test]
    fn an_hour_that_will_not_do() {
        let said = |from: &str, to: &str| read(&HOUR.replace(from, to)).1.join("\n");
        assert_eq!(said("31.5", "88.7"), "7: a dry-bulb temperature of 88.7 °C; it lies between -70 and 70 °C");
        assert_eq!(said("31.5", "120"), "7: a dry-bulb temperature of 120 °C; it lies between -70 and 70 °C");
        assert_eq!(said("31.5", "-99.9"), "7: a dry-bulb temperature of -99.9 °C; it lies between -70 and 70 °C");
        assert_eq!(said("31.5", "warm"), "7: the dry-bulb temperature is `warm`, which is no number");
        assert_eq!(said(",15,", ",25,"), "4: hour 25; expected 1 to 24");
        assert_eq!(said(",15,", ",0,"), "4: hour 0; expected 1 to 24");
        assert_eq!(said(",40,", ",140,"), "9: a relative humidity of 140 %; it lies between 0 and 110 %");
        assert_eq!(said("98000", "980"), "10: a station pressure of 980 Pa; it lies between 31000 and 120000 Pa");
        assert_eq!(
            said("225,3.5", "400,-3"),
            "21: a wind direction of 400 degrees; it lies between 0 and 360 degrees\n\
             22: a wind speed of -3 m/s; it lies between 0 and 40 m/s"
        );
    }
}
