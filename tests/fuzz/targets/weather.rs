//! A text as a weather file: a year of finite hours, or one message that names the file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::physics::atmosphere::SEA_LEVEL;

fuzz_target!(|text: &str| {
    match roofrun::weather::read("hall.epw", text) {
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
