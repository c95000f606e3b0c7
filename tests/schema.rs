//! The schemas against every job and every file of readings of the project, and against mistakes that a schema can see.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use assert_cmd::Command;
use jsonschema::Validator;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

fn validator(what: &str) -> Validator {
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).args(["schema", what]).output().unwrap();
    let schema: Value = serde_json::from_slice(&output.stdout).unwrap();
    jsonschema::meta::validate(&schema).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

fn json(text: &str) -> Value {
    serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap()
}

fn files(folders: &[&str]) -> Vec<PathBuf> {
    let entries = folders.iter().flat_map(|folder| fs::read_dir(folder).unwrap());
    let files = entries.map(|entry| entry.unwrap().path());
    files.filter(|path| path.extension().is_some_and(|extension| extension == "toml")).collect()
}

#[test]
fn every_job_and_every_reading_is_valid() {
    let mut jobs = files(&["examples", "examples/to-size", "tests/data", "tests/recomputed/jobs"]);
    // A part of a job, put behind one.
    jobs.retain(|path| !path.ends_with("data/roof.toml"));
    assert!(jobs.len() > 15, "{jobs:?}");
    for (what, files) in [("job", jobs), ("readings", files(&["examples/readings"]))] {
        let schema = validator(what);
        assert!(!files.is_empty());
        for file in files {
            let text = json(&fs::read_to_string(&file).unwrap());
            let wrong: Vec<String> = schema.iter_errors(&text).map(|error| error.to_string()).collect();
            assert!(wrong.is_empty(), "{}: {wrong:#?}", file.display());
        }
    }
}

#[test]
fn the_starter_is_valid() {
    let starter = Command::new(env!("CARGO_BIN_EXE_roofrun")).arg("new").output().unwrap();
    let starter = json(&String::from_utf8(starter.stdout).unwrap());
    assert!(validator("job").is_valid(&starter));
}

#[test]
fn what_the_reader_refuses_by_its_keys_the_schema_refuses() {
    let schema = validator("job");
    let hall = fs::read_to_string("examples/bottling-hall.toml").unwrap();
    assert!(schema.is_valid(&json(&hall)));
    for (right, wrong) in [
        ("setpoint = ", "hold = "),
        ("elevation = \"", "elevation = 38 #\""),
        ("kind = \"electronic\"", "kind = \"electric\""),
        ("count = 2", "count = \"2\""),
        ("count = 2", "count = 0"),
        ("name = \"1A\"", "nam = \"1A\""),
        ("[circuit.evaporator]", "[circuit.evaporater]"),
        ("units = \"ip\"", "units = \"us\""),
    ] {
        let text = hall.replacen(right, wrong, 1);
        assert_ne!(text, hall, "{right}");
        assert!(!schema.is_valid(&json(&text)), "{wrong}");
    }
}
