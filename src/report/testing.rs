//! A small answer made by hand, for the tests of the exporters: its numbers are plausible and mean nothing.

use crate::job::{Circuit, Job, Line, LineId, Path, Run, read};
use crate::refdata;
use crate::rules::finding::Source;
use crate::rules::say::say;
use crate::rules::{Finding, Measure, Place, Verdict, When};
use crate::survey::PointId;
use crate::survey::{
    CircuitSurvey, CurvePoint, Derating, LineAnswer, OilLift, OutState, PipeAnswer, Point, RunAnswer, StateAnswer,
    States, Step, Survey, Unsolved, Why,
};
use crate::units::Kind;

const SITE: &str = r#"
[job]
title = "Bottling hall, two circuits to the roof"
units = "ip"
[site]
altitude = "890 ft"
summer = "96 F"
winter = "2 F"
[plant]
load = "71 ton"
spare = 1
"#;

const CIRCUIT: &str = r#"
[[circuit]]
name = "NAME"
refrigerant = "R-454B"
[circuit.compressors]
count = 2
minimum = 1
rating = { capacity = "40 ton", power = "42 kW", suction = "40 F", condensing = "120 F", superheat = "10 F", subcooling = "10 F" }
hot_gas_bypass = { share = 0.2, when = "minimum" }
[circuit.evaporator]
suction = "40 F"
superheat = "10 F"
[circuit.condenser]
rejection = "640 MBH"
td = "25 F"
pressure_drop = "3 psi"
subcooling = "8 F"
elevation = "38 ft"
head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.15 }
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
[circuit.discharge]
tube = "1-5/8 ACR"
route = [
  { level = "14 ft", slope = "with flow" },
  { rise = "38 ft", tube = ["7/8 ACR", "1-3/8 ACR"], trap = "foot" },
  { part = "check valve", pressure_drop = "1 psi" },
]
[circuit.liquid]
tube = "1-1/8 ACR"
route = [
  { part = "receiver", style = "surge" },
  { drop = "38 ft" },
  { part = "filter-drier" },
]
"#;

/// The job: two circuits, the second named with a space.
pub(super) fn job() -> Job {
    let text = [SITE, &CIRCUIT.replace("NAME", "1A"), &CIRCUIT.replace("NAME", "1 B")].concat();
    read("hall.toml", &text, std::path::Path::new(".")).unwrap()
}

fn state(pressure_pascals: f64, temperature_kelvin: f64) -> StateAnswer {
    StateAnswer {
        pressure_Pa: pressure_pascals,
        temperature_K: temperature_kelvin,
        density_kg_m3: 101.0,
        enthalpy_J_kg: 4.5e5,
        viscosity_Pa_s: 1.5e-5,
        quality: None,
    }
}

fn run_answer(line: &Run, index: usize, gas: bool) -> RunAnswer {
    let (path, part) = match &line.path {
        Path::Level { .. } => ("level", None),
        Path::Rise { .. } => ("rise", None),
        Path::Drop { .. } => ("drop", None),
        Path::Part(part) => ("part", Some(part.name.clone())),
    };
    let lift = (path == "rise").then_some(OilLift { ratio: 1.84 });
    let share = 1.0 / f64::from(u32::try_from(line.tubes.len()).unwrap());
    let pipe = |tube: &refdata::Tube| PipeAnswer {
        size: tube.name.clone(),
        bore_m: tube.bore().value,
        flow_kg_s: 0.8 * share,
        velocity_m_s: if gas { 8.0 } else { 0.9 },
        reynolds: 4e5,
        friction_factor: 0.016,
        oil_minimum_flow_kg_s: lift.map(|_| 0.2),
        sealed: false,
    };
    RunAnswer {
        index,
        path,
        part,
        length_m: line.path.length_m(),
        equivalent_length_m: line.path.length_m() * 1.2,
        tubes: line.tubes.iter().map(pipe).collect(),
        friction_Pa: 6_500.0,
        static_Pa: line.path.rise_m() * 980.0,
        heat_W: 0.0,
        charge_kg: 0.6,
        oil_lift: lift,
        warmest_K: 350.0,
        out: OutState {
            state: state(2.5e6, 345.0),
            subcooling_K: (!gas).then_some(2.5),
            superheat_K: gas.then_some(20.0),
        },
    }
}

fn line(line: &Line, gas: bool) -> LineAnswer {
    let runs = line.runs.iter().enumerate().map(|(i, run)| run_answer(run, i + 1, gas)).collect();
    let rise: f64 = line.runs.iter().map(|run| run.path.rise_m()).sum();
    LineAnswer {
        flow_kg_s: 0.8,
        heat_W: 150.0,
        subcooled_W: 0.0,
        length_m: 15.8,
        equivalent_length_m: 19.0,
        rise_m: rise,
        friction_Pa: 13_000.0,
        parts_Pa: 6_500.0,
        static_Pa: rise * 980.0,
        pressure_drop_Pa: 19_500.0 + rise * 980.0,
        saturation_drop_K: 0.43,
        inlet_subcooling_K: None,
        minimum_subcooling_K: (!gas).then_some(2.5),
        minimum_subcooling_run: (!gas).then_some(3),
        runs,
    }
}

fn point(circuit: &Circuit, id: PointId, full: bool) -> Point {
    let mut discharge = line(&circuit.discharge, true);
    if !full {
        discharge.runs[1].tubes[1].sealed = true;
        discharge.runs[1].oil_lift = Some(OilLift { ratio: 1.31 });
    }
    let mut liquid = line(&circuit.liquid, false);
    if id == PointId::SummerFull {
        liquid.minimum_subcooling_K = Some(-0.2);
        liquid.runs[2].out.state.quality = Some(0.004);
        liquid.runs[2].out.subcooling_K = None;
    }
    let states = state(2.6e6, 350.0);
    Point {
        id,
        name: match id {
            PointId::Rating => "rating",
            PointId::SummerFull => "summer full",
            _ => "summer minimum",
        }
        .to_owned(),
        outdoor_K: 308.706,
        air_on_K: 308.706,
        compressor_share: if full { 1.0 } else { 0.5 },
        bypass_share: if full { 0.0 } else { 0.2 },
        evaporating_K: 277.6,
        condensing_K: 321.5,
        capacity_W: 132_000.0,
        power_W: 41_500.0,
        rejection_W: 173_500.0,
        mass_flow_kg_s: 0.8,
        air_share: 1.0,
        flooded_share: 0.0,
        starved: false,
        dry_share: None,
        leaving_K: None,
        capacity_at_leaving_W: None,
        valve_requires_Pa: 1e5,
        flooded: false,
        state: States {
            suction: states,
            discharge: states,
            condenser_inlet: states,
            condenser_outlet: states,
            valve_inlet: states,
        },
        discharge_line: discharge,
        liquid_line: liquid,
    }
}

/// The job solved: `winter full` of the second circuit has no solution.
pub(super) fn survey(job: &Job) -> Survey {
    let solve = |circuit: &Circuit| CircuitSurvey {
        name: circuit.name.clone(),
        points: [(PointId::Rating, true), (PointId::SummerFull, true), (PointId::SummerMinimum, false)]
            .into_iter()
            .map(|(id, full)| point(circuit, id, full))
            .collect(),
        unsolved: if circuit.name == "1A" {
            Vec::new()
        } else {
            vec![Unsolved {
                id: PointId::WinterFull,
                name: "winter full".to_owned(),
                why: Why::NeverCondenses { top_Pa: 4.2e6 },
            }]
        },
        derating: Some(Derating {
            rated_W: 140_674.0,
            at_design_W: 132_000.0,
            share: 132_000.0 / 140_674.0,
            steps: vec![
                Step { cause: "outdoor temperature".to_owned(), change_W: -6_000.0 },
                Step { cause: "altitude".to_owned(), change_W: -2_674.0 },
            ],
            curve: (0..12)
                .map(|i| CurvePoint {
                    outdoor_K: 288.7 + 2.5 * f64::from(i),
                    capacity_W: 150_000.0 - 1_500.0 * f64::from(i),
                    power_W: 33_000.0,
                    condensing_K: 310.0 + 2.0 * f64::from(i),
                })
                .collect(),
            highest_outdoor_K: 321.0,
            highest_is_cutout: true,
        }),
        rated_efficiency: 0.66,
        charge: None,
        design: None,
        relief: crate::survey::ReliefNeed::default(),
        stops: crate::survey::Stops::default(),
        strengths: Vec::new(),
        closings: Vec::new(),
        straights: Vec::new(),
        drop_legs: Vec::new(),
        work: 0,
        cut: false,
    };
    Survey { circuits: job.circuits.iter().map(solve).collect() }
}

/// Findings of every kind, some shared by both circuits and one of the plant.
pub(super) fn findings() -> Vec<Finding> {
    let finding = |rule: &'static str, verdict: Verdict, circuit: &str, says: &'static str| Finding {
        rule,
        verdict,
        circuit: ["1A", "1 B"].iter().position(|name| *name == circuit),
        when: Some(When::Point(if rule == "oil-level" { PointId::SummerMinimum } else { PointId::SummerFull })),
        place: Some(Place::Runs(LineId::Liquid, vec![3])),
        measure: Some(Measure { kind: Kind::Difference, value: 0.333, limit: Some(2.222) }),
        says: say(says, []),
        source: Source::Published("ashrae-halocarbon"),
    };
    let mut findings = vec![finding("plant-load", Verdict::Pass, "", "It carries the load.")];
    for circuit in ["1A", "1 B"] {
        findings.push(finding("elevations", Verdict::Pass, circuit, "Both agree."));
        findings.push(finding("oil-level", Verdict::Pass, circuit, "It sweeps."));
        findings.push(finding("oil-level", Verdict::Note, circuit, "Level runs of both circuits are slow."));
    }
    findings.push(finding(
        "liquid-flash",
        Verdict::Fail,
        "1A",
        "The valve gets 0.6 F of subcooling at summer full; it needs 4 F. The fall of 38 ft earns 3.1 F, friction takes \
         1.6 F, drier and solenoid valve 0.9 F.",
    ));
    findings.push(finding("slope", Verdict::Caution, "1 B", "Run 1 does not fall with the flow."));
    findings
}
