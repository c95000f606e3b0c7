//! Values of a table: quantities, numbers, flags, texts and choices, each noted where it is not what its key holds.

use super::fault::Fault;
use super::notes::Notes;
use super::syntax::quoted;
use super::table::{Bounds, Table, called, plain_number};
use crate::units::words::or;
use crate::units::{Kind, Misread, quantity, spelling::nearest, without_unit};
use std::ops::Range;
use toml::de::DeValue;

impl Notes<'_> {
    /// A quantity within bounds, SI.
    pub fn quantity(&mut self, table: &Table<'_>, key: &str, kind: Kind, bounds: Bounds) -> Option<f64> {
        let entry = table.get(key)?;
        self.quantity_of(key, entry.value, &entry.span, kind, bounds)
    }

    /// The same of a value anywhere.
    pub fn quantity_of(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
        kind: Kind,
        bounds: Bounds,
    ) -> Option<f64> {
        let read = match value {
            DeValue::String(text) => quantity(text, kind, self.system, self.atmosphere),
            DeValue::Integer(_) | DeValue::Float(_) => Err(without_unit(self.typed(span), kind, self.system)),
            other => Err(Misread { says: format!("{} where a quantity is expected", called(other)), instead: None }),
        };
        match read {
            Ok(value) => {
                if bounds.hold(value) {
                    return Some(value);
                }
                let scale = matches!(kind, Kind::Temperature | Kind::Pressure);
                let says = bounds.says(|v| {
                    if v == 0.0 && !scale { "0".to_owned() } else { kind.show(self.system, v, self.atmosphere) }
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

    /// A plain number within bounds; `20 %` is pointed to 0.2.
    pub fn number(&mut self, table: &Table<'_>, key: &str, bounds: Bounds) -> Option<f64> {
        let entry = table.get(key)?;
        self.number_of(key, entry.value, &entry.span, bounds)
    }

    /// The same of a value anywhere.
    pub fn number_of(&mut self, key: &str, value: &DeValue<'_>, span: &Range<usize>, bounds: Bounds) -> Option<f64> {
        let says = bounds.says(|v| v.to_string());
        let Some(number) = plain_number(value) else {
            let fault = Fault::new(span.clone(), format!("`{key}` is a plain number"))
                .expected(format!("expected a number {says}"));
            let inner = value.as_str().unwrap_or_default().trim();
            let percent = inner.strip_suffix('%').and_then(|t| t.trim().parse::<f64>().ok()).map(|p| p / 100.0);
            let instead = inner.parse::<f64>().ok().or(percent).filter(|v| v.is_finite() && bounds.hold(*v));
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
        let instead = matches!(bounds, Bounds::Above(_, most) | Bounds::From(_, most) | Bounds::Below(_, most) if most <= 1.0)
            && number >= 5.0
            && bounds.hold(share);
        self.fault(if instead { fault.mend(span.clone(), share.to_string()) } else { fault });
        None
    }

    /// A whole number.
    pub fn count(&mut self, table: &Table<'_>, key: &str, least: u32, most: u32) -> Option<u32> {
        let entry = table.get(key)?;
        self.count_of(key, entry.value, &entry.span, least, most)
    }

    /// The same of a value anywhere.
    pub fn count_of(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
        least: u32,
        most: u32,
    ) -> Option<u32> {
        let number = match value {
            DeValue::Integer(_) => plain_number(value),
            _ => None,
        };
        if let Some(number) = number {
            let whole = (least..=most).contains(&0) && number == 0.0;
            // In this range every whole f64 is a u32.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "compared with the bounds before"
            )]
            if whole || (number >= f64::from(least) && number <= f64::from(most)) {
                return Some(number as u32);
            }
        }
        let fault = Fault::new(span.clone(), format!("`{key}` must be a whole number from {least} to {most}"));
        let inner = value.as_str().unwrap_or_default().trim().parse::<u32>().ok();
        let rounded =
            plain_number(value).filter(|n| n.fract() == 0.0 && *n >= f64::from(least) && *n <= f64::from(most));
        self.fault(match (inner.filter(|n| (least..=most).contains(n)), rounded) {
            (Some(n), _) => fault.mend(span.clone(), n.to_string()),
            (None, Some(n)) if number.is_none() => fault.mend(span.clone(), n.to_string()),
            _ => fault,
        });
        None
    }

    /// `true` or `false`.
    pub fn flag(&mut self, table: &Table<'_>, key: &str) -> Option<bool> {
        let entry = table.get(key)?;
        if let DeValue::Boolean(flag) = entry.value {
            return Some(*flag);
        }
        let fault = Fault::new(entry.span.clone(), format!("`{key}` is true or false, without quotes"));
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

    /// One of a few words.
    pub fn choice<T: Copy>(&mut self, table: &Table<'_>, key: &str, choices: &[(&str, T)]) -> Option<T> {
        let entry = table.get(key)?;
        let text = entry.value.as_str().unwrap_or_default();
        if let Some((_, choice)) = choices.iter().find(|(word, _)| *word == text) {
            return Some(*choice);
        }
        let words: Vec<String> = choices.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        let fault = Fault::new(entry.span.clone(), format!("`{key}` is {}", or(&words)));
        let near = nearest(text, choices.iter().map(|(word, _)| *word));
        self.fault(match near {
            Some(near) => fault.expected(format!("nearest: \"{near}\"")).mend(entry.span, quoted(near)),
            None => fault,
        });
        None
    }
}
