//! What else is on the plan: walls, other sources of warm air, those who hear it, piping over walkways.

use super::{COORDINATE, HEIGHT, Names, RISE, Typed, pair};
use crate::job::fault::Fault;
use crate::job::keys::{self, ROOF_CROSSING, ROOF_HEAT, ROOF_LISTENER, ROOF_RAIL, ROOF_WALL};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Crossing, HeatSource, Listener, Rail, Wall};
use crate::units::Kind;

/// Levels at a listener, dBA.
const LEVEL: Bounds = Bounds::From(0.0, 120.0);

pub(super) fn walls(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<(Wall, Typed)> {
    let mut names = Names::default();
    let mut walls = Vec::new();
    for table in notes.tables(roof, "wall", &ROOF_WALL) {
        notes.check_keys(&table, &ROOF_WALL, keys::HOMES);
        let name = names.take(notes, &table, "walls");
        let from = pair(notes, &table, "from", COORDINATE);
        let to = pair(notes, &table, "to", COORDINATE);
        let height = notes.quantity(&table, "height", Kind::Length, HEIGHT);
        let open = if table.has("open") {
            notes.number(&table, "open", Bounds::From(0.0, 1.0))
        } else {
            notes.assume(
                format!("roof.wall {}.open", name.unwrap_or("?")),
                0.0,
                "-",
                "no share of it is said to be open",
                "roofrun",
            );
            Some(0.0)
        };
        let (Some(name), Some(from), Some(to), Some(height_m), Some(open)) = (name, from, to, height, open) else {
            continue;
        };
        if from.place.minus(to.place).length() < 1e-3 {
            let fault = Fault::new(to.span, format!("the wall `{name}` has no length: both its ends are one place"));
            notes.fault(fault.expected("its other end"));
            continue;
        }
        walls.push((Wall { name: name.to_owned(), from: from.place, to: to.place, height_m, open }, from));
    }
    walls
}

pub(super) fn rails(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<Rail> {
    let mut rails = Vec::new();
    for table in notes.tables(roof, "rail", &ROOF_RAIL) {
        notes.check_keys(&table, &ROOF_RAIL, keys::HOMES);
        let from = pair(notes, &table, "from", COORDINATE);
        let to = pair(notes, &table, "to", COORDINATE);
        let height = notes.quantity(&table, "height", Kind::Length, HEIGHT);
        let (Some(from), Some(to), Some(height_m)) = (from, to, height) else { continue };
        rails.push(Rail { from: from.place, to: to.place, height_m });
    }
    rails
}

pub(super) fn heats(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<(HeatSource, Typed)> {
    let mut names = Names::default();
    let mut heats = Vec::new();
    for table in notes.tables(roof, "heat", &ROOF_HEAT) {
        notes.check_keys(&table, &ROOF_HEAT, keys::HOMES);
        let name = names.take(notes, &table, "sources of warm air");
        let at = pair(notes, &table, "at", COORDINATE);
        let height = notes.quantity(&table, "height", Kind::Length, RISE);
        let air_flow = notes.quantity(&table, "air_flow", Kind::VolumeRate, Bounds::Above(0.0, 1e4));
        let warmer = notes.quantity(&table, "warmer", Kind::Difference, Bounds::From(0.0, 1_000.0));
        let outlet_m_s = notes.quantity(&table, "outlet_velocity", Kind::Velocity, Bounds::Above(0.0, 100.0));
        let (Some(name), Some(at), Some(height_m), Some(air_flow_m3_s), Some(warmer_k)) =
            (name, at, height, air_flow, warmer)
        else {
            continue;
        };
        let (name, place) = (name.to_owned(), at.place);
        heats.push((HeatSource { name, at: place, height_m, air_flow_m3_s, warmer_k, outlet_m_s }, at));
    }
    heats
}

pub(super) fn listeners(notes: &mut Notes<'_>, roof: &Table<'_>, roof_height: Option<f64>) -> Vec<(Listener, Typed)> {
    let mut names = Names::default();
    let mut listeners = Vec::new();
    let tables = notes.tables(roof, "listener", &ROOF_LISTENER);
    if let Some(first) = tables.first()
        && !roof.has("height")
    {
        let example = Kind::Length.example(notes.system);
        let fault = Fault::new(first.span(), "a listener's height is over the ground, and [roof] gives no `height`");
        notes.structural(fault.expected(format!("height = \"{example}\" belongs in [roof]")));
    }
    for table in &tables {
        notes.check_keys(table, &ROOF_LISTENER, keys::HOMES);
        let name = names.take(notes, table, "listeners");
        let at = pair(notes, table, "at", COORDINATE);
        let height = notes.quantity(table, "height", Kind::Length, Bounds::From(0.0, 1_000.0));
        let limit_dba = notes.quantity(table, "limit", Kind::Level, LEVEL);
        let night_limit_dba = notes.quantity(table, "night_limit", Kind::Level, LEVEL);
        let (Some(name), Some(at), Some(height_m), Some(_)) = (name, at, height, roof_height) else { continue };
        let (name, place) = (name.to_owned(), at.place);
        listeners.push((Listener { name, at: place, height_m, limit_dba, night_limit_dba }, at));
    }
    listeners
}

pub(super) fn crossings(notes: &mut Notes<'_>, roof: &Table<'_>) -> Vec<Crossing> {
    let mut names = Names::default();
    let mut crossings = Vec::new();
    for table in notes.tables(roof, "crossing", &ROOF_CROSSING) {
        notes.check_keys(&table, &ROOF_CROSSING, keys::HOMES);
        let name = names.take(notes, &table, "crossings");
        let height = notes.quantity(&table, "height", Kind::Length, RISE);
        let (Some(name), Some(height_m)) = (name, height) else { continue };
        crossings.push(Crossing { name: name.to_owned(), height_m });
    }
    crossings
}
