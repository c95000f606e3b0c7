//! What a terminal obeys never reaches it from a file, a path or an argument.

#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use std::fs;

fn roofrun() -> Command {
    Command::cargo_bin("roofrun").unwrap()
}

/// Whether a text holds what a terminal obeys or what turns the direction of writing.
fn is_obeyed(text: &str) -> Option<char> {
    let turns = ['\u{61c}', '\u{200e}', '\u{200f}', '\u{2028}', '\u{2029}'];
    text.chars().find(|c| {
        (c.is_control() && *c != '\n')
            || turns.contains(c)
            || ('\u{202a}'..='\u{202e}').contains(c)
            || ('\u{2066}'..='\u{2069}').contains(c)
    })
}

/// Characters in a TOML string, none of them plain.
const HOSTILE: &str = r"\u001B[31m\u007F\u009B\u202E\u2066\u2028\u061C\u0007";

/// The yard job with a hostile title, circuit name and room.
fn job() -> String {
    let text = fs::read_to_string("examples/condenser-below.toml").unwrap();
    let title = text.lines().find(|line| line.starts_with("title = ")).unwrap();
    let name = text.lines().find(|line| line.starts_with("name = ")).unwrap();
    text.replace(title, &format!("title = \"Hall {HOSTILE}\"")).replace(name, &format!("name = \"A {HOSTILE}\""))
}

fn written_in(folder: &tempfile::TempDir, text: &str) -> String {
    let path = folder.path().join("job.toml");
    fs::write(&path, text).unwrap();
    path.display().to_string()
}

#[test]
fn titles_and_names_are_shown_and_not_obeyed() {
    let folder = tempfile::tempdir().unwrap();
    let path = written_in(&folder, &job());
    for command in [vec!["check"], vec!["check", "--format", "json"], vec!["remedy"], vec!["take-off"]]
        .into_iter()
        .chain([vec!["take-off", "--format", "csv"], vec!["size", "--all"], vec!["size", "--all", "--format", "json"]])
    {
        let out = roofrun().args(&command).arg(&path).output().unwrap();
        assert!(
            out.status.code().is_some_and(|code| code < 2),
            "{command:?}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        let text = String::from_utf8(out.stdout).unwrap();
        assert_eq!(is_obeyed(&text), None, "{command:?}");
        if command == ["check"] {
            assert!(text.starts_with(r"Hall \u{1b}[31m\u{7f}\u{9b}\u{202e}\u{2066}\u{2028}\u{61c}\u{7}"), "{text}");
        }
    }
}

#[test]
fn json_reads_back_as_it_was_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = written_in(&folder, &job());
    let out = roofrun().args(["check", &path, "--format", "json"]).output().unwrap();
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(answer["job"]["title"], "Hall \u{1b}[31m\u{7f}\u{9b}\u{202e}\u{2066}\u{2028}\u{61c}\u{7}");
}

#[test]
fn unknown_keys_paths_and_arguments_are_shown_and_not_obeyed() {
    let folder = tempfile::tempdir().unwrap();
    let bad = job().replace("[site]", &format!("[site]\n\"key{HOSTILE}\" = 1"));
    let path = written_in(&folder, &bad);
    let cases: [&[&str]; 4] =
        [&["check", &path], &["check", "no\u{9b}such\u{1b}[2J.toml"], &["\u{1b}[2J\u{202e}"], &["rules", "a\u{9b}b"]];
    for arguments in cases {
        let out = roofrun().args(arguments).output().unwrap();
        assert_eq!(out.status.code(), Some(2), "{arguments:?}");
        let text = String::from_utf8(out.stderr).unwrap();
        assert!(!text.is_empty());
        assert_eq!(is_obeyed(&text), None, "{arguments:?}: {text}");
    }
}

#[test]
fn a_title_of_two_lines_is_told_with_what_to_write() {
    let folder = tempfile::tempdir().unwrap();
    let path = written_in(&folder, &job().replace(&format!("Hall {HOSTILE}"), r"Hall\n0 failures"));
    let out = roofrun().args(["check", &path]).output().unwrap();
    let text = String::from_utf8(out.stderr).unwrap();
    assert!(text.contains("`title` is one line") && text.contains(r#"write  title = "Hall 0 failures""#), "{text}");
}

#[test]
fn a_weather_path_that_leads_elsewhere_shows_nothing_of_that_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("secret"), "root:x:0:0\n").unwrap();
    let text = fs::read_to_string("examples/condenser-below.toml").unwrap();
    let lines = text.lines().filter(|line| !line.starts_with("winter ="));
    let lines = lines.map(|line| if line.starts_with("summer =") { "weather = \"secret\"" } else { line });
    let path = written_in(&folder, &lines.collect::<Vec<_>>().join("\n"));
    let out = roofrun().args(["check", &path]).output().unwrap();
    let text = String::from_utf8(out.stderr).unwrap();
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("secret is no weather file") && !text.contains("root:"), "{text}");
}

#[test]
fn standard_input_is_bounded_and_told_by_line_and_works_for_every_command() {
    let job = fs::read("examples/to-size/plan-of-a-run.toml").unwrap();
    roofrun().args(["size", "-"]).write_stdin(job).assert().success();
    let large =
        roofrun().args(["check", "-", "--width", "120"]).write_stdin(vec![b'#'; 2 * 1024 * 1024]).output().unwrap();
    assert!(String::from_utf8_lossy(&large.stderr).contains("no more than 1 MB"));
    let foreign = roofrun()
        .args(["size", "-", "--width", "120"])
        .write_stdin(b"# one\nsummer = \"96 \xb0F\"".to_vec())
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&foreign.stderr).contains("byte 0xB0 at line 2, column 14"));
}

#[cfg(unix)]
#[test]
fn a_device_is_no_job() {
    let out = roofrun().args(["check", "/dev/zero"]).output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("a pipe or a device"));
}

/// Columns of the widest line.
fn widest(bytes: &[u8]) -> usize {
    String::from_utf8_lossy(bytes).lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn names_of_three_hundred_characters_wrap_and_messages_keep_to_the_width() {
    let folder = tempfile::tempdir().unwrap();
    let long = |name: &str| format!("\"{name}{}\"", "n".repeat(300 - name.len()));
    let names = ["1A", "1B", "filling corridor", "2-1/8 CuFe", "1-3/8 CuFe", "Bottling hall, two circuits to the roof"];
    let text = fs::read_to_string("examples/bottling-hall.toml").unwrap();
    let text = names.iter().fold(text, |text, name| text.replace(&format!("\"{name}\""), &long(name)));
    let path = written_in(&folder, &text);
    let commands: [&[&str]; 8] = [
        &["check"],
        &["check", "--full"],
        &["size", "--all"],
        &["take-off"],
        &["remedy"],
        &["site"],
        &["expect", "--outdoor", "88 F"],
        &["expect", "--outdoor", "88 F", "--circuit", "another"],
    ];
    for width in ["40", "60", "100"] {
        for command in commands {
            let out = roofrun().args(command).args([&path, "--width", width]).output().unwrap();
            let columns = width.parse().unwrap();
            let seen = (widest(&out.stdout), widest(&out.stderr));
            assert!(seen.0 <= columns && seen.1 <= columns, "{command:?} at {width}: {seen:?}");
            assert!(seen.0 + seen.1 > 0, "{command:?}");
        }
    }
}

#[test]
fn complaints_about_arguments_keep_to_the_width() {
    for arguments in [vec!["check"], vec!["nothing", &"x".repeat(300)], vec!["check", "job.toml", "--format", "csv"]] {
        let out = roofrun().args(&arguments).env("COLUMNS", "60").output().unwrap();
        assert!(widest(&out.stderr) <= 60 && widest(&out.stderr) > 0, "{arguments:?}: {}", widest(&out.stderr));
        let out = roofrun().args(&arguments).args(["--width", "44"]).output().unwrap();
        assert!(widest(&out.stderr) <= 44, "{arguments:?}: {}", widest(&out.stderr));
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_is_no_job_no_readings_and_no_weather() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let pipe = pipe.display().to_string();
    let text = fs::read_to_string("examples/condenser-below.toml").unwrap();
    let lines = text.lines().filter(|line| !line.starts_with("winter ="));
    let lines = lines.map(|line| if line.starts_with("summer =") { "weather = \"pipe\"" } else { line });
    let job = written_in(&folder, &lines.collect::<Vec<_>>().join("\n"));
    let below = "examples/condenser-below.toml";
    for arguments in
        [["check", pipe.as_str(), "--width=200"], ["site", &job, "--width=200"], ["size", &pipe, "--width=200"]]
            .into_iter()
            .map(Vec::from)
            .chain([vec!["diagnose", below, &pipe, "--width=200"]])
    {
        let out = roofrun().args(&arguments).timeout(std::time::Duration::from_secs(20)).output().unwrap();
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(2), "{arguments:?}: {told}");
        assert!(told.contains("a pipe or a device"), "{arguments:?}: {told}");
    }
}

#[test]
fn what_no_condenser_can_do_is_told_in_the_jobs_units() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string("examples/bottling-hall.toml").unwrap();
    let path = written_in(&folder, &text.replace("660 MBH", "20 MBH"));
    for (units, told, other) in [("ip", " psig", " bar"), ("si", " barg", " psi")] {
        let out = roofrun().args(["check", &path, "--units", units, "--width", "200"]).output().unwrap();
        let text = String::from_utf8([out.stdout, out.stderr].concat()).unwrap();
        assert!(text.contains("at any pressure up to") && text.contains(told) && !text.contains(other), "{text}");
        assert!(!text.contains(" Pa"), "{text}");
    }
}
