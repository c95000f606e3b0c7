//! A weather file is opened and its format told by what stands in it.

use super::errors::{DATE, WeatherFault};
use super::header::{NAMES, begins, split};
use super::reading::shown;
use super::year::Weather;
use super::{epw, tmy3};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// A year in steps of five minutes stays below it.
const LARGEST: u64 = 32 * 1024 * 1024;

/// Reads a weather file.
///
/// # Errors
/// Where it is not there, is none, or has no full year.
pub fn open(path: &Path) -> Result<Weather, WeatherFault> {
    let name = path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
    let unreadable = |why: std::io::Error| match why.kind() {
        std::io::ErrorKind::NotFound => WeatherFault::Absent(name.clone()),
        _ => WeatherFault::Unreadable { name: name.clone(), why },
    };
    let about = std::fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(WeatherFault::Folder(name));
    }
    if !about.is_file() {
        return Err(WeatherFault::Device(name));
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes)).map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST {
        return Err(WeatherFault::TooLarge(name));
    }
    read(&name, &decoded(bytes))
}

/// The text of a file: UTF-8, or Latin-1, in which the names of places are often written.
fn decoded(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).unwrap_or_else(|no| no.into_bytes().into_iter().map(char::from).collect())
}

/// Reads the text of a weather file, an EPW or a TMY3 CSV.
///
/// # Errors
/// Where it is neither, or has no full year.
pub fn read(name: &str, text: &str) -> Result<Weather, WeatherFault> {
    let text = text.trim_start_matches('\u{feff}');
    let mut lines = text.lines();
    let (first, second) = (lines.next().unwrap_or_default(), lines.next().unwrap_or_default());
    let starts = |line: &str, word: &str| split(line).first().is_some_and(|field| begins(field, word));
    if starts(first, NAMES[0]) {
        epw::read(name, text)
    } else if starts(second, DATE) {
        tmy3::read(name, text)
    } else {
        Err(WeatherFault::Other { name: name.to_owned(), found: other(text, first, second) })
    }
}

/// What a file of another format looks like.
fn other(text: &str, first: &str, second: &str) -> String {
    let first_field = split(first).into_iter().next().unwrap_or_default();
    let start = text.trim_start();
    if start.is_empty() {
        "is empty".into()
    } else if start.starts_with("PK\u{3}\u{4}") || start.starts_with('\u{1f}') {
        "is packed: unpack it first".into()
    } else if text.contains('\0') {
        "is no plain text".into()
    } else if start.starts_with(['{', '[']) {
        "looks like JSON".into()
    } else if start.starts_with('<') {
        "looks like a web page or XML".into()
    } else if NAMES.iter().any(|name| begins(&first_field, name)) {
        format!("begins with {}, a later line of an EPW's head: the lines before it are cut off", shown(&first_field))
    } else if first.split(',').count() >= 22
        && first.split(',').take(5).all(|field| field.trim().parse::<u16>().is_ok())
    {
        "begins with an hour of an EPW: the eight lines of its head are cut off".into()
    } else if begins(&first_field, DATE) {
        "begins with the columns of a TMY3 CSV: the station's line before them is cut off".into()
    } else if is_tmy2(first, second) {
        "looks like a TMY2 file, the older format in fixed columns".into()
    } else {
        // What is in it is not shown: the path may be wrong, and the file none of the reader's.
        "is no weather file".into()
    }
}

/// The older typical years: a station's line, then hours of 142 columns that begin with year, month, day and hour.
fn is_tmy2(first: &str, second: &str) -> bool {
    let digits = |text: Option<&str>| text.is_some_and(|t| t.bytes().all(|b| b.is_ascii_digit()));
    !first.contains(',')
        && digits(first.get(1..6))
        && (120..=160).contains(&second.trim_end().len())
        && digits(second.get(1..9))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        read("hall.epw", text).unwrap_err().to_string()
    }

    #[test]
    fn another_format() {
        let expected = "; an EPW begins with LOCATION, and the second line of a TMY3 CSV with Date (MM/DD/YYYY)";
        let tmy2 =
            format!(" 12839 MIAMI                  FL  -5 N 25 48 W  80 16     2\n 62010101{}\n", "0".repeat(133));
        let hour = format!("2018,1,1,1,0,?{}\n", ",1".repeat(29));
        let cases = [
            ("", "is empty"),
            (" \n\n", "is empty"),
            ("{\"hourly\": []}", "looks like JSON"),
            ("<!DOCTYPE html>", "looks like a web page or XML"),
            ("PK\u{3}\u{4}\u{14}\0", "is packed: unpack it first"),
            ("L\0O\0C\0", "is no plain text"),
            (
                "DESIGN CONDITIONS,0\n",
                "begins with DESIGN CONDITIONS, a later line of an EPW's head: the lines before it are cut off",
            ),
            (&hour, "begins with an hour of an EPW: the eight lines of its head are cut off"),
            (
                "Date (MM/DD/YYYY),Time (HH:MM)\n",
                "begins with the columns of a TMY3 CSV: the station's line before them is cut off",
            ),
            (&tmy2, "looks like a TMY2 file, the older format in fixed columns"),
            ("date,temperature\n2018-01-01,3.4\n", "is no weather file"),
        ];
        for (text, found) in cases {
            assert_eq!(said(text), format!("hall.epw {found}{expected}"));
        }
    }

    /// 0xE3 and 0xE9 are \u{e3} and \u{e9} of Latin-1, and no UTF-8.
    #[test]
    fn latin_1_is_read_as_such() {
        assert_eq!(decoded(b"S\xe3o Jos\xe9".to_vec()), "S\u{e3}o Jos\u{e9}");
        assert_eq!(decoded("S\u{e3}o".as_bytes().to_vec()), "S\u{e3}o");
    }

    #[test]
    fn the_format_is_told_by_what_stands_in_the_file() {
        assert!(said("\u{feff}location,Somewhere").starts_with("hall.epw, line 2: the file ends in its head"));
        assert!(
            said("1,\"A, B\",XX\nDate (MM/DD/YYYY),Time (HH:MM)").starts_with("hall.epw, line 2: the columns lack")
        );
    }
}
