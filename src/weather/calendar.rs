//! Days of the year and of the week.

/// Months in order.
pub(super) const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Days of the months of a leap year.
const DAYS: [u16; 12] = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// 29 February among the days of a leap year, from 0.
pub(super) const LEAP_DAY: u16 = 59;

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

impl Weekday {
    /// All seven, from Monday.
    pub const ALL: [Weekday; 7] = [
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Weekday::Monday => "Monday",
            Weekday::Tuesday => "Tuesday",
            Weekday::Wednesday => "Wednesday",
            Weekday::Thursday => "Thursday",
            Weekday::Friday => "Friday",
            Weekday::Saturday => "Saturday",
            Weekday::Sunday => "Sunday",
        }
    }

    /// Its place in the week, 0 for Monday.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The day of that name, whatever its case.
    pub(super) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|day| day.name().eq_ignore_ascii_case(name))
    }
}

/// A day of a leap year, from 0; none for a day that there is not.
pub(super) fn leap_day(month: u8, day: u8) -> Option<u16> {
    let before = usize::from(month).checked_sub(1)?;
    let length = *DAYS.get(before)?;
    (1..=length).contains(&u16::from(day)).then(|| DAYS[..before].iter().sum::<u16>() + u16::from(day) - 1)
}

/// Days of a month, 1 to 12.
pub(super) fn month_days(month: u8, leap: bool) -> u16 {
    let days = usize::from(month).checked_sub(1).and_then(|index| DAYS.get(index)).copied().unwrap_or_default();
    days - u16::from(month == 2 && !leap)
}

/// The day before, by month and day; that before 1 March is 29 February in a leap year.
pub(super) fn day_before(month: u8, day: u8, leap: bool) -> (u8, u8) {
    match (month, day) {
        (1, 1) => (12, 31),
        (3, 1) => (2, if leap { 29 } else { 28 }),
        (_, 1) => {
            let before = month.saturating_sub(1);
            (before, u8::try_from(month_days(before, leap)).unwrap_or(1))
        }
        _ => (month, day.saturating_sub(1)),
    }
}

/// A date in words: `22 July`.
#[must_use]
pub fn date(month: u8, day: u8) -> String {
    let name = usize::from(month).checked_sub(1).and_then(|index| MONTHS.get(index)).copied().unwrap_or_default();
    format!("{day} {name}")
}

/// An hour of the year in words: `22 July, 14 to 15 h`.
#[must_use]
pub fn when(month: u8, day: u8, hour: u8) -> String {
    format!("{}, {hour} to {} h", date(month, day), u16::from(hour) + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_a_leap_year() {
        let known = [(1, 1, 0), (2, 28, 58), (2, 29, LEAP_DAY), (3, 1, 60), (12, 31, 365)];
        for (month, day, index) in known {
            assert_eq!(leap_day(month, day), Some(index));
        }
        for (month, day) in [(0, 1), (13, 1), (2, 30), (4, 31), (1, 0), (255, 255)] {
            assert_eq!(leap_day(month, day), None);
        }
    }

    #[test]
    fn the_day_before() {
        for (day, before) in [((1, 1), (12, 31)), ((3, 1), (2, 28)), ((5, 1), (4, 30)), ((7, 9), (7, 8))] {
            assert_eq!(day_before(day.0, day.1, false), before);
        }
        assert_eq!((day_before(3, 1, true), day_before(3, 2, true)), ((2, 29), (3, 1)));
    }

    #[test]
    fn in_words() {
        assert_eq!(when(7, 22, 14), "22 July, 14 to 15 h");
        assert_eq!(Weekday::named("sunday").map(Weekday::index), Some(6));
        assert_eq!(Weekday::named("day"), None);
    }
}
