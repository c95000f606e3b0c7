//! A drawing as a job text: an ordinary circuit of its refrigerant, with what the case has otherwise.

use roofrun::refdata;
use std::fmt::Write;
use toml::{Table, Value};

/// What an ordinary circuit of a refrigerant is rated at: power, and heat rejected at an isentropic efficiency of 0.65.
struct Ordinary {
    refrigerant: &'static str,
    suction: u32,
    condensing: u32,
    /// Condensing temperature less summer air.
    td: u32,
    kilowatts_per_ton: f64,
    rejection_per_ton: f64,
    cutout: &'static str,
}

const fn ordinary(
    refrigerant: &'static str,
    [suction, condensing, td]: [u32; 3],
    [kilowatts_per_ton, rejection_per_ton]: [f64; 2],
    cutout: &'static str,
) -> Ordinary {
    Ordinary { refrigerant, suction, condensing, td, kilowatts_per_ton, rejection_per_ton, cutout }
}

const ORDINARY: [Ordinary; 5] = [
    ordinary("R-410A", [40, 115, 20], [1.0503, 15.584], "550 psig"),
    ordinary("R-134a", [40, 120, 25], [1.0554, 15.601], "250 psig"),
    ordinary("R-407C", [40, 118, 23], [1.0567, 15.606], "300 psig"),
    ordinary("R-22", [40, 115, 20], [0.9776, 15.336], "265 psig"),
    ordinary("R-404A", [20, 110, 22], [1.3870, 16.733], "310 psig"),
];

/// Copper listed for the pressure of R-410A, in the sizes of ACR.
const LISTED: [&str; 10] = ["1/2", "5/8", "3/4", "7/8", "1-1/8", "1-3/8", "1-5/8", "2-1/8", "2-5/8", "3-1/8"];

const DISCHARGE: &str = r#"
[circuit.discharge]
route = [
  { level = "10 ft", slope = "with flow" },
  { rise = "30 ft", trap = ["foot", "top", "15 ft"] },
  { level = "30 ft", slope = "with flow" },
  { part = "check valve", pressure_drop = "0.2 psi" },
]
"#;

const LIQUID: &str = r#"
[circuit.liquid]
route = [
  { level = "45 ft" },
  { drop = "30 ft" },
  { level = "45 ft" },
  { part = "filter-drier", pressure_drop = "3 psi" },
  { part = "solenoid valve", pressure_drop = "1.5 psi" },
  { part = "sight glass", pressure_drop = "0.5 psi" },
]
"#;

/// The job text of a case: `refrigerant` and `tons` choose the ordinary circuit, the tables `site`, `circuit`, `room`, `point` and
/// `roof` are laid over it.
pub fn text(case: &Table) -> String {
    let named = case["refrigerant"].as_str().unwrap();
    let rated = ORDINARY.iter().find(|of| of.refrigerant == named).unwrap_or_else(|| panic!("no ordinary {named}"));
    let tons = case["tons"].to_string().parse::<f64>().unwrap();
    let mut job = base(rated, tons);
    for key in ["job", "site", "plant", "limits", "room", "point", "tube", "circuit", "roof"] {
        if let Some(over) = case.get(key) {
            lay_over(job.entry(key).or_insert_with(|| Value::Table(Table::new())), over);
        }
    }
    let listed = named == "R-410A" && case.get("listed").and_then(Value::as_bool) != Some(false);
    named_tubes(&mut job, if listed { "listed" } else { "ACR" });
    written(&job, listed)
}

fn base(rated: &Ordinary, tons: f64) -> Table {
    let Ordinary { refrigerant, suction, condensing, td, cutout, .. } = rated;
    let (power, rejection) = (tons * rated.kilowatts_per_ton, tons * rated.rejection_per_ton);
    let (summer, coil, evaporator) = (condensing - td, tons * 0.05, tons * 0.02);
    let leaving = suction + 5;
    format!(
        r#"
[job]
title = "A drawing"
[site]
summer = "{summer} F"
winter = "20 F"
[circuit]
name = "1"
refrigerant = "{refrigerant}"
[circuit.compressors]
count = 2
minimum = 1
rating = {{ capacity = "{tons} ton", power = "{power:.3} kW", suction = "{suction} F", condensing = "{condensing} F", superheat = "10 F", subcooling = "10 F" }}
hot_gas_bypass = {{ share = 0, when = "never" }}
[circuit.evaporator]
leaving = "{leaving} F"
approach = "5 F"
range = "10 F"
superheat = "10 F"
volume = "{evaporator:.2} ft3"
[circuit.condenser]
rejection = "{rejection:.2} MBH"
td = "{td} F"
pressure_drop = "3 psi"
subcooling = "10 F"
elevation = "30 ft"
volume = "{coil:.2} ft3"
cutout = "{cutout}"
head_control = {{ by = "fans", setpoint = "85 F", minimum_air = 0.05 }}
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
{DISCHARGE}{LIQUID}"#
    )
    .parse()
    .unwrap()
}

/// Tables are laid over tables, all else replaces; `false` takes a key away.
fn lay_over(under: &mut Value, over: &Value) {
    match (under, over) {
        (Value::Table(under), Value::Table(over)) => {
            for (key, value) in over {
                if value.as_bool() == Some(false) && under.get(key).is_some_and(|old| !old.is_bool()) {
                    under.remove(key);
                } else if let Some(old) = under.get_mut(key) {
                    lay_over(old, value);
                } else {
                    under.insert(key.clone(), value.clone());
                }
            }
        }
        (under, over) => *under = over.clone(),
    }
}

/// Tube by its size alone (`7/8`) is tube of that kind.
fn named_tubes(job: &mut Table, kind: &str) {
    fn name(value: &mut Value, kind: &str) {
        match value {
            Value::String(size) if LISTED.contains(&size.as_str()) => *size = format!("{size} {kind}"),
            Value::Array(sizes) => sizes.iter_mut().for_each(|size| name(size, kind)),
            _ => {}
        }
    }
    fn walk(value: &mut Value, kind: &str) {
        match value {
            Value::Table(table) => {
                for (key, value) in table.iter_mut() {
                    if key == "tube" { name(value, kind) } else { walk(value, kind) }
                }
            }
            Value::Array(items) => items.iter_mut().for_each(|item| walk(item, kind)),
            _ => {}
        }
    }
    walk(job.get_mut("circuit").unwrap(), kind);
}

/// As a person writes it: one table after another, one run of a route a line.
fn written(job: &Table, listed: bool) -> String {
    let mut text = String::from("# A drawing of the practice set.\n");
    for key in ["job", "site", "plant", "limits"] {
        if let Some(Value::Table(table)) = job.get(key) {
            section(&mut text, &format!("[{key}]"), key, table);
        }
    }
    for key in ["room", "point", "tube"] {
        for item in job.get(key).and_then(Value::as_array).into_iter().flatten() {
            section(&mut text, &format!("[[{key}]]"), key, item.as_table().unwrap());
        }
    }
    for size in LISTED.iter().filter(|_| listed) {
        let tube = refdata::tube(&format!("{size} ACR")).unwrap();
        let inches = |length: roofrun::units::Length| length.value / 0.0254;
        let (outside, wall) = (inches(tube.outside), inches(tube.wall));
        let _ = writeln!(
            text,
            "[[tube]]\nname = \"{size} listed\"\noutside = \"{outside:.3} in\"\nwall = \"{wall:.3} in\"\nrated = \"700 psig\"\n"
        );
    }
    section(&mut text, "[[circuit]]", "circuit", job["circuit"].as_table().unwrap());
    if let Some(Value::Table(roof)) = job.get("roof") {
        section(&mut text, "[roof]", "roof", roof);
    }
    text
}

fn section(text: &mut String, head: &str, name: &str, table: &Table) {
    let _ = writeln!(text, "{head}");
    let inline = |value: &Value| {
        !value.is_table()
            || matches!(value, Value::Table(table) if table.values().all(|v| !v.is_table()) && !is_section(table))
    };
    for (key, value) in table.iter().filter(|(_, value)| inline(value) && !tables(value)) {
        match value {
            Value::Array(runs) if key == "route" => {
                let _ = writeln!(text, "route = [");
                for run in runs {
                    let _ = writeln!(text, "  {run},");
                }
                let _ = writeln!(text, "]");
            }
            value => {
                let _ = writeln!(text, "{key} = {value}");
            }
        }
    }
    text.push('\n');
    for (key, value) in table {
        match value {
            Value::Table(inner) if !inline(value) => {
                section(text, &format!("[{name}.{key}]"), &format!("{name}.{key}"), inner);
            }
            Value::Array(items) if tables(value) => {
                for item in items {
                    section(text, &format!("[[{name}.{key}]]"), key, item.as_table().unwrap());
                }
            }
            _ => {}
        }
    }
}

/// Whether a table is written under a head of its own.
fn is_section(table: &Table) -> bool {
    ["route", "suction", "leaving", "rejection", "kind", "rating"].iter().any(|key| table.contains_key(*key))
        && !table.contains_key("condensing")
}

/// Whether an array is one of tables with heads of their own: what stands on a roof.
fn tables(value: &Value) -> bool {
    value.as_array().is_some_and(|items| {
        items.iter().any(|item| item.as_table().is_some_and(|t| t.contains_key("at") || t.contains_key("from")))
    })
}
