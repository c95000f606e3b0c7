//! Jobs and surveys for the tests of the rules, and of what rests on them.
#![allow(clippy::unwrap_used)]

use super::finding::{Finding, Rule, Verdict};
use crate::job::{self, Circuit, Job, Line, Path, Run, Traps};
use crate::refdata;
use crate::survey::{
    CircuitSurvey, LineAnswer, OilLift, OutState, PipeAnswer, Point, PointId, RunAnswer, StateAnswer, States, Stops,
    Survey, design, relief, strengths, survey,
};
use crate::units::{Length, Temperature, TemperatureDifference, factor, kelvins, metres};

/// Feet.
pub(crate) fn feet(feet: f64) -> Length {
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

/// One circuit of R-134a, 40 ton, its condenser 38 ft above the chiller, with which every rule is content.
const JOB: &str = r#"
[job]
title = "Bottling hall"

[site]
altitude = "890 ft"
summer = "96 F"
winter = "20 F"

[[circuit]]
name = "1A"
refrigerant = "R-134a"
relief_valve = { setting = "280 psig", capacity = "20 lb/min" }

[circuit.compressors]
count = 2
minimum = 1
rating = { capacity = "40 ton", power = "42 kW", suction = "40 F", condensing = "120 F", superheat = "10 F", subcooling = "10 F" }
hot_gas_bypass = { share = 0.15, when = "minimum" }

[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
volume = "0.8 ft3"

[circuit.condenser]
rejection = "660 MBH"
td = "22 F"
pressure_drop = "3 psi"
subcooling = "10 F"
elevation = "38 ft"
volume = "2 ft3"
cutout = "250 psig"
head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.05 }

[circuit.valve]
kind = "electronic"
subcooling = "4 F"
minimum_drop = "40 psi"

[circuit.discharge]
tube = "2-5/8 ACR"
route = [
  { level = "8 ft", slope = "with flow" },
  { rise = "38 ft", trap = "foot and top" },
  { level = "10 ft", slope = "with flow" },
  { part = "check valve", pressure_drop = "0.1 psi" },
]

[circuit.liquid]
tube = "1-5/8 ACR"
route = [
  { part = "receiver", style = "surge", volume = "7 ft3", shell = { diameter = "12 in", length = "9 ft" }, stop_valves = true, pressure_drop = "0.2 psi" },
  { level = "16 ft" },
  { drop = "38 ft" },
  { level = "30 ft" },
  { part = "filter-drier", pressure_drop = "1 psi" },
  { part = "solenoid valve", pressure_drop = "1 psi" },
]
"#;

/// The clean job, solved or not.
pub(crate) fn job() -> Job {
    let mut job = job::read("hall.toml", JOB, std::path::Path::new(".")).unwrap();
    // A drawing has the loop at the top or the traps between; this one has both.
    let rise = &mut job.circuits.first_mut().unwrap().discharge.runs.get_mut(1).unwrap().path;
    *rise = Path::Rise { length: feet(38.0), traps: Traps { foot: true, top: true, between: vec![feet(19.0)] } };
    job
}

/// The job with its circuit changed.
pub(crate) fn changed(change: impl FnOnce(&mut Circuit)) -> Job {
    let mut job = job();
    change(job.circuits.first_mut().unwrap());
    job
}

/// A run of the discharge line of the job, to change it.
pub(crate) fn discharge(circuit: &mut Circuit, number: usize) -> &mut Run {
    circuit.discharge.runs.get_mut(number - 1).unwrap()
}

/// A run of the liquid line of the job, to change it.
pub(super) fn liquid(circuit: &mut Circuit, number: usize) -> &mut Run {
    circuit.liquid.runs.get_mut(number - 1).unwrap()
}

/// Other tube for a run.
pub(super) fn with_tubes(run: &mut Run, names: &[&str]) {
    run.tubes = names.iter().map(|name| refdata::tube(name).unwrap().clone()).collect();
}

/// The job solved.
pub(crate) fn solved(job: &Job) -> Survey {
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

impl Finding {
    /// Its words, of a finding that names no run.
    pub(super) fn words(&self) -> String {
        self.text(&job())
    }

    /// What was found, SI.
    pub(super) fn value(&self) -> f64 {
        self.measure.unwrap().value
    }

    /// The limit, SI.
    pub(super) fn limit(&self) -> f64 {
        self.measure.unwrap().limit.unwrap()
    }
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
                Path::Drop { .. } => ("drop", None),
                Path::Part(part) => ("part", Some(part.name.clone())),
            };
            let pipe = |tube: &crate::refdata::Tube| PipeAnswer {
                size: tube.name.clone(),
                bore_m: tube.bore().value,
                flow_kg_s: 0.5,
                velocity_m_s: 1.0,
                reynolds: 1e5,
                friction_factor: 0.02,
                oil_minimum_flow_kg_s: (gas && path == "rise").then_some(0.25),
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
                charge_kg: 1.0,
                oil_lift: (gas && path == "rise").then_some(OilLift { ratio: 2.0 }),
                warmest_K: STATE.temperature_K,
                out: OutState { state: STATE, subcooling_K: (!gas).then_some(5.0), superheat_K: gas.then_some(20.0) },
            }
        })
        .collect();
    LineAnswer {
        flow_kg_s: 0.5,
        heat_W: 0.0,
        subcooled_W: 0.0,
        length_m: 0.0,
        equivalent_length_m: 0.0,
        rise_m: 0.0,
        friction_Pa: 400.0,
        parts_Pa: 100.0,
        static_Pa: 0.0,
        pressure_drop_Pa: 500.0,
        saturation_drop_K: 0.1,
        inlet_subcooling_K: None,
        minimum_subcooling_K: (!gas).then_some(5.0),
        minimum_subcooling_run: (!gas).then_some(0),
        runs,
    }
}

/// An operating point made by hand: made-up numbers with which every rule is content, to set one of them at its limit.
pub(super) fn point(job: &Job, circuit: &Circuit, id: PointId) -> Point {
    let suction = StateAnswer { pressure_Pa: 3.5e5, temperature_K: 283.0, ..STATE };
    Point {
        id,
        name: id.name(job).to_owned(),
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
        starved: false,
        dry_share: None,
        leaving_K: None,
        capacity_at_leaving_W: None,
        valve_requires_Pa: 1e5,
        flooded: false,
        state: States {
            suction,
            discharge: STATE,
            condenser_inlet: STATE,
            condenser_outlet: STATE,
            valve_inlet: STATE,
        },
        discharge_line: line(&circuit.discharge, true),
        liquid_line: line(&circuit.liquid, false),
    }
}

/// A survey of one operating point, made by hand and then changed.
pub(crate) fn by_hand(job: &Job, id: PointId, change: impl Fn(&mut Point)) -> Survey {
    let circuits = job
        .circuits
        .iter()
        .map(|circuit| {
            let mut point = point(job, circuit, id);
            change(&mut point);
            let mut solved = CircuitSurvey {
                name: circuit.name.clone(),
                points: vec![point.clone()],
                unsolved: Vec::new(),
                derating: None,
                rated_efficiency: 0.65,
                charge: None,
                design: design(job, circuit, std::slice::from_ref(&point)),
                relief: relief(job, circuit),
                stops: Stops::of(circuit),
                strengths: Vec::new(),
                closings: Vec::new(),
                straights: Vec::new(),
                drop_legs: Vec::new(),
                work: 0,
                cut: false,
            };
            solved.strengths = strengths(circuit, solved.design.as_ref(), &solved.points);
            solved
        })
        .collect();
    Survey { circuits }
}
