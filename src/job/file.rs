//! The job file on disk: there or not, a file or a folder, of a size and an encoding that a job file has.

use super::faults::Faults;
use super::{Job, Readings, read, read_columns, read_open, read_readings};
use crate::units::{System, spelling::nearest};
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

/// A job file of a hundred circuits is a tenth of this.
const LARGEST: u64 = 1024 * 1024;

/// What is written for standard input.
const STANDARD_INPUT: &str = "-";

/// Reads a job from its file, or from standard input for `-`.
///
/// # Errors
/// Where the file cannot be read, or every fault in it.
pub fn open(path: &Path) -> Result<Job, Faults> {
    open_with(path, read)
}

/// The same of a job whose tubes may be left open with `tube = "auto"`, to be found.
///
/// # Errors
/// Where the file cannot be read, or every fault in it.
pub fn open_unsized(path: &Path) -> Result<Job, Faults> {
    open_with(path, read_open)
}

/// Reads a file of readings taken at a job's chiller, or standard input for `-`.
///
/// # Errors
/// Where the file cannot be read, or every fault in it.
pub fn open_readings(path: &Path, job: &Job) -> Result<Readings, Faults> {
    let (name, text) = named_as(path, What::Readings)?;
    read_readings(&name, &text, job)
}

/// Reads what is said of the columns of a trend from a file, or from standard input for `-`; gauge pressures are over that atmosphere's
/// (Pa).
///
/// # Errors
/// Where the file cannot be read, or every fault in it.
pub fn open_columns(path: &Path, system: System, atmosphere: f64) -> Result<Readings, Faults> {
    let (name, text) = named_as(path, What::Readings)?;
    read_columns(&name, &text, system, atmosphere)
}

/// What a file should hold, for what is said where it is none.
#[derive(Clone, Copy)]
enum What {
    Job,
    Readings,
}

/// What a job file is called, and what stands in it.
pub(super) fn named(path: &Path) -> Result<(String, String), Faults> {
    named_as(path, What::Job)
}

fn named_as(path: &Path, what: What) -> Result<(String, String), Faults> {
    let standard = path == Path::new(STANDARD_INPUT);
    let name = if standard { "standard input".to_owned() } else { path.display().to_string() };
    let text =
        if standard { text_of(std::io::stdin().lock(), path, &name, what)? } else { contents(path, &name, what)? };
    Ok((name, text))
}

fn open_with(path: &Path, read: fn(&str, &str, &Path) -> Result<Job, Faults>) -> Result<Job, Faults> {
    let (name, text) = named(path)?;
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    read(&name, &text, folder)
}

/// The text of a file.
fn contents(path: &Path, name: &str, what: What) -> Result<String, Faults> {
    let about = std::fs::metadata(path).map_err(|error| unreadable(path, name, what, &error))?;
    if about.is_dir() {
        let jobs = job_files(path);
        let help = match jobs.as_slice() {
            [] => "name a job file".to_owned(),
            [one] => format!("name the job file in it: {one}"),
            several => format!("name a job file in it, such as {}", several[0]),
        };
        return Err(Faults::unreadable(name, "this is a folder", help));
    }
    if !about.is_file() {
        return Err(Faults::unreadable(name, "this is a pipe or a device, no file", "write - for standard input"));
    }
    if about.len() > LARGEST {
        let size = about.len().div_ceil(1024 * 1024);
        return Err(too_large(name, &format!("this is {size} MB of data")));
    }
    let file = File::open(path).map_err(|error| unreadable(path, name, what, &error))?;
    text_of(file, path, name, what)
}

/// The text that a file or standard input holds.
fn text_of(source: impl Read, path: &Path, name: &str, what: What) -> Result<String, Faults> {
    let mut bytes = Vec::new();
    // One byte more than allowed, for what has no size beforehand.
    source.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| unreadable(path, name, what, &error))?;
    if bytes.len() as u64 > LARGEST {
        return Err(too_large(name, "this is more than 1 MB of data"));
    }
    String::from_utf8(bytes).map_err(|error| not_text(name, error.as_bytes(), error.utf8_error().valid_up_to()))
}

fn too_large(name: &str, what: &str) -> Faults {
    Faults::unreadable(name, format!("{what}; a job file is text of no more than 1 MB"), "is it another file?")
}

fn unreadable(path: &Path, name: &str, what: What, error: &std::io::Error) -> Faults {
    match error.kind() {
        ErrorKind::NotFound => {
            let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
            let wanted = path.file_name().unwrap_or_default().to_string_lossy();
            let files = job_files(folder);
            let help = match (nearest(&wanted, files.iter().map(String::as_str)), what) {
                (Some(near), _) => format!("there is {near} beside it"),
                (None, What::Readings) => {
                    "a file of readings is TOML with [readings], or a trend as CSV: `roofrun diagnose --help`"
                        .to_owned()
                }
                (None, What::Job) => "`roofrun new FILE` writes a job file to start from".to_owned(),
            };
            Faults::unreadable(name, "there is no such file", help)
        }
        ErrorKind::PermissionDenied => {
            Faults::unreadable(name, "this file may not be read", "its permissions forbid it")
        }
        _ => Faults::unreadable(name, format!("this file cannot be read: {error}"), ""),
    }
}

/// Names of the job files in a folder, in order.
fn job_files(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .take(10_000)
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| Path::new(name).extension().is_some_and(|end| end == "toml"))
        .collect();
    names.sort();
    names
}

fn not_text(name: &str, bytes: &[u8], valid: usize) -> Faults {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Faults::unreadable(name, "this text is UTF-16", "save it as UTF-8");
    }
    let good = &bytes[..valid];
    let line = good.split(|&b| b == b'\n').count();
    let start = good.iter().rposition(|&b| b == b'\n').map_or(0, |i| i + 1);
    let column = String::from_utf8_lossy(&good[start..]).chars().count() + 1;
    let byte = bytes.get(valid).copied().unwrap_or_default();
    let says = format!("this is not UTF-8 text: byte 0x{byte:02X} at line {line}, column {column}");
    Faults::unreadable(name, says, "save it as UTF-8; a degree sign from an old editor is the usual cause")
}
