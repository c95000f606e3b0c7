//! Characters that a terminal obeys, or that turn the direction of a text: shown, never sent.

use std::borrow::Cow;

/// Whether a character is obeyed rather than shown: C0 (but the line break), DEL, C1, marks of direction, separators of lines.
#[must_use]
pub fn is_hidden(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A text with such characters written out as `\u{1b}`. A tab is a blank.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let shown = text.chars().map(|c| match c {
        '\t' => Cow::Borrowed(" "),
        c if is_hidden(c) => Cow::Owned(c.escape_unicode().to_string()),
        c => Cow::Owned(c.to_string()),
    });
    Cow::Owned(shown.collect())
}

#[cfg(test)]
mod tests {
    use super::visible;
    use std::borrow::Cow;

    #[test]
    fn what_a_terminal_obeys_is_written_out() {
        let text = "a\u{1b}[31mb\u{7f}\u{9b}c\u{202e}d\u{2028}e\u{61c}";
        assert_eq!(visible(text), r"a\u{1b}[31mb\u{7f}\u{9b}c\u{202e}d\u{2028}e\u{61c}");
    }

    #[test]
    fn what_people_write_stays() {
        for text in ["Αθήνα 冷凍機 café, 12'6\"", "two\nlines"] {
            assert!(matches!(visible(text), Cow::Borrowed(same) if same == text));
        }
        assert_eq!(visible("a\tb"), "a b");
    }
}
