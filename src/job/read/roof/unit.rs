//! A condenser on its supports.

mod air;
mod coils;
mod sound;
mod weight;

use super::{COORDINATE, Drawn, HEIGHT, Names, RISE, Typed, pair};
use crate::job::fault::Fault;
use crate::job::keys::{self, ROOF_UNIT};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Face, RoofUnit};
use crate::units::{Kind, factor::FOOT};

/// The sides by name.
const SIDES: [(&str, Face); 4] =
    [("north", Face::North), ("east", Face::East), ("south", Face::South), ("west", Face::West)];

/// The units that could be read, each with its place as typed.
pub(super) fn units(notes: &mut Notes<'_>, roof: &Table<'_>, drawn: &Drawn<'_>) -> Vec<(RoofUnit, Typed)> {
    let tables = notes.tables(roof, "unit", &ROOF_UNIT);
    if tables.is_empty() && !roof.has("unit") {
        let fault = Fault::new(roof.span(), "no unit stands on the roof");
        notes.structural(fault.expected("[[roof.unit]] for each condenser belongs here"));
    }
    let mut names = Names::default();
    let mut coils = coils::Coils::new(drawn);
    let mut units = Vec::with_capacity(tables.len());
    for table in &tables {
        units.extend(unit(notes, table, &mut names, &mut coils));
    }
    if !tables.is_empty() {
        coils.note_the_rest(notes);
    }
    units
}

fn unit<'a>(
    notes: &mut Notes<'_>,
    table: &Table<'a>,
    names: &mut Names<'a>,
    coils: &mut coils::Coils<'_>,
) -> Option<(RoofUnit, Typed)> {
    notes.check_keys(table, &ROOF_UNIT, keys::HOMES);
    let name = names.take(notes, table, "units");
    let key = format!("roof.unit {}", name.unwrap_or("?"));
    let circuits = coils.of(notes, table);
    let at = pair(notes, table, "at", COORDINATE);
    let size = pair(notes, table, "size", Bounds::From(0.3 * FOOT, 300.0));
    let turned =
        if table.has("turned") { notes.number(table, "turned", Bounds::From(-360.0, 360.0)) } else { Some(0.0) };
    let height = notes.quantity(table, "height", Kind::Length, HEIGHT);
    let stands = stands(notes, table, &key, height);
    let air_out = air::air_out(notes, table, &key);
    let air_in = air::air_in(notes, table, &key, air_out, stands);
    let plan = size.as_ref().map(|size| size.place.x_m * size.place.y_m);
    let (air_flow, outlet) = air::flow(notes, table, &key, coils.drawn(), circuits.as_deref(), plan);
    let clearance = air::clearance(notes, table, air_in.as_ref());
    let controls = if table.has("controls") { notes.choice(table, "controls", &SIDES) } else { None };
    let (weight, allowed) = weight::weight(notes, table);
    let sound = sound::sound(notes, table);
    // Where it stands is known: what else is faulty has been told, and it still stands in the way of others.
    let (air_in, air_in_below) = air_in.unwrap_or_default();
    let (clearance_m, clearance_above_m) = clearance.unwrap_or_default();
    let (at, size) = (at?, size?);
    let unit = RoofUnit {
        name: name?.to_owned(),
        circuits: circuits.unwrap_or_default(),
        at: at.place,
        length_m: size.place.x_m,
        width_m: size.place.y_m,
        turned_deg: turned?,
        height_m: height.unwrap_or(1.0),
        stands_m: stands.unwrap_or(0.0),
        air_in,
        air_in_below,
        air_out: air_out.flatten(),
        air_flow_m3_s: air_flow,
        outlet_m_s: outlet,
        clearance_m,
        clearance_above_m,
        controls,
        weight,
        allowed_kg: allowed,
        sound: sound.full,
        night_sound: sound.night,
        night_speed: sound.night_speed,
    };
    Some((unit, at))
}

/// The height of its underside.
fn stands(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, height: Option<f64>) -> Option<f64> {
    if !table.has("stands") {
        notes.assume(format!("{key}.stands"), 0.0, "m", "its underside lies on the roof", "roofrun");
        return Some(0.0);
    }
    let stands = notes.quantity(table, "stands", Kind::Length, RISE)?;
    if let Some(height) = height
        && stands >= height
    {
        let fault = Fault::new(table.span_of("stands"), "`stands` is not under `height`");
        let top = notes.system.length(height);
        notes.fault(fault.expected(format!("its underside, below its top at {top}")));
        return None;
    }
    Some(stands)
}
