//! What is wrong with a weather file, line by line.

use std::fmt;

/// So many are told; the rest is counted.
const MOST: usize = 10;

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
        if self.told.len() < MOST {
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
        write!(f, " has {} faults:", self.told.len() + self.more)?;
        for error in &self.told {
            write!(f, "\n{error}")?;
        }
        if self.more > 0 {
            write!(f, "\nand {} more", self.more)?;
        }
        Ok(())
    }
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
        assert_eq!(errors.to_string(), " has 2 faults:\nline 9: no hour\nline 12, field 7: no number at all");
        for line in 13..23 {
            errors.push(LineError { line, field: None, what: "x".into() });
        }
        let text = errors.to_string();
        assert!(text.starts_with(" has 12 faults:\n") && text.ends_with("\nline 20: x\nand 2 more"), "{text}");
    }
}
