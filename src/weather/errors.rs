//! What is wrong with a weather file, as a whole and line by line.

use std::fmt;

/// So many are told; the rest is counted.
const MAXIMUM: usize = 10;
/// The first column of a TMY3 CSV.
pub(super) const DATE: &str = "Date (MM/DD/YYYY)";

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineError {
    /// The line, from 1.
    pub line: usize,
    /// The field, from 1; none where it is the line's as a whole.
    pub field: Option<usize>,
    /// What is wrong, and what was expected.
    pub what: String,
}

/// The faults of a file in the order of its lines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineErrors {
    told: Vec<LineError>,
    more: usize,
}

impl LineErrors {
    /// A single one, of a line as a whole.
    pub(super) fn one(line: usize, what: impl Into<String>) -> Self {
        let mut errors = Self::default();
        errors.push(LineError { line, field: None, what: what.into() });
        errors
    }

    pub(super) fn push(&mut self, error: LineError) {
        if self.told.len() < MAXIMUM {
            self.told.push(error);
        } else {
            self.more += 1;
        }
    }

    /// Says more about what is told of a line.
    pub(super) fn add(&mut self, line: usize, words: &str) {
        if let Some(error) = self.told.iter_mut().find(|error| error.line == line) {
            error.what += words;
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.told.is_empty()
    }
}

impl fmt::Display for LineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let field = self.field.map_or_else(String::new, |field| format!(", field {field}"));
        write!(f, "line {}{field}: {}", self.line, self.what)
    }
}

/// Stands after the name of the file: one fault on the same line, several on a line each.
impl fmt::Display for LineErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let [one] = self.told.as_slice() {
            return write!(f, ", {one}");
        }
        write!(f, " has {} errors:", self.told.len() + self.more)?;
        for error in &self.told {
            write!(f, "\n{error}")?;
        }
        if self.more > 0 {
            write!(f, "\nand {} more", self.more)?;
        }
        Ok(())
    }
}

/// Why a file is no weather file.
#[derive(Debug, thiserror::Error)]
pub enum WeatherFault {
    /// It cannot be read.
    #[error("{name} cannot be read: {why}")]
    Unreadable {
        /// The file.
        name: String,
        /// What the system says.
        why: std::io::Error,
    },
    /// It is a folder.
    #[error("{0} is a folder")]
    Folder(String),
    /// It is a pipe or a device, which may never end.
    #[error("{0} is a pipe or a device, no file")]
    Device(String),
    /// It is not there.
    #[error("{0} is not there")]
    Absent(String),
    /// It is larger than any such file.
    #[error("{0} is larger than a year of weather in steps of five minutes")]
    TooLarge(String),
    /// It is of another format.
    #[error("{name} {found}; an EPW begins with LOCATION, and the second line of a TMY3 CSV with {}", DATE)]
    Other {
        /// The file.
        name: String,
        /// What it is instead.
        found: String,
    },
    /// Lines of it will not do.
    #[error("{name}{errors}")]
    Lines {
        /// The file.
        name: String,
        /// What is wrong with them.
        errors: LineErrors,
    },
    /// The file as a whole will not do.
    #[error("{name} {what}")]
    Whole {
        /// The file.
        name: String,
        /// What is wrong with it.
        what: String,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_several_and_many() {
        let mut errors = LineErrors::one(9, "no hour");
        assert_eq!(errors.to_string(), ", line 9: no hour");
        errors.push(LineError { line: 12, field: Some(7), what: "no number".into() });
        errors.add(12, " at all");
        assert_eq!(errors.to_string(), " has 2 errors:\nline 9: no hour\nline 12, field 7: no number at all");
        for line in 13..23 {
            errors.push(LineError { line, field: None, what: "x".into() });
        }
        let text = errors.to_string();
        assert!(text.starts_with(" has 12 errors:\n") && text.ends_with("\nline 20: x\nand 2 more"), "{text}");
    }
}
