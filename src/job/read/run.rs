//! A run of a route: a length of tube or a part.

use super::known::{RunKey, room};
use super::part;
use super::tube::{Laid, fittings, tubes};
use crate::job::fault::Fault;
use crate::job::key::Bounds;
use crate::job::notes::Notes;
use crate::job::syntax;
use crate::job::table::{Entry, Table, plain_number};
use crate::job::{Ambient, Expansion, Path, Run, Slope, Traps};
use crate::units::words::and;
use crate::units::{Kind, Length, Temperature, kelvins, metres, quantity};
use toml::de::{DeTable, DeValue};

#[derive(Clone, Copy, PartialEq)]
enum Shape {
    Level,
    Rise,
    Drop,
    Part,
}

const SHAPES: [(&str, Shape); 4] =
    [("level", Shape::Level), ("rise", Shape::Rise), ("drop", Shape::Drop), ("part", Shape::Part)];

impl Shape {
    /// Whether a key belongs on such a run; where not, where it does.
    fn takes(self, key: &str) -> Result<(), &'static str> {
        match key {
            "trap" if self != Shape::Rise => Err("it belongs on a riser"),
            "slope" | "turn" if self != Shape::Level => Err("it belongs on a level run"),
            "ambient" | "insulation" if self == Shape::Part => {
                Err("heat is counted on tube only: it belongs on the length of tube before or after")
            }
            "expansion" if self == Shape::Part => Err("it belongs on the length of tube that grows"),
            "fittings" if self == Shape::Part => Err("it belongs on a length of tube"),
            "pressure_drop" | "kv" | "cv" | "length" | "style" | "volume" | "vented" | "shell" | "stop_valves"
            | "capacity" | "leaving" | "bypass"
                if self != Shape::Part =>
            {
                Err("it belongs on a part")
            }
            _ => Ok(()),
        }
    }

    fn called(self) -> &'static str {
        match self {
            Shape::Level => "a level run",
            Shape::Rise => "a rise",
            Shape::Drop => "a drop",
            Shape::Part => "a part",
        }
    }
}

/// Whether a run as typed is a length of tube.
pub(super) fn has_direction(table: &DeTable<'_>) -> bool {
    ["level", "rise", "drop"].iter().any(|key| table.contains_key(*key))
}

pub(super) fn run(notes: &mut Notes<'_>, table: &Table<'_>, place: &RunKey<'_>, of_line: Option<&Laid>) -> Option<Run> {
    let before = notes.found;
    notes.check_keys(table);
    let shape = shape(notes, table)?;
    for entry in table.entries() {
        if let Err(belongs) = shape.takes(entry.key) {
            notes.fault(Fault::new(entry.key_span, format!("`{}` on {}", entry.key, shape.called())).expected(belongs));
        }
    }
    let tubes = tubes(notes, table, place.known, shape == Shape::Part, of_line);
    let first = tubes.as_ref().and_then(|(tubes, _)| tubes.first());
    let path = match shape {
        Shape::Part => part::part(notes, table, place, first).map(Path::Part),
        _ => tube_path(notes, table, place, shape),
    };
    let fittings = fittings(notes, table);
    let ambient = ambient(notes, table);
    let insulation = notes.need(table, "insulation");
    let room = room(notes, table, place.known);
    let expansion = notes.choice(table, "expansion", &[Expansion::Loop, Expansion::Offset, Expansion::Anchor]);
    let turn_deg = turn(notes, table);
    let (tubes, open) = tubes?;
    notes.whole(before, Run { path: path?, tubes, fittings, ambient, insulation, expansion, room, turn_deg, open })
}

/// The one direction or part of a run.
fn shape(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Shape> {
    let mut given: Vec<(Entry<'_>, Shape)> =
        SHAPES.iter().filter_map(|(key, shape)| table.get(key).map(|entry| (entry, *shape))).collect();
    given.sort_by_key(|(entry, _)| entry.key_span.start);
    match given.as_slice() {
        [(_, shape)] => Some(*shape),
        [] => {
            if table.entries().iter().any(|entry| table.keys.either_called(entry.key).is_some()) {
                return None;
            }
            let fault = Fault::new(table.span(), "a run has no direction").expected("one of level, rise, drop or part");
            // `length` is the usual slip.
            let fault = match table.get("length") {
                Some(entry) => fault.mend(entry.key_span, "level"),
                None => fault,
            };
            notes.structural(fault);
            None
        }
        [(first, _), (second, _), ..] => {
            let names: Vec<String> = given.iter().map(|(entry, _)| format!("`{}`", entry.key)).collect();
            let fault = Fault::new(second.key_span.clone(), format!("{} on one run", and(&names)));
            let fault = fault.expected("one direction a run: write two runs");
            let typed = |entry: &Entry<'_>| notes.text.get(entry.key_span.start..entry.span.end).unwrap_or_default();
            let two = format!("{{ {} }}, {{ {} }}", typed(first), typed(second));
            let fault = if table.entries().len() == 2 { fault.mend(table.span(), two) } else { fault };
            notes.fault(fault);
            None
        }
    }
}

fn tube_path(notes: &mut Notes<'_>, table: &Table<'_>, place: &RunKey<'_>, shape: Shape) -> Option<Path> {
    let (key, _) = SHAPES.iter().find(|(_, s)| *s == shape)?;
    let length = length(notes, table, key, shape);
    match shape {
        Shape::Level => {
            let slope = notes.choice(table, "slope", &[Slope::WithFlow, Slope::None, Slope::AgainstFlow]);
            Some(Path::Level { length: length?, slope })
        }
        Shape::Rise => {
            let traps = traps(notes, table, place, length);
            Some(Path::Rise { length: length?, traps })
        }
        Shape::Drop => Some(Path::Drop { length: length? }),
        Shape::Part => None,
    }
}

/// The length of a run; a negative one is pointed to the other direction.
fn length(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, shape: Shape) -> Option<Length> {
    let entry = table.get(key)?;
    let typed = entry.value.as_str().unwrap_or_default();
    let read = quantity(typed, Kind::Length, notes.system, notes.atmosphere_Pa);
    if read.is_ok_and(|value| value < 0.0) {
        let other = match shape {
            Shape::Rise => "drop",
            Shape::Drop => "rise",
            Shape::Level | Shape::Part => "level",
        };
        let without = typed.trim_start_matches([' ', '-', '\u{2212}', '\u{2013}', '\u{2010}', '\u{2011}', '\u{2012}']);
        let fault = Fault::new(entry.span.clone(), format!("`{}` is negative", entry.key));
        let says =
            if other == "level" { "a length is above 0".to_owned() } else { format!("the other way is a {other}") };
        let text = format!("{other} = {}", syntax::quoted(without));
        notes.fault(fault.expected(says).mend(entry.key_span.start..entry.span.end, text));
        return None;
    }
    notes.get(table, key)
}

/// Traps: `"foot"`, `"foot and top"`, `"top"`, `"none"`, or a list of these words and of heights over the foot.
/// A list of heights alone has the foot and the top too.
fn traps(notes: &mut Notes<'_>, table: &Table<'_>, place: &RunKey<'_>, rise: Option<Length>) -> Traps {
    let mut traps = Traps::default();
    let Some(entry) = table.get("trap") else { return traps };
    let items: Vec<_> = match entry.value {
        DeValue::Array(array) => array.iter().map(|item| (item.get_ref(), item.span())).collect(),
        value => vec![(value, entry.span.clone())],
    };
    let mut words = false;
    for (value, span) in &items {
        match value.as_str().map(str::trim) {
            Some("foot") => (traps.foot, words) = (true, true),
            Some("top") => (traps.top, words) = (true, true),
            Some("foot and top") => (traps.foot, traps.top, words) = (true, true, true),
            Some("none") if items.len() == 1 => words = true,
            Some(text) if text.starts_with(|c: char| c.is_alphabetic()) => {
                let known = ["foot", "foot and top", "top", "none"];
                notes.unknown(span, "trap", text, known.into_iter(), "\"foot\", \"foot and top\" or a list of heights");
            }
            _ => {
                let maximum = rise.map_or(1_000.0, |r| r.value);
                let height = notes.quantity_of("trap", value, span, Kind::Length, Bounds::Above(0.0, maximum));
                traps.between.extend(height.map(metres));
            }
        }
    }
    if !words && !traps.between.is_empty() {
        (traps.foot, traps.top) = (true, true);
        let why = "a list of heights: with a trap at the foot and a loop at the top";
        let key = format!("{} run {} trap", place.key, place.number);
        notes.assume(key, (1.0, Kind::Ratio, "foot and top"), why, "roofrun");
    }
    traps.between.sort_by(|a, b| a.value.total_cmp(&b.value));
    traps
}

/// Air round a run: a temperature, `outdoor`, `outdoor + 35 F`, `outdoor - 5 F`.
/// Where a level run goes: a point of the compass, or degrees clockwise from north.
fn turn(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<f64> {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let entry = table.get("turn")?;
    let typed = entry.value.as_str().unwrap_or_default().trim();
    let point = (0_u8..).zip(POINTS).find(|(_, point)| typed.eq_ignore_ascii_case(point));
    let bearing = point
        .map(|(number, _)| 45.0 * f64::from(number))
        .or_else(|| plain_number(entry.value))
        .or_else(|| typed.parse().ok());
    let bearing = bearing.filter(|bearing| (0.0..360.0).contains(bearing));
    if bearing.is_none() {
        let fault = Fault::new(entry.span, "`turn`: no direction of the compass");
        notes.fault(
            fault.expected("N, NE, E, SE, S, SW, W or NW, or degrees clockwise from north, from 0 to below 360"),
        );
    }
    bearing
}

fn ambient(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Ambient> {
    let entry = table.get("ambient")?;
    let text = entry.value.as_str().unwrap_or_default().trim();
    let Some(rest) = text.get(..7).filter(|word| word.eq_ignore_ascii_case("outdoor")).map(|_| text[7..].trim()) else {
        let kelvin =
            notes.quantity_of("ambient", entry.value, &entry.span, Kind::Temperature, Bounds::From(200.0, 400.0));
        return kelvin.map(|k| Ambient::Air(Temperature::from_kelvin(k)));
    };
    if rest.is_empty() {
        return Some(Ambient::Outdoor(kelvins(0.0)));
    }
    let (sign, rest) = match rest.chars().next() {
        Some('+') => (1.0, &rest[1..]),
        Some(minus @ ('-' | '\u{2212}' | '\u{2013}')) => (-1.0, &rest[minus.len_utf8()..]),
        _ => {
            let fault = Fault::new(entry.span, "`ambient`: outdoor is followed by neither + nor -");
            notes.fault(fault.expected("such as \"outdoor + 35 F\""));
            return None;
        }
    };
    match quantity(rest.trim(), Kind::Difference, notes.system, notes.atmosphere_Pa) {
        Ok(kelvin) if (0.0..=100.0).contains(&kelvin) => Some(Ambient::Outdoor(kelvins(sign * kelvin))),
        Ok(_) => {
            let maximum = notes.system.difference(100.0);
            notes.fault(
                Fault::new(entry.span, "`ambient`: too far from outdoor")
                    .expected(format!("no more than {maximum} from it")),
            );
            None
        }
        Err(mut misread) => {
            let sign = if sign > 0.0 { '+' } else { '-' };
            misread.instead = misread.instead.map(|instead| format!("outdoor {sign} {instead}"));
            notes.misread("ambient", &entry.span, &misread, Kind::Difference);
            None
        }
    }
}
