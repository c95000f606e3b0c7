//! The file as typed: tables whose keys are known, values with their places, and the notes taken while reading them.

use super::Assumption;
use super::fault::Fault;
use super::syntax::quoted;
use crate::units::{Kind, Misread, System, quantity, spelling::nearest, without_unit};
use std::ops::Range;
use toml::de::{DeArray, DeTable, DeValue};

/// So many faults are kept; a file with more is no job file with mistakes.
pub(super) const MOST_FAULTS: usize = 2_000;
/// More circuits, rooms, points or tubes than one installation has.
const MOST_TABLES: usize = 500;

/// The keys of a kind of table.
pub(super) struct Keys {
    /// How the table is called in a message: `[site]`.
    pub place: &'static str,
    /// All of them.
    pub all: &'static [&'static str],
    /// Those that must be there, with what to write in inch-pound and in SI units.
    pub needed: &'static [(&'static str, &'static str, &'static str)],
}

/// A table of the file.
#[derive(Clone, Copy)]
pub(super) struct Table<'a> {
    entries: &'a DeTable<'a>,
    start: usize,
    end: usize,
    place: &'static str,
}

/// A key and its value.
#[derive(Clone)]
pub(super) struct Entry<'a> {
    pub key: &'a str,
    pub key_span: Range<usize>,
    pub value: &'a DeValue<'a>,
    pub span: Range<usize>,
}

impl<'a> Table<'a> {
    pub fn new(entries: &'a DeTable<'a>, span: Range<usize>, place: &'static str) -> Self {
        Self { entries, start: span.start, end: span.end, place }
    }

    pub fn get(&self, key: &str) -> Option<Entry<'a>> {
        let (key, value) = self.entries.get_key_value(key)?;
        Some(Entry { key: key.get_ref(), key_span: key.span(), value: value.get_ref(), span: value.span() })
    }

    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// The span of a value, or of the table where the key is not there.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.get(key).map_or_else(|| self.span(), |entry| entry.span)
    }

    pub fn span(&self) -> Range<usize> {
        self.start..self.end
    }

    /// The entries in file order.
    pub fn entries(&self) -> Vec<Entry<'a>> {
        let mut entries: Vec<Entry<'a>> = self
            .entries
            .iter()
            .map(|(key, value)| Entry {
                key: key.get_ref(),
                key_span: key.span(),
                value: value.get_ref(),
                span: value.span(),
            })
            .collect();
        entries.sort_by_key(|entry| entry.key_span.start);
        entries
    }
}

/// What a number may be.
#[derive(Clone, Copy)]
pub(super) enum Bounds {
    /// Above the first, at most the second.
    Above(f64, f64),
    /// At least the first, at most the second.
    From(f64, f64),
    /// At least the first, below the second.
    Below(f64, f64),
}

impl Bounds {
    fn hold(self, value: f64) -> bool {
        match self {
            Bounds::Above(least, most) => value > least && value <= most,
            Bounds::From(least, most) => value >= least && value <= most,
            Bounds::Below(least, most) => value >= least && value < most,
        }
    }

    fn says(self, show: impl Fn(f64) -> String) -> String {
        match self {
            Bounds::Above(least, most) => format!("above {} and at most {}", show(least), show(most)),
            Bounds::From(least, most) => format!("from {} to {}", show(least), show(most)),
            Bounds::Below(least, most) => format!("from {} to below {}", show(least), show(most)),
        }
    }
}

/// What is noted while a file is read.
pub(super) struct Notes<'t> {
    /// The file.
    pub text: &'t str,
    /// The units that corrections are written in.
    pub system: System,
    /// Atmospheric pressure at the site, Pa.
    pub atmosphere: f64,
    /// Whether the structure of the file is known: after most mistakes of syntax, what is missing may only be unread.
    pub sound: bool,
    /// Whether a tube may be left open, to be found.
    pub may_be_open: bool,
    /// Faults so far.
    pub faults: Vec<Fault>,
    /// Assumptions so far.
    pub assumptions: Vec<Assumption>,
}

impl<'t> Notes<'t> {
    pub fn fault(&mut self, fault: Fault) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(fault);
        }
    }

    /// A fault that only counts where the structure of the file is known.
    pub fn structural(&mut self, fault: Fault) {
        if self.sound {
            self.fault(fault);
        }
    }

    pub fn assume(&mut self, key: impl Into<String>, value: f64, unit: &str, why: impl Into<String>, source: &str) {
        self.assumptions.push(Assumption {
            key: key.into(),
            value,
            unit: unit.to_owned(),
            why: why.into(),
            source: source.to_owned(),
        });
    }

    fn typed(&self, span: &Range<usize>) -> &'t str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// Notes unknown and missing keys.
    /// The keys that misspelt ones stand for are not missing; they are answered.
    pub fn check_keys(&mut self, table: &Table<'_>, keys: &Keys, elsewhere: &[&Keys]) -> Vec<&'static str> {
        let mut meant = Vec::new();
        for entry in table.entries() {
            if keys.all.contains(&entry.key) {
                continue;
            }
            let fault = Fault::new(entry.key_span.clone(), format!("{} knows no key `{}`", keys.place, entry.key));
            let free = keys.all.iter().copied().filter(|key| !table.has(key));
            let home = elsewhere.iter().find(|other| other.all.contains(&entry.key));
            let fault = match (nearest(entry.key, free), home) {
                (_, Some(home)) => fault.expected(format!("it belongs in {}", home.place)),
                (Some(near), None) => {
                    meant.push(near);
                    fault.expected(format!("nearest: `{near}`")).mend(entry.key_span.clone(), near)
                }
                (None, None) => fault.expected(listed("its keys: ", keys.all)),
            };
            self.structural(fault);
        }
        let missing = |key: &str| !table.has(key) && !meant.contains(&key);
        let missing: Vec<_> = keys.needed.iter().filter(|(key, ..)| missing(key)).copied().collect();
        self.missing(table, &missing);
        meant
    }

    /// Notes keys that a table lacks, with what to write.
    pub fn missing(&mut self, table: &Table<'_>, missing: &[(&str, &str, &str)]) {
        if missing.is_empty() {
            return;
        }
        let names: Vec<String> = missing.iter().map(|(key, ..)| format!("`{key}`")).collect();
        let lines: Vec<String> = missing
            .iter()
            .map(|(key, ip, si)| format!("{key} = {}", if self.system == System::Si { si } else { ip }))
            .collect();
        let fault = Fault::new(table.span(), format!("{} lacks {}", table.place, and(&names)));
        let typed = self.typed(&table.span());
        let fault = if typed.starts_with('[') {
            let end = table.end;
            let remark = self.text.get(end..).map_or(0, |rest| rest.find(['\n', '\r']).unwrap_or(rest.len()));
            let at = end + remark;
            fault.mend(at..at, format!("\n{}", lines.join("\n")))
        } else if typed.starts_with('{') && typed.ends_with('}') && !typed.contains('\n') {
            let inner = typed.trim_end_matches('}').trim_end();
            let at = table.start + inner.len();
            let comma = if inner.ends_with(['{', ',']) { " " } else { ", " };
            fault.mend(at..at, format!("{comma}{}", lines.join(", ")))
        } else {
            fault.expected(format!("required: {}", lines.join(", ")))
        };
        self.structural(fault);
    }

    /// A table within a table; notes where the value is none.
    pub fn table<'a>(&mut self, table: &Table<'a>, key: &str, keys: &'static Keys) -> Option<Table<'a>> {
        let entry = table.get(key)?;
        match entry.value {
            DeValue::Table(inner) => Some(Table::new(inner, entry.span, keys.place)),
            DeValue::Array(array) if array.iter().any(|item| item.get_ref().is_table()) => {
                let name = keys.place.trim_matches(['[', ']']);
                self.fault(
                    Fault::new(entry.span, format!("{} stands once", keys.place)).expected(format!("write [{name}]")),
                );
                None
            }
            _ => {
                self.fault(
                    Fault::new(entry.span, format!("`{key}` is a table")).expected(listed("with the keys ", keys.all)),
                );
                None
            }
        }
    }

    /// The tables of an array of tables.
    pub fn tables<'a>(&mut self, table: &Table<'a>, key: &str, keys: &'static Keys) -> Vec<Table<'a>> {
        let Some(entry) = table.get(key) else { return Vec::new() };
        let name = keys.place;
        match entry.value {
            DeValue::Array(array) => {
                let mut tables = Vec::with_capacity(array.len());
                if let Some(extra) = array.get(MOST_TABLES) {
                    let fault = Fault::new(extra.span(), format!("the file has {} of {name}", array.len()));
                    self.fault(fault.expected(format!("at most {MOST_TABLES}")));
                }
                for item in array.iter().take(MOST_TABLES) {
                    match item.get_ref() {
                        DeValue::Table(inner) => tables.push(Table::new(inner, item.span(), keys.place)),
                        _ => self.fault(
                            Fault::new(item.span(), format!("`{key}` is a list of tables")).expected("not a table"),
                        ),
                    }
                }
                tables
            }
            DeValue::Table(_) => {
                let fault = Fault::new(entry.span.clone(), format!("there may be several: {name} in double brackets"));
                let header = self.typed(&entry.span).trim() == format!("[{key}]");
                self.fault(if header { fault.mend(entry.span, name) } else { fault });
                Vec::new()
            }
            _ => {
                self.fault(Fault::new(entry.span, format!("`{key}` is a list of tables, {name}")));
                Vec::new()
            }
        }
    }

    /// An array.
    pub fn array<'a>(&mut self, entry: &Entry<'a>, of: &str) -> Option<&'a DeArray<'a>> {
        let array = entry.value.as_array();
        if array.is_none() {
            self.fault(
                Fault::new(entry.span.clone(), format!("`{}` is a list", entry.key)).expected(format!("[ {of} ]")),
            );
        }
        array
    }

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
                self.fault(Fault::new(span.clone(), format!("`{key}` must be {says}")).expected("out of this range"));
            }
            Err(misread) => self.misread(key, span, &misread, kind),
        }
        None
    }

    /// Notes a text that is no quantity of its kind.
    pub fn misread(&mut self, key: &str, span: &Range<usize>, misread: &Misread, kind: Kind) {
        let example = kind.example(self.system);
        let fault = Fault::new(span.clone(), format!("`{key}`: {}", misread.says))
            .expected(format!("expected {}, such as \"{example}\"", kind.says()));
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
        let fault = Fault::new(span.clone(), format!("`{key}` must be {says}")).expected("out of this range");
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
        let fault =
            if number.is_some() { fault.expected("out of this range") } else { fault.expected("not a whole number") };
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
            None => fault.expected("none of these"),
        });
        None
    }

    /// A name that the reference data or the job lacks.
    pub fn unknown<'c>(
        &mut self,
        span: &Range<usize>,
        what: &str,
        name: &str,
        known: impl Iterator<Item = &'c str>,
        list: &str,
    ) {
        if self.faults.len() >= MOST_FAULTS {
            return;
        }
        let fault = Fault::new(span.clone(), format!("no {what} is called `{}`", clipped(name)));
        self.fault(match nearest(name, known) {
            Some(near) if self.typed(span).starts_with(['"', '\'']) => {
                fault.expected(format!("nearest: `{near}`")).mend(span.clone(), quoted(near))
            }
            Some(near) => fault.expected(format!("nearest: `{near}`")).mend(span.clone(), near),
            None => fault.expected(list),
        });
    }
}

/// A TOML number as a float.
pub(super) fn plain_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(integer) =>
        {
            #[expect(
                clippy::cast_precision_loss,
                reason = "a count or a coefficient, far below 2^53 where it is right"
            )]
            i64::from_str_radix(integer.as_str(), integer.radix()).ok().map(|n| n as f64)
        }
        DeValue::Float(float) => float.as_str().parse().ok(),
        _ => None,
    }
}

/// What a value is, with its article.
pub(super) fn called(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// At most so much of a text as a message can carry.
pub(super) fn clipped(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_owned() } else { text.chars().take(37).chain("...".chars()).collect() }
}

fn listed(head: &str, words: &[&str]) -> String {
    format!("{head}{}", words.join(", "))
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn and(words: &[String]) -> String {
    joined(words, "and")
}

fn or(words: &[String]) -> String {
    joined(words, "or")
}

fn joined(words: &[String], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}
