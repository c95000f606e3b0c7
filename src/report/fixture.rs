//! A small answer made by hand, for the tests of the exporters: its numbers are plausible and mean nothing.

use crate::job::{
    Assumption, Bypass, BypassWhen, Circuit, Compressors, Condenser, Evaporating, Evaporator, HeadControl, Job, Line,
    Part, Path, Performance, Plant, RatedAt, Receiver, ReceiverStyle, Resistance, Run, Site, Slope, Traps, Valve,
    ValveKind,
};
use crate::refdata;
use crate::rules::{Finding, Verdict};
use crate::survey::{
    CircuitSurvey, CurvePoint, Derating, LineAnswer, OilLift, OutState, PipeAnswer, Point, RunAnswer, StateAnswer,
    States, Step, Survey, Unsolved, Why,
};
use crate::units::{Pressure, System, Temperature, kelvins, metres, pascals, watts};
use std::collections::BTreeMap;

fn run(path: Path, tubes: &[&str]) -> Run {
    Run {
        path,
        tubes: tubes.iter().map(|name| refdata::tube(name).unwrap().clone()).collect(),
        fittings: vec![("elbow".to_owned(), 2)],
        around: None,
        insulation: metres(0.0),
        room: None,
    }
}

fn part(name: &str, receiver: Option<Receiver>) -> Path {
    let resistance = Resistance::Loss(pascals(13_790.0));
    Path::Part(Part { name: name.to_owned(), resistance, receiver, closes: false, checks: false })
}

fn circuit(name: &str) -> Circuit {
    let rated = Temperature::from_kelvin;
    let surge = Receiver { style: ReceiverStyle::Surge, volume: None };
    let level = |m: f64| Path::Level { length: metres(m), slope: Some(Slope::WithFlow) };
    Circuit {
        name: name.to_owned(),
        module: name.to_owned(),
        refrigerant: "R-454B".to_owned(),
        copies: 1,
        compressors: Compressors {
            count: 2,
            least_share: 0.5,
            rated_at: RatedAt {
                suction: rated(277.594),
                condensing: rated(322.039),
                superheat: kelvins(5.556),
                subcooling: kelvins(5.556),
            },
            performance: Performance::Rating { capacity: watts(140_674.0), power: watts(42_000.0) },
            bypass: Bypass { share: 0.2, when: BypassWhen::Least },
            oil: None,
        },
        evaporator: Evaporator { evaporating: Evaporating::Held(rated(277.594)), superheat: kelvins(5.556) },
        condenser: Condenser {
            rejection: watts(187_567.0),
            difference: kelvins(13.889),
            air_flow: None,
            rated_altitude: metres(0.0),
            loss: pascals(20_684.0),
            subcooling: kelvins(4.444),
            above: metres(11.5824),
            volume: None,
            cutout: None,
            head_control: HeadControl::Fans { hold: rated(302.594), least_air: 0.15 },
        },
        valve: Valve { kind: ValveKind::Electronic, subcooling: kelvins(2.222), least_drop: None },
        discharge: Line {
            runs: vec![
                run(level(4.2672), &["1-5/8 ACR"]),
                run(
                    Path::Rise { length: metres(11.5824), traps: Traps { foot: true, ..Traps::default() } },
                    &["7/8 ACR", "1-3/8 ACR"],
                ),
                run(part("check valve", None), &["1-5/8 ACR"]),
            ],
        },
        liquid: Line {
            runs: vec![
                run(part("receiver", Some(surge)), &["1-1/8 ACR"]),
                run(Path::Fall { length: metres(11.5824) }, &["1-1/8 ACR"]),
                run(part("filter-drier", None), &["1-1/8 ACR"]),
            ],
        },
    }
}

/// The job: two circuits, the second named with a space.
pub(super) fn job() -> Job {
    let assumption = |key: &str, value: f64, unit: &str, why: &str, source: &str| Assumption {
        key: key.to_owned(),
        value,
        unit: unit.to_owned(),
        why: why.to_owned(),
        source: source.to_owned(),
    };
    Job {
        title: "Bottling hall, two circuits to the roof".to_owned(),
        file: "hall.toml".to_owned(),
        units: System::Ip,
        site: Site {
            altitude: metres(271.272),
            atmosphere: Pressure::from_pascals(98_100.0),
            summer: Temperature::from_kelvin(308.706),
            winter: Temperature::from_kelvin(256.483),
            recirculation: kelvins(0.0),
        },
        plant: Some(Plant { load: watts(250_000.0), spare: 1 }),
        limits: BTreeMap::new(),
        rooms: Vec::new(),
        points: Vec::new(),
        circuits: vec![circuit("1A"), circuit("1 B")],
        assumptions: vec![
            assumption("circuit 1A filter-drier loss", 13_790.0, "Pa", "typical of the part", "common-practice"),
            assumption("circuit 1 B filter-drier loss", 13_790.0, "Pa", "typical of the part", "common-practice"),
            assumption("site.recirculation", 0.0, "K", "no air returns to the coil", "roofrun"),
        ],
    }
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
        Path::Fall { .. } => ("fall", None),
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
        oil_least_flow_kg_s: lift.map(|_| 0.2),
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
        length_m: 15.8,
        equivalent_length_m: 19.0,
        rise_m: rise,
        friction_Pa: 13_000.0,
        parts_Pa: 6_500.0,
        static_Pa: rise * 980.0,
        pressure_drop_Pa: 19_500.0 + rise * 980.0,
        saturation_drop_K: 0.43,
        least_subcooling_K: (!gas).then_some(2.5),
        least_subcooling_run: (!gas).then_some(3),
        short_of_liquid_K: 0.0,
        runs,
    }
}

fn point(circuit: &Circuit, name: &str, full: bool) -> Point {
    let mut discharge = line(&circuit.discharge, true);
    if !full {
        discharge.runs[1].tubes[1].sealed = true;
        discharge.runs[1].oil_lift = Some(OilLift { ratio: 1.31 });
    }
    let mut liquid = line(&circuit.liquid, false);
    if name == "summer full" {
        liquid.least_subcooling_K = Some(-0.2);
        liquid.runs[2].out.state.quality = Some(0.004);
        liquid.runs[2].out.subcooling_K = None;
    }
    let states = state(2.6e6, 350.0);
    Point {
        name: name.to_owned(),
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
        state: States {
            suction: states,
            discharge: states,
            condenser_inlet: states,
            condenser_outlet: states,
            valve_inlet: states,
        },
        discharge_line: discharge,
        liquid_line: liquid,
        residual: (0.0, 1),
    }
}

/// The job solved: `winter full` of the second circuit has no solution.
pub(super) fn survey(job: &Job) -> Survey {
    let solve = |circuit: &Circuit| CircuitSurvey {
        name: circuit.name.clone(),
        points: [("rating full", true), ("summer full", true), ("summer least", false)]
            .into_iter()
            .map(|(name, full)| point(circuit, name, full))
            .collect(),
        unsolved: if circuit.name == "1A" {
            Vec::new()
        } else {
            vec![Unsolved { name: "winter full".to_owned(), why: Why::NeverCondenses { top_Pa: 4.2e6 } }]
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
        }),
        rated_efficiency: 0.66,
    };
    Survey { circuits: job.circuits.iter().map(solve).collect() }
}

/// Findings of every kind, some shared by both circuits and one of the plant.
pub(super) fn findings() -> Vec<Finding> {
    let finding = |rule: &'static str, verdict: Verdict, circuit: &str, says: &str| Finding {
        rule,
        verdict,
        circuit: (!circuit.is_empty()).then(|| circuit.to_owned()),
        point: Some("summer full".to_owned()),
        r#where: Some("liquid run 3".to_owned()),
        value: Some(0.333),
        limit: Some(2.222),
        unit: Some("K"),
        says: says.to_owned(),
        mend: (verdict == Verdict::Fail).then(|| {
            "a surge receiver leaves 8.6 F; or 1-3/8 in both level runs and a larger valve leave 4.3 F.".to_owned()
        }),
        source: "ASHRAE Handbook - Refrigeration, ch. 1".to_owned(),
    };
    let mut findings = vec![finding("plant-load", Verdict::Pass, "", "It carries the load.")];
    for circuit in ["1A", "1 B"] {
        findings.push(finding("geometry", Verdict::Pass, circuit, "Both agree."));
        findings.push(finding("oil-sweep", Verdict::Pass, circuit, "It sweeps."));
        findings.push(finding("oil-sweep", Verdict::Note, circuit, "Level runs of both circuits are slow."));
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
