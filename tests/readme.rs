//! The README is under test: every command in it is run, and what it prints stands there.
//!
//! With `README_WRITE=1` the outputs and the tables of keys and rules are written into it instead, to be read before they are committed.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use assert_cmd::Command;
use roofrun::job::{Holds, Key, TABLES};
use roofrun::rules::RULES;
use roofrun::units::System;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

/// What a command line of the README prints to standard output.
fn output(line: &str) -> String {
    let mut words = line.split_whitespace();
    assert_eq!(words.next(), Some("roofrun"), "{line}");
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    let output = command.args(words).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    assert!(output.stderr.is_empty(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn rules_table() -> String {
    let mut table = String::from("| rule | question |\n| --- | --- |\n");
    for rule in RULES {
        writeln!(table, "| `{}` | {} |", rule.id, rule.question).unwrap();
    }
    table
}

/// What stands for a key that is left out.
fn without(key: &Key) -> String {
    let Some(taken) = key.otherwise.filter(|_| !key.needed) else {
        return if key.needed { "required".to_owned() } else { String::new() };
    };
    let show = |value: f64| match key.holds {
        Holds::Quantity(kind, _) => kind.show(System::Ip, value, 101_325.0),
        _ => value.to_string(),
    };
    let value = taken.value.filter(|_| taken.says.is_empty()).map_or(taken.says.to_owned(), show);
    let parts = [value.as_str(), taken.why].into_iter().filter(|part| !part.is_empty()).collect::<Vec<&str>>();
    parts.join(": ")
}

fn keys_table() -> String {
    let mut table = String::from("| table | key | example | left out | means |\n| --- | --- | --- | --- | --- |\n");
    for keys in TABLES {
        let place = if keys.place.starts_with('[') { format!("`{}`", keys.place) } else { keys.place.to_owned() };
        for key in keys.all {
            writeln!(table, "| {place} | `{}` | `{}` | {} | {} |", key.name, key.written(false), without(key), key.doc)
                .unwrap();
        }
    }
    table
}

/// The README with every output and the tables of keys and rules as they are.
fn fresh(text: &str) -> String {
    let mut fresh = String::new();
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        let tables = [("| rule | question |", rules_table as fn() -> String), ("| table | key |", keys_table)];
        if let Some((_, table)) = tables.iter().find(|(head, _)| line.starts_with(head)) {
            while lines.peek().is_some_and(|line| line.starts_with('|')) {
                lines.next();
            }
            fresh += &table();
            continue;
        }
        fresh += line;
        fresh.push('\n');
        if line == "```console" {
            let command = lines.next().unwrap();
            fresh += command;
            fresh.push('\n');
            while lines.peek().is_some_and(|line| *line != "```") {
                lines.next();
            }
            fresh += &output(command.strip_prefix("$ ").unwrap());
        }
    }
    fresh
}

#[test]
fn what_its_commands_print_and_what_its_rules_ask_stands_there() {
    let text = fs::read_to_string(path()).unwrap();
    let fresh = fresh(&text);
    if std::env::var_os("README_WRITE").is_some() {
        fs::write(path(), fresh).unwrap();
        return;
    }
    for (at, (stands, is)) in text.lines().zip(fresh.lines()).enumerate() {
        assert_eq!(stands, is, "line {} of the README", at + 1);
    }
    assert_eq!(text.lines().count(), fresh.lines().count());
}

#[test]
fn its_first_command_runs_the_job_whose_report_it_shows() {
    let text = fs::read_to_string(path()).unwrap();
    let run = text.lines().find_map(|line| line.strip_prefix("cargo run -- ")).unwrap();
    let shown = text.lines().find_map(|line| line.strip_prefix("$ roofrun ")).unwrap();
    assert_eq!(run, shown);
    assert!(text.lines().any(|line| line == "cargo test"), "the test command is not there");
}

#[test]
fn every_example_that_it_names_is_there_and_every_example_is_named() {
    let text = fs::read_to_string(path()).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let named: Vec<&str> = text
        .split('`')
        .filter(|word| {
            Path::new(word).extension().is_some_and(|ending| ending == "toml") && word.starts_with("examples/")
        })
        .collect();
    assert!(named.iter().all(|name| root.join(name).is_file()), "{named:?}");
    for folder in ["examples", "examples/to-size"] {
        for entry in fs::read_dir(root.join(folder)).unwrap() {
            let entry = entry.unwrap().path();
            if entry.extension().is_some_and(|ending| ending == "toml") {
                let name = format!("{folder}/{}", entry.file_name().unwrap().to_str().unwrap());
                assert!(named.contains(&name.as_str()), "{name}");
            }
        }
    }
}
