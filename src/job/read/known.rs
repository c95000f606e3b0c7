//! What the parts of a job know of each other while they are read.

use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::{Entry, Table};
use crate::job::{Circuit, LineId, RatedAt};
use crate::refdata::Tube;
use crate::refrigerant::Refrigerant;
use crate::units::{TemperatureDifference, kelvins};
use std::ops::Range;

/// What a circuit may refer to.
pub(super) struct Known {
    pub rooms: Vec<String>,
    pub tubes: Vec<Tube>,
}

/// The circuits of the file.
pub(super) struct Drawn<'a> {
    /// Those that could be read.
    pub circuits: &'a [Circuit],
    /// The names of all.
    pub names: &'a [&'a str],
}

/// What the parts of a circuit know of it while they are read.
#[derive(Clone, Copy)]
pub(super) struct Context {
    /// Its refrigerant, where that is known.
    pub fluid: Option<&'static Refrigerant>,
    /// The conditions of the compressors' rating, where they could be read.
    pub rated: Option<RatedAt>,
}

/// Where a run stands.
pub(super) struct RunKey<'a> {
    /// The line.
    pub line: LineId,
    /// How the line is called in the key of an assumption: `circuit 1A liquid`.
    pub key: String,
    /// The number of the run.
    pub number: usize,
    /// What it may refer to.
    pub known: &'a Known,
}

/// The names that are taken, and where.
#[derive(Default)]
pub(super) struct Names<'a>(Vec<(&'a str, usize)>);

impl<'a> Names<'a> {
    /// Takes a name; one that is taken is a fault.
    pub fn take(&mut self, notes: &mut Notes<'_>, table: &Table<'a>, what: &str) -> Option<&'a str> {
        let name = notes.text(table, "name")?;
        let entry: Entry<'a> = table.get("name")?;
        if let Some((_, start)) = self.0.iter().find(|(taken, _)| *taken == name) {
            let line = notes.line(*start);
            let fault = Fault::new(entry.span.clone(), format!("two {what} are called `{name}`"));
            notes.fault(fault.expected(format!("taken on line {line}")));
        }
        self.0.push((name, entry.span.start));
        Some(name)
    }

    /// All of them.
    pub fn all(self) -> Vec<&'a str> {
        self.0.into_iter().map(|(name, _)| name).collect()
    }
}

/// The room that a table names; notes one that is not described.
pub(super) fn room(notes: &mut Notes<'_>, table: &Table<'_>, known: &Known) -> Option<String> {
    let name = notes.text(table, "room")?;
    if notes.sound && !known.rooms.iter().any(|room| room == name) {
        let rooms = known.rooms.iter().map(String::as_str);
        let list = match known.rooms.as_slice() {
            [] => "rooms are described under [[room]]".to_owned(),
            rooms => format!("described under [[room]]: {}", rooms.join(", ")),
        };
        notes.unknown(&table.span_of("room"), "room", name, rooms, &list);
    }
    Some(name.to_owned())
}

/// Notes a saturation (dew) temperature outside the refrigerant's range; whether it is inside.
pub(super) fn within_range(
    notes: &mut Notes<'_>,
    fluid: Option<&Refrigerant>,
    key: &str,
    span: &Range<usize>,
    kelvin: f64,
) -> bool {
    let Some(fluid) = fluid else { return true };
    let range = fluid.range();
    let show = |k: f64| notes.system.temperature_exact(k);
    let (side, bound) = if kelvin > range.dew_temperature_max {
        ("above", format!("no more than {}, where its pressure is 93 % of critical", show(range.dew_temperature_max)))
    } else if kelvin < range.temperature_min {
        ("below", format!("no less than {}", show(range.temperature_min)))
    } else {
        return true;
    };
    let says = format!("`{key}` {} is {side} the range of {}", show(kelvin), fluid.name());
    notes.fault(Fault::new(span.clone(), says).expected(bound));
    false
}

/// A difference of temperatures; where it is not given, that of the rating, K.
pub(super) fn get_or_rated(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    key: &str,
    rated: Option<f64>,
) -> Option<TemperatureDifference> {
    if table.has(key) {
        return notes.get(table, key);
    }
    notes.follows(table, key, rated?);
    rated.map(kelvins)
}
