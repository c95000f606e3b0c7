//! Times as loggers write them: ISO 8601, month or day first, with AM and PM, apart or together, as serial numbers.

use jiff::civil::{Date, DateTime, Time};
use std::ops::Range;

/// Seconds in a day.
const DAY: i64 = 86_400;
/// By so much local time goes back when summer time ends, s: an hour, or half of one.
const REPEATED: Range<i64> = 1_200..3_700;
/// Serial days of spreadsheets that are taken for dates: 1982 to 2064.
const SERIAL: Range<f64> = 30_000.0..60_000.0;
/// Serial day of 1 January 1970.
const SERIAL_1970: f64 = 25_569.0;
/// Seconds since 1970 that are taken for times: 1986 to 2096.
const SECONDS: Range<f64> = 5e8..4e9;

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// Which of two numbers of a date is the month.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// 7/14/2026.
    MonthFirst,
    /// 14/7/2026.
    DayFirst,
}

impl Order {
    /// In words.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::MonthFirst => "month first",
            Self::DayFirst => "day first",
        }
    }
}

/// A time as written: s since 1970 by the clock on the wall, and the offset of that clock from UTC where it is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// By the clock on the wall, s.
    pub local: i64,
    /// East of Greenwich, s.
    pub offset: Option<i64>,
}

/// A date as written.
enum Written {
    Known(Date),
    /// Two numbers that are month and day in either order, and the year.
    Either(i8, i8, i16),
}

fn day_number(date: Date) -> i64 {
    date.duration_since(jiff::civil::date(1970, 1, 1)).as_secs().div_euclid(DAY)
}

/// Date and time of s since 1970 by the clock on the wall, as ISO 8601 has it.
#[must_use]
pub fn iso(local: i64) -> String {
    civil(local).map_or_else(String::new, |at| at.to_string())
}

/// The same as a person reads it: `14 Jul 15:20`, with the year where it is asked.
#[must_use]
pub fn shown(local: i64, year: bool) -> String {
    let Some(at) = civil(local) else { return String::new() };
    let format = if year { "%-d %b %Y %H:%M" } else { "%-d %b %H:%M" };
    at.strftime(format).to_string()
}

fn civil(local: i64) -> Option<DateTime> {
    jiff::civil::date(1970, 1, 1).at(0, 0, 0, 0).checked_add(jiff::SignedDuration::from_secs(local)).ok()
}

fn year(text: &str) -> Option<i16> {
    let number: i16 = text.parse().ok()?;
    match text.len() {
        2 => Some(2000 + number),
        4 => Some(number),
        _ => None,
    }
}

fn month(text: &str) -> Option<i8> {
    let start = text.get(..3)?.to_ascii_lowercase();
    let at = MONTHS.iter().position(|month| *month == start)?;
    i8::try_from(at + 1).ok()
}

fn written(text: &str) -> Option<Written> {
    let known = |y: i16, m: i8, d: i8| Date::new(y, m, d).ok().map(Written::Known);
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        return known(text[..4].parse().ok()?, text[4..6].parse().ok()?, text[6..].parse().ok()?);
    }
    let mut parts = text.split(['-', '/', '.', ' ', ',']).filter(|part| !part.is_empty());
    let (a, b, c) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    if a.len() == 4 && a.bytes().all(|b| b.is_ascii_digit()) {
        return known(a.parse().ok()?, b.parse().ok().or_else(|| month(b))?, c.parse().ok()?);
    }
    let year = year(c)?;
    match (a.parse::<i8>(), b.parse::<i8>()) {
        (Ok(day), Err(_)) => known(year, month(b)?, day),
        (Err(_), Ok(day)) => known(year, month(a)?, day),
        (Ok(a), Ok(b)) => match (Date::new(year, a, b), Date::new(year, b, a)) {
            (Ok(only), Err(_)) | (Err(_), Ok(only)) => Some(Written::Known(only)),
            (Ok(one), Ok(other)) if one == other => Some(Written::Known(one)),
            (Ok(_), Ok(_)) => Some(Written::Either(a, b, year)),
            (Err(_), Err(_)) => None,
        },
        (Err(_), Err(_)) => None,
    }
}

/// The two numbers of a date that may be month and day or day and month.
fn two_numbers(text: &str) -> Option<(i8, i8)> {
    let (date, _) = parted(text)?;
    let mut parts = date.split(['-', '/', '.']);
    let (a, b): (i8, i8) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    year(parts.next()?)?;
    parts.next().is_none().then_some((a, b))
}

/// Whether a date is written so that its order has to be known.
#[must_use]
pub fn needs_order(text: &str) -> bool {
    two_numbers(text).is_some()
}

/// What a date says of the order of month and day; none where it says nothing.
#[must_use]
pub fn order_of(text: &str) -> Option<Order> {
    let (a, b) = two_numbers(text)?;
    match (a > 12, b > 12) {
        (true, false) if a <= 31 => Some(Order::DayFirst),
        (false, true) => Some(Order::MonthFirst),
        _ => None,
    }
}

/// Where the date ends and the time of day begins.
fn parted(text: &str) -> Option<(&str, &str)> {
    let text = text.trim();
    // A weekday before the date says nothing.
    let text = match text.split_once([' ', ',']) {
        Some((first, rest)) if first.chars().all(char::is_alphabetic) && month(first).is_none() => rest.trim_start(),
        _ => text,
    };
    let Some(colon) = text.find(':') else { return Some((text, "")) };
    let hour = text.get(..colon)?.rfind(|c: char| !c.is_ascii_digit())?;
    let date = text.get(..hour)?;
    let separator = text.get(hour..)?.chars().next()?;
    matches!(separator, ' ' | 'T' | 't' | '_' | '\u{a0}')
        .then(|| (date.trim(), text.get(hour + separator.len_utf8()..).unwrap_or_default()))
}

/// Seconds of a time of day, and the offset from UTC behind it.
fn of_day(text: &str) -> Option<(i64, Option<i64>)> {
    let text = text.trim();
    if text.is_empty() {
        return Some((0, None));
    }
    let end = text.find(|c: char| !matches!(c, '0'..='9' | ':' | '.' | ',')).unwrap_or(text.len());
    let (clock, rest) = text.split_at(end);
    let mut parts = clock.trim_end_matches([',', '.']).split(':');
    let hour: i64 = parts.next()?.parse().ok()?;
    let minute: i64 = parts.next()?.parse().ok()?;
    let second: i64 = match parts.next() {
        Some(second) => second.split(['.', ',']).next()?.parse().ok()?,
        None => 0,
    };
    let rest = rest.trim();
    let half = rest.get(..1).map(str::to_ascii_lowercase);
    let is_half = rest.to_ascii_lowercase().replace('.', "");
    let hour = match (half.as_deref(), is_half.as_str()) {
        (Some("a"), "am" | "a") if (1..=12).contains(&hour) => hour % 12,
        (Some("p"), "pm" | "p") if (1..=12).contains(&hour) => hour % 12 + 12,
        (Some("a" | "p"), _) => return None,
        _ => hour,
    };
    let offset = match half.as_deref() {
        Some("z") => Some(0),
        // The half of the day, with or without its points.
        Some("a" | "p") => None,
        Some(sign @ ("+" | "-")) => {
            let digits: String = rest.chars().filter(char::is_ascii_digit).collect();
            let hours: i64 = digits.get(..2)?.parse().ok()?;
            let minutes: i64 = digits.get(2..4).map_or(Some(0), |m| m.parse().ok())?;
            Some((hours * 3600 + minutes * 60) * if sign == "-" { -1 } else { 1 })
        }
        _ if rest.len() <= 5 && rest.chars().all(|c| c.is_ascii_alphabetic()) => None,
        _ => return None,
    };
    if (hour, minute, second) == (24, 0, 0) {
        return Some((DAY, offset));
    }
    let narrow = |value: i64| i8::try_from(value).ok();
    // A leap second is the last of its minute.
    Time::new(narrow(hour)?, narrow(minute)?, narrow(second.min(59))?, 0).ok()?;
    Some((hour * 3600 + minute * 60 + second, offset))
}

/// A reader of times, which remembers the last date: it hardly changes from row to row.
#[derive(Clone, Debug)]
pub struct Clock {
    order: Order,
    last: (String, i64),
}

impl Clock {
    /// One that takes dates in that order where they do not say it.
    #[must_use]
    pub fn new(order: Order) -> Self {
        Self { order, last: (String::new(), 0) }
    }

    /// The time that a text says.
    pub fn read(&mut self, text: &str) -> Option<Stamp> {
        let text = text.trim();
        if let Ok(number) = text.parse::<f64>()
            && text.len() != 8
        {
            return serial(number);
        }
        let (date, time) = parted(text)?;
        if date.is_empty() {
            return None;
        }
        let (second, offset) = of_day(time)?;
        if self.last.0 != date {
            let day = match written(date)? {
                Written::Known(date) => date,
                Written::Either(a, b, year) => match self.order {
                    Order::MonthFirst => Date::new(year, a, b).ok()?,
                    Order::DayFirst => Date::new(year, b, a).ok()?,
                },
            };
            self.last = (date.to_owned(), day_number(day));
        }
        Some(Stamp { local: self.last.1 * DAY + second, offset })
    }
}

/// Days of a spreadsheet, or s or ms since 1970.
fn serial(number: f64) -> Option<Stamp> {
    let seconds = if SERIAL.contains(&number) {
        (number - SERIAL_1970) * 86_400.0
    } else if SECONDS.contains(&number) {
        number
    } else if SECONDS.contains(&(number / 1e3)) {
        number / 1e3
    } else {
        return None;
    };
    #[expect(clippy::cast_possible_truncation, reason = "below 4e9")]
    let local = seconds.round() as i64;
    Some(Stamp { local, offset: None })
}

/// Where a row stands in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Timing {
    /// After the row before, or at the same time: s on a clock that never jumps.
    At(i64),
    /// Before it.
    Earlier,
}

/// Time that never jumps, from that of a wall: offsets are taken off, and the hour that local time repeats is told by its going back.
#[derive(Clone, Debug, Default)]
pub struct Axis {
    last: Option<i64>,
    last_local: i64,
    shift: i64,
    /// The last step, s.
    step: i64,
    /// How often an hour was repeated.
    pub repeated: u32,
    /// How often an hour was left out.
    pub skipped: u32,
}

/// Days and hours in which clocks go forward: Sundays of spring on either half of the Earth, before three at night.
fn may_skip(local: i64) -> bool {
    // 1 January 1970 was a Thursday.
    let sunday = (local.div_euclid(DAY) + 4).rem_euclid(7) == 0;
    sunday
        && local.rem_euclid(DAY) < 3 * 3600
        && civil(local).is_some_and(|at| matches!(at.month(), 3 | 4 | 8 | 9 | 10))
}

impl Axis {
    /// Where a stamp stands.
    pub fn place(&mut self, stamp: Stamp) -> Timing {
        let mut at = stamp.offset.map_or(stamp.local + self.shift, |offset| stamp.local - offset);
        if let Some(last) = self.last {
            let back = self.last_local - stamp.local;
            let small_hours = stamp.local.rem_euclid(DAY) < 4 * 3600;
            if stamp.offset.is_none() && at < last && REPEATED.contains(&back) && small_hours && self.shift <= 0 {
                let hour = if back < 1_900 { 1_800 } else { 3_600 };
                self.shift += hour;
                self.repeated += 1;
                at += hour;
            }
            // Just an hour is missing beside the usual step.
            let missing = at - last - self.step;
            if stamp.offset.is_none() && (missing - 3_600).abs() <= self.step.min(300) / 2 && may_skip(self.last_local)
            {
                self.shift -= 3_600;
                self.skipped += 1;
                at -= 3_600;
            }
            if at < last {
                return Timing::Earlier;
            }
            self.step = if at > last { at - last } else { self.step };
        }
        (self.last, self.last_local) = (Some(at), stamp.local);
        Timing::At(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, order: Order) -> Option<String> {
        Clock::new(order).read(text).map(|stamp| iso(stamp.local))
    }

    /// ISO 8601-1:2019, 5.2 to 5.4, and what loggers make of it.
    #[test]
    fn times_are_read_as_they_are_written() {
        let same = [
            "2026-07-14T15:04:05",
            "2026-07-14 15:04:05",
            "20260714 15:04:05",
            "2026-07-14T15:04:05.250Z",
            "2026-07-14T15:04:05,9+02:00",
            "2026/07/14 3:04:05 PM",
            "14-Jul-2026 15:04:05",
            "Jul 14, 2026 3:04:05 p.m.",
            "Tue 14 July 2026 15:04:05",
            "7/14/2026 3:04:05 PM",
            "14.07.2026 15:04:05",
            "14/07/26 15:04:05",
            "1784041445",
            "1784041445000",
        ];
        for text in same {
            assert_eq!(at(text, Order::MonthFirst).as_deref(), Some("2026-07-14T15:04:05"), "{text}");
        }
        // 46217 days after 30 December 1899.
        assert_eq!(at("46217.5", Order::MonthFirst).as_deref(), Some("2026-07-14T12:00:00"));
        assert_eq!(at("2026-12-31 24:00", Order::MonthFirst).as_deref(), Some("2027-01-01T00:00:00"));
        assert_eq!(at("1/2/2026 12:30 AM", Order::MonthFirst).as_deref(), Some("2026-01-02T00:30:00"));
        assert_eq!(at("1/2/2026 12:30 pm", Order::DayFirst).as_deref(), Some("2026-02-01T12:30:00"));
        for text in ["", "no time", "2026-02-30 10:00", "2026-07-14 25:00", "14/13/2026 1:00", "7/14/2026 13:00 PM"] {
            assert_eq!(at(text, Order::MonthFirst), None, "{text}");
        }
    }

    #[test]
    fn offsets_are_of_the_clock_on_the_wall() {
        let read = |text| Clock::new(Order::MonthFirst).read(text).unwrap().offset;
        assert_eq!(read("2026-07-14T15:04-04:00"), Some(-14_400));
        assert_eq!(read("2026-07-14T15:04+0530"), Some(19_800));
        assert_eq!(read("2026-07-14T15:04Z"), Some(0));
        assert_eq!(read("2026-07-14T15:04"), None);
    }

    #[test]
    fn a_date_past_the_twelfth_tells_the_order() {
        assert_eq!(order_of("7/14/2026 15:00"), Some(Order::MonthFirst));
        assert_eq!(order_of("14/7/2026 15:00"), Some(Order::DayFirst));
        assert_eq!(order_of("7/8/2026 15:00"), None);
        assert_eq!(order_of("2026-07-14"), None);
    }

    /// 1 November 2026: clocks in North America go from 2:00 back to 1:00.
    #[test]
    fn the_hour_that_local_time_repeats_is_told_by_its_going_back() {
        let mut clock = Clock::new(Order::MonthFirst);
        let mut axis = Axis::default();
        let mut place = |text| axis.place(clock.read(text).unwrap());
        let Timing::At(first) = place("11/1/2026 1:50 AM") else { panic!() };
        assert_eq!(place("11/1/2026 1:00 AM"), Timing::At(first + 600));
        assert_eq!(place("11/1/2026 1:10 AM"), Timing::At(first + 1200));
        assert_eq!(place("11/1/2026 1:05 AM"), Timing::Earlier);
        assert_eq!(place("11/1/2026 2:00 AM"), Timing::At(first + 4200));
        assert_eq!(axis.repeated, 1);
    }

    /// 8 March 2026: clocks in North America go from 2:00 to 3:00; a week later an hour is a gap.
    #[test]
    fn the_hour_that_local_time_leaves_out_is_no_gap() {
        let mut clock = Clock::new(Order::MonthFirst);
        let steps = |clock: &mut Clock, texts: [&str; 3]| {
            let mut axis = Axis::default();
            let at = texts.map(|text| match axis.place(clock.read(text).unwrap()) {
                Timing::At(at) => at,
                Timing::Earlier => panic!("{text}"),
            });
            (at[2] - at[1], axis.skipped)
        };
        assert_eq!(steps(&mut clock, ["3/8/2026 1:50 AM", "3/8/2026 1:55 AM", "3/8/2026 3:00 AM"]), (300, 1));
        assert_eq!(steps(&mut clock, ["3/9/2026 1:50 AM", "3/9/2026 1:55 AM", "3/9/2026 3:00 AM"]), (3_900, 0));
        assert_eq!(steps(&mut clock, ["3/8/2026 1:00 AM", "3/8/2026 1:05 AM", "3/8/2026 2:00 AM"]), (3_300, 0));
    }

    #[test]
    fn an_offset_that_changes_needs_no_guess() {
        let mut clock = Clock::new(Order::MonthFirst);
        let mut axis = Axis::default();
        let Timing::At(first) = axis.place(clock.read("2026-11-01T01:59:00-04:00").unwrap()) else { panic!() };
        assert_eq!(axis.place(clock.read("2026-11-01T01:00:00-05:00").unwrap()), Timing::At(first + 60));
        assert_eq!(axis.repeated, 0);
    }
}
