//! The first reading of a file: what every column holds, before it is said what it is.

use super::cell::Cell;
use super::slip::{Run, Watch};
use super::steps::Steps;
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
/// A pressure that changes by more than that alone has not followed a start or a stop, as a logarithm.
const LEAPT: f64 = 0.92;
/// So long a value stands for its column in rows that do not hold it, s: readings, and states, which may be logged on change.
const JOINED: [i64; 2] = [4_500, 86_400];
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
    /// Steps between its values.
    pub steps: Steps,
    /// Values that are the same as the one before.
    pub repeats: u64,
    /// Last value and its time, for rows that do not hold the column.
    last: Option<(f64, i64)>,
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
    /// Rows evenly over the file: their time and what was last said in each column, NaN for nothing.
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
    steps: Steps,
    by_name: &'a dyn Fn(&str) -> Option<Point>,
    /// What the discharge pressure as written is multiplied with to be in the unit of the suction pressure.
    pub in_unit_of_suction: f64,
    /// Both as they were in the row before, as they would be in the unit of the rest.
    before: [f64; 2],
    /// Whether the machine ran then.
    ran: bool,
    /// When something started or stopped last, s.
    moved_at: i64,
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
            steps: Steps::default(),
            by_name,
            in_unit_of_suction: 1.0,
            before: [f64::NAN; 2],
            ran: true,
            moved_at: i64::MIN,
        }
    }

    /// The file is at its end.
    pub fn finish(&mut self) {
        self.row_done();
        let at = self.at;
        for (column, held) in self.held.iter_mut().enumerate() {
            held.watch.finish(at, &mut held.slips);
            held.end_of_same(at);
            held.by_majority([self.first, at]);
            // What is written in another unit tells nothing of the unit of the rest.
            for run in &held.slips {
                let within = self.sample.iter_mut().filter(|(at, _)| (run.from..=run.to).contains(at));
                within.filter_map(|(_, row)| row.get_mut(column)).for_each(|value| *value = f64::NAN);
            }
        }
    }

    /// Steps between values of the columns that are known and hold no states, each with whether it is regular.
    fn steps_of_columns(&self) -> impl Iterator<Item = Option<i64>> {
        let known = self.held.iter().zip(&self.points).filter(|(held, point)| {
            let state = point.is_none_or(|point| matches!(point.measured(), Measured::Count | Measured::Share));
            !state && held.values > 1
        });
        known.map(|(held, _)| held.steps.regular())
    }

    /// The usual time between two rows, s; where all columns have rows of their own, that between values of a column.
    #[must_use]
    pub fn interval(&self) -> i64 {
        let all = self.steps_of_columns().count();
        let regular: Vec<i64> = self.steps_of_columns().flatten().collect();
        // One that is logged on change may stand beside them.
        let of_columns = regular.iter().min().filter(|_| 10 * regular.len() >= 8 * all);
        of_columns.copied().or(self.steps.usual()).unwrap_or(60)
    }

    /// Whether most columns are logged on change, so that nothing may be logged for a while.
    #[must_use]
    pub fn on_change(&self) -> bool {
        2 * self.steps_of_columns().flatten().count() < self.steps_of_columns().count()
    }

    /// So much later than others a column may be logged, s: nothing where all stand in the same rows.
    #[must_use]
    pub fn skew(&self) -> i64 {
        let (times, interval) = (i64::try_from(self.times).unwrap_or(i64::MAX), self.interval());
        if 2 * times.saturating_mul(interval) > 3 * (self.length() + interval) { interval } else { 0 }
    }

    /// Time from the first to the last row, s.
    #[must_use]
    pub fn length(&self) -> i64 {
        self.at - self.first
    }

    /// What a column holds now; its last value where the row does not hold it.
    fn joined(&self, column: usize) -> f64 {
        let Some((value, since)) = self.held.get(column).and_then(|held| held.last) else { return f64::NAN };
        let state = matches!(self.points.get(column), Some(Some(Point::Running | Point::Share | Point::FansTurn)));
        if self.at - since <= JOINED[usize::from(state)] { value } else { f64::NAN }
    }

    fn column_of(&self, reading: Reading) -> Option<usize> {
        self.points.iter().position(|of| *of == Some(Point::Of(reading)))
    }

    /// Both pressures as they are now, in the unit of the suction and as they would be without a slip.
    fn pressures(&self) -> [f64; 2] {
        let now = |reading| {
            let Some(column) = self.column_of(reading) else { return f64::NAN };
            self.held.get(column).map_or(f64::NAN, |held| held.watch.as_the_rest(self.joined(column)))
        };
        [now(Reading::DischargePressure) * self.in_unit_of_suction, now(Reading::SuctionPressure)]
    }

    fn moved(&self, now: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|k| (now[k] / self.before[k]).ln().abs())
    }

    /// What columns of states say: whether something runs; none where there are none that do.
    fn runs_by_state(&self) -> Option<bool> {
        let states = (0..self.points.len()).filter(|column| self.points[*column] == Some(Point::Running));
        let sum: Option<f64> = states.map(|column| self.joined(column)).reduce(|sum, state| sum + state);
        sum.filter(|sum| sum.is_finite()).map(|sum| sum > 0.0)
    }

    /// Whether the machine runs by what is said of it, else by its pressures as written; where they are not there, it does.
    fn runs(&self) -> bool {
        if let Some(runs) = self.runs_by_state() {
            return runs;
        }
        let now = self.pressures();
        let [high, low] = now;
        if high.is_nan() || low.is_nan() {
            return true;
        }
        // A start or a stop moves both: where one leaps alone, it is written otherwise.
        let alone = |a: f64, b: f64| a > LEAPT && b < CALM;
        let [a, b] = self.moved(now);
        if alone(a, b) || alone(b, a) { self.ran } else { high.max(low) > RUNS * high.min(low).max(1e-6) }
    }

    fn hear(&mut self, column: usize, runs: bool) {
        let Some(&value) = self.row.get(column).filter(|value| value.is_finite()) else { return };
        let measured = self.points.get(column).copied().flatten().map(Point::measured);
        let held = &mut self.held[column];
        let calm = held.watch.heard >= self.moved_at;
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

    fn row_done(&mut self) {
        if self.times == 0 {
            return;
        }
        let runs = self.runs();
        let pressures = [Reading::DischargePressure, Reading::SuctionPressure].map(|reading| self.column_of(reading));
        for column in pressures.into_iter().flatten() {
            self.hear(column, runs);
        }
        // A slip of the pressures that has just been seen is no movement.
        let now = self.pressures();
        if self.ran != runs || self.moved(now).iter().any(|moved| *moved > CALM) {
            self.moved_at = self.at;
        }
        (self.before, self.ran) = (now, runs);
        for column in (0..self.held.len()).filter(|column| !pressures.contains(&Some(*column))) {
            self.hear(column, runs);
        }
        if self.times.is_multiple_of(self.every) {
            self.sample.push((self.at, (0..self.held.len()).map(|column| self.joined(column)).collect()));
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
        if self.times == 0 {
            self.first = at;
        } else {
            self.steps.hear(at - self.at);
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
                held.last = None;
                return;
            }
            Cell::Fault => {
                held.faults += 1;
                held.last = None;
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
        if let Some((last, since)) = held.last {
            held.steps.hear(self.at - since);
            held.repeats += u64::from(last.to_bits() == value.to_bits());
        }
        held.last = Some((value, self.at));
        self.row[column] = value;
    }
}
