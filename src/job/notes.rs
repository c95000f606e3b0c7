//! The notes taken while a file is read: faults and assumptions.

use super::fault::{Fault, Recovery};
use super::key::{Holds, Key, Keys};
use super::syntax::{self, quoted};
use super::table::{Entry, Table, clipped};
use super::{Assumption, Concerns};
use crate::units::{Kind, System, quantity, spelling::all_nearest, words};
use std::ops::Range;
use toml::de::{DeArray, DeValue};

/// So many faults are kept; a file with more is no job file with mistakes.
pub(super) const MAXIMUM_FAULTS: usize = 2_000;
/// More circuits, rooms, points or tubes than one installation has.
const MAXIMUM_TABLES: usize = 500;

/// What is noted while a file is read.
pub(super) struct Notes<'t> {
    /// The file.
    pub text: &'t str,
    /// Where its lines end.
    ends: Vec<usize>,
    /// The units that corrections are written in.
    pub system: System,
    /// Atmospheric pressure at the site, Pa.
    pub atmosphere_Pa: f64,
    /// Whether the structure of the file is known: after most mistakes of syntax, what is missing may only be unread.
    pub sound: bool,
    /// Whether a tube may be left open, to be found.
    pub may_be_open: bool,
    /// Faults so far.
    pub faults: Vec<Fault>,
    /// How many were found, those included that are not kept.
    pub found: usize,
    /// Assumptions so far.
    pub assumptions: Vec<Assumption>,
    /// What those that are noted next are of.
    pub concerns: Concerns,
    /// A key whose value follows from what was read before, should it be missing: its value, and what is said of it.
    pub worked_out: Option<(&'static str, String, String)>,
}

impl<'t> Notes<'t> {
    /// The line, from 1, of a byte.
    pub fn line(&self, at: usize) -> usize {
        1 + self.ends.partition_point(|end| *end < at)
    }

    /// Of a file with its mistakes of syntax, in units and at an atmospheric pressure (Pa) that it may change.
    pub fn of(text: &'t str, errors: &[toml::de::Error], system: System, atmosphere: f64) -> Self {
        let mut notes = Self {
            text,
            ends: text.match_indices('\n').map(|(end, _)| end).collect(),
            system,
            atmosphere_Pa: atmosphere,
            sound: true,
            may_be_open: false,
            faults: Vec::new(),
            found: 0,
            assumptions: Vec::new(),
            concerns: Concerns::Circuits,
            worked_out: None,
        };
        for error in errors.iter().take(MAXIMUM_FAULTS) {
            let fault = syntax::fault(text, error);
            notes.sound &= fault.syntax == Some(Recovery::Sound);
            notes.fault(fault);
        }
        notes
    }

    pub fn fault(&mut self, fault: Fault) {
        self.found += 1;
        if self.faults.len() < MAXIMUM_FAULTS {
            self.faults.push(fault);
        }
    }

    /// A fault that only counts where the structure of the file is known.
    pub fn structural(&mut self, fault: Fault) {
        self.found += 1;
        if self.sound {
            self.fault(fault);
        }
    }

    /// What was read, if no more faults were found with it than before.
    pub fn whole<T>(&self, before: usize, read: T) -> Option<T> {
        (self.found == before).then_some(read)
    }

    /// What is taken for a key that is not there, SI; noted where its default has a reason.
    pub fn taken(&mut self, table: &Table<'_>, key: &'static Key) -> Option<f64> {
        let otherwise = key.otherwise?;
        let value = otherwise.value?;
        if !otherwise.why.is_empty() {
            self.taken_as(table, key.name, value, otherwise.says, otherwise.why);
        }
        Some(value)
    }

    /// Notes a value that follows from others and is taken for a key, with the reason that the key gives.
    pub fn follows(&mut self, table: &Table<'_>, key: &str, value: f64) {
        let why = table.keys.key(key).and_then(|key| key.otherwise).map_or("", |otherwise| otherwise.why);
        self.taken_as(table, key, value, "", why);
    }

    /// Notes a value that is taken for a key, in words where they say it better, and why.
    pub fn taken_as(&mut self, table: &Table<'_>, key: &str, value: f64, says: &str, why: &str) {
        let Some(key) = self.key(table, key) else { return };
        let source = key.otherwise.map_or("roofrun", |otherwise| otherwise.source);
        self.note(format!("{}{}", table.path, key.name), (value, key.unit(), key.kind()), says, why, source);
    }

    /// Notes what is taken: its value, its kind and the value in words where they say it better.
    pub fn assume(
        &mut self,
        key: impl Into<String>,
        (value, kind, says): (f64, Kind, &str),
        why: impl Into<String>,
        source: &str,
    ) {
        self.note(key.into(), (value, kind.si_unit(), Some(kind)), says, &why.into(), source);
    }

    fn note(
        &mut self,
        key: String,
        (value, unit, kind): (f64, &str, Option<Kind>),
        says: &str,
        why: &str,
        source: &str,
    ) {
        let [unit, says, source] = [unit, says, source].map(str::to_owned);
        self.assumptions.push(Assumption {
            concerns: self.concerns,
            key,
            value,
            unit,
            kind,
            says,
            why: why.to_owned(),
            source,
        });
    }

    pub fn typed(&self, span: &Range<usize>) -> &'t str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// Notes unknown and missing keys. The keys that misspelt ones stand for are not missing.
    pub fn check_keys(&mut self, table: &Table<'_>) {
        let keys = table.keys;
        for entry in table.entries() {
            if keys.key(entry.key).is_some() {
                continue;
            }
            let fault = Fault::new(entry.key_span.clone(), format!("unknown key `{}` in {}", entry.key, keys.place));
            if let Some(inner) = keys.of_circuit(entry.key) {
                self.without_its_circuit(table, &entry, inner);
                continue;
            }
            if let Some(says) = keys.either_called(entry.key) {
                self.fault(fault.expected(says));
                continue;
            }
            let fault = match (table.meaning(entry.key), keys.home(entry.key)) {
                (Some(key), _) if keys.otherwise_called(entry.key) == Some(key) => {
                    fault.expected(format!("it is called `{key}`")).mend(entry.key_span, key)
                }
                (Some(near), _) => {
                    fault.expected(format!("nearest: `{near}`")).mend(entry.key_span, near).of_value(entry.span)
                }
                (None, Some(home)) => fault.expected(format!("it belongs in {}", home.place)),
                (None, None) => fault.expected(match all_nearest(entry.key, keys.names())[..] {
                    // It stands there already, as a table of which there may be several.
                    [near] => format!("nearest: `{near}`"),
                    _ => keys.within(entry.key).unwrap_or_else(|| listed("its keys: ", keys)),
                }),
            };
            self.structural(fault);
        }
        // A table that is missing is told by what it would hold.
        let is_value = |key: &&Key| key.needed && !matches!(key.holds, Holds::Table(_) | Holds::Tables(_));
        let needed = keys.all.iter().filter(is_value).map(|key| key.name);
        let either = keys.either.filter(|either| !either.of.iter().any(|key| table.has(key)));
        let missing: Vec<&str> =
            needed.chain(either.map(|either| either.missing).unwrap_or_default().iter().copied()).collect();
        self.missing_and(table, &missing, either.map_or("", |either| either.label));
    }

    /// Notes a table of a circuit that does not say so: `[valve]` for `[circuit.valve]`.
    fn without_its_circuit(&mut self, file: &Table<'_>, entry: &Entry<'_>, keys: &Keys) {
        let says = format!("[{}] belongs to a circuit", entry.key);
        let fault =
            Fault::new(entry.key_span.clone(), says).expected(format!("write {} below its [[circuit]]", keys.place));
        let in_place = file.get("circuit").is_some_and(|circuit| circuit.key_span.start < entry.key_span.start);
        let instead = format!("circuit.{}", entry.key);
        self.fault(if in_place { fault.mend(entry.key_span.clone(), instead) } else { fault });
    }

    /// Notes those of some keys that a table lacks, with what to write.
    pub fn missing(&mut self, table: &Table<'_>, needed: &[&str]) {
        self.missing_and(table, needed, "");
    }

    /// What to write is told as an example and not as a correction: its values are nobody's.
    fn missing_and(&mut self, table: &Table<'_>, needed: &[&str], label: &str) {
        let missing = needed.iter().filter(|key| !table.has(key)).filter_map(|key| table.keys.key(key));
        let worked_out = self.worked_out.as_ref().filter(|(key, ..)| needed.contains(key) && !table.has(key));
        let written = |key: &Key| match worked_out {
            Some((name, value, _)) if *name == key.name => format!("{name} = {}", quoted(value)),
            _ => format!("{} = {}", key.name, key.written(self.system == System::Si)),
        };
        let (names, lines): (Vec<String>, Vec<String>) =
            missing.map(|key| (format!("`{}`", key.name), written(key))).unzip();
        if names.is_empty() {
            return;
        }
        let example = format!("for example {}", lines.join(", "));
        let label = worked_out.map_or(label, |(.., says)| says);
        let label = if label.is_empty() { example } else { format!("{label}; {example}") };
        let fault = Fault::new(table.span(), {
            let keys = if names.len() == 1 { "missing key" } else { "missing keys" };
            format!("{keys} {} in {}", words::and(&names), table.keys.place)
        });
        self.structural(fault.expected(label));
    }

    /// A table within a table, its keys checked; notes where the value is none.
    pub fn table<'a>(&mut self, table: &Table<'a>, key: &str) -> Option<Table<'a>> {
        let Holds::Table(keys) = self.key(table, key)?.holds else { return self.no_such(table, key) };
        let entry = table.get(key)?;
        match entry.value {
            DeValue::Table(inner) => {
                let inner = Table::new(inner, entry.span, keys, format!("{}{key}.", table.path));
                self.check_keys(&inner);
                return Some(inner);
            }
            DeValue::Array(array) if array.iter().any(|item| item.get_ref().is_table()) => {
                let name = keys.place.trim_matches(['[', ']']);
                let fault = Fault::new(entry.span, format!("{} is given once", keys.place));
                self.fault(fault.expected(format!("write [{name}]")));
            }
            _ => {
                let fault = Fault::new(entry.span.clone(), format!("`{key}` is a table"));
                let fault = fault.expected(listed("with the keys ", keys));
                let within = entry.value.as_str().and_then(|typed| self.key_of_quantity(keys, typed));
                self.fault(match within {
                    // With its key, which may be misspelt.
                    Some(within) => fault.mend(entry.key_span.start..entry.span.end, format!("{key} = {{ {within} }}")),
                    None => fault,
                });
            }
        }
        None
    }

    /// A quantity where a table of readings belongs, with the first key there that takes such a one.
    fn key_of_quantity(&self, keys: &Keys, typed: &str) -> Option<String> {
        let takes = |key: &&Key| match key.holds {
            Holds::Quantity(kind, _) => quantity(typed, kind, self.system, self.atmosphere_Pa).is_ok(),
            _ => false,
        };
        keys.all.iter().filter(|_| keys.apart).find(takes).map(|key| format!("{} = {typed:?}", key.name))
    }

    /// The same, as one without a key where there is none.
    pub fn table_if_any<'a>(&mut self, table: &Table<'a>, key: &str) -> Option<Table<'a>> {
        let Holds::Table(keys) = self.key(table, key)?.holds else { return self.no_such(table, key) };
        self.table(table, key).or_else(|| Some(Table::absent(keys, format!("{}{key}.", table.path))))
    }

    /// The tables of an array of tables, the keys of each checked, in the path of each its name.
    pub fn tables<'a>(&mut self, table: &Table<'a>, key: &str) -> Vec<Table<'a>> {
        let Some(Holds::Tables(keys)) = self.key(table, key).map(|key| key.holds) else {
            return self.no_such(table, key).unwrap_or_default();
        };
        let Some(entry) = table.get(key) else { return Vec::new() };
        let name = keys.place;
        match entry.value {
            DeValue::Array(array) => {
                let mut tables = Vec::with_capacity(array.len());
                if let Some(extra) = array.get(MAXIMUM_TABLES) {
                    let fault = Fault::new(extra.span(), format!("the file has {} of {name}", array.len()));
                    self.fault(fault.expected(format!("no more than {MAXIMUM_TABLES}")));
                }
                for item in array.iter().take(MAXIMUM_TABLES) {
                    let DeValue::Table(inner) = item.get_ref() else {
                        let fault = Fault::new(item.span(), format!("`{key}` is a list of tables"));
                        self.fault(fault.expected("not a table"));
                        continue;
                    };
                    let mut inner = Table::new(inner, item.span(), keys, String::new());
                    let called = inner.get("name").and_then(|name| name.value.as_str()).map_or("?", str::trim);
                    inner.path = format!("{}{key} {called}.", table.path);
                    self.check_keys(&inner);
                    tables.push(inner);
                }
                return tables;
            }
            DeValue::Table(_) => {
                let fault = Fault::new(entry.span.clone(), format!("there may be several: {name} in double brackets"));
                let header = self.typed(&entry.span).trim() == name.get(1..name.len() - 1).unwrap_or_default();
                self.fault(if header { fault.mend(entry.span, name) } else { fault });
            }
            _ => self.fault(Fault::new(entry.span, format!("`{key}` is a list of tables, {name}"))),
        }
        Vec::new()
    }

    /// What a key is. One that the table has not is a mistake of this program, and told so that it can't pass unseen.
    pub fn key(&mut self, table: &Table<'_>, name: &str) -> Option<&'static Key> {
        table.keys.key(name).or_else(|| self.no_such(table, name))
    }

    /// Notes a key of another kind than is required.
    pub fn no_such<T>(&mut self, table: &Table<'_>, name: &str) -> Option<T> {
        self.fault(Fault::new(table.span(), format!("{} has no `{name}` of that kind", table.keys.place)));
        None
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
        if self.faults.len() >= MAXIMUM_FAULTS {
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

fn listed(head: &str, keys: &Keys) -> String {
    format!("{head}{}", keys.names().collect::<Vec<_>>().join(", "))
}
