//! What can be asked on the command line.

use crate::units::System;
use clap::builder::Styles;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

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
    #[arg(long, global = true, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=1000))]
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
    /// Print the JSON Schema of a job or of readings, for editors and programs
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

#[derive(Args, Debug)]
pub(super) struct Check {
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
pub(super) struct Shown {
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
pub(super) struct Schema {
    /// Of what
    #[arg(value_name = "WHAT", value_enum)]
    pub what: Described,
}

/// What has a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Described {
    /// The job file
    Job,
    /// The file of readings
    Readings,
}

#[derive(Args, Debug)]
pub(super) struct JobFile {
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
pub(super) struct RemedyArguments {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Write the job with the changes made, its comments and layout kept
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Replace FILE if it is there
    #[arg(long, requires = "write")]
    pub overwrite: bool,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun diagnose hall.toml readings.toml
  roofrun diagnose hall.toml readings.toml --width 40      for a phone
  roofrun diagnose hall.toml - --format json < readings.toml
  roofrun diagnose hall.toml trend.csv                     a trend over days
  roofrun diagnose hall.toml trend.csv --columns what.toml --dates day-first

Exit status: 0 nothing wrong seen, 1 suspects or contradictory, 2 the input could not be used.")]
pub(super) struct Diagnose {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// The readings, or - for standard input; or a trend as CSV
    #[arg(value_name = "READINGS")]
    pub readings: PathBuf,

    /// Of a trend: what its columns are ([columns]), and under [readings] what is the same at all times
    #[arg(long, value_name = "FILE")]
    pub columns: Option<PathBuf>,

    /// Of a trend: the circuit, where the job has several
    #[arg(long, value_name = "NAME")]
    pub circuit: Option<String>,

    /// Of a trend: which number of a date comes first, where its dates can be read in two ways
    #[arg(long, value_enum)]
    pub dates: Option<Dates>,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

/// Which number of a date comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Dates {
    MonthFirst,
    DayFirst,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun expect hall.toml --outdoor \"88 F\"
  roofrun expect hall.toml --outdoor \"60 F\" --outdoor \"75 F\" --outdoor \"95 F\"
  roofrun expect hall.toml --circuit 1 --outdoor \"88 F\" --running 1 --entering \"54 F\"")]
pub(super) struct Expect {
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
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u32).range(1..=100))]
    pub running: Option<u32>,

    /// Fluid that enters the evaporator [default: that of the job's leaving fluid]
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    pub entering: Option<String>,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

/// How a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum ListFormat {
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
pub(super) struct TakeOff {
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
pub(super) enum What {
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
pub(super) struct Draw {
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

    /// For a phone: 360 wide, tags with a table below
    #[arg(long)]
    pub narrow: bool,

    /// Write it to a file instead of standard output; as PNG where its name ends so and the build has that
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
pub(super) struct Size {
    /// The job file, or - for standard input
    #[arg(value_name = "JOB")]
    pub job: PathBuf,

    /// Size every run, not only those whose tube is "auto"
    #[arg(long)]
    pub all: bool,

    /// Kinds or sizes to search, separated by commas: ACR, L, K, "1-3/8 ACR", a tube of the job's own [default: all]
    #[arg(long = "from", value_name = "TUBES", value_delimiter = ',')]
    pub kinds: Option<Vec<String>>,

    /// Put the tubes into a copy of the job, its comments and layout kept
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Let --write replace a file that is there
    #[arg(long, requires = "write")]
    pub overwrite: bool,

    /// For people, for programs (SI, the unit in each key), or as a page
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun new hall.toml     writes the file; one that is there already stays as it is
  roofrun new | less        shows it
  roofrun new --refrigerant R-454B --units si --below hall.toml
  roofrun new --short --auto plan.toml    few lines, the tube for `roofrun size` to find")]
pub(super) struct New {
    /// Where to write it, or - for standard output [default: standard output]
    #[arg(value_name = "FILE")]
    pub file: Option<PathBuf>,

    /// Its refrigerant: pressures and tube follow
    #[arg(long, value_name = "NAME", default_value = "R-410A")]
    pub refrigerant: String,

    /// Put the condenser below the chiller
    #[arg(long)]
    pub below: bool,

    /// Leave the tube open, for `roofrun size`
    #[arg(long)]
    pub auto: bool,

    /// In few lines: what is not said is assumed, and told by `check`
    #[arg(long)]
    pub short: bool,
}

#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  roofrun rules
  roofrun rules liquid-flash")]
pub(super) struct Rules {
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
pub(super) struct State {
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
pub(super) struct List {
    /// What to list
    #[arg(value_name = "WHAT", value_enum)]
    pub what: Listed,
}

/// What can be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Listed {
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

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_are_well_formed() {
        Arguments::command().debug_assert();
    }
}
