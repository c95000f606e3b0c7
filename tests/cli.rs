//! The commands as a person runs them: what they print, where, and with which exit status.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use unicode_width::UnicodeWidthStr;

fn roofrun() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    command
}

/// Exit status, standard output and standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    outcome(roofrun().args(arguments))
}

fn outcome(command: &mut Command) -> (i32, String, String) {
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// The examples, by path.
fn examples() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    assert!(!files.is_empty());
    files.iter().map(|file| file.to_str().unwrap().to_owned()).collect()
}

/// One call of every command that prints a result.
fn calls() -> Vec<Vec<String>> {
    let mut calls: Vec<Vec<String>> = [
        "rules",
        "rules oil-riser",
        "state R-454B",
        "state R-454B --units si",
        "state R-410A --temperature 49C",
        "state R-454B --pressure 412psig",
        "state R-454B --temperature 200F --pressure 412psig",
        "list tubes",
        "list fittings",
        "list parts",
        "list refrigerants",
        "list sources",
        "list limits",
        "list limits --units si",
    ]
    .iter()
    .map(|call| call.split(' ').map(str::to_owned).collect())
    .collect();
    for job in ["as-drawn", "long-run-si"] {
        calls.push(vec!["check".to_owned(), format!("examples/{job}.toml")]);
        calls.push(vec!["take-off".to_owned(), format!("examples/{job}.toml")]);
    }
    calls
}

#[test]
fn no_line_is_longer_than_the_width() {
    for call in calls() {
        for width in [40, 60, 80, 100, 140, 200] {
            let (status, out, err) = outcome(roofrun().args(&call).args(["--width", &width.to_string()]));
            assert!(status < 2, "{call:?}: {err}");
            assert!(!out.trim().is_empty(), "{call:?} prints nothing");
            for line in out.lines() {
                assert!(line.width() <= width, "{call:?} at {width}: {} columns\n{line}", line.width());
                assert_eq!(line, line.trim_end(), "{call:?} at {width}: blanks at the end");
            }
        }
    }
}

#[test]
fn every_example_fits_a_phone() {
    for job in examples() {
        let out = run(&["check", &job, "--width", "60"]).1;
        for line in out.lines() {
            assert!(line.width() <= 60, "{job}: {} columns\n{line}", line.width());
        }
    }
}

#[test]
fn a_pipe_has_the_columns_that_the_shell_says_else_eighty() {
    for call in calls() {
        let plain = outcome(roofrun().args(&call)).1;
        let asked = outcome(roofrun().args(&call).args(["--width", "80"])).1;
        let columns = outcome(roofrun().args(&call).env("COLUMNS", "47")).1;
        let narrow = outcome(roofrun().args(&call).args(["--width", "47"])).1;
        assert_eq!(plain, asked);
        assert_eq!(narrow, columns);
    }
}

#[test]
fn colour_only_repeats_the_words() {
    for call in calls() {
        let plain = outcome(roofrun().args(&call)).1;
        assert!(!plain.contains('\u{1b}'), "{call:?}: colour in a pipe");
        let coloured = outcome(roofrun().args(&call).env("CLICOLOR_FORCE", "1")).1;
        assert!(coloured.contains('\u{1b}'), "{call:?}: no colour where it is required");
        assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), plain);
        let quiet = outcome(roofrun().args(&call).env("CLICOLOR_FORCE", "1").env("NO_COLOR", "1")).1;
        assert_eq!(quiet, plain, "{call:?}: NO_COLOR");
    }
}

#[test]
fn a_reader_that_goes_away_is_no_trouble() {
    let mut calls = calls();
    calls.push(vec!["new".to_owned()]);
    calls.push(vec!["--help".to_owned()]);
    for call in calls {
        let whole = outcome(roofrun().args(&call));
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_roofrun"))
            .args(&call)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{call:?}");
        assert_eq!(output.status.code(), Some(whole.0), "{call:?}");
    }
}

#[test]
fn help_reads_like_help() {
    for command in ["", "check", "new", "rules", "state", "list"] {
        let call: Vec<&str> = [command, "--help"].into_iter().filter(|word| !word.is_empty()).collect();
        let (status, out, err) = run(&call);
        assert_eq!((status, err.as_str()), (0, ""), "{call:?}");
        assert!(out.contains("Examples:\n  roofrun "), "{call:?}: {out}");
        for line in out.lines() {
            assert!(line.width() <= 100, "{call:?}: {line}");
        }
    }
}

#[test]
fn every_example_in_the_help_can_be_run() {
    for command in ["", "check", "site", "take-off", "rules", "state", "list", "diagnose", "expect"] {
        let call: Vec<&str> = [command, "--help"].into_iter().filter(|word| !word.is_empty()).collect();
        let help = run(&call).1;
        let folder = tempfile::tempdir().unwrap();
        outcome(roofrun().current_dir(&folder).args(["new", "hall.toml"]));
        let starter = fs::read_to_string(folder.path().join("hall.toml")).unwrap();
        let open = starter.replace("tube = \"2-1/8 CuFe\"", "tube = \"auto\"");
        assert_ne!(open, starter);
        fs::write(folder.path().join("plan.toml"), open).unwrap();
        // The roof that the starter explains, drawn.
        let (drawn, roof) = starter.split_once("# [roof]").unwrap();
        let roof: Vec<&str> = roof.lines().map(|line| line.trim_start_matches("# ")).collect();
        fs::write(folder.path().join("hall.toml"), format!("{drawn}[roof]{}", roof.join("\n"))).unwrap();
        let complaint = fs::read_to_string("examples/readings/high-head.toml").unwrap();
        fs::write(folder.path().join("readings.toml"), complaint.replace("circuit = \"1A\"\n", "")).unwrap();
        let trend = fs::read_to_string("examples/readings/hot-afternoons.csv").unwrap();
        fs::write(folder.path().join("trend.csv"), trend).unwrap();
        for name in ["tower.toml", "old.toml", "new.toml"] {
            fs::copy(folder.path().join("hall.toml"), folder.path().join(name)).unwrap();
        }
        fs::write(folder.path().join("what.toml"), "[columns]\n\"Alarm\" = \"-\"\n").unwrap();
        let mut ran = 0;
        for line in help.lines().filter_map(|line| line.strip_prefix("  roofrun ")) {
            let example = line.split("   ").next().unwrap();
            if example.contains(['|', '>', '<']) || example.starts_with("new") {
                continue;
            }
            let (status, _, err) = outcome(roofrun().current_dir(&folder).args(words(example)));
            // What is wrong at a chiller is an answer.
            assert_eq!((status, err.as_str()), (i32::from(example.starts_with("diagnose")), ""), "{example}");
            ran += 1;
        }
        assert!(ran > 0, "{command}");
    }
}

/// The words of a command line, with double quotes.
fn words(line: &str) -> Vec<String> {
    let parts = line.split('"').enumerate();
    parts
        .flat_map(
            |(i, part)| {
                if i % 2 == 1 { vec![part.to_owned()] } else { part.split_whitespace().map(str::to_owned).collect() }
            },
        )
        .collect()
}

#[test]
fn what_is_not_a_command_goes_to_standard_error() {
    for call in [&[][..], &["chek"], &["check"], &["list", "pipes"], &["rules", "--width", "20"]] {
        let (status, out, err) = run(call);
        assert_eq!((status, out.as_str()), (2, ""), "{call:?}");
        assert!(!err.is_empty(), "{call:?}");
    }
}

#[test]
fn the_starter_passes_as_it_stands() {
    let starter = run(&["new"]).1;
    let (status, out, err) = outcome(roofrun().args(["check", "-"]).write_stdin(starter.clone()));
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("No failures found (25 checks)\n"), "{out}");
    assert!(!out.contains("FAIL") && !out.contains("CAUTION"), "{out}");
    for line in starter.lines() {
        assert!(line.width() <= 140, "{line}");
    }
}

#[test]
fn new_never_overwrites() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hall.toml");
    let (status, out, err) = outcome(roofrun().arg("new").arg(&file));
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(out.contains("Wrote"), "{out}");
    assert_eq!(fs::read_to_string(&file).unwrap(), run(&["new"]).1);

    fs::write(&file, "mine").unwrap();
    let (status, out, err) = outcome(roofrun().arg("new").arg(&file));
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("there already"), "{err}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");

    let (status, _, err) = outcome(roofrun().arg("new").arg(folder.path()));
    assert_eq!(status, 2, "a folder: {err}");
    let (status, _, err) = outcome(roofrun().arg("new").arg(folder.path().join("no/such/folder.toml")));
    assert!(status == 2 && err.contains("can't be written"), "{err}");
}

#[test]
fn the_exit_status_follows_the_verdict() {
    for job in examples() {
        let (status, out, err) = run(&["check", &job]);
        assert_eq!(err, "", "{job}");
        let fails = out.lines().any(|line| line.contains(" FAILS "));
        assert_eq!(status, i32::from(fails), "{job}\n{out}");
        let second = out.lines().take(3).any(|line| line.starts_with("No failures found"));
        assert_eq!(second, !fails, "{job}\n{out}");
        assert!(out.lines().take(24).any(|line| line.starts_with("A check, not an approval")), "{job}\n{out}");
        let (json_status, ..) = run(&["check", &job, "--format", "json"]);
        assert_eq!(json_status, status, "{job}");
    }
}

#[test]
fn a_job_that_cant_be_used_says_so_on_standard_error() {
    let folder = tempfile::tempdir().unwrap();
    let not_text = folder.path().join("not-text.toml");
    fs::write(&not_text, [0xff, 0xfe, 0x00]).unwrap();
    let empty = folder.path().join("empty.toml");
    fs::write(&empty, "").unwrap();
    for job in [Path::new("no-such-job.toml"), folder.path(), &not_text, &empty] {
        for format in ["text", "json"] {
            let (status, out, err) = outcome(roofrun().arg("check").arg(job).args(["--format", format]));
            assert_eq!((status, out.as_str()), (2, ""), "{}: {err}", job.display());
            assert!(!err.trim().is_empty() && !err.contains("panicked"), "{}: {err}", job.display());
        }
    }
    for input in [&b"\xff\xfe"[..], b"", b"[job]\ntitle = 3\n"] {
        let (status, out, err) = outcome(roofrun().args(["check", "-"]).write_stdin(input));
        assert_eq!((status, out.as_str()), (2, ""), "{err}");
        assert!(!err.trim().is_empty() && !err.contains("panicked"), "{err}");
    }
}

#[test]
fn a_condenser_that_never_balances_is_told_by_its_circuit() {
    let starter = run(&["new"]).1;
    let small = starter.replace("rejection = \"660 MBH\"", "rejection = \"9 MBH\"");
    assert_ne!(small, starter);
    let (status, out, err) = outcome(roofrun().args(["check", "-"]).write_stdin(small));
    assert_eq!((status, out.as_str()), (2, ""), "{err}");
    assert!(err.contains("circuit 1") && err.contains("MBH"), "{err}");
}

#[test]
fn every_rule_is_listed_and_explained() {
    let list = run(&["rules", "--width", "140"]).1;
    let ids: Vec<&str> = roofrun::rules::RULES.iter().map(|rule| rule.id).collect();
    assert!(ids.len() >= 16);
    for id in ids {
        assert!(list.lines().any(|line| line.starts_with(id)), "{id} in\n{list}");
        let (status, out, err) = run(&["rules", id]);
        assert_eq!((status, err.as_str()), (0, ""));
        assert!(out.starts_with(id) && out.lines().count() > 4, "{out}");
    }
    let (status, out, err) = run(&["rules", "oil-risre"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("oil-riser"), "{err}");
}

#[test]
fn lists_name_sources_that_resolve() {
    let sources = run(&["list", "sources", "--width", "140"]).1;
    let keys: Vec<&str> = sources
        .lines()
        .filter(|line| !line.starts_with(' '))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(keys.len() >= 15, "{keys:?}");
    for what in ["tubes", "fittings", "parts", "refrigerants", "limits"] {
        let list = run(&["list", what, "--width", "140"]).1;
        let head = list.lines().next().unwrap();
        let column = head.find("source").unwrap();
        let mut seen = 0;
        for line in list.lines().skip(1).take_while(|line| !line.is_empty()) {
            let Some(cell) = line
                .chars()
                .skip(head[..column].chars().count())
                .collect::<String>()
                .split_whitespace()
                .next()
                .map(str::to_owned)
            else {
                continue;
            };
            assert!(keys.contains(&cell.as_str()), "{what}: `{cell}` is no source\n{line}");
            seen += 1;
        }
        assert!(seen >= 10, "{what}: {seen} sources\n{list}");
    }
}

#[test]
fn lists_show_the_numbers_of_the_trade() {
    let holds = |call: &[&str], words: &str| {
        let out = run(call).1;
        let squeezed: Vec<String> =
            out.lines().map(|line| line.split_whitespace().collect::<Vec<&str>>().join(" ")).collect();
        assert!(squeezed.iter().any(|line| line.contains(words)), "{words} in\n{out}");
    };
    holds(&["list", "tubes", "--width", "100"], "1-3/8 ACR 1.375 0.055 1.265 astm-b280");
    holds(&["list", "tubes", "--units", "si", "--width", "100"], "3/4 ACR 19.05 1.07 16.92 astm-b280");
    holds(&["list", "limits", "--width", "100"], "liquid_velocity 300 fpm");
    holds(&["list", "limits", "--width", "100"], "design_minimum 122 F");
    holds(&["list", "parts", "--width", "100"], "filter-drier liquid 2.0 psi");
    holds(&["list", "refrigerants", "--width", "100"], "R-454B A2L");
}

#[test]
fn shells_and_manuals_are_served() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (status, out, err) = run(&["completions", shell]);
        assert_eq!((status, err.as_str()), (0, ""), "{shell}");
        assert!(out.contains("roofrun") && out.contains("take-off"), "{shell}");
    }
    let (status, out, _) = run(&["man"]);
    assert!(status == 0 && out.contains(".TH roofrun 1"), "{out}");
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(run(&["man", folder.path().to_str().unwrap()]).0, 0);
    assert!(folder.path().join("roofrun-check.1").exists());
    assert_eq!(run(&["man", "no/such/folder"]).0, 2);
}

#[test]
fn several_jobs_are_told_one_by_one_or_in_a_line_each() {
    let (status, out, err) = run(&["check", "examples/bottling-hall.toml", "examples/as-drawn.toml", "--brief"]);
    assert_eq!((status, err.as_str()), (1, ""));
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].starts_with("examples/bottling-hall.toml: No failures found ("), "{out}");
    assert!(lines.iter().any(|line| line.starts_with("examples/as-drawn.toml: 8 failures")), "{out}");
    let (status, out, err) = run(&["check", "examples/no-such.toml", "examples/condenser-below.toml"]);
    assert!(status == 2 && err.contains("no-such.toml") && out.contains("mezzanine chiller"), "{err}{out}");
    assert_eq!(run(&["check", "a.toml", "b.toml", "--format", "json"]).0, 2);
}

#[test]
fn two_jobs_are_compared() {
    let folder = tempfile::tempdir().unwrap();
    let mended = folder.path().join("mended.toml");
    let mended = mended.to_str().unwrap();
    assert_eq!(run(&["remedy", "examples/as-drawn.toml", "--write", mended]).0, 0);
    let (status, out, err) = run(&["check", "examples/as-drawn.toml", mended, "--compare"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    let (cured, still) = (out.find("\nCured").unwrap(), out.find("\nStill wrong").unwrap_or(out.len()));
    assert!(out[cured..still].contains("tube-strength") && !out.contains("Newly wrong\n    fails"), "{out}");
    let (status, back, _) = run(&["check", mended, "examples/as-drawn.toml", "--compare"]);
    let (new, cured) = (back.find("\nNewly wrong").unwrap(), back.find("\nStill wrong").unwrap_or(back.len()));
    assert!(status == 1 && back[new..cured].contains("oil-riser"), "{back}");
    assert_eq!(run(&["check", mended, "--compare"]).0, 2);
}

#[test]
fn units_and_colour_are_as_asked_or_as_a_person_always_wants_them() {
    let job = "examples/condenser-below.toml";
    assert!(run(&["check", job, "--units", "si"]).1.contains("35.6 °C"));
    assert!(run(&["check", job, "--color", "always"]).1.contains('\u{1b}'));
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("roofrun")).unwrap();
    let config = folder.path().join("roofrun/config.toml");
    fs::write(&config, "units = \"si\"\nwidth = 47\n").unwrap();
    let (_, out, _) = outcome(roofrun().args(["check", job]).env("XDG_CONFIG_HOME", folder.path()));
    assert!(out.contains("35.6 °C") && out.lines().all(|line| line.width() <= 47), "{out}");
    fs::write(&config, "units = \"feet\"\n").unwrap();
    let (status, _, err) = outcome(roofrun().args(["check", job]).env("XDG_CONFIG_HOME", folder.path()));
    assert!(status == 2 && err.contains("`units` is \"ip\" or \"si\""), "{err}");
}
