//! A text as a job: read, written again in another order, and read the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::job;
use roofrun_fuzz::{meant, reordered};
use std::path::Path;

fuzz_target!(|text: &str| {
    match job::read("job.toml", text, Path::new("/nowhere")) {
        Ok(job) => {
            assert!(!job.circuits.is_empty());
            let again = |text: &str| meant(job::read("job.toml", text, Path::new("/nowhere")).unwrap());
            let same = job::edit(text, &[]).unwrap();
            let other = reordered(text).unwrap();
            let read = meant(job);
            assert_eq!(again(&same), read);
            assert_eq!(again(&other), read, "{other}");
        }
        Err(faults) => {
            assert!(!faults.is_empty());
            let lines = text.lines().count().max(1);
            for fault in &faults {
                assert!((1..=lines + 1).contains(&fault.line()) && fault.column() >= 1, "{fault:?}");
                assert!(text.get(fault.span()).is_some() && !fault.message().is_empty(), "{fault:?}");
            }
            let told = faults.render(false, 60);
            assert!(told.lines().all(|line| !line.contains(char::is_control)), "{told}");
        }
    }
});
