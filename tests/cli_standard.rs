//! `-` is standard input or output wherever a file stands.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use std::fs;
use std::path::Path;

const HALL: &str = "examples/bottling-hall.toml";
const READINGS: &str = "examples/readings/high-head.toml";

fn file(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// Exit status, standard output and standard error.
fn run(call: &str, input: Option<&str>) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(call.split(' '));
    if let Some(text) = input {
        command.write_stdin(text);
    }
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn what_comes_from_standard_input_is_answered_as_from_a_file() {
    for (call, path) in [
        ("check {}", HALL),
        ("check {} --format json", "examples/as-drawn.toml"),
        ("remedy {}", "examples/as-drawn.toml"),
        ("size {}", "examples/to-size/plan-of-a-run.toml"),
        ("site {}", "examples/roof-as-drawn.toml"),
        ("take-off {}", HALL),
        ("expect {} --circuit 1A --outdoor 88F", HALL),
        ("diagnose {} examples/readings/high-head.toml", HALL),
        ("diagnose examples/bottling-hall.toml {}", READINGS),
        ("draw {} --circuit 1A", HALL),
        ("draw examples/bottling-hall.toml --what read --readings {}", READINGS),
    ] {
        let (status, out, err) = run(&call.replace("{}", path), None);
        assert!(status < 2 && !out.is_empty(), "{call}: {err}");
        let (same, piped, err) = run(&call.replace("{}", "-"), Some(&file(path)));
        assert_eq!(same, status, "{call}: {err}");
        assert_eq!(piped.replace("standard input", path), out, "{call}");
    }
}

#[test]
fn a_file_that_is_written_goes_to_standard_output_alone() {
    let (status, drawn, err) = run("draw - --circuit 1A --out -", Some(&file(HALL)));
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(drawn, run("draw - --circuit 1A", Some(&file(HALL))).1);
    let (status, started, err) = run("new -", None);
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(started, run("new", None).1);
    assert_eq!(run("check -", Some(&started)).0, 0, "the job to start from passes");
    let (status, changed, err) = run("remedy - --write -", Some(&file("examples/as-drawn.toml")));
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(run("check -", Some(&changed)).0, 0, "{changed}");
    let (status, sized, err) = run("size - --write -", Some(&file("examples/to-size/plan-of-a-run.toml")));
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(!sized.contains("\"auto\"") && run("check -", Some(&sized)).0 == 0, "{sized}");
    assert!(!Path::new(env!("CARGO_MANIFEST_DIR")).join("-").exists(), "no file has that name");
}

#[test]
fn one_standard_input_is_not_two_files() {
    let (status, out, err) = run("diagnose - -", Some(&file(HALL)));
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("standard input"), "{err}");
}
