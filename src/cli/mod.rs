//! Arguments in, text out: the only place that prints or exits.

use std::process::ExitCode;

/// Runs the program.
#[must_use]
pub fn main() -> ExitCode {
    ExitCode::SUCCESS
}
