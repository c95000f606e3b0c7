//! A job with one stretch of it replaced: what it is told, and each corrected line put into the file and read again.

use roofrun::job::{self, Faults};
use std::path::Path;

/// The faults of a job.
pub fn faults(text: &str) -> Faults {
    match job::read("hall.toml", text, Path::new("tests/data")) {
        Ok(_) => panic!("the job reads in spite of its mistake"),
        Err(faults) => faults,
    }
}

/// The message about a job with one stretch of it replaced. Its corrections, where there are any, mend the faults that they
/// belong to.
pub fn told(whole: &str, from: &str, to: &str) -> String {
    assert_eq!(whole.matches(from).count(), 1, "`{from}` stands once in the file");
    let text = whole.replace(from, to);
    let faults = faults(&text);
    for fault in &faults {
        let Some(corrected) = faults.corrected(fault) else { continue };
        let mut lines: Vec<&str> = text.lines().collect();
        lines[fault.line() - 1] = &corrected;
        if let Err(after) = job::read("hall.toml", &lines.join("\n"), Path::new("tests/data")) {
            let same =
                |f: &job::Fault| (f.line(), f.column(), f.message()) == (fault.line(), fault.column(), fault.message());
            assert!(!after.iter().any(same), "its own correction mends it:\n{after}");
        }
    }
    faults.to_string()
}

/// A test for each mistake in a job, against its snapshot.
macro_rules! mistakes {
    ($whole:expr; $($name:ident: $from:expr => $to:expr;)*) => {
        $(
        #[test]
        fn $name() {
            insta::assert_snapshot!(stringify!($name), told($whole, $from, $to));
        }
        )*
    };
}
pub(crate) use mistakes;
