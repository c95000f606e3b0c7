//! The nearest right spelling.

/// The candidate that a misspelt word most likely means, if any is near: letter case, spaces, hyphens and underscores
/// do not count, and about one slip in four letters is forgiven. The first of equally near ones.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    all_nearest(word, candidates).first().copied()
}

/// The same, with all that are equally near, in their order.
pub fn all_nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let plain = |s: &str| -> String {
        s.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).take(80).collect()
    };
    let word = plain(word);
    if word.is_empty() {
        return Vec::new();
    }
    let letters = word.chars().count();
    let allowed = (letters / 4).max(1);
    let mut best: Option<(usize, usize)> = None;
    let mut nearest = Vec::new();
    for candidate in candidates {
        let other = plain(candidate);
        let count = other.chars().count();
        let longer = count.abs_diff(letters);
        let begins = word.len() >= 4 && (other.starts_with(&word) || word.starts_with(&other)) && other.len() >= 4;
        // No fewer slips than the lengths differ by: most candidates need no count of them.
        if longer > allowed && !begins {
            continue;
        }
        let slips = strsim::damerau_levenshtein(&word, &other);
        let slips = if begins { slips.min(allowed) } else { slips };
        // Of equally near ones, that of the same length.
        let distance = (slips, longer);
        // A word of one or two letters with every letter wrong is no spelling of it.
        if slips > allowed || slips >= count || best.is_some_and(|minimum| distance > minimum) {
            continue;
        }
        if best.is_some_and(|minimum| distance < minimum) {
            nearest.clear();
        }
        best = Some(distance);
        if !nearest.contains(&candidate) {
            nearest.push(candidate);
        }
    }
    nearest
}

#[cfg(test)]
mod tests {
    use super::{all_nearest, nearest};

    #[test]
    fn slips_are_forgiven_and_strangers_are_not() {
        let keys = ["altitude", "summer", "winter", "weather"];
        assert_eq!(nearest("sumer", keys), Some("summer"));
        assert_eq!(nearest("Altitude", keys), Some("altitude"));
        assert_eq!(nearest("wether", keys), Some("weather"));
        assert_eq!(nearest("altitude_ft", keys), Some("altitude"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("closes", ["loss", "kv", "style"]), None);
        assert_eq!(nearest("", keys), None);
        assert_eq!(nearest("x", keys), None);
        assert_eq!(nearest("R410A", ["R-22", "R-410A", "R-407C"]), Some("R-410A"));
        assert_eq!(all_nearest("R-401A", ["R-22", "R-404A", "R-410A"]), ["R-404A", "R-410A"]);
        assert_eq!(nearest("filter drier", ["filter-drier", "sight glass"]), Some("filter-drier"));
    }
}
