//! What is wrong with a job file: a fault with its place, what was expected and the line as it should read.

use std::ops::Range;

/// One fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub(super) span: Range<usize>,
    pub(super) line: usize,
    pub(super) column: usize,
    message: String,
    label: String,
    pub(super) mend: Option<Correction>,
    /// The value of a misspelt key, which decides whether the key was meant.
    pub(super) value: Option<Range<usize>>,
    /// Of the parser's own complaints, whether what it went on to read is what is meant.
    pub(super) syntax: Option<Recovery>,
}

/// How the parser goes on after a complaint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Recovery {
    /// It knows what is meant.
    Sound,
    /// What it makes of the line is guessed, and of the rest as well.
    Guessed,
}

/// A stretch of the file and what should stand there instead.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Correction {
    pub span: Range<usize>,
    pub text: String,
}

impl Fault {
    /// Whether both tell of something that is missing, and not of the same.
    pub(super) fn is_of_another_lack(&self, other: &Self) -> bool {
        let missing = |fault: &Self| fault.message.starts_with("missing");
        missing(self) && missing(other) && self.message != other.message
    }

    pub(super) fn new(span: Range<usize>, message: impl Into<String>) -> Self {
        Self {
            span,
            line: 0,
            column: 0,
            message: message.into(),
            label: String::new(),
            mend: None,
            value: None,
            syntax: None,
        }
    }

    /// What was expected, to stand after the message.
    pub(super) fn expected(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// What should stand in the file at `span`.
    pub(super) fn mend(mut self, span: Range<usize>, text: impl Into<String>) -> Self {
        self.mend = Some(Correction { span, text: text.into() });
        self
    }

    /// The value of the misspelt key that this is about.
    pub(super) fn of_value(mut self, span: Range<usize>) -> Self {
        self.value = Some(span);
        self
    }

    /// The line, from 1; 0 where the fault is the file's as a whole.
    #[must_use]
    pub fn line(&self) -> usize {
        self.line
    }

    /// The column in characters, from 1; 0 where the fault is the file's as a whole.
    #[must_use]
    pub fn column(&self) -> usize {
        self.column
    }

    /// The offending text as bytes of the file.
    #[must_use]
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// What is wrong.
    #[must_use]
    pub fn message(&self) -> &str {
        &self.message
    }

    /// What was expected; empty where the message says it.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }
}

/// The column in characters, from 1, of a byte.
pub(super) fn column_of(text: &str, at: usize) -> usize {
    let (start, _) = line_bounds(text, at);
    text.get(start..at).map_or(0, |before| before.chars().count()) + 1
}

/// The first and the past-last byte of the line that holds a byte, without its line ending.
pub(super) fn line_bounds(text: &str, at: usize) -> (usize, usize) {
    let bytes = text.as_bytes();
    let at = at.min(bytes.len());
    let start = bytes[..at].iter().rposition(|&b| b == b'\n').map_or(0, |i| i + 1);
    let end = bytes[at..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |i| at + i);
    let end = if end > start && bytes[end - 1] == b'\r' { end - 1 } else { end };
    (start, end)
}

/// A span cut to the line that it begins on and to whole characters.
pub(super) fn on_one_line(text: &str, span: &Range<usize>) -> Range<usize> {
    let mut start = span.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let (_, line_end) = line_bounds(text, start);
    let start = start.min(line_end);
    let mut end = span.end.clamp(start, line_end);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    start..end
}
