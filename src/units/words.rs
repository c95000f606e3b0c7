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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_stands_between_all_but_the_last_two() {
        assert_eq!(and::<&str>(&[]), "");
        assert_eq!(and(&["a"]), "a");
        assert_eq!(and(&["a", "b"]), "a and b");
        assert_eq!(or(&["a", "b", "c"].map(String::from)), "a, b or c");
    }
}
