//! A circuit, its evaporator and its expansion valve.

use super::known::{Context, Known, get_or_rated, room, within_range};
use super::models::models;
use super::tube::{fittings, tube};
use super::{compressors, condenser, line};
use crate::job::fault::Fault;
use crate::job::key::Holds;
use crate::job::notes::Notes;
use crate::job::table::Table;
use crate::job::{
    Circuit, Compressors, Evaporating, Evaporator, LineId, Performance, Relief, ReliefValve, Valve, ValveKind, Written,
};
use crate::refrigerant::{self, Refrigerant};
use crate::units::words::and;
use crate::units::{System, Temperature, TemperatureDifference, spelling::all_nearest};

pub(super) fn circuit(
    notes: &mut Notes<'_>,
    table: &mut Table<'_>,
    name: Option<&str>,
    known: &Known,
) -> Option<Circuit> {
    let before = notes.found;
    let name = name.unwrap_or("?");
    table.path = format!("circuit {name} ");
    let module = notes.text(table, "module").unwrap_or(name).to_owned();
    let fluid = fluid(notes, table);
    let copies = notes.count(table, "copies")?;
    let room = room(notes, table, known);
    missing_tables(notes, table);
    let mut context = Context { fluid, rated: None };
    let compressors = notes.table(table, "compressors").map(|t| compressors::compressors(notes, &t, fluid));
    context.rated = compressors.as_ref().and_then(|(rated, _)| *rated);
    let evaporator = notes.table(table, "evaporator").and_then(|t| evaporator(notes, &t, &context));
    notes.worked_out = compressors.as_ref().and_then(|(_, compressors)| rejection(compressors.as_ref()?, notes.system));
    let condenser = notes.table(table, "condenser").and_then(|t| condenser::condenser(notes, &t, &context, known));
    notes.worked_out = None;
    let valve = valve(notes, table);
    let relief = relief(notes, table, known);
    let mut line = |id: LineId| notes.table(table, id.name()).and_then(|t| line::line(notes, &t, id, known));
    let (discharge, liquid) = (line(LineId::Discharge), line(LineId::Liquid));
    let circuit = Circuit {
        name: name.to_owned(),
        module,
        refrigerant: fluid?.name().to_owned(),
        copies,
        room,
        design_pressure: notes.get(table, "design_pressure"),
        relief: relief?,
        compressors: compressors?.1?,
        evaporator: evaporator?,
        condenser: condenser?,
        valve: valve?,
        discharge: discharge?,
        liquid: liquid?,
        written: written(notes, table),
    };
    models(notes, &circuit);
    notes.whole(before, circuit)
}

/// What the condenser would have to reject at the compressors' rating: their capacity and their power.
fn rejection(compressors: &Compressors, units: System) -> Option<(&'static str, String, String)> {
    let Performance::Rating { capacity, power, .. } = compressors.performance else { return None };
    let heat = units.heat((capacity + power).value);
    let condensing = units.temperature(compressors.rated_at.condensing.kelvin());
    let says =
        format!("at their rating the compressors give off {heat}, capacity and power, condensing at {condensing}");
    Some(("rejection", heat, says))
}

/// The relief valve; `relief_valve = "none"` says that there is none.
fn relief(notes: &mut Notes<'_>, circuit: &Table<'_>, known: &Known) -> Option<Relief> {
    let Some(entry) = circuit.get("relief_valve") else { return Some(Relief::NotGiven) };
    if entry.value.as_str() == Some("none") {
        return Some(Relief::None);
    }
    let table = notes.table(circuit, "relief_valve")?;
    let tube = match table.get("tube") {
        Some(entry) => Some(tube(notes, entry.value, &entry.span, known)?),
        None => None,
    };
    Some(Relief::Valve(ReliefValve {
        setting: notes.get(&table, "setting")?,
        capacity: notes.get(&table, "capacity"),
        count: notes.count(&table, "count")?,
        tube,
        length: notes.get(&table, "length"),
        fittings: fittings(notes, &table),
    }))
}

/// Where the parts of a circuit stand.
fn written(notes: &Notes<'_>, table: &Table<'_>) -> Written {
    let at = |key: &str| table.get(key).map_or(0, |entry| notes.line(entry.span.start));
    let within = |key: &str| {
        let compressors = table.get("compressors")?.value.as_table()?;
        compressors.get_key_value(key).map(|(key, _)| notes.line(key.span().start))
    };
    Written {
        rating: within("rating").or_else(|| within("map")).unwrap_or_else(|| at("compressors")),
        condenser: at("condenser"),
    }
}

fn missing_tables(notes: &mut Notes<'_>, table: &Table<'_>) {
    let needed = table.keys.all.iter().filter(|key| key.needed && matches!(key.holds, Holds::Table(_)));
    let missing = needed.filter(|key| !table.has(key.name)).map(|key| format!("[circuit.{}]", key.name));
    let missing: Vec<String> = missing.collect();
    if !missing.is_empty() {
        notes.structural(Fault::new(table.span(), format!("missing in this circuit: {}", and(&missing))));
    }
}

fn fluid(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<&'static Refrigerant> {
    let name = notes.text(table, "refrigerant")?;
    if let Some(fluid) = refrigerant::called(name) {
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

fn evaporator(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context) -> Option<Evaporator> {
    let leaving: Option<Temperature> = notes.get(table, "leaving");
    let approach: Option<TemperatureDifference> = notes.get(table, "approach");
    let suction: Option<Temperature> = notes.get(table, "suction");
    let given =
        if let (true, Some(entry)) = (table.has("suction"), table.get("leaving").or_else(|| table.get("approach"))) {
            let says = format!("`suction` and `{}` are both given", entry.key);
            let label = "`suction` fixes the evaporating temperature; `leaving` and `approach` let it follow the load";
            notes.fault(Fault::new(entry.key_span, says).expected(label));
            None
        } else if table.has("suction") {
            suction.map(|suction| (Evaporating::Held(suction), suction.kelvin(), "suction"))
        } else {
            notes.missing(table, &["leaving", "approach"]);
            let range: TemperatureDifference = notes.need(table, "range");
            leaving.zip(approach).map(|(leaving, approach)| {
                (Evaporating::Approach { leaving, approach, range }, leaving.kelvin() - approach.value, "leaving")
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
    let rated = context.rated.map(|rated| rated.superheat.value);
    let superheat = get_or_rated(notes, table, "superheat", rated);
    let volume = notes.get(table, "volume");
    Some(Evaporator { evaporating: given?.0, superheat: superheat?, volume })
}

fn valve(notes: &mut Notes<'_>, circuit: &Table<'_>) -> Option<Valve> {
    let table = notes.table_if_any(circuit, "valve")?;
    Some(Valve {
        kind: notes.choice(&table, "kind", &[ValveKind::Electronic, ValveKind::Thermostatic, ValveKind::Fixed])?,
        subcooling: notes.need(&table, "subcooling"),
        minimum_drop: notes.get(&table, "minimum_drop"),
    })
}
