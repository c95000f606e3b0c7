//! The first reading of a file: what every column holds, before it is said what it is.

use super::cell::Cell;
use super::slip::{Run, Watch};
use super::table::Hears;
use crate::job::{Measured, Point, Reading};

/// Rows that are kept as a sample, evenly over the file.
const SAMPLE: usize = 2048;
/// A reading that stays the same to the last digit for so long while the machine runs is stuck, s: with decimals, and without.
const STUCK: [i64; 2] = [6 * 3600, 30 * 3600];
/// And for so many values.
const STUCK_VALUES: u32 = 24;
/// Discharge over suction as written, past which the machine runs.
const RUNS: f64 = 1.3;
/// A pressure that changes by more than that from row to row, as a logarithm, says that something started or stopped.
const CALM: f64 = 0.15;
/// Stretches that are kept of a column.
const KEPT: usize = 500;

/// A stretch of time in which a column says nothing: s on the clock that never jumps.
pub type Stretch = [i64; 2];

/// What a column holds, as written.
#[derive(Clone, Debug, Default)]
pub struct Held {
    /// Values.
    pub values: u64,
    /// Least and greatest.
    pub range: Option<[f64; 2]>,
    /// The same while it is written in another unit.
    slipped: Option<[f64; 2]>,
    /// Cells with a word or a number that is no value.
    pub faults: u64,
    /// Cells that say that there is none.
    pub missing: u64,
    /// Cells with a state.
    pub states: u64,
    /// Cells in per cent.
    pub percents: u64,
    /// The unit behind its numbers.
    pub unit: String,
    /// Stretches in which it was stuck.
    pub stuck: Vec<Stretch>,
    /// Stretches in which it was written in another unit.
    pub slips: Vec<Run>,
    /// Last value, since when, and how many times.
    same: Option<(f64, i64, u32)>,
    watch: Watch,
}

/// The first reading.
pub struct Scan<'a> {
    /// By column.
    pub held: Vec<Held>,
    /// What each column is by its name.
    pub points: Vec<Option<Point>>,
    /// Rows evenly over the file: their time and what stood in each column, NaN for nothing.
    pub sample: Vec<(i64, Vec<f64>)>,
    /// First and last time by the clock on the wall.
    pub span: Option<[i64; 2]>,
    /// The first time on the clock that never jumps, s.
    pub first: i64,
    /// Times.
    pub times: u64,
    every: u64,
    row: Vec<f64>,
    at: i64,
    /// Rows between each two that are sampled, s, for the usual time between rows.
    steps: Vec<i64>,
    by_name: &'a dyn Fn(&str) -> Option<Point>,
    /// What the discharge pressure as written is multiplied with to be in the unit of the suction pressure.
    pub in_unit_of_suction: f64,
    /// Both as they were in the row before.
    before: [f64; 2],
}

impl<'a> Scan<'a> {
    /// Of a wide file's columns, by their names; none of a long one, whose points come as they come.
    pub fn new(points: Vec<Option<Point>>, by_name: &'a dyn Fn(&str) -> Option<Point>) -> Self {
        let columns = points.len();
        Self {
            held: vec![Held::default(); columns],
            points,
            sample: Vec::new(),
            span: None,
            first: 0,
            times: 0,
            every: 1,
            row: vec![f64::NAN; columns],
            at: 0,
            steps: Vec::new(),
            by_name,
            in_unit_of_suction: 1.0,
            before: [f64::NAN; 2],
        }
    }

    /// The file is at its end.
    pub fn finish(&mut self) {
        self.row_done();
        let at = self.at;
        for held in &mut self.held {
            held.watch.finish(at, &mut held.slips);
            held.end_of_same(at);
            held.by_majority([self.first, at]);
        }
    }

    /// The usual time between two rows, s.
    #[must_use]
    pub fn interval(&self) -> i64 {
        let mut steps: Vec<i64> = self.steps.iter().copied().filter(|step| *step > 0).collect();
        steps.sort_unstable();
        steps.get(steps.len() / 2).copied().unwrap_or(60)
    }

    fn column_of(&self, point: Point) -> Option<f64> {
        let at = self.points.iter().position(|of| *of == Some(point))?;
        self.row.get(at).copied().filter(|value| value.is_finite())
    }

    /// Whether the machine runs by its pressures as written, and whether they stay where they are; both where they are not there.
    fn runs(&mut self) -> [bool; 2] {
        let [high, low] = [Reading::DischargePressure, Reading::SuctionPressure]
            .map(|reading| self.column_of(Point::Of(reading)).unwrap_or(f64::NAN));
        let high = high * self.in_unit_of_suction;
        let moved = [high, low].iter().zip(self.before).any(|(now, before)| (now / before).ln().abs() > CALM);
        self.before = [high, low];
        let runs = if high.is_nan() || low.is_nan() { true } else { high.max(low) > RUNS * high.min(low).max(1e-6) };
        [runs, !moved]
    }

    fn row_done(&mut self) {
        if self.times == 0 {
            return;
        }
        let [runs, calm] = self.runs();
        for (k, held) in self.held.iter_mut().enumerate() {
            let Some(&value) = self.row.get(k).filter(|value| value.is_finite()) else { continue };
            let measured = self.points.get(k).copied().flatten().map(Point::measured);
            if let Some(Measured::Quantity(kind)) = measured {
                held.watch.hear(kind, value, self.at, [runs, calm], &mut held.slips);
                if runs {
                    held.same_or_not(value, self.at);
                }
            }
            let range = if held.watch.slipped() { &mut held.slipped } else { &mut held.range };
            let [least, most] = range.unwrap_or([value; 2]);
            *range = Some([least.min(value), most.max(value)]);
        }
        if self.times.is_multiple_of(self.every) {
            self.sample.push((self.at, self.row.clone()));
            if self.sample.len() >= SAMPLE {
                let mut keep = false;
                self.sample.retain(|_| {
                    keep = !keep;
                    keep
                });
                self.every *= 2;
            }
        }
    }
}

impl Held {
    /// Where most of it is written in the other unit, the rest is what slipped.
    fn by_majority(&mut self, [first, last]: Stretch) {
        let slipped: u64 = self.slips.iter().map(|run| u64::from(run.values)).sum();
        if 2 * slipped <= self.values {
            return;
        }
        std::mem::swap(&mut self.range, &mut self.slipped);
        let mut from = first;
        let mut rest = Vec::new();
        for run in self.slips.drain(..) {
            if run.from > from {
                rest.push(Run { from, to: run.from - 1, says: "another unit", values: 0 });
            }
            from = run.to + 1;
        }
        if from < last {
            rest.push(Run { from, to: last, says: "another unit", values: 0 });
        }
        self.slips = rest;
    }

    fn same_or_not(&mut self, value: f64, at: i64) {
        match &mut self.same {
            Some((same, _, count)) if same.to_bits() == value.to_bits() => *count += 1,
            _ => {
                self.end_of_same(at);
                self.same = Some((value, at, 1));
            }
        }
    }

    fn end_of_same(&mut self, at: i64) {
        if let Some((value, since, count)) = self.same
            && at - since >= STUCK[usize::from(value.fract() == 0.0)]
            && count >= STUCK_VALUES
            && self.stuck.len() < KEPT
        {
            self.stuck.push([since, at - 1]);
        }
    }
}

impl Hears for Scan<'_> {
    fn named(&mut self, column: usize, name: &str) {
        self.points.resize(column + 1, None);
        self.points[column] = (self.by_name)(name);
    }

    fn time(&mut self, at: i64, local: i64) {
        self.row_done();
        if self.times > 0 && self.steps.len() < SAMPLE && self.times.is_multiple_of(self.every) {
            self.steps.push(at - self.at);
        }
        if self.times == 0 {
            self.first = at;
        }
        self.times += 1;
        self.at = at;
        self.row.fill(f64::NAN);
        self.span = Some([self.span.map_or(local, |[first, _]| first), local]);
    }

    fn cell(&mut self, column: usize, cell: Cell, unit: &str) {
        if column >= self.held.len() {
            self.held.resize(column + 1, Held::default());
            self.row.resize(column + 1, f64::NAN);
        }
        let held = &mut self.held[column];
        let value = match cell {
            Cell::Empty => return,
            Cell::Missing => {
                held.missing += 1;
                return;
            }
            Cell::Fault => {
                held.faults += 1;
                return;
            }
            Cell::Number(value) => value,
            Cell::Percent(value) => {
                held.percents += 1;
                value
            }
            Cell::State(on) => {
                held.states += 1;
                f64::from(on)
            }
        };
        if held.unit.is_empty() && !unit.is_empty() {
            unit.clone_into(&mut held.unit);
        }
        held.values += 1;
        self.row[column] = value;
    }
}
