//! Any text as a job file ends in a job or in messages: never a panic, never a message without a place.

use proptest::prelude::*;
use roofrun::job;
use std::path::Path;

const HALL: &str = include_str!("data/hall.toml");

/// Reads a text and looks at every fault, at two widths.
fn ends_well(text: &str) {
    match job::read("hall.toml", text, Path::new("tests/data")) {
        Ok(job) => assert!(!job.circuits.is_empty()),
        Err(faults) => {
            assert!(!faults.is_empty());
            let lines = text.lines().count().max(1);
            for fault in &faults {
                assert!((1..=lines + 1).contains(&fault.line()) && fault.column() >= 1, "{fault:?}");
                assert!(text.get(fault.span()).is_some(), "{fault:?}");
                assert!(!fault.message().is_empty());
                let _ = faults.corrected(fault);
            }
            for width in [1, 60, 200] {
                let told = faults.render(false, width);
                assert!(told.starts_with("hall.toml, line ") && told.ends_with('\n'));
            }
            assert!(!faults.render(true, 80).is_empty());
        }
    }
    let _ = job::read_open("hall.toml", text, Path::new("tests/data"));
}

/// A change of the hall: where, by what and how.
fn altered(at: prop::sample::Index, other: prop::sample::Index, piece: &str, how: u8) -> String {
    let mut chars: Vec<char> = HALL.chars().collect();
    let mut lines: Vec<&str> = HALL.lines().collect();
    let char_at = at.index(chars.len());
    let (line_at, line_to) = (at.index(lines.len()), other.index(lines.len()));
    match how {
        0 => {
            chars.remove(char_at);
        }
        1 => chars.splice(char_at..char_at, piece.chars()).for_each(drop),
        2 => {
            let to = (char_at + other.index(40)).min(chars.len());
            chars.splice(char_at..to, piece.chars()).for_each(drop);
        }
        3 => chars.truncate(char_at),
        4 => {
            lines.remove(line_at);
            return lines.join("\n");
        }
        5 => {
            lines.insert(line_to, lines[line_at]);
            return lines.join("\n");
        }
        6 => {
            lines.swap(line_at, line_to);
            return lines.join("\r\n");
        }
        _ => {
            // One quoted text in place of another.
            let texts: Vec<&str> = HALL.split('"').skip(1).step_by(2).collect();
            let (from, to) = (texts[at.index(texts.len())], texts[other.index(texts.len())]);
            return HALL.replace(&format!("\"{from}\""), &format!("\"{to}\""));
        }
    }
    chars.into_iter().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, ..ProptestConfig::default() })]

    #[test]
    fn any_text(text in any::<String>()) {
        ends_well(&text);
    }

    #[test]
    fn toml_like_text(pieces in prop::collection::vec(prop::sample::select(&[
        "[", "]", "[[", "]]", "{", "}", "=", ",", ".", "\"", "'", "\"\"\"", "\n", "\r\n", " ", "#", "site", "circuit", "summer", "route",
        "level", "rise", "\"38 ft\"", "38", "-1e999", "nan", "0x10", "true", "2025-01-01", "é", "\u{0}", "\\", "tube", "job", "limits",
    ]), 0..60)) {
        ends_well(&pieces.concat());
    }

    #[test]
    fn altered_jobs(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), "[ -~é−\n\"{}=\\[\\]]{0,6}", 0_u8..8), 1..2),
    ) {
        for (at, other, piece, how) in changes {
            ends_well(&altered(at, other, &piece, how));
        }
    }
}

/// Shapes that a careless reader runs out of stack or of time on.
#[test]
fn deep_long_and_wide_texts() {
    for text in [
        "[".repeat(20_000),
        "a = ".to_owned() + &"[".repeat(20_000),
        "a = ".to_owned() + &"{ a = ".repeat(20_000),
        "a.".repeat(20_000) + "b = 1",
        format!("[{}]", "a.".repeat(20_000)),
        "x = 1\n".repeat(20_000),
        "é".repeat(100_000),
        format!("{HALL}\n{}", "[[circuit]]\nname = \"A\"\n".repeat(40_000)),
        "x = 1\n".repeat(150_000),
        "[[room]]\nname = 1\n".repeat(50_000),
        format!("limits = {{ {} }}", (0..50_000).map(|i| format!("k{i} = 1")).collect::<Vec<_>>().join(", ")),
        HALL.replace("\"38 ft\"", &format!("\"{} ft\"", "9".repeat(100_000))),
    ] {
        ends_well(&text);
    }
}
