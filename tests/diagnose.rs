//! The complaint: signs of every fault as published, recovery of what the model was given, and input that is no good.
#![expect(clippy::unwrap_used, reason = "a test may fail")]
#![allow(dead_code, clippy::cast_precision_loss, reason = "shared with the bench")]

#[path = "common/recovery.rs"]
mod recovery;

use recovery::{jobs, outcomes, percent};
use roofrun::diagnose::{Answer, Cause, Place, Verdict, Wanted, diagnose, expected, json, made, text};
use roofrun::job::{self, Job, LiquidAt, Read, Reading, Runs, Set};
use std::collections::BTreeMap;
use std::path::Path;

fn hall() -> Job {
    job::read("hall.toml", include_str!("../examples/bottling-hall.toml"), Path::new(".")).unwrap()
}

fn read(text: &str) -> Result<job::Readings, job::Faults> {
    job::read_readings("readings.toml", text, &hall())
}

fn answer(text: &str) -> Answer {
    diagnose(&hall(), &read(text).unwrap()).unwrap()
}

const COMPLAINT: &str = include_str!("../examples/readings/high-head.toml");

/// Evaporating, superheat, condensing, subcooling at the coil, discharge temperature, rise of the air: K.
fn signs(job: &Job, cause: Option<(Cause, f64)>) -> [f64; 6] {
    let mut set =
        Set { running: Some(Runs::Count(2)), liquid_at: LiquidAt::Condenser, bypass: Some(false), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
    let circuit = &job.circuits[0];
    let causes: Vec<(Cause, f64)> = cause.into_iter().collect();
    let all: BTreeMap<Reading, f64> =
        made(job, circuit, &set, &causes, [0.0; 6]).unwrap_or_else(|| panic!("no balance: {causes:?}"));
    let fluid = roofrun::refrigerant::named(&circuit.refrigerant).unwrap();
    let evaporating = fluid.dew_temperature(all[&Reading::SuctionPressure]).unwrap();
    [
        evaporating,
        all[&Reading::SuctionTemperature] - evaporating,
        fluid.dew_temperature(all[&Reading::DischargePressure]).unwrap(),
        fluid.bubble_temperature(all[&Reading::LiquidPressure]).unwrap() - all[&Reading::LiquidTemperature],
        all[&Reading::DischargeTemperature],
        all[&Reading::AirOff] - all[&Reading::AirOn],
    ]
}

/// What counts as no change: the error of an instrument, 2 F; of a difference of two airs 1 F.
const UNSEEN: [f64; 6] = [1.1, 1.1, 1.1, 1.1, 1.1, 0.6];

fn agrees(sign: &str, change: f64, unseen: f64) -> bool {
    sign.split('/').any(|sign| match sign {
        "+" => change > unseen,
        "-" => change < -unseen,
        "0" => change.abs() <= unseen,
        _ => true,
    })
}

/// Signs by fault, an expansion valve that holds superheat, and their source. `?`: sources disagree, nothing is asked.
const SIGNS: &[(Cause, f64, [&str; 6], &str)] = &[
    (
        Cause::WarmAir,
        8.0,
        ["0/+", "0", "+", "0/+", "+", "0"],
        "rule of warm inlet air; US Army TM 5-4120-377-14 lists recirculation under high head",
    ),
    (
        Cause::DirtyCoil,
        0.45,
        ["0/+", "0", "+", "0/+", "+", "+"],
        "trade, valve with receiver; measured split up with blocking, rooftop unit, 2017",
    ),
    (Cause::FansOut, 0.45, ["0/+", "0", "+", "0/+", "+", "+"], "trade; low condenser air"),
    (
        Cause::NonCondensables,
        3e5,
        ["0", "0", "+", "+", "+", "0"],
        "ASHRAE RP-1043, gas 1 %: Tc and SC up by the same, Te and SH unmoved",
    ),
    (
        Cause::Overcharge,
        0.25,
        ["0/+", "0", "+", "+", "?", "0"],
        "RP-1043, overcharge 10 %: Tc and SC up; discharge gas + there, - in a manufacturer's guide",
    ),
    (Cause::Undercharge, 4.0, ["0", "0", "0/-", "-", "0/-", "0"], "no sign but subcooling while the valve is fed"),
    (
        Cause::Undercharge,
        18.0,
        ["-", "+", "-", "-", "+", "-"],
        "undercharge, starved: manufacturer's guide, SH 25-30, SC 6-8 F",
    ),
    (
        Cause::LiquidRestriction,
        1.5e6,
        ["-", "+", "0/-", "0/+", "+", "-"],
        "trade, valve with and without receiver: restriction after it, evaporating down, superheat up, subcooling 0 or up",
    ),
    (Cause::ValveShut, 0.7, ["-", "+", "0/-", "?", "+", "-"], "trade; valve plugged: SH 25-30 F, suction low"),
    (
        Cause::CompressorLeak,
        0.4,
        ["+", "0/-", "-", "?", "?", "-"],
        "firm only: suction up, head and power down; superheat is held under what little the fluid is cooled",
    ),
    (
        Cause::BypassPassing,
        0.2,
        ["0/+", "0", "-", "0/-", "?", "-"],
        "bypass into the evaporator's inlet: less through the coil",
    ),
];

#[test]
fn each_fault_moves_the_readings_as_published() {
    let mut complaints = Vec::new();
    // A valve with little to spare, which starves while some liquid still leaves the coil.
    let hall = include_str!("../examples/bottling-hall.toml")
        .replace("minimum_drop = \"60 psi\"", "minimum_drop = \"150 psi\"");
    let without: String =
        hall.lines().filter(|line| !line.contains("part = \"receiver\"")).flat_map(|line| [line, "\n"]).collect();
    let jobs = [hall, without].map(|text| job::read("hall.toml", &text, Path::new(".")).unwrap());
    for (which, job) in jobs.iter().enumerate() {
        let healthy = signs(job, None);
        for (cause, size, wanted, source) in SIGNS {
            let found = signs(job, Some((*cause, *size)));
            for k in 0..6 {
                let change = found[k] - healthy[k];
                if !agrees(wanted[k], change, UNSEEN[k]) {
                    complaints.push(format!(
                        "job {which}, {} {size}: column {k} {change:+.2} K, not {} ({source})",
                        cause.name(),
                        wanted[k]
                    ));
                }
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// The hall with its suction held, of which nobody tells the fluid.
fn held(valve: &str) -> Job {
    let text = include_str!("../examples/bottling-hall.toml")
        .replace("minimum_drop = \"60 psi\"", valve)
        .replace("leaving = \"45 F\"", "suction = \"40 F\"")
        .replace("approach = \"5 F\"\n", "");
    job::read("held.toml", &text, Path::new(".")).unwrap()
}

#[test]
fn a_valve_that_starves_an_evaporator_lets_its_gas_grow_warm_where_the_suction_is_held_too() {
    let job = held("minimum_drop = \"150 psi\"");
    let healthy = signs(&job, None);
    for (cause, size, wanted, source) in SIGNS.iter().filter(|row| row.2[1] == "+") {
        let found = signs(&job, Some((*cause, *size)));
        for k in 0..6 {
            let change = found[k] - healthy[k];
            assert!(agrees(wanted[k], change, UNSEEN[k]), "{} {size}, {k}: {change:+.2} K ({source})", cause.name());
        }
    }
}

/// A circuit of the hall with both compressors on, at an outdoor temperature.
fn running_at(outdoor: f64) -> Set {
    let mut set =
        Set { running: Some(Runs::Count(2)), bypass: Some(false), circuit: Some("1A".to_owned()), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
    set
}

/// A set with its three places and the power read as they are.
fn read_as_it_is(mut set: Set, all: &BTreeMap<Reading, f64>) -> Set {
    let read = |reading: Reading| Some(Read { value: all[&reading], step: 0.0 });
    for (station, [pressure, temperature]) in [
        (&mut set.discharge, [Reading::DischargePressure, Reading::DischargeTemperature]),
        (&mut set.suction, [Reading::SuctionPressure, Reading::SuctionTemperature]),
        (&mut set.liquid, [Reading::LiquidPressure, Reading::LiquidTemperature]),
    ] {
        (station.pressure, station.temperature) = (read(pressure), read(temperature));
    }
    set.values.insert(Reading::Power, Read { value: all[&Reading::Power], step: 0.0 });
    set
}

#[test]
fn readings_of_a_starved_evaporator_are_told_as_one_where_the_suction_is_held_and_no_fluid_told() {
    // Made with the fluid told, read with it not told.
    let (job, set) = (hall(), running_at(305.0));
    let all = made(&job, &job.circuits[0], &set, &[(Cause::ValveShut, 0.75)], [0.0; 6]).unwrap();
    let readings = job::Readings { set: read_as_it_is(set, &all), ..job::Readings::default() };
    let answer = diagnose(&held("minimum_drop = \"60 psi\""), &readings).unwrap();
    let first = &answer.groups[0];
    let named = |cause: Cause| first.fits.iter().any(|fit| fit.causes.iter().any(|(one, _)| *one == cause));
    assert!(named(Cause::ValveShut) || named(Cause::LiquidRestriction), "{:?}", first.fits[0].causes);
    assert!(answer.verdict == Verdict::Suspects && !answer.poor);
}

/// A hall's readings with nothing wrong, its fluid leaving so much colder than it does.
fn with_fluid_colder(by: f64) -> Answer {
    let (job, set) = (hall(), running_at(304.0));
    let all = made(&job, &job.circuits[0], &set, &[], [0.0; 6]).unwrap();
    let mut set = read_as_it_is(set, &all);
    let fluid = [(Reading::EnteringFluid, 0.0), (Reading::LeavingFluid, by)];
    set.values.extend(fluid.map(|(reading, by)| (reading, Read { value: all[&reading] - by, step: 0.0 })));
    diagnose(&job, &job::Readings { set, ..job::Readings::default() }).unwrap()
}

/// Second law: no fluid leaves colder than what cools it.
#[test]
fn fluid_that_leaves_colder_than_the_refrigerant_evaporates_is_the_reading_that_is_wrong() {
    assert_eq!(with_fluid_colder(0.0).verdict, Verdict::Healthy);
    let answer = with_fluid_colder(8.0 / 1.8);
    let leading = &answer.groups[0].fits[0];
    assert_eq!(leading.sensor, Some(Reading::LeavingFluid), "{:?}", leading.causes);
    assert_eq!(answer.verdict, Verdict::Suspects);
    assert!(!answer.missing.contains(&Reading::LeavingFluid));
}

/// Where a valve has only just begun to starve, a valve that feeds too little and a line that passes too little are one thing.
#[test]
fn at_the_onset_of_starving_valve_and_line_are_not_parted() {
    let (job, mut set) = (hall(), running_at(305.37));
    set.values.insert(Reading::LeavingFluid, Read { value: 280.37, step: 0.0 });
    for size in [0.552, 0.56, 0.57] {
        let all = made(&job, &job.circuits[0], &set, &[(Cause::ValveShut, size)], [0.0; 6]).unwrap();
        let mut set = read_as_it_is(set.clone(), &all);
        set.values.insert(Reading::ValveOpen, Read { value: 1.0, step: 0.0 });
        let answer = diagnose(&job, &job::Readings { set, ..job::Readings::default() }).unwrap();
        let misfit = |cause: Cause| {
            let fits = answer.groups.iter().flat_map(|group| &group.fits);
            fits.filter(|fit| matches!(fit.causes.as_slice(), [(one, _)] if *one == cause))
                .map(|fit| fit.misfit)
                .fold(f64::INFINITY, f64::min)
        };
        let [valve, line] = [misfit(Cause::ValveShut), misfit(Cause::LiquidRestriction)];
        assert!((valve - line).abs() < 1.0, "{size}: {valve} {line}");
    }
}

/// Heat balance of the fluid: what flows more than the job says is warmed by less, so that the two readings go with each other.
#[test]
fn more_fluid_than_the_job_says_is_warmed_by_less() {
    let (job, set) = (hall(), running_at(305.0));
    let all = made(&job, &job.circuits[0], &set, &[], [0.0; 6]).unwrap();
    let set = read_as_it_is(set, &all);
    let misfit = |warmed: f64| {
        let mut set = set.clone();
        let leaving = all[&Reading::LeavingFluid];
        let entering = leaving + warmed * (all[&Reading::EnteringFluid] - leaving);
        let fluid = [
            (Reading::LeavingFluid, leaving),
            (Reading::EnteringFluid, entering),
            (Reading::FluidFlow, 1.1 * all[&Reading::FluidFlow]),
        ];
        set.values.extend(fluid.map(|(reading, value)| (reading, Read { value, step: 0.0 })));
        let answer = diagnose(&job, &job::Readings { set, ..job::Readings::default() }).unwrap();
        let fits = answer.groups.iter().flat_map(|group| &group.fits);
        fits.filter(|fit| fit.is_healthy()).map(|fit| fit.misfit).sum::<f64>()
    };
    let [less, more] = [misfit(1.0 / 1.1), misfit(1.1)];
    assert!(less > 0.0 && less < 2.0 && more > less + 2.0, "{less} {more}");
}

#[test]
fn readings_of_a_fluid_that_nothing_is_held_against_are_told() {
    let told = |answer: Answer| answer.taken.iter().find(|says| says.contains("not weighed")).cloned();
    let readings = read(COMPLAINT).unwrap();
    assert_eq!(told(diagnose(&hall(), &readings).unwrap()), None);
    let held = told(diagnose(&held("minimum_drop = \"60 psi\""), &readings).unwrap()).unwrap();
    assert!(held.starts_with("entering fluid, leaving fluid not weighed"), "{held}");
    let alone = told(answer(&COMPLAINT.replace("leaving_fluid", "# leaving_fluid"))).unwrap();
    assert!(alone.starts_with("entering fluid not weighed"), "{alone}");
}

/// Behind a fixed restriction a dirty coil raises suction and discharge and takes superheat (rule of the open fault tables; measured on a
/// rooftop unit in 2017: superheat -3 to -11 F, evaporating +1 to +3 F at an air that was not held). Its subcooling falls there with a charge that the model holds.
#[test]
fn behind_a_fixed_restriction_a_dirty_coil_takes_superheat() {
    let text: String = include_str!("../examples/bottling-hall.toml")
        .replace("\"electronic\"", "\"fixed\"")
        .replace("minimum_drop = \"60 psi\"", "minimum_drop = \"290 psi\"")
        .lines()
        .filter(|line| !line.contains("part = \"receiver\""))
        .flat_map(|line| [line, "\n"])
        .collect();
    let job = job::read("hall.toml", &text, Path::new(".")).unwrap();
    let [healthy, dirty] = [None, Some((Cause::DirtyCoil, 0.45))].map(|cause| signs(&job, cause));
    let [evaporating, superheat, condensing, _, discharge, _] = std::array::from_fn(|k| dirty[k] - healthy[k]);
    // The fluid's leaving temperature is held here, so that evaporating hardly moves.
    let low_side = (-0.1..2.0).contains(&evaporating) && superheat < -1.6;
    assert!(low_side && condensing > 2.0 && discharge > 1.0, "{healthy:?} {dirty:?}");
}

/// Power and cooling where the condenser loses air, direct-expansion machines by a regression over several (NREL and Purdue fault models, seen
/// in open code): at 35 °C and a share of 0.2 and 0.5 of the air lost cooling +0.4 and -3.7 %, power +5.2 and +22.1 %. A chiller's compressor
/// and coil are others: within 4 % of cooling, and a third to twice the power's rise.
#[test]
fn air_that_the_condenser_loses_costs_power_in_the_published_order() {
    let job = &jobs()[1];
    let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
    let at = |causes: &[(Cause, f64)]| {
        let all = made(job, &job.circuits[0], &set, causes, [0.0; 6]).unwrap();
        (all[&Reading::EnteringFluid] - all[&Reading::LeavingFluid], all[&Reading::Power])
    };
    let (cooling, power) = at(&[]);
    for (lost, of_cooling, of_power) in [(0.2, 0.004, 0.052), (0.5, -0.037, 0.221)] {
        let (less, more) = at(&[(Cause::FansOut, lost)]);
        let (less, more) = (less / cooling - 1.0, more / power - 1.0);
        assert!((less - of_cooling).abs() < 0.06, "cooling at {lost}: {less}, {of_cooling}");
        assert!((of_power / 3.0..2.0 * of_power).contains(&more), "power at {lost}: {more}, {of_power}");
    }
}

/// A coil blocked by 28 and 58 % (a rooftop unit measured in 2017): condensing over outdoor grows by a sixth and by two thirds and more. What
/// share of the air a blocked face takes is not said: a propeller fan makes good a part, so that here as much of the air as of the face is the most.
#[test]
fn a_blocked_coil_widens_condensing_over_outdoor_in_the_measured_order() {
    let job = &jobs()[1];
    let split = |cause| signs(job, cause)[2] - 308.15;
    let healthy = split(None);
    let [some, most] = [0.28, 0.58].map(|share| split(Some((Cause::DirtyCoil, share))) / healthy - 1.0);
    assert!((0.16 - 0.08..0.60).contains(&some), "{some}");
    assert!((0.6..1.9).contains(&most), "{most}");
    assert!(most / some > 2.0, "it grows faster than the blocked share: {some} {most}");
}

/// The hall's first circuit without its condenser and its lines.
fn part() -> String {
    let whole = include_str!("../examples/bottling-hall.toml");
    let whole = whole.split("[[circuit]]").take(2).collect::<Vec<_>>().join("[[circuit]]");
    let [before, rest] = whole.split_once("[circuit.condenser]").map(|(a, b)| [a, b]).unwrap();
    let valve = rest.split_once("[circuit.valve]").unwrap().1.split_once("[circuit.discharge]").unwrap().0;
    format!("{before}[circuit.valve]{valve}")
}

/// Without rating of the condenser and without lines there is a first answer: what they are needed for stays open, and is told.
#[test]
fn a_job_without_condenser_or_lines_is_enough_for_a_first_answer() {
    let text = part();
    assert!(job::read("part.toml", &text, Path::new(".")).is_err());
    let (part, unknown) = job::read_sketch("part.toml", &text, Path::new(".")).unwrap();
    assert!(unknown.condenser && unknown.lines);
    // What is wrong otherwise is told of the file as it stands.
    assert!(job::read_sketch("part.toml", &text.replace("count = 2", "count = \"x\""), Path::new(".")).is_err());
    let of = |causes: &[(Cause, f64)]| {
        let hall = hall();
        let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
        set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
        let all = made(&hall, &hall.circuits[0], &set, causes, [0.0; 6]).unwrap();
        let read = |reading: Reading| Some(Read { value: all[&reading], step: 0.0 });
        let place = |pressure, temperature| job::Station {
            pressure: read(pressure),
            temperature: read(temperature),
            ..job::Station::default()
        };
        set.discharge = place(Reading::DischargePressure, Reading::DischargeTemperature);
        set.suction = place(Reading::SuctionPressure, Reading::SuctionTemperature);
        set.liquid = place(Reading::LiquidPressure, Reading::LiquidTemperature);
        for reading in [Reading::Power, Reading::EnteringFluid, Reading::LeavingFluid] {
            set.values.extend(read(reading).map(|read| (reading, read)));
        }
        diagnose(&part, &job::Readings { set, unknown, ..job::Readings::default() }).unwrap()
    };
    let healthy = of(&[]);
    assert_eq!(healthy.verdict, Verdict::Healthy, "{}", text_of(&part, &healthy));
    assert!(healthy.taken.iter().any(|taken| taken.contains("dirty coil and fans out stay open")));
    assert!(healthy.taken.iter().any(|taken| taken.contains("for want of the lines")));
    let leak = of(&[(Cause::CompressorLeak, 0.35)]);
    let first = &leak.groups[0].fits;
    assert!(
        first.iter().any(|fit| fit.causes.iter().any(|(cause, _)| *cause == Cause::CompressorLeak)),
        "{}",
        text_of(&part, &leak)
    );
    // A coil whose rating is not known is no more to blame for a few degrees.
    assert_eq!(of(&[(Cause::DirtyCoil, 0.2)]).verdict, Verdict::Healthy);
}

fn text_of(job: &Job, answer: &Answer) -> String {
    anstream::adapter::strip_str(&text(job, answer, 100)).to_string()
}

/// A heat balance that does not close is told, and closes again in the complaint as it was read.
#[test]
fn heat_that_does_not_balance_is_told() {
    let says = |text: &str| answer(text).contradictions.iter().any(|one| one.says.contains("heat does not balance"));
    let with_flow = COMPLAINT.replace("power =", "fluid_flow = \"97 gal/min\"\npower =");
    assert!(!says(&with_flow));
    assert!(says(&with_flow.replace("48 kW", "17 kW")));
    assert!(says(&with_flow.replace("54.8 F", "75 F")));
    // Too little flow is a cause, so that a flow that was not read contradicts nothing.
    assert!(!says(&COMPLAINT.replace("54.8 F", "75 F")));
}

/// With a receiver or without one: the more charge is lacking, the lower the suction, far past the point at which gas leaves the coil.
#[test]
fn a_deep_lack_of_charge_has_a_balance() {
    for job in jobs().iter().take(3) {
        let suction = |lack: f64| {
            let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
            set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
            made(job, &job.circuits[0], &set, &[(Cause::Undercharge, lack)], [0.0; 6]).unwrap()
                [&Reading::SuctionPressure]
        };
        let all = [20.0, 30.0, 40.0].map(suction);
        assert!(all[0] > all[1] && all[1] > 1.02 * all[2], "{all:?}");
    }
}

/// At full load and at part of it: the more is clogged, the lower the suction and the less the fluid is cooled, until two thirds are left at
/// least; a study of what a line takes asks for 35 %.
#[test]
fn a_line_clogged_until_a_third_is_lost_has_a_balance() {
    for (which, job) in jobs().iter().enumerate() {
        for (running, outdoor) in [(2, 311.0), (2, 295.0), (1, 303.0)] {
            let mut set = Set { running: Some(Runs::Count(running)), bypass: Some(false), ..Set::default() };
            set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
            let at = |loss: f64| {
                let all = made(job, &job.circuits[0], &set, &[(Cause::LiquidRestriction, loss)], [0.0; 6])?;
                Some([all[&Reading::EnteringFluid] - all[&Reading::LeavingFluid], all[&Reading::SuctionPressure]])
            };
            let found: Vec<[f64; 2]> = (0..12).map_while(|k| at(3e5 * 1.35_f64.powi(k))).collect();
            let here = format!("job {which}, {running} at {outdoor} K: {found:?}");
            assert!(found.windows(2).all(|pair| pair[1][0] <= pair[0][0] + 1e-3), "{here}");
            assert!(found.windows(2).all(|pair| pair[1][1] <= 1.0001 * pair[0][1]), "{here}");
            let [first, last] = [found.first().unwrap(), found.last().unwrap()];
            let left = last[0] / first[0];
            // Half of the compressors draw so little that the largest loss is no third.
            assert!(left < 0.67 || (running == 1 && found.len() == 12), "{left} left: {here}");
        }
    }
}

/// ASHRAE RP-1043: with gas condensing and subcooling read higher by the same, 4.16 and 4.20 F of a scatter of 0.26 and 0.42 F.
#[test]
fn gas_raises_condensing_and_subcooling_alike() {
    let job = &jobs()[0];
    let [healthy, gassed] = [None, Some((Cause::NonCondensables, 1.2e5))].map(|cause| signs(job, cause));
    let [condensing, subcooling] = [2, 3].map(|k| gassed[k] - healthy[k]);
    assert!(condensing > 1.0 && (condensing / subcooling - 4.16 / 4.20).abs() < 0.2, "{condensing} {subcooling}");
}

/// RP-1043: gas hardly depends on load, condensing +3.8 F at 31 tons and +4.4 F at 81 of the same gas, a ratio of 1.16; a coil in air, whose
/// condensing temperature falls further with load, has it within a quarter.
#[test]
fn gas_raises_condensing_about_alike_at_all_loads() {
    let job = &jobs()[0];
    let fluid = roofrun::refrigerant::named(&job.circuits[0].refrigerant).unwrap();
    let rise = |running: u32| {
        let mut set = Set { running: Some(Runs::Count(running)), bypass: Some(false), ..Set::default() };
        set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
        let [with, without] = [&[(Cause::NonCondensables, 1.2e5)][..], &[]].map(|causes| {
            let all = made(job, &job.circuits[0], &set, causes, [0.0; 6]).unwrap();
            fluid.dew_temperature(all[&Reading::DischargePressure]).unwrap()
        });
        with - without
    };
    let ratio = rise(2) / rise(1);
    assert!((ratio - 1.0).abs() < 0.25, "{ratio}");
}

/// Superheat less subcooling, the sign of charge, is with an expansion valve nearly independent of conditions (Li and Braun): here within
/// 3 F from 75 to 105 F outdoors.
#[test]
fn superheat_less_subcooling_hardly_depends_on_the_outdoor_air() {
    for job in jobs().iter().take(2) {
        let of = |outdoor: f64| {
            let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
            set.liquid_at = LiquidAt::Condenser;
            set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
            let all = made(job, &job.circuits[0], &set, &[], [0.0; 6]).unwrap();
            let fluid = roofrun::refrigerant::named(&job.circuits[0].refrigerant).unwrap();
            let superheat =
                all[&Reading::SuctionTemperature] - fluid.dew_temperature(all[&Reading::SuctionPressure]).unwrap();
            let bubble = fluid.bubble_temperature(all[&Reading::LiquidPressure]).unwrap();
            superheat - (bubble - all[&Reading::LiquidTemperature])
        };
        let all: Vec<f64> = [297.0, 302.6, 308.2, 313.7].into_iter().map(of).collect();
        let [least, most] =
            [f64::min as fn(f64, f64) -> f64, f64::max].map(|pick| all.iter().copied().reduce(pick).unwrap());
        assert!(most - least < 3.0 / 1.8, "{all:?}");
    }
}

/// US Army TM 5-4120-375-14, table 5-2, machines of R-22 with an expansion valve that run well: condensing over outdoor of 16 to 28 F at 75 F,
/// 17 to 28 at 100, 21 to 42 at 110 and 22 to 31 at 125 F.
#[test]
fn a_healthy_split_lies_where_manuals_have_it() {
    let job = &jobs()[1];
    for (outdoor, least, most) in [(75.0, 16.0, 28.0), (100.0, 17.0, 28.0), (110.0, 21.0, 42.0)] {
        let kelvin = (outdoor + 459.67) / 1.8;
        let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
        set.values.insert(Reading::Outdoor, Read { value: kelvin, step: 0.0 });
        let all = made(job, &job.circuits[0], &set, &[], [0.0; 6]).unwrap();
        let fluid = roofrun::refrigerant::named(&job.circuits[0].refrigerant).unwrap();
        let split = 1.8 * (fluid.dew_temperature(all[&Reading::DischargePressure]).unwrap() - kelvin);
        assert!((least..most).contains(&split), "{split} F at {outdoor} F");
    }
}

/// In a through receiver the coil's liquid is saturated: undercharge takes none of its subcooling, gas reads as subcooling.
#[test]
fn a_through_receiver_hides_charge_but_not_gas() {
    let job = &jobs()[2];
    let healthy = signs(job, None);
    assert!(healthy[3].abs() < 0.1, "{healthy:?}");
    let gassed = signs(job, Some((Cause::NonCondensables, 2e5)));
    assert!(gassed[3] - healthy[3] > 1.1, "{gassed:?}");
}

/// Breuker and Braun, HVAC&R Research 4(3):303, 1998 (from memory): a leak of 35 % takes 21 % of the capacity. The tool's own leak is a share of
/// the displaced flow, so the fluid is cooled less by somewhat less than the leak.
#[test]
fn a_leak_takes_capacity_in_the_published_order() {
    let job = &jobs()[0];
    let mut set = Set { running: Some(Runs::Count(2)), bypass: Some(false), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
    let cooled = |causes: &[(Cause, f64)]| {
        let all = made(job, &job.circuits[0], &set, causes, [0.0; 6]).unwrap();
        all[&Reading::EnteringFluid] - all[&Reading::LeavingFluid]
    };
    let lost = 1.0 - cooled(&[(Cause::CompressorLeak, 0.35)]) / cooled(&[]);
    assert!((0.15..0.40).contains(&lost), "{lost}");
}

#[test]
fn a_healthy_machine_is_called_healthy_whatever_its_coefficients() {
    // Of 400 it is 0.0 and 1.5 %; of 120 that may be 4.
    for shifted in [false, true] {
        let all = outcomes(&jobs(), &[], 0, 120, shifted);
        let faulty = percent(&all, |one| one.verdict != Verdict::Healthy);
        assert!(all.len() == 120 && faulty <= 4.0, "{faulty} %");
    }
}

#[test]
fn what_the_model_was_given_is_found_again() {
    let causes = [
        Cause::WarmAir,
        Cause::HeadControlOpen,
        Cause::NonCondensables,
        Cause::Undercharge,
        Cause::CompressorLeak,
        Cause::ValveOpen,
    ];
    for shifted in [false, true] {
        let mut alone = Vec::new();
        for cause in causes {
            let all = outcomes(&jobs(), &[cause], 1, 12, shifted);
            let found = percent(&all, |one| one.first);
            assert!(found >= 87.0, "{}: {found} % in the first group", cause.name());
            assert!(all.iter().all(|one| one.causes <= 4));
            alone.push(percent(&all, |one| one.alone[1]));
        }
        let alone = alone.iter().sum::<f64>() / 6.0;
        assert!(alone >= 90.0, "{alone} % alone after two visits");
    }
}

/// Two causes at once are told in the first two groups, also where one of them goes well with the readings by itself.
#[test]
fn two_causes_at_once_are_told() {
    for pair in [[Cause::DirtyCoil, Cause::Undercharge], [Cause::Overcharge, Cause::DirtyEvaporator]] {
        let all = outcomes(&jobs(), &pair, 1, 20, true);
        let found = percent(&all, |one| one.first_two);
        assert!(found >= 80.0, "{} with {}: {found} %", pair[0].name(), pair[1].name());
    }
}

#[test]
fn air_at_the_coil_face_parts_warm_air_from_a_dirty_coil() {
    let first = answer(COMPLAINT);
    let names = |answer: &Answer| {
        let group = answer.groups[0].fits.clone();
        group.iter().map(|fit| fit.causes[0].0).collect::<Vec<_>>()
    };
    assert_eq!(first.verdict, Verdict::Suspects);
    assert!(names(&first).contains(&Cause::WarmAir) && names(&first).contains(&Cause::DirtyCoil));
    assert_eq!(first.next[0].reading, Reading::AirOn);
    let warm = answer(&COMPLAINT.replace("outdoor = \"95.1 F\"", "outdoor = \"95.1 F\"\nair_on = \"111 F\""));
    assert_eq!(names(&warm), [Cause::WarmAir]);
    let cool = answer(&COMPLAINT.replace("outdoor = \"95.1 F\"", "outdoor = \"95.1 F\"\nair_on = \"97 F\""));
    assert!(!names(&cool).contains(&Cause::WarmAir) && names(&cool).contains(&Cause::DirtyCoil));
}

#[test]
fn compressors_that_are_off_are_not_diagnosed() {
    let off = answer(&COMPLAINT.replace("running = 2", "running = 0"));
    assert_eq!(off.verdict, Verdict::NotRunning);
    assert!(off.groups.is_empty());
    assert!(text(&hall(), &off, 40).contains("Compressors off: no diagnosis"));
}

#[test]
fn readings_that_go_with_no_machine_are_contradictory() {
    let exchanged = COMPLAINT.replace("\"492 psig\"", "\"12.1 psig\"");
    let answer = answer(&exchanged);
    assert_eq!(answer.verdict, Verdict::Contradictory);
    assert!(answer.contradictions[0].says.contains("hardly above suction"));
}

/// A measured rooftop unit read suction 6 F below its own dew point, and its coil was dirty all the same.
#[test]
fn a_wet_suction_is_told_and_the_diagnosis_goes_on() {
    let wet = answer(&COMPLAINT.replace("\"51.9 F\"", "\"35 F\""));
    assert_eq!(wet.verdict, Verdict::Suspects);
    assert!(wet.contradictions.iter().any(|one| one.says.contains("wet gas, or a sensor")));
    let leading: Vec<Cause> =
        wet.groups[0].fits.iter().flat_map(|fit| fit.causes.iter().map(|(cause, _)| *cause)).collect();
    assert!(leading.contains(&Cause::DirtyCoil), "{leading:?}");
}

#[test]
fn a_temperature_in_celsius_written_as_fahrenheit_is_seen() {
    let slipped = answer(&COMPLAINT.replace("\"204.7 F\"", "\"95.9 F\""));
    let says: Vec<&str> = slipped.contradictions.iter().map(|one| one.says.as_str()).collect();
    assert!(says.iter().any(|says| says.contains("discharge")), "{says:?}");
}

#[test]
fn bad_input_is_told_with_its_place() {
    let cases = [
        "",
        "[readings]\n",
        "outdoor = \"95 F\"\ndischarge_pressure = \"492 psig\"\nsuction_temperature = \"52 F\"\n",
        "[readings]\noutdoor = \"95 F\"\nrunning = 2\ndischarge_pressure = \"492 psig\"\nsuction = \"52 F\"\nliquid = \"10\"\n",
        "[readings]\noutdoor = \"95 F\"\ndischarge = { pressure = \"492\" }\nsuction = { presure = \"121 psig\" }\nrunning = 2\n",
        "[readings]\noutdoor = \"95 F\"\nrunning = 2\ndischarge = { pressure = \"492 psig\", saturated = \"140 F\" }\nsuction = { pressure = \"121 psig\" }\n",
        "[readings]\noutdoor = \"95 F\"\nrunning = 2\ndischarge = { temperature = \"200 F\" }\nsuction = { pressure = \"121 psig\" }\n[accuracy]\ndischarge_presure = \"5 psi\"\n",
        "[readings]\noutdoor = \"95 F\"\nrunning = 2\ndischarge = { pressure = \"492 psig\" }\nsuction = { pressure = \"121 psig\" }\nfans = { turn = 7, of = 6 }\nlevel = 3\n",
    ];
    let told: Vec<String> = cases.iter().map(|text| read(text).unwrap_err().to_string()).collect();
    insta::assert_snapshot!(told.join("\n----\n"));
}

#[test]
fn a_bare_psi_is_gauge_and_said_so() {
    let bare = read(&COMPLAINT.replace("492 psig", "492 psi")).unwrap();
    let gauge = read(COMPLAINT).unwrap();
    let pressure = |readings: &job::Readings| readings.set.discharge.pressure.unwrap().value;
    assert!((pressure(&bare) - pressure(&gauge)).abs() < 1e-6);
    assert_eq!(bare.taken, ["pressure 492 psi as gauge"]);
}

#[test]
fn saturated_temperature_superheat_and_subcooling_stand_for_what_they_follow_from() {
    let job = hall();
    let fluid = roofrun::refrigerant::named("R-410A").unwrap();
    let whole = answer(COMPLAINT);
    let p = whole.rows.iter().find(|row| row.reading == Reading::SuctionPressure).unwrap().read;
    let dew = fluid.dew_temperature(p).unwrap() * 1.8 - 459.67;
    let instead = format!("{{ saturated = \"{dew:.4} F\", superheat = \"{:.4} F\" }}", 51.9 - dew);
    let other = COMPLAINT.replace("{ pressure = \"121 psig\", temperature = \"51.9 F\", by = \"screen\" }", &instead);
    assert_ne!(other, COMPLAINT);
    let other = diagnose(&job, &read(&other).unwrap()).unwrap();
    for reading in [Reading::SuctionPressure, Reading::SuctionTemperature] {
        let of = |answer: &Answer| answer.rows.iter().find(|row| row.reading == reading).unwrap().read;
        assert!((of(&whole) / of(&other) - 1.0).abs() < 1e-5);
    }
}

#[test]
fn a_healthy_set_narrows_what_is_expected() {
    let healthy = COMPLAINT.replace("[readings]", "[healthy]").replace("492", "419").replace("204.7", "182.5");
    let healthy = healthy.replace("120.8", "108.2").replace("48 kW", "42 kW").replace("502", "426");
    let known = answer(&format!("{COMPLAINT}\n{healthy}"));
    let plain = answer(COMPLAINT);
    let band = |answer: &Answer| answer.rows.iter().map(|row| row.accuracy).collect::<Vec<_>>();
    assert!(band(&known).iter().zip(band(&plain)).all(|(known, plain)| *known < plain * 1.0001));
    assert!(band(&known)[0] < 0.97 * band(&plain)[0]);
}

#[test]
fn the_answer_on_a_phone_and_on_a_desk() {
    let answer = answer(COMPLAINT);
    let plain = |width| anstream::adapter::strip_str(&text(&hall(), &answer, width)).to_string();
    let phone = plain(40);
    assert!(phone.lines().all(|line| line.chars().count() <= 40), "{phone}");
    insta::assert_snapshot!(format!("{phone}\n----\n{}", plain(80)));
}

#[test]
fn the_json_has_the_keys_of_its_contract() {
    let answer = answer(COMPLAINT);
    let document: serde_json::Value = serde_json::from_str(&json(&hall(), &answer).unwrap()).unwrap();
    for key in ["format", "tool", "job", "circuit", "verdict", "contradictions", "layout", "groups", "next", "readings"]
    {
        assert!(document.get(key).is_some(), "{key}");
    }
    let cause = &document["groups"][0]["causes"][0];
    assert!(cause["cause"].is_array() && cause["size"].is_number() && cause["misfit"].is_number());
    let shares: f64 = document["groups"].as_array().unwrap().iter().map(|group| group["share"].as_f64().unwrap()).sum();
    assert!(shares > 0.9 && shares <= 1.0 + 1e-9, "{shares}");
    assert_eq!(document["next"][0]["expect"][0]["unit"], "K");
    assert_eq!(document["readings"][0]["key"], "discharge.pressure");
}

/// A band stands in the unit of the pressure beside it: a transducer of 1 % of 650 psi is 0.45 bar, the model's part is as much again.
#[test]
fn bands_of_pressure_are_in_the_unit_of_the_pressure() {
    let text = std::fs::read_to_string("examples/long-run-si.toml").unwrap();
    let job = roofrun::job::read("far.toml", &text, std::path::Path::new("examples")).unwrap_or_else(|f| panic!("{f}"));
    let wanted = Wanted { outdoor: vec![303.15], ..Default::default() };
    let expected = expected(&job, &wanted).unwrap();
    let sheet = roofrun::diagnose::expected_text(&job, &expected, 80);
    let line = sheet.lines().find(|line| line.starts_with("discharge pressure, barg")).unwrap();
    let band: f64 = line.split("+-").nth(1).unwrap().split_whitespace().next().unwrap().parse().unwrap();
    assert!((0.4..2.5).contains(&band), "{line}");
    // A gauge read twice, a quarter of 8 psi, is 14 kPa, and the line's own part is more.
    let line = sheet.lines().find(|line| line.starts_with("discharge line's drop, kPa")).unwrap();
    let band: f64 = line.split("+-").nth(1).unwrap().split_whitespace().next().unwrap().parse().unwrap();
    assert!((14.0..30.0).contains(&band), "{line}");
    // A meter of 3 % is told of the power that stands there, not of that at another temperature.
    let warmer = Wanted { outdoor: vec![293.15, 308.15], ..Wanted::default() };
    let points = roofrun::diagnose::expected(&job, &warmer).unwrap();
    let power = points.points[0].values.iter().find(|value| value.reading == Reading::Power).unwrap().expected;
    let meter = points.instruments.iter().find(|one| one.reading == Reading::Power).unwrap().value;
    assert!((meter / power - 0.03).abs() < 1e-12, "{meter} of {power}");
    // What the bands rest on, in a paragraph: 2 F of a clamp is 1.1 K, and what is no assumption names its source.
    let flat = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("by assumption: ") && flat.contains("; 1.1 K clamp on a pipe; "), "{sheet}");
    assert!(
        flat.contains("Instruments, 95 %: 0.24 bar transducer on suction: as California Title 24, RA3.2.2, accepts."),
        "{sheet}"
    );
}

/// The hall's circuit at 95 F with nothing wrong, as a technician writes it down.
const WELL: &str = r#"[readings]
circuit = "1A"
outdoor = "95 F"
running = 2
discharge = { pressure = "419 psig", temperature = "182 F" }
suction = { pressure = "119 psig", temperature = "50 F" }
liquid = { pressure = "426 psig", temperature = "108 F" }
entering_fluid = "55 F"
leaving_fluid = "45 F"
power = "42 kW"
"#;

fn well_but(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(WELL.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

fn lead_of(answer: &Answer) -> String {
    let text = anstream::adapter::strip_str(&text(&hall(), answer, 100)).to_string();
    text.lines().nth(1).unwrap().to_owned()
}

#[test]
fn what_is_well_is_healthy() {
    assert_eq!(answer(WELL).verdict, Verdict::Healthy);
}

/// A pipe is no warmer than the fluid that warms it, gas no cooler than it is compressed without loss (at 419 psig it condenses at
/// 121 F), liquid no warmer than it boils at 426 psig (122 F) and no colder than the air that cools it.
#[test]
fn a_reading_that_can_not_be_is_a_wrong_sensor() {
    let cases = [
        (
            "temperature = \"50 F\"",
            "temperature = \"81 F\"",
            Reading::SuctionTemperature,
            "Suction temperature reads wrong",
        ),
        ("\"182 F\"", "\"95 F\"", Reading::DischargeTemperature, "Discharge temperature reads wrong"),
        ("\"108 F\"", "\"85 F\"", Reading::LiquidTemperature, "Liquid temperature reads wrong"),
        ("\"108 F\"", "\"150 F\"", Reading::LiquidTemperature, "Liquid temperature reads wrong"),
    ];
    for (from, to, reading, lead) in cases {
        let answer = answer(&well_but(&[(from, to)]));
        assert_eq!(answer.verdict, Verdict::Suspects, "{to}");
        assert_eq!(lead_of(&answer), lead);
        let row = answer.rows.iter().find(|row| row.reading == reading).unwrap();
        assert!(row.left_out && row.accuracy < 6.0, "{to}: {}", row.accuracy);
        assert!(answer.groups[0].fits.iter().any(|fit| fit.sensor == Some(reading)), "{to}");
    }
}

/// A trade's example of R-22 at 80 F: suction 45 psig, superheat 45 F, liquid near the air. Nothing of it is healthy.
#[test]
fn readings_that_no_cause_fits_are_never_called_healthy() {
    let job = std::fs::read_to_string("examples/as-found-r22.toml").unwrap();
    let job = job::read("as-found-r22.toml", &job, Path::new("examples")).unwrap();
    let starved = "[readings]\noutdoor = \"80 F\"\nrunning = 2\n\
        discharge = { pressure = \"190 psig\", temperature = \"215 F\" }\n\
        suction = { pressure = \"45 psig\", temperature = \"66.7 F\" }\n\
        liquid = { pressure = \"190 psig\", temperature = \"82.6 F\" }\n";
    let answer = diagnose(&job, &job::read_readings("readings.toml", starved, &job).unwrap()).unwrap();
    assert_eq!(answer.verdict, Verdict::Suspects);
    let first: Vec<Cause> =
        answer.groups[0].fits.iter().flat_map(|fit| fit.causes.iter().map(|(cause, _)| *cause)).collect();
    assert!(first.contains(&Cause::LiquidRestriction), "{first:?}");
    let told = text_of(&job, &answer);
    assert!(told.contains("No single cause explains all of these readings"), "{told}");
}

/// All else as at 95 F: the thermometer stands in the sun.
#[test]
fn an_outdoor_thermometer_in_the_sun_is_suspected() {
    for typed in ["103 F", "105 F", "115 F"] {
        let answer = answer(&well_but(&[("outdoor = \"95 F\"", &format!("outdoor = \"{typed}\""))]));
        let best = &answer.groups[0].fits[0];
        assert_eq!((answer.verdict, best.sensor), (Verdict::Suspects, Some(Reading::Outdoor)), "{typed}");
        let real = best.prediction.of(Reading::Outdoor).unwrap() * 1.8 - 459.67;
        assert!((real - 95.0).abs() < 3.0, "{typed}: {real}");
    }
    let warm = answer(&well_but(&[("outdoor = \"95 F\"", "outdoor = \"103 F\"\nair_on = \"97 F\"")]));
    assert!(warm.contradictions[0].says.contains("6 F colder than outdoors"), "{:?}", warm.contradictions);
    assert_eq!((warm.verdict, lead_of(&warm).as_str()), (Verdict::Suspects, "Outdoor air reads wrong"));
}

#[test]
fn fluid_that_leaves_warmer_than_it_enters_is_exchanged() {
    let exchanged = [
        ("entering_fluid = \"55 F\"", "entering_fluid = \"45 F\""),
        ("leaving_fluid = \"45 F\"", "leaving_fluid = \"55 F\""),
    ];
    let answer = answer(&well_but(&exchanged));
    assert_eq!(answer.verdict, Verdict::Contradictory);
    assert!(answer.contradictions[0].says.contains("10 F warmer than it enters") && answer.groups.is_empty());
    assert!(answer.contradictions[0].says.contains("are the two exchanged?"));
}

/// 28.9 barg is 419 psig, 8.2 barg 119 psig; 83 C is 182 F, 10 C 50 F, 42 C 108 F, 13 and 7 C 55 and 45 F, 35 C 95 F.
#[test]
fn a_unit_that_heals_the_set_is_asked_for() {
    let bar = answer(
        "[readings]\ncircuit = \"1A\"\noutdoor = \"95 F\"\nrunning = 2\n\
         discharge = { pressure = \"28.9 psig\", temperature = \"182 F\" }\nsuction = { pressure = \"8.2 psig\", temperature = \"50 F\" }\n",
    );
    let celsius = answer(&well_but(&[
        ("outdoor = \"95 F\"", "outdoor = \"35 F\""),
        ("182 F", "83 F"),
        ("50 F", "10 F"),
        ("108 F", "42 F"),
        ("55 F", "13 F"),
        ("leaving_fluid = \"45 F\"", "leaving_fluid = \"7 F\""),
    ]));
    for (answer, says) in [(bar, "in bar: were they typed as psi?"), (celsius, "in C: were they typed as F?")] {
        assert_eq!(answer.verdict, Verdict::Contradictory, "{says}");
        assert!(answer.next.is_empty());
        assert!(answer.contradictions.iter().any(|one| one.says.contains(says)), "{:?}", answer.contradictions);
    }
}

/// 14.7 psi more on every gauge: absolute pressures.
#[test]
fn absolute_pressures_typed_as_gauge_are_asked_for() {
    let absolute = answer(&well_but(&[("419", "433.7"), ("119", "133.7"), ("426", "440.7")]));
    assert_eq!(absolute.verdict, Verdict::Suspects);
    let says: Vec<&str> = absolute.contradictions.iter().map(|one| one.says.as_str()).collect();
    assert!(says.iter().any(|says| says.contains("absolute: were they typed as gauge?")), "{says:?}");
}

#[test]
fn more_compressors_than_there_are_can_not_run() {
    let said = |text: &str| read(text).unwrap_err().render(false, 100);
    let three = said(&well_but(&[("running = 2", "running = 3"), ("419 psig", "419 psg")]));
    assert!(three.contains("line 4, column 11: `running`: circuit 1A has 2 compressors; expected 0 to 2"), "{three}");
    assert!(three.contains("write  running = 2") && three.contains("`psg` is no unit"), "{three}");
    let other = said(&well_but(&[("\"1A\"", "\"1C\"")]));
    assert!(other.contains("line 2, column 11: no circuit is called `1C`"), "{other}");
    let none = said(&well_but(&[("circuit = \"1A\"", "")]));
    assert!(none.contains("= \"1A\" (the job has 1A, 1B)"), "{none}");
    // A job of one circuit tells what is meant, and how many compressors that has.
    let drawn = std::fs::read_to_string("examples/as-drawn.toml").unwrap();
    let drawn = job::read("as-drawn.toml", &drawn, Path::new("examples")).unwrap();
    let both = well_but(&[("\"1A\"", "\"H\""), ("running = 2", "running = 4")]);
    let both = job::read_readings("readings.toml", &both, &drawn).unwrap_err().render(false, 100);
    assert!(both.contains("write  circuit = \"1A\"") && both.contains("write  running = 2"), "{both}");
    // Of readings that come from elsewhere than a file.
    let mut three = read(&well_but(&[])).unwrap();
    three.set.running = Some(job::Runs::Count(3));
    let roofrun::diagnose::NoAnswer::Words(says) = diagnose(&hall(), &three).unwrap_err();
    assert_eq!(says, "running = 3, but circuit 1A has 2 compressors");
    let wanted = Wanted { circuit: Some("1A".to_owned()), running: Some(3), ..Default::default() };
    assert!(expected(&hall(), &wanted).is_err());
}

#[test]
fn flow_level_and_glass_are_shown_as_they_are_read() {
    let more = "power = \"42 kW\"\nfluid_flow = \"97 gal/min\"\nreceiver_level = 0.2\nsight_glass = \"bubbles\"";
    let answer = answer(&well_but(&[("power = \"42 kW\"", more)]));
    let told = text_of(&hall(), &answer);
    let line =
        |name: &str| told.lines().find(|line| line.starts_with(name)).unwrap_or_else(|| panic!("{told}")).to_owned();
    assert!(line("fluid flow").contains("97.0") && line("fluid flow").contains("gpm"), "{told}");
    assert!(line("receiver level").contains("10 to 90") && line("receiver level").contains("20 "), "{told}");
    let glass = answer.rows.iter().find(|row| row.reading == Reading::SightGlass).unwrap();
    assert!(!glass.within() && glass.expected < 0.5);
}

/// R-410A at 95 F is saturated at 297 psig: 43 psi over it are gas, 3 psi are the gauge.
#[test]
fn a_pressure_at_a_stop_tells_of_gas() {
    let at = |psig: u32| {
        answer(&format!(
            "[readings]\ncircuit = \"1A\"\noutdoor = \"95 F\"\nrunning = 0\nstopped = {{ pressure = \"{psig} psig\", air = \"95 F\" }}\n"
        ))
    };
    let gas = at(340);
    let (cause, size) = gas.groups[0].fits[0].causes[0];
    assert_eq!((gas.verdict, cause), (Verdict::Suspects, Cause::NonCondensables));
    assert!((size / 6894.757 - 43.0).abs() < 2.0, "{size}");
    assert_eq!(at(300).verdict, Verdict::Healthy);
    assert_eq!(at(200).verdict, Verdict::Contradictory);
}

/// Only what the readings can't part is in one group; of what is alike the commoner stands first, and what has no room is as likely.
#[test]
fn what_explains_alike_is_ordered_by_how_common_it_is() {
    let answer = answer(
        "[readings]\ncircuit = \"1A\"\noutdoor = \"95 F\"\nrunning = 2\n\
         discharge = { pressure = \"500 psig\" }\nsuction = { pressure = \"121 psig\" }\n",
    );
    let [first, second] = [&answer.groups[0], &answer.groups[1]];
    assert_eq!(first.fits[0].causes[0].0, Cause::DirtyCoil);
    assert_eq!(first.fits[1].causes[0].0, Cause::WarmAir);
    assert!(first.fits.len() == 4 && !first.as_likely && second.as_likely);
    assert!(text_of(&hall(), &answer).contains("As likely: "));
}

#[test]
fn readings_that_are_mistyped_are_corrected() {
    let cases = [
        ("running = 2", "running = \"two\"", "running = 2"),
        ("running = 2", "running = 2\nfans = \"4 of 6\"", "fans = { turn = 4, of = 6 }"),
        ("\"1A\"", "\u{201d}1A\"", "circuit = \"1A\""),
    ];
    for (from, to, line) in cases {
        let faults = read(&well_but(&[(from, to)])).unwrap_err();
        let corrected: Vec<Option<String>> = faults.iter().map(|fault| faults.corrected(fault)).collect();
        assert_eq!(corrected, [Some(line.to_owned())], "{faults}");
    }
    let job = read(include_str!("../examples/bottling-hall.toml")).unwrap_err().to_string();
    assert!(job.contains("are the two exchanged?"), "{job}");
}

/// Both ends of the discharge line by one gauge: 38 psi where 4 psi belong is the line, whatever the coil is; the same of a line that is
/// not drawn says nothing.
#[test]
fn the_drop_of_the_discharge_line_tells_a_restriction_where_the_line_is_drawn() {
    let readings = "[readings]\ncircuit = \"1A\"\noutdoor = \"90 F\"\nrunning = 2\nsuction = { pressure = \"119 psig\" }\n\
                    discharge = { pressure = \"416 psig\" }\n";
    let lead = |answer: &Answer| answer.groups[0].fits[0].causes.first().map(|(cause, _)| *cause);
    let with_drop = format!("{readings}discharge_drop = \"38 psi\"\n");
    assert_ne!(lead(&answer(readings)), Some(Cause::DischargeRestriction));
    let told = answer(&with_drop);
    assert_eq!(lead(&told), Some(Cause::DischargeRestriction));
    // A difference is shown as one, not over the air.
    let row = text(&hall(), &told, 80)
        .lines()
        .find(|line| line.starts_with("discharge line's drop"))
        .map(str::to_owned)
        .unwrap();
    assert!(row.contains("38.0") && row.contains("psi") && !row.contains("psig"), "{row}");
    let (sketch, unknown) = job::read_sketch("sketch.toml", &part(), Path::new(".")).unwrap();
    assert!(unknown.lines);
    let mut readings = read(&with_drop).unwrap();
    readings.unknown = unknown;
    let undrawn = diagnose(&sketch, &readings).unwrap();
    assert_ne!(lead(&undrawn), Some(Cause::DischargeRestriction));
}

/// One wrong reading of what the rest is compared with makes good ones look wrong: each is left out in turn. 7 and 13 C are 45 and
/// 55 F, 419 psig is ten times 41.9.
#[test]
fn a_reading_that_holds_the_rest_is_doubted_too() {
    let cases = [
        ("leaving_fluid = \"45 F\"", "leaving_fluid = \"52 F\"", Reading::LeavingFluid, "does not go with the rest"),
        ("leaving_fluid = \"45 F\"", "leaving_fluid = \"7 F\"", Reading::LeavingFluid, "its number is in C, not F"),
        ("entering_fluid = \"55 F\"", "entering_fluid = \"13 F\"", Reading::EnteringFluid, "its number is in C, not F"),
        ("419 psig", "41.9 psig", Reading::DischargePressure, "its number is ten times too small"),
    ];
    for (from, to, reading, says) in cases {
        let answer = answer(&well_but(&[(from, to)]));
        let best = &answer.groups[0].fits[0];
        assert_eq!((answer.verdict, best.sensor), (Verdict::Suspects, Some(reading)), "{to}");
        assert!(answer.contradictions[0].says.contains(says), "{to}: {:?}", answer.contradictions);
        assert_eq!(answer.next[0].reading, reading, "{to}");
    }
}

/// 35 C is 95 F; and both compressors run.
#[test]
fn what_was_mistyped_of_the_day_and_the_load_is_asked_for() {
    let cases = [
        ("outdoor = \"95 F\"", "outdoor = \"35 F\"", "its outdoor temperature in C: was it typed as F?"),
        ("running = 2", "running = 1", "2 of 2 compressors running: which run?"),
    ];
    for (from, to, says) in cases {
        let answer = answer(&well_but(&[(from, to)]));
        assert_eq!(answer.verdict, Verdict::Contradictory, "{to}");
        assert!(answer.contradictions.iter().any(|one| one.says.contains(says)), "{:?}", answer.contradictions);
    }
}

/// What was read at the coil's face is what the coil has: warm air is ruled out, 97 F of it as 97 F outdoors.
#[test]
fn air_at_the_coil_alone_rules_warm_air_out() {
    let high = COMPLAINT.replace("outdoor = \"95.1 F\"", "air_on = \"97 F\"");
    let answer = answer(&high);
    let causes: Vec<Cause> = answer
        .groups
        .iter()
        .flat_map(|group| &group.fits)
        .flat_map(|fit| &fit.causes)
        .map(|(cause, _)| *cause)
        .collect();
    assert!(causes.contains(&Cause::DirtyCoil) && !causes.contains(&Cause::WarmAir), "{causes:?}");
    assert!(text(&hall(), &answer, 100).contains("97 F on the coil"));
}

/// An empty receiver is lost charge, a full one that backs liquid up into the coil too much of it; half full neither.
#[test]
fn the_level_in_the_receiver_tells_of_charge() {
    for (level, lead) in [("0.0", "Undercharge"), ("1.0", "Overcharge"), ("0.5", "Nothing")] {
        let answer = answer(&format!("{WELL}receiver_level = {level}\n"));
        assert!(lead_of(&answer).starts_with(lead), "{level}: {}", lead_of(&answer));
    }
    let through = std::fs::read_to_string("examples/bottling-hall.toml")
        .unwrap()
        .replace("style = \"surge\"", "style = \"through\"");
    let job = job::read("through.toml", &through, Path::new("examples")).unwrap();
    let mut set = Set { circuit: Some("1A".to_owned()), running: Some(Runs::Count(2)), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
    let all = made(&job, &job.circuits[0], &set, &[(Cause::Overcharge, 0.25)], [0.0; 6]).unwrap();
    // A full receiver passes liquid on as a pipe does: it stands at what the coil leaves it, some bar over where it would boil.
    let over = all[&Reading::LiquidPressure] - all[&Reading::DischargePressure];
    assert!(over.abs() < 1e5, "{over}");
    let boils =
        roofrun::refrigerant::named("R-410A").unwrap().bubble_temperature(all[&Reading::LiquidPressure]).unwrap();
    assert!(boils - all[&Reading::LiquidTemperature] > 5.0);
}

/// No superheat, and discharge 11 F under compression without loss (166 F at 419 psig): two thermometers that tell of liquid.
#[test]
fn suction_and_discharge_both_cold_are_liquid_that_runs_back() {
    let wet = answer(&well_but(&[("temperature = \"50 F\"", "temperature = \"40.5 F\""), ("182 F", "148 F")]));
    assert!(
        wet.contradictions.iter().any(|one| one.says.contains("liquid reaches the compressors")),
        "{:?}",
        wet.contradictions
    );
    assert_eq!(lead_of(&wet), "Valve feeds too much");
    // The model has no wet gas: what it makes of this discharge is shown, and that it was left out.
    let discharge = wet.rows.iter().find(|row| row.reading == Reading::DischargeTemperature).unwrap();
    assert!(discharge.left_out && discharge.read < discharge.expected);
}

/// 14.7 psi more on suction, typed without saying that it is gauge, is asked for; who typed `psig` has looked.
#[test]
fn a_pressure_that_says_that_it_is_gauge_is_not_asked_again() {
    let of = |typed: &str| well_but(&[("119 psig", typed)]);
    let asked = |text: &str| answer(text).contradictions.iter().any(|one| one.says.contains("absolute, not gauge"));
    let bare = |text: &str| read(text).unwrap().bare;
    assert!(bare(&of("133.7 psi")) && asked(&of("133.7 psi")));
    assert!(!bare(&of("133.7 psig")) && !asked(&of("133.7 psig")));
}

/// Where one climb reads several, they stand together: warm air is told from dirt by the air at the coil's face, fans that stand by
/// counting them, both there.
#[test]
fn what_is_read_at_one_place_is_asked_for_together() {
    let complaint = answer(COMPLAINT);
    let places: Vec<_> = complaint.next.iter().map(|next| (next.reading, next.place)).collect();
    assert_eq!(places, [(Reading::AirOn, Place::Condenser), (Reading::Fans, Place::Condenser)]);
    let both = answer(
        &COMPLAINT
            .replace("outdoor = \"95.1 F\"", "outdoor = \"95.1 F\"\nair_on = \"97 F\"\nfans = { turn = 6, of = 6 }"),
    );
    let causes: Vec<Cause> = both.groups[0].fits.iter().map(|fit| fit.causes[0].0).collect();
    assert_eq!(causes, [Cause::DirtyCoil]);
    // What stands alone is followed by what is done about it first.
    assert!(text(&hall(), &both, 100).contains("clean the coil, read again"));
}

/// 7 kW into the liquid of 40 tons (about 0.9 kg/s of 1.7 kJ/(kg K)) are 4 to 5 K: by the first law, and no sign anywhere else while
/// the valve is fed.
#[test]
fn heat_on_the_liquid_line_warms_the_liquid_and_nothing_else() {
    let mut set = Set { circuit: Some("1A".to_owned()), running: Some(Runs::Count(2)), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: 308.15, step: 0.0 });
    let job = hall();
    let at = |causes: &[(Cause, f64)]| made(&job, &job.circuits[0], &set, causes, [0.0; 6]).unwrap();
    let (well, hot) = (at(&[]), at(&[(Cause::LiquidFlashing, 7e3)]));
    let change = |reading: Reading| hot[&reading] - well[&reading];
    assert!((3.5..5.5).contains(&change(Reading::LiquidTemperature)), "{}", change(Reading::LiquidTemperature));
    assert!(change(Reading::CondenserOut).abs() < 0.3 && change(Reading::SuctionTemperature).abs() < 0.3);
    assert!(change(Reading::DischargePressure).abs() < 3e4 && change(Reading::SuctionPressure).abs() < 1e4);
}

/// Liquid 9 F warm at the machine is heat on its line where it leaves the condenser as it should, want of charge where it does not.
#[test]
fn liquid_at_both_ends_tells_heat_from_want_of_charge() {
    let warm = [("temperature = \"108 F\"", "temperature = \"117 F\"")];
    let names = |answer: &Answer| -> Vec<Cause> {
        answer.groups[0].fits.iter().flat_map(|fit| &fit.causes).map(|(cause, _)| *cause).collect()
    };
    let open = answer(&well_but(&warm));
    assert!(names(&open).contains(&Cause::LiquidFlashing) && names(&open).contains(&Cause::Undercharge));
    assert!(open.next.iter().any(|next| next.reading == Reading::CondenserOut), "{:?}", open.next);
    let with = |condenser: &str, drier: &str| {
        answer(&format!("{}condenser_out = \"{condenser}\"\ndrier_out = \"{drier}\"\n", well_but(&warm)))
    };
    assert_eq!(names(&with("108 F", "117 F")), [Cause::LiquidFlashing]);
    assert_eq!(names(&with("117 F", "117 F")), [Cause::Undercharge]);
}

/// For a leak that stands alone nobody sets a gauge at the valve: each compressor is run by itself.
#[test]
fn for_what_stands_alone_no_gauge_is_set() {
    let leak = answer(&well_but(&[
        ("outdoor = \"95 F\"", "outdoor = \"88 F\""),
        ("419 psig\", temperature = \"182 F", "352 psig\", temperature = \"182 F"),
        ("119 psig\", temperature = \"50 F", "131 psig\", temperature = \"56 F"),
        ("426 psig\", temperature = \"108 F", "360 psig\", temperature = \"97 F"),
        ("leaving_fluid = \"45 F\"", "leaving_fluid = \"47.5 F\""),
        ("42 kW", "32 kW"),
    ]));
    assert_eq!(lead_of(&leak), "Compressor leaking inside");
    let gauge = |reading: Reading| matches!(reading, Reading::ValvePressure | Reading::LiquidPressure);
    assert!(!leak.next.iter().any(|next| gauge(next.reading)), "{:?}", leak.next);
    assert!(text(&hall(), &leak, 100).contains("run each compressor by itself"));
}

/// Low pressures, 19 F of superheat, 4 F of subcooling and bubbles: the textbook's want of charge, though liquid that still reads subcooled
/// starves no valve by itself. The temperature after the drier tells it from a line that is restricted too.
#[test]
fn bubbles_that_starve_a_valve_are_want_of_charge_first() {
    let little = answer(&format!(
        "{}sight_glass = \"bubbles\"\n",
        well_but(&[
            ("outdoor = \"95 F\"", "outdoor = \"88 F\""),
            ("419 psig\", temperature = \"182 F", "366 psig\", temperature = \"186 F"),
            ("119 psig\", temperature = \"50 F", "104 psig\", temperature = \"55 F"),
            ("426 psig\", temperature = \"108 F", "371 psig\", temperature = \"107.5 F"),
            ("leaving_fluid = \"45 F\"", "leaving_fluid = \"46.6 F\""),
            ("42 kW", "37 kW"),
        ])
    ));
    assert!(lead_of(&little).starts_with("Undercharge"), "{}", lead_of(&little));
    assert_eq!(little.groups[0].fits[0].causes.len(), 1);
    assert!(little.next.iter().any(|next| next.reading == Reading::DrierOut), "{:?}", little.next);
    let opposed = |fit: &roofrun::diagnose::Fitted| {
        let has = |wanted: Cause| fit.causes.iter().any(|(cause, _)| *cause == wanted);
        has(Cause::Undercharge) && has(Cause::Overcharge)
    };
    assert!(!little.groups.iter().flat_map(|group| &group.fits).any(opposed));
}

/// Fans that were counted part no more; what is done about them stands all the same.
#[test]
fn what_nothing_parts_is_followed_by_what_is_done_about_it() {
    let fans = answer(&COMPLAINT.replace(
        "outdoor = \"95.1 F\"",
        "outdoor = \"95.1 F\"\nair_on = \"97 F\"\nfans = { turn = 3, of = 6 }\ncoil = \"clean\"",
    ));
    let shown = text(&hall(), &fans, 100);
    assert!(shown.contains("No further reading here tells these apart."), "{shown}");
    assert!(shown.contains("NEXT") && shown.contains("lock out, then find why they stand"), "{shown}");
}

/// A line that flashes by its lift is told with what is expected: nobody takes that for the sign of a healthy machine.
#[test]
fn what_is_expected_says_what_fails_there() {
    let below = std::fs::read_to_string("examples/condenser-below.toml").unwrap();
    let rules = |text: &str| -> Vec<&str> {
        let job = job::read("below.toml", text, Path::new("examples")).unwrap_or_else(|faults| panic!("{faults}"));
        let shown = expected(&job, &Wanted { outdoor: vec![308.15], ..Wanted::default() }).unwrap();
        shown.points[0].layout.iter().map(|layout| layout.rule).collect()
    };
    assert!(!rules(&below).contains(&"liquid-flash"));
    let little: String = below
        .lines()
        .flat_map(|line| [if line.starts_with("subcooling = ") { "subcooling = \"1 F\"" } else { line }, "\n"])
        .collect();
    assert!(rules(&little).contains(&"liquid-flash"));
}

/// A job without condenser and lines is enough, with what was taken for them and bands as wide as that.
#[test]
fn a_job_drawn_in_part_is_enough_for_what_is_expected() {
    let (job, unknown) = job::read_sketch("part.toml", &part(), Path::new(".")).unwrap();
    let band = |job: &Job, unknown| {
        let wanted = Wanted { circuit: Some("1A".to_owned()), unknown, ..Wanted::default() };
        let shown = expected(job, &wanted).unwrap();
        let value = shown.points[0].values.iter().find(|value| value.reading == Reading::DischargePressure).unwrap();
        (value.accuracy, shown.taken.len())
    };
    let (known, nothing) = band(&hall(), job::Unknown::default());
    let (open, taken) = band(&job, unknown);
    assert!(open > 2.0 * known && nothing == 0 && taken == 2, "{open} {known} {taken}");
}

/// Every reading stands with its instrument and what that rests on; what is stated is told as stated.
#[test]
fn how_exact_instruments_are_is_shown_with_its_source() {
    let plain = answer(WELL);
    let stated = answer(&format!("{WELL}\n[accuracy]\ndischarge_pressure = \"5 psi\"\n"));
    let of = |answer: &Answer| {
        let found = answer.instruments.iter().find(|one| one.reading == Reading::DischargePressure).unwrap();
        ((found.value / 6894.757 * 10.0).round() / 10.0, found.source)
    };
    assert_eq!(of(&plain), (6.5, "transducer, 1 % of its span: assumption"));
    assert_eq!(of(&stated), (5.0, "as stated"));
    assert_eq!(plain.instruments.len(), 10);
    assert!(plain.instruments.iter().all(|one| one.source.contains("assumption") || one.source.contains("Title 24")));
}

/// The last word on a healthy set: whether it was used.
#[test]
fn a_healthy_set_that_can_not_be_used_is_told() {
    let healthy = "[healthy]\ncircuit = \"1A\"\noutdoor = \"80 F\"\nrunning = 2\n\
        discharge = { pressure = \"372 psig\" }\nsuction = { pressure = \"116 psig\" }\n";
    let cases = [
        (healthy.to_owned(), "by the healthy set"),
        (healthy.replace("running = 2", "running = 0"), "the machine was off"),
        (healthy.replace("372 psig", "37.2 psig"), "hardly above suction"),
    ];
    for (healthy, says) in cases {
        let answer = answer(&format!("{COMPLAINT}\n{healthy}"));
        assert!(answer.taken.iter().any(|taken| taken.contains(says)), "{says}: {:?}", answer.taken);
    }
}
