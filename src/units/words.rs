//! Several things in words.

/// `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn and<S: AsRef<str>>(words: &[S]) -> String {
    list(words, "and")
}

/// `a`, `a or b`, `a, b or c`.
#[must_use]
pub fn or<S: AsRef<str>>(words: &[S]) -> String {
    list(words, "or")
}

/// Words with commas between them, and another before the last.
#[must_use]
pub fn list<S: AsRef<str>>(words: &[S], last: &str) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}

/// The number that a word is: `two`; up to twelve.
#[must_use]
pub fn counted(word: &str) -> Option<u32> {
    const NUMBERS: [&str; 13] =
        ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let at = NUMBERS.iter().position(|number| word.eq_ignore_ascii_case(number))?;
    u32::try_from(at).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_words_too() {
        assert_eq!(counted("two"), Some(2));
        assert_eq!(counted("None"), Some(0));
        assert_eq!(counted("twenty"), None);
    }

    #[test]
    fn a_comma_stands_between_all_but_the_last_two() {
        assert_eq!(and::<&str>(&[]), "");
        assert_eq!(and(&["a"]), "a");
        assert_eq!(and(&["a", "b"]), "a and b");
        assert_eq!(or(&["a", "b", "c"].map(String::from)), "a, b or c");
    }
}
