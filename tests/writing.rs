//! A file that was required is written whole or not at all.

#![expect(clippy::unwrap_used, reason = "a test may fail")]
#![cfg(unix)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const JOB: &str = "examples/as-drawn.toml";

/// Writes the remedied job over what stands at `target`, after a shell command that takes something away.
fn remedy_after(before: &str, target: &Path) -> Output {
    let program = assert_cmd::cargo::cargo_bin("roofrun");
    let script = format!("{before}; exec \"$0\" remedy {JOB} --write \"$1\" --overwrite > /dev/null");
    Command::new("sh").args(["-c", &script]).arg(program).arg(target).output().unwrap()
}

fn standing(folder: &tempfile::TempDir) -> PathBuf {
    let target = folder.path().join("hall.toml");
    fs::write(&target, "what stands").unwrap();
    target
}

fn names(folder: &tempfile::TempDir) -> Vec<String> {
    fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn a_full_disk_leaves_what_stands_and_nothing_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let target = standing(&folder);
    // No file may grow, and the signal that says so is not heard: a write fails as on a full disk.
    let out = remedy_after("trap '' XFSZ; ulimit -f 0", &target);
    assert_eq!(out.status.code(), Some(2), "{out:?}");
    assert!(String::from_utf8_lossy(&out.stderr).contains("can't be written"), "{out:?}");
    assert_eq!(fs::read_to_string(&target).unwrap(), "what stands");
    assert_eq!(names(&folder), ["hall.toml"]);
}

#[test]
fn a_kill_while_it_writes_leaves_what_stands() {
    let folder = tempfile::tempdir().unwrap();
    let target = standing(&folder);
    // The first byte that is written kills the program.
    let out = remedy_after("ulimit -f 0", &target);
    assert_eq!(out.status.code(), None, "{out:?}");
    assert_eq!(fs::read_to_string(&target).unwrap(), "what stands");
}

#[test]
fn a_folder_that_may_not_be_written_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let out = remedy_after("true", &folder.path().join("no such folder/hall.toml"));
    assert_eq!(out.status.code(), Some(2), "{out:?}");
    assert!(String::from_utf8_lossy(&out.stderr).contains("can't be written"), "{out:?}");
}
