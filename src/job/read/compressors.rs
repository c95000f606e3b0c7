//! The compressors: how many, their rating or map, their hot-gas bypass.

use super::known::within_range;
use super::map;
use crate::job::fault::Fault;
use crate::job::key::Bounds;
use crate::job::notes::Notes;
use crate::job::table::Table;
use crate::job::{Bypass, BypassWhen, Compressors, Performance, RatedAt};
use crate::refrigerant::Refrigerant;
use crate::units::{Kind, Temperature};
use toml::de::DeValue;

/// The conditions of the rating, which other parts of the circuit fall back on, and the compressors.
pub(super) fn compressors(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    fluid: Option<&'static Refrigerant>,
) -> (Option<RatedAt>, Option<Compressors>) {
    let count = notes.count(table, "count");
    let minimum_share = minimum_share(notes, table, count);
    let (rated_at, performance) = performance(notes, table, fluid);
    let bypass = bypass(notes, table);
    let oil = notes.text(table, "oil").map(str::to_owned);
    let discharge_limit = notes.get(table, "discharge_limit");
    let envelope = envelope(notes, table);
    let build = || {
        Some(Compressors {
            count: count?,
            minimum_share: minimum_share?,
            rated_at: rated_at?,
            performance: performance?,
            bypass: bypass?,
            discharge_limit,
            envelope: envelope?,
            oil,
        })
    };
    (rated_at, build())
}

/// The corners of the manufacturer's envelope; none where it is not given.
fn envelope(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Vec<[Temperature; 2]>> {
    let Some(entry) = table.get("envelope") else { return Some(Vec::new()) };
    let what = "[\"suction\", \"condensing\"], …";
    let corners = notes.array(&entry, what)?;
    if corners.len() < 3 {
        notes.fault(Fault::new(entry.span, "`envelope` has three corners or more").expected(format!("[ {what} ]")));
        return None;
    }
    let corner = |item: &toml::Spanned<DeValue<'_>>| {
        let both = item.get_ref().as_array().filter(|both| both.len() == 2);
        let Some(both) = both else {
            let fault = Fault::new(item.span(), "a corner of `envelope` is a suction and a condensing temperature");
            notes.fault(fault.expected(what));
            return None;
        };
        let mut read = both.iter().map(|value| {
            let bounds = Bounds::From(150.0, 500.0);
            notes.quantity_of("envelope", value.get_ref(), &value.span(), Kind::Temperature, bounds)
        });
        let (suction, condensing) = (read.next()?, read.next()?);
        Some([suction?, condensing?].map(Temperature::from_kelvin))
    };
    let read: Vec<Option<[Temperature; 2]>> = corners.iter().map(corner).collect();
    read.into_iter().collect()
}

fn minimum_share(notes: &mut Notes<'_>, table: &Table<'_>, count: Option<u32>) -> Option<f64> {
    if let (Some(entry), true) = (table.get("minimum_share"), table.has("minimum")) {
        let fault = Fault::new(entry.key_span, "`minimum` and `minimum_share` are both given");
        notes.fault(
            fault.expected("`minimum` for compressors in steps, `minimum_share` for variable speed or unloading"),
        );
        return None;
    }
    if table.has("minimum_share") {
        return notes.get(table, "minimum_share");
    }
    if let Some(entry) = table.get("minimum") {
        let minimum = notes.count_of("minimum", entry.value, &entry.span, 1, count.unwrap_or(100))?;
        return Some(f64::from(minimum) / f64::from(count?));
    }
    let share = 1.0 / f64::from(count?);
    if count == Some(1) {
        notes.taken_as(table, "minimum_share", share, "", "the one compressor, fully loaded");
    } else {
        notes.follows(table, "minimum_share", share);
    }
    Some(share)
}

fn performance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    fluid: Option<&'static Refrigerant>,
) -> (Option<RatedAt>, Option<Performance>) {
    match (table.has("rating"), table.get("map")) {
        (true, Some(entry)) => {
            let fault = Fault::new(entry.key_span, "`rating` and `map` are both given");
            notes.fault(fault.expected("one of them: the map holds the rating's conditions"));
        }
        (false, None) => {
            let fault = Fault::new(table.span(), "missing key `rating` or `map` in [circuit.compressors]");
            let label = "required: rating = { capacity, power, suction, condensing, superheat, subcooling }, or map";
            notes.structural(fault.expected(label));
        }
        (true, None) => {
            if let Some(table) = notes.table(table, "rating") {
                let rated_at = rated_at(notes, &table, fluid);
                let (capacity, power) = (notes.get(&table, "capacity"), notes.get(&table, "power"));
                return (
                    rated_at,
                    capacity.zip(power).map(|(capacity, power)| Performance::Rating { capacity, power }),
                );
            }
        }
        (false, Some(_)) => {
            if let Some(table) = notes.table(table, "map") {
                let rated_at = rated_at(notes, &table, fluid);
                return (rated_at, map::map(notes, &table, rated_at.as_ref()).map(Performance::Map));
            }
        }
    }
    (None, None)
}

/// The conditions of a rating or of a map's rated point.
fn rated_at(notes: &mut Notes<'_>, table: &Table<'_>, fluid: Option<&Refrigerant>) -> Option<RatedAt> {
    let [suction, condensing] = ["suction", "condensing"].map(|key| {
        let known: Option<Temperature> = notes.get(table, key);
        known.map(|at| (at, within_range(notes, fluid, key, &table.span_of(key), at.kelvin())))
    });
    let [superheat, subcooling] = ["superheat", "subcooling"].map(|key| notes.get(table, key));
    let ((suction, known), (condensing, cold)) = (suction?, condensing?);
    if suction >= condensing {
        let says =
            format!("`suction` is not below `condensing`, {}", notes.system.temperature_exact(condensing.kelvin()));
        notes.fault(Fault::new(table.span_of("suction"), says).expected("the evaporating temperature belongs here"));
        return None;
    }
    let rated_at = RatedAt { suction, condensing, superheat: superheat?, subcooling: subcooling? };
    if let (true, Some(fluid)) = (known && cold, fluid) {
        let bubble = fluid.dew_pressure(condensing.kelvin()).and_then(|p| fluid.bubble_temperature(p));
        if bubble.is_ok_and(|bubble| bubble - rated_at.subcooling.value < fluid.range().temperature_min) {
            let says = format!("liquid so far subcooled leaves the range of {}", fluid.name());
            notes.fault(Fault::new(table.span_of("subcooling"), says));
        }
    }
    Some(rated_at)
}

fn bypass(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Bypass> {
    if !table.has("hot_gas_bypass") {
        let share = notes.key(table, "hot_gas_bypass").and_then(|key| notes.taken(table, key))?;
        return Some(Bypass { share, when: BypassWhen::Never });
    }
    let table = notes.table(table, "hot_gas_bypass")?;
    let whens = [BypassWhen::Never, BypassWhen::Minimum, BypassWhen::Always];
    let share = notes.need(&table, "share");
    Some(Bypass { share, when: notes.choice(&table, "when", &whens)? })
}
