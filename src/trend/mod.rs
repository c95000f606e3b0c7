//! A trend: what a controller or a logger wrote down over days, as a CSV file.
//!
//! It is read twice, in constant memory: first it is said what every column is taken for, then the moments are told one after another.

mod cell;
mod exchanged;
mod point;
mod rows;
mod sampled;
mod scan;
mod slip;
mod steps;
mod table;
mod taken;
mod time;
mod unit;
mod whose;

pub use rows::Rows;
pub use sampled::Scene;
pub use table::{Shape, Table, Unusable};
pub use taken::{Column, Columns};
pub use time::{Order, iso, shown};

use crate::job::{POINTS, Point, Reading};
use cell::Cell;
use scan::Scan;
use std::path::Path;
use table::Hears;
use whose::Labels;

/// Points at once.
const MANY: usize = POINTS.len();

/// Pressures that a sensor gives, Pa: others are spikes.
const PRESSURES: std::ops::Range<f64> = 2e4..8e6;
/// And temperatures, K.
const HOTTEST: f64 = 480.0;

/// Rows further apart than so many of their usual distance, and than this, s, have a gap between them.
const GAP: (i64, i64) = (3, 900);
/// The same of a long file that is logged on change, s: at night nothing may change for a while (assumption).
const QUIET: i64 = 7_200;

/// A trend, its columns taken for what they are.
pub struct Log {
    table: Table,
    /// Its columns.
    pub columns: Vec<Column>,
    /// What was taken otherwise than it stands there, each in a line.
    pub told: Vec<String>,
    /// What became of its rows.
    pub rows: Rows,
    /// The usual time between two rows, s.
    pub interval: i64,
    /// So much later than others a column may be logged, s.
    pub skew: i64,
    /// Rows further apart than that, s, have a gap between them.
    pub gap: i64,
    /// First and last time by the clock on the wall, s.
    pub span: [i64; 2],
    /// Stretches in another unit: the column, from and to on the clock that never jumps, how.
    pub slips: Vec<(usize, [i64; 2], &'static str)>,
    /// Stretches in which a column was stuck.
    pub stuck: Vec<(usize, [i64; 2])>,
    /// Fans that there are, where each is logged.
    pub fans: Option<f64>,
    /// The clock on the wall less the one that never jumps at the beginning, s.
    shift: i64,
}

/// A moment of a trend.
#[derive(Clone, Debug)]
pub struct Moment {
    /// s on a clock that never jumps.
    pub at: i64,
    /// By the clock on the wall.
    pub local: i64,
    values: [f64; MANY],
}

impl Moment {
    /// A moment with what something says of each point.
    pub(crate) fn of(at: i64, local: i64, value: impl Fn(Point) -> Option<f64>) -> Self {
        let mut values = [f64::NAN; MANY];
        for (slot, point) in values.iter_mut().zip(POINTS) {
            *slot = value(*point).unwrap_or(f64::NAN);
        }
        Self { at, local, values }
    }

    /// What was logged, SI; none where nothing was or it no longer holds.
    #[must_use]
    pub fn get(&self, point: Point) -> Option<f64> {
        let at = POINTS.iter().position(|of| *of == point)?;
        Some(self.values[at]).filter(|value| value.is_finite())
    }
}

impl Log {
    /// Reads a file for the first time; `order` is what was said of its dates, `progress` hears from 0 to 1.
    ///
    /// # Errors
    /// [`Unusable`] where it is no trend.
    pub fn read(
        file: &Path,
        order: Option<Order>,
        scene: &Scene<'_>,
        progress: &dyn Fn(f64),
    ) -> Result<Self, Unusable> {
        let table = Table::open(file, order)?;
        let labels = Labels::new(scene);
        let by_name = |name: &str| labels.point_of(name);
        let long = table.shape != Shape::Wide;
        let points = if long { Vec::new() } else { labels.points(&table.names)?.0 };
        let mut scan = Scan::new(points, &by_name);
        let slope = |reading: Reading| {
            let column = scan.points.iter().position(|point| *point == Some(Point::Of(reading)))?;
            unit::slope(Point::Of(reading), &table.names[column], table.units.get(column))
        };
        let slopes = slope(Reading::DischargePressure).zip(slope(Reading::SuctionPressure));
        scan.in_unit_of_suction = slopes.map_or(1.0, |(high, low)| high / low);
        let rows = table.tell(&mut scan, progress)?;
        scan.finish();
        let span = scan.span.ok_or_else(|| Unusable("has no row with a time that can be read".to_owned()))?;
        let (names, units) = if long { (&rows.points, &rows.point_units) } else { (&table.names, &table.units) };
        let is_time = |column: usize| !long && table.is_time(column);
        let Columns { mut all, told } = taken::take(&scan, names, units, scene)?;
        let of = |column: &Column| column.number - 1;
        all.retain(|column| !is_time(of(column)));
        let held = |column: &Column| (of(column), scan.held.get(of(column)));
        let mut log = Self {
            slips: Vec::new(),
            stuck: Vec::new(),
            fans: None,
            interval: scan.interval(),
            skew: scan.skew(),
            gap: (GAP.0 * scan.interval()).max(if long && scan.on_change() { QUIET } else { GAP.1 }),
            shift: span[0] - scan.first,
            columns: Vec::new(),
            told,
            rows: Rows::default(),
            span,
            table,
        };
        for column in all.iter().filter(|column| column.point.is_some()) {
            let (at, Some(held)) = held(column) else { continue };
            log.slips.extend(held.slips.iter().map(|run| (at, [run.from, run.to], run.says)));
            log.stuck.extend(held.stuck.iter().map(|stretch| (at, *stretch)));
        }
        let fans = all.iter().filter(|column| column.point == Some(Point::FansTurn));
        let most = fans.filter_map(|column| column.range).map(|[_, most]| most.max(1.0)).sum::<f64>();
        log.fans = (most > 0.0).then_some(most);
        log.columns = all;
        log.rows = rows;
        for line in &log.rows.first_broken {
            log.told.push(line.clone());
        }
        if log.rows.broken > 0 {
            log.told.push(format!("{} of {} rows could not be used", log.rows.broken, log.rows.read));
        }
        if log.rows.earlier > 0 {
            let says = "rows are older than rows above them, and are left out";
            log.told.push(format!("{} {says}", log.rows.earlier));
        }
        Ok(log)
    }

    /// What was taken of the way it is written, in words.
    #[must_use]
    pub fn written(&self) -> String {
        let shape = if self.table.shape == Shape::Wide { "a row a time" } else { "a row a value" };
        let mut says = format!("{shape}, separated by {}", self.table.separated_by());
        if self.table.decimal == cell::Decimal::Comma {
            says.push_str(", decimal comma");
        }
        if let Some(order) = self.table.order {
            says.push_str(", ");
            says.push_str(order.says());
        }
        if self.rows.repeated > 0 {
            says.push_str(", one hour of local time repeated");
        }
        if self.rows.skipped > 0 {
            says.push_str(", one hour of local time left out as clocks went forward");
        }
        says
    }

    /// A time by the clock on the wall as it stood at the beginning, s.
    #[must_use]
    pub fn local(&self, at: i64) -> i64 {
        at + self.shift
    }

    /// Whether a point is logged.
    #[must_use]
    pub fn has(&self, point: Point) -> bool {
        self.columns.iter().any(|column| column.point == Some(point))
    }

    /// Reads the file again and tells its moments one after another.
    ///
    /// # Errors
    /// [`Unusable`] where the file can't be read any more.
    pub fn moments(&self, hears: &mut dyn FnMut(&Moment), progress: &dyn Fn(f64)) -> Result<(), Unusable> {
        let most = self.columns.iter().map(|column| column.number).max().unwrap_or(0);
        let mut by_number: Vec<Option<(usize, usize)>> = vec![None; most];
        for (k, column) in self.columns.iter().enumerate() {
            let point = column.point.and_then(|point| POINTS.iter().position(|of| *of == point));
            by_number[column.number - 1] = point.map(|point| (k, point));
        }
        let mut now = Now { log: self, by_number, last: vec![None; self.columns.len()], moment: None, hears };
        self.table.tell(&mut now, progress)?;
        now.done();
        Ok(())
    }
}

/// The second reading.
struct Now<'a> {
    log: &'a Log,
    by_number: Vec<Option<(usize, usize)>>,
    /// What each column held last, and when.
    last: Vec<Option<(f64, i64)>>,
    moment: Option<(i64, i64)>,
    hears: &'a mut dyn FnMut(&Moment),
}

impl Now<'_> {
    fn done(&mut self) {
        let Some((at, local)) = self.moment else { return };
        let mut values = [f64::NAN; MANY];
        let mut lacks = [false; MANY];
        for &(k, point) in self.by_number.iter().flatten() {
            #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
            let holds = |since: i64| (at - since) as f64 <= self.log.columns[k].hold;
            match self.last[k].filter(|(_, since)| holds(*since)) {
                Some((value, _)) if values[point].is_nan() => values[point] = value,
                // Compressors, fans and currents add up.
                Some((value, _)) => values[point] += value,
                None => lacks[point] = true,
            }
        }
        for (value, lacks) in values.iter_mut().zip(lacks) {
            if lacks {
                *value = f64::NAN;
            }
        }
        (self.hears)(&Moment { at, local, values });
    }
}

impl Hears for Now<'_> {
    fn time(&mut self, at: i64, local: i64) {
        self.done();
        if self.moment.is_some_and(|(last, _)| at - last > self.log.gap) {
            // What changed while nothing was logged is not known.
            let states = self.last.iter_mut().zip(&self.log.columns).filter(|(_, column)| column.on_change);
            states.for_each(|(last, _)| *last = None);
        }
        self.moment = Some((at, local));
    }

    fn cell(&mut self, column: usize, cell: Cell, _unit: &str) {
        let Some((k, _)) = self.by_number.get(column).copied().flatten() else { return };
        let number = match cell {
            Cell::Empty => return,
            Cell::Missing | Cell::Fault => {
                self.last[k] = None;
                return;
            }
            Cell::Number(number) | Cell::Percent(number) => number,
            Cell::State(on) => f64::from(on),
        };
        let (at, _) = self.moment.unwrap_or_default();
        let column = &self.log.columns[k];
        let out = column.out.iter().any(|[from, to]| (*from..=*to).contains(&at));
        let value = column.to_si[0] + column.to_si[1] * number;
        let may_be = match column.point.map(Point::unit) {
            Some("Pa") => PRESSURES.contains(&value),
            Some("K") => value < HOTTEST,
            _ => value.is_finite(),
        };
        self.last[k] = (!out && may_be).then_some((value, at));
    }
}
