//! Trends as loggers write them and as hands spoil them: columns with times of their own, states on change, several circuits in a file,
//! units that are not those of the head, rows out of order. The machine is the model's own; units go by NIST SP 811.
#![allow(dead_code, reason = "the logger is shared with tests/trend.rs")]
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
fn columns_with_times_of_their_own_are_joined() {
    let table = Table::of(&[(Cause::NonCondensables, 3e5)]);
    let plain = study(&table.csv());
    assert!(leading(&plain).contains(&Cause::NonCondensables), "{:?}", leading(&plain));
    let seven = table.staggered(&|column| 7 * u32::try_from(column).unwrap());
    let minute = table.staggered(&|column| if column < 3 { 0 } else { 60 });
    for (name, text) in [("seven", seven.csv()), ("seven, long", seven.long()), ("a minute", minute.csv())] {
        let trend = study(&text);
        assert_eq!(trend.interval, 300, "{name}");
        assert!(has(&trend, Reading::LiquidPressure) && trend.told.is_empty(), "{name}: {:?}", trend.told);
        assert_eq!(leading(&trend), leading(&plain), "{name}: {}", trend_text(&hall(), &trend, 120));
        assert!((trend.times[1] - plain.times[1]).abs() < 900, "{name}: {:?} {:?}", trend.times, plain.times);
    }
    // Where nothing is wrong nothing is found, though a start is read before it is said.
    let trend = study(&Table::of(&[]).staggered(&|column| 7 * u32::try_from(column).unwrap()).csv());
    healthy("healthy", &trend);
}

/// What is said of key and unit holds as long as it is possible.
#[test]
fn a_unit_that_is_said_of_a_column_is_believed() {
    let table = Table::of(&[]);
    let said = said("[columns]\n\"Liquid Temp (F)\" = { key = \"liquid.temperature\", unit = \"F\" }\n");
    // 40 F too warm: no liquid of this machine, but a number that liquid may have.
    let text = table.changed(&["Liquid Temp"], 0, |value| value + 40.0).csv();
    let trend = studied(&text, "1A", &said).unwrap();
    assert!(has(&trend, Reading::LiquidTemperature), "{:?}", trend.told);
}

#[test]
fn states_that_are_logged_on_change_hold_until_they_change() {
    let mut table = Table::of(&[]);
    let plain = study(&table.csv());
    let first = table.column("Comp 1");
    let mut last = vec![String::new(); 2];
    for (_, cells) in &mut table.rows {
        for (cell, last) in cells[first..].iter_mut().zip(&mut last) {
            if cell == last {
                cell.clear();
            } else {
                cell.clone_into(last);
            }
        }
    }
    for text in [table.csv(), table.long()] {
        let trend = study(&text);
        assert_eq!(trend.times, plain.times);
        assert!(trend.told.iter().any(|told| told.ends_with("logged on change, so each state is held until the next")));
        healthy("on change", &trend);
    }
    // With a hold the state is not known, which is not off.
    let held = said(
        "[columns]\n\"Comp 1\" = { key = \"running\", hold = \"15 min\" }\n\"Comp 2\" = { key = \"running\", hold = \"15 min\" }\n",
    );
    let why = studied(&table.csv(), "1A", &held).map(|_| ()).unwrap_err();
    assert!(why.contains("the state of the compressors is unknown for") && why.contains("set hold"), "{why}");
    // What changed while nothing was logged is not known either: from noon to two, until the next change at eight.
    table.rows.retain(|(second, _)| !(12 * 3600..14 * 3600).contains(second));
    let trend = study(&table.csv());
    assert!(trend.told.iter().any(|told| told.contains("is unknown for")), "{:?}", trend.told);
    assert!((trend.times[1] - (plain.times[1] - 10 * 3600)).abs() < 2 * 900, "{:?} {:?}", trend.times, plain.times);
}

#[test]
fn compressors_in_per_cent_are_counted_one_by_one() {
    let table = Table::of(&[]);
    let plain = study(&table.csv());
    let text = table.csv().replace("On", "100 %").replace("Off", "0 %");
    let columns = said("[columns]\n\"Comp 1\" = \"running\"\n\"Comp 2\" = \"running\"\n");
    for said in [Readings::default(), columns] {
        let trend = studied(&text, "1A", &said).unwrap();
        healthy("per cent", &trend);
        assert_eq!(trend.times, plain.times);
        let running = trend.columns.iter().filter(|column| column.point == Some(Point::Running));
        assert!(running.clone().count() == 2 && running.clone().all(|column| column.range == Some([0.0, 1.0])));
    }
}

#[test]
fn a_file_of_two_circuits_is_read_for_the_one_that_is_asked_for() {
    let (bad, good) = (Table::of(&[(Cause::NonCondensables, 3e5)]), Table::of(&[]));
    let labelled = |label: &str, table: &Table| -> Vec<String> {
        let name = |name: &String| if name.starts_with("OAT") { name.clone() } else { format!("{label} {name}") };
        table.head.iter().map(name).collect()
    };
    let both = |labels: [&str; 2]| {
        let head = [labelled(labels[0], &bad), labelled(labels[1], &good)[1..].to_vec()].concat();
        let rows = bad.rows.iter().zip(&good.rows).map(|((at, a), (_, b))| (*at, [&a[..], &b[1..]].concat()));
        Table { head, rows: rows.collect() }.csv()
    };
    let none = Readings::default();
    let text = both(["Ckt 1A", "Ckt 1B"]);
    assert!(leading(&studied(&text, "1A", &none).unwrap()).contains(&Cause::NonCondensables));
    let second = studied(&text, "1B", &none).unwrap();
    healthy("1B", &second);
    assert_eq!(second.columns.iter().filter(|column| column.point == Some(Point::Running)).count(), 2);
    // The job knows no circuit 1 or 2.
    let text = both(["Circuit 1", "Circuit 2"]);
    let why = studied(&text, "1B", &none).map(|_| ()).unwrap_err();
    assert!(why.starts_with("FILE has columns of circuits `1`, `2` and none of 1B"), "{why}");
    assert!(why.contains("\"Circuit 2 Disch Press (psig)\" = \"discharge.pressure\""), "{why}");
    let said = said("[columns]\n\"Circuit 2 Disch Press (psig)\" = \"discharge.pressure\"\n");
    let second = studied(&text, "1B", &said).unwrap();
    healthy("circuit 2", &second);
    assert!(second.columns.iter().all(|column| !column.name.starts_with("Circuit 1") || column.point.is_none()));
    // One circuit alone is taken, and it is said as what.
    let alone = Table { head: labelled("Circuit 1", &good), rows: good.rows.clone() }.csv();
    let first = studied(&alone, "1A", &none).unwrap();
    assert!(first.told.iter().any(|told| told == "its columns are of circuit `1`, which is taken to be 1A of the job"));
}

#[test]
fn how_many_compressors_run_is_told_where_it_is_assumed() {
    let trend = study(&Table::of(&[]).without("Comp 1").without("Comp 2").csv());
    assert!(trend.told.iter().any(|told| told.contains("all 2 are taken to")), "{:?}", trend.told);
}

#[test]
fn one_column_that_is_wrong_leaves_the_others_as_they_are() {
    let table = Table::of(&[]);
    let trend = study(&table.clone().changed(&["Disch Press"], 0, |value| value / 10.0).csv());
    assert_eq!(trend.told, ["column 3 `Disch Press (psig)`: its numbers are none in psig: taken as psig and a tenth"]);
    healthy("a tenth", &trend);
    let mut exchanged = table.clone();
    let (a, b) = (table.column("Disch Temp"), table.column("Liquid Temp"));
    exchanged.head.swap(a, b);
    let trend = study(&exchanged.csv());
    assert!(
        trend.told.len() == 1 && trend.told[0].contains("are exchanged: discharge temperature"),
        "{:?}",
        trend.told
    );
    healthy("exchanged", &trend);
    let mut off = table;
    off.rows.retain(|(second, _)| second % 86_400 < 5 * 3600);
    let trend = study(&off.csv());
    assert!(trend.told.is_empty() && trend.verdict == Verdict::NotRunning, "{:?}", trend.told);
}

#[test]
fn temperatures_that_are_all_in_the_other_unit_are_taken_in_it() {
    let celsius = |value: f64| (value - 32.0) / 1.8;
    let all = ["OAT", "Disch Temp", "Suct Temp", "Liquid Temp", "EWT", "LWT"];
    let trend = study(&Table::of(&[]).changed(&all, 0, celsius).csv());
    assert!(trend.told.len() == 1 && trend.told[0].ends_with("all taken as °C"), "{:?}", trend.told);
    healthy("all in C", &trend);
}

#[test]
fn slips_of_unit_are_seen_whatever_starts_and_named_by_their_ratio() {
    let celsius = |value: f64| (value - 32.0) / 1.8;
    // From the second midnight on, so that starts and stops lie within.
    let from = 86_400;
    let temperatures = ["OAT", "Disch Temp", "Suct Temp", "Liquid Temp", "EWT", "LWT"];
    let table = Table::of(&[]);
    let cases = [
        ("OAT", table.clone().changed(&["OAT"], from, celsius), "C among F", 1),
        ("liquid", table.clone().changed(&["Liquid Temp"], from, celsius), "C among F", 1),
        ("bar", table.clone().changed(&["Suct Press"], from, |value| value / 14.503_77), "bar among psi", 1),
        ("ten", table.clone().changed(&["Disch Press"], from, |value| 10.0 * value), "ten times", 1),
        (
            "all",
            table.clone().changed(&temperatures, from, celsius).changed(
                &["Disch Press", "Suct Press", "Liquid Press"],
                from,
                |value| value / 14.503_77,
            ),
            "among",
            9,
        ),
    ];
    for (name, table, how, count) in cases {
        // Also where only the pressures tell what runs.
        for table in [table.clone(), table.without("Comp 1").without("Comp 2")] {
            let trend = study(&table.csv());
            let slips: Vec<_> = trend.events.iter().filter(|event| event.kind.name() == "slip").collect();
            assert_eq!(slips.len(), count, "{name}: {:?}", trend.events);
            for slip in slips {
                assert!(slip.says.contains(how) && (slip.value - 86_400.0).abs() < 900.0, "{name}: {}", slip.says);
            }
        }
    }
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
