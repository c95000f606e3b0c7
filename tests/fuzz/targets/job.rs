//! A text as a job: read, and written again as it is, in another order or after a change undone, read the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::job::{self, Edit};
use roofrun_fuzz::{meant, reordered, turn};
use std::path::Path;

/// The text after its title was changed and changed back.
fn undone(text: &str) -> String {
    let table: toml::Table = text.trim_start_matches('\u{feff}').parse().unwrap();
    let old = table.get("job").and_then(|job| job.get("title")).and_then(|title| title.as_str()).map(Into::into);
    let change = Edit { path: "job.title".into(), old, new: Some("another".into()) };
    let changed = job::edit(text, std::slice::from_ref(&change)).unwrap();
    job::edit(&changed, &[change.inverse()]).unwrap()
}

fuzz_target!(|text: &str| {
    let open = text.contains("auto");
    let read = |text: &str| {
        let read = if open { job::read_open } else { job::read };
        read("job.toml", text, Path::new("/nowhere"))
    };
    match read(text) {
        Ok(job) => {
            assert!(!job.circuits.is_empty());
            let again = match turn(text, 3) {
                0 => job::edit(text, &[]).unwrap(),
                1 => reordered(text).unwrap(),
                _ => undone(text),
            };
            assert_eq!(meant(read(&again).unwrap()), meant(job), "{again}");
        }
        Err(faults) => {
            assert!(!faults.is_empty());
            let lines = text.lines().count().max(1);
            for fault in &faults {
                assert!((1..=lines + 1).contains(&fault.line()) && fault.column() >= 1, "{fault:?}");
                assert!(text.get(fault.span()).is_some() && !fault.message().is_empty(), "{fault:?}");
            }
            if turn(text, 4) == 0 {
                let told = faults.render(false, 60);
                assert!(told.lines().all(|line| !line.contains(char::is_control)), "{told}");
            }
        }
    }
});
