//! The first screen alone, 24 lines of 80 columns, says what fails, what to do and who decides: of every example and of jobs that fail.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};
use serde_json::Value;
use std::fs;
use std::path::Path;

const LINES: usize = 24;

/// Examples with that written in place of this, wherever it stands, and the command that must tell what fails.
const FAILING: [(&str, &str, &[[&str; 2]]); 12] = [
    ("check", "bottling-hall", &[["tube = \"1-3/8 CuFe\"", "tube = \"5/8 ACR\""]]),
    ("check", "bottling-hall", &[["tube = \"2-1/8 CuFe\"", "tube = \"3-1/8 ACR\""]]),
    (
        "check",
        "bottling-hall",
        &[["minimum_air = 0.05", "minimum_air = 0.4"], ["winter = \"2 F\"", "winter = \"-30 F\""]],
    ),
    ("check", "bottling-hall", &[["volume = \"9500 ft3\"", "volume = \"500 ft3\""], ["660 MBH", "430 MBH"]]),
    (
        "check",
        "condenser-below",
        &[
            ["{ rise = \"16 ft\",", "{ rise = \"62 ft\","],
            ["-14 ft", "-60 ft"],
            ["drop = \"14 ft\"", "drop = \"60 ft\""],
        ],
    ),
    ("check", "condenser-below", &[["volume = \"4 ft3\"", "volume = \"0.8 ft3\""], ["250 psig", "600 psig"]]),
    ("check", "plant-of-twelve", &[["load = \"190 ton\"", "load = \"260 ton\""]]),
    ("check", "plant-of-twelve", &[["rise = \"36 ft\", trap = [\"20 ft\"]", "rise = \"36 ft\", tube = \"3-5/8 ACR\""]]),
    ("check", "long-run-si", &[["54 x 2", "28 x 1"], ["35 x 1.5", "15 x 1"]]),
    (
        "check",
        "long-run-si",
        &[["winter = \"-12 °C\"", "winter = \"-45 °C\""], ["machinery_room = true", "machinery_room = false"]],
    ),
    (
        "site",
        "roof-and-year",
        &[["allowed = \"400 kg\"", "allowed = \"200 kg\""], ["night_limit = \"45 dBA\"", "night_limit = \"30 dBA\""]],
    ),
    ("site", "roof-and-year", &[["load = \"180 kW\"", "load = \"320 kW\""]]),
];

fn roofrun(arguments: &[&str]) -> (i32, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).args(arguments).output().unwrap();
    assert!(output.stderr.is_empty(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Its first screen, at 80 columns, after its failing rules, from the answer for programs, are found there.
fn tells(command: &str, job: &str) -> i32 {
    let (status, text) = roofrun(&[command, job, "--width", "80"]);
    let screen: Vec<&str> = text.lines().take(LINES).collect();
    let joined = screen.join("\n");
    assert!(screen.iter().any(|line| line.starts_with("A check, not an approval")), "{command} {job}\n{joined}");
    assert!(screen.iter().take(3).any(|line| line.contains(" failure") || line.contains("No failures")), "{joined}");
    assert!(text.lines().any(|line| line.starts_with("--full adds ")), "{text}");
    let answer: Value = serde_json::from_str(&roofrun(&[command, job, "--format", "json"]).1).unwrap();
    let findings = answer["findings"].as_array().unwrap();
    let fails = findings.iter().filter(|finding| finding["verdict"] == "fail");
    let rules: Vec<&str> = fails.map(|finding| finding["rule"].as_str().unwrap()).collect();
    assert_eq!(status, i32::from(!rules.is_empty()), "{command} {job}");
    let more = joined.contains(" more, below");
    for rule in &rules {
        let row = screen.iter().any(|line| line.split_whitespace().nth(1) == Some(rule));
        assert!(row || more, "{command} {job}: {rule}\n{joined}");
    }
    assert!(
        rules.is_empty() || screen.iter().any(|line| line.starts_with(" 1 ") || line.starts_with("1 ")),
        "{joined}"
    );
    assert!(
        rules.is_empty() || ["(roofrun remedy)", "none found"].iter().any(|said| words(&joined).contains(said)),
        "{command} {job}: what to do\n{joined}"
    );
    status
}

/// The examples by name, with what can be asked of them.
fn examples() -> Vec<(&'static str, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut asked = Vec::new();
    for file in files.filter(|file| file.extension().is_some_and(|ending| ending == "toml")) {
        let job = file.to_str().unwrap().to_owned();
        let text = fs::read_to_string(&file).unwrap();
        if text.contains("\n[roof]") || text.contains("\nweather = ") {
            asked.push(("site", job.clone()));
        }
        asked.push(("check", job));
    }
    asked
}

#[test]
fn the_first_screen_of_every_example_says_what_to_do() {
    let all = examples();
    assert!(all.len() > 8, "{all:?}");
    all.par_iter().for_each(|(command, job)| {
        tells(command, job);
    });
}

#[test]
fn the_first_screen_of_a_job_that_fails_says_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    FAILING.par_iter().enumerate().for_each(|(number, (command, example, edits))| {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(format!("{example}.toml"));
        let mut text = fs::read_to_string(file).unwrap();
        for [from, to] in *edits {
            assert!(text.contains(from), "{example}: {from}");
            text = text.replace(from, to);
        }
        let weather = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather");
        text = text.replace("../tests/data/weather", weather.to_str().unwrap());
        let job = folder.path().join(format!("{number}.toml"));
        fs::write(&job, text).unwrap();
        assert_eq!(tells(command, job.to_str().unwrap()), 1, "{example}: {edits:?} fails");
    });
}

/// How long an answer is in all, with some room for what rules add.
#[test]
fn answers_are_as_short_as_they_can_be() {
    for (job, most) in [("as-drawn", 74), ("plant-of-twelve", 45), ("condenser-below", 30)] {
        let lines = roofrun(&["check", &format!("examples/{job}.toml"), "--width", "80"]).1.lines().count();
        assert!(lines <= most, "{job}: {lines}");
    }
}
