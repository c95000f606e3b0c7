//! The records of a file put in their places in the year: in order, none twice, one year and no more.

use super::calendar::{LEAP_DAY, date, leap_day};
use super::errors::{LineError, LineErrors};
use super::reading::Fields;
use super::record::Record;

/// Fewer hours than this are no year.
pub(super) const MINIMUM_HOURS: u32 = 8_000;
/// How far a dew point lies above the dry-bulb before it can't be what both were rounded to, K.
pub(super) const ABOVE_DRY_BULB: f64 = 1.0;
/// In more hours than that a dew point above the dry-bulb is no slip of single hours.
const MAXIMUM_ABOVE: u32 = 24;

/// Daylight saving leaves an hour out so many months or more from that in which it repeats one.
const DAYLIGHT_MONTHS: u8 = 4;

/// When a record stands: the hour in which it lies, from 0, and the minute as the file gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stamp {
    pub month: u8,
    pub day: u8,
    pub hour: u8,
    pub minute: u8,
}

/// Records so far.
pub(super) struct Hours {
    per_hour: u32,
    records: Vec<Record>,
    /// Hour of a leap year in which the first record lies.
    first: u16,
    last: Option<Last>,
    /// Whether the file has passed from December to January.
    turned: bool,
    /// Whether a second year has begun.
    ended: bool,
    /// The most records in one hour.
    fullest: u32,
    /// Hours that alone are left out between two others.
    skipped: Vec<Stamp>,
    /// Hours that stand twice, where the file has one record an hour.
    twice: u32,
}

struct Last {
    stamp: Stamp,
    slot: u16,
    /// Records in its hour.
    count: u32,
}

/// A year of records.
pub(super) struct Filled {
    pub records: Vec<Record>,
    /// Whether the year has 29 February.
    pub leap: bool,
}

/// How a file's lines are read.
pub(super) struct Form<'a> {
    /// Lines before the records.
    pub head: usize,
    /// Records in an hour.
    pub per_hour: u32,
    /// Numbers of fields that a record may have; all of a file have the same.
    pub widths: &'a [usize],
}

impl Form<'_> {
    /// What is wrong with the number of fields of a record, where those before it had `before`.
    fn width(&self, found: usize, before: Option<usize>) -> Option<String> {
        let before = before.as_ref().map(std::slice::from_ref);
        let expected = before.unwrap_or(self.widths);
        if expected.contains(&found) {
            return None;
        }
        let list: Vec<String> = expected.iter().map(usize::to_string).collect();
        let of_the_file = if before.is_some() { ", as in the lines before" } else { "" };
        // Of 34 fields where 35 or 32 may be, one is missing.
        let meant = expected.iter().min_by_key(|expected| expected.abs_diff(found));
        let comma = match meant {
            Some(meant) if *meant < found => "; a decimal comma makes two fields of one number",
            _ => "",
        };
        let fields = if found == 1 { "1 field" } else { &format!("{found} fields") };
        Some(format!("{fields}; expected {}{of_the_file}{comma}", list.join(" or ")))
    }
}

impl Hours {
    pub fn new(per_hour: u32) -> Self {
        let records = Vec::with_capacity(8_784 * usize::try_from(per_hour.min(12)).unwrap_or(1));
        Self {
            per_hour,
            records,
            first: 0,
            last: None,
            turned: false,
            ended: false,
            fullest: 0,
            skipped: Vec::new(),
            twice: 0,
        }
    }

    /// Reads all lines after the head, each by `record`.
    ///
    /// # Errors
    /// Every fault of every line: the number of its fields, what `record` notes, and where it stands in the year.
    pub fn read(
        text: &str,
        form: &Form<'_>,
        mut record: impl FnMut(&mut Fields<'_>) -> Option<(Stamp, Record)>,
    ) -> Result<Self, LineErrors> {
        let mut hours = Self::new(form.per_hour);
        let mut errors = LineErrors::default();
        let mut twice = Vec::new();
        let mut before = None;
        let mut lines = text.lines().enumerate().skip(form.head).filter(|(_, l)| !l.trim().is_empty()).peekable();
        while let Some((index, line)) = lines.next() {
            let split: Vec<&str> = line.split(',').collect();
            let line = index + 1;
            if let Some(what) = form.width(split.len(), before) {
                let cut = before
                    .filter(|before| split.len() < *before && lines.peek().is_none() && !text.ends_with(['\n', '\r']));
                let what = cut.map_or(what, |all| {
                    format!("the file breaks off in its last line, after {} of {all} fields", split.len())
                });
                errors.push(LineError { line, field: None, what });
                continue;
            }
            before = Some(split.len());
            let (found, of_line) = {
                let mut fields = Fields::new(&split);
                (record(&mut fields), fields.errors)
            };
            for error in of_line {
                errors.push(LineError { line, ..error });
            }
            let known = hours.twice;
            if let Some(Err(what)) = found.map(|(stamp, record)| hours.push(stamp, record)) {
                errors.push(LineError { line, field: None, what });
            }
            if hours.twice > known {
                twice.extend(hours.last.as_ref().map(|last| (line, last.stamp.month)));
            }
            if hours.ended {
                break;
            }
        }
        if let ([(line, month)], [skipped]) = (twice.as_slice(), hours.skipped.as_slice())
            && month.abs_diff(skipped.month) >= DAYLIGHT_MONTHS
        {
            let words = format!(
                ". {} is left out: the file keeps daylight-saving time, and a weather file keeps standard time all the year",
                at(*skipped)
            );
            errors.add(*line, &words);
        }
        if errors.is_empty() { Ok(hours) } else { Err(errors) }
    }

    /// Takes one record more.
    ///
    /// # Errors
    /// In words, where it stands twice, out of order, or in a second year.
    fn push(&mut self, stamp: Stamp, record: Record) -> Result<(), String> {
        let Some(day) = leap_day(stamp.month, stamp.day) else {
            return Err(format!("month {}, day {}: there is no such day", stamp.month, stamp.day));
        };
        let slot = day * 24 + u16::from(stamp.hour);
        let mut placed = Ok(());
        let (minute, count) = match &self.last {
            None => {
                self.first = slot;
                (stamp.minute, 1)
            }
            Some(last) if slot == last.slot => {
                self.twice += u32::from(self.per_hour == 1);
                self.same_hour(stamp, last)?
            }
            Some(last) => {
                let new_year = last.stamp.month == 12 && stamp.month == 1 && slot < last.slot;
                if new_year && !self.turned && slot < self.first {
                    self.turned = true;
                } else if new_year || (slot > last.slot && self.turned && slot >= self.first) {
                    self.ended = true;
                    return Err(format!("a second year begins at {}; a weather file holds one", at(stamp)));
                } else if slot < last.slot {
                    // What follows is held against this one, so that one line out of place is told once.
                    placed = Err(format!("{} after {}: the hours are in order", at(stamp), at(last.stamp)));
                } else if slot == last.slot + 2 && stamp.hour > 0 {
                    self.skipped.push(Stamp { hour: stamp.hour - 1, ..stamp });
                }
                (stamp.minute, 1)
            }
        };
        self.fullest = self.fullest.max(count);
        self.last = Some(Last { stamp: Stamp { minute, ..stamp }, slot, count });
        let Stamp { month, day: of_month, hour, .. } = stamp;
        self.records.push(Record { month, day: of_month, hour, day_of_year: day, ..record });
        placed
    }

    /// Minute and count of a record in the hour of the last one.
    fn same_hour(&self, stamp: Stamp, last: &Last) -> Result<(u8, u32), String> {
        let count = last.count + 1;
        if self.per_hour == 1 {
            return Err(format!("{} is here again; the file has one record an hour", at(stamp)));
        }
        if count > self.per_hour {
            return Err(format!("record {count} of {}, where the head says {} an hour", at(stamp), self.per_hour));
        }
        // The end of the hour is minute 60 or 0.
        let minute = if stamp.minute == 0 { 60 } else { stamp.minute };
        if minute <= last.stamp.minute {
            let before = last.stamp.minute;
            return Err(format!("minute {} after minute {before} of {}", stamp.minute, at(stamp)));
        }
        Ok((minute, count))
    }

    /// The year, with its days counted as those of a leap year where it has 29 February or says so.
    ///
    /// # Errors
    /// In words, where no hour has as many records as the head says, or too few hours have a temperature.
    pub fn finish(mut self, leap: bool) -> Result<Filled, String> {
        if self.fullest < self.per_hour && !self.records.is_empty() {
            return Err(format!(
                "says {} records an hour in its head, and has no more than {} in any",
                self.per_hour, self.fullest
            ));
        }
        let told = self.records.iter().filter(|record| record.dry_bulb_K.is_some()).count();
        if told < usize::try_from(MINIMUM_HOURS * self.per_hour).unwrap_or(usize::MAX) {
            let hours = told / usize::try_from(self.per_hour).unwrap_or(1).max(1);
            let held = if hours == 1 { "1 hour" } else { &format!("{hours} hours") };
            return Err(format!(
                "holds {held} with a temperature; a year has 8760, and {MINIMUM_HOURS} is the minimum accepted"
            ));
        }
        let mut above = self.records.iter().filter(|record| record.above_dry_bulb() > ABOVE_DRY_BULB);
        let first = above.next().map(|record| (record.month, record.day, record.hour));
        let count = 1 + u32::try_from(above.count()).unwrap_or(u32::MAX - 1);
        if let Some((month, day, hour)) = first.filter(|_| count > MAXIMUM_ABOVE * self.per_hour) {
            return Err(format!(
                "has a dew point more than {ABOVE_DRY_BULB} K above the dry-bulb in {} hours, first at {}: no air has that; \
                 the two columns may have changed places",
                count / self.per_hour.max(1),
                at(Stamp { month, day, hour, minute: 0 })
            ));
        }
        let leap = leap || self.records.iter().any(|record| record.day_of_year == LEAP_DAY);
        if !leap {
            for record in self.records.iter_mut().filter(|record| record.day_of_year > LEAP_DAY) {
                record.day_of_year -= 1;
            }
        }
        Ok(Filled { records: self.records, leap })
    }
}

/// An hour as the files count it, from 1.
fn at(stamp: Stamp) -> String {
    format!("{}, hour {}", date(stamp.month, stamp.day), u16::from(stamp.hour) + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(month: u8, day: u8, hour: u8, minute: u8) -> Stamp {
        Stamp { month, day, hour, minute }
    }

    fn last_word(per_hour: u32, stamps: &[Stamp]) -> Result<(), String> {
        let mut hours = Hours::new(per_hour);
        let (last, before) = stamps.split_last().unwrap();
        for stamp in before {
            hours.push(*stamp, Record::default()).unwrap();
        }
        hours.push(*last, Record::default())
    }

    #[test]
    fn in_order_and_none_twice() {
        let said = |stamps: &[Stamp]| last_word(1, stamps).unwrap_err();
        let (first, second) = (stamp(1, 1, 0, 0), stamp(1, 1, 1, 0));
        assert_eq!(said(&[first, first]), "1 January, hour 1 is here again; the file has one record an hour");
        assert_eq!(said(&[first, second, first]), "1 January, hour 1 after 1 January, hour 2: the hours are in order");
        assert_eq!(said(&[stamp(2, 30, 0, 0)]), "month 2, day 30: there is no such day");
        assert_eq!(last_word(1, &[first, stamp(1, 1, 5, 0)]), Ok(()));
    }

    #[test]
    fn a_year_may_begin_anywhere_and_ends_where_it_began() {
        let (july, december, january) = (stamp(7, 1, 0, 0), stamp(12, 31, 23, 0), stamp(1, 1, 0, 0));
        assert_eq!(last_word(1, &[july, december, january, stamp(6, 30, 23, 0)]), Ok(()));
        let second = |stamps: &[Stamp]| last_word(1, stamps).unwrap_err();
        let again = second(&[july, december, january, july]);
        assert_eq!(again, "a second year begins at 1 July, hour 1; a weather file holds one");
        let again = second(&[january, december, january]);
        assert_eq!(again, "a second year begins at 1 January, hour 1; a weather file holds one");
        let again = second(&[july, december, january, stamp(6, 30, 23, 0), stamp(12, 31, 23, 0)]);
        assert_eq!(again, "a second year begins at 31 December, hour 24; a weather file holds one");
    }

    #[test]
    fn several_records_in_an_hour() {
        let minutes = |minutes: &[u8]| {
            let stamps: Vec<Stamp> = minutes.iter().map(|minute| stamp(1, 1, 0, *minute)).collect();
            last_word(4, &stamps)
        };
        assert_eq!(minutes(&[15, 30, 45, 60]), Ok(()));
        assert_eq!(minutes(&[15, 30, 45, 0]), Ok(()));
        assert_eq!(minutes(&[0, 15, 30, 45]), Ok(()));
        assert_eq!(minutes(&[15, 30, 30]).unwrap_err(), "minute 30 after minute 30 of 1 January, hour 1");
        let fifth = minutes(&[10, 20, 30, 40, 50]).unwrap_err();
        assert_eq!(fifth, "record 5 of 1 January, hour 1, where the head says 4 an hour");
    }
}
