//! What is wrong with a job file: every fault with its place, what was expected and the line as it should read.

use super::render;
use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

/// One fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    span: Range<usize>,
    line: usize,
    column: usize,
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

/// Every fault of a job file, in its order. At least one.
#[derive(Clone, Debug)]
pub struct Faults {
    file: String,
    text: String,
    all: Vec<Fault>,
}

impl Faults {
    /// Of a text that was read. Sorts them into file order and keeps the first of those that begin at the same place.
    pub(super) fn new(file: &str, text: &str, mut faults: Vec<Fault>) -> Self {
        for fault in &mut faults {
            fault.span = on_one_line(text, &fault.span);
        }
        faults.sort_by_key(|fault| fault.span.start);
        let (mut line, mut counted) = (1, 0);
        for fault in &mut faults {
            let passed = text.as_bytes().get(counted..fault.span.start).unwrap_or_default();
            line += passed.split(|&b| b == b'\n').count() - 1;
            counted = fault.span.start;
            fault.line = line;
            fault.column = column_of(text, fault.span.start);
        }
        drop_what_follows_from_syntax(&mut faults);
        doubt_keys_of_strange_values(&mut faults);
        faults.dedup_by(|later, earlier| later.span == earlier.span && !later.span.is_empty());
        Self { file: file.to_owned(), text: text.to_owned(), all: faults }
    }

    /// Of a file that cannot be read at all.
    pub(super) fn unreadable(file: &str, message: impl Into<String>, help: impl Into<String>) -> Self {
        let fault = Fault::new(0..0, message).expected(help);
        Self { file: file.to_owned(), text: String::new(), all: vec![fault] }
    }

    /// The faults.
    pub fn iter(&self) -> std::slice::Iter<'_, Fault> {
        self.all.iter()
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Never: without a fault there is a job.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The line of the file as it should read, where the fault's correction can be computed and stays on its line.
    #[must_use]
    pub fn corrected(&self, fault: &Fault) -> Option<String> {
        let mend = fault.mend.as_ref()?;
        let (start, end) = line_bounds(&self.text, mend.span.start);
        let before = self.text.get(start..mend.span.start)?;
        let after = self.text.get(mend.span.end..end.max(mend.span.end))?;
        Some(format!("{before}{}{after}", mend.text))
    }

    /// All of them as text, for a terminal that many columns wide; with colours, which only repeat what the words say.
    #[must_use]
    pub fn render(&self, coloured: bool, width: usize) -> String {
        render::all(&self.file, &self.text, &self.all, coloured, width)
    }
}

impl<'a> IntoIterator for &'a Faults {
    type Item = &'a Fault;
    type IntoIter = std::slice::Iter<'a, Fault>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// Plain text, 80 columns.
impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false, 80))
    }
}

impl std::error::Error for Faults {}

/// Drops what is said of text that the parser has complained of: all on the same line where it guesses, the same text
/// where it knows what is meant; and its own further complaints on a line where it guesses.
fn drop_what_follows_from_syntax(faults: &mut Vec<Fault>) {
    let guessed: BTreeSet<usize> =
        faults.iter().filter(|f| f.syntax == Some(Recovery::Guessed)).map(|f| f.line).collect();
    let known: Vec<Range<usize>> =
        faults.iter().filter(|f| f.syntax == Some(Recovery::Sound)).map(|f| f.span.clone()).collect();
    let mut last = 0;
    faults.retain(|fault| match fault.syntax {
        Some(Recovery::Guessed) => std::mem::replace(&mut last, fault.line) != fault.line,
        Some(Recovery::Sound) => true,
        None => {
            let before = known.partition_point(|span| span.start <= fault.span.start);
            !guessed.contains(&fault.line) && !known[..before].last().is_some_and(|s| s.contains(&fault.span.start))
        }
    });
}

/// A misspelt key whose value is not what the nearest key holds may mean another: its correction is not proposed.
fn doubt_keys_of_strange_values(faults: &mut [Fault]) {
    let spans: BTreeSet<(usize, usize)> = faults.iter().map(|f| (f.span.start, f.span.end)).collect();
    for fault in faults {
        if fault.value.as_ref().is_some_and(|value| spans.contains(&(value.start, value.end))) {
            fault.mend = None;
        }
    }
}

/// The column in characters, from 1, of a byte.
fn column_of(text: &str, at: usize) -> usize {
    let (start, _) = line_bounds(text, at);
    text.get(start..at).map_or(0, |before| before.chars().count()) + 1
}

/// The line, from 1, of a byte.
pub(super) fn line_of(text: &str, at: usize) -> usize {
    1 + text.as_bytes().get(..at).unwrap_or_default().iter().filter(|&&b| b == b'\n').count()
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
fn on_one_line(text: &str, span: &Range<usize>) -> Range<usize> {
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
