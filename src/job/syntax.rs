//! What the TOML parser complains of, in plain words.

use super::fault::{Fault, line_bounds};
use std::ops::Range;

/// A complaint of the parser as a fault, and whether the structure of the file stays known after it.
pub(super) fn fault(text: &str, error: &toml::de::Error) -> (Fault, bool) {
    let message = error.message();
    let span = error.span().unwrap_or(0..0);
    if message.starts_with("string values must be quoted") {
        let typed = text.get(span.clone()).unwrap_or_default().trim_end();
        let span = span.start..span.start + typed.len();
        let fault = Fault::new(span.clone(), "text and quantities stand in quotes")
            .expected("this is neither a number nor in quotes")
            .mend(span, quoted(&unquote(typed)));
        return (fault, true);
    }
    if message.starts_with("missing opening quote") {
        let span = value_at(text, span.start);
        let typed = text.get(span.clone()).unwrap_or_default();
        let inner = if typed.contains('\'') { typed } else { typed.trim_end_matches('"') };
        let fault = Fault::new(span.clone(), "text and quantities stand in quotes")
            .expected("a quote is missing before it")
            .mend(span, quoted(inner));
        return (fault, true);
    }
    if message.starts_with("invalid basic string") || message.starts_with("invalid literal string") {
        let (start, _) = line_bounds(text, span.start);
        let opened = text.get(start..span.start).and_then(|before| before.find(['"', '\'']));
        let from = opened.map_or(span.start, |i| start + i);
        let fault = Fault::new(from..span.end.max(from), "a quote is opened and not closed on its line")
            .expected("an inch mark within quotes is written \\\"");
        return (fault, false);
    }
    if message.starts_with("missing comma") {
        return (
            Fault::new(wide(text, &span), "a comma is missing between two entries").mend(span.start..span.start, ", "),
            true,
        );
    }
    if message.starts_with("duplicate key") {
        let name = text.get(span.clone()).unwrap_or_default().to_owned();
        return (Fault::new(span, format!("`{name}` stands here a second time")).expected("given once already"), false);
    }
    if message.starts_with("key with no value") {
        let (start, end) = line_bounds(text, span.start.saturating_sub(1));
        let line = text.get(start..end).unwrap_or_default();
        let indent = line.len() - line.trim_start().len();
        return (
            Fault::new(start + indent..end, "a key without `=` and a value")
                .expected("key = \"value\"; nothing after this was read"),
            false,
        );
    }
    (Fault::new(wide(text, &span), format!("this is not TOML: {message}")), false)
}

/// A text as a TOML string.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&["\\u", &format!("{:04X}", u32::from(c))].concat()),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Without the typographic quotes that word processors put in.
fn unquote(text: &str) -> String {
    text.trim_matches(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}']).to_owned()
}

/// The value that begins at a byte: to the end of its line, or to a comma, a closing bracket or a remark.
fn value_at(text: &str, start: usize) -> Range<usize> {
    let (_, end) = line_bounds(text, start);
    let value = text.get(start..end).unwrap_or_default();
    let length = value.find([',', '}', ']', '#']).unwrap_or(value.len());
    start..start + value[..length].trim_end().len()
}

/// An empty span widened to the character that it stands before, or at the end of a line to the one before.
fn wide(text: &str, span: &Range<usize>) -> Range<usize> {
    if !span.is_empty() {
        return span.clone();
    }
    let (start, end) = line_bounds(text, span.start);
    if span.start < end {
        let next = text.get(span.start..end).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
        return span.start..span.start + next;
    }
    let before = text.get(start..span.start.min(end)).and_then(|t| t.chars().next_back()).map_or(0, char::len_utf8);
    end.saturating_sub(before)..end
}
