//! A file of readings as typed into what was read.

use super::super::fault::Fault;
use super::super::faults::Faults;
use super::super::key::Bounds;
use super::super::keys::readings::{COLUMN, FILE};
use super::super::model::{Circuit, Job};
use super::super::notes::Notes;
use super::super::points::{POINTS, Point};
use super::super::reading::Reading;
use super::super::readings::{
    ColumnSaid, Instrument, LiquidAt, Read, Readings, Runs, Saturation, Set, Stated, Station,
};
use super::super::syntax::quoted;
use super::super::table::{Table, clipped};
use crate::units::{Kind, System, as_gauge, quantity};
use std::borrow::Cow;
use std::collections::btree_map::Entry;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Power factor of a compressor's motor near its load (assumption).
const POWER_FACTOR: f64 = 0.85;

/// Reads a file of readings taken at a job's chiller from its text: in the job's units, pressures over the atmosphere of its site and
/// gauge also where a bare `psi`, `bar` or `kPa` does not say so.
///
/// # Errors
/// Every fault of the file at once.
pub fn read_readings(file_name: &str, text: &str, job: &Job) -> Result<Readings, Faults> {
    read_file(file_name, text, (job.units, job.site.atmosphere.pascals()), Some(job))
}

/// Reads what is said of a trend from the text of such a file: its columns, and under `[readings]` what is the same at all times.
/// Pressures are over that atmosphere's (Pa).
///
/// # Errors
/// Every fault of the file at once.
pub fn read_columns(file_name: &str, text: &str, system: System, atmosphere: f64) -> Result<Readings, Faults> {
    read_file(file_name, text, (system, atmosphere), None)
}

/// With the job that readings are of, or without one what is said of a trend.
fn read_file(
    file_name: &str,
    text: &str,
    (system, atmosphere): (System, f64),
    of: Option<&Job>,
) -> Result<Readings, Faults> {
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut notes = Notes::of(text, &errors, system, atmosphere);
    let root = Table::new(root.get_ref(), 0..0, &FILE, String::new());
    if of.is_some() && root.has("circuit") && !root.has("readings") {
        let help = "the job comes first, then its readings: are the two exchanged?";
        return Err(Faults::unreadable(file_name, "this is a job, not readings", help));
    }
    notes.check_keys(&root);
    let mut readings = Readings::default();
    match (within(&mut notes, &root, "readings"), of) {
        (Some(table), of) => {
            readings.set = set(&mut notes, &table, &mut readings.taken);
            if let Some(job) = of {
                needed(&mut notes, &table, &readings.set, &job.circuits);
                of_the_job(&mut notes, &table, &readings.set, &job.circuits);
            }
        }
        (None, Some(_)) if !root.has("readings") => {
            let fault = Fault::new(0..0, "there are no readings");
            notes.fault(fault.expected("[readings] with outdoor, discharge, suction and running"));
        }
        (None, _) => {}
    }
    readings.healthy = within(&mut notes, &root, "healthy").map(|table| set(&mut notes, &table, &mut readings.taken));
    // Nothing else has been taken for something yet.
    readings.bare = !readings.taken.is_empty();
    accuracy(&mut notes, &root, &mut readings);
    columns(&mut notes, &root, &mut readings);
    if notes.faults.is_empty() { Ok(readings) } else { Err(Faults::new(file_name, text, notes.faults)) }
}

/// What the job must have of what is read: the circuit, and as many compressors as run.
fn of_the_job(notes: &mut Notes<'_>, table: &Table<'_>, set: &Set, circuits: &[Circuit]) {
    let called = |name: &String| circuits.iter().find(|circuit| circuit.name == *name);
    if let Some(name) = set.circuit.as_ref().filter(|name| called(name).is_none()) {
        let (span, list) = (table.span_of("circuit"), format!("the job has {}", named(circuits)));
        if let [only] = circuits {
            let fault = Fault::new(span.clone(), format!("no circuit is called `{}`", clipped(name))).expected(list);
            notes.fault(fault.mend(span, quoted(&only.name)));
        } else {
            notes.unknown(&span, "circuit", name, circuits.iter().map(|circuit| circuit.name.as_str()), &list);
        }
    }
    let circuit = match circuits {
        [only] => Some(only),
        _ => set.circuit.as_ref().and_then(called),
    };
    if let (Some(Runs::Count(count)), Some(circuit)) = (set.running, circuit)
        && count > circuit.compressors.count
    {
        let has = circuit.compressors.count;
        let compressors = if has == 1 { "compressor" } else { "compressors" };
        let says = format!("`running`: circuit {} has {has} {compressors}", circuit.name);
        let fault = Fault::new(table.span_of("running"), says).expected(format!("expected 0 to {has}"));
        notes.fault(fault.mend(table.span_of("running"), has.to_string()));
    }
}

fn named(circuits: &[Circuit]) -> String {
    circuits.iter().map(|circuit| circuit.name.as_str()).collect::<Vec<_>>().join(", ")
}

/// A table that is there.
fn within<'a>(notes: &mut Notes<'_>, table: &Table<'a>, key: &str) -> Option<Table<'a>> {
    if table.has(key) { notes.table_if_any(table, key) } else { None }
}

/// What no answer can do without.
fn needed(notes: &mut Notes<'_>, table: &Table<'_>, set: &Set, circuits: &[Circuit]) {
    let has = |place: &Station| place.pressure.is_some() || place.saturated.is_some();
    let off = matches!(set.running, Some(Runs::Count(0))) || matches!(set.running, Some(Runs::Share(0.0)));
    let mut lacks = Vec::new();
    let circuit = match circuits {
        [first, _, ..] if !table.has("circuit") => {
            format!("circuit = \"{}\" (the job has {})", first.name, named(circuits))
        }
        _ => String::new(),
    };
    if !circuit.is_empty() {
        lacks.push(circuit.as_str());
    }
    if !table.has("outdoor") && !table.has("air_on") {
        lacks.push("outdoor = \"95 F\"");
    }
    if !off && !has(&set.discharge) && !table.has("discharge") {
        lacks.push("discharge = { pressure = \"492 psig\" }");
    }
    if !off && !has(&set.suction) && !table.has("suction") {
        lacks.push("suction = { pressure = \"121 psig\" }");
    }
    if !table.has("running") && !table.has("share") {
        lacks.push("running = 2");
    }
    if !lacks.is_empty() {
        let fault = Fault::new(table.span(), "missing in [readings]: what every answer needs");
        notes.structural(fault.expected(format!("for example {}", lacks.join(", "))));
    }
    for (name, place) in [("discharge", &set.discharge), ("suction", &set.suction)] {
        let span = table.span_of(name);
        // What is mistyped in it is told already.
        let told = notes.faults.iter().any(|fault| span.contains(&fault.span().start));
        if table.has(name) && !has(place) && !told {
            let fault = Fault::new(span, format!("missing key `pressure` in `{name}`"));
            notes.fault(fault.expected("`pressure`, or `saturated` in its place"));
        }
    }
}

fn set(notes: &mut Notes<'_>, table: &Table<'_>, taken: &mut Vec<String>) -> Set {
    let mut set = Set {
        title: notes.text(table, "title").map(str::to_owned),
        circuit: notes.text(table, "circuit").map(str::to_owned),
        ..Set::default()
    };
    let single = [
        (Reading::Outdoor, "outdoor"),
        (Reading::AirOn, "air_on"),
        (Reading::AirOff, "air_off"),
        (Reading::DischargeDrop, "discharge_drop"),
        (Reading::DrierOut, "drier_out"),
        (Reading::CondenserOut, "condenser_out"),
        (Reading::EnteringFluid, "entering_fluid"),
        (Reading::LeavingFluid, "leaving_fluid"),
        (Reading::FluidFlow, "fluid_flow"),
        (Reading::Power, "power"),
        (Reading::ReceiverLevel, "receiver_level"),
    ];
    for (reading, key) in single {
        if let Some(read) = value(notes, table, key, taken) {
            set.values.insert(reading, read);
        }
    }
    power_by_amps(notes, table, &mut set);
    for (key, which) in [("discharge", 0), ("suction", 1), ("liquid", 2), ("valve", 3)] {
        let Some(inner) = within(notes, table, key) else { continue };
        let place = place(notes, &inner, taken);
        match which {
            0 => set.discharge = place,
            1 => set.suction = place,
            2 => {
                let places = [LiquidAt::Machine, LiquidAt::Condenser, LiquidAt::Receiver];
                set.liquid_at = notes.choice(&inner, "at", &places).unwrap_or_default();
                set.liquid = place;
            }
            _ => {
                if let Some(read) = value(notes, &inner, "open", taken) {
                    set.values.insert(Reading::ValveOpen, read);
                }
                set.valve = place;
            }
        }
    }
    set.running = match (notes.count(table, "running"), notes.get::<f64>(table, "share")) {
        (Some(count), _) => Some(Runs::Count(count)),
        (None, share) => share.map(Runs::Share),
    };
    if let Some(inner) = if fans_in_words(notes, table) { None } else { within(notes, table, "fans") } {
        fans(notes, &inner, &mut set);
    }
    set.bypass = notes.choice(table, "bypass", &[true, false]);
    let seen = [
        (Reading::SightGlass, "sight_glass", [0.0, 1.0]),
        (Reading::Coil, "coil", [0.0, 1.0]),
        (Reading::BypassLine, "bypass_line", [0.0, 1.0]),
    ];
    for (reading, key, values) in seen {
        if let Some(value) = notes.choice(table, key, &values) {
            set.values.insert(reading, Read { value, step: 0.0 });
        }
    }
    if let Some(inner) = within(notes, table, "stopped") {
        let (pressure, air) = (value(notes, &inner, "pressure", taken), notes.get::<f64>(&inner, "air"));
        set.stopped = pressure.zip(air);
    }
    set
}

/// Fans typed as a text, such as `4 of 6` or `4/6`: told, with the table that they are.
fn fans_in_words(notes: &mut Notes<'_>, table: &Table<'_>) -> bool {
    let Some(entry) = table.get("fans") else { return false };
    if entry.value.is_table() {
        return false;
    }
    let text = entry.value.as_str().unwrap_or_default();
    let counts: Vec<u32> = text.split(|c: char| !c.is_ascii_digit()).filter_map(|number| number.parse().ok()).collect();
    let fault = Fault::new(entry.span.clone(), "`fans` is a table").expected("such as { turn = 4, of = 6 }");
    notes.fault(match counts.as_slice() {
        [turn, of] if turn <= of => fault.mend(entry.span, format!("{{ turn = {turn}, of = {of} }}")),
        _ => fault,
    });
    true
}

fn fans(notes: &mut Notes<'_>, table: &Table<'_>, set: &mut Set) {
    let (turn, of, speed) = (notes.count(table, "turn"), notes.count(table, "of"), notes.get::<f64>(table, "speed"));
    let share = match (turn, of, speed) {
        (Some(turn), Some(of), _) if turn <= of => {
            set.fans_of = Some(of);
            f64::from(turn) / f64::from(of)
        }
        (Some(_), Some(_), _) => {
            notes.fault(Fault::new(table.span_of("turn"), "more fans turn than there are"));
            return;
        }
        (None, None, Some(speed)) => speed,
        _ => {
            notes.fault(Fault::new(table.span(), "`fans` is `turn` and `of`, or `speed`"));
            return;
        }
    };
    set.values.insert(Reading::Fans, Read { value: share, step: 0.0 });
}

fn power_by_amps(notes: &mut Notes<'_>, table: &Table<'_>, set: &mut Set) {
    let (Some(amps), Some(volts)) = (plain(notes, table, "amps", "A"), plain(notes, table, "volts", "V")) else {
        if table.has("amps") != table.has("volts") {
            let key = if table.has("amps") { "amps" } else { "volts" };
            notes.fault(Fault::new(table.span_of(key), "`amps` and `volts` belong together"));
        }
        return;
    };
    let value = 3.0_f64.sqrt() * POWER_FACTOR * amps * volts;
    if let Entry::Vacant(free) = set.values.entry(Reading::Power) {
        free.insert(Read { value, step: 0.0 });
        set.power_by_amps = true;
    }
}

/// A number with a unit of its own.
fn plain(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, unit: &str) -> Option<f64> {
    let entry = table.get(key)?;
    let text = entry.value.as_str().map(str::trim).and_then(|text| text.strip_suffix(unit)).map(str::trim);
    let number = text.and_then(|text| text.parse::<f64>().ok()).filter(|n| n.is_finite() && *n > 0.0);
    if number.is_none() {
        let fault = Fault::new(entry.span, format!("`{key}` is a number with its unit"));
        notes.fault(fault.expected(format!("such as \"61 {unit}\"")));
    }
    number
}

fn place(notes: &mut Notes<'_>, table: &Table<'_>, taken: &mut Vec<String>) -> Station {
    let all = [Instrument::Screen, Instrument::Gauge, Instrument::Digital, Instrument::Clamp, Instrument::Well];
    let by = notes.choice(table, "by", &all);
    let pressure_by = notes.choice(table, "pressure_by", &[Instrument::Screen, Instrument::Gauge, Instrument::Digital]);
    let temperature_by =
        notes.choice(table, "temperature_by", &[Instrument::Screen, Instrument::Clamp, Instrument::Well]);
    let of_pressure = by.filter(|by| !matches!(by, Instrument::Clamp | Instrument::Well));
    let of_temperature = by.map(|by| match by {
        Instrument::Gauge | Instrument::Digital => Instrument::Clamp,
        other => other,
    });
    let lines = [Saturation::Dew, Saturation::Bubble, Saturation::Mid];
    let saturated = value(notes, table, "saturated", taken);
    let line = notes.choice(table, "line", &lines);
    for [one, other] in [["pressure", "saturated"], ["temperature", "superheat"], ["temperature", "subcooling"]] {
        if table.has(one) && table.has(other) {
            let fault = Fault::new(table.span_of(other), format!("`{one}` and `{other}` are both given"));
            notes.fault(fault.expected("one of them: the other follows from it"));
        }
    }
    let margin = ["superheat", "subcooling"].into_iter().find(|key| table.has(key));
    Station {
        pressure: value(notes, table, "pressure", taken),
        saturated: saturated.map(|read| (read, line.unwrap_or(Saturation::Dew))),
        temperature: value(notes, table, "temperature", taken),
        margin: margin.and_then(|key| value(notes, table, key, taken)),
        pressure_by: pressure_by.or(of_pressure),
        temperature_by: temperature_by.or(of_temperature),
    }
}

/// A value with the last digit that was read.
fn value(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, taken: &mut Vec<String>) -> Option<Read> {
    use super::super::key::Holds;
    let entry = table.get(key)?;
    let (kind, bounds) = match table.keys.key(key)?.holds {
        Holds::Quantity(kind, bounds) => (kind, bounds),
        Holds::Number(_, bounds) => {
            let value = notes.number_of(key, entry.value, &entry.span, bounds)?;
            return Some(Read { value, step: 0.01 });
        }
        _ => return notes.no_such(table, key),
    };
    let typed = entry.value.as_str().map(str::trim).unwrap_or_default();
    let Some(gauge) = as_gauge(typed).filter(|_| kind == Kind::Pressure) else {
        let value = notes.quantity_of(key, entry.value, &entry.span, kind, bounds)?;
        return Some(Read { value, step: step(typed, kind) });
    };
    let says = format!("{key} {typed} as gauge");
    if !taken.contains(&says) {
        taken.push(says);
    }
    let value = notes.quantity_of(key, &DeValue::String(Cow::Borrowed(&gauge)), &entry.span, kind, bounds)?;
    Some(Read { value, step: step(&gauge, kind) })
}

/// The last digit of a quantity as typed, SI: 0.1 F of `51.9 F`.
fn step(typed: &str, kind: Kind) -> f64 {
    let end = typed.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(typed.len());
    let (digits, unit) = typed.split_at(end);
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let at = |number: f64| quantity(&format!("{number} {unit}"), kind, System::Ip, 101_325.0).ok();
    let one = at(101.0).zip(at(100.0)).map_or(0.0, |(more, less)| more - less);
    one * 0.1_f64.powi(i32::try_from(decimals).unwrap_or(0))
}

fn accuracy(notes: &mut Notes<'_>, root: &Table<'_>, readings: &mut Readings) {
    let Some(entry) = root.get("accuracy") else { return };
    let Some(table) = entry.value.as_table() else {
        notes.fault(Fault::new(entry.span, "`accuracy` is a table").expected("{ discharge_pressure = \"5 psi\" }"));
        return;
    };
    let known = stated();
    for entry in Table::of_names(table, entry.span).entries() {
        let Some((_, stated, kind)) = known.iter().find(|(name, ..)| *name == entry.key) else {
            let names = known.iter().map(|(name, ..)| name.as_str());
            notes.unknown(&entry.key_span, "reading or instrument", entry.key, names, "such as discharge_pressure");
            continue;
        };
        let value = match kind {
            Kind::Ratio => notes.number_of(entry.key, entry.value, &entry.span, Bounds::Above(0.0, 1.0)),
            kind => notes.quantity_of(entry.key, entry.value, &entry.span, *kind, Bounds::Above(0.0, 1e6)),
        };
        readings.accuracy.extend(value.map(|value| (*stated, value)));
    }
}

/// What is said of the columns of a trend.
fn columns(notes: &mut Notes<'_>, root: &Table<'_>, readings: &mut Readings) {
    let Some(entry) = root.get("columns") else { return };
    let Some(table) = entry.value.as_table() else {
        notes.fault(Fault::new(entry.span, "`columns` is a table").expected("{ \"OAT\" = \"outdoor\" }"));
        return;
    };
    for entry in Table::of_names(table, entry.span).entries() {
        let said = match entry.value {
            DeValue::Table(inner) => {
                let inner = Table::new(inner, entry.span, &COLUMN, String::new());
                notes.check_keys(&inner);
                ColumnSaid {
                    point: inner.get("key").and_then(|key| point(notes, key.value, &key.span)),
                    unit: notes.text(&inner, "unit").map(str::to_owned),
                    scale: notes.get(&inner, "scale"),
                    hold: inner.get("hold").and_then(|hold| seconds(notes, hold.value, &hold.span)),
                }
            }
            value => ColumnSaid { point: point(notes, value, &entry.span), ..ColumnSaid::default() },
        };
        readings.columns.insert(entry.key.to_owned(), said);
    }
}

/// The point of a key; none of `-`.
fn point(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>) -> Option<Point> {
    let key = notes.text_of("key", value, span)?;
    let found = Point::of_key(key);
    if found.is_none() && key != "-" {
        let keys = POINTS.iter().map(|point| point.key());
        notes.unknown(span, "reading", key, keys, "such as discharge.pressure; \"-\" leaves the column out");
    }
    found
}

/// A time such as `15 min`, s.
fn seconds(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>) -> Option<f64> {
    let text = notes.text_of("hold", value, span)?;
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let factor = match text.get(end..).map(str::trim) {
        Some("s") => Some(1.0),
        Some("min") => Some(60.0),
        Some("h") => Some(3600.0),
        _ => None,
    };
    let number = text.get(..end).and_then(|number| number.parse::<f64>().ok());
    let found = number.zip(factor).map(|(number, factor)| number * factor).filter(|seconds| *seconds > 0.0);
    if found.is_none() {
        notes.fault(Fault::new(span.clone(), "`hold` is a time").expected("such as \"15 min\""));
    }
    found
}

/// What an accuracy may be stated of, with its name and its kind.
fn stated() -> Vec<(String, Stated, Kind)> {
    let of = |reading: &Reading| {
        let kind = match reading.unit() {
            "Pa" => Kind::PressureDifference,
            "K" => Kind::Difference,
            "W" => Kind::Power,
            "m3/s" => Kind::VolumeRate,
            _ => Kind::Ratio,
        };
        (reading.key().replace('.', "_"), Stated::Of(*reading), kind)
    };
    let pressures =
        [("transducer", Instrument::Screen), ("gauge", Instrument::Gauge), ("digital", Instrument::Digital)];
    let temperatures = [("screen", Instrument::Screen), ("clamp", Instrument::Clamp), ("well", Instrument::Well)];
    let mut all: Vec<_> = Reading::ALL.iter().map(of).collect();
    all.extend(pressures.map(|(name, by)| (name.to_owned(), Stated::Pressures(by), Kind::PressureDifference)));
    all.extend(temperatures.map(|(name, by)| (name.to_owned(), Stated::Temperatures(by), Kind::Difference)));
    all
}
