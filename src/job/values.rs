//! Values of a table: quantities, numbers, flags, texts and choices, each noted where it is not what its key holds.

use super::fault::Fault;
use super::key::{Bounds, Holds};
use super::notes::Notes;
use super::syntax::quoted;
use super::table::{Table, called, plain_number};
use crate::units::words::{counted, or};
use crate::units::{Kind, Misread, Si, quantity, spelling::nearest, without_unit};
use std::ops::Range;
use toml::de::{DeArray, DeValue};

/// What files of earlier versions and people write for one of a few words.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("level", "none"),
    ("least", "minimum"),
    ("imperial", "ip"),
    ("metric", "si"),
    ("foam", "bubbles"),
    ("flashing", "bubbles"),
    ("bubbling", "bubbles"),
    ("full", "clear"),
    ("closed", "shut"),
    ("fouled", "dirty"),
    ("plugged", "dirty"),
    ("blocked", "dirty"),
    ("good", "clean"),
    ("warm", "hot"),
];

impl Notes<'_> {
    /// The value of a quantity or a number, SI: as given, else its default; none where it is faulty or has no default.
    pub fn get<T: Si>(&mut self, table: &Table<'_>, name: &str) -> Option<T> {
        let key = self.key(table, name)?;
        if ![key.unit(), ""].contains(&T::UNIT) {
            return self.no_such(table, name);
        }
        let Some(entry) = table.get(name) else { return self.taken(table, key).map(T::from_si) };
        let value = match key.holds {
            Holds::Quantity(kind, bounds) => self.quantity_of(name, entry.value, &entry.span, kind, bounds),
            Holds::Number(_, bounds) => self.number_of(name, entry.value, &entry.span, bounds),
            _ => self.no_such(table, name),
        };
        value.map(T::from_si)
    }

    /// The same of what must be there. Where it can't be read it is 1, and nothing is made of it: the fault is noted.
    pub fn need<T: Si>(&mut self, table: &Table<'_>, name: &str) -> T {
        self.get(table, name).unwrap_or_else(|| T::from_si(1.0))
    }

    /// The quantities of a list of what its key holds one of, SI: of no more than any list has.
    pub fn list_of(&mut self, table: &Table<'_>, name: &str, array: &DeArray<'_>) -> Vec<Option<f64>> {
        let Some(Holds::Quantity(kind, bounds)) = self.key(table, name).map(|key| key.holds) else {
            return self.no_such(table, name).unwrap_or_default();
        };
        let items = array.iter().take(500);
        items.map(|item| self.quantity_of(name, item.get_ref(), &item.span(), kind, bounds)).collect()
    }

    /// A quantity of that kind, anywhere, SI.
    pub fn quantity_of(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
        kind: Kind,
        bounds: Bounds,
    ) -> Option<f64> {
        let read = match value {
            DeValue::String(text) => quantity(text, kind, self.system, self.atmosphere_Pa),
            DeValue::Integer(_) | DeValue::Float(_) => Err(without_unit(self.typed(span), kind, self.system)),
            other => Err(Misread { says: format!("{} where a quantity is expected", called(other)), instead: None }),
        };
        match read {
            Ok(value) => {
                let bounds = bounds.in_air(self.atmosphere_Pa);
                if bounds.hold(value) {
                    return Some(value);
                }
                let scale = matches!(kind, Kind::Temperature | Kind::Pressure);
                let says = bounds.says(|v| {
                    if v == 0.0 && !scale { "0".to_owned() } else { kind.show(self.system, v, self.atmosphere_Pa) }
                });
                self.fault(Fault::new(span.clone(), format!("`{key}` must be {says}")));
            }
            Err(misread) => self.misread(key, span, &misread, kind),
        }
        None
    }

    /// Notes a text that is no quantity of its kind.
    pub fn misread(&mut self, key: &str, span: &Range<usize>, misread: &Misread, kind: Kind) {
        let example = kind.example(self.system);
        // What is wanted is said once.
        let such = format!("such as \"{example}\"");
        let label =
            if misread.says.ends_with(kind.says()) { such } else { format!("expected {}, {such}", kind.says()) };
        let fault = Fault::new(span.clone(), format!("`{key}`: {}", misread.says)).expected(label);
        self.fault(match &misread.instead {
            Some(instead) => fault.mend(span.clone(), quoted(instead)),
            None => fault,
        });
    }

    /// A plain number within bounds, anywhere; a fraction may be a percentage in quotes, `20 %`.
    pub fn number_of(&mut self, key: &str, value: &DeValue<'_>, span: &Range<usize>, bounds: Bounds) -> Option<f64> {
        let says = bounds.says(|v| v.to_string());
        let percent = value.as_str().and_then(percent);
        let share = percent.map(|percent| percent / 100.0);
        let Some(number) = plain_number(value).or(share.filter(|_| bounds.of_a_share())) else {
            let fault = Fault::new(span.clone(), format!("`{key}` is a plain number"))
                .expected(format!("expected a number {says}"));
            let inner = value.as_str().unwrap_or_default().trim();
            let read = [inner.parse::<f64>().ok(), percent, share];
            let instead = read.into_iter().flatten().find(|v| v.is_finite() && bounds.hold(*v));
            self.fault(match instead {
                Some(instead) => fault.mend(span.clone(), instead.to_string()),
                None => fault,
            });
            return None;
        };
        if number.is_finite() && bounds.hold(number) {
            return Some(number);
        }
        let fault = Fault::new(span.clone(), format!("`{key}` must be {says}"));
        // A percentage where a share belongs.
        let share = number / 100.0;
        let instead = bounds.of_a_share() && number >= 5.0 && bounds.hold(share);
        self.fault(if instead { fault.mend(span.clone(), share.to_string()) } else { fault });
        None
    }

    /// A whole number: as given, else its default.
    pub fn count(&mut self, table: &Table<'_>, name: &str) -> Option<u32> {
        let key = self.key(table, name)?;
        let Holds::Count(minimum, maximum) = key.holds else { return self.no_such(table, name) };
        match table.get(name) {
            Some(entry) => self.count_of(name, entry.value, &entry.span, minimum, maximum),
            None => self.taken(table, key).and_then(|value| whole(value, minimum, maximum)),
        }
    }

    /// A whole number, anywhere.
    pub fn count_of(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
        minimum: u32,
        maximum: u32,
    ) -> Option<u32> {
        let integer = matches!(value, DeValue::Integer(_));
        let number = plain_number(value);
        if let Some(count) = number.filter(|_| integer).and_then(|number| whole(number, minimum, maximum)) {
            return Some(count);
        }
        let fault = Fault::new(span.clone(), format!("`{key}` must be a whole number from {minimum} to {maximum}"));
        let text = value.as_str().unwrap_or_default().trim();
        let inner = text.parse::<u32>().ok().or_else(|| counted(text));
        let rounded = number.filter(|_| !integer).and_then(|number| whole(number, minimum, maximum));
        self.fault(match inner.filter(|n| (minimum..=maximum).contains(n)).or(rounded) {
            Some(n) => fault.mend(span.clone(), n.to_string()),
            None => fault,
        });
        None
    }

    /// `true` or `false`: as given, else its default.
    pub fn flag(&mut self, table: &Table<'_>, name: &str) -> Option<bool> {
        let key = self.key(table, name)?;
        let Some(entry) = table.get(name) else { return self.taken(table, key).map(|value| value != 0.0) };
        if let DeValue::Boolean(flag) = entry.value {
            return Some(*flag);
        }
        let fault = Fault::new(entry.span.clone(), format!("`{name}` is true or false, without quotes"));
        let instead = match entry.value.as_str().map(str::to_ascii_lowercase).as_deref() {
            Some("true" | "yes" | "on") => Some("true"),
            Some("false" | "no" | "off") => Some("false"),
            _ => None,
        };
        self.fault(match instead {
            Some(instead) => fault.mend(entry.span, instead),
            None => fault,
        });
        None
    }

    /// A text that says something.
    pub fn text<'a>(&mut self, table: &Table<'a>, key: &str) -> Option<&'a str> {
        let entry = table.get(key)?;
        self.text_of(key, entry.value, &entry.span)
    }

    /// The same of a value anywhere.
    pub fn text_of<'a>(&mut self, key: &str, value: &'a DeValue<'a>, span: &Range<usize>) -> Option<&'a str> {
        match value {
            DeValue::String(text) if text.trim().contains(['\n', '\r']) => {
                let one = quoted(&text.split_whitespace().collect::<Vec<_>>().join(" "));
                self.fault(Fault::new(span.clone(), format!("`{key}` is one line")).mend(span.clone(), one));
                None
            }
            DeValue::String(text) if !text.trim().is_empty() => Some(text.trim()),
            DeValue::String(_) => {
                self.fault(Fault::new(span.clone(), format!("`{key}` is empty")));
                None
            }
            DeValue::Integer(_) | DeValue::Float(_) => {
                let typed = quoted(self.typed(span));
                self.fault(Fault::new(span.clone(), format!("`{key}` is a text, in quotes")).mend(span.clone(), typed));
                None
            }
            other => {
                self.fault(Fault::new(span.clone(), format!("`{key}` is a text, not {}", called(other))));
                None
            }
        }
    }

    /// One of the words of a key, as one of as many things in their order: as given, else its default.
    pub fn choice<T: Copy>(&mut self, table: &Table<'_>, name: &str, things: &[T]) -> Option<T> {
        let key = self.key(table, name)?;
        let Holds::Choice(words) = key.holds else { return self.no_such(table, name) };
        let word = if let Some(entry) = table.get(name) {
            self.word_of(name, entry.value, &entry.span, words)?
        } else {
            self.taken(table, key)?;
            key.otherwise?.says
        };
        let at = words.iter().position(|other| *other == word)?;
        things.get(at).copied().or_else(|| self.no_such(table, name))
    }

    /// One of a few words, anywhere.
    pub fn word_of(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
        words: &[&'static str],
    ) -> Option<&'static str> {
        let text = value.as_str().unwrap_or_default();
        if let Some(word) =
            words.iter().find(|word| **word == text || in_capitals(word).is_some_and(|other| other == text))
        {
            return Some(word);
        }
        let quotes: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
        let fault = Fault::new(span.clone(), format!("`{key}` is {}", or(&quotes)));
        let other = OTHER_WORDS.iter().find(|(other, word)| *other == text && words.contains(word));
        let near = other.map(|(_, word)| *word).or_else(|| nearest(text, words.iter().copied()));
        self.fault(match near {
            Some(near) => fault.expected(format!("nearest: \"{near}\"")).mend(span.clone(), quoted(near)),
            None => fault,
        });
        None
    }
}

/// A word of two letters as it is also written: `IP`.
pub(super) fn in_capitals(word: &str) -> Option<String> {
    (word.len() == 2).then(|| word.to_uppercase())
}

/// The number of a percentage: 20 of `20 %`.
fn percent(text: &str) -> Option<f64> {
    text.trim().strip_suffix('%')?.trim_end().parse().ok()
}

/// A number as a whole one within bounds.
fn whole(number: f64, minimum: u32, maximum: u32) -> Option<u32> {
    let within = number.fract() == 0.0 && number >= f64::from(minimum) && number <= f64::from(maximum);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within bounds of its own kind")]
    within.then_some(number as u32)
}
