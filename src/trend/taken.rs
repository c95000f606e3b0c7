//! What each column is taken for: by what is said of it, by its name, its unit and whether its numbers go with the machine.

use super::exchanged::{EXCHANGEABLE, exchange};
use super::point::compressor_by_number;
use super::sampled::{Sampled, Scene, note, runs, runs_by_raw};
use super::scan::{Held, Scan};
use super::table::Unusable;
use super::unit::{linear, tidy, unit_in, usual};
use super::whose::Labels;
use crate::job::{ColumnSaid, Measured, Point, Reading};
use crate::units::{Kind, System};
use std::collections::BTreeMap;

/// So long a value that is logged on change holds where nothing is said, s.
pub const HOLD: f64 = 900.0;
/// So long a value of a column that is logged regularly holds at most, s: an hour and a bit.
const HOLD_REGULAR: f64 = 4_000.0;
/// A state that is logged on change stands in less than one of so many rows.
const SPARSE: u64 = 4;
/// So near to its usual value a temperature lies in another unit than it says, where it is taken in that, K.
const NEAR_USUAL: f64 = 10.0;
/// What a factor costs against another unit where no unit is said, K.
const FACTOR: f64 = 10.0;

/// A column as it is taken.
#[derive(Clone, Debug)]
pub struct Column {
    /// Counted from 1, as a spreadsheet has it; the points of a long file in the order in which they come.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// What it is; none where it is left out.
    pub point: Option<Point>,
    /// Its unit as written.
    pub unit: String,
    /// SI value = first + second times the number.
    pub to_si: [f64; 2],
    /// How long a value holds, s.
    pub hold: f64,
    /// A state that is logged where it changes: held until its next value, as long as others go on.
    pub on_change: bool,
    /// Least and greatest value, SI.
    pub range: Option<[f64; 2]>,
    /// Values, faults (words and numbers that are none), and cells that say that there is none.
    pub counts: [u64; 3],
    /// Stretches in which it says nothing: stuck, or in another unit; s.
    pub out: Vec<[i64; 2]>,
}

/// All columns, and what is to be told of them.
pub struct Columns {
    /// In the order of the file.
    pub all: Vec<Column>,
    /// What was taken otherwise than it stands there, each in a line.
    pub told: Vec<String>,
}

/// What a column's numbers mean, found.
struct Meaning {
    unit: String,
    to_si: [f64; 2],
    told: Option<String>,
    /// It can't be what it is said to be.
    impossible: bool,
}

/// The other unit of temperatures.
fn other_degree(unit: &str, measured: Measured) -> Option<&'static str> {
    match (measured, tidy(unit).as_str()) {
        (Measured::Quantity(Kind::Temperature), "F") => Some("°C"),
        (Measured::Quantity(Kind::Temperature), "°C") => Some("F"),
        _ => None,
    }
}

/// `odd_one`: whether it may be in another unit of temperatures than it says, as others show that the pressures can be believed.
fn meaning(
    sampled: &Sampled<'_>,
    column: usize,
    point: Point,
    (said, odd_one): (Option<&str>, bool),
    given: &ColumnSaid,
) -> Meaning {
    let scene = sampled.scene;
    let (measured, atmosphere) = (point.measured(), scene.job.site.atmosphere.pascals());
    let all = usual(measured, sampled.temperatures);
    let first = said.or(all.first().copied()).unwrap_or_default();
    let scale = given.scale.unwrap_or(1.0);
    let scaled = |unit: &str, scale: f64| {
        linear(measured, unit, atmosphere).map(|[zero, slope]| (unit.to_owned(), scale, [zero, slope * scale]))
    };
    let found = |unit: String, to_si: [f64; 2], told: Option<String>, impossible: bool| Meaning {
        unit,
        to_si,
        told,
        impossible,
    };
    let Some((unit, _, to_si)) = scaled(first, scale) else { return found(String::new(), [0.0, scale], None, false) };
    let fits = |to_si: [f64; 2]| sampled.off(column, point, to_si).is_none_or(|[off, _]| off <= 0.0);
    let possible = sampled.alone(column, point, to_si);
    let other = said.filter(|_| possible && odd_one).and_then(|said| other_degree(said, measured));
    let nearer = other.and_then(|other| scaled(other, scale)).filter(|(.., to_si)| {
        sampled.off(column, point, *to_si).is_some_and(|[off, usual]| off <= 0.0 && usual < NEAR_USUAL)
    });
    let given = given.scale.is_some() || given.unit.is_some();
    // What a head says holds, as long as the numbers are possible in it and no other reading has to be believed instead.
    if fits(to_si) || given || (said.is_some() && possible && nearer.is_none()) {
        let bare = said.is_some_and(|unit| ["psi", "bar", "kPa", "MPa"].contains(&tidy(unit).as_str()));
        let guessed = said.is_none() && measured != Measured::Count;
        let told = if bare {
            Some(format!("{unit} as gauge"))
        } else if guessed {
            Some(format!("no unit is said: taken as {unit}"))
        } else {
            None
        };
        return found(unit, to_si, told, !possible && !fits(to_si));
    }
    let mut candidates = Vec::new();
    // Only what is impossible by itself is supposed to be off by a factor.
    for scale in if possible { &[1.0][..] } else { &[1.0, 0.1, 10.0, 0.01] }.iter().copied() {
        let units = std::iter::once(first).chain(all.iter().copied().filter(|unit| *unit != first));
        candidates.extend(units.filter_map(|unit| scaled(unit, scale)));
    }
    let far = |(_, scale, to_si): &(String, f64, [f64; 2])| {
        let factor = if said.is_none() && (*scale - 1.0).abs() > 1e-9 { FACTOR } else { 0.0 };
        sampled.off(column, point, *to_si).map_or(f64::INFINITY, |[_, from_usual]| from_usual + factor)
    };
    let best = candidates.into_iter().filter(|(.., to_si)| fits(*to_si)).min_by(|a, b| far(a).total_cmp(&far(b)));
    match best {
        Some((better, scale, to_si)) => {
            let times = match scale {
                s if s < 0.05 => " and a hundred times too much",
                s if s < 0.5 => " and ten times too much",
                s if s > 5.0 => " and a tenth",
                _ => "",
            };
            let told = match said {
                Some(said) => format!("its numbers are none in {}: taken as {better}{times}", tidy(said)),
                None => format!("no unit is said: taken as {better}{times}"),
            };
            found(better, to_si, Some(told), false)
        }
        None => found(unit, to_si, None, true),
    }
}

/// Points that several columns may be at once.
const ADD_UP: &[Point] = &[Point::Running, Point::FansTurn, Point::Of(Reading::Power), Point::Amps];

/// Leaves of several columns of one point the one that speaks of the circuit, else the first.
fn one_each(points: &mut [Option<Point>], names: &[String], scene: &Scene<'_>, told: &mut Vec<String>) {
    let labels = Labels::new(scene);
    let mut seen: BTreeMap<Point, usize> = BTreeMap::new();
    for column in 0..points.len() {
        let Some(point) = points[column].filter(|point| !ADD_UP.contains(point)) else { continue };
        let Some(&before) = seen.get(&point) else {
            seen.insert(point, column);
            continue;
        };
        let rank = |column: usize| (scene.said.contains_key(&names[column]), labels.is_own(&names[column]));
        let (kept, left) = if rank(column) > rank(before) { (column, before) } else { (before, column) };
        points[left] = None;
        seen.insert(point, kept);
        told.push(format!(
            "column {} `{}` would be {} too: {} `{}` is taken; [columns] says otherwise",
            left + 1,
            names[left],
            point.says(),
            kept + 1,
            names[kept]
        ));
    }
}

/// Takes the temperatures of one unit to be in the other where most of them only go with the pressures so; how many others show by
/// their own unit that the pressures can be believed.
fn degrees(
    points: &[Option<Point>],
    units: &mut [Option<String>],
    names: &[String],
    sampled: &Sampled<'_>,
    told: &mut Vec<String>,
) -> usize {
    let kind = Measured::Quantity(Kind::Temperature);
    let mut believed = 0;
    for (says, other) in [("F", "°C"), ("°C", "F")] {
        let is = |column: &usize| {
            let free = sampled.scene.said.get(&names[*column]).is_none_or(|given| given.unit.is_none());
            let unit = units[*column].as_deref().is_some_and(|unit| tidy(unit) == says);
            free && unit && points[*column].is_some_and(|point| point.measured() == kind)
        };
        let columns: Vec<usize> = (0..points.len()).filter(is).collect();
        let fits = |column: usize, unit: &str| {
            let off = points[column].zip(linear(kind, unit, 0.0));
            off.and_then(|(point, to_si)| sampled.off(column, point, to_si)).map(|[off, _]| off <= 0.0)
        };
        let only = |one: &str, not: &str| {
            columns
                .iter()
                .filter(|column| fits(**column, one) == Some(true) && fits(**column, not) == Some(false))
                .count()
        };
        let (as_said, otherwise) = (only(says, other), only(other, says));
        if columns.len() > 2 && otherwise > as_said && 2 * otherwise > columns.len() {
            let numbers: Vec<String> = columns.iter().map(|column| (column + 1).to_string()).collect();
            told.push(format!(
                "columns {}: most of these temperatures can't be in {says} beside the pressures: all taken as {other}",
                numbers.join(", ")
            ));
            for column in columns {
                units[column] = Some(other.to_owned());
            }
            believed += otherwise;
        } else {
            believed += as_said;
        }
    }
    believed
}

/// How shares and counts are written; `one_of`: whether it is one of several machines, or said to be one that runs.
fn of_share(point: Point, held: &Held, said: Option<&str>, one_of: bool) -> (Point, [f64; 2], &'static str) {
    let most = held.range.map_or(0.0, |[_, most]| most);
    let percent = held.percents > 0 || said.is_some_and(|unit| tidy(unit) == "%");
    let machine = matches!(point, Point::Running | Point::FansTurn);
    match point.measured() {
        // Each in per cent of itself: 100 % is one that runs.
        Measured::Count if machine && one_of && (percent || most > 24.0) => (point, [0.0, 0.01], "%"),
        Measured::Count if matches!(point, Point::Running) && (percent || most > 12.0) => {
            (Point::Share, [0.0, 0.01], "%")
        }
        Measured::Count if matches!(point, Point::FansTurn) && (percent || most > 24.0) => {
            (Point::Of(Reading::Fans), [0.0, 0.01], "%")
        }
        Measured::Count => (point, [0.0, 1.0], if held.states > 0 { "on/off" } else { "" }),
        _ if most > 105.0 && most <= 1_005.0 => (point, [0.0, 0.001], "0.1 %"),
        _ if percent || most > 1.05 => (point, [0.0, 0.01], "%"),
        _ => (point, [0.0, 1.0], ""),
    }
}

/// Whether a column is a state that is logged where it changes and nowhere else.
fn on_change(held: &Held, point: Option<Point>, scan: &Scan<'_>) -> bool {
    let state = matches!(point, Some(Point::Running | Point::Share | Point::FansTurn | Point::Bypass));
    let cells = held.values + held.missing + held.faults;
    state && held.values > 0 && SPARSE * cells < scan.times && 2 * held.repeats <= held.values
}

/// How long a value holds where nothing is said, s.
#[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
fn hold_of(held: &Held) -> f64 {
    let regular = held.steps.regular().map_or(0.0, |step| 1.2 * step as f64);
    HOLD.max(regular.min(HOLD_REGULAR))
}

/// What each column of a file is taken for; `second` are the units of a second row or column.
///
/// # Errors
/// [`Unusable`] where it is unsure of which circuit they are.
pub fn take(scan: &Scan<'_>, names: &[String], second: &[String], scene: &Scene<'_>) -> Result<Columns, Unusable> {
    let (mut points, circuit) = Labels::new(scene).points(names)?;
    let mut told: Vec<String> = circuit.into_iter().collect();
    points.resize(scan.held.len(), None);
    for ((point, held), name) in points.iter_mut().zip(&scan.held).zip(names) {
        let switched = held.states > 0 || held.range.is_some_and(|[least, most]| least >= 0.0 && most <= 1.0);
        if point.is_none() && switched && compressor_by_number(name) && !scene.said.contains_key(name) {
            *point = Some(Point::Running);
        }
    }
    one_each(&mut points, names, scene, &mut told);
    let said = |column: usize, point: Point| -> Option<String> {
        let given = scene.said.get(&names[column]).and_then(|given| given.unit.clone());
        let beside = second.get(column).filter(|unit| linear(point.measured(), unit, 0.0).is_some()).cloned();
        let behind =
            Some(&scan.held[column].unit).filter(|unit| linear(point.measured(), unit, 0.0).is_some()).cloned();
        given.or(beside).or_else(|| unit_in(&names[column], point.measured())).or(behind)
    };
    let mut units: Vec<Option<String>> =
        points.iter().enumerate().map(|(column, point)| point.and_then(|point| said(column, point))).collect();
    let mut sampled = Sampled::new(scene, &scan.sample);
    runs_by_raw(&mut sampled, &points, scan.in_unit_of_suction);
    exchange(&mut points, &units, &sampled, EXCHANGEABLE[0], &mut told);
    let mut found: Vec<Option<Meaning>> = points.iter().map(|_| None).collect();
    let nothing = ColumnSaid::default();
    let mut believed = 0;
    for turn in 0..3 {
        for column in 0..points.len() {
            let Some(point) = points[column].filter(|point| turn_of(*point) == turn) else { continue };
            let given = scene.said.get(&names[column]).unwrap_or(&nothing);
            let meaning = meaning(&sampled, column, point, (units[column].as_deref(), believed > 1), given);
            note(&mut sampled, column, point, meaning.to_si);
            found[column] = Some(meaning);
        }
        if turn == 0 {
            runs(&mut sampled);
            one_unit(&mut sampled, &points, &units);
            believed = degrees(&points, &mut units, names, &sampled, &mut told);
            exchange(&mut points, &units, &sampled, EXCHANGEABLE[1], &mut told);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
    let length = scan.length() as f64;
    let several = |point: Point| points.iter().filter(|of| **of == Some(point)).count() > 1;
    let columns = found.into_iter().enumerate().map(|(column, meaning)| {
        let held = &scan.held[column];
        let given = scene.said.get(&names[column]).unwrap_or(&nothing);
        let (mut point, mut to_si, mut unit) = (points[column], [0.0, 1.0], String::new());
        if let (Some(of), Some(meaning)) = (point, meaning) {
            (to_si, unit) = (meaning.to_si, tidy(&meaning.unit));
            if matches!(of.measured(), Measured::Count | Measured::Share) {
                let one_of = several(of) || given.point == Some(of);
                let (of, linear, said) = of_share(of, held, units[column].as_deref(), one_of);
                (point, unit) = (Some(of), said.to_owned());
                to_si = [0.0, linear[1] * given.scale.unwrap_or(1.0)];
            } else if let Some(says) = meaning.told {
                told.push(format!("column {} `{}`: {says}", column + 1, names[column]));
            }
            if meaning.impossible {
                let says = match &given.unit {
                    Some(unit) => format!("its numbers can't be that in {unit}, as [columns] says: left out"),
                    None => "its numbers can't be that in any unit: left out".to_owned(),
                };
                told.push(format!("column {} `{}`, {}: {says}", column + 1, names[column], of.says()));
                point = None;
            }
        }
        let on_change = given.hold.is_none() && on_change(held, point, scan);
        if on_change {
            let says = "logged on change, so each state is held until the next";
            told.push(format!("column {} `{}`: {says}", column + 1, names[column]));
        }
        let si = |value: f64| to_si[0] + to_si[1] * value;
        let range = held.range.filter(|_| point.is_some());
        let slips = held.slips.iter().map(|run| [run.from, run.to]);
        Column {
            number: column + 1,
            name: names[column].clone(),
            point,
            unit,
            to_si,
            hold: given.hold.unwrap_or_else(|| if on_change { length } else { hold_of(held) }),
            on_change,
            range: range.map(|[least, most]| [si(least).min(si(most)), si(least).max(si(most))]),
            counts: [held.values, held.faults, held.missing],
            out: held.stuck.iter().copied().chain(slips).collect(),
        }
    });
    let all = columns.collect();
    Ok(Columns { all, told })
}

/// Temperatures that do not say their unit are taken to be in one: the one that goes better with the pressures.
fn one_unit(sampled: &mut Sampled<'_>, points: &[Option<Point>], units: &[Option<String>]) {
    let kind = Measured::Quantity(Kind::Temperature);
    let off = |system: System| -> f64 {
        let to_si = usual(kind, system).first().and_then(|unit| linear(kind, unit, 0.0)).unwrap_or([0.0, 1.0]);
        let open = points.iter().enumerate().filter(|(column, _)| units[*column].is_none());
        let open =
            open.filter_map(|(column, point)| Some((column, (*point)?))).filter(|(_, point)| point.measured() == kind);
        open.filter_map(|(column, point)| sampled.off(column, point, to_si)).map(|[off, _]| off).sum()
    };
    let other = if sampled.temperatures == System::Ip { System::Si } else { System::Ip };
    if off(other) < off(sampled.temperatures) {
        sampled.temperatures = other;
    }
}

/// Pressures are judged first, then the outdoor air, then the rest by these.
fn turn_of(point: Point) -> u8 {
    match point {
        Point::Of(Reading::DischargePressure | Reading::SuctionPressure)
        | Point::DischargeSaturated
        | Point::SuctionSaturated => 0,
        Point::Of(Reading::Outdoor) => 1,
        _ => 2,
    }
}
