//! Trends as loggers write them and as hands spoil them: columns with times of their own, states on change, several circuits in a file,
//! units that are not those of the head, rows out of order. The machine is the model's own; units go by NIST SP 811.
#![allow(dead_code, unused_imports, reason = "the logger is shared with tests/trend.rs")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

#[path = "common/logger.rs"]
mod logger;

use logger::{Log, Logged, State, USUAL, iso, summer, written};
use roofrun::diagnose::{Asked, Cause, NoAnswer, Trend, Verdict, trend, trend_text};
use roofrun::job::{self, Job, Point, Reading, Readings};
use roofrun::units::System;
use std::fmt::Write as _;
use std::path::Path;

const HALL: &str = include_str!("../examples/bottling-hall.toml");
const LIQUID: Logged = Logged { name: "Liquid Press", unit: "psig", of: Reading::LiquidPressure };
/// Step of the rows, minutes.
const STEP: u32 = 5;

fn hall() -> Job {
    job::read("hall.toml", HALL, Path::new(".")).unwrap()
}

fn said(text: &str) -> Readings {
    job::read_columns("columns.toml", text, System::Ip, hall().site.atmosphere.pascals()).unwrap()
}

fn studied(text: &str, circuit: &str, said: &Readings) -> Result<Trend, String> {
    let file = tempfile::Builder::new().suffix(".csv").tempfile().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let asked = Asked { file: file.path(), order: None, circuit: Some(circuit), said };
    trend(&hall(), &asked, &|_| {})
        .map_err(|NoAnswer::Words(words)| words.replace(&file.path().display().to_string(), "FILE"))
}

fn study(text: &str) -> Trend {
    studied(text, "1A", &Readings::default()).unwrap_or_else(|why| panic!("{why}"))
}

/// A cell of a table: column, seconds since the first, what stands there.
type Cells = Vec<(u32, Vec<String>)>;

/// A table: its head without the time, and its rows.
#[derive(Clone)]
struct Table {
    head: Vec<String>,
    rows: Cells,
}

impl Table {
    /// Two days: off, one compressor from six, both from ten to eight in the evening, one until ten.
    fn of(causes: &[(Cause, f64)]) -> Self {
        let job = hall();
        let state = |minute: u32| {
            let hour = f64::from(minute % 1440) / 60.0;
            let running = u32::from((6.0..22.0).contains(&hour)) + u32::from((10.0..20.0).contains(&hour));
            State { outdoor: summer(hour), running, causes: if running > 0 { causes.to_vec() } else { Vec::new() } }
        };
        let columns: Vec<&Logged> = USUAL.iter().chain([&LIQUID]).collect();
        let mut head: Vec<String> = columns.iter().map(|column| format!("{} ({})", column.name, column.unit)).collect();
        head.extend(["Comp 1".to_owned(), "Comp 2".to_owned()]);
        let rows = Log::new(&job, 2 * 1440, STEP, state).rows.into_iter().map(|(minute, state, all)| {
            let mut cells: Vec<String> = columns
                .iter()
                .map(|column| {
                    // A little of movement, so that nothing is stuck.
                    let moves = 0.05 * f64::from(minute / STEP % 7);
                    format!("{:.2}", written(all[&column.of], column.unit, &job) + moves)
                })
                .collect();
            cells.extend([1, 2].map(|number| if state.running >= number { "On".to_owned() } else { "Off".to_owned() }));
            (60 * minute, cells)
        });
        Self { head, rows: rows.collect() }
    }

    fn column(&self, name: &str) -> usize {
        self.head.iter().position(|column| column.starts_with(name)).unwrap()
    }

    /// With the numbers of some columns made anew from a second on.
    fn changed(mut self, names: &[&str], from: u32, of: impl Fn(f64) -> f64) -> Self {
        for name in names {
            let at = self.column(name);
            for (_, cells) in self.rows.iter_mut().filter(|(second, _)| *second >= from) {
                cells[at] = format!("{:.2}", of(cells[at].parse().unwrap()));
            }
        }
        self
    }

    fn without(mut self, name: &str) -> Self {
        let at = self.column(name);
        self.head.remove(at);
        self.rows.iter_mut().for_each(|(_, cells)| drop(cells.remove(at)));
        self
    }

    fn csv(&self) -> String {
        let mut text = format!("Time,{}\n", self.head.join(","));
        for (second, cells) in &self.rows {
            writeln!(text, "{},{}", time(*second), cells.join(",")).unwrap();
        }
        text
    }

    /// A row for each column, so many seconds after the one before.
    fn staggered(&self, by: &dyn Fn(usize) -> u32) -> Self {
        let rows = self.rows.iter().flat_map(|(second, cells)| {
            cells.iter().enumerate().map(move |(column, cell)| {
                let mut alone = vec![String::new(); cells.len()];
                cell.clone_into(&mut alone[column]);
                (second + by(column), alone)
            })
        });
        let mut rows: Cells = rows.collect();
        rows.sort_by_key(|(second, _)| *second);
        Self { head: self.head.clone(), rows }
    }

    /// A row for each value.
    fn long(&self) -> String {
        let mut text = String::from("Timestamp,Point,Value\n");
        for (second, cells) in &self.rows {
            for (name, cell) in self.head.iter().zip(cells).filter(|(_, cell)| !cell.is_empty()) {
                writeln!(text, "{},{name},{cell}", time(*second)).unwrap();
            }
        }
        text
    }
}

fn time(second: u32) -> String {
    let minute = iso(second / 60);
    format!("{}:{:02}", &minute[..minute.len() - 3], second % 60)
}

fn leading(trend: &Trend) -> Vec<Cause> {
    let group = trend.worst[0].answer.groups.first();
    let group = group.unwrap_or_else(|| panic!("{}", trend_text(&hall(), trend, 120)));
    let mut causes: Vec<Cause> = group.fits.iter().flat_map(|fit| fit.causes.iter().map(|(cause, _)| *cause)).collect();
    causes.sort();
    causes
}

fn has(trend: &Trend, reading: Reading) -> bool {
    trend.columns.iter().any(|column| column.point == Some(Point::Of(reading)))
}

fn healthy(name: &str, trend: &Trend) {
    assert_eq!(trend.verdict, Verdict::Healthy, "{name}: {}", trend_text(&hall(), trend, 120));
}

#[test]
fn rows_that_are_not_in_the_order_of_time_are_refused_with_what_to_do() {
    let table = Table::of(&[]);
    let why = |text: &str| studied(text, "1A", &Readings::default()).map(|_| ()).unwrap_err();
    let mut newest = table.clone();
    newest.rows.reverse();
    assert_eq!(why(&newest.csv()), "FILE has its newest rows first: sort it by time, the oldest row first");
    let long = table.long();
    let (head, rows) = long.split_once('\n').unwrap();
    let mut rows: Vec<&str> = rows.lines().collect();
    rows.sort_by_key(|row| row.split(',').nth(1).unwrap().to_owned());
    let by_point = format!("{head}\n{}\n", rows.join("\n"));
    assert!(why(&by_point).contains("all values of one point before those of the next: sort it by time"));
    let mut weeks = table;
    weeks.rows.rotate_left(200);
    assert!(why(&weeks.csv()).contains("is not in the order of time: 200 of 576 rows"), "{}", why(&weeks.csv()));
}

/// 8 March 2026, from 2:00 to 3:00, in North America.
#[test]
fn clocks_that_go_forward_leave_no_gap() {
    let table = Table::of(&[]);
    let mut text = format!("Time,{}\n", table.head.join(","));
    for (second, cells) in &table.rows {
        let minute = second / 60 + if *second < 2 * 3600 { 0 } else { 60 };
        let stamp = format!("3/{}/2026 {}:{:02}", 8 + minute / 1440, minute / 60 % 24, minute % 60);
        writeln!(text, "{stamp},{}", cells.join(",")).unwrap();
    }
    let file = tempfile::Builder::new().suffix(".csv").tempfile().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let order = Some(roofrun::trend::Order::MonthFirst);
    let asked = Asked { file: file.path(), order, circuit: Some("1A"), said: &Readings::default() };
    let trend = trend(&hall(), &asked, &|_| {}).unwrap_or_else(|_| panic!("no answer"));
    assert!(trend.written.contains("left out as clocks went forward"), "{}", trend.written);
    assert!(trend.events.iter().all(|event| event.kind.name() != "gap"), "{:?}", trend.events);
}
