//! A text as readings: read, written again in another order, and read the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::{job, units::System};
use roofrun_fuzz::reordered;

fuzz_target!(|text: &str| {
    let read = |text: &str| job::read_readings("readings.toml", text, System::Ip, 101_325.0);
    match read(text) {
        Ok(readings) => {
            let said = format!("{readings:?}");
            assert!(!said.contains("NaN") && !said.contains("inf"), "{said}");
            assert!(read(&reordered(text).unwrap()).is_ok());
        }
        Err(faults) => assert!(!faults.is_empty() && !faults.render(false, 60).is_empty()),
    }
});
