//! Remedies of the drain and of the valve of flooding, written into the file and read again.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use roofrun::job::{self, Job};
use roofrun::remedies::{Change, differences, edits, remedies, whole};
use roofrun::rules::{Finding, Verdict, check_all};
use roofrun::survey::{Survey, survey};
use std::path::Path;

const HALL: &str = include_str!("../examples/bottling-hall.toml");
const RECEIVER: &str = r#"  { part = "receiver", style = "surge", volume = "4 ft3", shell = { diameter = "12 in", length = "5 ft 2 in" }, stop_valves = true },"#;

/// The bottling hall with other runs in the place of both receivers, and other head control.
fn hall(runs: &str, control: &str) -> String {
    let fans = r#"head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.05 }"#;
    assert!(HALL.contains(RECEIVER) && HALL.contains(fans));
    HALL.replace(RECEIVER, runs)
        .replace(fans, control)
        .replace("elevation = \"38 ft\"", "elevation = \"38 ft\"\ncoils = 1")
}

fn looked(text: &str) -> (Job, Survey, Vec<Finding>) {
    let job = job::read("hall.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"));
    let survey = survey(&job).unwrap();
    let findings = check_all(&job, &survey);
    (job, survey, findings)
}

fn fails(findings: &[Finding], rule: &str) -> usize {
    findings.iter().filter(|finding| finding.rule == rule && finding.verdict == Verdict::Fail).count()
}

/// That a rule fails in both circuits, and that what is written for it mends it: for one finding, and for all.
fn is_mended(text: &str, rule: &str) -> String {
    let (job, survey, findings) = looked(text);
    assert_eq!(fails(&findings, rule), 2, "{findings:#?}");
    let each = remedies(&job, &survey, &findings);
    let first = findings.iter().zip(&each).find(|(finding, _)| finding.rule == rule).unwrap().1;
    let first = first.first().unwrap_or_else(|| panic!("no remedy of {rule}"));
    let mended = job::edit(text, &edits(&job, text, &first.changes)).unwrap();
    assert_eq!(fails(&looked(&mended).2, rule), 1, "{mended}");
    let whole = whole(&job, &survey, &findings).unwrap();
    let mended = job::edit(text, &edits(&job, text, &whole.changes)).unwrap();
    assert_eq!(fails(&looked(&mended).2, rule), 0, "{mended}");
    mended
}

const FANS: &str = r#"head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.05 }"#;
const FLOODING: &str = r#"head_control = { by = "flooding", setpoint = "85 F" }"#;

#[test]
fn a_narrow_drain_becomes_wide() {
    let text = hall(&format!("  {{ drop = \"2 ft\" }},\n{RECEIVER}"), FANS);
    let mended = is_mended(&text.replace("{ drop = \"38 ft\"", "{ drop = \"36 ft\""), "drain");
    assert!(mended.contains("drop = \"2 ft\", tube = \"2-"), "{mended}");
}

#[test]
fn a_receiver_above_the_coil_is_moved_before_the_climb() {
    let text = hall(&format!("  {{ rise = \"4 ft\", tube = \"2-1/8 CuFe\" }},\n{RECEIVER}"), FANS);
    let mended = is_mended(&text.replace("{ drop = \"38 ft\"", "{ drop = \"42 ft\""), "drain");
    let (receiver, climb) = (mended.find("\"receiver\"").unwrap(), mended.find("rise = \"4 ft\"").unwrap());
    assert!(receiver < climb, "{mended}");
}

#[test]
fn flooding_gets_its_valve_and_its_bypass() {
    let mended = is_mended(&hall(RECEIVER, FLOODING), "head-valve");
    assert!(mended.matches("bypass = true").count() == 2 && mended.contains("head-pressure valve"), "{mended}");
    let valve = format!("  {{ part = \"head-pressure valve\", pressure_drop = \"1 psi\" }},\n{RECEIVER}");
    let mended = is_mended(&hall(&valve, FLOODING), "head-valve");
    assert_eq!(mended.matches("head-pressure valve").count(), 2, "{mended}");
}

#[test]
fn parts_that_stand_elsewhere_are_moved_with_all_that_is_theirs() {
    let job = job::read("hall.toml", HALL, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"));
    let mut changed = job.circuits[0].clone();
    let check = changed.discharge.runs.remove(3);
    changed.discharge.runs.insert(1, check);
    // The receiver to the first fall, the solenoid valve to the end.
    let (receiver, solenoid) = (changed.liquid.runs.remove(0), changed.liquid.runs.remove(4));
    changed.liquid.runs.insert(1, receiver);
    changed.liquid.runs.push(solenoid);
    let changes = differences(0, &job.circuits[0], &changed);
    assert_eq!(changes.len(), 3, "{changes:#?}");
    assert!(changes.iter().all(|change| matches!(change, Change::Moved(..))), "{changes:#?}");
    let text = job::edit(HALL, &edits(&job, HALL, &changes)).unwrap();
    let again = job::read("hall.toml", &text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    let of = |circuit: &job::Circuit| {
        let runs = [&circuit.discharge.runs, &circuit.liquid.runs].into_iter().flatten();
        runs.map(|run| format!("{:?} {:?}", run.path, run.tubes)).collect::<Vec<_>>()
    };
    assert_eq!(of(&again.circuits[0]), of(&changed), "{text}");
}
