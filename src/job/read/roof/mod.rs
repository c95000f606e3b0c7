//! The roof: its edge and what stands on it, in coordinates.

mod clashes;
mod others;
mod unit;

use crate::job::fault::{Fault, line_of};
use crate::job::keys::{self, ROOF};
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::{Bounds, Entry, Table};
use crate::job::{Circuit, Roof, RoofUnit, Xy};
use crate::physics::air_absorption::{AIR_HUMIDITY, AIR_K};
use crate::units::{Kind, quantity};
use std::ops::Range;
use toml::de::{DeArray, DeValue};

/// Coordinates on one site, m.
const COORDINATE: Bounds = Bounds::From(-10_000.0, 10_000.0);
/// Heights of what stands on a roof, m.
const HEIGHT: Bounds = Bounds::Above(0.0, 100.0);
/// The same of what may be flush with it.
const RISE: Bounds = Bounds::From(0.0, 100.0);

/// To ground, of a supply of 480 V, V.
const VOLTS_TO_GROUND: f64 = 277.0;

/// The circuits of the file.
pub(super) struct Drawn<'a> {
    /// Those that could be read.
    pub circuits: &'a [Circuit],
    /// The names of all.
    pub names: &'a [&'a str],
}

/// A pair of lengths as it was typed.
#[derive(Clone, Debug)]
struct Typed {
    place: Xy,
    /// Of both lengths.
    span: Range<usize>,
    /// Of each.
    spans: [Range<usize>; 2],
}

pub(super) fn roof(notes: &mut Notes<'_>, root: &Table<'_>, drawn: &Drawn<'_>) -> Option<Roof> {
    let table = notes.table(root, "roof", &ROOF)?;
    notes.check_keys(&table, &ROOF, keys::HOMES);
    let north = if table.has("north") {
        notes.number(&table, "north", Bounds::From(-360.0, 360.0))
    } else {
        notes.assume("roof.north", 0.0, "deg", "the plan's y axis points north", "roofrun");
        Some(0.0)
    };
    let height = notes.quantity(&table, "height", Kind::Length, Bounds::From(0.0, 1_000.0));
    let outline = outline(notes, &table);
    let parapet = along_the_edge(notes, &table, "parapet", "no parapet is drawn");
    let guard = along_the_edge(notes, &table, "guard", "no guard is drawn");
    let wind = notes.quantity(&table, "wind", Kind::Wind, Bounds::Above(0.0, 150.0));
    let units = unit::units(notes, &table, drawn);
    let volts_to_ground = volts_to_ground(notes, &table, &units);
    let walls = others::walls(notes, &table);
    let rails = others::rails(notes, &table);
    let heats = others::heats(notes, &table);
    let listeners = others::listeners(notes, &table, height);
    let crossings = others::crossings(notes, &table);
    if !listeners.is_empty() {
        heard(notes, &units);
    }
    let standing = clashes::Standing {
        outline: outline.as_deref().unwrap_or_default(),
        roof_height: height,
        units: &units,
        walls: &walls,
        heats: &heats,
        listeners: &listeners,
    };
    standing.note(notes);
    Some(Roof {
        north_deg: north?,
        outline: outline?,
        height_m: height,
        parapet_m: parapet?,
        guard_m: guard?,
        volts_to_ground: volts_to_ground?,
        wind_m_s: wind,
        units: units.into_iter().map(|(unit, _)| unit).collect(),
        walls: walls.into_iter().map(|(wall, _)| wall).collect(),
        rails,
        heats: heats.into_iter().map(|(heat, _)| heat).collect(),
        listeners: listeners.into_iter().map(|(listener, _)| listener).collect(),
        crossings,
    })
}

/// The voltage to ground of the units' supply; where it is not given, that of the usual larger supplies, which asks for more room.
fn volts_to_ground(notes: &mut Notes<'_>, table: &Table<'_>, units: &[(RoofUnit, Typed)]) -> Option<f64> {
    if table.has("volts_to_ground") {
        return notes.number(table, "volts_to_ground", Bounds::Above(0.0, 600.0));
    }
    if units.iter().any(|(unit, _)| unit.controls.is_some()) {
        let why = "of a supply of 480 V: the working space for 151 to 600 V to ground is asked for";
        notes.assume("roof.volts_to_ground", VOLTS_TO_GROUND, "V", why, "nec-110-26");
    }
    Some(VOLTS_TO_GROUND)
}

/// What is taken where someone listens: the air that sound goes through, and the night of units of which only the day is known.
fn heard(notes: &mut Notes<'_>, units: &[(RoofUnit, Typed)]) {
    let why = "of the air between the units and the listeners, for what it takes from sound";
    notes.assume("roof.listener temperature", AIR_K, "K", why, "iso-9613-2");
    notes.assume("roof.listener humidity", AIR_HUMIDITY, "-", why, "iso-9613-2");
    for (unit, _) in units {
        if unit.sound.is_some() && unit.night_sound.is_none() && unit.night_speed.is_none() {
            let key = format!("roof.unit {}.night_speed", unit.name);
            notes.assume(key, 1.0, "-", "as loud at night as by day", "roofrun");
        }
    }
}

/// The corners of the edge; none where it is not drawn.
fn outline(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Vec<Xy>> {
    let Some(entry) = table.get("outline") else {
        let why = "the roof's edge is not drawn: distances to it were not looked at";
        notes.assume("roof.outline", 0.0, "-", why, "roofrun");
        return Some(Vec::new());
    };
    let such = "[\"0 ft\", \"0 ft\"], [\"120 ft\", \"0 ft\"], [\"120 ft\", \"60 ft\"]";
    let array = list(notes, &entry, such, 500)?;
    let mut corners = Vec::with_capacity(array.len());
    for item in array {
        corners.push(pair_of(notes, "outline", item.get_ref(), &item.span(), COORDINATE));
    }
    let corners: Vec<Typed> = corners.into_iter().collect::<Option<_>>()?;
    clashes::outline(notes, &corners, entry.span).then(|| corners.into_iter().map(|corner| corner.place).collect())
}

/// A list that is not beyond all measure.
fn list<'a>(notes: &mut Notes<'_>, entry: &Entry<'a>, such: &str, most: usize) -> Option<&'a DeArray<'a>> {
    let array = notes.array(entry, such)?;
    if array.len() <= most {
        return Some(array);
    }
    let fault = Fault::new(entry.span.clone(), format!("`{}` has {} entries", entry.key, array.len()));
    notes.fault(fault.expected(format!("at most {most}")));
    None
}

/// A height along the whole edge.
fn along_the_edge(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, without: &str) -> Option<f64> {
    let Some(entry) = table.get(key) else {
        if table.has("outline") {
            notes.assume(format!("roof.{key}"), 0.0, "m", without, "roofrun");
        }
        return Some(0.0);
    };
    if !table.has("outline") {
        let fault = Fault::new(entry.key_span, format!("`{key}` without `outline`"));
        notes.structural(fault.expected("it runs along the outline of the roof"));
    }
    notes.quantity(table, key, Kind::Length, Bounds::From(0.0, 30.0))
}

/// Two lengths: a place, or a size.
fn pair(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, bounds: Bounds) -> Option<Typed> {
    let entry = table.get(key)?;
    pair_of(notes, key, entry.value, &entry.span, bounds)
}

/// The same of a value anywhere.
fn pair_of(
    notes: &mut Notes<'_>,
    key: &str,
    value: &DeValue<'_>,
    span: &Range<usize>,
    bounds: Bounds,
) -> Option<Typed> {
    let Some(array) = value.as_array() else {
        let example = Kind::Length.example(notes.system);
        let fault = Fault::new(span.clone(), format!("`{key}` is a pair of lengths, along x and along y"));
        // Both in one text.
        let reads = |text: &str| quantity(text.trim(), Kind::Length, notes.system, notes.atmosphere).is_ok();
        let both = value.as_str().and_then(|text| text.split_once(',')).filter(|(x, y)| reads(x) && reads(y));
        notes.fault(match both {
            Some((x, y)) => fault.mend(span.clone(), format!("[{}, {}]", quoted(x.trim()), quoted(y.trim()))),
            None => fault.expected(format!("such as [\"{example}\", \"{example}\"]")),
        });
        return None;
    };
    if array.len() != 2 {
        let says = match array.len() {
            0 => format!("`{key}` is empty"),
            1 => format!("`{key}` has one length"),
            more => format!("`{key}` has {more} lengths"),
        };
        notes.fault(Fault::new(span.clone(), says).expected("two of them, along x and along y"));
        return None;
    }
    let mut lengths =
        array.iter().map(|item| notes.quantity_of(key, item.get_ref(), &item.span(), Kind::Length, bounds));
    let (x, y) = (lengths.next().flatten(), lengths.next().flatten());
    let mut spans = array.iter().map(toml::Spanned::span);
    let spans = [spans.next()?, spans.next()?];
    Some(Typed { place: Xy { x_m: x?, y_m: y? }, span: span.clone(), spans })
}

/// The names that are taken, and on which line.
#[derive(Default)]
struct Names<'a>(Vec<(&'a str, usize)>);

impl<'a> Names<'a> {
    /// Takes a name; one that is taken is a fault.
    fn take(&mut self, notes: &mut Notes<'_>, table: &Table<'a>, what: &str) -> Option<&'a str> {
        let name = notes.text(table, "name")?;
        let entry: Entry<'a> = table.get("name")?;
        if let Some((_, line)) = self.0.iter().find(|(taken, _)| *taken == name) {
            let fault = Fault::new(entry.span.clone(), format!("two {what} are called `{name}`"));
            notes.fault(fault.expected(format!("taken on line {line}")));
        }
        self.0.push((name, line_of(notes.text, entry.span.start)));
        Some(name)
    }
}
