//! The remote condenser and its head-pressure control.

use super::known::{Context, Known, get_or_rated, within_range};
use super::tube::{fittings, tube};
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::Table;
use crate::job::{Condenser, HeadControl, Legs};
use crate::units::{Pressure, Temperature};

pub(super) fn condenser(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context,
    known: &Known,
) -> Option<Condenser> {
    let rated_altitude = notes.need(table, "rated_altitude");
    let loss = notes.need(table, "pressure_drop");
    let rated = context.rated.map(|rated| rated.subcooling.value);
    let subcooling = get_or_rated(notes, table, "subcooling", rated);
    let cutout = notes.get(table, "cutout");
    let head_control = head_control(notes, table, context, cutout);
    let coils = notes.count(table, "coils");
    Some(Condenser {
        rejection: notes.need(table, "rejection"),
        td: notes.need(table, "td"),
        air_flow: notes.get(table, "air_flow"),
        rated_altitude,
        pressure_drop: loss,
        elevation: notes.need(table, "elevation"),
        volume: notes.get(table, "volume"),
        recirculation: notes.get(table, "recirculation"),
        fan_power: notes.get(table, "fan_power"),
        legs: legs(notes, table, coils, known),
        subcooling: subcooling?,
        cutout,
        head_control: head_control?,
        stop_valves: notes.flag(table, "stop_valves")?,
        coils: coils?,
    })
}

/// The drop legs, where drawn without a fault.
fn legs(notes: &mut Notes<'_>, table: &Table<'_>, coils: Option<u32>, known: &Known) -> Option<Legs> {
    let entry = table.get("legs")?;
    if coils == Some(1) {
        let fault = Fault::new(entry.key_span, "`legs` on a condenser of one coil");
        notes.fault(fault.expected("coils = 2 or more belongs with them"));
    }
    let table = notes.table(table, "legs")?;
    Some(Legs {
        height: notes.need(&table, "height"),
        level: notes.need(&table, "level"),
        fittings: fittings(notes, &table),
        tube: table.get("tube").and_then(|entry| tube(notes, entry.value, &entry.span, known))?,
    })
}

#[derive(Clone, Copy, PartialEq)]
enum By {
    None,
    Fans,
    Flooding,
}

fn head_control(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context,
    cutout: Option<Pressure>,
) -> Option<HeadControl> {
    let Some(entry) = table.get("head_control") else {
        notes.key(table, "head_control").and_then(|key| notes.taken(table, key));
        return Some(HeadControl::None);
    };
    // `head_control = "none"` says it all.
    if entry.value.as_str() == Some("none") {
        return Some(HeadControl::None);
    }
    let table = notes.table(table, "head_control")?;
    let by = notes.choice(&table, "by", &[By::None, By::Fans, By::Flooding]);
    let setpoint: Option<Temperature> = notes.get(&table, "setpoint");
    if let Some(setpoint) = setpoint {
        check_hold(notes, &table, context, setpoint, cutout);
    }
    if by.is_some_and(|by| by != By::None) {
        notes.missing(&table, &["setpoint"]);
    }
    let given = table.get("minimum_air");
    let minimum_air: Option<f64> =
        if given.is_some() || by == Some(By::Fans) { notes.get(&table, "minimum_air") } else { None };
    match (by?, given) {
        (By::None, _) => Some(HeadControl::None),
        (By::Fans, _) => Some(HeadControl::Fans { setpoint: setpoint?, minimum_air: minimum_air? }),
        (By::Flooding, given) => {
            if let Some(entry) = given {
                let fault = Fault::new(entry.key_span, "`minimum_air` with control by flooding");
                notes.fault(fault.expected("it belongs to control by fans"));
            }
            Some(HeadControl::Flooding { setpoint: setpoint? })
        }
    }
}

/// Notes a held temperature that cannot be held.
fn check_hold(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context,
    setpoint: Temperature,
    cutout: Option<Pressure>,
) {
    let span = table.span_of("setpoint");
    if !within_range(notes, context.fluid, "setpoint", &span, setpoint.kelvin()) {
        return;
    }
    let pressure = context.fluid.and_then(|fluid| fluid.dew_pressure(setpoint.kelvin()).ok());
    let says = if context.rated.is_some_and(|rated| setpoint <= rated.suction) {
        "`setpoint` is not above the rating's suction temperature"
    } else if pressure.zip(cutout).is_some_and(|(pressure, cutout)| pressure >= cutout.pascals()) {
        "`setpoint` is at or above the cut-out"
    } else {
        return;
    };
    notes.fault(Fault::new(span, says).expected("the minimum condensing temperature"));
}
