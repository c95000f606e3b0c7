//! A part of a route: its resistance, and what a receiver holds.

use super::known::RunKey;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::{Entry, Table};
use crate::job::{HEAD_VALVE, MECHANICAL_SUBCOOLER, Part, Receiver, ReceiverStyle, Resistance, Shell, Subcooler};
use crate::physics::valve_flow::kv_from_cv;
use crate::refdata::{self, Lines, PartFacts, Tube, Typical};
use crate::units::Kind;

pub(super) fn part(notes: &mut Notes<'_>, table: &Table<'_>, place: &RunKey<'_>, tube: Option<&Tube>) -> Option<Part> {
    let name = notes.text(table, "part")?;
    let span = table.span_of("part");
    let facts = refdata::part(name);
    let Some(facts) = facts else {
        let known = refdata::parts().iter().map(|p| p.name.as_str());
        notes.unknown(&span, "part", name, known, "`roofrun list parts` names them all");
        return None;
    };
    let (here, there) = (place.line.name(), if facts.lines == Lines::Liquid { "liquid" } else { "discharge" });
    if facts.lines != Lines::Both && here != there {
        let fault = Fault::new(span, format!("`{name}` in the {here} line"));
        notes.fault(fault.expected(format!("it belongs in the {there} line")));
    }
    let resistance = resistance(notes, table, place, facts, tube);
    let receiver = receiver(notes, table, facts);
    let subcooler = subcooler(notes, table, facts);
    Some(Part {
        name: name.to_owned(),
        resistance: resistance?,
        receiver,
        subcooler,
        closes: facts.closes,
        checks: facts.checks,
        bypass: bypass(notes, table, facts)?,
    })
}

fn resistance(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    place: &RunKey<'_>,
    facts: &PartFacts,
    tube: Option<&Tube>,
) -> Option<Resistance> {
    let mut given: Vec<Entry<'_>> =
        ["pressure_drop", "kv", "cv", "length"].iter().filter_map(|key| table.get(key)).collect();
    given.sort_by_key(|entry| entry.key_span.start);
    if let [first, second, ..] = given.as_slice() {
        let fault = Fault::new(second.key_span.clone(), format!("`{}` and `{}` are both given", first.key, second.key));
        notes.fault(fault.expected("one of pressure_drop, kv, cv and length"));
        return None;
    }
    let Some(entry) = given.first() else { return typical(notes, place, facts, tube) };
    match entry.key {
        "pressure_drop" => notes.get(table, "pressure_drop").map(Resistance::Loss),
        "length" => notes.get(table, "length").map(Resistance::EquivalentLength),
        "cv" => notes.get(table, "cv").map(|cv| Resistance::Kv(kv_from_cv(cv))),
        _ => notes.get(table, "kv").map(Resistance::Kv),
    }
}

/// What the reference data says of such parts, as an assumption.
fn typical(notes: &mut Notes<'_>, place: &RunKey<'_>, facts: &PartFacts, tube: Option<&Tube>) -> Option<Resistance> {
    let key = format!("{} run {} {}", place.key, place.number, facts.name);
    match facts.typical {
        Typical::Loss(loss) => {
            notes.assume(
                key,
                (loss.value, Kind::PressureDifference, ""),
                "typical pressure drop at the rated flow",
                &facts.source,
            );
            Some(Resistance::Loss(loss))
        }
        Typical::Bores(bores) => {
            let length = bores * tube?.bore();
            let why = format!("typical equivalent length, {bores} bores of the tube");
            notes.assume(key, (length.value, Kind::Length, ""), why, &facts.source);
            Some(Resistance::EquivalentLength(length))
        }
    }
}

/// Whether hot gas passes by the coil through a head-pressure valve.
fn bypass(notes: &mut Notes<'_>, table: &Table<'_>, facts: &PartFacts) -> Option<bool> {
    if facts.name == HEAD_VALVE {
        return notes.flag(table, "bypass");
    }
    if let Some(entry) = table.get("bypass") {
        let fault = Fault::new(entry.key_span, format!("`bypass` on a {}", facts.name));
        notes.fault(fault.expected(format!("it belongs on a {HEAD_VALVE}")));
    }
    Some(false)
}

/// What a mechanical subcooler takes from the liquid.
fn subcooler(notes: &mut Notes<'_>, table: &Table<'_>, facts: &PartFacts) -> Option<Subcooler> {
    const KEYS: [&str; 2] = ["capacity", "leaving"];
    if facts.name == MECHANICAL_SUBCOOLER {
        notes.missing(table, &KEYS);
        return Some(Subcooler { capacity: notes.get(table, "capacity")?, leaving: notes.get(table, "leaving")? });
    }
    for entry in KEYS.iter().filter_map(|key| table.get(key)) {
        let fault = Fault::new(entry.key_span, format!("`{}` on a {}", entry.key, facts.name));
        notes.fault(fault.expected(format!("it belongs on a {MECHANICAL_SUBCOOLER}")));
    }
    None
}

fn receiver(notes: &mut Notes<'_>, table: &Table<'_>, facts: &PartFacts) -> Option<Receiver> {
    if !facts.receiver {
        for key in ["style", "volume", "vented", "shell", "stop_valves"] {
            if let Some(entry) = table.get(key) {
                let fault = Fault::new(entry.key_span, format!("`{key}` on a {}", facts.name));
                notes.fault(fault.expected("it belongs on a receiver"));
            }
        }
        return None;
    }
    let style = notes.choice(table, "style", &[ReceiverStyle::Through, ReceiverStyle::Surge])?;
    let shell = notes.table(table, "shell");
    Some(Receiver {
        style,
        volume: notes.get(table, "volume"),
        vented: notes.flag(table, "vented")?,
        shell: shell
            .map(|shell| Shell { diameter: notes.need(&shell, "diameter"), length: notes.need(&shell, "length") }),
        stop_valves: notes.flag(table, "stop_valves")?,
    })
}
