//! A circuit, its evaporator and its expansion valve.

use super::{Known, compressors, condenser, line};
use crate::job::fault::{Fault, line_of};
use crate::job::keys::{self, CIRCUIT, COMPRESSORS, CONDENSER, DISCHARGE, EVAPORATOR, LIQUID, VALVE};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Circuit, Evaporating, Evaporator, RatedAt, Valve, ValveKind, Written};
use crate::refdata::Lines;
use crate::refrigerant::{self, Refrigerant};
use crate::units::words::and;
use crate::units::{Kind, Temperature, cubic_metres, kelvins, pascals, spelling::all_nearest};
use std::ops::Range;

/// Superheat and subcooling, K.
pub(super) const SMALL_DIFFERENCE: Bounds = Bounds::From(0.0, 60.0);
/// Temperatures of the refrigerant, K; the refrigerant's own range is narrower and is told apart.
pub(super) const REFRIGERANT_SIDE: Bounds = Bounds::From(150.0, 500.0);

/// What the parts of a circuit know of it while they are read.
#[derive(Clone, Copy)]
pub(super) struct Context<'a> {
    /// How it is called in the key of an assumption: `circuit 1A`.
    pub key: &'a str,
    /// Its refrigerant, where that is known.
    pub fluid: Option<&'static Refrigerant>,
    /// The conditions of the compressors' rating, where they could be read.
    pub rated: Option<RatedAt>,
}

pub(super) fn circuit(notes: &mut Notes<'_>, table: &Table<'_>, known: &Known) -> Option<Circuit> {
    notes.check_keys(table, &CIRCUIT, keys::HOMES);
    let name = notes.text(table, "name");
    let module = notes.text(table, "module");
    let fluid = fluid(notes, table);
    let copies = if table.has("copies") { notes.count(table, "copies", 1, 1_000) } else { Some(1) };
    missing_tables(notes, table);
    let key = format!("circuit {}", name.unwrap_or("?"));
    let mut context = Context { key: &key, fluid, rated: None };
    let compressors =
        notes.table(table, "compressors", &COMPRESSORS).map(|t| compressors::compressors(notes, &t, &context));
    context.rated = compressors.as_ref().and_then(|(rated, _)| *rated);
    let evaporator = notes.table(table, "evaporator", &EVAPORATOR).and_then(|t| evaporator(notes, &t, &context));
    let condenser =
        notes.table(table, "condenser", &CONDENSER).and_then(|t| condenser::condenser(notes, &t, &context, known));
    let valve = match notes.table(table, "valve", &VALVE) {
        Some(t) => valve(notes, Some(&t), &key),
        None => valve(notes, None, &key),
    };
    let discharge = notes
        .table(table, "discharge", &DISCHARGE)
        .and_then(|t| line::line(notes, &t, &DISCHARGE, Lines::Discharge, &key, known));
    let liquid =
        notes.table(table, "liquid", &LIQUID).and_then(|t| line::line(notes, &t, &LIQUID, Lines::Liquid, &key, known));
    Some(Circuit {
        name: name?.to_owned(),
        module: module.or(name)?.to_owned(),
        refrigerant: fluid?.name().to_owned(),
        copies: copies?,
        compressors: compressors?.1?,
        evaporator: evaporator?,
        condenser: condenser?,
        valve: valve?,
        discharge: discharge?,
        liquid: liquid?,
        written: written(notes, table),
    })
}

/// Where the parts of a circuit stand.
fn written(notes: &Notes<'_>, table: &Table<'_>) -> Written {
    let line = |start: usize| line_of(notes.text, start);
    let at = |key: &str| table.get(key).map_or(0, |entry| line(entry.span.start));
    let within = |key: &str| {
        let compressors = table.get("compressors")?.value.as_table()?;
        compressors.get_key_value(key).map(|(key, _)| line(key.span().start))
    };
    Written {
        rating: within("rating").or_else(|| within("map")).unwrap_or_else(|| at("compressors")),
        condenser: at("condenser"),
    }
}

fn missing_tables(notes: &mut Notes<'_>, table: &Table<'_>) {
    let needed = ["compressors", "evaporator", "condenser", "discharge", "liquid"];
    let missing: Vec<String> =
        needed.iter().filter(|key| !table.has(key)).map(|key| format!("[circuit.{key}]")).collect();
    if !missing.is_empty() {
        notes.structural(Fault::new(table.span(), format!("this circuit lacks {}", and(&missing))));
    }
}

fn fluid(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<&'static Refrigerant> {
    let name = notes.text(table, "refrigerant")?;
    if let Some(fluid) = refrigerant::named(name) {
        return Some(fluid);
    }
    let known = refrigerant::names().iter().copied();
    let list = "`roofrun list refrigerants` names them all";
    notes.unknown(&table.span_of("refrigerant"), "refrigerant", name, known.clone(), list);
    // Where one is meant without doubt, the temperatures are held against its range in the same go.
    match all_nearest(name, known)[..] {
        [near] => refrigerant::named(near),
        _ => None,
    }
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
        ("above", format!("at most {}, where its pressure is 93 % of critical", show(range.dew_temperature_max)))
    } else if kelvin < range.temperature_min {
        ("below", format!("at least {}", show(range.temperature_min)))
    } else {
        return true;
    };
    let says = format!("`{key}` {} is {side} the range of {}", show(kelvin), fluid.name());
    notes.fault(Fault::new(span.clone(), says).expected(bound));
    false
}

fn evaporator(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>) -> Option<Evaporator> {
    notes.check_keys(table, &EVAPORATOR, keys::HOMES);
    let leaving = notes.quantity(table, "leaving", Kind::Temperature, REFRIGERANT_SIDE);
    let approach = notes.quantity(table, "approach", Kind::Difference, Bounds::Above(0.0, 60.0));
    let suction = notes.quantity(table, "suction", Kind::Temperature, REFRIGERANT_SIDE);
    let superheat = notes.quantity(table, "superheat", Kind::Difference, SMALL_DIFFERENCE);
    let volume = notes.quantity(table, "volume", Kind::Volume, Bounds::Above(0.0, 50.0));
    let has_suction = table.has("suction");
    let given = if let (true, Some(entry)) = (has_suction, table.get("leaving").or_else(|| table.get("approach"))) {
        let says = format!("`suction` and `{}` are both given", entry.key);
        let label = "`suction` holds the evaporating temperature; `leaving` and `approach` let it follow the load";
        notes.fault(Fault::new(entry.key_span, says).expected(label));
        None
    } else if has_suction {
        suction.map(|k| (Evaporating::Held(Temperature::from_kelvin(k)), k, "suction"))
    } else {
        let needed = [("leaving", "\"45 F\"", "\"7 °C\""), ("approach", "\"5 F\"", "\"3 K\"")];
        let missing: Vec<_> = needed.into_iter().filter(|(key, ..)| !table.has(key)).collect();
        notes.missing(table, &missing);
        leaving.zip(approach).map(|(leaving, approach)| {
            let evaporating =
                Evaporating::Approach { leaving: Temperature::from_kelvin(leaving), approach: kelvins(approach) };
            (evaporating, leaving - approach, "leaving")
        })
    };
    if let Some((_, kelvin, key)) = given {
        let span = table.span_of(key);
        if within_range(notes, context.fluid, "evaporating temperature", &span, kelvin)
            && let Some(rated) = context.rated
            && kelvin >= rated.condensing.kelvin()
        {
            let says = "the evaporating temperature is not below the rating's condensing temperature";
            notes.fault(Fault::new(span, says).expected(format!("gives {}", notes.system.temperature_exact(kelvin))));
        }
    }
    let superheat = match superheat {
        Some(superheat) => Some(superheat),
        None if table.has("superheat") => None,
        None => context.rated.map(|rated| {
            let superheat = rated.superheat.value;
            notes.assume(format!("{} evaporator.superheat", context.key), superheat, "K", "that of the rating", "user");
            superheat
        }),
    };
    Some(Evaporator { evaporating: given?.0, superheat: kelvins(superheat?), volume: volume.map(cubic_metres) })
}

fn valve(notes: &mut Notes<'_>, table: Option<&Table<'_>>, circuit: &str) -> Option<Valve> {
    if let Some(table) = table {
        notes.check_keys(table, &VALVE, keys::HOMES);
    }
    let has = |key: &str| table.is_some_and(|t| t.has(key));
    let kinds = [("electronic", ValveKind::Electronic), ("thermostatic", ValveKind::Thermostatic)];
    let kind = if has("kind") {
        table.and_then(|t| notes.choice(t, "kind", &kinds))
    } else {
        let why = "taken to be thermostatic: no valve kind is given";
        notes.assume(format!("{circuit} valve.kind"), 0.0, "-", why, "roofrun");
        Some(ValveKind::Thermostatic)
    };
    let subcooling = if has("subcooling") {
        table.and_then(|t| notes.quantity(t, "subcooling", Kind::Difference, SMALL_DIFFERENCE))
    } else {
        let usual = 4.0 / 1.8;
        notes.assume(
            format!("{circuit} valve.subcooling"),
            usual,
            "K",
            "least that a valve usually wants",
            "common-practice",
        );
        Some(usual)
    };
    let least_drop =
        table.and_then(|t| notes.quantity(t, "least_drop", Kind::PressureDifference, Bounds::Above(0.0, 1e7)));
    Some(Valve { kind: kind?, subcooling: kelvins(subcooling?), least_drop: least_drop.map(pascals) })
}
