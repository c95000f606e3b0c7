//! `size`: the tube of open runs.

use super::arguments::{Form, Size};
use super::check;
use super::screen::{self, Trouble, View};
use crate::size::{self, Sizing};
use crate::{job, page};
use std::path::Path;
use std::process::ExitCode;

pub(super) fn run(what: &Size, view: View) -> Result<ExitCode, Trouble> {
    if let Some(file) = &what.write {
        screen::may_write(file, what.overwrite)?;
    }
    let mut job = job::open_unsized(&what.job).map_err(|faults| Trouble::Text(faults.render(true, view.width)))?;
    job.units = view.units.unwrap_or(job.units);
    if what.all {
        size::open_all(&mut job);
    }
    let tubes = what.kinds.as_ref().map_or_else(
        || Ok(size::catalogue(&job)),
        |kinds| size::of_kinds(&job, kinds).map(|tubes| [tubes, Vec::new()]).map_err(Trouble::words),
    )?;
    let sizing = size::size(&job, &tubes).map_err(|faults| check::unsurveyed(&job, &faults, view))?;
    let text = match what.format {
        Form::Text => size::text(&job, &sizing, view.width),
        Form::Page => page::sizing(&job, &sizing).map_err(Trouble::words)?,
        Form::Json => size::json(&sizing).map_err(Trouble::words)?,
    };
    // The sized job stands alone where it goes to standard output.
    let alone = what.write.as_deref().is_some_and(screen::is_standard);
    if !alone || !sizing.complete() {
        screen::print(&text)?;
    }
    if !sizing.complete() {
        if let Some(file) = &what.write {
            screen::note(&format!("{} was not written: not all open runs are sized.", file.display()), view.width);
        }
        return Ok(ExitCode::FAILURE);
    }
    if let Some(file) = &what.write {
        put(file, what.overwrite, &job.text, &sizing, view)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Writes the job with its tubes into a file; one that is there stays unless told otherwise.
fn put(file: &Path, overwrite: bool, text: &str, sizing: &Sizing, view: View) -> Result<(), Trouble> {
    let written = size::write(text, &sizing.job).map_err(Trouble::words)?;
    screen::put(file, &written, overwrite)?;
    if !screen::is_standard(file) {
        screen::note(&format!("Wrote {} with the tubes in place.", file.display()), view.width);
    }
    Ok(())
}
