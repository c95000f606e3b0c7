//! Words broken into lines, numbers held to their units.

use crate::visible::visible;
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// A paragraph's place: where its first line and its other lines begin.
#[derive(Clone, Copy, Debug)]
pub struct Hang {
    /// Columns before the first line.
    pub first: usize,
    /// Columns before the others.
    pub rest: usize,
}

impl Hang {
    /// All lines begin at the same column.
    #[must_use]
    pub const fn flush(indent: usize) -> Self {
        Self { first: indent, rest: indent }
    }
}

/// Text after a number that must not be parted from it.
const UNITS: &[&str] = &[
    "F", "K", "°C", "%", "x", "ft", "in", "m", "mm", "psi", "psig", "psia", "kPa", "bar", "barg", "bara", "MPa", "fpm",
    "ft/s", "m/s", "ton", "tons", "kW", "W", "MBH", "lb", "kg", "lb/min", "kg/s", "ft3", "m3", "L", "lb/ft3", "kg/m3",
    "dBA", "dB", "MWh", "mph", "h", "hours", "Btu/lb", "kJ/kg", "of", "times", "ACR", "OD", "Sch40", "Sch80",
];

/// Holds words together until the text is set.
pub(super) const NO_BREAK: &str = "\u{a0}";

/// Words that a column does not break.
#[must_use]
pub fn whole(words: &str) -> String {
    words.replace(' ', NO_BREAK)
}

/// Breaks a text into lines that fit `width` columns after their indents. A number stays with its unit; a word longer
/// than a line is cut. A line break in the text stays one.
#[must_use]
pub fn wrap(text: &str, hang: Hang, width: usize) -> Vec<String> {
    let (first, rest) = (" ".repeat(hang.first), " ".repeat(hang.rest));
    let options = Options::new(width.max(hang.first.max(hang.rest) + 8))
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .subsequent_indent(&rest);
    let lines = joined(&visible(text));
    let lines = lines.lines().enumerate().flat_map(|(i, line)| {
        textwrap::wrap(line, options.clone().initial_indent(if i == 0 { &first } else { &rest }))
    });
    lines.map(|line| line.trim_start_matches(' ').replace(NO_BREAK, " ")).collect()
}

/// A text whose numbers stay with their units.
#[must_use]
pub fn joined(cell: &str) -> String {
    let lines =
        cell.split('\n').map(|line| words(line).iter().map(|word| word.replace(' ', NO_BREAK)).collect::<Vec<_>>());
    lines.map(|words| words.join(" ")).collect::<Vec<String>>().join("\n")
}

/// The words of a text, numbers joined to the units that follow them. No-break spaces part no words.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split([' ', '\t']).filter(|word| !word.is_empty()) {
        let bare = word.trim_end_matches(['.', ',', ';', ':', ')']);
        match words.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&bare) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}
