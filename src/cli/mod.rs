//! Arguments in, text out: the only place that prints or exits.

mod arguments;
mod check;
mod diagnose;
mod draw;
mod expect;
mod list;
mod new;
mod progress;
mod remedy;
mod rules;
mod screen;
mod site;
mod size;
mod state;
mod take_off;
#[cfg(feature = "watch")]
mod watch;

use crate::visible::visible;
use arguments::{Arguments, Command};
use clap::Parser;
use std::process::ExitCode;

/// Runs the program: reads its arguments, prints results to standard output and errors to standard error.
///
/// The exit status is 0 where nothing fails, 1 where a rule fails, 2 where the input could not be used.
#[must_use]
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(asked) => {
            if asked.use_stderr() {
                return screen::tell(&screen::Trouble::Text(visible(&asked.render().to_string()).into_owned()));
            }
            // Help and version come this way too; a reader that has gone away is none of our business.
            let _ = asked.print();
            return ExitCode::SUCCESS;
        }
    };
    let width = screen::width(arguments.width);
    let outcome = match &arguments.command {
        Command::Check(what) => check::run(what, width),
        Command::Remedy(what) => remedy::run(what, width),
        Command::Diagnose(what) => diagnose::run(what, width),
        Command::Expect(what) => expect::run(what, width),
        Command::Site(what) => site::run(what, width),
        Command::Size(what) => size::run(what, width),
        Command::New(what) => new::run(what),
        Command::TakeOff(what) => take_off::run(what, width),
        Command::Draw(what) => draw::run(what, width),
        Command::Rules(what) => rules::run(what, width),
        Command::State(what) => state::run(what, width),
        Command::List(what) => list::run(what, width),
    };
    outcome.unwrap_or_else(|trouble| screen::tell(&trouble))
}
