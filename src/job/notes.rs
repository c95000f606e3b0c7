//! The notes taken while a file is read: faults and assumptions.

use super::fault::Fault;
use super::keys::HOMES;
use super::syntax::quoted;
use super::table::{Entry, Keys, Needed, Table, clipped};
use super::{Assumption, Concerns};
use crate::units::{System, spelling::all_nearest, words};
use std::ops::Range;
use toml::de::{DeArray, DeValue};

/// So many faults are kept; a file with more is no job file with mistakes.
pub(super) const MOST_FAULTS: usize = 2_000;
/// More circuits, rooms, points or tubes than one installation has.
const MOST_TABLES: usize = 500;

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
    /// What those that are noted next are of.
    pub concerns: Concerns,
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
            concerns: self.concerns,
            key: key.into(),
            value,
            unit: unit.to_owned(),
            why: why.into(),
            source: source.to_owned(),
        });
    }

    pub fn typed(&self, span: &Range<usize>) -> &'t str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// Notes unknown and missing keys. The keys that misspelt ones stand for are not missing.
    pub fn check_keys(&mut self, table: &Table<'_>, keys: &Keys, elsewhere: &[&Keys]) {
        self.check_keys_and(table, keys, elsewhere, (&[], ""));
    }

    /// The same where more keys are needed, with what is to be said of them.
    pub fn check_keys_and(&mut self, table: &Table<'_>, keys: &Keys, elsewhere: &[&Keys], more: (&[Needed], &str)) {
        for entry in table.entries() {
            if keys.all.contains(&entry.key) {
                continue;
            }
            let fault = Fault::new(entry.key_span.clone(), format!("{} knows no key `{}`", keys.place, entry.key));
            let home = elsewhere.iter().find(|other| other.all.contains(&entry.key));
            let fault = match (table.meaning(entry.key), home) {
                (Some(near), _) => {
                    fault.expected(format!("nearest: `{near}`")).mend(entry.key_span, near).of_value(entry.span)
                }
                (None, Some(home)) => fault.expected(format!("it belongs in {}", home.place)),
                (None, None) => fault.expected(match all_nearest(entry.key, keys.all.iter().copied())[..] {
                    // It stands there already, as a table of which there may be several.
                    [near] => format!("nearest: `{near}`"),
                    _ => listed("its keys: ", keys.all),
                }),
            };
            self.structural(fault);
        }
        let missing: Vec<_> = keys.needed.iter().chain(more.0).filter(|(key, ..)| !table.has(key)).copied().collect();
        self.missing_and(table, &missing, more.1);
    }

    /// Notes keys that a table lacks, with what to write.
    pub fn missing(&mut self, table: &Table<'_>, missing: &[(&str, &str, &str)]) {
        self.missing_and(table, missing, "");
    }

    /// What to write is told as an example and not as a correction: its values are nobody's.
    fn missing_and(&mut self, table: &Table<'_>, missing: &[(&str, &str, &str)], label: &str) {
        if missing.is_empty() {
            return;
        }
        let names: Vec<String> = missing.iter().map(|(key, ..)| format!("`{key}`")).collect();
        let lines: Vec<String> = missing
            .iter()
            .map(|(key, ip, si)| format!("{key} = {}", if self.system == System::Si { si } else { ip }))
            .collect();
        let example = format!("for example {}", lines.join(", "));
        let label = if label.is_empty() { example } else { format!("{label}; {example}") };
        self.structural(
            Fault::new(table.span(), format!("{} lacks {}", table.place, words::and(&names))).expected(label),
        );
    }

    /// A table within a table; notes where the value is none.
    pub fn table<'a>(&mut self, table: &Table<'a>, key: &str, keys: &'static Keys) -> Option<Table<'a>> {
        let entry = table.get(key)?;
        match entry.value {
            DeValue::Table(inner) => Some(Table::new(inner, entry.span, keys, HOMES)),
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
                        DeValue::Table(inner) => tables.push(Table::new(inner, item.span(), keys, HOMES)),
                        _ => self.fault(
                            Fault::new(item.span(), format!("`{key}` is a list of tables")).expected("not a table"),
                        ),
                    }
                }
                tables
            }
            DeValue::Table(_) => {
                let fault = Fault::new(entry.span.clone(), format!("there may be several: {name} in double brackets"));
                let header = self.typed(&entry.span).trim() == name.get(1..name.len() - 1).unwrap_or_default();
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
        self.fault(match &all_nearest(name, known)[..] {
            [] => fault.expected(list),
            [near] if self.typed(span).starts_with(['"', '\'']) => {
                fault.expected(format!("nearest: `{near}`")).mend(span.clone(), quoted(near))
            }
            [near] => fault.expected(format!("nearest: `{near}`")).mend(span.clone(), *near),
            // Of several as near as each other none is proposed.
            several => {
                let names: Vec<String> = several.iter().take(3).map(|near| format!("`{near}`")).collect();
                fault.expected(format!("nearest: {}", words::or(&names)))
            }
        });
    }
}

fn listed(head: &str, words: &[&str]) -> String {
    format!("{head}{}", words.join(", "))
}
