//! `new`: a job to start from.

use super::HOLDS;
use super::arguments::New;
use super::screen::{self, Trouble};
use std::fs::File;
use std::io::{ErrorKind, Write};

/// The job.
const STARTER: &str = include_str!("starter.toml");

pub(super) fn run(what: &New) -> Result<u8, Trouble> {
    let Some(path) = &what.file else {
        screen::print(STARTER)?;
        return Ok(HOLDS);
    };
    let shown = path.display();
    let trouble = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            Trouble::words(format!("{shown} is there already and stays as it is; give another name"))
        }
        _ => Trouble::words(format!("{shown} can't be written: {error}")),
    };
    let mut file = File::create_new(path).map_err(trouble)?;
    file.write_all(STARTER.as_bytes()).map_err(trouble)?;
    screen::print(&format!("Wrote {shown}. It passes as it stands: roofrun check {shown}\n"))?;
    Ok(HOLDS)
}
