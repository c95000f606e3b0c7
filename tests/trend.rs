//! A complaint that comes with a trend: how it is written, what is found in it, and input that is no good. The trends are made with the
//! model itself, with something wrong that is known; units go by their definitions (NIST SP 811), times by ISO 8601.
#![expect(clippy::unwrap_used, clippy::panic, clippy::float_cmp, reason = "a test may fail; times are whole seconds")]

#[path = "common/logger.rs"]
mod logger;

use logger::{Log, Logged, Machine, State, USUAL, fahrenheit, iso, noise, summer, us_time, usual_head, written};
use roofrun::diagnose::{Asked, Cause, NoAnswer, Trend, Verdict, trend, trend_json, trend_text};
use roofrun::job::{self, Job, Point, Reading, Readings};
use roofrun::trend::Order;
use roofrun::units::System;
use std::fmt::Write as _;
use std::path::Path;

const HALL: &str = include_str!("../examples/bottling-hall.toml");
const EXAMPLE: &str = "examples/readings/hot-afternoons.csv";

fn hall() -> Job {
    job::read("hall.toml", HALL, Path::new(".")).unwrap()
}

fn said(text: &str) -> Readings {
    job::read_columns("columns.toml", text, System::Ip, hall().site.atmosphere.pascals()).unwrap()
}

fn studied(job: &Job, text: &str, order: Option<Order>, said: &Readings) -> Result<Trend, String> {
    let file = tempfile::Builder::new().suffix(".csv").tempfile().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let asked = Asked { file: file.path(), order, circuit: Some("1A"), said };
    trend(job, &asked, &|_| {})
        .map_err(|NoAnswer::Words(words)| words.replace(&file.path().display().to_string(), "FILE"))
}

fn study(text: &str) -> Trend {
    studied(&hall(), text, None, &Readings::default()).unwrap()
}

fn leading(trend: &Trend) -> Vec<Cause> {
    let answer = &trend.worst[0].answer;
    let group = answer.groups.first().unwrap_or_else(|| panic!("{:?} {:?}", answer.contradictions, trend.told));
    let mut causes: Vec<Cause> = group.fits.iter().flat_map(|fit| fit.causes.iter().map(|(cause, _)| *cause)).collect();
    causes.sort();
    causes
}

fn event<'a>(trend: &'a Trend, kind: &str) -> Option<&'a roofrun::diagnose::Event> {
    trend.events.iter().find(|event| event.kind.name() == kind)
}

/// Half a day from noon on, with gas in the circuit.
fn gassed(step: u32) -> Log {
    let state = |minute: u32| State {
        outdoor: summer(12.0 + f64::from(minute) / 60.0),
        running: if minute < 30 { 0 } else { 2 },
        causes: if minute < 30 { Vec::new() } else { vec![(Cause::NonCondensables, 3e5)] },
    };
    Log::new(&hall(), 360, step, state)
}

/// The example is what its maker makes: `EXAMPLE_WRITE=1 cargo test --test trend` writes it again.
#[test]
fn the_example_is_as_it_was_made_and_shows_what_was_put_into_it() {
    let made = logger::example(&hall());
    if std::env::var_os("EXAMPLE_WRITE").is_some() {
        std::fs::write(EXAMPLE, &made).unwrap();
    }
    assert!(std::fs::read_to_string(EXAMPLE).unwrap() == made, "the example is another than its maker makes");
    let trend = study(&made);
    assert!(leading(&trend).contains(&Cause::WarmAir));
    // 8 K of warm air for six of the ten hours in which the wind is from the west: as seen by the hours, about 5 K.
    let wind = event(&trend, "wind").unwrap();
    assert!(wind.says.contains("west") && (1.7..8.0).contains(&wind.value), "{}", wind.says);
    let slip = event(&trend, "slip").unwrap();
    assert!((slip.value - 295.0 * 60.0).abs() < 600.0 && slip.says.contains("kPa among psi"), "{}", slip.says);
    let gap = event(&trend, "gap").unwrap();
    assert!((gap.value - 135.0 * 60.0).abs() < 1.0, "{}", gap.value);
    let suction = trend.columns.iter().find(|column| column.point == Some(Point::Of(Reading::SuctionTemperature)));
    assert_eq!(suction.unwrap().counts[1], 12);
}

#[test]
fn a_trend_says_the_same_however_it_is_written() {
    let job = hall();
    let log = gassed(1);
    let plain = |_: &Logged, value: f64| format!("{value:.2}");
    let comma = |_: &Logged, value: f64| format!("{value:.2}").replace('.', ",");
    let us = |minute: u32| us_time(6, minute);
    let am_pm = |minute: u32| {
        let hour = minute / 60 % 24;
        let half = if hour < 12 { "AM" } else { "PM" };
        format!("7/{}/2026 {}:{:02}:00 {half}", 16 + minute / 1440, (hour + 11) % 12 + 1, minute % 60)
    };
    let day_first = |minute: u32| format!("{}.07.2026 {:02}:{:02}", 16 + minute / 1440, minute / 60 % 24, minute % 60);
    let names: Vec<&str> = USUAL.iter().map(|column| column.name).collect();
    let units: Vec<&str> = USUAL.iter().map(|column| column.unit).collect();
    let second = format!("Time\t{}\tComps running\n\t{}\t", names.join("\t"), units.join("\t"));
    let si = |column: &Logged, value: f64| match column.unit {
        "F" => format!("{:.3}", (value - 32.0) / 1.8),
        "psig" if column.of == Reading::SuctionPressure => format!("{:.1}", value * 6.894_757),
        "psig" => format!("{:.4}", value * 0.068_947_57),
        _ => format!("{value:.2}"),
    };
    let head_si = usual_head(',').replace("(F)", "(°C)").replace("Disch Press (psig)", "Disch Press [bar(g)]");
    let head_si = head_si.replace("Suct Press (psig)", "\"Suct Press, kPa\"");
    let bare = usual_head(',').replace(" (F)", "").replace(" (psig)", "").replace(" (kW)", "");
    let tens = |_: &Logged, value: f64| format!("{:.0}", 10.0 * value);
    let behind = |column: &Logged, value: f64| format!("{value:.2} {}", column.unit);
    let usual = log.usual(&job, &iso);
    let cases = [
        ("usual", usual.clone()),
        ("month first", log.usual(&job, &|minute| us(minute).replace("7/6/", "7/16/"))),
        ("a title above", format!("Chiller 1 report\n\n{usual}")),
        ("semicolon, decimal comma, day first", log.wide(&job, ';', &usual_head(';'), &day_first, &comma)),
        ("tab, a row of units, AM and PM", log.wide(&job, '\t', &second, &am_pm, &plain)),
        ("bar, kPa and C", log.wide(&job, ',', &head_si, &iso, &si)),
        ("no units", log.wide(&job, ',', &bare, &iso, &plain)),
        ("no units, in C, bar and kPa", log.wide(&job, ',', &bare, &iso, &si)),
        ("scaled by ten, no units", log.wide(&job, ',', &bare, &iso, &tens)),
        ("scaled by ten against the head", log.wide(&job, ',', &usual_head(','), &iso, &tens)),
        ("units behind the numbers", log.wide(&job, ',', &bare, &iso, &behind)),
        (
            "date and time apart",
            usual
                .replace("Time,", "Date,Time of day,")
                .replace('T', " ")
                .replace("2026-07-06 ", "2026-07-06,")
                .replace(" ime", "Time")
                .replace("OA ", "OAT ")
                .replace("EW ", "EWT ")
                .replace("LW ", "LWT ")
                .replace(" emp", "Temp"),
        ),
        ("long", long(&log, &job)),
        ("a year in the head's names", usual.replace("Suct Temp", "SuctionTemp")),
    ];
    let first = study(&cases[0].1);
    assert!(leading(&first).contains(&Cause::NonCondensables), "{:?}", leading(&first));
    for (name, text) in &cases {
        let trend = studied(&job, text, None, &Readings::default()).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert!(!trend.worst.is_empty(), "{name}: {:?} {:?} {:?}", trend.told, trend.events, trend.times);
        for column in first.columns.iter().filter(|column| column.point.is_some()) {
            let same = trend.columns.iter().find(|other| other.point == column.point);
            let same = same.unwrap_or_else(|| panic!("{name}: {} is not there: {:?}", column.name, trend.told));
            let (is, wanted) = (same.range.unwrap(), column.range.unwrap());
            let tolerance = match column.point.unwrap().unit() {
                "Pa" => 2e3,
                "W" => 60.0,
                _ => 0.05,
            };
            let off = (is[0] - wanted[0]).abs().max((is[1] - wanted[1]).abs());
            assert!(off < tolerance, "{name}, {}: {is:?} for {wanted:?}: {:?}", column.name, trend.told);
        }
        assert_eq!(leading(&trend), leading(&first), "{name}");
    }
}

/// A row a value, points one after another at each time, with units and qualities.
fn long(log: &Log, job: &Job) -> String {
    let mut text = String::from("Timestamp,Point Name,Value,Units,Quality\n");
    for (minute, state, all) in &log.rows {
        for column in USUAL {
            let value = written(all[&column.of], column.unit, job);
            // A value of bad quality is none.
            let bad = column.of == Reading::Outdoor && minute % 10 == 5;
            let (value, quality) = if bad { (250.0, "Bad") } else { (value, "Good") };
            writeln!(text, "{},{},{value:.2},{},{quality}", iso(*minute), column.name, column.unit).unwrap();
        }
        writeln!(text, "{},Compressors running,{},,Good", iso(*minute), state.running).unwrap();
    }
    text
}

#[test]
fn what_is_said_of_columns_goes_before_their_names() {
    let job = hall();
    let head = "When,A,B,C,D,E,F1,G,H,I,J";
    let tenth = |column: &Logged, value: f64| {
        if column.of == Reading::DischargePressure { format!("{:.0}", 10.0 * value) } else { format!("{value:.2}") }
    };
    let text = gassed(1).wide(&job, ',', head, &iso, &tenth);
    let none = studied(&job, &text, None, &Readings::default()).unwrap_err();
    assert!(none.contains("no column that is outdoor air") && none.contains("--columns"), "{none}");
    let said = said(
        "[columns]\nA = { key = \"outdoor\", unit = \"F\" }\nB = { key = \"discharge.pressure\", unit = \"psig\", scale = 0.1 }\n\
         C = { key = \"discharge.temperature\", unit = \"F\" }\nD = { key = \"suction.pressure\", unit = \"psig\" }\n\
         E = { key = \"suction.temperature\", unit = \"F\" }\nF1 = { key = \"liquid.temperature\", unit = \"F\" }\n\
         G = \"entering_fluid\"\nH = \"leaving_fluid\"\nI = \"-\"\nJ = \"running\"\n",
    );
    let trend = studied(&job, &text, None, &said).unwrap();
    let plain = study(&gassed(1).usual(&job, &iso));
    let range = |trend: &Trend| {
        let of = Some(Point::Of(Reading::DischargePressure));
        trend.columns.iter().find(|column| column.point == of).unwrap().range.unwrap()
    };
    assert!((range(&trend)[1] - range(&plain)[1]).abs() < 2e3);
    assert!(leading(&trend).contains(&Cause::NonCondensables));
    assert!(trend.columns.iter().all(|column| column.point != Some(Point::Of(Reading::Power))));
}

#[test]
fn dates_that_can_be_read_in_two_ways_are_asked_for() {
    let job = hall();
    let one_day = gassed(5).usual(&job, &|minute| us_time(6, minute));
    let asked = studied(&job, &one_day, None, &Readings::default()).unwrap_err();
    assert!(asked.contains("--dates month-first or --dates day-first") && asked.contains("7/6/2026"), "{asked}");
    let read = |order| studied(&job, &one_day, Some(order), &Readings::default()).unwrap().span[0];
    assert_eq!(roofrun::trend::iso(read(Order::MonthFirst)), "2026-07-06T00:00:00");
    assert_eq!(roofrun::trend::iso(read(Order::DayFirst)), "2026-06-07T00:00:00");
    // Days that follow each other in one order and not in the other need no question.
    let days = Log::new(&job, 3 * 1440, 60, |_| State { outdoor: 305.0, running: 2, causes: Vec::new() });
    assert!(study(&days.usual(&job, &|minute| us_time(6, minute))).written.contains("month first"));
    let day_first = |minute: u32| format!("{:02}/07/2026 {:02}:00", 6 + minute / 1440, minute / 60 % 24);
    assert!(study(&days.usual(&job, &day_first)).written.contains("day first"));
}

#[test]
fn values_that_are_none_are_left_out_and_counted() {
    let job = hall();
    let text = gassed(1).usual(&job, &iso);
    let plain = study(&text);
    let bad = ["-999", "32767", "--", "NaN", "Sensor Fault", ""];
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (k, line) in lines.iter_mut().enumerate().skip(100).take(60) {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[2] = bad[k % bad.len()];
        *line = cells.join(",");
    }
    let trend = study(&(lines.join("\n") + "\n"));
    let column =
        |trend: &Trend| trend.columns.iter().find(|column| column.name.starts_with("Disch Press")).unwrap().clone();
    assert_eq!(column(&trend).counts, [300, 30, 20]);
    assert_eq!(column(&trend).range, column(&plain).range);
    assert_eq!(leading(&trend), leading(&plain));
}

#[test]
fn broken_rows_are_counted_and_the_rest_is_used() {
    let job = hall();
    let text = gassed(1).usual(&job, &iso);
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for k in [50, 60, 70, 80, 90] {
        lines[k] = if k == 60 { "2026-07-06T00:59:00,1,2".to_owned() } else { "garbage,,,,,,,,,,".to_owned() };
    }
    let trend = study(&(lines.join("\n") + "\n"));
    assert_eq!(leading(&trend), leading(&study(&text)));
    assert_eq!(
        trend.told,
        [
            "line 51: `garbage` is no time",
            "line 61: 3 cells where the head has 11",
            "line 71: `garbage` is no time",
            "line 81: `garbage` is no time",
            "line 91: `garbage` is no time",
            "5 of 360 rows could not be used",
        ]
    );
}

#[test]
fn files_that_are_no_trend_say_why() {
    let job = hall();
    let why = |text: &str| studied(&job, text, None, &Readings::default()).map(|_| ()).unwrap_err();
    assert_eq!(why(""), "FILE is empty");
    assert_eq!(why("\n \n"), "FILE is empty");
    assert!(why("a,b\n1,2\n").contains("no row that begins with a time"));
    assert!(why("2026-07-06T00:00,1\n2026-07-06T00:01,2\n").contains("has no head"));
    assert!(why("Time,Comment\n2026-07-06T00:00,x\n").contains("no column that is outdoor air"));
    let here = studied(&job, &gassed(1).usual(&job, &iso), None, &Readings::default());
    assert!(here.is_ok());
}

#[test]
fn columns_that_are_exchanged_or_in_another_unit_than_they_say_are_told_and_used() {
    let job = hall();
    let text = gassed(1).usual(&job, &iso);
    let plain = study(&text);
    let (head, body) = text.split_once('\n').unwrap();
    let swapped = head.replace("Disch Press", "X").replace("Suct Press", "Disch Press").replace('X', "Suct Press");
    let celsius = head.replace("Liquid Temp (F)", "Liquid Temp (C)").replace("EWT (F)", "EWT (C)");
    let order = |column: &Logged, value: f64| {
        let tenth = column.of == Reading::DischargePressure;
        format!("{:.2}", if tenth { value / 10.0 } else { value })
    };
    let off_by_an_order = gassed(1).wide(&job, ',', head, &iso, &order);
    let cases = [
        (format!("{swapped}\n{body}"), "columns 3 and 5 are exchanged"),
        (format!("{celsius}\n{body}"), "column 7 `Liquid Temp (C)`: its numbers are none in °C: taken as F"),
        (off_by_an_order, "column 3 `Disch Press (psig)`: its numbers are none in psig: taken as psig and a tenth"),
    ];
    for (text, says) in cases {
        let trend = study(&text);
        assert!(trend.told.iter().any(|told| told.starts_with(says)), "{says}: {:?}", trend.told);
        assert_eq!(leading(&trend), leading(&plain), "{says}");
    }
    let nonsense = |column: &Logged, value: f64| {
        format!("{:.2}", if column.of == Reading::LiquidTemperature { 1e5 } else { value })
    };
    let trend = study(&gassed(1).wide(&job, ',', head, &iso, &nonsense));
    assert!(trend.told.iter().any(|told| told.contains("can't be that in any unit: left out")), "{:?}", trend.told);
}

#[test]
fn an_absolute_pressure_taken_as_gauge_is_named() {
    let job = hall();
    let healthy = Log::new(&job, 360, 1, |_| State { outdoor: 308.15, running: 2, causes: Vec::new() });
    let absolute = |column: &Logged, value: f64| {
        let more = if column.of == Reading::SuctionPressure { job.site.atmosphere.pascals() / 6_894.757 } else { 0.0 };
        format!("{:.2}", value + more)
    };
    let trend = study(&healthy.wide(&job, ',', &usual_head(','), &iso, &absolute));
    let says: Vec<&str> = trend.worst[0].answer.contradictions.iter().map(|one| one.says.as_str()).collect();
    assert!(says.iter().any(|says| says.contains("its number is absolute, not gauge")), "{says:?}");
}

#[test]
fn compressors_that_are_off_all_the_time_are_not_diagnosed() {
    let job = hall();
    let off = Log::new(&job, 1440, 5, |_| State { outdoor: 300.0, running: 0, causes: Vec::new() });
    let trend = study(&off.usual(&job, &iso));
    assert!(trend.verdict == Verdict::NotRunning && trend.worst.is_empty() && trend.times[1] == 0);
    assert!(trend_text(&job, &trend, 40).contains("Compressors off in the whole trend"));
}

#[test]
fn a_healthy_machine_over_a_day_is_called_healthy() {
    let job = hall();
    let mut rng = fastrand::Rng::with_seed(1);
    let state = |minute: u32| State {
        outdoor: summer(f64::from(minute) / 60.0),
        running: u32::from(minute > 300) + u32::from((600..1200).contains(&minute)),
        causes: Vec::new(),
    };
    let log = Log::new(&job, 1440, 1, state);
    let scatter = std::cell::RefCell::new(&mut rng);
    let noisy = |column: &Logged, value: f64| {
        let off = if column.unit == "psig" { 1.0 } else { 0.4 };
        format!("{:.2}", value + off * noise(&mut scatter.borrow_mut()))
    };
    let trend = study(&log.wide(&job, ',', &usual_head(','), &iso, &noisy));
    assert_eq!(trend.verdict, Verdict::Healthy, "{}", trend_text(&job, &trend, 100));
    assert!(trend.events.is_empty(), "{:?}", trend.events);
    // Running from minute 301 on; ten minutes after each of three steps are not steady.
    assert_eq!(trend.times, [1440 * 60, 1139 * 60, (1139 - 30) * 60]);
}

/// Logged on change: every point at its own times, held until the next value, 15 minutes at most.
#[test]
fn values_logged_on_change_hold_until_the_next() {
    let job = hall();
    let log = gassed(1);
    let mut text = format!("{}\n", usual_head(','));
    for (minute, state, all) in &log.rows {
        let cells: Vec<String> = USUAL
            .iter()
            .enumerate()
            .map(|(k, column)| {
                let now = (*minute as usize).is_multiple_of(k + 3) || *minute == 30;
                if now { format!("{:.2}", written(all[&column.of], column.unit, &job)) } else { String::new() }
            })
            .collect();
        let running = if minute % 10 == 0 { state.running.to_string() } else { String::new() };
        writeln!(text, "{},{},{running}", iso(*minute), cells.join(",")).unwrap();
    }
    let trend = study(&text);
    assert_eq!(leading(&trend), leading(&study(&log.usual(&job, &iso))));
    // A hold of a minute leaves hardly a moment with all that is needed.
    let short = usual_head(',').split(',').skip(1).fold(String::from("[columns]\n"), |mut all, name| {
        let key = USUAL.iter().find(|column| name.starts_with(column.name)).map_or("running", |column| column.of.key());
        writeln!(all, "\"{name}\" = {{ key = \"{key}\", hold = \"30 s\" }}").unwrap();
        all
    });
    let short = studied(&job, &text, None, &said(&short)).unwrap();
    assert!(short.times[1] < trend.times[1] / 4, "{:?} {:?}", short.times, trend.times);
}

#[test]
fn a_coil_that_gets_dirty_is_a_drift_and_a_fan_that_fails_a_step() {
    let job = hall();
    let days = |size: &dyn Fn(f64) -> (Cause, f64)| {
        let state = |minute: u32| {
            let day = f64::from(minute) / 1440.0;
            let (cause, size) = size(day);
            let causes = if size > 0.0 { vec![(cause, size)] } else { Vec::new() };
            State { outdoor: summer(24.0 * day.fract()), running: 2, causes }
        };
        study(&Log::new(&job, 12 * 1440, 15, state).usual(&job, &iso))
    };
    // In steps, so that the maker has few machines to solve.
    let dirty = days(&|day| (Cause::DirtyCoil, 0.04 * day.floor()));
    let drift = event(&dirty, "drift").unwrap_or_else(|| panic!("{:?}", dirty.events));
    assert!(drift.value > 3.0 && leading(&dirty).contains(&Cause::DirtyCoil), "{} {:?}", drift.value, leading(&dirty));
    let fan = days(&|day| (Cause::FansOut, if day < 8.0 { 0.0 } else { 0.35 }));
    let step = event(&fan, "step").unwrap_or_else(|| panic!("{:?}", fan.events));
    assert_eq!(roofrun::trend::iso(step.span[0]), "2026-07-14T00:00:00");
    assert!(leading(&fan).contains(&Cause::FansOut));
}

#[test]
fn hunting_flashing_and_a_sensor_that_is_stuck_are_told_with_their_time() {
    let job = hall();
    let log = Log::new(&job, 600, 1, |_| State { outdoor: 305.0, running: 2, causes: Vec::new() });
    let minute = std::cell::Cell::new(0.0);
    let cell = |column: &Logged, value: f64| {
        let now = minute.get();
        let value = match column.of {
            Reading::Outdoor => value + 0.01 * now,
            // A swing of 16 F each eight minutes for three hours.
            Reading::SuctionTemperature if (60.0..240.0).contains(&now) => {
                value + 8.0 * (std::f64::consts::TAU * now / 8.0).sin()
            }
            // 20 F warmer than it would be: no subcooling is left for an hour.
            Reading::LiquidTemperature if (300.0..360.0).contains(&now) => value + 20.0,
            Reading::DischargeTemperature => value,
            _ => value + 0.02 * (now % 7.0),
        };
        format!("{value:.2}")
    };
    let time = |at: u32| {
        minute.set(f64::from(at));
        iso(at)
    };
    let trend = study(&log.wide(&job, ',', &usual_head(','), &time, &cell));
    let hunting = event(&trend, "hunting").unwrap();
    assert!((hunting.value - 10_800.0).abs() < 1_500.0 && hunting.says.contains("8 min"), "{}", hunting.says);
    let flash = event(&trend, "flash").unwrap();
    assert_eq!(flash.value, 3600.0, "{}", flash.says);
    // One is the same to the last digit for ten hours.
    let stuck: Vec<&str> =
        trend.events.iter().filter(|one| one.kind.name() == "stuck").map(|one| one.says.as_str()).collect();
    assert!(
        stuck.len() == 1 && stuck[0].contains("`Disch Temp (F)` stays the same while the chiller runs for 10.0 h"),
        "{stuck:?}"
    );
}

/// A riser two sizes too wide lifts oil with both compressors and not with one.
#[test]
fn time_under_lift_is_told_by_riser() {
    let wide = HALL.replacen("tube = \"2-1/8 CuFe\"", "tube = \"3-1/8 ACR\"", 1);
    let job = job::read("hall.toml", &wide, Path::new(".")).unwrap();
    let ratio = |running: u32| {
        let log = Log::new(&job, 60, 1, |_| State { outdoor: 303.0, running, causes: Vec::new() });
        let trend = studied(&job, &log.usual(&job, &iso), None, &Readings::default()).unwrap();
        event(&trend, "oil-riser").map_or(0.0, |event| event.value)
    };
    assert_eq!([ratio(2), ratio(1)], [0.0, 3600.0]);
    let state = |minute: u32| State { outdoor: 303.0, running: if minute < 100 { 1 } else { 2 }, causes: Vec::new() };
    let log = Log::new(&job, 300, 1, state);
    let trend = studied(&job, &log.usual(&job, &iso), None, &Readings::default()).unwrap();
    let oil = event(&trend, "oil-riser").unwrap();
    assert_eq!(oil.value, 6000.0, "{}", oil.says);
    assert!(oil.says.contains("discharge run 2"), "{}", oil.says);
}

#[test]
fn the_repeated_hour_of_local_time_is_an_hour_of_its_own() {
    let job = hall();
    let log = Log::new(&job, 300, 1, |_| State { outdoor: 303.0, running: 2, causes: Vec::new() });
    // 1 November 2026, from midnight on: after 1:59 comes 1:00.
    let time = |minute: u32| {
        let local = if minute < 120 { minute } else { minute - 60 };
        format!("2026-11-01 {}:{:02}", local / 60, local % 60)
    };
    let trend = study(&log.usual(&job, &time));
    assert_eq!(trend.times[0], 300 * 60);
    assert!(trend.written.contains("one hour of local time repeated"), "{}", trend.written);
}

#[test]
fn the_json_has_the_keys_of_its_contract() {
    let trend = study(&gassed(1).usual(&hall(), &iso));
    let document: serde_json::Value = serde_json::from_str(&trend_json(&hall(), &trend).unwrap()).unwrap();
    for key in ["format", "tool", "job", "circuit", "verdict", "columns", "events", "worst"] {
        assert!(document.get(key).is_some(), "{key}");
    }
    for key in ["column", "key", "unit", "min", "max", "faults"] {
        assert!(document["columns"][0].get(key).is_some(), "{key}");
    }
    assert_eq!(document["columns"][0]["key"], "outdoor");
    assert_eq!(document["worst"][0]["from"].as_str().map(str::len), Some(19));
    assert!(document["worst"][0]["groups"].is_array());
    // A column that was taken for nothing has its name and no key.
    let trend = study(&std::fs::read_to_string(EXAMPLE).unwrap());
    let document: serde_json::Value = serde_json::from_str(&trend_json(&hall(), &trend).unwrap()).unwrap();
    let alarm = document["columns"].as_array().unwrap().iter().find(|column| column["name"] == "Alarm").unwrap();
    assert!(alarm.get("key").is_none() && alarm.get("min").is_none() && alarm["column"].is_u64(), "{alarm}");
}

#[test]
fn the_answer_on_a_phone_and_on_a_desk() {
    let job = hall();
    let mut trend = study(&std::fs::read_to_string(EXAMPLE).unwrap());
    trend.file = EXAMPLE.to_owned();
    let plain = |width| anstream::adapter::strip_str(&trend_text(&job, &trend, width)).to_string();
    let phone = plain(40);
    assert!(phone.lines().all(|line| line.chars().count() <= 40), "{phone}");
    insta::assert_snapshot!(format!("{phone}\n----\n{}", plain(80)));
}

#[test]
fn the_maker_of_logs_knows_its_units() {
    // NIST SP 811: 1 psi = 6.894757 kPa; 95 F = 35 C.
    assert!((fahrenheit(308.15) - 95.0).abs() < 1e-9);
    let job = hall();
    let atmosphere = job.site.atmosphere.pascals();
    assert!((written(atmosphere + 6.894_757e5, "psig", &job) - 100.0).abs() < 1e-9);
    assert!((written(atmosphere + 1e5, "barg", &job) - 1.0).abs() < 1e-9);
    assert_eq!(Machine::new(job).read(&State { outdoor: 300.0, running: 0, causes: Vec::new() })[&Reading::Power], 0.0);
}

/// A machine that runs 5 minutes of each 10 has 6 starts an hour, all of them told, with nothing steady to explain.
#[test]
fn short_cycling_is_told_and_leads() {
    let job = hall();
    let state =
        |minute: u32| State { outdoor: 303.0, running: if minute % 10 < 5 { 0 } else { 2 }, causes: Vec::new() };
    let trend = study(&Log::new(&job, 720, 1, state).usual(&job, &iso));
    let cycling = event(&trend, "short-cycling").unwrap_or_else(|| panic!("{:?}", trend.events));
    assert!(cycling.value == 72.0 && cycling.says.contains("72 times in 12.0 h, 6 an hour"), "{}", cycling.says);
    assert_eq!(trend.verdict, Verdict::Suspects);
    assert!(trend_text(&job, &trend, 100).contains("Compressors start 72 times"));
}

/// What was found leads, not what steady stretches leave open.
#[test]
fn a_trend_that_only_hunts_says_so_first() {
    let job = hall();
    let log = Log::new(&job, 240, 1, |_| State { outdoor: 305.0, running: 2, causes: Vec::new() });
    let minute = std::cell::Cell::new(0.0);
    let cell = |column: &Logged, value: f64| {
        let swing = if column.of == Reading::SuctionTemperature { 6.5 } else { 0.05 };
        format!("{:.2}", value + swing * (std::f64::consts::TAU * minute.get() / 8.0).sin())
    };
    let time = |at: u32| {
        minute.set(f64::from(at));
        iso(at)
    };
    let trend = study(&log.wide(&job, ',', &usual_head(','), &time, &cell));
    assert_eq!(trend.verdict, Verdict::Suspects);
    let told = anstream::adapter::strip_str(&trend_text(&job, &trend, 120)).to_string();
    assert!(told.contains("\nSuperheat hunts for"), "{told}");
    assert!(told.contains("Nothing proved wrong in its steady stretches"), "{told}");
}

/// Nothing in the file says what runs, and suction, always the same, is left out: what is said of it at all times holds.
#[test]
fn what_runs_is_asked_for_where_nothing_tells_it() {
    let job = hall();
    let state = |minute: u32| State { outdoor: 300.0 + f64::from(minute) / 60.0, running: 2, causes: Vec::new() };
    let log = Log::new(&job, 240, 5, state);
    let cell = |column: &Logged, value: f64| {
        if column.of == Reading::SuctionPressure { "120.0".to_owned() } else { format!("{value:.2}") }
    };
    let all = log.wide(&job, ',', &usual_head(','), &iso, &cell);
    let without: Vec<&str> = all.lines().map(|line| line.rsplit_once(',').unwrap().0).collect();
    let without = without.join("\n");
    let trend = studied(&job, &without, None, &said("[readings]\nrunning = 2\n")).unwrap();
    assert!(trend.times[1] > 200 * 60, "{:?}", trend.times);
    match studied(&job, &without, None, &Readings::default()) {
        Err(says) => assert!(says.contains("no column says whether compressors run"), "{says}"),
        Ok(trend) => assert!(trend.times[1] > 200 * 60, "{:?}", trend.times),
    }
    let three = studied(&job, &without, None, &said("[readings]\nrunning = 3\n")).unwrap_err();
    assert_eq!(three, "running = 3, but circuit 1A has 2 compressors");
}
