//! What is asked of a chiller that runs.

use super::{Form, within};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun diagnose hall.toml readings.toml
  roofrun diagnose hall.toml readings.toml --width 40      for a phone
  roofrun diagnose hall.toml - --format json < readings.toml
  roofrun diagnose hall.toml trend.csv                     a trend over days
  roofrun diagnose hall.toml trend.csv --columns what.toml --dates day-first

Exit status: 0 nothing wrong seen, 1 suspects or contradictory, 2 the input could not be used.")]
pub struct Diagnose {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// The readings, or - for standard input; or a trend as CSV
    #[arg(value_name = "READINGS")]
    pub readings: PathBuf,

    /// Of a trend: the circuit, where the job has several
    #[arg(long, value_name = "NAME")]
    pub circuit: Option<String>,

    #[command(flatten)]
    pub trend: OfATrend,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

/// What a trend does not say itself.
#[derive(Args, Debug)]
pub struct OfATrend {
    /// Of a trend: what its columns are ([columns]), and under [readings] what is the same at all times
    #[arg(long, value_name = "FILE")]
    pub columns: Option<PathBuf>,

    /// Of a trend: which number of a date comes first, where its dates can be read in two ways
    #[arg(long, value_enum)]
    pub dates: Option<Dates>,
}

/// Which number of a date comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Dates {
    MonthFirst,
    DayFirst,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun expect hall.toml --outdoor \"88 F\"
  roofrun expect hall.toml --outdoor \"60 F\" --outdoor \"75 F\" --outdoor \"95 F\"
  roofrun expect hall.toml --circuit 1 --outdoor \"88 F\" --running 1 --entering \"54 F\"")]
pub struct Expect {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Outdoor temperature; give it again for a row over several [default: the job's summer]
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    pub outdoor: Vec<String>,

    /// The circuit, where the job has several
    #[arg(long, value_name = "NAME")]
    pub circuit: Option<String>,

    /// Compressors running [default: all]
    #[arg(long, value_name = "COUNT", value_parser = compressors)]
    pub running: Option<u32>,

    /// Fluid that enters the evaporator [default: that of the job's leaving fluid]
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    pub entering: Option<String>,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

fn compressors(text: &str) -> Result<u32, String> {
    within(text, 1..=100)
}
