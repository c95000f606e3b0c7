//! `--watch`: the answer is written into a file, and again each time the job is saved.

use super::arguments::Report;
use super::screen::{self, Trouble};
use crate::page;
use crate::visible::visible;
use notify::{Event, RecursiveMode, Watcher, recommended_watcher};
use std::path::Path;
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Saving is over after so long: an editor writes a file in several steps.
const QUIET: Duration = Duration::from_millis(120);

/// Writes what `answer` gives into a file, now and each time the job is saved. It ends only where the job can't be watched or
/// the file can't be written.
pub(super) fn run(
    job: &Path,
    format: Report,
    out: &Path,
    answer: &dyn Fn() -> Result<(String, bool), Trouble>,
) -> Result<ExitCode, Trouble> {
    let (tell, events) = channel();
    let mut watcher = recommended_watcher(tell).map_err(Trouble::words)?;
    // The folder, not the file: many editors put another file in its place.
    let folder = job.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    watcher.watch(folder, RecursiveMode::NonRecursive).map_err(Trouble::words)?;
    loop {
        let text = match answer() {
            Ok((text, _)) => text,
            Err(trouble) => complaint(job, format, &screen::words(&trouble))?,
        };
        let plain = anstream::adapter::strip_str(&text).to_string();
        screen::write(out, &plain, true).map_err(|error| Trouble::words(format!("{}: {error}", out.display())))?;
        screen::note(&format!("Wrote {}.", out.display()), screen::width(None));
        if !saved(&events, job) {
            return Ok(ExitCode::SUCCESS);
        }
    }
}

/// What is wrong with the job, as text or as a page.
fn complaint(job: &Path, format: Report, words: &str) -> Result<String, Trouble> {
    let words = anstream::adapter::strip_str(words).to_string();
    match format {
        Report::Page | Report::Sheet => page::complaint(&job.display().to_string(), &words).map_err(Trouble::words),
        Report::Text | Report::Json => Ok(visible(&words).into_owned()),
    }
}

/// Waits until the job has been saved; not so where nobody tells any more.
fn saved(events: &Receiver<notify::Result<Event>>, job: &Path) -> bool {
    let is_it = |event: &notify::Result<Event>| {
        let Ok(event) = event else { return false };
        !event.kind.is_access() && event.paths.iter().any(|path| path.file_name() == job.file_name())
    };
    loop {
        match events.recv() {
            Ok(event) if is_it(&event) => break,
            Ok(_) => {}
            Err(_) => return false,
        }
    }
    std::thread::sleep(QUIET);
    events.try_iter().for_each(drop);
    true
}
