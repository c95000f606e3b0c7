//! What is asked of a job.

use super::{Form, OfATrend, Report};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Args, Debug)]
pub struct Check {
    /// Job files, or - for standard input
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<PathBuf>,

    #[command(flatten)]
    pub shown: Shown,

    /// A line for each job: how many failures, cautions and notes, and what fails
    #[arg(long, conflicts_with_all = ["format", "full"])]
    pub brief: bool,

    /// Of two jobs, the old and the new: what is cured, what newly fails, what changed
    #[arg(long, conflicts_with_all = ["format", "full", "brief"])]
    pub compare: bool,
}

/// How the answer of a job is shown.
#[derive(Args, Clone, Debug)]
pub struct Shown {
    /// For people, for programs (SI, the unit in each key), as a page, or as a review sheet
    #[arg(long, value_enum, default_value_t = Report::Text)]
    pub format: Report,

    /// The text with everything: every remedy, the margins of what passed, all tables, assumptions, cautions
    #[arg(long)]
    pub full: bool,

    /// Write the answer into FILE, and again each time the job is saved, until stopped; errors stand in it too
    #[cfg(feature = "watch")]
    #[arg(long, value_name = "FILE")]
    pub watch: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub struct JobFile {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    #[command(flatten)]
    pub shown: Shown,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun remedy hall.toml
  roofrun remedy hall.toml --write changed.toml
  roofrun remedy hall.toml --format json

Exit status: 0 nothing fails with the changes, 1 something still does, 2 the job could not be used.")]
pub struct RemedyArguments {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Write the job with the changes made, its comments and layout kept; - for standard output, and it alone
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Replace FILE if it is there
    #[arg(long, requires = "write")]
    pub overwrite: bool,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

/// How a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ListFormat {
    Text,
    Csv,
    Json,
    /// One HTML file that needs nothing else
    Page,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun take-off hall.toml
  roofrun take-off hall.toml --allowance 15
  roofrun take-off hall.toml --format csv > hall.csv")]
pub struct TakeOff {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Added to the drawn lengths for cuts and waste, in percent [default: 10]
    #[arg(long, value_name = "PERCENT", value_parser = percent, allow_hyphen_values = true)]
    pub allowance: Option<f64>,

    /// For people, for a spreadsheet in the job's units, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = ListFormat::Text)]
    pub format: ListFormat,
}

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum What {
    /// Both lines of a circuit in elevation, heights to scale
    Route,
    /// The roof to scale: room, warm air by the wind, sound at each listener
    Plan,
    /// A piping sketch of a circuit for the take-off, where its level runs say how they turn; else the route
    Isometric,
    /// Pressure along the liquid line against bubble pressure, at each operating point
    Liquid,
    /// Oil return of the first riser: its flow over the minimum flow
    Oil,
    /// Capacity and power over outdoor temperature
    Capacity,
    /// The cycle on the pressure-enthalpy diagram
    Cycle,
    /// The year: load and capacity by duration
    Duration,
    /// The year: maps of the hours that are counted
    Hours,
    /// What was read against what is expected, or a trend over its time, of --readings
    Read,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun draw hall.toml --out hall.svg
  roofrun draw hall.toml --what route --circuit 1 --out 1.svg
  roofrun draw hall.toml --narrow > phone.svg")]
pub struct Draw {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// What is drawn
    #[arg(long, value_enum, default_value_t = What::Route)]
    pub what: What,

    /// The circuit, where the job has several
    #[arg(long, value_name = "NAME")]
    pub circuit: Option<String>,

    /// Readings or a trend, as `diagnose` takes them, for --what read
    #[arg(long, value_name = "FILE", required_if_eq("what", "read"))]
    pub readings: Option<PathBuf>,

    #[command(flatten)]
    pub trend: OfATrend,

    /// For a phone: 360 wide, tags with a table below
    #[arg(long)]
    pub narrow: bool,

    /// Write it to a file, or - for standard output, as without it; as PNG where its name ends so and the build has that
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,

    /// Replace FILE if it is there
    #[arg(long, requires = "out")]
    pub overwrite: bool,
}

/// A percentage as a share: `10`, `10 %`, `7.5`.
fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    match number.parse::<f64>() {
        Ok(percent) if percent.is_finite() => Ok(percent / 100.0),
        _ => Err("a percentage, such as 10".to_owned()),
    }
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun size plan.toml                            runs whose tube is \"auto\"
  roofrun size hall.toml --all --from ACR,K         every run, from ACR and type K
  roofrun size plan.toml --write hall.toml          the job with its tubes in place

Exit status: 0 all open runs sized, 1 nothing passes, 2 the job could not be used.")]
pub struct Size {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Size every run, not only those whose tube is "auto"
    #[arg(long)]
    pub all: bool,

    /// Kinds or sizes to search, separated by commas: ACR, L, K, "1-3/8 ACR", a tube of the job's own [default: all]
    #[arg(long = "from", value_name = "TUBES", value_delimiter = ',')]
    pub kinds: Option<Vec<String>>,

    /// Put the tubes into a copy of the job, its comments and layout kept; - for standard output, and it alone
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Let --write replace a file that is there
    #[arg(long, requires = "write")]
    pub overwrite: bool,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}
