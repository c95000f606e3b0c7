//! Jobs and surveys for the tests of the rules.
#![allow(clippy::unwrap_used)]

use super::{Finding, Rule, Verdict};
use crate::job::{
    Bypass, BypassWhen, Circuit, Compressors, Condenser, Evaporating, Evaporator, HeadControl, Job, Line, Part, Path,
    Performance, RatedAt, Receiver, ReceiverStyle, Resistance, Run, Site, Slope, Traps, Valve, ValveKind,
};
use crate::physics::atmosphere;
use crate::refdata;
use crate::survey::{
    CircuitSurvey, LineAnswer, OilLift, OutState, PipeAnswer, Point, RunAnswer, StateAnswer, States, Survey, survey,
};
use crate::units::{
    Length, Pressure, System, Temperature, TemperatureDifference, factor, kelvins, metres, pascals, watts,
};

/// Feet.
pub(super) fn feet(feet: f64) -> Length {
    metres(feet * factor::FOOT)
}

/// Degrees Fahrenheit.
pub(super) fn fahrenheit(degrees: f64) -> Temperature {
    Temperature::from_kelvin(factor::fahrenheit_to_kelvin(degrees))
}

/// Degrees Fahrenheit as a difference.
pub(super) fn degrees(degrees: f64) -> TemperatureDifference {
    kelvins(degrees * factor::FAHRENHEIT_DEGREE)
}

/// A run of one tube.
pub(super) fn run(path: Path, tube: &str) -> Run {
    Run {
        path,
        tubes: vec![refdata::tube(tube).unwrap().clone()],
        fittings: Vec::new(),
        around: None,
        insulation: metres(0.0),
        room: None,
    }
}

/// A level run that falls with the flow.
pub(super) fn level(length: f64, tube: &str) -> Run {
    run(Path::Level { length: feet(length), slope: Some(Slope::WithFlow) }, tube)
}

/// A rise with a trap at its foot, one at half height where it is tall, and a loop at its top.
pub(super) fn rise(height: f64, tube: &str) -> Run {
    let between = if height > 20.0 { vec![feet(height / 2.0)] } else { Vec::new() };
    run(Path::Rise { length: feet(height), traps: Traps { foot: true, top: true, between } }, tube)
}

/// A fall.
pub(super) fn fall(height: f64, tube: &str) -> Run {
    run(Path::Fall { length: feet(height) }, tube)
}

/// A part with a loss at the rated flow in psi.
pub(super) fn part(name: &str, psi: f64, tube: &str) -> Run {
    let facts = refdata::part(name).unwrap();
    let receiver = facts.receiver.then_some(Receiver { style: ReceiverStyle::Surge, volume: None });
    let resistance = Resistance::Loss(pascals(psi * factor::PSI));
    let part = Part { name: name.to_owned(), resistance, receiver, closes: facts.closes, checks: facts.checks };
    run(Path::Part(part), tube)
}

/// A circuit of R-134a, 40 ton, its condenser 38 ft above the machine, with which every rule is content.
pub(super) fn circuit() -> Circuit {
    Circuit {
        name: "1A".to_owned(),
        module: "1A".to_owned(),
        refrigerant: "R-134a".to_owned(),
        copies: 1,
        compressors: Compressors {
            count: 2,
            least_share: 0.5,
            rated_at: RatedAt {
                suction: fahrenheit(40.0),
                condensing: fahrenheit(120.0),
                superheat: degrees(10.0),
                subcooling: degrees(10.0),
            },
            performance: Performance::Rating { capacity: watts(40.0 * factor::TON), power: watts(42e3) },
            bypass: Bypass { share: 0.15, when: BypassWhen::Least },
            oil: None,
        },
        evaporator: Evaporator {
            evaporating: Evaporating::Approach { leaving: fahrenheit(45.0), approach: degrees(5.0) },
            superheat: degrees(10.0),
        },
        condenser: Condenser {
            rejection: watts(660e3 * factor::BTU_PER_HOUR),
            difference: degrees(22.0),
            air_flow: None,
            rated_altitude: feet(0.0),
            loss: pascals(3.0 * factor::PSI),
            subcooling: degrees(10.0),
            above: feet(38.0),
            volume: None,
            cutout: Some(Pressure::from_pascals(275.0 * factor::PSI + 101_325.0)),
            head_control: HeadControl::Fans { hold: fahrenheit(85.0), least_air: 0.04 },
        },
        valve: Valve {
            kind: ValveKind::Electronic,
            subcooling: degrees(4.0),
            least_drop: Some(pascals(40.0 * factor::PSI)),
        },
        discharge: Line {
            runs: vec![
                level(8.0, "2-5/8 ACR"),
                rise(38.0, "2-5/8 ACR"),
                level(10.0, "2-5/8 ACR"),
                part("check valve", 0.1, "2-5/8 ACR"),
            ],
        },
        liquid: Line {
            runs: vec![
                part("receiver", 0.2, "1-5/8 ACR"),
                level(16.0, "1-5/8 ACR"),
                fall(38.0, "1-5/8 ACR"),
                level(30.0, "1-5/8 ACR"),
                part("filter-drier", 1.0, "1-5/8 ACR"),
                part("solenoid valve", 1.0, "1-5/8 ACR"),
            ],
        },
    }
}

/// A job of that one circuit.
pub(super) fn job() -> Job {
    let altitude = feet(890.0);
    Job {
        title: "Bottling hall".to_owned(),
        file: "hall.toml".to_owned(),
        units: System::Ip,
        site: Site {
            altitude,
            atmosphere: atmosphere::pressure(altitude).unwrap(),
            summer: fahrenheit(96.0),
            winter: fahrenheit(2.0),
            recirculation: degrees(0.0),
        },
        plant: None,
        limits: std::collections::BTreeMap::new(),
        rooms: Vec::new(),
        points: Vec::new(),
        circuits: vec![circuit()],
        assumptions: Vec::new(),
    }
}

/// The job with its circuit changed.
pub(super) fn changed(change: impl FnOnce(&mut Circuit)) -> Job {
    let mut job = job();
    change(job.circuits.first_mut().unwrap());
    job
}

/// The job solved.
pub(super) fn solved(job: &Job) -> Survey {
    survey(job).unwrap()
}

/// What a rule finds on the job solved.
pub(super) fn findings(rule: Rule, job: &Job) -> Vec<Finding> {
    rule.check(job, &solved(job))
}

/// The one finding of a rule on the job solved.
pub(super) fn finding(rule: Rule, job: &Job) -> Finding {
    only(rule.check(job, &solved(job)))
}

/// The one finding of several.
pub(super) fn only(findings: Vec<Finding>) -> Finding {
    assert_eq!(findings.len(), 1, "{findings:#?}");
    findings.into_iter().next().unwrap()
}

/// What a rule finds on a survey made by hand: the verdict of its one finding.
pub(super) fn verdict(rule: Rule, job: &Job, survey: &Survey) -> Verdict {
    only(rule.check(job, survey)).verdict
}

const STATE: StateAnswer = StateAnswer {
    pressure_Pa: 1.2e6,
    temperature_K: 320.0,
    density_kg_m3: 50.0,
    enthalpy_J_kg: 4e5,
    viscosity_Pa_s: 1e-5,
    quality: None,
};

fn line(line: &Line, gas: bool) -> LineAnswer {
    let runs: Vec<RunAnswer> = line
        .runs
        .iter()
        .enumerate()
        .map(|(index, run)| {
            let (path, part) = match &run.path {
                Path::Level { .. } => ("level", None),
                Path::Rise { .. } => ("rise", None),
                Path::Fall { .. } => ("fall", None),
                Path::Part(part) => ("part", Some(part.name.clone())),
            };
            let pipe = |tube: &crate::refdata::Tube| PipeAnswer {
                size: tube.name.clone(),
                bore_m: tube.bore().value,
                flow_kg_s: 0.5,
                velocity_m_s: 1.0,
                reynolds: 1e5,
                friction_factor: 0.02,
                oil_least_flow_kg_s: (gas && path == "rise").then_some(0.25),
                sealed: false,
            };
            RunAnswer {
                index: index + 1,
                path,
                part,
                length_m: run.path.length_m(),
                equivalent_length_m: run.path.length_m(),
                tubes: run.tubes.iter().map(pipe).collect(),
                friction_Pa: 100.0,
                static_Pa: 0.0,
                heat_W: 0.0,
                oil_lift: (gas && path == "rise").then_some(OilLift { ratio: 2.0 }),
                warmest_K: STATE.temperature_K,
                out: OutState { state: STATE, subcooling_K: (!gas).then_some(5.0), superheat_K: gas.then_some(20.0) },
            }
        })
        .collect();
    LineAnswer {
        flow_kg_s: 0.5,
        heat_W: 0.0,
        length_m: 0.0,
        equivalent_length_m: 0.0,
        rise_m: 0.0,
        friction_Pa: 400.0,
        parts_Pa: 100.0,
        static_Pa: 0.0,
        pressure_drop_Pa: 500.0,
        saturation_drop_K: 0.1,
        least_subcooling_K: (!gas).then_some(5.0),
        least_subcooling_run: (!gas).then_some(0),
        short_of_liquid_K: 0.0,
        runs,
    }
}

/// An operating point made by hand: made-up numbers with which every rule is content, to set one of them at its limit.
pub(super) fn point(circuit: &Circuit, name: &str) -> Point {
    let suction = StateAnswer { pressure_Pa: 3.5e5, temperature_K: 283.0, ..STATE };
    Point {
        name: name.to_owned(),
        outdoor_K: 300.0,
        air_on_K: 300.0,
        compressor_share: 1.0,
        bypass_share: 0.0,
        evaporating_K: 278.0,
        condensing_K: 315.0,
        capacity_W: 1e5,
        power_W: 3e4,
        rejection_W: 1.3e5,
        mass_flow_kg_s: 0.5,
        air_share: 1.0,
        flooded_share: 0.0,
        state: States {
            suction,
            discharge: STATE,
            condenser_inlet: STATE,
            condenser_outlet: STATE,
            valve_inlet: STATE,
        },
        discharge_line: line(&circuit.discharge, true),
        liquid_line: line(&circuit.liquid, false),
        residual: (0.0, 1),
    }
}

/// A survey of one operating point, made by hand and then changed.
pub(super) fn by_hand(job: &Job, name: &str, change: impl Fn(&mut Point)) -> Survey {
    let circuits = job
        .circuits
        .iter()
        .map(|circuit| {
            let mut point = point(circuit, name);
            change(&mut point);
            CircuitSurvey {
                name: circuit.name.clone(),
                points: vec![point],
                unsolved: Vec::new(),
                derating: None,
                rated_efficiency: 0.65,
            }
        })
        .collect();
    Survey { circuits }
}
