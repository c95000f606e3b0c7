//! What to buy and to braze for a job: tube, fittings, parts, insulation, hangers, joints and nitrogen.
//!
//! [`TakeOff`] holds the list; [`TakeOff::text`], [`TakeOff::csv`] and [`TakeOff::json`] only write it out.

mod answer;
mod count;
mod junction;
pub mod numbers;
mod piece;
mod pressure_test;
mod rows;
mod rules;
mod spreadsheet;
mod text;

use answer::Allowance;
pub use answer::{FittingRow, TakeOff};

use crate::job::{Job, Line};
use crate::refdata::practice;
use crate::report::{TOOL, schema_of, write_json};
use crate::survey::Survey;
use count::Totals;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize, JsonSchema)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    #[serde(flatten)]
    take_off: &'a TakeOff,
}

/// The JSON Schema of the list.
#[must_use]
pub fn schema() -> Value {
    schema_of::<Document>("The answer of `take-off`")
}

/// Why there is no take-off.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TakeOffFault {
    /// Tube that is left open.
    #[error(
        "{file}: a take-off needs every size, and the tube is left open in {}; run `roofrun size {file}` first",
        runs.join(", ")
    )]
    Open {
        /// The job's file.
        file: String,
        /// The runs, as circuit, line and number.
        runs: Vec<String>,
    },
    /// An allowance that nobody adds to a length.
    #[error("an allowance of {percent} % over the drawn length: it is from 0 to 100 %")]
    Allowance {
        /// In percent.
        percent: f64,
    },
    /// The list could not be written.
    #[error("the list can't be written: {0}")]
    Unwritten(String),
}

impl TakeOff {
    /// Counts a job: every circuit, times its copies. Refrigerant is counted where the job is given as solved.
    ///
    /// `allowance` is the share added to drawn lengths, 0 to 1; without it the default of `refdata::practice`.
    ///
    /// # Errors
    /// [`TakeOffFault`] for tube that is left open, and for an allowance out of its range.
    pub fn new(job: &Job, survey: Option<&Survey>, allowance: Option<f64>) -> Result<Self, TakeOffFault> {
        let share = match allowance {
            Some(share) if (0.0..=1.0).contains(&share) => share,
            Some(share) => return Err(TakeOffFault::Allowance { percent: (share * 1e8).round() / 1e6 }),
            None => practice("allowance").map_or(0.0, |practice| practice.value),
        };
        let runs = left_open(job);
        if !runs.is_empty() {
            return Err(TakeOffFault::Open { file: job.file.clone(), runs });
        }
        let source = match allowance {
            Some(_) => "user".to_owned(),
            None => practice("allowance").map_or_else(String::new, |practice| practice.source.clone()),
        };
        Ok(rows::take_off(job, survey, &Totals::of(job), Allowance { share, source }))
    }

    /// The list as JSON, format 1: SI base units, the unit in the key.
    ///
    /// # Errors
    /// [`TakeOffFault::Unwritten`], which no list of a job that was read brings about.
    pub fn json(&self) -> Result<String, TakeOffFault> {
        let answer = Document { format: 1, tool: TOOL, take_off: self };
        write_json(&answer).map_err(|fault| TakeOffFault::Unwritten(fault.to_string()))
    }
}

/// The runs whose tube is left open.
fn left_open(job: &Job) -> Vec<String> {
    let of = |name: &str, which: &str, line: &Line| -> Vec<String> {
        let open = line.runs.iter().enumerate().filter(|(_, run)| run.open);
        open.map(|(i, _)| format!("circuit {name} {which} run {}", i + 1)).collect()
    };
    job.circuits
        .iter()
        .flat_map(|c| [of(&c.name, "discharge", &c.discharge), of(&c.name, "liquid", &c.liquid)])
        .flatten()
        .collect()
}
