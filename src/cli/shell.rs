//! `completions` and `man`: what a shell and a reader of manuals want.

use super::arguments::Arguments;
use super::screen::{self, Trouble};
use clap::CommandFactory;
use clap_complete::{Shell, generate};
use clap_mangen::{Man, generate_to};
use std::path::Path;
use std::process::ExitCode;

/// Prints what completes the command line.
pub(super) fn completions(shell: Shell) -> Result<ExitCode, Trouble> {
    let mut text = Vec::new();
    generate(shell, &mut Arguments::command(), "roofrun", &mut text);
    screen::answer(&String::from_utf8_lossy(&text), false)
}

/// Prints the main page of the manual, or writes all pages into a folder.
pub(super) fn man(folder: Option<&Path>) -> Result<ExitCode, Trouble> {
    let Some(folder) = folder else {
        let mut page = Vec::new();
        Man::new(Arguments::command()).render(&mut page).map_err(Trouble::words)?;
        return screen::answer(&String::from_utf8_lossy(&page), false);
    };
    let written = generate_to(Arguments::command(), folder);
    written.map_err(|error| Trouble::words(format!("{}: {error}", folder.display())))?;
    screen::answer(&format!("Wrote the pages of the manual into {}.\n", folder.display()), false)
}
