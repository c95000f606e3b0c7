//! The JSON of `check` keeps its format and agrees with itself.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// The answers to all examples, each with its name.
fn answers() -> Vec<(String, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut jobs: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    jobs.retain(|job| job.extension().is_some_and(|ending| ending == "toml"));
    jobs.sort();
    jobs.iter()
        .map(|job| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
            let output = command.arg("check").arg(job).args(["--format", "json"]).output().unwrap();
            let name = job.file_name().unwrap().to_str().unwrap().to_owned();
            (name, serde_json::from_slice(&output.stdout).unwrap())
        })
        .collect()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    value[key].as_array().unwrap_or_else(|| panic!("{key} in {value}"))
}

fn close(a: f64, b: f64, relative: f64, what: &str) {
    let size = a.abs().max(b.abs()).max(1e-9);
    assert!((a - b).abs() <= relative * size, "{what}: {a} against {b}");
}

fn has_keys(value: &Value, keys: &str) {
    for key in keys.split_whitespace() {
        assert!(value.get(key).is_some(), "{key} in {value}");
    }
}

#[test]
fn every_key_of_the_format_is_there() {
    for (name, answer) in answers() {
        has_keys(&answer, "format tool job verdict circuits findings assumptions");
        has_keys(&answer["job"], "title file");
        assert_eq!(answer["format"], 1, "{name}");
        let worst = list(&answer, "findings").iter().map(|finding| {
            ["pass", "not judged", "note", "caution", "fail"]
                .iter()
                .position(|verdict| finding["verdict"] == *verdict)
                .unwrap()
        });
        assert_eq!(
            answer["verdict"],
            ["pass", "not judged", "note", "caution", "fail"][worst.max().unwrap()],
            "{name}"
        );
        for finding in list(&answer, "findings") {
            has_keys(finding, "rule verdict says source");
        }
        for assumption in list(&answer, "assumptions") {
            has_keys(assumption, "key value unit why source");
            let source = assumption["source"].as_str().unwrap();
            assert!(roofrun::refdata::source(source).is_some(), "{name}: {source}");
        }
        for circuit in list(&answer, "circuits") {
            has_keys(circuit, "name refrigerant points tubes");
            for tube in list(circuit, "tubes") {
                has_keys(tube, "size material outside_m wall_m bore_m source");
            }
            for point in list(circuit, "points") {
                has_keys(
                    point,
                    "name outdoor_K air_on_K compressor_share bypass_share evaporating_K condensing_K capacity_W power_W \
                     rejection_W mass_flow_kg_s state discharge_line liquid_line",
                );
                has_keys(&point["state"], "suction discharge condenser_inlet condenser_outlet valve_inlet");
                for line in ["discharge_line", "liquid_line"] {
                    has_keys(
                        &point[line],
                        "flow_kg_s heat_W length_m equivalent_length_m rise_m friction_Pa parts_Pa static_Pa \
                         pressure_drop_Pa saturation_drop_K runs",
                    );
                    for run in list(&point[line], "runs") {
                        has_keys(run, "index path length_m equivalent_length_m tubes friction_Pa static_Pa out");
                        has_keys(&run["out"], "pressure_Pa temperature_K density_kg_m3 enthalpy_J_kg viscosity_Pa_s");
                        for pipe in list(run, "tubes") {
                            has_keys(pipe, "size bore_m flow_kg_s velocity_m_s reynolds friction_factor");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn there_is_no_null_in_any_answer() {
    fn search(value: &Value, path: &str) {
        match value {
            // What stood or is to stand in a file may be nothing.
            Value::Null if matches!(path.rsplit('.').next(), Some("old" | "new")) => {}
            Value::Null => panic!("null at {path}"),
            Value::Array(items) => items.iter().for_each(|item| search(item, path)),
            Value::Object(keys) => keys.iter().for_each(|(key, value)| search(value, &format!("{path}.{key}"))),
            _ => {}
        }
    }
    for (name, answer) in answers() {
        search(&answer, &name);
    }
}

#[test]
fn lines_and_balances_add_up() {
    let mut checked = 0;
    for (name, answer) in answers() {
        for circuit in list(&answer, "circuits") {
            for point in list(circuit, "points") {
                let what = format!("{name}, circuit {}, {}", circuit["name"], point["name"]);
                let states = &point["state"];
                for (line, inlet, outlet) in [
                    ("discharge_line", "discharge", "condenser_inlet"),
                    ("liquid_line", "condenser_outlet", "valve_inlet"),
                ] {
                    let values = &point[line];
                    let drop = number(values, "pressure_drop_Pa");
                    let parts: f64 =
                        ["friction_Pa", "parts_Pa", "static_Pa"].map(|key| number(values, key)).iter().sum();
                    close(parts, drop, 1e-6, &format!("{what}, {line}: friction, parts and static"));
                    let ends = number(&states[inlet], "pressure_Pa") - number(&states[outlet], "pressure_Pa");
                    assert!((ends - drop).abs() <= 1.0, "{what}, {line}: ends {ends} against {drop}");
                    let runs: f64 = list(values, "runs")
                        .iter()
                        .map(|run| number(run, "friction_Pa") + number(run, "static_Pa"))
                        .sum();
                    close(runs, drop, 1e-6, &format!("{what}, {line}: the runs"));
                    let lengths: f64 = list(values, "runs").iter().map(|run| number(run, "length_m")).sum();
                    close(lengths, number(values, "length_m"), 1e-9, &format!("{what}, {line}: lengths"));
                }
                let flow = number(point, "mass_flow_kg_s");
                let bypass = number(point, "bypass_share");
                let enthalpy = |state: &str| number(&states[state], "enthalpy_J_kg");
                let capacity = flow * enthalpy("suction")
                    - (1.0 - bypass) * flow * enthalpy("valve_inlet")
                    - bypass * flow * enthalpy("discharge");
                close(capacity, number(point, "capacity_W"), 5e-4, &format!("{what}: capacity"));
                let rejection = (1.0 - bypass) * flow * (enthalpy("condenser_inlet") - enthalpy("condenser_outlet"));
                close(rejection, number(point, "rejection_W"), 5e-4, &format!("{what}: rejection"));
                let left = number(point, "rejection_W")
                    + number(&point["discharge_line"], "heat_W")
                    + number(&point["liquid_line"], "heat_W");
                close(number(point, "capacity_W") + number(point, "power_W"), left, 1e-3, &format!("{what}: heat"));
                checked += 1;
            }
            if let Some(derating) = circuit.get("derating") {
                let steps: f64 = list(derating, "steps").iter().map(|step| number(step, "change_W")).sum();
                let change = number(derating, "at_design_W") - number(derating, "rated_W");
                assert!(
                    (steps - change).abs() < 1e-6 * number(derating, "rated_W"),
                    "{name}: {steps} against {change}"
                );
            }
        }
    }
    assert!(checked >= 25, "{checked} points");
}
