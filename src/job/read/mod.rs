//! The file as typed into the job as meant.

mod circuit;
mod compressors;
mod condenser;
mod line;
mod map;
mod part;
mod plant;
mod roof;
mod run;
mod site;

use super::fault::{Fault, Faults, Recovery};
use super::keys::{CIRCUIT, FILE, JOB, POINT, ROOM, TUBE};
use super::notes::{MOST_FAULTS, Notes};
use super::table::{Bounds, Table};
use super::{Concerns, Job, OwnPoint, Room, keys, syntax};
use crate::refdata::{self, LimitKind, Material, Tube};
use crate::units::{Kind, System, Temperature, cubic_metres, metres, pascals};
use std::collections::BTreeMap;
use std::path::Path;
use toml::de::DeTable;

/// Names of the five standard operating points.
const STANDARD_POINTS: [&str; 5] = ["rating full", "summer full", "summer least", "winter full", "winter least"];

/// Outdoor temperatures that occur where plant stands, -60 to 60 °C.
const OUTDOOR: Bounds = Bounds::From(213.15, 333.15);

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
    let mut notes = Notes {
        text,
        system: System::Ip,
        atmosphere: crate::physics::atmosphere::SEA_LEVEL.pascals(),
        sound: true,
        may_be_open,
        faults: Vec::new(),
        assumptions: Vec::new(),
        concerns: Concerns::Circuits,
    };
    for error in errors.iter().take(MOST_FAULTS) {
        let fault = syntax::fault(text, error);
        notes.sound &= fault.syntax == Some(Recovery::Sound);
        notes.fault(fault);
    }
    let root = Table::new(root.get_ref(), 0..0, &FILE, &[]);
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
    notes.check_keys(root, &FILE, &[]);
    let (title, units) = job(notes, root, file_name);
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
    let roof = roof::roof(notes, root, &roof::Drawn { circuits: &circuits, names: &names });
    notes.concerns = Concerns::Year;
    plant::fans(notes, &circuits, weather.as_deref());
    if circuits.len() == names.len() {
        plant::spare(notes, root, &circuits);
    }
    Some(Job {
        title,
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

/// What a circuit may refer to.
struct Known {
    rooms: Vec<String>,
    tubes: Vec<Tube>,
}

fn job(notes: &mut Notes<'_>, root: &Table<'_>, file_name: &str) -> (String, System) {
    let table = notes.table(root, "job", &JOB);
    let stem = || Path::new(file_name).file_stem().map_or_else(|| file_name.to_owned(), |s| s.to_string_lossy().into());
    let Some(table) = table else { return (stem(), System::Ip) };
    notes.check_keys(&table, &JOB, keys::HOMES);
    let units = notes.choice(&table, "units", &[("ip", System::Ip), ("si", System::Si)]);
    let title = notes.text(&table, "title").map_or_else(stem, str::to_owned);
    (title, units.unwrap_or_default())
}

fn limits(notes: &mut Notes<'_>, root: &Table<'_>) -> BTreeMap<String, f64> {
    let mut limits = BTreeMap::new();
    let Some(entry) = root.get("limits") else { return limits };
    let Some(table) = entry.value.as_table() else {
        notes.fault(Fault::new(entry.span, "`limits` is a table of limits"));
        return limits;
    };
    for entry in Table::of_names(table, entry.span, "[limits]").entries() {
        let Some(limit) = refdata::limit(entry.key) else {
            let known = refdata::limits().iter().map(|l| l.key.as_str());
            notes.unknown(&entry.key_span, "limit", entry.key, known, "`roofrun rules` names the limits");
            continue;
        };
        let (kind, bounds) = match limit.kind {
            LimitKind::Difference => (Kind::Difference, Bounds::From(0.0, 200.0)),
            LimitKind::Temperature => (Kind::Temperature, Bounds::From(200.0, 450.0)),
            LimitKind::Velocity => (Kind::Velocity, Bounds::Above(0.0, 300.0)),
            LimitKind::Length => (Kind::Length, Bounds::From(0.0, 3_000.0)),
            LimitKind::Density => (Kind::Density, Bounds::Above(0.0, 5_000.0)),
            LimitKind::PressureDifference => (Kind::PressureDifference, Bounds::From(0.0, 1e8)),
            LimitKind::Level => (Kind::Level, Bounds::From(0.0, 40.0)),
            plain @ (LimitKind::Ratio | LimitKind::Share | LimitKind::Hours) => {
                let most = match plain {
                    LimitKind::Hours => 8_784.0,
                    LimitKind::Share => 1.0,
                    _ => 100.0,
                };
                let number = notes.number_of(entry.key, entry.value, &entry.span, Bounds::From(0.0, most));
                limits.extend(number.map(|n| (entry.key.to_owned(), n)));
                continue;
            }
        };
        let value = notes.quantity_of(entry.key, entry.value, &entry.span, kind, bounds);
        limits.extend(value.map(|v| (entry.key.to_owned(), v)));
    }
    limits
}

fn rooms(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<Room> {
    let mut rooms: Vec<Room> = Vec::new();
    for table in notes.tables(root, "room", &ROOM) {
        notes.check_keys(&table, &ROOM, keys::HOMES);
        let name = notes.text(&table, "name");
        let volume = notes.quantity(&table, "volume", Kind::RoomVolume, Bounds::Above(0.0, 1e7));
        let occupied = notes.flag(&table, "occupied");
        let Some(name) = name else { continue };
        if rooms.iter().any(|r| r.name == name) {
            notes.fault(Fault::new(table.span_of("name"), format!("two rooms are called `{name}`")));
        }
        if !table.has("occupied") {
            notes.assume(format!("room {name}.occupied"), 1.0, "-", "taken to be occupied", "roofrun");
        }
        // A name whose volume is faulty still stands, so that the runs that pass through are not told of it.
        let volume = cubic_metres(volume.unwrap_or(1.0));
        rooms.push(Room { name: name.to_owned(), volume, occupied: occupied.unwrap_or(true) });
    }
    rooms
}

fn points(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<OwnPoint> {
    let mut points: Vec<OwnPoint> = Vec::new();
    for table in notes.tables(root, "point", &POINT) {
        notes.check_keys(&table, &POINT, keys::HOMES);
        let name = notes.text(&table, "name");
        let outdoor = notes.quantity(&table, "outdoor", Kind::Temperature, OUTDOOR);
        let share = notes.number(&table, "share", Bounds::Above(0.0, 1.0));
        let bypass = notes.flag(&table, "bypass");
        let Some(name) = name else { continue };
        let taken = STANDARD_POINTS.contains(&name) || points.iter().any(|p| p.name == name);
        if taken {
            notes.fault(Fault::new(table.span_of("name"), format!("another operating point is called `{name}`")));
        }
        if !table.has("share") {
            notes.assume(format!("point {name}.share"), 1.0, "-", "all compressors run", "roofrun");
        }
        if !table.has("bypass") {
            notes.assume(format!("point {name}.bypass"), 0.0, "-", "the hot-gas bypass is shut", "roofrun");
        }
        let Some(outdoor) = outdoor else { continue };
        points.push(OwnPoint {
            name: name.to_owned(),
            outdoor: Temperature::from_kelvin(outdoor),
            share: share.unwrap_or(1.0),
            bypass: bypass.unwrap_or(false),
        });
    }
    points
}

fn tubes(notes: &mut Notes<'_>, root: &Table<'_>) -> Vec<Tube> {
    let mut tubes: Vec<Tube> = Vec::new();
    for table in notes.tables(root, "tube", &TUBE) {
        notes.check_keys(&table, &TUBE, keys::HOMES);
        let name = notes.text(&table, "name");
        let outside = notes.quantity(&table, "outside", Kind::SmallLength, Bounds::Above(0.0, 1.0));
        let wall = notes.quantity(&table, "wall", Kind::SmallLength, Bounds::Above(0.0, 0.1));
        let rated = notes.quantity(&table, "rated", Kind::Rating, Bounds::Above(0.0, 1e8));
        let allowable = notes.quantity(&table, "allowable", Kind::Stress, Bounds::Above(0.0, 1e9));
        if table.has("rated") && table.has("allowable") {
            let fault = Fault::new(table.span_of("allowable"), "both `rated` and `allowable` are given");
            notes.fault(fault.expected("one of them: the rating, or the stress that it follows from"));
        }
        let Some(name) = name else { continue };
        if refdata::tube(name).is_some() || tubes.iter().any(|t| t.name == name) {
            notes.fault(Fault::new(table.span_of("name"), format!("another tube is called `{name}`")));
        }
        if let (Some(outside), Some(wall)) = (outside, wall)
            && 2.0 * wall >= outside
        {
            notes.fault(
                Fault::new(table.span_of("wall"), "walls so thick leave no bore")
                    .expected("less than half of `outside`"),
            );
        }
        if !table.has("rated") {
            let why = "nominal wall and diameter are taken: no tolerance is known";
            notes.assume(format!("tube {name}.wall"), wall.unwrap_or_default(), "m", why, "roofrun");
        }
        // A name whose sizes are faulty still stands, so that the runs of it are not told of it.
        let (outside, wall) = (metres(outside.unwrap_or(0.028)), metres(wall.unwrap_or(0.001)));
        tubes.push(Tube {
            name: name.to_owned(),
            kind: String::new(),
            outside,
            wall,
            outside_max: outside,
            wall_min: wall,
            roughness: metres(1.5e-6),
            material: Material::Copper,
            rated: rated.map(pascals),
            allowable: allowable.map(pascals),
            source: "user".to_owned(),
        });
    }
    tubes
}

/// The circuits that could be read, and the names of all that are drawn.
fn circuits<'a>(notes: &mut Notes<'_>, root: &Table<'a>, known: &Known) -> (Vec<super::Circuit>, Vec<&'a str>) {
    let tables = notes.tables(root, "circuit", &CIRCUIT);
    if tables.is_empty() && !root.has("circuit") {
        let end = notes.text.len();
        notes.structural(
            Fault::new(end..end, "no circuit is drawn").expected("[[circuit]] with its two lines belongs here"),
        );
    } else if tables.is_empty() && root.get("circuit").is_some_and(|e| e.value.is_array()) {
        notes.fault(Fault::new(root.span_of("circuit"), "no circuit is drawn").expected("at least one"));
    }
    let mut names: Vec<(&str, usize)> = Vec::new();
    let mut circuits = Vec::with_capacity(tables.len());
    for table in &tables {
        if let Some(entry) = table.get("name")
            && let Some(name) = entry.value.as_str()
        {
            if let Some((_, line)) = names.iter().find(|(other, _)| *other == name) {
                let fault = Fault::new(entry.span.clone(), format!("two circuits are called `{name}`"));
                notes.fault(fault.expected(format!("taken on line {line}")));
            }
            names.push((name, super::fault::line_of(notes.text, entry.span.start)));
        }
        circuits.extend(circuit::circuit(notes, table, known));
    }
    (circuits, names.into_iter().map(|(name, _)| name.trim()).collect())
}
