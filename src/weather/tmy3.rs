//! The third set of typical meteorological years (TMY3) as CSV: the station, the names of the columns, then a line for each
//! hour.
//!
//! The columns are found by their names, so a file with fewer or in another order is read too; each line has as many fields
//! as there are names. -9900 is missing, and so are -999 and -9999. Times are those at which the hour ends, 01:00 to 24:00;
//! where writers say 00:00 of the next day instead, that is 24:00. A file whose first time is 00:00 gives those at which
//! the hour begins, and is read so.
//!
//! Source: `tmy3`.

use super::calendar::{LEAP_DAY, day_before, leap_day};
use super::errors::{DATE, LineErrors, WeatherFault};
use super::header::split;
use super::hours::{Form, Hours, Stamp};
use super::reading::{
    DEW_POINT, DRY_BULB, Fields, HUMIDITY, PRESSURE_MBAR, WIND, WIND_FROM, count, shown, station, text,
};
use super::record::{Location, Record};
use super::year::{Format, Weather};

const TIME: &str = "Time (HH:MM)";
const DRY: &str = "Dry-bulb (C)";
/// Columns beside these: dew point, pressure, wind.
const OTHERS: [&str; 5] = ["Dew-point (C)", "RHum (%)", "Pressure (mbar)", "Wdir (degrees)", "Wspd (m/s)"];

/// Where the columns stand.
struct Columns {
    date: usize,
    time: usize,
    dry_bulb: usize,
    /// In the order of `OTHERS`.
    others: [Option<usize>; 5],
}

/// What of a file the time of a record depends on.
#[derive(Clone, Copy, Default)]
struct Times {
    /// The record before.
    last: Option<Stamp>,
    /// Whether the file's times are those at which the hours begin.
    begin: bool,
}

/// Reads the text of a TMY3 file.
///
/// # Errors
/// Where a column is missing, an hour can't be read or stands out of place, or there is no full year.
pub(super) fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let faulty = |errors: LineErrors| WeatherFault::Lines { name: name.to_owned(), errors };
    let whole = |what| WeatherFault::Whole { name: name.to_owned(), what };
    let mut lines = text.lines();
    let mut unread = Vec::new();
    let location = location(&split(lines.next().unwrap_or_default()), &mut unread);
    let names = split(lines.next().unwrap_or_default());
    let columns = Columns::of(&names).map_err(|what| faulty(LineErrors::one(2, what)))?;
    let mut times = Times::default();
    let form = Form { head: 2, per_hour: 1, widths: &[names.len()] };
    let hours = Hours::read(text, &form, |fields| columns.record(fields, &mut times)).map_err(faulty)?;
    let filled = hours.finish(false).map_err(whole)?;
    let mut weather = Weather::new(name, Format::Tmy3, location, filled, 1);
    weather.times_begin_hours = times.begin;
    weather.header.unread = unread;
    Ok(weather)
}

/// Station, name, state, time zone, latitude, longitude, elevation.
fn location(fields: &[String], unread: &mut Vec<String>) -> Location {
    Location {
        city: text(fields, 1),
        state: text(fields, 2),
        source: "TMY3".into(),
        station: text(fields, 0),
        ..station(fields, [4, 5, 3, 6], unread)
    }
}

impl Columns {
    fn of(names: &[String]) -> Result<Self, String> {
        let find = |wanted: &str| names.iter().position(|name| name.eq_ignore_ascii_case(wanted));
        let needed = |wanted: &str| find(wanted).ok_or_else(|| format!("the columns lack `{wanted}`"));
        Ok(Self { date: needed(DATE)?, time: needed(TIME)?, dry_bulb: needed(DRY)?, others: OTHERS.map(find) })
    }

    /// A record by its fields; none where its time can't be read.
    fn record(&self, fields: &mut Fields<'_>, times: &mut Times) -> Option<(Stamp, Record)> {
        let missing = |number: f64, _: &str| [-9900.0, -9999.0, -999.0].contains(&number);
        let stamp = self.stamp(fields, times);
        let [dew_point, humidity, pressure, from, speed] = self.others;
        let record = Record {
            dry_bulb_K: fields.value(self.dry_bulb, &DRY_BULB, missing),
            dew_point_K: dew_point.and_then(|at| fields.aside(at, &DEW_POINT, missing)),
            humidity: humidity.and_then(|at| fields.aside(at, &HUMIDITY, missing)),
            pressure_Pa: pressure.and_then(|at| fields.value(at, &PRESSURE_MBAR, missing)),
            wind_from_deg: from.and_then(|at| fields.value(at, &WIND_FROM, missing)),
            wind_m_s: speed.and_then(|at| fields.value(at, &WIND, missing)),
            ..Record::default()
        };
        Some((stamp?, record))
    }

    fn stamp(&self, fields: &mut Fields<'_>, times: &mut Times) -> Option<Stamp> {
        let date = month_and_day(fields.text(self.date)).map_err(|what| fields.error(self.date, what));
        let time = full_hour(fields.text(self.time)).map_err(|what| fields.error(self.time, what));
        let (month, day) = date.ok()?;
        let hour = time.ok()?;
        if times.last.is_none() {
            times.begin = hour == 0;
        }
        let stamp = match hour {
            24 if times.begin => {
                fields
                    .error(self.time, "24:00 in a file that begins at 00:00, so that its times begin the hours".into());
                return None;
            }
            _ if times.begin => Stamp { month, day, hour, minute: 0 },
            0 => {
                let leap = times.last.is_some_and(|last| leap_day(last.month, last.day) == Some(LEAP_DAY));
                let (month, day) = day_before(month, day, leap);
                Stamp { month, day, hour: 23, minute: 0 }
            }
            _ => Stamp { month, day, hour: hour - 1, minute: 0 },
        };
        times.last = Some(stamp);
        Some(stamp)
    }
}

/// Of `01/31/1988`.
fn month_and_day(date: &str) -> Result<(u8, u8), String> {
    let mut parts = date.split('/');
    let (Some(month), Some(day), Some(_), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return Err(format!("the date is `{}`; expected MM/DD/YYYY", shown(date)));
    };
    Ok((count(month, "month")?, count(day, "day")?))
}

/// Of `24:00`, 0 to 24.
fn full_hour(time: &str) -> Result<u8, String> {
    let Some((hour, minute)) = time.split_once(':') else {
        return Err(format!("the time is `{}`; expected HH:MM", shown(time)));
    };
    let (hour, minute) = (count(hour, "hour")?, count(minute, "minute")?);
    if minute != 0 {
        return Err(format!("the time is `{}`; a TMY3 has a record for each full hour", shown(time)));
    }
    if hour > 24 {
        return Err(format!("the time is `{}`; the hours of a day run from 01:00 to 24:00", shown(time)));
    }
    Ok(hour)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The record of one line after that of the day before at its last hour, and what is wrong with it.
    fn read(line: &[&str], mut times: Times) -> (Option<(Stamp, Record)>, String) {
        let names = split("Date (MM/DD/YYYY),Time (HH:MM),x,Wspd (m/s),Dry-bulb (C),Pressure (mbar)");
        let mut fields = Fields::new(line);
        let found = Columns::of(&names).unwrap().record(&mut fields, &mut times);
        (found, fields.errors.into_iter().map(|error| error.what).collect::<Vec<_>>().join("; "))
    }

    fn after(month: u8, day: u8) -> Times {
        Times { last: Some(Stamp { month, day, hour: 22, minute: 0 }), begin: false }
    }

    #[test]
    fn columns_by_their_names() {
        let (stamp, record) = read(&["07/01/1988", "24:00", "?", "3.5", "31.5", "980"], Times::default()).0.unwrap();
        assert_eq!(stamp, Stamp { month: 7, day: 1, hour: 23, minute: 0 });
        assert_eq!((record.dry_bulb_K, record.pressure_Pa, record.wind_m_s), (Some(304.65), Some(98_000.0), Some(3.5)));
        assert_eq!((record.dew_point_K, record.wind_from_deg), (None, None));
    }

    #[test]
    fn missing_values() {
        for code in ["-9900", "-9900.0", "-9999", "-999", ""] {
            let (found, said) = read(&["07/01/1988", "24:00", "?", code, code, code], Times::default());
            let record = found.unwrap().1;
            assert_eq!((record.dry_bulb_K, record.pressure_Pa, record.wind_m_s), (None, None, None));
            assert_eq!(said, "");
        }
    }

    #[test]
    fn midnight_by_either_name() {
        let at = |date: &str, time: &str, times: Times| read(&[date, time, "?", "", "", ""], times).0.unwrap().0;
        let hour = |month: u8, day: u8| Stamp { month, day, hour: 23, minute: 0 };
        assert_eq!(at("01/01/1988", "24:00", after(1, 1)), hour(1, 1));
        assert_eq!(at("01/02/1988", "00:00", after(1, 1)), hour(1, 1));
        assert_eq!(at("01/01/1989", "00:00", after(12, 31)), hour(12, 31));
        assert_eq!(at("03/01/1989", "00:00", after(2, 28)), hour(2, 28));
        assert_eq!(at("03/01/1988", "00:00", after(2, 29)), hour(2, 29));
    }

    #[test]
    fn an_hour_that_will_not_do() {
        let said = |date: &str, time: &str| read(&[date, time, "?", "", "", ""], Times::default()).1;
        assert_eq!(said("1988-01-01", "01:00"), "the date is `1988-01-01`; expected MM/DD/YYYY");
        assert_eq!(said("01/01/1988", "1"), "the time is `1`; expected HH:MM");
        assert_eq!(said("01/01/1988", "01:30"), "the time is `01:30`; a TMY3 has a record for each full hour");
        assert_eq!(said("01/01/1988", "25:00"), "the time is `25:00`; the hours of a day run from 01:00 to 24:00");
        let lacks = Columns::of(&split("Date (MM/DD/YYYY),Time (HH:MM),x")).map(|_| ()).unwrap_err();
        assert_eq!(lacks, "the columns lack `Dry-bulb (C)`");
    }
}
