//! What can be asked on the command line.

mod chiller;
mod job;
mod reference;

pub(super) use chiller::{Dates, Diagnose, Expect, OfATrend};
pub(super) use job::{Check, Draw, JobFile, ListFormat, RemedyArguments, Shown, Size, TakeOff, What};
pub(super) use reference::{Described, List, Listed, New, Rules, Schema, State};

use crate::units::System;
use clap::builder::Styles;
use clap::{Parser, Subcommand, ValueEnum};
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::str::FromStr;

/// Quiet help: bold heads, the rest plain.
const STYLES: Styles = Styles::styled()
    .header(anstyle::Style::new().bold())
    .usage(anstyle::Style::new().bold())
    .literal(anstyle::Style::new().bold())
    .placeholder(anstyle::Style::new());

const EXAMPLES: &str = "\
Examples:
  roofrun new hall.toml                       a job to start from, every key explained
  roofrun check hall.toml                     will it work as drawn?
  roofrun check hall.toml --format json       the same for a program
  roofrun remedy hall.toml                    what would make it work?
  roofrun site hall.toml                      clearance, warm air, sound, and the year
  roofrun size plan.toml                      which tube, where it is left open
  roofrun diagnose hall.toml readings.toml    what is wrong with it?
  roofrun expect hall.toml --outdoor \"88 F\"   what a healthy one shows
  roofrun take-off hall.toml                  what to buy and to braze
  roofrun draw hall.toml --out hall.svg       the route in elevation, what fails marked where it fails
  roofrun rules oil-riser                     what a rule requires, and why
  roofrun state R-454B -p \"412 psig\"          bubble, dew and glide
  roofrun list tubes                          sizes to write in a job

Exit status: 0 nothing fails, 1 something fails, 2 the input could not be used.";

/// Says before anyone brazes a joint whether a remote air-cooled condenser on a roof will work with the discharge and
/// liquid lines drawn for it.
#[derive(Debug, Parser)]
#[command(name = "roofrun", version, styles = STYLES, after_help = EXAMPLES, max_term_width = 100)]
#[command(disable_help_subcommand = true)]
pub(super) struct Arguments {
    /// What is asked.
    #[command(subcommand)]
    pub command: Command,

    /// Columns of the text, 40 or more [default: the terminal's, else COLUMNS, else 80]
    #[arg(long, global = true, value_name = "COLUMNS", value_parser = columns)]
    pub width: Option<u16>,

    /// Units of what is shown [default: those of the job, else ip]
    #[arg(long, global = true, value_enum, ignore_case = true, value_name = "UNITS")]
    pub units: Option<Units>,

    /// Colour of the text; auto: at a terminal, where NO_COLOR does not forbid it
    #[arg(long, global = true, value_enum, value_name = "WHEN")]
    pub color: Option<Color>,
}

/// When text is coloured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Color {
    Auto,
    Always,
    Never,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Check a job: does it work as drawn, what fails, and what resolves it
    #[command(after_help = "\
Examples:
  roofrun check hall.toml
  roofrun check hall.toml --format json > hall.json
  roofrun check hall.toml --format page > hall.html     to look at, to send, to print
  roofrun check hall.toml tower.toml --brief            a line for each job
  roofrun check old.toml new.toml --compare             what is cured, what newly fails
  roofrun new | roofrun check -

Exit status: 0 nothing fails, 1 something fails, 2 a job could not be used.")]
    Check(Check),
    /// Size the runs left open: the lightest tube that passes, and the effect of one size up or down
    Size(Size),
    /// Find one set of changes with which nothing of a job fails, and write the changed job
    Remedy(RemedyArguments),
    /// Study the site of a job: clearance, warm air, sound, weight, edges, and the year hour by hour
    #[command(after_help = "\
Examples:
  roofrun site hall.toml
  roofrun site hall.toml --format json > hall-site.json

Exit status: 0 nothing fails, 1 something fails, 2 the job could not be used.")]
    Site(JobFile),
    /// Find what is wrong with a chiller from readings, how sure that is, and what to read next
    Diagnose(Diagnose),
    /// Show the readings of a healthy chiller at an outdoor temperature, with boxes to write in
    Expect(Expect),
    /// Write a job to start from: one that passes, every key explained
    New(New),
    /// List what to buy and to braze for a job
    TakeOff(TakeOff),
    /// Draw a job from its data, as SVG
    Draw(Draw),
    /// List the rules, or explain one
    Rules(Rules),
    /// Show a refrigerant's properties: the pressure-temperature chart, or one state
    State(State),
    /// List tubes, fittings, parts, refrigerants, limits and sources
    List(List),
    /// Print the JSON Schema of a job, of readings, or of an answer, for editors and programs
    Schema(Schema),
    /// Print what completes the command line in a shell
    #[command(after_help = "\
Examples:
  roofrun completions bash > ~/.local/share/bash-completion/completions/roofrun
  roofrun completions zsh > ~/.zfunc/_roofrun")]
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Print the manual page, or write the pages of every command into a folder
    Man {
        /// A folder that is there
        #[arg(value_name = "DIR")]
        folder: Option<PathBuf>,
    },
}

/// How a result is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    Text,
    Json,
}

/// How an answer is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Form {
    Text,
    Json,
    /// One HTML file that needs nothing else
    Page,
}

/// How what the rules say of a job is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Report {
    Text,
    Json,
    /// One HTML file that needs nothing else
    Page,
    /// A review sheet as HTML: the findings in the order of the route, with room to answer
    Sheet,
}

/// Units of what is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Units {
    Ip,
    Si,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Ip => System::Ip,
            Units::Si => System::Si,
        }
    }
}

fn columns(text: &str) -> Result<u16, String> {
    within(text, 40..=1000)
}

/// A whole number within its bounds; else what it has to be.
fn within<T: FromStr + PartialOrd + Display>(text: &str, bounds: RangeInclusive<T>) -> Result<T, String> {
    match text.parse() {
        Ok(number) if bounds.contains(&number) => Ok(number),
        _ => Err(format!("from {} to {}", bounds.start(), bounds.end())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_are_well_formed() {
        Arguments::command().debug_assert();
    }
}
