//! `site` as a person runs it: what it prints, in which form, and with which exit status.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use roofrun::rules::{Look, RULES};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use unicode_width::UnicodeWidthStr;

fn site(arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("site").args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// The examples that draw a roof or name a weather file.
fn sites() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| {
        file.extension().is_some_and(|ending| ending == "toml")
            && fs::read_to_string(file).unwrap().lines().any(|l| l == "[roof]" || l.starts_with("weather = "))
    });
    files.sort();
    assert!(files.len() >= 2, "{files:?}");
    files
}

fn answer(file: &Path) -> Value {
    let (status, out, err) = site(&[file.to_str().unwrap(), "--format", "json"]);
    assert!(status <= 1 && err.is_empty(), "{}: {err}", file.display());
    serde_json::from_str(&out).unwrap()
}

#[test]
fn the_exit_status_follows_the_verdict_and_both_forms_agree() {
    for file in sites() {
        let answer = answer(&file);
        let (status, text, _) = site(&[file.to_str().unwrap()]);
        assert_eq!(status, i32::from(answer["verdict"] == "fail"), "{}", file.display());
        let told = |word: &str| {
            text.lines().filter(|line| line.get(2..).is_some_and(|line| line.trim_start().starts_with(word))).count()
        };
        let found = |verdict: &str| {
            answer["findings"].as_array().unwrap().iter().filter(|finding| finding["verdict"] == verdict).count()
        };
        assert_eq!(told("FAILS "), found("fail"), "{text}");
        assert_eq!(told("CAUTION "), found("caution"), "{text}");
        assert_eq!(told("NOTE "), found("note"), "{text}");
    }
}

#[test]
fn every_rule_of_the_site_speaks_on_some_example_and_each_fail_has_its_remedies_and_source() {
    let answers: Vec<Value> = sites().iter().map(|file| answer(file)).collect();
    let findings: Vec<&Value> = answers.iter().flat_map(|answer| answer["findings"].as_array().unwrap()).collect();
    for rule in RULES.iter().filter(|rule| matches!(rule.look, Look::Roof(_) | Look::Year(_))) {
        assert!(findings.iter().any(|finding| finding["rule"] == rule.id), "{}", rule.id);
    }
    for finding in findings {
        assert!(finding["source"].as_str().is_some_and(|source| !source.is_empty()), "{finding}");
        assert!(finding["verdict"] != "fail" || finding["remedies"].is_array(), "{finding}");
    }
}

#[test]
fn no_line_is_longer_than_the_sheet() {
    for file in sites() {
        for width in ["40", "60", "80", "84", "100", "140", "200"] {
            let (_, text, _) = site(&[file.to_str().unwrap(), "--width", width]);
            for line in text.lines() {
                assert!(line.width() <= width.parse().unwrap(), "{width}: {line}");
                assert_eq!(line, line.trim_end());
            }
        }
    }
}

/// What a person must not miss has room on a phone too: limits that the job weakens, what the wind lifts, what stands before
/// the controls.
#[test]
fn limits_of_the_jobs_own_and_what_the_wind_lifts_are_told_at_every_width() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/roof-as-drawn.toml");
    let job = fs::read_to_string(example).unwrap() + "\n[limits]\nguard_height = \"0 in\"\nclearance_end = \"2 ft\"\n";
    let told = |arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
        let output = command.args(["site", "-"]).args(arguments).write_stdin(job.as_str()).output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    for width in ["60", "80", "140"] {
        let text = told(&["--full", "--width", width]);
        let text = text.split_whitespace().collect::<Vec<&str>>().join(" ");
        for words in [
            "CAUTION roof-edge, [limits] guard_height The job sets the limit guard_height to 0 ft in place of 3.5 ft",
            "The job's own limits",
            "clearance_end 2 ft in place of 3 ft",
            "C1 must be held down (held_down).",
            "unit controls in front which is available required",
        ] {
            assert!(text.contains(words), "{width}: {words} in {text}");
        }
    }
    let answer: Value = serde_json::from_str(&told(&["--format", "json"])).unwrap();
    let own: Vec<&Value> = answer["own_limits"].as_array().unwrap().iter().map(|own| &own["key"]).collect();
    assert_eq!(own, ["clearance_end", "guard_height"]);
    assert_eq!(answer["own_limits"][1]["default"], 1.0668);
}

#[test]
fn every_assumption_has_a_source_and_no_number_is_missing() {
    fn search(value: &Value, path: &str) {
        match value {
            Value::Null if path.ends_with("old") || path.ends_with("new") => {}
            Value::Null => panic!("{path} is null"),
            Value::Array(items) => items.iter().enumerate().for_each(|(i, item)| search(item, &format!("{path}[{i}]"))),
            Value::Object(map) => map.iter().for_each(|(key, item)| search(item, &format!("{path}.{key}"))),
            _ => {}
        }
    }
    for file in sites() {
        let answer = answer(&file);
        search(&answer, "");
        for assumption in answer["assumptions"].as_array().unwrap() {
            let source = assumption["source"].as_str().unwrap();
            assert!(roofrun::refdata::source(source).is_some(), "{source}");
        }
    }
}

#[test]
fn a_job_without_a_roof_and_without_weather_is_told_what_to_write() {
    let (status, out, err) = site(&["examples/as-drawn.toml"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("[roof]") && err.contains("weather = \"FILE\""), "{err}");
}

#[test]
fn check_says_nothing_of_what_only_the_site_assumes() {
    for file in sites() {
        let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
        let output = command.arg("check").arg(&file).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(matches!(output.status.code(), Some(0 | 1)) && text.len() > 1_000, "{}", file.display());
        assert!(!text.contains("plant.profile") && !text.contains(" roof."), "{text}");
    }
}
