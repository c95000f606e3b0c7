//! Printing, and what goes wrong with it.

use super::UNUSABLE;
use crate::report::style;
use std::fs::File;
use std::io::{self, IsTerminal, Write};
use std::path::Path;

/// Columns where there is no terminal to ask.
const PIPE: usize = 100;
/// The narrowest sheet.
const NARROWEST: usize = 60;

/// Why a command ends without its result.
#[derive(Debug)]
pub(super) enum Trouble {
    /// Words for a person, without a label and possibly in colour.
    Words(String),
    /// A text that stands as it is: the complaints about a job.
    Text(String),
    /// Standard output can't be written.
    Output(io::Error),
}

impl Trouble {
    /// From anything that can say what is wrong.
    pub fn words(words: impl Into<String>) -> Self {
        Self::Words(words.into())
    }
}

/// Standard output with its width.
#[derive(Debug)]
pub(super) struct Screen {
    width: usize,
}

impl Screen {
    /// Of the asked width; else of the terminal's; else of 100 columns.
    pub fn new(asked: Option<u16>) -> Self {
        let terminal = || {
            let stdout = io::stdout();
            if !stdout.is_terminal() {
                return None;
            }
            terminal_size::terminal_size_of(&stdout).map(|(width, _)| usize::from(width.0))
        };
        let width = asked.map(usize::from).or_else(terminal).unwrap_or(PIPE);
        Self { width: width.max(NARROWEST) }
    }

    /// Its columns.
    pub fn width(&self) -> usize {
        self.width
    }
}

/// Prints a text. A reader that has gone away is no trouble: there is nobody left to tell.
pub(super) fn print(text: &str) -> Result<(), Trouble> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Trouble::Output(error)),
        _ => Ok(()),
    }
}

/// Tells a trouble on standard error and gives the exit status.
pub(super) fn tell(trouble: &Trouble) -> u8 {
    let mut out = anstream::stderr().lock();
    let told = match trouble {
        Trouble::Words(words) => writeln!(out, "{0}roofrun{0:#}: {words}", style::STRONG),
        Trouble::Text(text) => {
            write!(out, "{text}").and_then(|()| if text.ends_with('\n') { Ok(()) } else { writeln!(out) })
        }
        Trouble::Output(error) => {
            writeln!(out, "{0}roofrun{0:#}: standard output can't be written: {error}", style::STRONG)
        }
    };
    // Where even standard error is gone, the exit status is all that is left.
    let _ = told;
    UNUSABLE
}

/// Says on standard error what was done beside the result.
pub(super) fn note(words: &str) {
    // Where standard error is gone there is nobody left to tell.
    let _ = writeln!(anstream::stderr().lock(), "{words}");
}

/// Refuses a file that is there already, unless it may be replaced.
pub(super) fn may_write(file: &Path, overwrite: bool) -> Result<(), Trouble> {
    if overwrite || !file.exists() {
        return Ok(());
    }
    Err(Trouble::words(format!(
        "{} is there already and stays as it is; give another name, or --overwrite to replace it",
        file.display()
    )))
}

/// Writes a file: whole beside its place, then moved there.
pub(super) fn write(file: &Path, overwrite: bool, text: &str) -> Result<(), Trouble> {
    may_write(file, overwrite)?;
    let trouble = |error: io::Error| Trouble::words(format!("{} can't be written: {error}", file.display()));
    let mut out = if overwrite { File::create(file) } else { File::create_new(file) }.map_err(trouble)?;
    out.write_all(text.as_bytes()).map_err(trouble)
}
