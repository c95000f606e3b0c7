//! Every answer for eleven jobs, computed a second time.
//!
//! What kind of evidence this is: the same formulas and conventions, other code, another property library. `model.py` was
//! written in Python from the formulas and took only conventions over from the tool (`README.md` names them). It has its own
//! numerical methods, and properties from the equations of state themselves, where the tool has fits. So an error of
//! balance, integrator, unit, table or fit shows here; an error of a formula doesn't, and is looked for in `tests/published/`.
//! `README.md` says how `values.csv` is written; nothing here needs Python.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

#[path = "../common/rows.rs"]
mod table;

use roofrun::job::{self, Job};
use roofrun::survey::{CircuitSurvey, LineAnswer, Point, Why, survey};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

/// Relative: five times the 1e-5 to which the fits keep density, enthalpy and saturation pressure. The widest are 4e-5, in
/// the heat of a bare riser where gas flows slowly, and 1e-5 in friction, though viscosity is fitted to 1e-3 only: the factor
/// goes with its power 0.2, and most fits are better. Two-phase stretches require no more: both cut a step where liquid boils.
const RELATIVE: f64 = 5e-5;
/// Of a temperature, K.
const KELVIN: f64 = 0.005;

#[derive(Debug, Deserialize)]
struct Row {
    job: String,
    point: String,
    quantity: String,
    value: f64,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/recomputed/jobs")
}

fn rows() -> Vec<Row> {
    table::rows(include_str!("values.csv"))
}

/// The jobs by file stem, in order.
fn jobs() -> BTreeMap<String, Job> {
    fs::read_dir(folder())
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let text = fs::read_to_string(&path).unwrap();
            let job = job::read(&stem, &text, &folder()).unwrap_or_else(|faults| panic!("{stem}: {faults:?}"));
            (stem, job)
        })
        .collect()
}

/// What may lie between the two values.
fn tolerance(quantity: &str, value: f64) -> f64 {
    let relative = RELATIVE * value.abs();
    match quantity {
        // A difference of capacities, each kept to the relative tolerance; what is left of it is far better.
        step if step.starts_with("step_W") => relative + 0.1,
        // Gets as near to nothing as the refrigerant to the air round the tube; then it is the temperature that counts.
        heat if heat.ends_with("heat_W") => relative + 0.05,
        // A quality hardly above none is a difference of enthalpies by the latent heat.
        "valve_inlet_quality" => relative + 1e-6,
        kelvin if kelvin.ends_with("_K") => KELVIN,
        _ => relative,
    }
}

fn agrees(quantity: &str, tool: f64, model: f64) -> bool {
    (tool - model).abs() <= tolerance(quantity, model)
}

/// A quantity of the derating, by the name that `model.py` gives it.
fn of_derating(circuit: &CircuitSurvey, quantity: &str) -> Option<f64> {
    let derating = circuit.derating.as_ref()?;
    match quantity.strip_prefix("step_W.") {
        Some(number) => derating.steps.get(number.parse::<usize>().ok()? - 1).map(|step| step.change_W),
        None => (quantity == "highest_outdoor_K" && derating.highest_is_cutout).then_some(derating.highest_outdoor_K),
    }
}

/// A quantity of an operating point, by the name that `model.py` gives it.
fn of_point(point: &Point, quantity: &str) -> Option<f64> {
    let states = &point.state;
    Some(match quantity {
        "capacity_W" => point.capacity_W,
        "power_W" => point.power_W,
        "rejection_W" => point.rejection_W,
        "mass_flow_kg_s" => point.mass_flow_kg_s,
        "evaporating_K" => point.evaporating_K,
        "condensing_K" => point.condensing_K,
        "air_share" => point.air_share,
        "flooded_share" => point.flooded_share,
        "superheat_K" => states.suction.temperature_K - point.evaporating_K,
        "starved" => f64::from(u8::from(point.starved)),
        "leaving_K" => return point.leaving_K,
        "discharge_Pa" => states.discharge.pressure_Pa,
        "discharge_K" => states.discharge.temperature_K,
        "condenser_inlet_K" => states.condenser_inlet.temperature_K,
        "valve_inlet_Pa" => states.valve_inlet.pressure_Pa,
        "valve_inlet_K" => states.valve_inlet.temperature_K,
        "valve_inlet_quality" => return states.valve_inlet.quality,
        "minimum_subcooling_K" => return point.liquid_line.minimum_subcooling_K,
        _ => {
            let (line, quantity) = quantity.split_once('.')?;
            return match line {
                "discharge_line" => of_line(&point.discharge_line, quantity),
                "liquid_line" => of_line(&point.liquid_line, quantity),
                _ => None,
            };
        }
    })
}

/// A quantity of a line, or of one tube of a run: `flow_kg_s.2.1-3/8 ACR`.
fn of_line(line: &LineAnswer, quantity: &str) -> Option<f64> {
    match quantity {
        "friction_Pa" => return Some(line.friction_Pa),
        "parts_Pa" => return Some(line.parts_Pa),
        "static_Pa" => return Some(line.static_Pa),
        "heat_W" => return Some(line.heat_W),
        _ => {}
    }
    let (quantity, place) = quantity.split_once('.')?;
    let (run, size) = place.split_once('.')?;
    let run = line.runs.get(run.parse::<usize>().ok()? - 1)?;
    // `model.py` leaves out that types L and K are named by the outside diameter.
    let tube = run.tubes.iter().find(|tube| tube.size.replace(" OD ", " ") == size)?;
    match quantity {
        "flow_kg_s" => Some(tube.flow_kg_s),
        "oil_minimum_flow_kg_s" => tube.oil_minimum_flow_kg_s,
        _ => None,
    }
}

#[test]
fn a_second_computation_gives_the_same_answers() {
    let rows = rows();
    let mut misses = String::new();
    for (stem, job) in jobs() {
        let circuit = &survey(&job).unwrap().circuits[0];
        let of_job: Vec<&Row> = rows.iter().filter(|row| row.job == stem).collect();
        for row in &of_job {
            let Row { point, quantity, value, .. } = row;
            if quantity == "falls_to_suction" {
                let unsolved = circuit.unsolved.iter().find(|unsolved| unsolved.name == *point);
                let why = unsolved.map(|unsolved| &unsolved.why);
                if !matches!(why, Some(Why::FallsToSuction { .. })) {
                    writeln!(misses, "{stem}, {point}: falls to suction, but the tool says {why:?}").unwrap();
                }
                continue;
            }
            let tool = match point.as_str() {
                "derating" => of_derating(circuit, quantity),
                _ => {
                    circuit.points.iter().find(|known| known.name == *point).and_then(|point| of_point(point, quantity))
                }
            };
            if !tool.is_some_and(|tool| agrees(quantity, tool, *value)) {
                writeln!(misses, "{stem}, {point}, {quantity}: {tool:?}, computed again {value}").unwrap();
            }
        }
        // What has flashed in the one has flashed in the other, and no point of the tool's is left out.
        for point in &circuit.points {
            let named = |quantity: &str| of_job.iter().any(|row| row.point == point.name && row.quantity == quantity);
            assert!(named("capacity_W"), "{stem}, {}: not in values.csv", point.name);
            assert_eq!(
                named("valve_inlet_quality"),
                point.state.valve_inlet.quality.is_some(),
                "{stem}, {}: flashes in one only",
                point.name
            );
        }
    }
    assert!(misses.is_empty(), "{misses}");
}

#[test]
fn every_job_has_values_and_every_kind_of_thing_is_among_them() {
    let rows = rows();
    let jobs = jobs();
    let with_values: BTreeSet<&str> = rows.iter().map(|row| row.job.as_str()).collect();
    assert_eq!(with_values, jobs.keys().map(String::as_str).collect());
    let refrigerants: BTreeSet<&str> = jobs.values().map(|job| job.circuits[0].refrigerant.as_str()).collect();
    let expected = ["R-134a", "R-22", "R-290", "R-32", "R-407C", "R-410A", "R-454B", "R-513A"];
    assert_eq!(refrigerants, expected.into_iter().collect());
    let some = |kind: &dyn Fn(&Row) -> bool| rows.iter().any(kind);
    assert!(some(&|row| row.quantity == "valve_inlet_quality"), "nothing flashes");
    assert!(some(&|row| row.quantity.contains("flow_kg_s.") && row.value == 0.0), "no tube is sealed with oil");
    assert!(some(&|row| row.quantity == "flooded_share" && row.value > 0.1), "no coil is flooded");
    assert!(some(&|row| row.quantity == "air_share" && row.value < 0.9), "no fan slows down");
    assert!(some(&|row| row.quantity == "highest_outdoor_K"), "no cut-out trips");
    assert!(some(&|row| row.quantity == "starved"), "every valve feeds");
    assert!(some(&|row| row.quantity == "falls_to_suction"), "every point has a solution");
}

#[test]
fn a_value_beyond_the_tolerance_does_not_agree() {
    assert!(agrees("capacity_W", 100_004.0, 100_000.0));
    assert!(!agrees("capacity_W", 100_006.0, 100_000.0));
    assert!(!agrees("condensing_K", 300.006, 300.0));
    assert!(!agrees("capacity_W", f64::NAN, 100_000.0));
}
