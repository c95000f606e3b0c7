//! The schemas against every job, every file of readings and every answer of the project, and against mistakes that a schema can
//! see.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use assert_cmd::Command;
use jsonschema::Validator;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

fn roofrun(arguments: &[&str]) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).args(arguments).output().unwrap();
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{output:?}"))
}

fn validator(what: &str) -> Validator {
    let schema = roofrun(&["schema", what]);
    jsonschema::meta::validate(&schema).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

/// The keys that a schema requires of an answer: its own, or those of the alternative that the answer is of.
fn required<'a>(schema: &'a Value, answer: &Value) -> Vec<&'a str> {
    let keys = |of: &'a Value| -> Vec<&'a str> {
        of["required"].as_array().into_iter().flatten().filter_map(Value::as_str).collect()
    };
    let alternatives = schema["anyOf"].as_array().into_iter().flatten();
    let meant = |one: &'a Value| one["$ref"].as_str().map_or(one, |at| schema.pointer(&at[1..]).unwrap());
    let has = |keys: &Vec<&str>| !keys.is_empty() && keys.iter().all(|key| answer.get(key).is_some());
    std::iter::once(schema).chain(alternatives.map(meant)).map(keys).find(has).unwrap_or_default()
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

/// Every answer that there is as JSON: a command, and its arguments.
fn answers() -> Vec<(&'static str, Vec<String>)> {
    let of = |what: &'static str, arguments: &[&str]| (what, arguments.iter().map(ToString::to_string).collect());
    let mut all = vec![
        of("state", &["R-454B", "--temperature", "100 F"]),
        of("state", &["R-410A", "--temperature", "170 F", "--pressure", "412 psig"]),
        of("state", &["R-410A", "--temperature", "70 F", "--pressure", "412 psig"]),
        of("diagnose", &["examples/bottling-hall.toml", "examples/readings/high-head.toml"]),
        of("diagnose", &["examples/bottling-hall.toml", "examples/readings/hot-afternoons.csv", "--circuit", "1A"]),
        of("expect", &["examples/bottling-hall.toml", "--circuit", "1A", "--outdoor", "60 F", "--outdoor", "88 F"]),
    ];
    for job in files(&["examples"]) {
        let text = fs::read_to_string(&job).unwrap();
        let job = job.display().to_string();
        all.extend(["check", "remedy", "take-off"].map(|what| of(what, &[&job])));
        if text.contains("\n[roof]") || text.contains("\nweather = ") {
            all.push(of("site", &[&job]));
        }
    }
    for job in files(&["examples/to-size"]) {
        all.push(of("size", &[&job.display().to_string()]));
    }
    all.push(of("size", &["examples/as-drawn.toml", "--all", "--from", "L"]));
    all
}

/// With no keys but those that it describes.
fn closed(schema: &mut Value) {
    match schema {
        Value::Object(keys) => {
            if keys.contains_key("properties") {
                keys.insert("additionalProperties".to_owned(), false.into());
            }
            keys.values_mut().for_each(closed);
        }
        Value::Array(all) => all.iter_mut().for_each(closed),
        _ => {}
    }
}

/// The pointer to every value below, the first of those in a list.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut below = |key: &str, value: &Value| {
        let at = format!("{at}/{}", key.replace('~', "~0").replace('/', "~1"));
        found.push(at.clone());
        pointers(value, &at, found);
    };
    match value {
        Value::Object(keys) => keys.iter().for_each(|(key, value)| below(key, value)),
        Value::Array(all) => all.iter().take(1).for_each(|value| below("0", value)),
        _ => {}
    }
}

#[test]
fn every_answer_has_its_schema_which_names_every_key_and_sees_every_wrong_type() {
    let answers = answers();
    for what in ["check", "remedy", "site", "size", "take-off", "state", "diagnose", "expect"] {
        let mut schema = roofrun(&["schema", what]);
        let open = validator(what);
        closed(&mut schema);
        let strict = jsonschema::validator_for(&schema).unwrap();
        let mut seen = 0;
        for (_, arguments) in answers.iter().filter(|(of, _)| *of == what) {
            let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
            let mut answer = roofrun(&[&[what], arguments.as_slice(), &["--format", "json"]].concat());
            let wrong: Vec<String> =
                strict.iter_errors(&answer).map(|error| format!("{}: {error}", error.instance_path())).collect();
            assert!(wrong.is_empty(), "{what} {arguments:?}: {wrong:#?}");
            let mut all = Vec::new();
            pointers(&answer, "", &mut all);
            // What stood and is to stand in a file may be anything.
            all.retain(|at| !at.split('/').any(|key| key == "old" || key == "new"));
            for at in &all {
                let place = answer.pointer_mut(at).unwrap();
                let other = if place.is_string() { true.into() } else { "a word".into() };
                let right = std::mem::replace(place, other);
                assert!(!open.is_valid(&answer), "{what} {arguments:?}: another type at {at}");
                *answer.pointer_mut(at).unwrap() = right;
            }
            seen += all.len();
            let keys: Vec<String> = answer.as_object().unwrap().keys().cloned().collect();
            let removed = keys.iter().filter(|key| required(&schema, &answer).contains(&key.as_str())).map(|key| {
                let mut without = answer.clone();
                without.as_object_mut().unwrap().shift_remove(key);
                assert!(!open.is_valid(&without), "{what} without {key}");
            });
            assert!(removed.count() > 2, "{what}");
            answer["a key of a later version"] = 1.into();
            assert!(open.is_valid(&answer) && !strict.is_valid(&answer), "{what}: keys are added, none is unknown");
        }
        assert!(seen > 5, "{what}: {seen}");
    }
}
