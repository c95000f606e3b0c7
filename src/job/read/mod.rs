//! The file as typed into the job as meant.

mod circuit;
mod compressors;
mod condenser;
mod known;
mod line;
mod map;
mod models;
mod part;
mod plant;
mod readings;
mod roof;
mod run;
mod site;
mod tube;

use self::known::{Drawn, Known, Names};
pub use self::readings::{read_columns, read_readings};
use super::fault::Fault;
use super::faults::Faults;
use super::key::Bounds;
use super::keys::FILE;
use super::notes::Notes;
use super::table::Table;
use super::{Circuit, Concerns, Job, OwnPoint, Room, TitleBlock};
use crate::refdata::{self, Material, Tube};
use crate::units::{Kind, System, metres};
use std::collections::BTreeMap;
use std::path::Path;
use toml::de::DeTable;

/// Names of the five standard operating points.
const STANDARD_POINTS: [&str; 5] = ["rating", "summer full", "summer minimum", "winter full", "winter minimum"];

/// Reads a job from its text. The name of the file goes into messages; a weather file is looked for in the folder.
///
/// # Errors
/// Every fault of the file at once.
pub fn read(file_name: &str, text: &str, folder: &Path) -> Result<Job, Faults> {
    read_with(file_name, text, folder, false)
}

/// The same of a job whose tubes may be left open with `tube = "auto"`, to be found.
///
/// # Errors
/// Every fault of the file at once.
pub fn read_open(file_name: &str, text: &str, folder: &Path) -> Result<Job, Faults> {
    read_with(file_name, text, folder, true)
}

fn read_with(file_name: &str, text: &str, folder: &Path, may_be_open: bool) -> Result<Job, Faults> {
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut notes = Notes::of(text, &errors, System::Ip, crate::physics::atmosphere::SEA_LEVEL.pascals());
    notes.may_be_open = may_be_open;
    let root = Table::new(root.get_ref(), 0..0, &FILE, String::new());
    let job = whole(&mut notes, &root, file_name, folder);
    match job {
        Some(job) if notes.faults.is_empty() => Ok(Job { assumptions: notes.assumptions, ..job }),
        _ => {
            if notes.faults.is_empty() {
                // Cannot happen: what is not read has been noted. Said rather than trusted.
                notes.fault(Fault::new(0..0, "this job could not be read"));
            }
            Err(Faults::new(file_name, text, notes.faults))
        }
    }
}

fn whole(notes: &mut Notes<'_>, root: &Table<'_>, file_name: &str, folder: &Path) -> Option<Job> {
    notes.check_keys(root);
    let (title, title_block, units) = job(notes, root, file_name);
    notes.system = units;
    notes.concerns = Concerns::Plant;
    let (site, weather) = site::site(notes, root, folder);
    let plant = plant::plant(notes, root, weather.as_deref());
    notes.concerns = Concerns::Circuits;
    let limits = limits(notes, root);
    let rooms = rooms(notes, root);
    let points = points(notes, root);
    let tubes = tubes(notes, root);
    let known = Known { rooms: rooms.iter().map(|r| r.name.clone()).collect(), tubes };
    let (circuits, names) = circuits(notes, root, &known);
    notes.concerns = Concerns::Roof;
    let roof = roof::roof(notes, root, &Drawn { circuits: &circuits, names: &names });
    notes.concerns = Concerns::Year;
    plant::fans(notes, &circuits, weather.as_deref());
    if circuits.len() == names.len() {
        plant::spare(notes, root, &circuits);
    }
    Some(Job {
        title,
        title_block,
        file: file_name.to_owned(),
        text: notes.text.into(),
        units,
        site: site?,
        weather,
        plant,
        roof,
        limits,
        rooms,
        points,
        tubes: known.tubes,
        circuits,
        assumptions: Vec::new(),
    })
}

fn job(notes: &mut Notes<'_>, root: &Table<'_>, file_name: &str) -> (String, TitleBlock, System) {
    let stem = Path::new(file_name).file_stem().map_or(file_name.into(), |stem| stem.to_string_lossy());
    let Some(table) = notes.table_if_any(root, "job") else {
        return (stem.into(), TitleBlock::default(), System::Ip);
    };
    let units = notes.choice(&table, "units", &[System::Ip, System::Si]);
    let title = notes.text(&table, "title").unwrap_or(&stem).to_owned();
    let mut given = |key| notes.text(&table, key).map(str::to_owned);
    let block =
        TitleBlock { number: given("number"), revision: given("revision"), by: given("by"), date: given("date") };
    (title, block, units.unwrap_or_default())
}

/// Limits that had another name in files of earlier versions.
const EARLIER_LIMITS: &[(&str, &str)] = &[
    ("design_least", "design_minimum"),
    ("fan_air_least", "fan_air_minimum"),
    ("float_least", "float_minimum"),
    ("geometry_length", "elevations_length"),
    ("geometry_share", "elevations_share"),
    ("growth_free", "thermal_expansion_free"),
    ("liquid_velocity_least", "liquid_velocity_minimum"),
    ("oil_lift", "oil_riser"),
    ("oil_lift_caution", "oil_riser_caution"),
    ("oil_sweep", "oil_level"),
    ("pressure_ratio_least", "pressure_ratio_minimum"),
    ("pressure_ratio_most", "pressure_ratio_maximum"),
    ("rated_efficiency_least", "rated_efficiency_minimum"),
    ("rated_efficiency_most", "rated_efficiency_maximum"),
    ("receiver_least", "receiver_minimum"),
];

fn limits(notes: &mut Notes<'_>, root: &Table<'_>) -> BTreeMap<String, f64> {
    let mut limits = BTreeMap::new();
    let Some(entry) = root.get("limits") else { return limits };
    let Some(table) = entry.value.as_table() else {
        notes.fault(Fault::new(entry.span, "`limits` is a table of limits"));
        return limits;
    };
    for entry in Table::of_names(table, entry.span).entries() {
        let Some(limit) = refdata::limit(entry.key) else {
            if let Some((_, key)) = EARLIER_LIMITS.iter().find(|(earlier, _)| *earlier == entry.key) {
                let fault = Fault::new(entry.key_span.clone(), format!("unknown limit `{}`", entry.key));
                notes.fault(fault.expected(format!("it is called `{key}`")).mend(entry.key_span, *key));
                continue;
            }
            let known = refdata::limits().iter().map(|l| l.key.as_str());
            notes.unknown(&entry.key_span, "limit", entry.key, known, "`roofrun rules` names the limits");
            continue;
        };
        let bounds = match limit.kind {
            Kind::Difference => Bounds::From(0.0, 200.0),
            Kind::Temperature => Bounds::From(200.0, 450.0),
            Kind::Velocity => Bounds::Above(0.0, 300.0),
            Kind::Length => Bounds::From(0.0, 3_000.0),
            Kind::Density => Bounds::Above(0.0, 5_000.0),
            Kind::Level => Bounds::From(0.0, 40.0),
            Kind::Share => Bounds::From(0.0, 1.0),
            Kind::Ratio => Bounds::From(0.0, 100.0),
            Kind::Hours => Bounds::From(0.0, 8_784.0),
            _ => Bounds::From(0.0, 1e8),
        };
        let value = match limit.kind {
            Kind::Ratio | Kind::Share | Kind::Hours => notes.number_of(entry.key, entry.value, &entry.span, bounds),
            kind => notes.quantity_of(entry.key, entry.value, &entry.span, kind, bounds),
        };
        limits.extend(value.map(|v| (entry.key.to_owned(), v)));
    }
    limits
}

fn rooms(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<Room> {
    let mut names = Names::default();
    let tables = notes.tables(root, "room");
    let rooms = tables.into_iter().filter_map(|table| {
        // A name whose volume is faulty still stands, so that the runs that pass through are not told of it.
        let name = names.take(notes, &table, "rooms")?.to_owned();
        let volume = notes.need(&table, "volume");
        let ventilation = notes.get(&table, "ventilation");
        let occupied = notes.flag(&table, "occupied").unwrap_or(true);
        let machinery_room = notes.flag(&table, "machinery_room").unwrap_or(false);
        Some(Room { name, volume, occupied, machinery_room, ventilation, detector: notes.flag(&table, "detector") })
    });
    rooms.collect()
}

fn points(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<OwnPoint> {
    let mut points: Vec<OwnPoint> = Vec::new();
    for table in notes.tables(root, "point") {
        let outdoor = notes.need(&table, "outdoor");
        let (share, bypass) = (notes.need(&table, "share"), notes.flag(&table, "bypass"));
        let Some(name) = notes.text(&table, "name") else { continue };
        if STANDARD_POINTS.contains(&name) || points.iter().any(|point| point.name == name) {
            notes.fault(Fault::new(table.span_of("name"), format!("another operating point is called `{name}`")));
        }
        points.push(OwnPoint { name: name.to_owned(), outdoor, share, bypass: bypass.unwrap_or(false) });
    }
    points
}

fn tubes(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<Tube> {
    let mut tubes: Vec<Tube> = Vec::new();
    for table in notes.tables(root, "tube") {
        let (outside, wall) = (notes.get(&table, "outside"), notes.get(&table, "wall"));
        let (rated, allowable) = (notes.get(&table, "rated"), notes.get(&table, "allowable"));
        if table.has("rated") && table.has("allowable") {
            let fault = Fault::new(table.span_of("allowable"), "both `rated` and `allowable` are given");
            notes.fault(fault.expected("one of them: the rating, or the stress that it follows from"));
        }
        let Some(name) = notes.text(&table, "name") else { continue };
        if refdata::tube(name).is_some() || tubes.iter().any(|t| t.name == name) {
            notes.fault(Fault::new(table.span_of("name"), format!("another tube is called `{name}`")));
        }
        if outside.zip(wall).is_some_and(|(outside, wall)| 2.0 * wall >= outside) {
            let fault = Fault::new(table.span_of("wall"), "walls so thick leave no bore");
            notes.fault(fault.expected("less than half of `outside`"));
        }
        // A name whose sizes are faulty still stands, so that the runs of it are not told of it.
        let (outside, wall) = (outside.unwrap_or_else(|| metres(0.028)), wall.unwrap_or_else(|| metres(0.001)));
        if rated.is_none() {
            notes.follows(&table, "wall", wall.value);
        }
        tubes.push(Tube {
            name: name.to_owned(),
            kind: String::new(),
            outside,
            wall,
            outside_max: outside,
            wall_min: wall,
            roughness: metres(1.5e-6),
            material: Material::Copper,
            rated,
            allowable,
            source: "user".to_owned(),
        });
    }
    tubes
}

/// The circuits that could be read, and the names of all that are drawn.
fn circuits<'a>(notes: &mut Notes<'_>, root: &Table<'a>, known: &Known) -> (Vec<Circuit>, Vec<&'a str>) {
    let tables = notes.tables(root, "circuit");
    if tables.is_empty() && !root.has("circuit") {
        let end = notes.text.len();
        let fault = Fault::new(end..end, "no circuit is drawn");
        notes.structural(fault.expected("[[circuit]] with its two lines belongs here"));
    } else if tables.is_empty() && root.get("circuit").is_some_and(|e| e.value.is_array()) {
        notes.fault(Fault::new(root.span_of("circuit"), "no circuit is drawn").expected("one or more"));
    }
    let mut names = Names::default();
    let mut circuits = Vec::with_capacity(tables.len());
    for mut table in tables {
        let name = names.take(notes, &table, "circuits");
        circuits.extend(circuit::circuit(notes, &mut table, name, known));
    }
    (circuits, names.all())
}
