//! A condenser on its supports.

mod air;
mod coils;
mod sound;
mod weight;

use super::plan::{Typed, pair};
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::read::known::{Drawn, Names};
use crate::job::table::Table;
use crate::job::{Face, RoofUnit};

/// The units that could be read, each with its place as typed.
pub(super) fn units(notes: &mut Notes<'_>, roof: &Table<'_>, drawn: &Drawn<'_>) -> Vec<(RoofUnit, Typed)> {
    let tables = notes.tables(roof, "unit");
    if tables.is_empty() && !roof.has("unit") {
        let fault = Fault::new(roof.span(), "no unit is on the roof");
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
    let name = names.take(notes, table, "units");
    let circuits = coils.of(notes, table);
    let (at, size) = (pair(notes, table, "at"), pair(notes, table, "size"));
    let turned = notes.get(table, "rotation");
    let height = notes.get(table, "height");
    let stands = stands(notes, table, height);
    let air_out = air::air_out(notes, table);
    let air_in = air::air_in(notes, table, air_out, stands);
    let plan = size.as_ref().map(|size| size.place.x_m * size.place.y_m);
    let (air_flow_m3_s, outlet_m_s) = air::flow(notes, table, coils.drawn(), circuits.as_deref(), plan);
    let clearance = air::clearance(notes, table, air_in.as_ref());
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
        rotation_deg: turned?,
        height_m: height.unwrap_or(1.0),
        base_height_m: stands.unwrap_or(0.0),
        air_in,
        air_in_below,
        air_out: air_out.flatten(),
        air_flow_m3_s,
        outlet_m_s,
        clearance_m,
        clearance_above_m,
        controls: notes.choice(table, "controls", &Face::ALL),
        weight: weight::weight(notes, table),
        allowed_kg: notes.get(table, "allowed"),
        held_down: notes.flag(table, "held_down").unwrap_or(false),
        sound: sound.full,
        night_sound: sound.night,
        night_speed: sound.night_speed,
    };
    Some((unit, at))
}

/// The height of its underside.
fn stands(notes: &mut Notes<'_>, table: &Table<'_>, height: Option<f64>) -> Option<f64> {
    let stands = notes.get(table, "base_height")?;
    if let Some(height) = height.filter(|height| table.has("base_height") && stands >= *height) {
        let fault = Fault::new(table.span_of("base_height"), "`base_height` is not under `height`");
        let top = notes.system.length(height);
        notes.fault(fault.expected(format!("its underside, below its top at {top}")));
        return None;
    }
    Some(stands)
}
