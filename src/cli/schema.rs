//! `schema`: what editors and programs hold a file or an answer against.

use super::arguments::{Described, Schema};
use super::screen::{self, Trouble};
use super::state;
use crate::{diagnose, job, report, site, size, takeoff};
use std::process::ExitCode;

pub(super) fn run(what: &Schema) -> Result<ExitCode, Trouble> {
    let schema = match what.what {
        Described::Job => job::job_schema(),
        Described::Readings => job::readings_schema(),
        Described::Check => report::schema(),
        Described::Remedy => report::proposal::schema(),
        Described::Site => site::schema(),
        Described::Size => size::schema(),
        Described::TakeOff => takeoff::schema(),
        Described::State => state::schema(),
        Described::Diagnose => diagnose::schema(),
        Described::Expect => diagnose::expected_schema(),
    };
    let text = serde_json::to_string_pretty(&schema).map_err(Trouble::words)?;
    screen::answer(&format!("{text}\n"), false)
}
