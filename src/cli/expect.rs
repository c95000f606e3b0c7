//! `expect`: what a healthy chiller shows.

use super::arguments::{Expect, Form};
use super::diagnose::{none, open};
use super::screen::{self, Trouble, View};
use crate::diagnose::{self, Wanted};
use crate::page;
use crate::units::{Kind, System, quantity};
use std::process::ExitCode;

pub(super) fn run(what: &Expect, view: View) -> Result<ExitCode, Trouble> {
    let (job, unknown) = open(&what.job, view)?;
    let read = |option: &str, text: &String| kelvin(option, text, job.units);
    let wanted = Wanted {
        circuit: what.circuit.clone(),
        outdoor: what.outdoor.iter().map(|text| read("--outdoor", text)).collect::<Result<_, _>>()?,
        running: what.running,
        entering_K: what.entering.as_ref().map(|text| read("--entering", text)).transpose()?,
        unknown,
    };
    let expected = diagnose::expected(&job, &wanted).map_err(none)?;
    let text = match what.format {
        Form::Text => diagnose::expected_text(&job, &expected, view.width),
        Form::Page => page::expectation(&job, &expected).map_err(Trouble::words)?,
        Form::Json => diagnose::expected_json(&job, &expected).map_err(Trouble::words)?,
    };
    screen::answer(&text, false)
}

fn kelvin(option: &str, text: &str, units: System) -> Result<f64, Trouble> {
    quantity(text, Kind::Temperature, units, 101_325.0).map_err(|misread| {
        let instead = misread.instead.as_ref().map(|right| format!("; write \"{right}\"")).unwrap_or_default();
        Trouble::words(format!("{option} \"{text}\": {misread}{instead}"))
    })
}
