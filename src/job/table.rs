//! The file as typed: tables whose keys are known, values with their places.

use crate::units::spelling::all_nearest;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The keys of a kind of table.
pub(super) struct Keys {
    /// How the table is called in a message: `[site]`.
    pub place: &'static str,
    /// All of them.
    pub all: &'static [&'static str],
    /// Those that must be there, with what to write in inch-pound and in SI units.
    pub needed: &'static [Needed],
}

/// A key that must be there, with what to write in inch-pound and in SI units.
pub(super) type Needed = (&'static str, &'static str, &'static str);

/// A table of the file. A key that is misspelt and means without doubt another is read as that one.
#[derive(Clone)]
pub(super) struct Table<'a> {
    entries: &'a DeTable<'a>,
    start: usize,
    end: usize,
    /// What misspelt keys mean: the key and what was typed.
    meant: Vec<(&'static str, &'a str)>,
    /// How it is called in a message.
    pub place: &'static str,
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
    /// A table of known keys; those that are known elsewhere are no misspellings.
    pub fn new(entries: &'a DeTable<'a>, span: Range<usize>, keys: &Keys, elsewhere: &[&Keys]) -> Self {
        let mut meant: Vec<(&'static str, &'a str)> = Vec::new();
        for typed in entries.keys().map(|key| key.get_ref().as_ref()) {
            let known = |keys: &Keys| keys.all.contains(&typed);
            if known(keys) || elsewhere.iter().copied().any(known) {
                continue;
            }
            let free = keys.all.iter().copied().filter(|key| !entries.contains_key(*key));
            if let [near] = all_nearest(typed, free)[..]
                && !meant.iter().any(|(key, _)| *key == near)
            {
                meant.push((near, typed));
            }
        }
        Self { entries, start: span.start, end: span.end, meant, place: keys.place }
    }

    /// A table of any keys.
    pub fn of_names(entries: &'a DeTable<'a>, span: Range<usize>, place: &'static str) -> Self {
        Self { entries, start: span.start, end: span.end, meant: Vec::new(), place }
    }

    /// What a misspelt key means.
    pub fn meaning(&self, typed: &str) -> Option<&'static str> {
        self.meant.iter().find(|(_, as_typed)| *as_typed == typed).map(|(key, _)| *key)
    }

    pub fn get(&self, key: &str) -> Option<Entry<'a>> {
        let (meant, typed) = self
            .meant
            .iter()
            .find(|(meant, _)| *meant == key)
            .map_or((None, key), |(meant, typed)| (Some(*meant), *typed));
        let (key, value) = self.entries.get_key_value(typed)?;
        let name = meant.unwrap_or_else(|| key.get_ref());
        Some(Entry { key: name, key_span: key.span(), value: value.get_ref(), span: value.span() })
    }

    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
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
    pub fn hold(self, value: f64) -> bool {
        match self {
            Bounds::Above(least, most) => value > least && value <= most,
            Bounds::From(least, most) => value >= least && value <= most,
            Bounds::Below(least, most) => value >= least && value < most,
        }
    }

    pub fn says(self, show: impl Fn(f64) -> String) -> String {
        match self {
            Bounds::Above(least, most) => format!("above {} and at most {}", show(least), show(most)),
            Bounds::From(least, most) => format!("from {} to {}", show(least), show(most)),
            Bounds::Below(least, most) => format!("from {} to below {}", show(least), show(most)),
        }
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
