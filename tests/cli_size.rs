//! `size` on the command line: exit statuses, widths, and files that stay as they are.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn plan() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/to-size/plan-of-a-run.toml")
}

/// Exit status, standard output and standard error of a call.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn the_plan_gets_its_tube_and_the_written_job_passes() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("run.toml");
    let (plan, file) = (plan(), file.to_str().unwrap());
    let (status, out, err) = run(&["size", plan.to_str().unwrap(), "--write", file]);
    assert_eq!(status, 0, "{err}");
    assert!(out.contains("All open runs sized"), "{out}");
    assert!(err.contains("with the tubes in place"), "{err}");
    let (before, after) = (fs::read_to_string(&plan).unwrap(), fs::read_to_string(file).unwrap());
    let same = before.lines().filter(|line| !line.contains("auto") && !line.contains("rise") && !line.contains("fall"));
    assert!(same.into_iter().all(|line| after.contains(line)), "{after}");
    assert_eq!(run(&["check", file]).0, 0);
    assert_eq!(run(&["take-off", file]).0, 0);
}

#[test]
fn a_file_that_is_there_stays_unless_told() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("run.toml");
    fs::write(&file, "precious").unwrap();
    let (plan, file_name) = (plan(), file.to_str().unwrap());
    let (status, out, err) = run(&["size", plan.to_str().unwrap(), "--write", file_name]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("is there already and stays as it is"), "{err}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "precious");
    assert_eq!(run(&["size", plan.to_str().unwrap(), "--write", file_name, "--overwrite"]).0, 0);
    assert_eq!(run(&["check", file_name]).0, 0);
}

#[test]
fn a_list_without_a_size_big_enough_says_what_stands_in_the_way_and_writes_nothing() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("run.toml");
    let plan = plan();
    let (status, out, err) =
        run(&["size", plan.to_str().unwrap(), "--from", "5/8 ACR", "--write", file.to_str().unwrap()]);
    assert_eq!(status, 1, "{err}");
    assert!(out.contains("Nothing passes") && out.contains("discharge-"), "{out}");
    assert!(err.contains("was not written"), "{err}");
    assert!(!file.exists());
}

#[test]
fn limits_that_no_tube_meets_say_which_stands_in_the_way() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("strict.toml");
    let text = fs::read_to_string(plan()).unwrap();
    fs::write(&file, format!("{text}\n[limits]\ndischarge_drop = \"0.01 F\"\n")).unwrap();
    let (status, out, _) = run(&["size", file.to_str().unwrap()]);
    assert_eq!(status, 1);
    assert!(out.contains("discharge-drop") && out.contains("No tube that was tried passes every rule"), "{out}");
}

#[test]
fn a_word_that_is_no_tube_is_told() {
    let (status, _, err) = run(&["size", plan().to_str().unwrap(), "--from", "ACR,brass"]);
    assert_eq!(status, 2);
    assert!(err.contains("brass"), "{err}");
}

#[test]
fn no_line_is_wider_than_asked() {
    for width in ["60", "80", "100", "140"] {
        let (status, out, _) = run(&["size", plan().to_str().unwrap(), "--width", width]);
        assert_eq!(status, 0);
        let maximum: usize = width.parse().unwrap();
        let wide = out.lines().find(|line| line.chars().count() > maximum);
        assert_eq!(wide, None, "{width} columns");
    }
}

#[test]
fn its_json_names_every_place_with_its_tube() {
    let (status, out, _) = run(&["size", plan().to_str().unwrap(), "--format", "json"]);
    assert_eq!(status, 0);
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let circuit = &answer["circuits"][0];
    assert_eq!((&answer["format"], &circuit["found"]), (&1.into(), &true.into()));
    assert_eq!(circuit["set"].as_array().unwrap().len(), 4);
    assert!(circuit["numbers"]["copper_kg"].as_f64().unwrap() > 0.0);
    assert!(!circuit["neighbours"].as_array().unwrap().is_empty());
}

#[test]
fn a_plant_that_its_tubes_leave_short_is_told() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("short.toml");
    let text = fs::read_to_string(plan()).unwrap();
    fs::write(&file, format!("{text}\n[plant]\nload = \"30 ton\"\n")).unwrap();
    let (status, out, _) = run(&["size", file.to_str().unwrap()]);
    assert_eq!(status, 1);
    assert!(out.contains("the plant does not carry its load") && out.contains("plant-load"), "{out}");
}
