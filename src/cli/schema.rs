//! `schema`: what editors and programs hold a file against.

use super::arguments::{Described, Schema};
use super::screen::{self, Trouble};
use crate::job;
use std::process::ExitCode;

pub(super) fn run(what: &Schema) -> Result<ExitCode, Trouble> {
    let schema = match what.what {
        Described::Job => job::job_schema(),
        Described::Readings => job::readings_schema(),
    };
    let text = serde_json::to_string_pretty(&schema).map_err(Trouble::words)?;
    screen::answer(&format!("{text}\n"), false)
}
