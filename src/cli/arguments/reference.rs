//! What is asked without a job.

use super::Format;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun schema job > job.schema.json      for an editor: a job names it in its first line, #:schema job.schema.json
  roofrun schema check > check.schema.json

Later versions may add keys to an answer; none is renamed or taken away.")]
pub struct Schema {
    /// Of what
    #[arg(value_name = "WHAT", value_enum)]
    pub what: Described,
}

/// What has a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Described {
    /// The job file
    Job,
    /// The file of readings
    Readings,
    /// What check answers as JSON
    Check,
    /// What remedy answers
    Remedy,
    /// What site answers
    Site,
    /// What size answers
    Size,
    /// What take-off answers
    TakeOff,
    /// What state answers
    State,
    /// What diagnose answers, of readings or of a trend
    Diagnose,
    /// What expect answers
    Expect,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun new hall.toml     writes the file; one that is there already stays as it is
  roofrun new | less        shows it
  roofrun new --refrigerant R-454B --units si --below hall.toml
  roofrun new --short --auto plan.toml    few lines, the tube for `roofrun size` to find")]
pub struct New {
    /// Where to write it, or - for standard output [default: standard output]
    #[arg(value_name = "FILE")]
    pub file: Option<PathBuf>,

    /// Its refrigerant: pressures and tube follow [default: R-410A]
    #[arg(long, value_name = "NAME")]
    pub refrigerant: Option<String>,

    /// Put the condenser below the chiller
    #[arg(long)]
    pub below: bool,

    /// Leave the tube open, for `roofrun size`
    #[arg(long)]
    pub auto: bool,

    /// In few lines: what is not said is assumed, and reported by `check`
    #[arg(long)]
    pub short: bool,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun rules
  roofrun rules liquid-flash")]
pub struct Rules {
    /// The rule to explain
    #[arg(value_name = "RULE")]
    pub rule: Option<String>,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun state R-454B                                the chart
  roofrun state R-454B -t \"120 F\"                     bubble and dew at a temperature
  roofrun state R-454B -p \"28.4 barg\" --units si      bubble and dew at a pressure
  roofrun state R-410A -t \"170 F\" -p \"412 psig\"       one state, with its superheat

Gauge pressures are relative to the atmosphere at --altitude.")]
pub struct State {
    /// ASHRAE 34 number, as R-410A
    #[arg(value_name = "REFRIGERANT")]
    pub refrigerant: String,

    /// Temperature with its unit: "120 F", "49 C"
    #[arg(short, long, value_name = "T", allow_hyphen_values = true)]
    pub temperature: Option<String>,

    /// Pressure with its unit: "412 psig", "28.4 barg", "2.9 MPa(a)"
    #[arg(short, long, value_name = "P", allow_hyphen_values = true)]
    pub pressure: Option<String>,

    /// Altitude of the gauge
    #[arg(long, value_name = "HEIGHT", default_value = "0 ft", allow_hyphen_values = true)]
    pub altitude: String,

    /// For people, or for programs: SI, the unit in each key
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun list tubes
  roofrun list limits --units si")]
pub struct List {
    /// What to list
    #[arg(value_name = "WHAT", value_enum)]
    pub what: Listed,
}

/// What can be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Listed {
    /// Tube sizes
    Tubes,
    /// Fittings and their equivalent lengths
    Fittings,
    /// Parts and their typical pressure drop
    Parts,
    /// Refrigerants, their safety groups and glide
    Refrigerants,
    /// Where every number comes from
    Sources,
    /// The limits of the rules
    Limits,
}
