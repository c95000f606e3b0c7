//! The third set of typical meteorological years (TMY3) as CSV: the station, the names of the columns, then a line for each
//! hour.
//!
//! The columns are found by their names, so a file with fewer or in another order is read too. -9900 is missing. Times
//! are those at which the hour ends, 01:00 to 24:00; where writers say 00:00 of the next day instead, that is 24:00.
//!
//! Source: `tmy3`.

use super::calendar::day_before;
use super::header::split;
use super::hours::{Filled, Hours, Stamp};
use super::reading::{DEW_POINT, DRY_BULB, HUMIDITY, PRESSURE, Quantity, WIND, WIND_FROM, count, reading, shown};
use super::{Format, Location, Record, Weather, WeatherFault};

/// The first column.
pub(super) const DATE: &str = "Date (MM/DD/YYYY)";
const TIME: &str = "Time (HH:MM)";
const DRY: &str = "Dry-bulb (C)";
/// Columns beside these: dew point, humidity, pressure, wind.
const OTHERS: [&str; 5] = ["Dew-point (C)", "RHum (%)", "Pressure (mbar)", "Wdir (degrees)", "Wspd (m/s)"];

/// At and below this a number means missing; the code is -9900.
const MISSING: f64 = -900.0;

/// Where the columns stand.
struct Columns {
    date: usize,
    time: usize,
    dry_bulb: usize,
    /// In the order of `OTHERS`.
    others: [Option<usize>; 5],
}

/// Reads the text of a TMY3 file.
///
/// # Errors
/// Where a column is missing, an hour can't be read or stands out of place, or there is no full year.
pub(super) fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let at_line = |line: usize, what: String| WeatherFault::Line { name: name.to_owned(), line, what };
    let mut lines = text.lines();
    let location = location(&split(lines.next().unwrap_or_default()));
    let columns = Columns::of(&split(lines.next().unwrap_or_default())).map_err(|what| at_line(2, what))?;
    let mut hours = Hours::new(1);
    let mut fields: Vec<&str> = Vec::new();
    for (index, line) in lines.enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        fields.clear();
        fields.extend(line.split(','));
        columns
            .record(&fields)
            .and_then(|(stamp, record)| hours.push(stamp, record))
            .map_err(|what| at_line(index + 3, what))?;
    }
    let whole = |what| WeatherFault::Whole { name: name.to_owned(), what };
    let Filled { records, leap } = hours.finish(false).map_err(whole)?;
    Ok(Weather::new(name, Format::Tmy3, location, records, 1, leap))
}

/// Station, name, state, time zone, latitude, longitude, elevation.
fn location(fields: &[String]) -> Location {
    let text = |at: usize| fields.get(at).map(|field| shown(field)).unwrap_or_default();
    let within = |at: usize, range: std::ops::RangeInclusive<f64>| {
        fields.get(at).and_then(|field| field.parse::<f64>().ok()).filter(|value| range.contains(value))
    };
    Location {
        city: text(1),
        state: text(2),
        country: String::new(),
        source: "TMY3".into(),
        station: text(0),
        time_zone: within(3, -12.0..=14.0),
        latitude: within(4, -90.0..=90.0),
        longitude: within(5, -180.0..=180.0),
        elevation_m: within(6, -450.0..=6_000.0),
    }
}

impl Columns {
    fn of(names: &[String]) -> Result<Self, String> {
        let find = |wanted: &str| names.iter().position(|name| name.eq_ignore_ascii_case(wanted));
        let needed = |wanted: &str| find(wanted).ok_or_else(|| format!("the columns lack `{wanted}`"));
        Ok(Self { date: needed(DATE)?, time: needed(TIME)?, dry_bulb: needed(DRY)?, others: OTHERS.map(find) })
    }

    fn record(&self, fields: &[&str]) -> Result<(Stamp, Record), String> {
        let field = |at: usize| fields.get(at).copied();
        let last = self.others.iter().flatten().fold(self.date.max(self.time).max(self.dry_bulb), |a, b| a.max(*b));
        if fields.len() <= last {
            return Err(format!("an hour of {} fields; its columns go on to field {}", fields.len(), last + 1));
        }
        let stamp = stamp(field(self.date).unwrap_or_default(), field(self.time).unwrap_or_default())?;
        let value = |at: Option<usize>, quantity: &Quantity, factor: f64| {
            let text = at.and_then(field).unwrap_or_default();
            let said = |what| at.map_or_else(String::new, |at| format!("field {}: {what}", at + 1));
            reading(text, quantity, factor, |number| number <= MISSING).map_err(said)
        };
        let [dew_point, humidity, pressure, from, speed] = self.others;
        let record = Record {
            dry_bulb_k: value(Some(self.dry_bulb), &DRY_BULB, 1.0)?.map(|celsius| celsius + 273.15),
            dew_point_k: value(dew_point, &DEW_POINT, 1.0)?.map(|celsius| celsius + 273.15),
            humidity: value(humidity, &HUMIDITY, 1.0)?.map(|percent| percent / 100.0),
            // Of millibar.
            pressure_pa: value(pressure, &PRESSURE, 100.0)?,
            wind_from_deg: value(from, &WIND_FROM, 1.0)?,
            wind_m_s: value(speed, &WIND, 1.0)?,
            ..Record::default()
        };
        Ok((stamp, record))
    }
}

/// The hour that ends at a time: 01/31/1988, 24:00 is hour 23 of 31 January.
fn stamp(date: &str, time: &str) -> Result<Stamp, String> {
    let mut parts = date.split('/');
    let (Some(month), Some(day), Some(_), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return Err(format!("the date is `{}`; expected MM/DD/YYYY", shown(date)));
    };
    let (month, day) = (count(month, "month")?, count(day, "day")?);
    let Some((hour, minute)) = time.split_once(':') else {
        return Err(format!("the time is `{}`; expected HH:MM", shown(time)));
    };
    let (hour, minute) = (count(hour, "hour")?, count(minute, "minute")?);
    if minute != 0 {
        return Err(format!("the time is `{}`; a TMY3 has a record for each full hour", shown(time)));
    }
    match hour {
        0 => {
            let (month, day) = day_before(month, day);
            Ok(Stamp { month, day, hour: 23, minute })
        }
        1..=24 => Ok(Stamp { month, day, hour: hour - 1, minute }),
        _ => Err(format!("the time is `{}`; the hours of a day run from 01:00 to 24:00", shown(time))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns() -> Columns {
        Columns::of(&split("Date (MM/DD/YYYY),Time (HH:MM),x,Wspd (m/s),Dry-bulb (C),Pressure (mbar)")).unwrap()
    }

    #[test]
    fn columns_by_their_names() {
        let (stamp, record) = columns().record(&["07/01/1988", "24:00", "?", "3.5", "31.5", "980"]).unwrap();
        assert_eq!(stamp, Stamp { month: 7, day: 1, hour: 23, minute: 0 });
        assert_eq!((record.dry_bulb_k, record.pressure_pa, record.wind_m_s), (Some(304.65), Some(98_000.0), Some(3.5)));
        assert_eq!((record.dew_point_k, record.wind_from_deg), (None, None));
    }

    #[test]
    fn missing_values() {
        let record = columns().record(&["07/01/1988", "24:00", "?", "-9900", "-9900.0", ""]).unwrap().1;
        assert_eq!((record.dry_bulb_k, record.pressure_pa, record.wind_m_s), (None, None, None));
    }

    #[test]
    fn midnight_by_either_name() {
        assert_eq!(stamp("01/01/1988", "24:00"), stamp("01/02/1988", "00:00"));
        assert_eq!(stamp("01/01/1988", "00:00").map(|s| (s.month, s.day, s.hour)), Ok((12, 31, 23)));
    }

    #[test]
    fn an_hour_that_will_not_do() {
        let said = |date: &str, time: &str| stamp(date, time).unwrap_err();
        assert_eq!(said("1988-01-01", "01:00"), "the date is `1988-01-01`; expected MM/DD/YYYY");
        assert_eq!(said("01/01/1988", "1"), "the time is `1`; expected HH:MM");
        assert_eq!(said("01/01/1988", "01:30"), "the time is `01:30`; a TMY3 has a record for each full hour");
        assert_eq!(said("01/01/1988", "25:00"), "the time is `25:00`; the hours of a day run from 01:00 to 24:00");
        let short = columns().record(&["07/01/1988", "24:00"]).unwrap_err();
        assert_eq!(short, "an hour of 2 fields; its columns go on to field 6");
        let lacks = Columns::of(&split("Date (MM/DD/YYYY),Time (HH:MM),x")).map(|_| ()).unwrap_err();
        assert_eq!(lacks, "the columns lack `Dry-bulb (C)`");
    }
}
