//! Every fault of a job file, each told once.

use super::fault::{Fault, Recovery, column_of, line_bounds, on_one_line};
use super::render;
use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

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
        // One fault of one value; what is missing is told at the head of its table, each for itself.
        let same = |later: &Fault, earlier: &Fault| later.span == earlier.span && !later.span.is_empty();
        faults.dedup_by(|later, earlier| same(later, earlier) && !later.is_of_another_lack(earlier));
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
