//! What the TOML parser complains of, in plain words.

use super::fault::{Fault, Recovery, line_bounds};
use std::ops::Range;

/// A complaint of the parser as a fault.
pub(super) fn fault(text: &str, error: &toml::de::Error) -> Fault {
    let message = error.message();
    let span = error.span().unwrap_or(0..0);
    let (mut fault, recovery) = if message.starts_with("string values must be quoted") {
        (unquoted(text, span), Recovery::Sound)
    } else if let Some(word) = bare_word(text, span.start, message) {
        (unquoted(text, word), Recovery::Sound)
    } else if message.starts_with("missing opening quote") {
        (unopened(text, &span), Recovery::Sound)
    } else if message.starts_with("missing comma") {
        (without_comma(text, &span), Recovery::Sound)
    } else if message.starts_with("invalid basic string") || message.starts_with("invalid literal string") {
        (unclosed(text, &span), Recovery::Guessed)
    } else if message.starts_with("duplicate key") {
        let name = text.get(span.clone()).unwrap_or_default().to_owned();
        (Fault::new(span, format!("`{name}` is here a second time")).expected("given once already"), Recovery::Guessed)
    } else if message.starts_with("key with no value") {
        (without_value(text, &span), Recovery::Guessed)
    } else if message.starts_with("unexpected key or value") {
        (after_value(text, &span, message), Recovery::Guessed)
    } else {
        (Fault::new(wide(text, &span), format!("this is not TOML: {message}")), Recovery::Guessed)
    };
    fault.syntax = Some(recovery);
    fault
}

fn unquoted(text: &str, span: Range<usize>) -> Fault {
    let typed = text.get(span.clone()).unwrap_or_default().trim_end();
    let span = span.start..span.start + typed.len();
    let curly = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}'];
    let inner = typed.trim_matches(curly);
    // Opened by a curly quote and closed by a straight one.
    let inner = if typed.starts_with(curly) { inner.trim_end_matches('"') } else { inner };
    Fault::new(span.clone(), "text and quantities are in quotes")
        .expected("neither a number nor in straight quotes")
        .mend(span, quoted(inner))
}

/// A word without quotes that begins as one of TOML's own (`inf`, `nan`, `true`, `false`) does.
fn bare_word(text: &str, at: usize, message: &str) -> Option<Range<usize>> {
    let (start, _) = line_bounds(text, at);
    let from = at - text.get(start..at)?.chars().rev().take_while(char::is_ascii_alphabetic).count();
    let word = value_at(text, from);
    let apart = text.get(..from)?.ends_with([' ', '\t', '=', '[', ',']);
    let begins = apart && text.get(word.clone())?.starts_with(|c: char| c.is_ascii_alphabetic());
    (message.starts_with("invalid float") && begins).then_some(word)
}

fn unopened(text: &str, span: &Range<usize>) -> Fault {
    let span = value_at(text, span.start);
    let typed = text.get(span.clone()).unwrap_or_default();
    let curly = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}'];
    let inner = if typed.contains('\'') { typed } else { typed.trim_end_matches('"').trim_matches(curly) };
    Fault::new(span.clone(), "text and quantities are in quotes")
        .expected("a quote is missing before it")
        .mend(span, quoted(inner))
}

fn unclosed(text: &str, span: &Range<usize>) -> Fault {
    let (start, _) = line_bounds(text, span.start);
    let opened = text.get(start..span.start).and_then(|before| before.find(['"', '\'']));
    let from = opened.map_or(span.start, |i| start + i);
    let bare = without_remark(text, from);
    let fault = Fault::new(bare.clone(), "a quote is opened and not closed on its line")
        .expected("an inch mark within quotes is written \\\"");
    let typed = text.get(bare.clone()).unwrap_or_default();
    if typed.starts_with('"') && typed.len() > 1 && !typed[1..].contains(['"', ',', '{', '}', '[', ']', '=']) {
        return fault.mend(bare.end..bare.end, "\"");
    }
    fault
}

fn without_comma(text: &str, span: &Range<usize>) -> Fault {
    let says = "a comma is missing between two entries";
    let before = text.get(..span.start).unwrap_or_default().trim_end();
    let (start, _) = line_bounds(text, before.len());
    let last = before.chars().next_back().map_or(0, char::len_utf8);
    if last == 0 || text.get(start..before.len()).unwrap_or_default().contains('#') {
        return Fault::new(wide(text, span), says);
    }
    let end = before.len();
    Fault::new(end - last..end, says).expected("it belongs after this").mend(end..end, ",")
}

fn without_value(text: &str, span: &Range<usize>) -> Fault {
    let (start, _) = line_bounds(text, span.start.saturating_sub(1));
    let bare = without_remark(text, start);
    let typed = text.get(bare.clone()).unwrap_or_default();
    let bare = bare.start + (typed.len() - typed.trim_start().len())..bare.end;
    let typed = text.get(bare.clone()).unwrap_or_default();
    let fault = Fault::new(bare.clone(), "a key without `=` and a value").expected("nothing after this line was read");
    match typed.split_once(':') {
        Some((key, _)) if key.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | ' ')) => {
            let colon = bare.start + key.len();
            fault.mend(colon..colon + 1, " =")
        }
        _ => fault,
    }
}

/// Something after a value on its line: most often an inch mark that has ended a text too soon.
fn after_value(text: &str, span: &Range<usize>, message: &str) -> Fault {
    let (start, _) = line_bounds(text, span.start);
    let line = without_remark(text, start);
    let typed = text.get(line.clone()).unwrap_or_default();
    let value = typed.find("= \"").map(|i| i + 2).filter(|i| typed.len() > i + 1 && typed.ends_with('"'));
    let Some(opens) = value else {
        return Fault::new(wide(text, span), format!("this is not TOML: {message}"));
    };
    let whole = line.start + opens..line.end;
    let inner = &typed[opens + 1..typed.len() - 1];
    let fault = Fault::new(whole.clone(), "a quote within quotes").expected("written \\\"");
    if inner.contains(['=', '\\']) { fault } else { fault.mend(whole, quoted(inner)) }
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

/// From a byte to the end of its line, or to a remark on it.
fn without_remark(text: &str, from: usize) -> Range<usize> {
    let (_, end) = line_bounds(text, from);
    let rest = text.get(from..end).unwrap_or_default();
    let bare = rest[..rest.find('#').unwrap_or(rest.len())].trim_end();
    from..from + bare.len()
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
