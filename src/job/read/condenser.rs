//! The remote condenser and its head-pressure control.

use super::circuit::{Context, REFRIGERANT_SIDE, SMALL_DIFFERENCE, within_range};
use super::{Known, line, run};
use crate::job::fault::Fault;
use crate::job::keys::{self, CONDENSER, HEAD_CONTROL, LEGS};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Condenser, HeadControl, Legs};
use crate::units::{
    Kind, Pressure, Temperature, cubic_metres, cubic_metres_per_second, factor, kelvins, metres, pascals, watts,
};

pub(super) fn condenser(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context<'_>,
    known: &Known,
) -> Option<Condenser> {
    notes.check_keys(table, &CONDENSER, keys::HOMES);
    let rejection = notes.quantity(table, "rejection", Kind::Heat, Bounds::Above(0.0, 1e8));
    let difference = notes.quantity(table, "difference", Kind::Difference, Bounds::Above(0.0, 60.0));
    let air_flow = notes.quantity(table, "air_flow", Kind::VolumeRate, Bounds::Above(0.0, 1e4));
    let default = |notes: &mut Notes<'_>, key: &str, value: f64, unit: &str, why: &str, source: &str| {
        notes.assume(format!("{} condenser.{key}", context.key), value, unit, why, source);
        Some(value)
    };
    let rated_altitude = if table.has("rated_altitude") {
        notes.quantity(table, "rated_altitude", Kind::Length, Bounds::From(-450.0, 6_000.0))
    } else {
        default(notes, "rated_altitude", 0.0, "m", "rated at sea level", "roofrun")
    };
    let loss = if table.has("loss") {
        notes.quantity(table, "loss", Kind::PressureDifference, Bounds::From(0.0, 1e6))
    } else {
        default(notes, "loss", 3.0 * factor::PSI, "Pa", "usual through the coil at the rated flow", "common-practice")
    };
    let subcooling = if table.has("subcooling") {
        notes.quantity(table, "subcooling", Kind::Difference, SMALL_DIFFERENCE)
    } else {
        let rated = context.rated.map(|rated| rated.subcooling.value);
        rated.and_then(|k| default(notes, "subcooling", k, "K", "that of the compressors' rating", "user"))
    };
    let above = notes.quantity(table, "above", Kind::Length, Bounds::From(-300.0, 300.0));
    let volume = notes.quantity(table, "volume", Kind::Volume, Bounds::Above(0.0, 50.0));
    let recirculation = notes.quantity(table, "recirculation", Kind::Difference, Bounds::From(0.0, 40.0));
    let fan_power = notes.quantity(table, "fan_power", Kind::Power, Bounds::Above(0.0, 1e6));
    let cutout = notes.quantity(table, "cutout", Kind::Pressure, Bounds::Above(notes.atmosphere, 2e7));
    cutout_above_rating(notes, table, context, cutout);
    let head_control = head_control(notes, table, context, cutout);
    let coils = if table.has("coils") { notes.count(table, "coils", 1, 100) } else { Some(1) };
    let legs = legs(notes, table, coils, known);
    Some(Condenser {
        rejection: watts(rejection?),
        difference: kelvins(difference?),
        air_flow: air_flow.map(cubic_metres_per_second),
        rated_altitude: metres(rated_altitude?),
        loss: pascals(loss?),
        subcooling: kelvins(subcooling?),
        above: metres(above?),
        volume: volume.map(cubic_metres),
        recirculation: recirculation.map(kelvins),
        fan_power: fan_power.map(watts),
        cutout: cutout.map(Pressure::from_pascals),
        head_control: head_control?,
        coils: coils?,
        legs,
    })
}

/// The drop legs, where drawn without a fault.
fn legs(notes: &mut Notes<'_>, table: &Table<'_>, coils: Option<u32>, known: &Known) -> Option<Legs> {
    let entry = table.get("legs")?;
    if coils == Some(1) {
        let fault = Fault::new(entry.key_span, "`legs` on a condenser of one coil");
        notes.fault(fault.expected("coils = 2 or more belongs with them"));
    }
    let table = notes.table(table, "legs", &LEGS)?;
    notes.check_keys(&table, &LEGS, &[]);
    let height = notes.quantity(&table, "height", Kind::Length, Bounds::Above(0.0, 100.0));
    let tube = table.get("tube").and_then(|entry| line::tube(notes, entry.value, &entry.span, known));
    let level = notes.quantity(&table, "level", Kind::Length, Bounds::From(0.0, 100.0));
    let fittings = run::fittings(notes, &table);
    Some(Legs { height: metres(height?), tube: tube?, level: metres(level.unwrap_or(0.0)), fittings })
}

/// Notes a cut-out that would trip at the rating.
fn cutout_above_rating(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>, cutout: Option<f64>) {
    let (Some(fluid), Some(rated), Some(cutout)) = (context.fluid, context.rated, cutout) else { return };
    let Ok(condensing) = fluid.dew_pressure(rated.condensing.kelvin()) else { return };
    if cutout <= condensing {
        let rating = notes.system.pressure_gauge(condensing, notes.atmosphere);
        let fault = Fault::new(table.span_of("cutout"), "the cut-out would trip at the compressors' own rating");
        notes.fault(fault.expected(format!("above {rating}, the rating's condensing pressure")));
    }
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
    context: &Context<'_>,
    cutout: Option<f64>,
) -> Option<HeadControl> {
    let key = format!("{} condenser.head_control", context.key);
    let Some(entry) = table.get("head_control") else {
        notes.assume(key, 0.0, "-", "no head-pressure control is given: none is taken", "roofrun");
        return Some(HeadControl::None);
    };
    // `head_control = "none"` says it all.
    if entry.value.as_str() == Some("none") {
        return Some(HeadControl::None);
    }
    let table = notes.table(table, "head_control", &HEAD_CONTROL)?;
    notes.check_keys(&table, &HEAD_CONTROL, keys::HOMES);
    let by = notes.choice(&table, "by", &[("none", By::None), ("fans", By::Fans), ("flooding", By::Flooding)]);
    let hold = notes.quantity(&table, "hold", Kind::Temperature, REFRIGERANT_SIDE);
    if let Some(hold) = hold {
        check_hold(notes, &table, context, hold, cutout);
    }
    let least_air = notes.number(&table, "least_air", Bounds::From(0.0, 1.0));
    let by = by?;
    if by == By::None {
        return Some(HeadControl::None);
    }
    if !table.has("hold") {
        notes.missing(&table, &[("hold", "\"85 F\"", "\"29 °C\"")]);
    }
    if by == By::Flooding {
        if let Some(entry) = table.get("least_air") {
            let fault = Fault::new(entry.key_span, "`least_air` with control by flooding");
            notes.fault(fault.expected("it belongs to control by fans"));
        }
        return Some(HeadControl::Flooding { hold: Temperature::from_kelvin(hold?) });
    }
    let least_air = if table.has("least_air") {
        least_air
    } else {
        let why = "least share of the air flow that the fans leave";
        notes.assume(format!("{key}.least_air"), 0.15, "-", why, "common-practice");
        Some(0.15)
    };
    Some(HeadControl::Fans { hold: Temperature::from_kelvin(hold?), least_air: least_air? })
}

/// Notes a held temperature that cannot be held.
fn check_hold(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>, hold: f64, cutout: Option<f64>) {
    let span = table.span_of("hold");
    if !within_range(notes, context.fluid, "hold", &span, hold) {
        return;
    }
    if let Some(rated) = context.rated
        && hold <= rated.suction.kelvin()
    {
        let fault = Fault::new(span, "`hold` is not above the rating's suction temperature");
        notes.fault(fault.expected("the lowest condensing temperature kept"));
        return;
    }
    let pressure = context.fluid.and_then(|fluid| fluid.dew_pressure(hold).ok());
    if let (Some(pressure), Some(cutout)) = (pressure, cutout)
        && pressure >= cutout
    {
        notes.fault(
            Fault::new(span, "`hold` lies at or above the cut-out").expected("the lowest condensing temperature kept"),
        );
    }
}
