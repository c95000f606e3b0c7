//! What became of the rows of a trend: how many were read, which were broken, and whether they stand in the order of time.

/// What became of the rows.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// Rows read.
    pub read: u64,
    /// Rows that could not be used.
    pub broken: u64,
    /// The first of them, each in a line.
    pub first_broken: Vec<String>,
    /// Rows that stand before those they follow.
    pub earlier: u64,
    /// The line of the first of them.
    pub(super) first_earlier: u64,
    /// Steps between rows, forward and back in time.
    steps: [u64; 2],
    /// The time of the row before, s by the clock on the wall.
    before: Option<i64>,
    /// How often an hour of local time was repeated.
    pub repeated: u32,
    /// How often an hour of local time was left out.
    pub skipped: u32,
    /// Names of the points of a long file, by their column.
    pub points: Vec<String>,
    /// Units of these.
    pub point_units: Vec<String>,
}

/// Of so many rows more than one that comes too early is no accident.
const EARLIER: u64 = 10;

impl Rows {
    /// Hears the time of a row, s by the clock on the wall.
    pub(super) fn steps(&mut self, local: i64) {
        if let Some(before) = self.before.replace(local) {
            self.steps[0] += u64::from(local > before);
            self.steps[1] += u64::from(local < before);
        }
    }

    /// Why its rows are in no order that can be read in one go.
    pub(super) fn disordered(&self, long: bool) -> Option<String> {
        if self.earlier * EARLIER <= self.read {
            return None;
        }
        let [forward, back] = self.steps;
        Some(if back > EARLIER * forward {
            "has its newest rows first: sort it by time, the oldest row first".to_owned()
        } else if long && back <= self.points.len() as u64 {
            "has all values of one point before those of the next: sort it by time, so that all points go on together"
                .to_owned()
        } else {
            format!(
                "is not in the order of time: {} of {} rows are older than rows above them, the first in line {}. Sort it by time",
                self.earlier, self.read, self.first_earlier
            )
        })
    }
}
