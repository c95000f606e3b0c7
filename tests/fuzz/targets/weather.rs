//! A text as a weather file, by itself or continued to a full year: a year of finite hours, or one message that names the file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::physics::atmosphere::SEA_LEVEL;
use roofrun_fuzz::{full_year, turn};

/// One text in so many is continued: a year is 8760 lines.
const YEARS: u64 = 32;

fuzz_target!(|text: &str| {
    let year = if turn(text, YEARS) == 0 { &full_year(text) } else { text };
    match roofrun::weather::read("hall.epw", year) {
        Ok(weather) => {
            assert!(weather.hours() >= 8000.0 && weather.missing_hours() >= 0.0 && weather.absent_hours() >= 0.0);
            let climate = weather.climate(SEA_LEVEL);
            assert!(climate.dry_bulb.exceeded.iter().all(|exceeded| exceeded.dry_bulb_K.is_finite()));
            assert!(weather.records.iter().all(|record| weather.hour_of_week(record) < 168));
        }
        Err(fault) => {
            let said = fault.to_string();
            assert!(said.starts_with("hall.epw") && said.lines().count() <= 12, "{said:?}");
            assert!(said.lines().all(|line| !line.contains(char::is_control)), "{said:?}");
        }
    }
});
