//! `new`: a job to start from.

use super::arguments::New;
use super::screen::{self, Trouble, View};
use super::starter::starter;
use crate::units::System;
use std::io::ErrorKind;
use std::process::ExitCode;

pub(super) fn run(what: &New, view: View) -> Result<ExitCode, Trouble> {
    #[cfg(feature = "prompts")]
    if super::questions::are_asked(what) {
        let Some(answers) = super::questions::ask(view.units)? else { return Ok(ExitCode::SUCCESS) };
        return written(&answers.choice, answers.units);
    }
    written(what, view.units.unwrap_or_default())
}

fn written(what: &New, units: System) -> Result<ExitCode, Trouble> {
    let text = starter(what, units)?;
    let Some(path) = what.file.as_deref().filter(|path| !screen::is_standard(path)) else {
        return screen::answer(&text, false);
    };
    let shown = path.display();
    let trouble = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            Trouble::words(format!("{shown} is there already and stays as it is; give another name"))
        }
        _ => Trouble::words(format!("{shown} can't be written: {error}")),
    };
    screen::write(path, &text, false).map_err(trouble)?;
    let next = if what.auto {
        format!("Its tube is left open: roofrun size {shown}")
    } else {
        format!("It passes: roofrun check {shown}")
    };
    screen::answer(&format!("Wrote {shown}. {next}\n"), false)
}
