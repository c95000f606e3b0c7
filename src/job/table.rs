//! The file as typed: tables whose keys are known, values with their places.

use super::key::Keys;
use crate::units::spelling::all_nearest;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// A table of the file. A key that is misspelt and means without doubt another is read as that one.
#[derive(Clone)]
pub(super) struct Table<'a> {
    entries: Option<&'a DeTable<'a>>,
    start: usize,
    end: usize,
    /// What misspelt keys mean: the key and what was typed.
    meant: Vec<(&'static str, &'a str)>,
    /// What it may hold.
    pub keys: &'static Keys,
    /// What stands before its keys in the path of an assumption: `circuit 1A condenser.`.
    pub path: String,
}

/// Of a table of any names.
static NAMES: Keys = Keys::new("a table", &[]);

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
    pub fn new(entries: &'a DeTable<'a>, span: Range<usize>, keys: &'static Keys, path: String) -> Self {
        let mut meant: Vec<(&'static str, &'a str)> = Vec::new();
        for typed in entries.keys().map(|key| key.get_ref().as_ref()) {
            if let Some(key) = keys.otherwise_called(typed) {
                meant.push((key, typed));
                continue;
            }
            if keys.key(typed).is_some() || keys.home(typed).is_some() {
                continue;
            }
            let free = keys.names().filter(|key| !entries.contains_key(*key));
            if let [near] = all_nearest(typed, free)[..]
                && !meant.iter().any(|(key, _)| *key == near)
            {
                meant.push((near, typed));
            }
        }
        Self { entries: Some(entries), start: span.start, end: span.end, meant, keys, path }
    }

    /// A table of any names.
    pub fn of_names(entries: &'a DeTable<'a>, span: Range<usize>) -> Self {
        Self { entries: Some(entries), start: span.start, end: span.end, ..Self::absent(&NAMES, String::new()) }
    }

    /// A table that is not there.
    pub fn absent(keys: &'static Keys, path: String) -> Self {
        Self { entries: None, start: 0, end: 0, meant: Vec::new(), keys, path }
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
        let (key, value) = self.entries?.get_key_value(typed)?;
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
            .into_iter()
            .flatten()
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
