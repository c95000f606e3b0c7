//! Any text ends in a year or in one message: never a panic.

use crate::built::{REAL, TMY3};
use proptest::prelude::*;
use roofrun::physics::atmosphere::SEA_LEVEL;
use roofrun::units::System;
use roofrun::weather::read;

/// Reads a text; of a year every figure is finite, of none the message names the file and has a line for each fault it tells.
fn ends_well(text: &str) {
    match read("hall.epw", text) {
        Ok(weather) => {
            assert!(weather.hours() >= 8000.0 && weather.missing_hours() >= 0.0 && weather.absent_hours() >= 0.0);
            let climate = weather.climate(SEA_LEVEL);
            assert!(climate.dry_bulb.exceeded.iter().all(|exceeded| exceeded.dry_bulb_K.is_finite()));
            for doubt in weather.doubts() {
                let said = doubt.says(System::Si);
                assert!(said.ends_with('.') && !said.contains("NaN"), "{said}");
            }
            assert!(weather.records.iter().all(|record| weather.hour_of_week(record) < 168));
        }
        Err(fault) => {
            let said = fault.to_string();
            assert!(said.starts_with("hall.epw") && said.lines().count() <= 12, "{said:?}");
            for line in said.lines() {
                assert!(!line.contains(char::is_control) && line.chars().count() < 300, "{said:?}");
            }
        }
    }
}

/// A line with another one in its place.
fn replaced(text: &str, at: usize, with: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let at = at % lines.len();
    lines[at] = with;
    lines.join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn any_text(text in "\\PC*|(LOCATION|DESIGN CONDITIONS|[0-9,./:\"\n\r]|[\\x00-\\x7f]){0,200}") {
        ends_well(&text);
        ends_well(&format!("LOCATION,{text}"));
        ends_well(&format!("x\nDate (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n{text}"));
    }

    #[test]
    fn any_head(text in "[A-Z0-9,./ \"\u{e9}-]{0,80}", count in "[0-9]{1,20}") {
        let hours: Vec<&str> = REAL.lines().skip(8).take(3).collect();
        let head = format!(
            "LOCATION,{text}\nDESIGN CONDITIONS,{count},{text}\nTYPICAL/EXTREME PERIODS,{count},{text}\n\
             GROUND TEMPERATURES,{count},{text}\nHOLIDAYS/DAYLIGHT SAVINGS,{text},,,{count},{text}\n\
             COMMENTS 1,{text}\nCOMMENTS 2{text}\nDATA PERIODS,1,{count},{text}\n{}",
            hours.join("\n")
        );
        ends_well(&head);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_real_file_with_a_line_of_anything(
        at in 0..9000_usize,
        line in "\\PC{0,60}",
        fields in proptest::collection::vec("-?[0-9]{0,4}(\\.[0-9])?|NaN|inf|[0-9]/[0-9]", 5..36),
        cut in 0..1_000_000_usize,
    ) {
        for text in [REAL, TMY3] {
            ends_well(&replaced(text, at, &line));
            ends_well(&replaced(text, at, &fields.join(",")));
            let end = cut % text.len();
            ends_well(&text[..end]);
        }
    }
}
