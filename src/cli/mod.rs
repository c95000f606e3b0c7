//! Arguments in, text out: the only place that prints or exits.

mod arguments;
mod check;
mod defaults;
mod diagnose;
mod draw;
mod expect;
mod list;
mod new;
mod progress;
#[cfg(feature = "prompts")]
mod questions;
mod remedy;
mod rules;
mod schema;
mod screen;
mod shell;
mod site;
mod size;
mod starter;
mod state;
mod take_off;
mod usage;
#[cfg(feature = "watch")]
mod watch;

use crate::visible::visible;
use arguments::{Arguments, Color, Command};
use clap::Parser;
use clap::error::ErrorKind;
use screen::View;
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
                let width = screen::width(width_asked());
                if asked.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
                    let text = screen::within(&visible(&asked.render().to_string()), width);
                    return screen::tell(&screen::Trouble::Text(text), width);
                }
                return screen::tell(&screen::Trouble::words(usage::told(&asked)), width);
            }
            // Help and version come this way too; a reader that has gone away is none of our business.
            let _ = asked.print();
            return ExitCode::SUCCESS;
        }
    };
    let defaults = match defaults::read() {
        Ok(defaults) => defaults,
        Err(trouble) => return screen::tell(&trouble, screen::width(arguments.width)),
    };
    match arguments.color.or(defaults.color) {
        None | Some(Color::Auto) => {}
        Some(Color::Always) => anstream::ColorChoice::Always.write_global(),
        Some(Color::Never) => anstream::ColorChoice::Never.write_global(),
    }
    let view = View {
        width: screen::width(arguments.width.or(defaults.width)),
        units: arguments.units.or(defaults.units).map(Into::into),
    };
    let outcome = match &arguments.command {
        Command::Check(what) => check::run(what, view),
        Command::Remedy(what) => remedy::run(what, view),
        Command::Diagnose(what) => diagnose::run(what, view),
        Command::Expect(what) => expect::run(what, view),
        Command::Site(what) => site::run(what, view),
        Command::Size(what) => size::run(what, view),
        Command::New(what) => new::run(what, view),
        Command::TakeOff(what) => take_off::run(what, view),
        Command::Draw(what) => draw::run(what, view),
        Command::Rules(what) => rules::run(what, view),
        Command::State(what) => state::run(what, view),
        Command::List(what) => list::run(what, view),
        Command::Schema(what) => schema::run(what),
        Command::Completions { shell } => shell::completions(*shell),
        Command::Man { folder } => shell::man(folder.as_deref()),
    };
    outcome.unwrap_or_else(|trouble| screen::tell(&trouble, view.width))
}

/// The width that is asked for by arguments that can't be read as a whole.
fn width_asked() -> Option<u16> {
    let arguments: Vec<String> = std::env::args_os().map(|argument| argument.to_string_lossy().into_owned()).collect();
    let apart = arguments.iter().skip_while(|argument| *argument != "--width").nth(1).map(String::as_str);
    apart.or_else(|| arguments.iter().find_map(|argument| argument.strip_prefix("--width=")))?.parse().ok()
}
