//! What makes a year of weather unlikely, though every value of it is within its bounds.

use super::calendar::{MONTHS, month_days, when};
use super::hours::ABOVE_DRY_BULB;
use super::record::Record;
use super::year::Weather;
use crate::units::System;

/// A month may lack so many hours without a word.
const A_FEW: f64 = 6.0;
/// A dry-bulb changes by less in an hour, K; the few greater changes on record are those of warm winds off mountains.
const JUMP_K: f64 = 25.0;
/// For so many hours a dry-bulb may stand still, as in fog over melting snow.
const STILL_H: f64 = 24.0;

/// An hour by month, day and hour of the day.
type Moment = (u8, u8, u8);

/// Something unlikely in a weather file.
#[derive(Clone, Debug, PartialEq)]
pub enum Implausible {
    /// Months that lack more than a few of their hours: month, hours without a temperature, hours of the month.
    Gaps(Vec<(u8, f64, f64)>),
    /// The dew point lies above the dry-bulb by more than both are rounded.
    DewPoint {
        /// In so many hours.
        hours: f64,
        /// The first of them.
        first: Moment,
    },
    /// The dry-bulb jumps from one record to the next.
    Jump {
        /// So many times.
        times: usize,
        /// By so much at most, K.
        maximum_K: f64,
        /// The hour after the greatest.
        at: Moment,
    },
    /// The dry-bulb stands still.
    Still {
        /// In so many stretches.
        stretches: usize,
        /// The longest of them, h.
        hours: f64,
        /// At that, K.
        kelvin: f64,
        /// From that hour on.
        from: Moment,
    },
}

impl Weather {
    /// Months that lack more than a few of their hours: month, hours without a temperature, hours of the month.
    #[must_use]
    pub fn gaps(&self) -> Vec<(u8, f64, f64)> {
        let lacks = |month: u8| {
            let told =
                self.records.iter().filter(|record| record.month == month && record.dry_bulb_K.is_some()).count();
            let all = f64::from(month_days(month, self.leap)) * 24.0;
            (month, all - self.hours_of(told), all)
        };
        (1..=12).map(lacks).filter(|(_, lacking, _)| *lacking > A_FEW).collect()
    }

    /// All that is unlikely in it; none of a file that can be taken as it is.
    #[must_use]
    pub fn doubts(&self) -> Vec<Implausible> {
        let gaps = self.gaps();
        let gaps = (!gaps.is_empty()).then_some(Implausible::Gaps(gaps));
        [gaps, self.above_dry_bulb(), self.jumps(), self.still()].into_iter().flatten().collect()
    }

    fn above_dry_bulb(&self) -> Option<Implausible> {
        let mut above = self.records.iter().filter(|record| record.above_dry_bulb() > ABOVE_DRY_BULB);
        let first = moment(above.next()?);
        Some(Implausible::DewPoint { hours: self.hours_of(above.count() + 1), first })
    }

    /// Records with a dry-bulb that follow one another within an hour, and by how much the dry-bulb changes, K.
    fn steps(&self) -> impl Iterator<Item = (&Record, f64)> {
        let hour = |record: &Record| u32::from(record.day_of_year) * 24 + u32::from(record.hour);
        self.records.windows(2).filter_map(move |pair| {
            let [before, after] = pair else { return None };
            let (from, to) = (before.dry_bulb_K?, after.dry_bulb_K?);
            (hour(after).checked_sub(hour(before))? <= 1).then_some((after, to - from))
        })
    }

    fn jumps(&self) -> Option<Implausible> {
        let jumps = || self.steps().filter(|(_, change)| change.abs() > JUMP_K);
        let (at, maximum) = jumps().max_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()))?;
        Some(Implausible::Jump { times: jumps().count(), maximum_K: maximum.abs(), at: moment(at) })
    }

    fn still(&self) -> Option<Implausible> {
        // Exact: a stuck instrument gives the same digits.
        let same = |a: &Record, b: &Record| a.dry_bulb_K.is_some() && a.dry_bulb_K == b.dry_bulb_K;
        let stretches = || {
            let of = self.records.chunk_by(same);
            of.filter(|stretch| self.hours_of(stretch.len()) > STILL_H && stretch[0].dry_bulb_K.is_some())
        };
        let longest = stretches().max_by_key(|stretch| stretch.len())?;
        let first = longest.first()?;
        Some(Implausible::Still {
            stretches: stretches().count(),
            hours: self.hours_of(longest.len()),
            kelvin: first.dry_bulb_K?,
            from: moment(first),
        })
    }
}

fn moment(record: &Record) -> Moment {
    (record.month, record.day, record.hour)
}

fn said((month, day, hour): Moment) -> String {
    when(month, day, hour)
}

impl Implausible {
    /// In a sentence or two.
    #[must_use]
    pub fn says(&self, units: System) -> String {
        match self {
            Implausible::Gaps(months) => {
                let name = |month: u8| MONTHS.get(usize::from(month).wrapping_sub(1)).copied().unwrap_or_default();
                let lacks = |(month, lacking, all): &(u8, f64, f64)| {
                    if lacking < all {
                        format!("{} lacks {} of its {all}", name(*month), units.hours(*lacking))
                    } else {
                        format!("{} is not in it", name(*month))
                    }
                };
                let months: Vec<String> = months.iter().map(lacks).collect();
                format!(
                    "The weather file does not tell the whole year: {}. The design temperatures and every count of hours are \
                     those of the rest.",
                    months.join(", ")
                )
            }
            Implausible::DewPoint { hours, first } => format!(
                "The dew point lies more than {} above the dry-bulb in {}, first on {}: no air has that.",
                units.difference(ABOVE_DRY_BULB),
                units.hours(*hours),
                said(*first),
            ),
            Implausible::Jump { times, maximum_K, at } => {
                let others = match times {
                    0 | 1 => String::new(),
                    2 => format!(", and by more than {} in one hour more", units.difference(JUMP_K)),
                    more => format!(", and by more than {} in {} hours more", units.difference(JUMP_K), more - 1),
                };
                format!(
                    "The dry-bulb jumps by {} to that of {}{others}: the value before or after it is hardly true.",
                    units.difference(*maximum_K),
                    said(*at)
                )
            }
            Implausible::Still { stretches, hours, kelvin, from } => {
                let others = match stretches {
                    0 | 1 => String::new(),
                    2 => "; another stretch is as suspect".to_owned(),
                    more => format!("; {} more stretches are as suspect", more - 1),
                };
                format!(
                    "The dry-bulb is at {} for {} from {} on, as where an instrument sticks{others}.",
                    units.temperature(*kelvin),
                    units.hours(*hours),
                    said(*from)
                )
            }
        }
    }
}
