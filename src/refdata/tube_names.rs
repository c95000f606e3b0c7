//! Names of tube as people write them: `2 1/8 ACR`, `2-1/8" acr`, `1 1/4 in sch 40`, `54 mm`.

use super::tubes::{Tube, tubes};
use crate::units::{head, plain};

/// By how much a diameter in whole millimetres misses that of a tube in inches, mm.
const MILLIMETRES: f64 = 0.1;
/// Kinds of tube that go by their outside diameter; steel goes by its nominal size.
const BY_OUTSIDE: [&str; 3] = ["acr", "l", "k"];
/// Words that say nothing of which tube is meant.
const BESIDE: [&str; 9] = ["od", "o.d.", "outside", "type", "tube", "tubing", "pipe", "copper", "steel"];

/// A name in its parts.
struct Called {
    size: f64,
    /// The size as typed.
    typed: String,
    millimetres: bool,
    /// In small letters without spaces; empty where none is said.
    kind: String,
}

fn called(name: &str) -> Option<Called> {
    let text = plain(name).to_lowercase().replace('"', " in ");
    let number = head(&text)?;
    let mut words: Vec<&str> = number.rest.split_whitespace().filter(|word| !BESIDE.contains(word)).collect();
    let unit = words.first().copied().filter(|word| ["in", "inch", "inches", "mm"].contains(word));
    if unit.is_some() {
        words.remove(0);
    }
    let kind = words.concat().replace("schedule", "sch").replace("sch.", "sch");
    Some(Called { size: number.value, typed: number.text.to_owned(), millimetres: unit == Some("mm"), kind })
}

/// Those of some tubes that a name may mean, where it is written in another way than theirs: a size in inches with or
/// without its kind, or an outside diameter in millimetres.
#[must_use]
pub fn tubes_meant<'t>(name: &str, of: impl IntoIterator<Item = &'t Tube>) -> Vec<&'t Tube> {
    let Some(meant) = called(name) else { return Vec::new() };
    let is = |tube: &&Tube| {
        called(&tube.name).is_some_and(|own| {
            let size = if meant.millimetres {
                (tube.outside.value * 1e3 - meant.size).abs() < MILLIMETRES
            } else {
                (own.size - meant.size).abs() < 1e-9
            };
            size && (meant.kind == own.kind || meant.kind.is_empty())
        })
    };
    of.into_iter().filter(is).collect()
}

/// The size as typed of a plumber's name that no outside diameter has, and the tube that is meant: 1/8 in wider outside.
#[must_use]
pub fn by_outside(name: &str) -> Option<(String, &'static Tube)> {
    let plumbers = called(name).filter(|called| !called.millimetres && BY_OUTSIDE.contains(&called.kind.as_str()))?;
    let is = |tube: &&Tube| {
        called(&tube.name)
            .is_some_and(|own| own.kind == plumbers.kind && (own.size - plumbers.size - 0.125).abs() < 1e-9)
    };
    tubes().iter().find(is).map(|tube| (plumbers.typed, tube))
}

#[cfg(test)]
mod tests {
    use super::{by_outside, tubes, tubes_meant};

    fn meant(name: &str) -> Vec<&'static str> {
        tubes_meant(name, tubes()).iter().map(|tube| tube.name.as_str()).collect()
    }

    #[test]
    fn a_size_and_its_kind_are_one_tube_however_written() {
        for name in ["2 1/8 ACR", "2-1/8\" ACR", "2⅛ ACR", "2 1/8 in acr", "2.125 ACR", "2-1/8 OD ACR", "54 mm ACR"] {
            assert_eq!(meant(name), ["2-1/8 ACR"], "{name}");
        }
        assert_eq!(meant("1 3/8 type L"), ["1-3/8 OD L"]);
        assert_eq!(meant("1 1/4 Sch 40"), ["1-1/4 Sch40"]);
        assert_eq!(meant("1-1/4\" schedule 40 pipe"), ["1-1/4 Sch40"]);
        for name in ["2-1/8 ACR", "2-1/8 OD L", "2-1/8 OD K"] {
            assert!(meant("2-1/8").contains(&name) && meant("54 mm").contains(&name), "{name}");
        }
        for name in ["", "ACR", "2-1/8 ARC", "99 ACR", "54 cm", "1-1/4 L"] {
            assert_eq!(meant(name), Vec::<&str>::new(), "{name}");
        }
    }

    #[test]
    fn every_tube_is_meant_by_its_own_name() {
        for tube in tubes() {
            assert!(meant(&tube.name).contains(&tube.name.as_str()), "{}", tube.name);
        }
    }

    #[test]
    fn a_plumbers_name_is_the_tube_an_eighth_wider_outside() {
        for (nominal, outside) in [
            ("1-1/4 L", "1-3/8 OD L"),
            ("1 K", "1-1/8 OD K"),
            ("2 1/2 L", "2-5/8 OD L"),
            ("4\" type L", "4-1/8 OD L"),
            ("1/4 K", "3/8 OD K"),
        ] {
            assert_eq!(by_outside(nominal).map(|(_, tube)| tube.name.as_str()), Some(outside), "{nominal}");
        }
        for other in ["1-7/8 Sch40", "1-1/4", "x L", "1/0 L", "99 L", "1-1/16 L", "4294967295 L", "-1 L", ""] {
            assert!(by_outside(other).is_none(), "{other}");
        }
    }
}
