//! The refrigerants that are known, each read from its embedded file when it is first required.

use std::sync::OnceLock;

use super::Refrigerant;
use super::data;

macro_rules! catalogue {
    ($($name:literal),+ $(,)?) => {
        const NAMES: &[&str] = &[$($name),+];
        const TEXTS: &[&str] = &[$(include_str!(concat!("../../refdata/refrigerants/", $name, ".txt"))),+];
        static READ: [OnceLock<Option<Refrigerant>>; NAMES.len()] = [const { OnceLock::new() }; NAMES.len()];
    };
}

catalogue!(
    "R-22",
    "R-32",
    "R-134a",
    "R-290",
    "R-404A",
    "R-407A",
    "R-407C",
    "R-407F",
    "R-410A",
    "R-422D",
    "R-427A",
    "R-438A",
    "R-448A",
    "R-449A",
    "R-452B",
    "R-454A",
    "R-454B",
    "R-454C",
    "R-507A",
    "R-513A",
    "R-515B",
    "R-1234yf",
    "R-1234ze(E)",
);

/// The names of all refrigerants known, by number.
#[must_use]
pub fn names() -> &'static [&'static str] {
    NAMES
}

/// The refrigerant of that name, spelt as in [`names`].
///
/// ```
/// use roofrun::refrigerant::named;
///
/// // Printed: R-134a boils at 120 F under 185.9 psia (ASHRAE Handbook - Fundamentals, from memory).
/// let t = (120.0 + 459.67) / 1.8;
/// let psia = named("R-134a").unwrap().dew_pressure(t)? / 6894.757;
/// assert_eq!(format!("{psia:.1}"), "185.9");
/// assert!(named("R-12").is_none());
/// # Ok::<(), roofrun::refrigerant::OutOfRange>(())
/// ```
#[must_use]
pub fn named(name: &str) -> Option<&'static Refrigerant> {
    let index = NAMES.iter().position(|known| *known == name)?;
    READ[index].get_or_init(|| data::read(NAMES[index], TEXTS[index])).as_ref()
}

/// The refrigerant of a name as people write it: letter case, spaces, hyphens and brackets do not count.
///
/// ```
/// use roofrun::refrigerant::called;
///
/// assert_eq!(called("r 134A").unwrap().name(), "R-134a");
/// assert!(called("134").is_none());
/// ```
#[must_use]
pub fn called(name: &str) -> Option<&'static Refrigerant> {
    let bare = |text: &str| -> String {
        text.chars()
            .filter(|c| !matches!(c, ' ' | '-' | '\u{2010}' | '\u{2011}' | '(' | ')'))
            .flat_map(char::to_lowercase)
            .collect()
    };
    let name = bare(name);
    NAMES.iter().find(|known| bare(known) == name).and_then(|known| named(known))
}

/// Reads a refrigerant's file afresh: the work that its first use costs, for measuring it.
#[must_use]
pub fn read_afresh(name: &str) -> Option<Refrigerant> {
    let index = NAMES.iter().position(|known| *known == name)?;
    data::read(NAMES[index], TEXTS[index])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_reads_and_none_is_forgotten() {
        for name in names() {
            assert!(named(name).is_some(), "{name}");
        }
        let mut listed: Vec<String> = names().iter().map(|name| format!("{name}.txt")).collect();
        let mut found: Vec<String> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/refdata/refrigerants"))
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|file| file.starts_with("R-"))
            .collect();
        listed.sort();
        found.sort();
        assert_eq!(listed, found);
    }

    #[test]
    fn a_broken_file_is_refused() {
        let text = TEXTS[8];
        assert!(data::read("R-410A", text).is_some());
        assert!(data::read("R-410B", text).is_none());
        assert!(data::read("R-410A", "").is_none());
        // Every line counts: without any one that is not a comment or an error the file does not read.
        for (k, line) in text.lines().enumerate() {
            if line.starts_with('#') || line.starts_with("error") {
                continue;
            }
            let rest: Vec<&str> = text.lines().enumerate().filter(|(j, _)| *j != k).map(|(_, l)| l).collect();
            let rest = rest.join("\n");
            assert!(data::read("R-410A", &rest).is_none(), "reads without line {}: {line}", k + 1);
        }
    }
}
