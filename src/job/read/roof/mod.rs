//! The roof: its edge and what stands on it, in coordinates.

mod clashes;
mod others;
mod plan;
mod unit;

use self::plan::{Typed, list, pair_of};
use super::known::Drawn;
use crate::job::fault::Fault;
use crate::job::key::Holds;
use crate::job::notes::Notes;
use crate::job::table::Table;
use crate::job::{Roof, RoofUnit, Xy};
use crate::physics::air_absorption::{AIR_HUMIDITY, AIR_K};
use crate::units::Kind;

pub(super) fn roof(notes: &mut Notes<'_>, root: &Table<'_>, drawn: &Drawn<'_>) -> Option<Roof> {
    let table = notes.table(root, "roof")?;
    let before = notes.found;
    let north_deg = notes.need(&table, "north");
    let height_m = notes.get(&table, "height");
    let outline = outline(notes, &table);
    let parapet_m = along_the_edge(notes, &table, "parapet");
    let guard_m = along_the_edge(notes, &table, "guard");
    let wind_m_s = notes.get(&table, "wind");
    let units = unit::units(notes, &table, drawn);
    let volts_to_ground = volts_to_ground(notes, &table, &units)?;
    let walls = others::walls(notes, &table);
    let rails = others::rails(notes, &table);
    let heats = others::heats(notes, &table);
    let listeners = others::listeners(notes, &table);
    let crossings = others::crossings(notes, &table);
    if !listeners.is_empty() {
        heard(notes, &units);
    }
    let standing = clashes::Standing {
        outline: outline.as_deref().unwrap_or_default(),
        roof_height: height_m,
        units: &units,
        walls: &walls,
        heats: &heats,
        listeners: &listeners,
    };
    standing.note(notes);
    let roof = Roof {
        north_deg,
        outline: outline?,
        height_m,
        parapet_m,
        guard_m,
        volts_to_ground,
        wind_m_s,
        units: units.into_iter().map(|(unit, _)| unit).collect(),
        walls: walls.into_iter().map(|(wall, _)| wall).collect(),
        rails,
        heats: heats.into_iter().map(|(heat, _)| heat).collect(),
        listeners: listeners.into_iter().map(|(listener, _)| listener).collect(),
        crossings,
    };
    notes.whole(before, roof)
}

/// The voltage to ground of the units' supply; where it is not given, that of the usual larger supplies, which requires more
/// room, and which is only told where there are controls.
fn volts_to_ground(notes: &mut Notes<'_>, table: &Table<'_>, units: &[(RoofUnit, Typed)]) -> Option<f64> {
    if table.has("volts_to_ground") || units.iter().any(|(unit, _)| unit.controls.is_some()) {
        return Some(notes.need(table, "volts_to_ground"));
    }
    notes.key(table, "volts_to_ground")?.otherwise?.value
}

/// What is taken where someone listens: the air that sound goes through, and the night of units of which only the day is known.
fn heard(notes: &mut Notes<'_>, units: &[(RoofUnit, Typed)]) {
    let why = "of the air between the units and the listeners, for what it takes from sound";
    notes.assume("roof.listener temperature", (AIR_K, Kind::Temperature, ""), why, "iso-9613-2");
    notes.assume("roof.listener humidity", (AIR_HUMIDITY, Kind::Share, ""), why, "iso-9613-2");
    for (unit, _) in units {
        if unit.sound.is_some() && unit.night_sound.is_none() && unit.night_speed.is_none() {
            let key = format!("roof.unit {}.night_speed", unit.name);
            notes.assume(key, (1.0, Kind::Ratio, ""), "as loud at night as by day", "roofrun");
        }
    }
}

/// The corners of the edge; none where it is not drawn.
fn outline(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Vec<Xy>> {
    let key = notes.key(table, "outline")?;
    let Some(entry) = table.get("outline") else {
        notes.taken(table, key);
        return Some(Vec::new());
    };
    let Holds::Pair(bounds) = key.holds else { return notes.no_such(table, "outline") };
    let such = "[\"0 ft\", \"0 ft\"], [\"120 ft\", \"0 ft\"], [\"120 ft\", \"60 ft\"]";
    let array = list(notes, &entry, such, 500)?;
    let corners: Vec<_> =
        array.iter().map(|item| pair_of(notes, "outline", item.get_ref(), &item.span(), bounds)).collect();
    let corners: Vec<Typed> = corners.into_iter().collect::<Option<_>>()?;
    clashes::outline(notes, &corners, entry.span).then(|| corners.into_iter().map(|corner| corner.place).collect())
}

/// A height along the whole edge, which is only told to be 0 where the edge is drawn.
fn along_the_edge(notes: &mut Notes<'_>, table: &Table<'_>, key: &str) -> f64 {
    match table.get(key) {
        None if !table.has("outline") => return 0.0,
        Some(entry) if !table.has("outline") => {
            let fault = Fault::new(entry.key_span, format!("`{key}` without `outline`"));
            notes.structural(fault.expected("it runs along the outline of the roof"));
        }
        _ => {}
    }
    notes.need(table, key)
}
