//! Printing, and what goes wrong with it.

use crate::layout::style;
use crate::units::System;
use crate::visible::visible;
use std::fmt::Display;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

/// Exit status: the input could not be used.
pub(super) const UNUSABLE: u8 = 2;

/// Columns where there is no terminal to ask.
const PIPE: usize = 80;
/// The narrowest sheet.
const NARROWEST: usize = 40;

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
    pub fn words(words: impl Display) -> Self {
        Self::Words(words.to_string())
    }
}

/// How a result is shown.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    /// Columns of a text.
    pub width: usize,
    /// Units in place of the job's.
    pub units: Option<System>,
}

/// Columns of a text: as asked, else the terminal's, else those of `COLUMNS`, else 80.
pub(super) fn width(asked: Option<u16>) -> usize {
    let terminal = || terminal_size::terminal_size_of(io::stdout()).map(|(width, _)| width.0);
    let environment = || std::env::var("COLUMNS").ok()?.trim().parse::<u16>().ok();
    asked.or_else(terminal).or_else(environment).map_or(PIPE, usize::from).max(NARROWEST)
}

/// Prints an answer and gives the exit status.
pub(super) fn answer(text: &str, fails: bool) -> Result<ExitCode, Trouble> {
    print(text)?;
    Ok(if fails { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}

/// Prints a text. A reader that has gone away is no trouble: there is nobody left to tell.
pub(super) fn print(text: &str) -> Result<(), Trouble> {
    send(&mut anstream::stdout().lock(), text.as_bytes())
}

fn send(out: &mut impl Write, bytes: &[u8]) -> Result<(), Trouble> {
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Trouble::Output(error)),
        _ => Ok(()),
    }
}

/// A trouble in words.
#[cfg(feature = "watch")]
pub(super) fn words(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Words(words) | Trouble::Text(words) => words.clone(),
        Trouble::Output(error) => error.to_string(),
    }
}

/// Tells a trouble on standard error, no line of it wider than that, and gives the exit status.
pub(super) fn tell(trouble: &Trouble, width: usize) -> ExitCode {
    let mut out = anstream::stderr().lock();
    let named = |words: &str| within(&format!("{0}roofrun{0:#}: {words}", style::STRONG), width);
    let told = match trouble {
        Trouble::Words(words) => writeln!(out, "{}", named(&visible(words))),
        Trouble::Text(text) => {
            write!(out, "{text}").and_then(|()| if text.ends_with('\n') { Ok(()) } else { writeln!(out) })
        }
        Trouble::Output(error) => writeln!(out, "{}", named(&format!("standard output can't be written: {error}"))),
    };
    // Where even standard error is gone, the exit status is all that is left.
    let _ = told;
    UNUSABLE.into()
}

/// A text with its lines broken at that width; what is broken off stands two columns further in.
pub(super) fn within(text: &str, width: usize) -> String {
    let line = |line: &str| {
        let indent = " ".repeat(line.len() - line.trim_start_matches(' ').len() + 2);
        let options = textwrap::Options::new(width).subsequent_indent(&indent);
        textwrap::fill(line, options.word_splitter(textwrap::WordSplitter::NoHyphenation))
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Says on standard error what was done beside the result.
pub(super) fn note(words: &str, width: usize) {
    // Where standard error is gone there is nobody left to tell.
    let _ = writeln!(anstream::stderr().lock(), "{}", within(&visible(words), width));
}

/// Whether a file's name is that of standard input or output.
pub(super) fn is_standard(file: &Path) -> bool {
    file == Path::new("-")
}

/// Refuses a file that is there already, unless it may be replaced.
pub(super) fn may_write(file: &Path, overwrite: bool) -> Result<(), Trouble> {
    if overwrite || is_standard(file) || !file.exists() { Ok(()) } else { Err(there_already(file)) }
}

fn there_already(file: &Path) -> Trouble {
    Trouble::words(format!(
        "{} is there already and stays as it is; give another name, or --overwrite to replace it",
        file.display()
    ))
}

/// Writes a file that was required, or to standard output for `-`.
pub(super) fn put(file: &Path, text: impl AsRef<[u8]>, overwrite: bool) -> Result<(), Trouble> {
    if is_standard(file) {
        return send(&mut io::stdout().lock(), text.as_ref());
    }
    write(file, text, overwrite).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => there_already(file),
        _ => Trouble::words(format!("{} can't be written: {error}", file.display())),
    })
}

/// Writes a file whole or not at all: beside its place first, then put there, with the permissions of what it replaces and
/// through a link to what it leads to. Without `replace` one that is there already stays, which is an error.
pub(super) fn write(path: &Path, text: impl AsRef<[u8]>, replace: bool) -> io::Result<()> {
    let target = if path.is_symlink() { fs::canonicalize(path)? } else { path.to_owned() };
    let stands = fs::metadata(&target).ok();
    if replace && stands.as_ref().is_some_and(|stands| !stands.is_file()) {
        // A pipe or a device is written to, not replaced.
        return fs::write(&target, text);
    }
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.prefix(".roofrun-").tempfile_in(folder)?;
    file.write_all(text.as_ref())?;
    if let (true, Some(stands)) = (replace, stands) {
        file.as_file().set_permissions(stands.permissions())?;
    }
    file.as_file().sync_all()?;
    if replace { file.persist(&target) } else { file.persist_noclobber(&target) }.map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::write;
    use std::fs;

    #[test]
    fn a_file_is_made_and_one_that_is_there_stays_unless_it_is_to_be_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.toml");
        write(&path, "one", false).unwrap();
        assert_eq!(write(&path, "two", false).unwrap_err().kind(), std::io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read_to_string(&path).unwrap(), "one");
        write(&path, "two", true).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left beside it");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_still_leads_there_and_permissions_stay() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("job.toml"), folder.path().join("link.toml"));
        fs::write(&path, "one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&path, &link).unwrap();
        write(&link, "two", true).unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        fs::remove_file(&path).unwrap();
        assert!(write(&link, "three", true).is_err(), "a link to nothing");
    }
}
