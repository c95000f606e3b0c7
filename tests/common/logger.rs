//! A logger at a machine that the model makes: rows of readings over days, with something wrong at some times.

use roofrun::diagnose::{Cause, made};
use roofrun::job::{Job, Read, Reading, Runs, Set};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What a machine does at a moment.
#[derive(Clone, Debug)]
pub struct State {
    /// Outdoor temperature, K.
    pub outdoor: f64,
    /// Compressors that run.
    pub running: u32,
    /// What is wrong, with its size.
    pub causes: Vec<(Cause, f64)>,
}

/// A machine whose readings are made once for each state, to half a degree of outdoor temperature.
pub struct Machine {
    job: Job,
    seen: BTreeMap<String, BTreeMap<Reading, f64>>,
}

impl Machine {
    pub fn new(job: Job) -> Self {
        Self { job, seen: BTreeMap::new() }
    }

    /// What every reading is, SI; with compressors off the pressures of a stop.
    pub fn read(&mut self, state: &State) -> BTreeMap<Reading, f64> {
        let outdoor = (2.0 * state.outdoor).round() / 2.0;
        if state.running == 0 {
            let fluid = roofrun::refrigerant::named(&self.job.circuits[0].refrigerant).unwrap();
            let at_rest = fluid.dew_pressure(outdoor).unwrap();
            let temperatures = [
                Reading::Outdoor,
                Reading::DischargeTemperature,
                Reading::SuctionTemperature,
                Reading::LiquidTemperature,
            ];
            let mut all: BTreeMap<Reading, f64> = temperatures.into_iter().map(|reading| (reading, outdoor)).collect();
            let pressures = [Reading::DischargePressure, Reading::SuctionPressure, Reading::LiquidPressure];
            all.extend(pressures.map(|reading| (reading, at_rest)));
            all.extend([(Reading::EnteringFluid, 284.0), (Reading::LeavingFluid, 284.0), (Reading::Power, 0.0)]);
            return all;
        }
        let key = format!("{outdoor} {} {:?}", state.running, state.causes);
        let job = &self.job;
        let make = || {
            let mut set = Set { running: Some(Runs::Count(state.running)), bypass: Some(false), ..Set::default() };
            set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
            made(job, &job.circuits[0], &set, &state.causes, [0.0; 6])
                .unwrap_or_else(|| panic!("no balance: {state:?}"))
        };
        let mut all = self.seen.entry(key).or_insert_with(make).clone();
        all.insert(Reading::Outdoor, state.outdoor);
        all
    }
}

/// Outdoor temperature of a summer's day by its hour, K: highest at three in the afternoon.
pub fn summer(hour: f64) -> f64 {
    300.5 + 6.0 * (std::f64::consts::TAU * (hour - 9.0) / 24.0).sin()
}

pub fn fahrenheit(kelvin: f64) -> f64 {
    kelvin * 1.8 - 459.67
}

pub fn psig(pascals: f64, job: &Job) -> f64 {
    (pascals - job.site.atmosphere.pascals()) / 6_894.757
}

/// A number of about a normal distribution.
pub fn noise(rng: &mut fastrand::Rng) -> f64 {
    (0..12).map(|_| rng.f64()).sum::<f64>() - 6.0
}

/// Minutes since a day as a logger in North America writes them: `7/6/2026 14:05`.
pub fn us_time(day_of_july: u32, minute: u32) -> String {
    format!("7/{}/2026 {}:{:02}", day_of_july + minute / 1440, minute % 1440 / 60, minute % 60)
}

/// The trend of examples/readings: six days of July at circuit 1A of the bottling hall, a row each five minutes. On afternoons with wind
/// from the west warm air comes back to the coil; on one morning the liquid's pressure is logged in kPa; a sensor says so when it fails.
pub fn example(job: &Job) -> String {
    let mut machine = Machine::new(job.clone());
    let mut rng = fastrand::Rng::with_seed(7);
    let mut text = String::from(
        "Time,OAT (F),Disch Press (psig),Disch Temp (F),Suct Press (psig),Suct Temp (F),Liquid Press (psig),Liquid Temp (F),EWT (F),LWT (F),Comp kW,Comp 1,Comp 2,Wind Dir (deg),Wind (mph),Alarm\n",
    );
    for row in 0..6 * 288_u32 {
        let minute = 5 * row;
        let hour = f64::from(minute % 1440) / 60.0;
        let day = minute / 1440;
        // A gap, and the night of Sunday.
        if (4_000..4_130).contains(&minute) {
            continue;
        }
        let running = u32::from((5.0..22.0).contains(&hour)) + u32::from((9.0..19.0).contains(&hour));
        let west = day % 2 == 1 && (10.0..20.0).contains(&hour);
        let causes = if west && (12.0..18.0).contains(&hour) { vec![(Cause::WarmAir, 8.0)] } else { Vec::new() };
        let outdoor = summer(hour) + 0.15 * noise(&mut rng);
        let all = machine.read(&State { outdoor, running, causes });
        let mut near = |reading: Reading, off: f64| all[&reading] + off * noise(&mut rng);
        let pressure = |pascals: f64| format!("{:.0}", psig(pascals, job));
        let [high, low, liquid] = [
            near(Reading::DischargePressure, 5e3),
            near(Reading::SuctionPressure, 3e3),
            near(Reading::LiquidPressure, 5e3),
        ];
        let in_kpa = (3 * 1440 + 600..3 * 1440 + 900).contains(&minute);
        let liquid = if in_kpa { format!("{:.0}", psig(liquid, job) * 6.894_757) } else { pressure(liquid) };
        let mut degrees = |reading: Reading| format!("{:.1}", fahrenheit(near(reading, 0.1)));
        let suction =
            if (2_000..2_060).contains(&minute) { "Fault".to_owned() } else { degrees(Reading::SuctionTemperature) };
        let from = if west { 265.0 } else { 30.0 } + 12.0 * noise(&mut fastrand::Rng::with_seed(u64::from(row)));
        writeln!(
            text,
            "{},{:.1},{},{},{},{suction},{liquid},{},{},{},{:.1},{},{},{:.0},{},",
            us_time(6, minute),
            fahrenheit(outdoor),
            pressure(high),
            degrees(Reading::DischargeTemperature),
            pressure(low),
            degrees(Reading::LiquidTemperature),
            degrees(Reading::EnteringFluid),
            degrees(Reading::LeavingFluid),
            all[&Reading::Power] / 1e3,
            if running > 0 { "On" } else { "Off" },
            if running > 1 { "On" } else { "Off" },
            f64::rem_euclid(from, 360.0),
            6 + row % 3,
        )
        .unwrap();
    }
    text
}

/// A column of a log that is made.
pub struct Logged {
    /// Its name in a head with units.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What it holds.
    pub of: Reading,
}

/// The usual columns in inch-pound units.
pub const USUAL: &[Logged] = &[
    Logged { name: "OAT", unit: "F", of: Reading::Outdoor },
    Logged { name: "Disch Press", unit: "psig", of: Reading::DischargePressure },
    Logged { name: "Disch Temp", unit: "F", of: Reading::DischargeTemperature },
    Logged { name: "Suct Press", unit: "psig", of: Reading::SuctionPressure },
    Logged { name: "Suct Temp", unit: "F", of: Reading::SuctionTemperature },
    Logged { name: "Liquid Temp", unit: "F", of: Reading::LiquidTemperature },
    Logged { name: "EWT", unit: "F", of: Reading::EnteringFluid },
    Logged { name: "LWT", unit: "F", of: Reading::LeavingFluid },
    Logged { name: "Comp Power", unit: "kW", of: Reading::Power },
];

/// A number of a reading in a unit, as SI 10 and the definitions of the units have it.
pub fn written(value: f64, unit: &str, job: &Job) -> f64 {
    let gauge = value - job.site.atmosphere.pascals();
    match unit {
        "F" => fahrenheit(value),
        "C" => value - 273.15,
        "psig" | "psi" => gauge / 6_894.757,
        "psia" => value / 6_894.757,
        "barg" | "bar" => gauge / 1e5,
        "kPag" | "kPa" => gauge / 1e3,
        "kW" => value / 1e3,
        _ => value,
    }
}

/// A log that is made: at every minute a state, and what it shows.
pub struct Log {
    pub rows: Vec<(u32, State, BTreeMap<Reading, f64>)>,
}

impl Log {
    /// So many minutes in steps, with a state at each.
    pub fn new(job: &Job, minutes: u32, step: u32, state: impl Fn(u32) -> State) -> Self {
        let mut machine = Machine::new(job.clone());
        let row = |row: u32| {
            let state = state(row * step);
            let all = machine.read(&state);
            (row * step, state, all)
        };
        Self { rows: (0..minutes / step).map(row).collect() }
    }

    /// As a wide file: what parts it, its head, and how a time and a number are written.
    pub fn wide(
        &self,
        job: &Job,
        by: char,
        head: &str,
        time: &dyn Fn(u32) -> String,
        cell: &dyn Fn(&Logged, f64) -> String,
    ) -> String {
        let mut text = format!("{head}\n");
        for (minute, state, all) in &self.rows {
            text.push_str(&time(*minute));
            for column in USUAL {
                text.push(by);
                text.push_str(&cell(column, written(all[&column.of], column.unit, job)));
            }
            writeln!(text, "{by}{}", state.running).unwrap();
        }
        text
    }

    /// The usual head and numbers with a time.
    pub fn usual(&self, job: &Job, time: &dyn Fn(u32) -> String) -> String {
        self.wide(job, ',', &usual_head(','), time, &|_, value| format!("{value:.2}"))
    }
}

/// The usual head: units in brackets.
pub fn usual_head(by: char) -> String {
    let columns: Vec<String> = USUAL.iter().map(|column| format!("{} ({})", column.name, column.unit)).collect();
    format!("Time{by}{}{by}Compressors running", columns.join(&by.to_string()))
}

/// ISO 8601.
pub fn iso(minute: u32) -> String {
    format!("2026-07-{:02}T{:02}:{:02}:00", 6 + minute / 1440, minute % 1440 / 60, minute % 60)
}
