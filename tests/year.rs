//! The year against a plain loop over the same hours: each of 200 hours solved as an operating point by itself, and the sums
//! of a year added up one hour after the other.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

use roofrun::job::{self, Circuit, HeadControl, Job, OwnPoint, Plant, Profile, Running};
use roofrun::refdata;
use roofrun::survey::{Point, feed, what_if};
use roofrun::units::{Pressure, Temperature, watts};
use roofrun::weather;
use roofrun::year::{self, Hourly, OperatingPoint};
use std::path::Path;
use std::sync::Arc;

const WEATHER: &str = "tests/data/weather/typical_year_45N_8E.epw";
/// Capacity and energy of an hour are required to 0.1 %: they are interpolated, and no drawing knows a rating or a
/// load any better. What is counted is exact and has a test of its own.
const SOLVED: f64 = 1e-3;
const HOURS: usize = 200;

fn with_weather(file: &str) -> Job {
    let mut job = job::open(Path::new(file)).unwrap();
    job.weather = Some(Arc::new(weather::open(Path::new(WEATHER)).unwrap()));
    job
}

/// Numbers that look random, the same each time.
fn scattered(count: usize, below: usize) -> Vec<usize> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state >> 33).unwrap() % below
    };
    (0..count).map(|_| next()).collect()
}

/// A week of loads that differ from hour to hour.
fn week() -> Profile {
    Profile::Week((0..168).map(|hour| 0.3 + 0.7 * (f64::from(hour) * 0.37).sin().abs()).collect())
}

#[expect(clippy::unnecessary_wraps, reason = "as a job holds it")]
fn plant(load: f64, profile: Profile, running: Running) -> Option<Plant> {
    Some(Plant { load: watts(load), spare: 1, profile, running })
}

fn near(what: &str, year: f64, alone: f64, scale: f64) {
    let off = (year - alone).abs() / scale.abs();
    assert!(off <= SOLVED, "{what}: {year} of the year, {alone} by itself, off by {off:e}");
}

/// What one hour's stand says against the operating point that stands for it.
fn same(circuit: &Circuit, stand: &OperatingPoint, point: &Point) {
    let alone = |what: &str, year: f64, alone: f64| near(what, year, alone, alone);
    alone("capacity", stand.capacity_W, point.capacity_W);
    alone("power", stand.power_W, point.power_W);
    alone("discharge pressure", stand.discharge_Pa, point.state.discharge.pressure_Pa);
    alone("suction pressure", stand.suction_Pa, point.state.suction.pressure_Pa);
    alone("pressure at the valve", stand.valve_Pa, point.state.valve_inlet.pressure_Pa);
    alone("evaporating", stand.evaporating_K, point.evaporating_K);
    alone("condensing", stand.condensing_K, point.condensing_K);
    near("air share", stand.air_share, point.air_share, 1.0);
    near("flooded share", stand.flooded_share, point.flooded_share, 1.0);
    // Temperatures are good to the tolerance of themselves.
    let fed = feed(circuit, &point.liquid_line);
    near("subcooling at the valve", stand.feed.valve_K, fed.valve_K, 30.0);
    near("minimum subcooling", stand.feed.line_K, fed.line_K, 30.0);
    let ratios = point.discharge_line.runs.iter().filter_map(|run| run.oil_lift.map(|lift| lift.ratio));
    match ratios.reduce(f64::min) {
        Some(ratio) => alone("oil", stand.oil.unwrap().0, ratio),
        None => assert!(stand.oil.is_none()),
    }
}

/// Every stand of 200 hours solved as an operating point by itself; answers how many there were and how many of them in part.
fn held_against_points(job: &Job) -> (usize, usize) {
    let hourly = year::hourly(job).unwrap().unwrap();
    let hours: Vec<year::Hour> =
        scattered(HOURS, hourly.len()).into_iter().map(|hour| hourly.hour(job, hour).unwrap()).collect();
    let (mut count, mut parts) = (0, 0);
    for (index, circuit) in job.circuits.iter().enumerate() {
        let mut points = Vec::new();
        let mut stands = Vec::new();
        for hour in &hours {
            for (stand, part) in &hour.circuits[index].points {
                parts += usize::from(*part < 1.0);
                points.push(OwnPoint {
                    name: format!("hour {}", points.len()),
                    outdoor: Temperature::from_kelvin(hour.moment.outdoor_K),
                    share: stand.stage.share,
                    bypass: stand.stage.bypass > 0.0,
                });
                stands.push(*stand);
            }
        }
        let solved = what_if(&Job { points: points.clone(), ..job.clone() }, circuit).unwrap();
        for (own, stand) in points.iter().zip(&stands) {
            let point = solved
                .points
                .iter()
                .find(|point| point.name == own.name)
                .unwrap_or_else(|| panic!("{} has no balance by itself", own.name));
            same(circuit, stand, point);
        }
        count += stands.len();
    }
    (count, parts)
}

#[test]
fn compressors_in_steps_held_by_fans_with_a_bypass() {
    let mut job = with_weather("examples/bottling-hall.toml");
    job.plant = plant(250e3, week(), Running::Few);
    let (count, parts) = held_against_points(&job);
    assert!(count > 500 && parts > 400, "{count} {parts}");
}

#[test]
fn a_whole_plant_whose_load_goes_with_the_weather() {
    let mut job = with_weather("examples/plant-of-twelve.toml");
    let [none, full] = [278.0, 306.0].map(Temperature::from_kelvin);
    job.plant = plant(700e3, Profile::Outdoor { none, full, minimum: 0.2 }, Running::All);
    let (count, parts) = held_against_points(&job);
    assert!(count > 800 && parts > 800, "{count} {parts}");
}

#[test]
fn variable_speed_with_flooding_and_a_blend_with_glide() {
    let mut job = with_weather("tests/recomputed/jobs/condenser-below-with-glide.toml");
    job.plant = plant(40e3, week(), Running::Few);
    assert_eq!(job.circuits[0].refrigerant, "R-407C");
    let (count, _) = held_against_points(&job);
    assert!(count >= HOURS, "{count}");
    let hourly = year::hourly(&job).unwrap().unwrap();
    let shares =
        (0..hourly.len()).filter_map(|hour| hourly.hour(&job, hour).unwrap().circuits[0].points.first().copied());
    let between = shares.filter(|(stand, _)| stand.stage.share > 0.26 && stand.stage.share < 0.99).count();
    assert!(between > 1_000, "{between} hours between the minimum share and the full");
}

/// Every regime of the head control at every share: held by the fans, their minimum air, all of the air.
#[test]
fn variable_speed_with_fans_that_come_to_their_minimum() {
    let mut job = with_weather("examples/bottling-hall.toml");
    for circuit in &mut job.circuits {
        circuit.compressors.minimum_share = 0.2;
        let setpoint = Temperature::from_kelvin(308.0);
        circuit.condenser.head_control = HeadControl::Fans { setpoint, minimum_air: 0.5 };
    }
    let [none, full] = [265.0, 303.0].map(Temperature::from_kelvin);
    for (profile, running) in [(week(), Running::Few), (Profile::Outdoor { none, full, minimum: 0.15 }, Running::All)] {
        job.plant = plant(240e3, profile, running);
        assert!(held_against_points(&job).0 > HOURS);
        let hourly = year::hourly(&job).unwrap().unwrap();
        let [mut held, mut minimum, mut alone] = [0; 3];
        for hour in 0..hourly.len() {
            for (stand, _) in &hourly.hour(&job, hour).unwrap().circuits[0].points {
                let between = stand.stage.share > 0.21 && stand.stage.share < 0.99;
                held += usize::from(between && stand.air_share > 0.5001 && stand.air_share < 0.9999);
                minimum += usize::from(between && stand.air_share < 0.5001);
                alone += usize::from(between && stand.air_share > 0.9999);
            }
        }
        assert!(held > 100 && minimum > 100 && alone > 100, "{held} {minimum} {alone}");
    }
}

#[test]
fn a_double_riser_that_seals_at_variable_speed() {
    let mut job = with_weather("tests/recomputed/jobs/riser-sealed-at-the-least-flow.toml");
    job.plant = plant(60e3, week(), Running::Few);
    assert!(held_against_points(&job).0 >= HOURS);
}

#[test]
fn flooding_without_a_load() {
    let mut job = with_weather("tests/recomputed/jobs/flooding-with-a-blend.toml");
    job.plant = None;
    assert_eq!(held_against_points(&job), (HOURS, 0));
}

#[test]
fn liquid_that_flashes_without_head_control_and_a_bypass_that_is_always_open() {
    let mut job = with_weather("tests/recomputed/jobs/two-phase-liquid-line.toml");
    job.plant = plant(60e3, week(), Running::Few);
    assert!(held_against_points(&job).0 > 100);
}

#[test]
fn a_condenser_that_trips_runs_with_fewer_compressors() {
    for file in ["examples/bottling-hall.toml", "tests/recomputed/jobs/condenser-below-with-glide.toml"] {
        let mut job = with_weather(file);
        job.plant = None;
        let highest = year::year(&job, &|_| {}).unwrap().unwrap().circuits[0].trips.worst.unwrap().value;
        let switch = 0.95 * highest;
        for circuit in &mut job.circuits {
            circuit.condenser.cutout = Some(Pressure::from_pascals(switch));
        }
        let year = year::year(&job, &|_| {}).unwrap().unwrap();
        let hours = year.circuits[0].trips.hours;
        assert!(hours > 20.0 && hours < 2_000.0, "{file}: {hours}");
        let hourly = year::hourly(&job).unwrap().unwrap();
        let mut fewer = 0;
        for hour in 0..hourly.len() {
            for (stand, _) in &hourly.hour(&job, hour).unwrap().circuits[0].points {
                assert!(stand.discharge_Pa < switch);
                fewer += usize::from(stand.stage.share < 1.0);
            }
        }
        assert!(fewer > 20, "{fewer}");
        held_against_points(&job);
    }
}

/// The sums of a year, added up one hour after the other from what `hour` says.
#[test]
fn the_sums_are_those_of_the_hours() {
    let mut job = with_weather("examples/plant-of-twelve.toml");
    for circuit in &mut job.circuits {
        circuit.condenser.fan_power = Some(watts(3e3));
    }
    job.plant = plant(800e3, week(), Running::Few);
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    let hourly = year::hourly(&job).unwrap().unwrap();
    let (mut power, mut fans, mut cooling, mut load, mut short, mut running) = (0.0, 0.0, 0.0, 0.0, 0.0, [0.0; 4]);
    for number in 0..hourly.len() {
        let hour = hourly.hour(&job, number).unwrap();
        let asked = hour.moment.load_W.unwrap();
        load += asked.min(hour.capacity_W);
        if hour.capacity_W < asked {
            short += 1.0;
        }
        for (circuit, running) in hour.circuits.iter().zip(&mut running) {
            let copies = f64::from(circuit.copies);
            *running += f64::from(u8::from(circuit.copies > 0));
            for (stand, part) in &circuit.points {
                power += copies * part * stand.power_W;
                fans += copies * part * 3e3 * stand.air_share.powi(3);
                cooling += copies * part * stand.capacity_W;
            }
        }
    }
    near("power", year.energy.compressors_J, power * 3600.0, power * 3600.0);
    near("fans", year.energy.fans_J.unwrap(), fans * 3600.0, fans * 3600.0);
    near("cooling", year.energy.cooling_J, cooling * 3600.0, cooling * 3600.0);
    // What is delivered is what is asked, as far as it can be.
    near("load", year.energy.cooling_J, load * 3600.0, load * 3600.0);
    near("short", year.plant.unwrap().short.hours, short, 8760.0);
    let told: Vec<f64> = year.circuits.iter().map(|circuit| circuit.running_hours).collect();
    assert_eq!(told, running);
}

/// Fans that are known count, also where those of another circuit are not: what stands under the rows is their sum.
#[test]
fn the_energy_in_all_is_that_of_the_circuits() {
    let mut job = with_weather("examples/plant-of-twelve.toml");
    job.circuits[0].condenser.fan_power = Some(watts(3e3));
    job.plant = plant(800e3, week(), Running::Few);
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    let known: Vec<bool> = year.circuits.iter().map(|circuit| circuit.energy.fans_J.is_some()).collect();
    assert_eq!(known, [true, false, false, false]);
    let rows: f64 = year.circuits.iter().map(|circuit| circuit.energy.all_J()).sum();
    near("energy", year.energy.all_J(), rows, rows);
    let floating = |circuit: &year::CircuitYear| circuit.floating.map_or(circuit.energy, |to| to.energy).all_J();
    let rows: f64 = year.circuits.iter().map(floating).sum();
    near("floating", year.floating.unwrap().all_J(), rows, rows);
}

/// The switch with the warm air that a plan returns is that of a job which says so much itself.
#[test]
fn warm_air_that_returns_all_the_year_is_as_if_the_job_said_it() {
    let mut job = with_weather("examples/plant-of-twelve.toml");
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    let switch = 1.02 * year.circuits[1].trips.worst.unwrap().value;
    for circuit in &mut job.circuits {
        circuit.condenser.cutout = Some(Pressure::from_pascals(switch));
    }
    let mut year = year::year(&job, &|_| {}).unwrap().unwrap();
    year::with_warm_air(&job, &mut year, &[None, Some(4.0), None, Some(6.0)]).unwrap();
    let warm: Vec<_> = year.circuits.iter().map(|circuit| circuit.warm_air).collect();
    assert!(warm[0].is_none() && warm[2].is_none());
    for (index, rise) in [(1, 4.0), (3, 6.0)] {
        job.circuits[index].condenser.recirculation = Some(roofrun::units::kelvins(rise));
    }
    let said = year::year(&job, &|_| {}).unwrap().unwrap();
    for index in [1, 3] {
        let (warm, said) = (warm[index].unwrap(), &said.circuits[index]);
        assert_eq!((warm.trip_hours, warm.near_hours), (said.trips.hours, said.near_cutout.hours));
    }
    assert!(warm[1].unwrap().trip_hours > year.circuits[1].trips.hours);
}

/// A week by hand: two days, the load of each hour from its place in the profile.
#[test]
fn the_load_of_an_hour_is_that_of_its_day() {
    let mut job = with_weather("examples/bottling-hall.toml");
    job.plant = plant(100e3, Profile::Week((0..168).map(|hour| f64::from(hour) / 200.0).collect()), Running::Few);
    let hourly = year::hourly(&job).unwrap().unwrap();
    // The first of January of this file is a Thursday.
    for (hour, of_the_week) in [(0, 72.0), (23, 95.0), (96, 0.0), (96 + 167, 167.0), (8759, 72.0 + 23.0)] {
        let found = hourly.hour(&job, hour).unwrap().moment;
        near("load", found.load_W.unwrap(), 100e3 * of_the_week / 200.0, 1e5);
        assert_eq!(u32::from(found.hour), u32::try_from(hour % 24).unwrap());
    }
}

fn short_hours(job: &Job) -> (f64, f64) {
    let plant = year::year(job, &|_| {}).unwrap().unwrap().plant.unwrap();
    assert!(plant.short_without.hours >= plant.short.hours);
    assert!(plant.short_without.missing_J >= plant.short.missing_J);
    assert!(plant.hottest.capacity_without_W <= plant.hottest.capacity_W);
    (plant.short.hours, plant.short_without.hours)
}

#[test]
fn more_load_is_never_short_for_fewer_hours_and_more_spare_never_leaves_more() {
    let mut job = with_weather("examples/plant-of-twelve.toml");
    let mut before = (0.0, 0.0);
    let mut some = 0;
    for load in [500e3, 650e3, 700e3, 750e3, 800e3, 900e3] {
        job.plant = plant(load, week(), Running::Few);
        let now = short_hours(&job);
        assert!(now.0 >= before.0 && now.1 >= before.1, "{load}: {now:?} after {before:?}");
        some += usize::from(now.1 > 0.0 && now.1 < 8760.0);
        before = now;
    }
    assert!(some > 2);
    let mut missing = -1.0;
    for spare in 1..5 {
        job.plant = Some(Plant { spare, ..job.plant.clone().unwrap() });
        let now = year::year(&job, &|_| {}).unwrap().unwrap().plant.unwrap();
        assert_eq!((now.out, now.out_names.len()), (spare, usize::try_from(spare).unwrap()));
        assert!(now.short_without.missing_J > missing);
        missing = now.short_without.missing_J;
    }
}

#[test]
fn a_head_let_float_takes_less_of_the_compressors_and_cools_the_same() {
    let mut job = with_weather("examples/bottling-hall.toml");
    job.plant = plant(240e3, week(), Running::Few);
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    let floating = year.floating.unwrap();
    assert!(floating.compressors_J < 0.95 * year.energy.compressors_J);
    near("cooling", floating.cooling_J, year.energy.cooling_J, floating.cooling_J);
    for circuit in &year.circuits {
        let to = circuit.floating.unwrap();
        assert!(to.to_K < to.held_K && to.to_K >= refdata::limit("float_minimum").unwrap().value);
    }
}

/// The head floats no lower than the valve allows, and just that low.
#[test]
fn a_head_floats_as_low_as_the_valve_feeds_on_the_coldest_hour() {
    let mut job = with_weather("examples/condenser-below.toml");
    job.plant = None;
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    let to = year.circuits[0].floating.unwrap().to_K;
    assert!(to > refdata::limit("float_minimum").unwrap().value + 1.0, "{to}");
    let needs = job.circuits[0].valve.minimum_drop.unwrap().value;
    let coldest = job.weather.as_ref().unwrap().lowest();
    let minimum_drop = |setpoint: f64| {
        let mut circuit = job.circuits[0].clone();
        circuit.condenser.head_control = job::HeadControl::Flooding { setpoint: Temperature::from_kelvin(setpoint) };
        let at = |name: &str, share: f64| OwnPoint {
            name: name.to_owned(),
            outdoor: Temperature::from_kelvin(coldest),
            share,
            bypass: false,
        };
        let job = Job { points: vec![at("half", 0.5), at("full", 1.0)], ..job.clone() };
        let solved = what_if(&job, &circuit).unwrap();
        let across = |name: &str| {
            let state = &solved.points.iter().find(|point| point.name == name).unwrap().state;
            state.valve_inlet.pressure_Pa - state.suction.pressure_Pa
        };
        across("half").min(across("full"))
    };
    assert!(minimum_drop(to) >= needs, "{} {needs}", minimum_drop(to));
    assert!(minimum_drop(to - 0.05) < needs, "{} {needs}", minimum_drop(to - 0.05));
}

#[test]
fn a_head_that_is_not_held_does_not_float() {
    let job = with_weather("tests/recomputed/jobs/two-phase-liquid-line.toml");
    let year = year::year(&job, &|_| {}).unwrap().unwrap();
    assert!(year.floating.is_none() && year.circuits[0].floating.is_none());
}

/// Two records an hour are half an hour each, and what has no temperature is left out and counted.
#[test]
fn gaps_and_half_hours_are_counted_by_their_time() {
    let mut job = with_weather("examples/bottling-hall.toml");
    job.plant = None;
    let whole = year::year(&job, &|_| {}).unwrap().unwrap();
    let text = std::fs::read_to_string(WEATHER).unwrap();
    let (head, lines) = text.split_at(text.match_indices('\n').nth(7).unwrap().0 + 1);
    let twice: String = lines
        .lines()
        .flat_map(|line| {
            let minutes = |minutes: &str| {
                let mut fields: Vec<&str> = line.split(',').collect();
                fields[4] = minutes;
                fields.join(",") + "\n"
            };
            [minutes("30"), minutes("60")]
        })
        .collect();
    let head = head.replace("DATA PERIODS,1,1,", "DATA PERIODS,1,2,");
    job.weather = Some(Arc::new(weather::read("halves.epw", &format!("{head}{twice}")).unwrap()));
    let halves = year::year(&job, &|_| {}).unwrap().unwrap();
    assert_eq!((halves.hours, halves.missing_hours), (8760.0, 0.0));
    near("energy", halves.energy.compressors_J, whole.energy.compressors_J, whole.energy.compressors_J);
    let without: String = lines
        .lines()
        .enumerate()
        .map(|(number, line)| {
            let mut fields: Vec<&str> = line.split(',').collect();
            if (100..150).contains(&number) {
                fields[6] = "99.9";
            }
            fields.join(",") + "\n"
        })
        .collect();
    let head = head.replace("DATA PERIODS,1,2,", "DATA PERIODS,1,1,");
    job.weather = Some(Arc::new(weather::read("gaps.epw", &format!("{head}{without}")).unwrap()));
    let gaps = year::year(&job, &|_| {}).unwrap().unwrap();
    assert_eq!((gaps.hours, gaps.missing_hours), (8710.0, 50.0));
}

/// What is told of the progress is a share of the whole, and at the end all of it.
#[test]
fn progress_is_told_to_the_end() {
    let job = with_weather("examples/bottling-hall.toml");
    let maximum = std::sync::Mutex::new(0.0_f64);
    year::year(&job, &|done| {
        assert!((0.0..=1.0).contains(&done));
        let mut maximum = maximum.lock().unwrap();
        *maximum = maximum.max(done);
    })
    .unwrap();
    assert!(*maximum.lock().unwrap() > 0.99);
}

#[test]
fn without_a_weather_file_there_is_no_year() {
    let job = job::open(Path::new("examples/bottling-hall.toml")).unwrap();
    assert!(year::year(&job, &|_| {}).unwrap().is_none());
    assert!(year::hourly(&job).unwrap().as_ref().map(Hourly::len).is_none());
}
