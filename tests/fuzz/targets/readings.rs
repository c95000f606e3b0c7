//! A text as readings, or as what is said of a trend: read, written again in another order, and read the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::job::{self, Job, Readings};
use roofrun::units::System;
use roofrun_fuzz::{reordered, turn};
use std::path::Path;
use std::sync::LazyLock;

/// A job of one circuit, so that readings need not name it.
static DRAWN: LazyLock<Job> = LazyLock::new(|| {
    job::read("drawn.toml", include_str!("../../../examples/as-drawn.toml"), Path::new(".")).unwrap()
});

/// Readings without words, and without their last digits, which a number written again may lose.
fn numbers(mut readings: Readings) -> String {
    readings.taken.clear();
    readings.columns.clear();
    for set in readings.healthy.iter_mut().chain([&mut readings.set]) {
        (set.title, set.circuit) = (None, None);
    }
    let said = format!("{readings:?}");
    let mut parts = said.split("step: ");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |said, part| said + part.trim_start_matches(|c| c != ' '))
}

fuzz_target!(|text: &str| {
    let of_a_trend = text.contains("columns");
    let read = |text: &str| {
        if of_a_trend {
            job::read_columns("readings.toml", text, System::Ip, 101_325.0)
        } else {
            job::read_readings("readings.toml", text, &DRAWN)
        }
    };
    match read(text) {
        Ok(readings) => {
            let said = numbers(readings);
            assert!(!said.contains("NaN") && !said.contains("inf"), "{said}");
            assert_eq!(numbers(read(&reordered(text).unwrap()).unwrap()), said);
        }
        Err(faults) => {
            assert!(!faults.is_empty());
            if turn(text, 4) == 0 {
                let told = faults.render(false, 60);
                assert!(!told.is_empty() && told.lines().all(|line| !line.contains(char::is_control)), "{told}");
            }
        }
    }
});
