//! A job that is drawn in part: what a first answer to a complaint can do without is filled in, and named.

use super::file::named;
use super::{Faults, Job, Unknown, read};
use crate::units::{Kind, System, quantity};
use std::path::Path;
use toml_edit::{DocumentMut, InlineTable, Item, Table, value};

/// Condensing less entering air of a condenser whose rating is not known (assumption: usual of air-cooled condensers).
const TD: &str = "20 F";
/// Tube of a line that is not drawn: so wide that it loses nothing.
const WIDE: &str = "4-1/8 ACR";

/// Reads a job from its file, or from standard input for `-`; what is not known of it is filled in where that makes it one that can be read.
///
/// # Errors
/// Where the file cannot be read, or every fault in it as it stands.
pub fn open_sketch(path: &Path) -> Result<(Job, Unknown), Faults> {
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    let (name, text) = named(path)?;
    read_sketch(&name, &text, folder)
}

/// The same of a text.
///
/// # Errors
/// Every fault of the text as it stands.
pub fn read_sketch(name: &str, text: &str, folder: &Path) -> Result<(Job, Unknown), Faults> {
    match read(name, text, folder) {
        Ok(job) => Ok((job, Unknown::default())),
        Err(faults) => {
            let filled = filled(text).and_then(|(text, unknown)| Some((read(name, &text, folder).ok()?, unknown)));
            filled.ok_or(faults)
        }
    }
}

/// The text with condensers and lines where they lack; none where it lacks nothing of these, or is no TOML.
fn filled(text: &str) -> Option<(String, Unknown)> {
    let mut document: DocumentMut = text.parse().ok()?;
    let mut unknown = Unknown::default();
    for circuit in document.get_mut("circuit")?.as_array_of_tables_mut()?.iter_mut() {
        condenser(circuit, &mut unknown);
        for line in ["discharge", "liquid"] {
            let drawn = circuit.get(line).and_then(Item::as_table_like).is_some_and(|line| line.contains_key("route"));
            if !drawn {
                unknown.lines = true;
                circuit.insert(line, route(line));
            }
        }
    }
    (unknown != Unknown::default()).then(|| (document.to_string(), unknown))
}

fn route(line: &str) -> Item {
    let mut level = InlineTable::new();
    level.insert("level", "1 ft".into());
    if line == "discharge" {
        level.insert("slope", "with flow".into());
    }
    let mut table = Table::new();
    table.insert("tube", value(WIDE));
    let mut route = toml_edit::Array::new();
    route.push(level);
    table.insert("route", value(route));
    Item::Table(table)
}

/// Rejection is what the compressors are rated for, capacity and power.
fn condenser(circuit: &mut Table, unknown: &mut Unknown) {
    let rating = circuit.get("compressors").and_then(|compressors| compressors.get("rating"));
    let watts = |key: &str, kind: Kind| {
        let text = rating.and_then(|rating| rating.get(key)).and_then(Item::as_str)?;
        quantity(text, kind, System::Ip, 101_325.0).ok()
    };
    let rejection = watts("capacity", Kind::Capacity).zip(watts("power", Kind::Power)).map(|(a, b)| a + b);
    let entry = circuit.entry("condenser").or_insert_with(|| Item::Table(Table::new()));
    let Some(condenser) = entry.as_table_like_mut() else { return };
    if let (Some(rejection), false) = (rejection, condenser.contains_key("rejection")) {
        condenser.insert("rejection", value(format!("{rejection:.0} W")));
        unknown.condenser = true;
    }
    if !condenser.contains_key("td") {
        condenser.insert("td", value(TD));
        unknown.condenser = true;
    }
    if !condenser.contains_key("elevation") {
        condenser.insert("elevation", value("0 ft"));
        unknown.lines = true;
    }
}
