//! Arguments in, text out: the only place that prints or exits.

mod arguments;
mod check;
mod list;
mod new;
mod remedy;
mod rules;
mod screen;
mod site;
mod size;
mod state;
mod take_off;

use arguments::{Arguments, Command};
use clap::Parser;
use screen::Screen;
use std::process::ExitCode;

/// Exit status: nothing fails.
const HOLDS: u8 = 0;
/// Exit status: at least one finding is a fail.
const FAILS: u8 = 1;
/// Exit status: the input could not be used.
const UNUSABLE: u8 = 2;

/// Runs the program: reads its arguments, prints results to standard output and errors to standard error.
///
/// The exit status is 0 where nothing fails, 1 where a rule fails, 2 where the input could not be used.
#[must_use]
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(asked) => {
            // Help and version come this way too; a reader that has gone away is none of our business.
            let _ = asked.print();
            return ExitCode::from(u8::try_from(asked.exit_code()).unwrap_or(UNUSABLE));
        }
    };
    let screen = Screen::new(arguments.width);
    let outcome = match &arguments.command {
        Command::Check(what) => check::run(what, &screen),
        Command::Remedy(what) => remedy::run(what, &screen),
        Command::Site(what) => site::run(what, &screen),
        Command::Size(what) => size::run(what, &screen),
        Command::New(what) => new::run(what),
        Command::TakeOff(what) => take_off::run(what, &screen),
        Command::Rules(what) => rules::run(what, &screen),
        Command::State(what) => state::run(what, &screen),
        Command::List(what) => list::run(what, &screen),
    };
    match outcome {
        Ok(status) => ExitCode::from(status),
        Err(trouble) => ExitCode::from(screen::tell(&trouble)),
    }
}
