//! The compressors: how many, their rating or map, their hot-gas bypass.

use super::circuit::{Context, REFRIGERANT_SIDE, SMALL_DIFFERENCE, within_range};
use super::map;
use crate::job::fault::Fault;
use crate::job::keys::{self, BYPASS, COMPRESSORS, MAP, RATING};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Bypass, BypassWhen, Compressors, Performance, RatedAt};
use crate::units::{Kind, Temperature, kelvins, watts};

/// The conditions of the rating, which other parts of the circuit fall back on, and the compressors.
pub(super) fn compressors(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context<'_>,
) -> (Option<RatedAt>, Option<Compressors>) {
    notes.check_keys(table, &COMPRESSORS, keys::HOMES);
    let count = if table.has("count") {
        notes.count(table, "count", 1, 100)
    } else {
        notes.assume(format!("{} compressors.count", context.key), 1.0, "-", "one compressor", "roofrun");
        Some(1)
    };
    let least_share = least_share(notes, table, context, count);
    let (rated_at, performance) = performance(notes, table, context);
    let bypass = bypass(notes, table, context);
    let oil = notes.text(table, "oil").map(str::to_owned);
    let build = || {
        Some(Compressors {
            count: count?,
            least_share: least_share?,
            rated_at: rated_at?,
            performance: performance?,
            bypass: bypass?,
            oil,
        })
    };
    (rated_at, build())
}

fn least_share(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>, count: Option<u32>) -> Option<f64> {
    if let (Some(entry), true) = (table.get("least_share"), table.has("least")) {
        let fault = Fault::new(entry.key_span, "`least` and `least_share` are both given");
        notes.fault(fault.expected("`least` for compressors in steps, `least_share` for variable speed or unloading"));
        return None;
    }
    if table.has("least_share") {
        return notes.number(table, "least_share", Bounds::Above(0.0, 1.0));
    }
    if table.has("least") {
        let least = notes.count(table, "least", 1, count.unwrap_or(100))?;
        return Some(f64::from(least) / f64::from(count?));
    }
    let count = count?;
    let why = if count == 1 { "the one compressor, fully loaded" } else { "one compressor runs, fully loaded" };
    let share = 1.0 / f64::from(count);
    notes.assume(format!("{} compressors.least_share", context.key), share, "-", why, "roofrun");
    Some(share)
}

fn performance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    context: &Context<'_>,
) -> (Option<RatedAt>, Option<Performance>) {
    match (table.has("rating"), table.get("map")) {
        (true, Some(entry)) => {
            let fault = Fault::new(entry.key_span, "`rating` and `map` are both given");
            notes.fault(fault.expected("one of them: the map holds the rating's conditions"));
            (None, None)
        }
        (false, None) => {
            let fault = Fault::new(table.span(), "[circuit.compressors] lacks `rating` or `map`");
            let label = "required: rating = { capacity, power, suction, condensing, superheat, subcooling }, or map";
            notes.structural(fault.expected(label));
            (None, None)
        }
        (true, None) => match notes.table(table, "rating", &RATING) {
            Some(rating) => {
                notes.check_keys(&rating, &RATING, keys::HOMES);
                let rated_at = rated_at(notes, &rating, context);
                let capacity = notes.quantity(&rating, "capacity", Kind::Capacity, Bounds::Above(0.0, 1e8));
                let power = notes.quantity(&rating, "power", Kind::Power, Bounds::Above(0.0, 1e8));
                let performance =
                    capacity.zip(power).map(|(c, p)| Performance::Rating { capacity: watts(c), power: watts(p) });
                (rated_at, performance)
            }
            None => (None, None),
        },
        (false, Some(_)) => match notes.table(table, "map", &MAP) {
            Some(table) => {
                if table.has("flow") || table.has("capacity") {
                    notes.check_keys(&table, &MAP, keys::HOMES);
                } else {
                    let flow = [("flow", "[c1, …, c10]", "[c1, …, c10]"), ("flow_unit", "\"lb/h\"", "\"kg/h\"")];
                    let label = "`capacity` and `capacity_unit` will do in place of `flow`";
                    notes.check_keys_and(&table, &MAP, keys::HOMES, (&flow, label));
                }
                let rated_at = rated_at(notes, &table, context);
                let map = map::map(notes, &table, rated_at.as_ref());
                (rated_at, map.map(Performance::Map))
            }
            None => (None, None),
        },
    }
}

/// The conditions of a rating or of a map's rated point.
fn rated_at(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>) -> Option<RatedAt> {
    let suction = notes.quantity(table, "suction", Kind::Temperature, REFRIGERANT_SIDE);
    let condensing = notes.quantity(table, "condensing", Kind::Temperature, REFRIGERANT_SIDE);
    let superheat = notes.quantity(table, "superheat", Kind::Difference, SMALL_DIFFERENCE);
    let subcooling = notes.quantity(table, "subcooling", Kind::Difference, SMALL_DIFFERENCE);
    let fluid = context.fluid;
    let known = suction.map(|k| within_range(notes, fluid, "suction", &table.span_of("suction"), k));
    let cold = condensing.map(|k| within_range(notes, fluid, "condensing", &table.span_of("condensing"), k));
    let (suction, condensing) = (suction?, condensing?);
    if suction >= condensing {
        let says = format!("`suction` is not below `condensing`, {}", notes.system.temperature_exact(condensing));
        notes.fault(Fault::new(table.span_of("suction"), says).expected("the evaporating temperature belongs here"));
        return None;
    }
    if let (Some(true), Some(true), Some(fluid), Some(subcooling)) = (known, cold, fluid, subcooling) {
        let bubble = fluid.dew_pressure(condensing).and_then(|p| fluid.bubble_temperature(p));
        if bubble.is_ok_and(|bubble| bubble - subcooling < fluid.range().temperature_min) {
            let says = format!("liquid so far subcooled leaves the range of {}", fluid.name());
            notes.fault(Fault::new(table.span_of("subcooling"), says));
        }
    }
    Some(RatedAt {
        suction: Temperature::from_kelvin(suction),
        condensing: Temperature::from_kelvin(condensing),
        superheat: kelvins(superheat?),
        subcooling: kelvins(subcooling?),
    })
}

fn bypass(notes: &mut Notes<'_>, table: &Table<'_>, context: &Context<'_>) -> Option<Bypass> {
    if !table.has("hot_gas_bypass") {
        let why = "no hot-gas bypass is given; one that opens would take flow from the riser";
        notes.assume(format!("{} compressors.hot_gas_bypass", context.key), 0.0, "-", why, "roofrun");
        return Some(Bypass { share: 0.0, when: BypassWhen::Never });
    }
    let table = notes.table(table, "hot_gas_bypass", &BYPASS)?;
    notes.check_keys(&table, &BYPASS, keys::HOMES);
    let share = notes.number(&table, "share", Bounds::Below(0.0, 1.0));
    let whens = [("never", BypassWhen::Never), ("least", BypassWhen::Least), ("always", BypassWhen::Always)];
    let when = if table.has("when") {
        notes.choice(&table, "when", &whens)
    } else {
        let key = format!("{} compressors.hot_gas_bypass.when", context.key);
        notes.assume(key, 0.0, "-", "open at the least share", "roofrun");
        Some(BypassWhen::Least)
    };
    Some(Bypass { share: share?, when: when? })
}
