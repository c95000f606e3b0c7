//! A part of a route: its resistance, and what a receiver holds.

use super::run::Place;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Entry, Table};
use crate::job::{Part, Receiver, ReceiverStyle, Resistance};
use crate::physics::valve_flow::kv_from_cv;
use crate::refdata::{self, Lines, PartFacts, Tube, Typical};
use crate::units::{Kind, cubic_metres, metres, pascals};

pub(super) fn part(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    place: &Place<'_>,
    number: usize,
    tube: Option<&Tube>,
) -> Option<Part> {
    let name = notes.text(table, "part")?;
    let span = table.span_of("part");
    let facts = refdata::part(name);
    let Some(facts) = facts else {
        let known = refdata::parts().iter().map(|p| p.name.as_str());
        notes.unknown(&span, "part", name, known, "`roofrun list parts` names them all");
        return None;
    };
    if facts.lines != Lines::Both && facts.lines != place.which {
        let (here, there) = match place.which {
            Lines::Discharge => ("discharge", "liquid"),
            _ => ("liquid", "discharge"),
        };
        notes.fault(
            Fault::new(span, format!("`{name}` in the {here} line"))
                .expected(format!("it belongs in the {there} line")),
        );
    }
    let resistance = resistance(notes, table, place, number, facts, tube);
    let receiver = receiver(notes, table, place, number, facts);
    Some(Part { name: name.to_owned(), resistance: resistance?, receiver, closes: facts.closes, checks: facts.checks })
}

fn resistance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    place: &Place<'_>,
    number: usize,
    facts: &PartFacts,
    tube: Option<&Tube>,
) -> Option<Resistance> {
    let mut given: Vec<Entry<'_>> = ["loss", "kv", "cv", "length"].iter().filter_map(|key| table.get(key)).collect();
    given.sort_by_key(|entry| entry.key_span.start);
    if let [first, second, ..] = given.as_slice() {
        let fault = Fault::new(second.key_span.clone(), format!("`{}` and `{}` are both given", first.key, second.key));
        notes.fault(fault.expected("one of loss, kv, cv and length"));
        return None;
    }
    let Some(entry) = given.first() else { return typical(notes, place, number, facts, tube) };
    match entry.key {
        "loss" => notes
            .quantity(table, "loss", Kind::PressureDifference, Bounds::From(0.0, 2e6))
            .map(|loss| Resistance::Loss(pascals(loss))),
        "length" => notes
            .quantity(table, "length", Kind::Length, Bounds::From(0.0, 1_000.0))
            .map(|length| Resistance::EquivalentLength(metres(length))),
        key => {
            let flow = notes.number(table, key, Bounds::Above(0.0, 1e5))?;
            Some(Resistance::Kv(if key == "cv" { kv_from_cv(flow) } else { flow }))
        }
    }
}

/// What the reference data says of such parts, as an assumption.
fn typical(
    notes: &mut Notes<'_>,
    place: &Place<'_>,
    number: usize,
    facts: &PartFacts,
    tube: Option<&Tube>,
) -> Option<Resistance> {
    let key = format!("{} run {number} {}", place.key, facts.name);
    match facts.typical {
        Typical::Loss(loss) => {
            notes.assume(key, loss.value, "Pa", "typical loss at the rated flow", &facts.source);
            Some(Resistance::Loss(loss))
        }
        Typical::Bores(bores) => {
            let length = bores * tube?.bore();
            let why = format!("typical equivalent length, {bores} bores of the tube");
            notes.assume(key, length.value, "m", why, &facts.source);
            Some(Resistance::EquivalentLength(length))
        }
    }
}

fn receiver(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    place: &Place<'_>,
    number: usize,
    facts: &PartFacts,
) -> Option<Receiver> {
    if !facts.receiver {
        for key in ["style", "volume", "vented"] {
            if let Some(entry) = table.get(key) {
                let fault = Fault::new(entry.key_span, format!("`{key}` on a {}", facts.name));
                notes.fault(fault.expected("it belongs on a receiver"));
            }
        }
        return None;
    }
    let styles = [("through", ReceiverStyle::Through), ("surge", ReceiverStyle::Surge)];
    let style = notes.choice(table, "style", &styles);
    if !table.has("style") {
        let why = "piped through: the liquid leaves it saturated";
        notes.assume(format!("{} run {number} receiver.style", place.key), 0.0, "-", why, "roofrun");
    }
    let volume = notes.quantity(table, "volume", Kind::Volume, Bounds::Above(0.0, 50.0));
    let vented = notes.flag(table, "vented");
    if !table.has("vented") {
        let why = "no vent line of its own to the condenser";
        notes.assume(format!("{} run {number} receiver.vented", place.key), 0.0, "-", why, "roofrun");
    }
    Some(Receiver {
        style: style.unwrap_or(ReceiverStyle::Through),
        volume: volume.map(cubic_metres),
        vented: vented.unwrap_or(false),
    })
}
