//! What else is on the plan: walls, other sources of warm air, those who hear it, piping over walkways.

use super::plan::{Typed, pair};
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::read::known::Names;
use crate::job::table::Table;
use crate::job::{Crossing, HeatSource, Listener, Rail, Wall, Xy};
use crate::units::Kind;

/// What stands there by name, each with the first of its places, as far as it could be read.
fn named<T>(
    notes: &mut Notes<'_>,
    (roof, key, what): (&Table<'_>, &str, &str),
    mut read: impl FnMut(&mut Notes<'_>, &Table<'_>, String) -> Option<T>,
) -> Vec<T> {
    let mut names = Names::default();
    let mut all = Vec::new();
    for table in notes.tables(roof, key) {
        let name = names.take(notes, &table, what);
        let before = notes.found;
        let one = read(notes, &table, name.unwrap_or("?").to_owned());
        all.extend(one.filter(|_| name.is_some() && notes.found == before));
    }
    all
}

pub(super) fn walls(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<(Wall, Typed)> {
    named(notes, (roof, "wall", "walls"), |notes, table, name| {
        let (from, to) = (pair(notes, table, "from"), pair(notes, table, "to"));
        let (height_m, open) = (notes.need(table, "height"), notes.need(table, "free_area"));
        let (from, to) = (from?, to?);
        if from.place.minus(to.place).length() < 1e-3 {
            let fault = Fault::new(to.span, format!("the wall `{name}` has no length: both its ends are one place"));
            notes.fault(fault.expected("its other end"));
        }
        Some((Wall { name, from: from.place, to: to.place, height_m, open }, from))
    })
}

pub(super) fn rails(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<Rail> {
    let tables = notes.tables(roof, "rail");
    let mut rail = |table: Table<'_>| {
        let mut end = |key: &str| pair(notes, &table, key).map(|typed| typed.place);
        let (from, to) = (end("from"), end("to"));
        Some(Rail { height_m: notes.need(&table, "height"), from: from?, to: to? })
    };
    tables.into_iter().filter_map(&mut rail).collect()
}

pub(super) fn heats(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<(HeatSource, Typed)> {
    named(notes, (roof, "heat", "sources of warm air"), |notes, table, name| {
        let at = pair(notes, table, "at");
        let heat = |at: Xy| HeatSource {
            name,
            at,
            height_m: notes.need(table, "height"),
            air_flow_m3_s: notes.need(table, "air_flow"),
            temperature_rise_K: notes.need(table, "temperature_rise"),
            outlet_m_s: notes.get(table, "outlet_velocity"),
        };
        let heat = heat(at.as_ref().map_or(Xy::new(0.0, 0.0), |at| at.place));
        Some((heat, at?))
    })
}

pub(super) fn listeners(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<(Listener, Typed)> {
    let over_ground = roof.has("height");
    let first = roof.get("listener").and_then(|entry| Some(entry.value.as_array()?.iter().next()?.span()));
    if let Some(first) = first.filter(|_| !over_ground) {
        let example = Kind::Length.example(notes.system);
        let fault = Fault::new(first, "a listener's height is over the ground, and [roof] gives no `height`");
        notes.structural(fault.expected(format!("height = \"{example}\" belongs in [roof]")));
    }
    named(notes, (roof, "listener", "listeners"), |notes, table, name| {
        let at = pair(notes, table, "at");
        let height_m = notes.need(table, "height");
        let (limit_dBA, night_limit_dBA) = (notes.get(table, "limit"), notes.get(table, "night_limit"));
        let at = at.filter(|_| over_ground)?;
        Some((Listener { name, at: at.place, height_m, limit_dBA, night_limit_dBA }, at))
    })
}

pub(super) fn crossings(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<Crossing> {
    named(notes, (roof, "crossing", "crossings"), |notes, table, name| {
        Some(Crossing { name, height_m: notes.need(table, "height") })
    })
}
