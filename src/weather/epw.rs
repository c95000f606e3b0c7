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
//! Those in bold are kept. Files older than the last fields have fewer; the kept ones must be there.
//!
//! Source: `epw`.

use super::hours::{Filled, Hours, Stamp};
use super::reading::{DEW_POINT, DRY_BULB, HUMIDITY, PRESSURE, Quantity, WIND, WIND_FROM, count, reading};
use super::{Format, Record, Weather, WeatherFault, header};

/// Fields of a record up to the last that is kept.
const NEEDED: usize = 22;

/// Reads the text of an EPW file.
///
/// # Errors
/// Where its head will not do, an hour can't be read or stands out of place, or there is no full year.
pub(super) fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let mut lines = text.lines();
    let head = header::read(name, &mut lines)?;
    let mut hours = Hours::new(head.per_hour);
    for (index, line) in lines.enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        record(line).and_then(|(stamp, record)| hours.push(stamp, record)).map_err(|what| WeatherFault::Line {
            name: name.to_owned(),
            line: index + header::NAMES.len() + 1,
            what,
        })?;
    }
    let whole = |what| WeatherFault::Whole { name: name.to_owned(), what };
    let Filled { records, leap } = hours.finish(head.header.leap_year).map_err(whole)?;
    let mut weather = Weather::new(name, Format::Epw, head.location, records, head.per_hour, leap);
    weather.first_day = head.first_day;
    if let Some(starts) = head.starts {
        weather.start_at(starts);
    }
    weather.header = head.header;
    Ok(weather)
}

fn record(line: &str) -> Result<(Stamp, Record), String> {
    let mut fields = [""; NEEDED];
    let mut found = 0;
    for (place, field) in fields.iter_mut().zip(line.split(',')) {
        *place = field;
        found += 1;
    }
    if found < NEEDED {
        return Err(format!("an hour of {found} fields; an EPW has 35, of which the first {NEEDED} are needed"));
    }
    let hour = count(fields[3], "hour")?;
    if !(1..=24).contains(&hour) {
        return Err(format!("hour {hour}; the hours of a day run from 1 to 24"));
    }
    let minute = count(fields[4], "minute")?;
    if minute > 60 {
        return Err(format!("minute {minute} of an hour"));
    }
    let stamp = Stamp { month: count(fields[1], "month")?, day: count(fields[2], "day")?, hour: hour - 1, minute };
    let value = |at: usize, quantity: &Quantity, missing: f64| {
        let said = |what| format!("field {}: {what}", at + 1);
        reading(fields[at], quantity, 1.0, |number| number >= missing).map_err(said)
    };
    let record = Record {
        // 99.9 is published, 99 is written too, and so are 999 and 9999.
        dry_bulb_k: value(6, &DRY_BULB, 99.0)?.map(|celsius| celsius + 273.15),
        dew_point_k: value(7, &DEW_POINT, 99.0)?.map(|celsius| celsius + 273.15),
        humidity: value(8, &HUMIDITY, 999.0)?.map(|percent| percent / 100.0),
        pressure_pa: value(9, &PRESSURE, 999_999.0)?,
        wind_from_deg: value(20, &WIND_FROM, 999.0)?,
        wind_m_s: value(21, &WIND, 999.0)?,
        ..Record::default()
    };
    Ok((stamp, record))
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: &str = "2018,7,1,15,0,?,31.5,18,40,98000,0,0,0,0,0,0,0,0,0,0,225,3.5,0,0";

    #[test]
    fn an_hour() {
        let (stamp, record) = record(HOUR).unwrap();
        assert_eq!(stamp, Stamp { month: 7, day: 1, hour: 14, minute: 0 });
        assert_eq!((record.dry_bulb_k, record.humidity), (Some(304.65), Some(0.4)));
        assert_eq!((record.wind_from_deg, record.wind_m_s), (Some(225.0), Some(3.5)));
    }

    #[test]
    fn both_codes_of_a_missing_temperature() {
        for code in ["99", "99.0", "99.9", "999", ""] {
            assert_eq!(record(&HOUR.replace("31.5", code)).unwrap().1.dry_bulb_k, None, "{code}");
            assert_eq!(record(&HOUR.replace(",18,", &format!(",{code},"))).unwrap().1.dew_point_k, None);
        }
        let codes = HOUR.replace("40,98000", "999,999999").replace("225,3.5", "999,999");
        let record = record(&codes).unwrap().1;
        assert_eq!(
            (record.humidity, record.pressure_pa, record.wind_from_deg, record.wind_m_s),
            (None, None, None, None)
        );
    }

    #[test]
    fn an_hour_that_will_not_do() {
        let said = |from: &str, to: &str| record(&HOUR.replace(from, to)).unwrap_err();
        assert_eq!(said("31.5", "88.7"), "field 7: a dry-bulb temperature of 88.7 °C; it lies between -90 and 70 °C");
        assert_eq!(said("31.5", "warm"), "field 7: the dry-bulb temperature is `warm`, which is no number");
        assert_eq!(said(",15,", ",25,"), "hour 25; the hours of a day run from 1 to 24");
        assert_eq!(said(",15,", ",0,"), "hour 0; the hours of a day run from 1 to 24");
        assert_eq!(said(",225,3.5,0,0", ""), "an hour of 20 fields; an EPW has 35, of which the first 22 are needed");
    }
}
