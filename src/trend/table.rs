//! How a trend file is written: what parts its cells, where its head ends, which column is the time, wide or long.

use super::cell::{self, Cell, Decimal};
use super::point::words;
use super::rows::Rows;
use super::time::{self, Axis, Clock, Order, Timing};
use csv::{ByteRecord, ReaderBuilder};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

/// So much of a file tells how it is written, bytes.
const HEAD: u64 = 256 * 1024;
/// Rows in which the head ends.
const HEAD_ROWS: usize = 120;
/// Columns, or points of a long file, that are looked at.
pub(super) const MOST_COLUMNS: usize = 400;
/// So far apart days of a file do not lie, s: by it is told which number of a date is the month.
const FAR: i64 = 20 * 86_400;
/// So near they lie.
const NEAR: i64 = 4 * 86_400;
/// Broken rows that are told with their place.
const TOLD: usize = 12;

/// Wide: a row a time, a column a point. Long: a row a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A row a time.
    Wide,
    /// A row a value: the columns of point, value, and, where they are there, unit and quality.
    Long {
        /// Column of the point's name.
        point: usize,
        /// Column of its value.
        value: usize,
        /// Column of its unit.
        unit: Option<usize>,
        /// Column of its quality.
        quality: Option<usize>,
    },
}

/// How a file is written.
#[derive(Clone, Debug)]
pub struct Table {
    file: PathBuf,
    delimiter: u8,
    /// Rows before the first with data.
    skip: usize,
    /// Names of the columns.
    pub names: Vec<String>,
    /// What a second row says of their units.
    pub units: Vec<String>,
    /// Column of the time.
    pub time: usize,
    /// Column of the time of day, where date and time are apart.
    time_of_day: Option<usize>,
    /// Wide or long.
    pub shape: Shape,
    /// How numbers are written.
    pub decimal: Decimal,
    /// Month or day first, where it has to be known.
    pub order: Option<Order>,
}

/// Why a trend can't be used.
#[derive(Clone, Debug, thiserror::Error)]
#[error("{0}")]
pub struct Unusable(pub String);

impl From<io::Error> for Unusable {
    fn from(error: io::Error) -> Self {
        Self(format!("cannot be read: {error}"))
    }
}

impl From<csv::Error> for Unusable {
    fn from(error: csv::Error) -> Self {
        Self(format!("cannot be read: {error}"))
    }
}

/// What hears a file row by row.
pub trait Hears {
    /// A time begins, s on a clock that never jumps, and by the clock on the wall.
    fn time(&mut self, at: i64, local: i64);
    /// What a column holds at that time, and the unit behind its number.
    fn cell(&mut self, column: usize, cell: Cell, unit: &str);
    /// A point of a long file comes for the first time.
    fn named(&mut self, _column: usize, _name: &str) {}
}

fn text(record: &ByteRecord, column: usize) -> Cow<'_, str> {
    String::from_utf8_lossy(record.get(column).unwrap_or_default())
}

fn records(delimiter: u8, source: impl Read) -> csv::Reader<impl Read> {
    ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(source)
}

fn is_time(text: &str) -> bool {
    [Order::MonthFirst, Order::DayFirst].iter().any(|order| Clock::new(*order).read(text).is_some())
}

/// Column of the time of a row, and that of the time of day where it stands beside the date.
fn time_columns(record: &ByteRecord) -> Option<(usize, Option<usize>)> {
    for column in 0..record.len().min(4) {
        let date = text(record, column);
        // A number alone is a time only in the first column, and only where a spreadsheet or a clock of seconds would write it.
        if date.trim().parse::<f64>().is_ok() && (column > 0 || date.trim().len() < 5) {
            continue;
        }
        if !is_time(&date) {
            continue;
        }
        let beside = text(record, column + 1);
        let apart = !date.contains(':') && beside.contains(':') && is_time(&format!("{date} {beside}"));
        return Some((column, apart.then_some(column + 1)));
    }
    None
}

/// A row of units: at least two units and no number.
fn is_units(record: &ByteRecord) -> bool {
    let known = |text: &str| super::unit::is_unit(text);
    let cells: Vec<Cow<'_, str>> = (0..record.len()).map(|column| text(record, column)).collect();
    let filled: Vec<&str> = cells.iter().map(|cell| cell.trim()).filter(|cell| !cell.is_empty()).collect();
    let units = filled.iter().filter(|cell| known(cell)).count();
    units >= 2 && 2 * units >= filled.len()
}

struct Sniffed {
    delimiter: u8,
    columns: usize,
    first: usize,
    time: (usize, Option<usize>),
    rows: Vec<ByteRecord>,
}

fn sniff(head: &[u8], delimiter: u8) -> Option<Sniffed> {
    let rows: Vec<ByteRecord> =
        records(delimiter, head).into_byte_records().take(HEAD_ROWS).collect::<Result<_, _>>().ok()?;
    let first = rows.iter().position(|row| row.len() > 1 && time_columns(row).is_some())?;
    let time = time_columns(&rows[first])?;
    Some(Sniffed { delimiter, columns: rows[first].len(), first, time, rows })
}

/// Whether numbers of the first rows are written with a comma.
fn decimal_of(sniffed: &Sniffed) -> Decimal {
    let is = |text: &str, mark: char| {
        let text = text.trim().trim_start_matches('-');
        text.split_once(mark).is_some_and(|(whole, fraction)| {
            let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
            digits(whole) && digits(fraction)
        })
    };
    let (mut comma, mut point) = (0, 0);
    for row in &sniffed.rows[sniffed.first..] {
        for column in (0..row.len()).filter(|column| *column != sniffed.time.0) {
            let cell = text(row, column);
            comma += u32::from(is(&cell, ','));
            point += u32::from(is(&cell, '.'));
        }
    }
    if comma > point { Decimal::Comma } else { Decimal::Point }
}

fn shape_of(names: &[String]) -> Shape {
    let find = |any: &[&str]| names.iter().position(|name| words(name).iter().any(|word| any.contains(&word.as_str())));
    let point =
        find(&["point", "tag", "sensor", "object", "item", "variable", "channel", "signal", "parameter", "name"]);
    match (point, find(&["value", "val", "reading"])) {
        (Some(point), Some(value)) if point != value && names.len() <= 10 => {
            let unit = find(&["unit", "units", "uom"]).filter(|unit| *unit != point && *unit != value);
            let quality = find(&["quality", "status", "flag", "reliability"]);
            let quality = quality.filter(|quality| *quality != point && *quality != value);
            Shape::Long { point, value, unit, quality }
        }
        _ => Shape::Wide,
    }
}

impl Table {
    /// How a file is written; `order` is what was said of its dates.
    ///
    /// # Errors
    /// [`Unusable`] where it is no table with a time in each row, or its dates can be read in two ways.
    pub fn open(file: &Path, order: Option<Order>) -> Result<Self, Unusable> {
        let about = std::fs::metadata(file)?;
        if !about.is_file() {
            return Err(Unusable("is no file: a trend is read twice, so it can't come through a pipe".to_owned()));
        }
        let mut head = Vec::new();
        File::open(file)?.take(HEAD).read_to_end(&mut head)?;
        if head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff]) {
            return Err(Unusable("is UTF-16: save it as UTF-8".to_owned()));
        }
        if head.iter().all(u8::is_ascii_whitespace) {
            return Err(Unusable("is empty".to_owned()));
        }
        if about.len() > HEAD {
            // The last row of the head may be cut.
            head.truncate(head.iter().rposition(|b| *b == b'\n').map_or(head.len(), |at| at + 1));
        }
        let all = [b',', b';', b'\t', b'|'].into_iter().filter_map(|delimiter| sniff(&head, delimiter));
        let sniffed = all.max_by_key(|sniffed| sniffed.columns).ok_or_else(|| {
            Unusable(
                "has no row that begins with a time and has a value beside it, such as 2026-07-14 15:00, 95.1"
                    .to_owned(),
            )
        })?;
        let mut above = sniffed.first;
        let units = above.checked_sub(1).filter(|row| is_units(&sniffed.rows[*row])).map(|row| {
            above = row;
            sniffed.rows[row].clone()
        });
        let names = above
            .checked_sub(1)
            .map(|row| &sniffed.rows[row])
            .ok_or_else(|| Unusable("has no head: name its columns in a row above the first".to_owned()))?;
        let all = |row: &ByteRecord| -> Vec<String> {
            let cells = (0..sniffed.columns.max(names.len()).min(MOST_COLUMNS)).map(|column| text(row, column));
            cells.map(|cell| cell.trim().replace('\u{fffd}', "°")).collect()
        };
        let names = all(names);
        let decimal = decimal_of(&sniffed);
        let mut table = Self {
            file: file.to_owned(),
            delimiter: sniffed.delimiter,
            skip: sniffed.first,
            units: units.as_ref().map(all).unwrap_or_default(),
            time: sniffed.time.0,
            time_of_day: sniffed.time.1,
            shape: shape_of(&names),
            names,
            decimal,
            order,
        };
        let date = text(&sniffed.rows[sniffed.first], table.time);
        if table.order.is_none() && time::needs_order(&date) {
            table.order = Some(table.find_order()?);
        }
        Ok(table)
    }

    fn reader(&self) -> Result<csv::Reader<impl Read + use<>>, Unusable> {
        Ok(records(self.delimiter, BufReader::with_capacity(1 << 16, File::open(&self.file)?)))
    }

    /// Whether month or day comes first: by a day past the twelfth, else by the days following each other.
    fn find_order(&self) -> Result<Order, Unusable> {
        let mut reader = self.reader()?;
        let mut record = ByteRecord::new();
        let both = [Order::MonthFirst, Order::DayFirst];
        let mut clocks = both.map(Clock::new);
        let mut last: [Option<i64>; 2] = [None; 2];
        let mut widest = [0_i64; 2];
        let mut seen = String::new();
        let mut rows = 0;
        while reader.read_byte_record(&mut record)? {
            rows += 1;
            let date = text(&record, self.time);
            let day = date.split([' ', 'T']).next().unwrap_or_default();
            if rows <= self.skip || day == seen {
                continue;
            }
            day.clone_into(&mut seen);
            if let Some(order) = time::order_of(&date) {
                return Ok(order);
            }
            for k in 0..2 {
                if let Some(stamp) = clocks[k].read(&date) {
                    if let Some(last) = last[k] {
                        let step = stamp.local - last;
                        // Days that go back do not follow each other either.
                        widest[k] = widest[k].max(if step < -NEAR { FAR } else { step });
                    }
                    last[k] = Some(stamp.local);
                }
            }
        }
        match (widest[0], widest[1]) {
            (month, day) if month <= NEAR && day >= FAR => Ok(Order::MonthFirst),
            (month, day) if day <= NEAR && month >= FAR => Ok(Order::DayFirst),
            _ => Err(Unusable(format!(
                "has dates that can be read in two ways, such as {seen}: say --dates month-first or --dates day-first"
            ))),
        }
    }

    /// Tells every row to what hears it; `progress` hears from 0 to 1.
    ///
    /// # Errors
    /// [`Unusable`] where the file can't be read.
    pub fn tell(&self, hears: &mut dyn Hears, progress: &dyn Fn(f64)) -> Result<Rows, Unusable> {
        let length = std::fs::metadata(&self.file)?.len().max(1);
        let mut reader = self.reader()?;
        let mut record = ByteRecord::new();
        let mut clock = Clock::new(self.order.unwrap_or(Order::MonthFirst));
        let mut axis = Axis::default();
        let mut rows = Rows::default();
        let mut points: BTreeMap<Vec<u8>, usize> = BTreeMap::new();
        let (mut count, mut now) = (0_usize, None);
        while reader.read_byte_record(&mut record)? {
            count += 1;
            if count <= self.skip {
                continue;
            }
            rows.read += 1;
            let position = record.position();
            if rows.read % 4096 == 0 {
                let byte = position.map_or(0, csv::Position::byte);
                #[expect(clippy::cast_precision_loss, reason = "a share of a file")]
                progress(byte as f64 / length as f64);
            }
            let stamp = match self.time_of_day {
                None => clock.read(&text(&record, self.time)),
                Some(of_day) => clock.read(&format!("{} {}", text(&record, self.time), text(&record, of_day))),
            };
            let whole = record.len() >= self.names.len().min(MOST_COLUMNS)
                && (self.names.len()..record.len()).all(|more| text(&record, more).trim().is_empty());
            let Some(stamp) = stamp.filter(|_| whole) else {
                rows.broken += 1;
                if rows.first_broken.len() < TOLD {
                    let line = position.map_or(0, csv::Position::line);
                    let why = if stamp.is_some() {
                        format!("{} cells where the head has {}", record.len(), self.names.len())
                    } else {
                        format!("`{}` is no time", short(&text(&record, self.time)))
                    };
                    rows.first_broken.push(format!("line {line}: {why}"));
                }
                continue;
            };
            rows.steps(stamp.local);
            let Timing::At(at) = axis.place(stamp) else {
                if rows.earlier == 0 {
                    rows.first_earlier = position.map_or(0, csv::Position::line);
                }
                rows.earlier += 1;
                continue;
            };
            if now != Some(at) {
                hears.time(at, stamp.local);
                now = Some(at);
            }
            match self.shape {
                Shape::Wide => self.wide(&record, hears),
                Shape::Long { .. } => self.long(&record, hears, &mut points, &mut rows),
            }
        }
        (rows.repeated, rows.skipped) = (axis.repeated, axis.skipped);
        match rows.disordered(matches!(self.shape, Shape::Long { .. })) {
            Some(why) => Err(Unusable(why)),
            None => Ok(rows),
        }
    }

    fn wide(&self, record: &ByteRecord, hears: &mut dyn Hears) {
        for column in 0..self.names.len() {
            if self.is_time(column) {
                continue;
            }
            let cell = text(record, column);
            let (cell, unit) = cell::read(&cell, self.decimal);
            hears.cell(column, cell, unit);
        }
    }

    fn long(&self, record: &ByteRecord, hears: &mut dyn Hears, points: &mut BTreeMap<Vec<u8>, usize>, rows: &mut Rows) {
        let Shape::Long { point, value, unit, quality } = self.shape else { return };
        let name = record.get(point).unwrap_or_default();
        let column = match points.get(name) {
            Some(column) => *column,
            None if points.len() >= MOST_COLUMNS => return,
            None => {
                points.insert(name.to_owned(), points.len());
                let name = text(record, point).trim().replace('\u{fffd}', "°");
                hears.named(points.len() - 1, &name);
                rows.points.push(name);
                rows.point_units.push(unit.map_or(String::new(), |unit| text(record, unit).trim().to_owned()));
                points.len() - 1
            }
        };
        let good = ["", "good", "ok", "normal", "valid", "true", "192", "0", "{ok}"];
        let is_good = quality.is_none_or(|quality| {
            let says = text(record, quality);
            good.iter().any(|word| says.trim().eq_ignore_ascii_case(word))
        });
        let cell = text(record, value);
        let (read, unit) = cell::read(&cell, self.decimal);
        hears.cell(column, if is_good { read } else { Cell::Fault }, unit);
    }

    /// Whether a column holds times.
    #[must_use]
    pub fn is_time(&self, column: usize) -> bool {
        column == self.time || Some(column) == self.time_of_day
    }

    /// What separates its cells, in words.
    #[must_use]
    pub fn separated_by(&self) -> &'static str {
        match self.delimiter {
            b',' => "commas",
            b';' => "semicolons",
            b'\t' => "tabs",
            _ => "bars",
        }
    }
}

fn short(text: &str) -> String {
    let shown: String = text.trim().chars().take(24).collect();
    if text.trim().chars().count() > 24 { format!("{shown}...") } else { shown }
}
