//! What each column is taken for: by what is said of it, by its name, its unit and whether its numbers go with the machine.

use super::point::{named, words};
use super::scan::{Held, Scan};
use super::unit::{linear, tidy, unit_in, usual};
use crate::job::{Circuit, ColumnSaid, Evaporating, Job, Measured, Performance, Point, Reading};
use crate::refrigerant::Refrigerant;
use crate::units::{Kind, System};
use std::collections::BTreeMap;

/// So long a value that is logged on change holds where nothing is said, s.
pub const HOLD: f64 = 900.0;
/// Temperatures that a machine that runs can condense and evaporate at, K.
const CONDENSING: [f64; 2] = [278.0, 346.0];
const EVAPORATING: [f64; 2] = [233.0, 296.0];
/// Condensing over outdoor that is looked for where a unit is open, K.
const USUAL_SPLIT: f64 = 12.0;
/// What a factor costs against another unit where no unit is said, K.
const FACTOR: f64 = 10.0;
/// By so much two columns have to be the wrong way round to be exchanged, K.
const EXCHANGED: f64 = 0.5;

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

/// What columns are judged by.
pub struct Scene<'a> {
    /// The job.
    pub job: &'a Job,
    /// The circuit.
    pub circuit: &'a Circuit,
    /// Its refrigerant.
    pub fluid: &'static Refrigerant,
    /// What is said of columns, by name.
    pub said: &'a BTreeMap<String, ColumnSaid>,
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|value| value.is_finite());
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// What is known of each row of the sample.
struct Sampled<'a> {
    scene: &'a Scene<'a>,
    rows: &'a [(i64, Vec<f64>)],
    running: Vec<bool>,
    condensing: Vec<f64>,
    evaporating: Vec<f64>,
    outdoor: Vec<f64>,
    /// The system whose unit temperatures are in where they do not say it.
    temperatures: System,
}

impl<'a> Sampled<'a> {
    fn new(scene: &'a Scene<'a>, rows: &'a [(i64, Vec<f64>)]) -> Self {
        let nothing = vec![f64::NAN; rows.len()];
        Self {
            scene,
            rows,
            running: vec![true; rows.len()],
            condensing: nothing.clone(),
            evaporating: nothing.clone(),
            outdoor: nothing,
            temperatures: scene.job.units,
        }
    }

    fn raw(&self, column: usize) -> impl Iterator<Item = f64> + '_ {
        self.rows.iter().map(move |(_, row)| row.get(column).copied().unwrap_or(f64::NAN))
    }

    /// The usual value of a column while the machine runs, as something makes of it and of the row.
    fn usually(&self, column: usize, of: impl Fn(f64, usize) -> f64) -> Option<f64> {
        let running = self.raw(column).enumerate().filter(|(row, _)| self.running[*row]);
        median(running.map(|(row, value)| of(value, row)).collect())
    }

    /// How far a column's usual value is from where it may lie and from where it usually lies, with those units; none where nothing
    /// can be said.
    fn off(&self, column: usize, point: Point, [zero, slope]: [f64; 2]) -> Option<[f64; 2]> {
        use Reading::{
            AirOff, AirOn, DischargePressure, DischargeTemperature, DrierOut, EnteringFluid, LeavingFluid,
            LiquidPressure, LiquidTemperature, Outdoor, Power, SuctionPressure, SuctionTemperature, ValvePressure,
            ValveTemperature,
        };
        let si = |value: f64| zero + slope * value;
        let fluid = self.scene.fluid;
        let dew = |value: f64| fluid.dew_temperature(si(value)).unwrap_or(if si(value) > 2e6 { 1e3 } else { 0.0 });
        let usual_condensing = self.outdoor_by_itself() + USUAL_SPLIT;
        let usual_evaporating = match self.scene.circuit.evaporator.evaporating {
            Evaporating::Approach { leaving, .. } => leaving.kelvin() - 3.0,
            Evaporating::Held(held) => held.kelvin(),
        };
        let rated = match &self.scene.circuit.compressors.performance {
            Performance::Rating { power, .. } => power.value,
            Performance::Map(_) => 0.0,
        };
        let (value, window, usual) = match point {
            Point::Of(DischargePressure) => (self.usually(column, |v, _| dew(v)), CONDENSING, usual_condensing),
            Point::DischargeSaturated => (self.usually(column, |v, _| si(v)), CONDENSING, usual_condensing),
            Point::Of(SuctionPressure) => (self.usually(column, |v, _| dew(v)), EVAPORATING, usual_evaporating),
            Point::SuctionSaturated => (self.usually(column, |v, _| si(v)), EVAPORATING, usual_evaporating),
            Point::Of(LiquidPressure | ValvePressure) => {
                (self.usually(column, |v, row| dew(v) - self.condensing[row]), [-20.0, 12.0], 0.0)
            }
            Point::Of(Outdoor) => (self.usually(column, |v, row| self.condensing[row] - si(v)), [-2.0, 48.0], 12.0),
            Point::Of(DischargeTemperature) => {
                (self.usually(column, |v, row| si(v) - self.condensing[row]), [-4.0, 85.0], 25.0)
            }
            Point::Of(LiquidTemperature | ValveTemperature | DrierOut) => {
                (self.usually(column, |v, row| self.condensing[row] - si(v)), [-4.0, 42.0], 6.0)
            }
            Point::Of(SuctionTemperature) => {
                (self.usually(column, |v, row| si(v) - self.evaporating[row]), [-6.0, 32.0], 6.0)
            }
            Point::Of(EnteringFluid | LeavingFluid) => {
                (self.usually(column, |v, row| si(v) - self.evaporating[row]), [-2.0, 30.0], 6.0)
            }
            Point::Of(AirOn) => (self.usually(column, |v, row| si(v) - self.outdoor[row]), [-9.0, 25.0], 1.0),
            Point::Of(AirOff) => (self.usually(column, |v, row| si(v) - self.outdoor[row]), [-5.0, 40.0], 9.0),
            Point::Superheat | Point::Subcooling => (self.usually(column, |v, _| si(v)), [-8.0, 40.0], 6.0),
            Point::Of(Power) if rated > 0.0 => {
                (self.usually(column, |v, _| (si(v) / rated).ln() * 10.0), [-35.0, 12.0], 0.0)
            }
            _ => return None,
        };
        let value = value?;
        Some([(window[0] - value).max(value - window[1]).max(0.0), (value - usual).abs()])
    }

    /// The outdoor temperature before its unit is sure.
    fn outdoor_by_itself(&self) -> f64 {
        median(self.outdoor.clone()).filter(|kelvin| (233.0..330.0).contains(kelvin)).unwrap_or(303.0)
    }
}

/// What a column's numbers mean, found.
struct Meaning {
    unit: String,
    to_si: [f64; 2],
    told: Option<String>,
    /// It can't be what it is said to be.
    impossible: bool,
}

fn meaning(sampled: &Sampled<'_>, column: usize, point: Point, said: Option<&str>, given: &ColumnSaid) -> Meaning {
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
    if fits(to_si) || given.scale.is_some() || given.unit.is_some() {
        let bare = said.is_some_and(|unit| ["psi", "bar", "kPa", "MPa"].contains(&tidy(unit).as_str()));
        let guessed = said.is_none() && measured != Measured::Count;
        let told = if bare {
            Some(format!("{unit} as gauge"))
        } else if guessed {
            Some(format!("no unit is said: taken as {unit}"))
        } else {
            None
        };
        return found(unit, to_si, told, !fits(to_si));
    }
    let mut candidates = Vec::new();
    for scale in [1.0, 0.1, 10.0, 0.01] {
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

/// Whether a name speaks of another circuit of the job, and of this one.
fn circuits(name: &str, scene: &Scene<'_>) -> [bool; 2] {
    let words = words(name);
    let speaks = |circuit: &str| {
        let circuit = circuit.to_lowercase();
        let alone = circuit.chars().any(char::is_alphabetic) && circuit.len() > 1;
        words.iter().enumerate().any(|(at, word)| {
            let labelled = at
                .checked_sub(1)
                .and_then(|before| words.get(before))
                .is_some_and(|before| ["circuit", "ckt", "cct", "circ"].contains(&before.as_str()));
            (*word == circuit && (alone || labelled))
                || ["circuit", "ckt", "cct", "circ"].iter().any(|label| *word == format!("{label}{circuit}"))
        })
    };
    let others = scene.job.circuits.iter().filter(|other| other.name != scene.circuit.name);
    [others.into_iter().any(|other| speaks(&other.name)), speaks(&scene.circuit.name)]
}

/// What a column is by what is said of it, else by its name.
pub fn point_of(name: &str, scene: &Scene<'_>) -> Option<Point> {
    if let Some(given) = scene.said.get(name) {
        return given.point;
    }
    let [other, this] = circuits(name, scene);
    if other && !this { None } else { named(name) }
}

/// Points that several columns may be at once.
const ADD_UP: &[Point] = &[Point::Running, Point::FansTurn, Point::Of(Reading::Power), Point::Amps];

/// Leaves of several columns of one point the one that speaks of the circuit, else the first.
fn one_each(points: &mut [Option<Point>], names: &[String], scene: &Scene<'_>, told: &mut Vec<String>) {
    let mut seen: BTreeMap<Point, usize> = BTreeMap::new();
    for column in 0..points.len() {
        let Some(point) = points[column].filter(|point| !ADD_UP.contains(point)) else { continue };
        let Some(&before) = seen.get(&point) else {
            seen.insert(point, column);
            continue;
        };
        let rank = |column: usize| (scene.said.contains_key(&names[column]), circuits(&names[column], scene)[1]);
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

/// Exchanges columns that stand the wrong way round.
fn exchange(points: &mut [Option<Point>], units: &[Option<String>], sampled: &Sampled<'_>, told: &mut Vec<String>) {
    let of = Point::Of;
    let pairs = [
        [of(Reading::DischargePressure), of(Reading::SuctionPressure)],
        [of(Reading::DischargeTemperature), of(Reading::SuctionTemperature)],
        [of(Reading::EnteringFluid), of(Reading::LeavingFluid)],
        [Point::DischargeSaturated, Point::SuctionSaturated],
    ];
    for [high, low] in pairs {
        let find = |point: Point| points.iter().position(|of| *of == Some(point));
        let (Some(a), Some(b)) = (find(high), find(low)) else { continue };
        let (Some(above), Some(below)) = (sampled.usually(a, |v, _| v), sampled.usually(b, |v, _| v)) else { continue };
        let tidied = |column: usize| units.get(column).and_then(Option::as_deref).map(tidy);
        if tidied(a) != tidied(b) || above + EXCHANGED >= below {
            continue;
        }
        // Pressures may be far apart for another reason: an order, or units that are not said.
        let fit = |of: [(usize, Point); 2]| {
            of.into_iter().all(|(column, point)| {
                let measured = point.measured();
                let unit = tidied(column).or(usual(measured, sampled.scene.job.units).first().map(|unit| tidy(unit)));
                let to_si = unit.and_then(|unit| linear(measured, &unit, sampled.scene.job.site.atmosphere.pascals()));
                to_si.is_some_and(|to_si| sampled.off(column, point, to_si).is_none_or(|[off, _]| off <= 0.0))
            })
        };
        if !fit([(a, high), (b, low)]) && fit([(a, low), (b, high)]) || turn_of(high) > 0 {
            points.swap(a, b);
            told.push(format!(
                "columns {} and {} are exchanged: {} would be below {}; taken the other way round",
                a.min(b) + 1,
                a.max(b) + 1,
                high.says(),
                low.says()
            ));
        }
    }
}

/// How shares and counts are written.
fn of_share(point: Point, held: &Held, said: Option<&str>) -> (Point, [f64; 2], &'static str) {
    let most = held.range.map_or(0.0, |[_, most]| most);
    let percent = held.percents > 0 || said.is_some_and(|unit| tidy(unit) == "%");
    match point.measured() {
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

/// What each column of a file is taken for; `second` are the units of a second row or column.
pub fn take(scan: &Scan<'_>, names: &[String], second: &[String], scene: &Scene<'_>) -> Columns {
    let mut told = Vec::new();
    let mut points: Vec<Option<Point>> = names.iter().map(|name| point_of(name, scene)).collect();
    points.resize(scan.held.len(), None);
    one_each(&mut points, names, scene, &mut told);
    let said = |column: usize, point: Point| -> Option<String> {
        let given = scene.said.get(&names[column]).and_then(|given| given.unit.clone());
        let beside = second.get(column).filter(|unit| linear(point.measured(), unit, 0.0).is_some()).cloned();
        let behind =
            Some(&scan.held[column].unit).filter(|unit| linear(point.measured(), unit, 0.0).is_some()).cloned();
        given.or(beside).or_else(|| unit_in(&names[column], point.measured())).or(behind)
    };
    let units: Vec<Option<String>> =
        points.iter().enumerate().map(|(column, point)| point.and_then(|point| said(column, point))).collect();
    let mut sampled = Sampled::new(scene, &scan.sample);
    runs_by_raw(&mut sampled, &points);
    exchange(&mut points, &units, &sampled, &mut told);
    let mut found: Vec<Option<Meaning>> = points.iter().map(|_| None).collect();
    let nothing = ColumnSaid::default();
    for turn in 0..3 {
        for column in 0..points.len() {
            let Some(point) = points[column].filter(|point| turn_of(*point) == turn) else { continue };
            let given = scene.said.get(&names[column]).unwrap_or(&nothing);
            let meaning = meaning(&sampled, column, point, units[column].as_deref(), given);
            note(&mut sampled, column, point, meaning.to_si);
            found[column] = Some(meaning);
        }
        if turn == 0 {
            runs(&mut sampled);
            one_unit(&mut sampled, &points, &units);
        }
    }
    let columns = found.into_iter().enumerate().map(|(column, meaning)| {
        let held = &scan.held[column];
        let given = scene.said.get(&names[column]).unwrap_or(&nothing);
        let (mut point, mut to_si, mut unit) = (points[column], [0.0, 1.0], String::new());
        if let (Some(of), Some(meaning)) = (point, meaning) {
            (to_si, unit) = (meaning.to_si, tidy(&meaning.unit));
            if matches!(of.measured(), Measured::Count | Measured::Share) {
                let (of, linear, said) = of_share(of, held, units[column].as_deref());
                (point, unit) = (Some(of), said.to_owned());
                to_si = [0.0, linear[1] * given.scale.unwrap_or(1.0)];
            } else if let Some(says) = meaning.told {
                told.push(format!("column {} `{}`: {says}", column + 1, names[column]));
            }
            if meaning.impossible {
                let says = "its numbers can't be that in any unit: left out";
                told.push(format!("column {} `{}`, {}: {says}", column + 1, names[column], of.says()));
                point = None;
            }
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
            hold: given.hold.unwrap_or(HOLD),
            range: range.map(|[least, most]| [si(least).min(si(most)), si(least).max(si(most))]),
            counts: [held.values, held.faults, held.missing],
            out: held.stuck.iter().copied().chain(slips).collect(),
        }
    });
    let all = columns.collect();
    Columns { all, told }
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

/// The machine runs where its two pressures are apart as written.
fn runs_by_raw(sampled: &mut Sampled<'_>, points: &[Option<Point>]) {
    let find = |reading: Reading| points.iter().position(|of| *of == Some(Point::Of(reading)));
    let (Some(high), Some(low)) = (find(Reading::DischargePressure), find(Reading::SuctionPressure)) else { return };
    let apart: Vec<bool> =
        sampled.raw(high).zip(sampled.raw(low)).map(|(a, b)| a.max(b) > 1.3 * a.min(b).max(1e-6)).collect();
    if apart.iter().any(|apart| *apart) {
        sampled.running = apart;
    }
}

/// The machine runs where it condenses well above where it evaporates.
fn runs(sampled: &mut Sampled<'_>) {
    let apart: Vec<bool> =
        sampled.condensing.iter().zip(&sampled.evaporating).map(|(high, low)| high - low > 8.0).collect();
    if apart.iter().any(|apart| *apart) {
        sampled.running = apart;
    }
}

/// Keeps what other columns are judged by.
fn note(sampled: &mut Sampled<'_>, column: usize, point: Point, [zero, slope]: [f64; 2]) {
    let fluid = sampled.scene.fluid;
    let values: Vec<f64> = sampled.raw(column).map(|value| zero + slope * value).collect();
    let dew = |values: &[f64]| values.iter().map(|p| fluid.dew_temperature(*p).unwrap_or(f64::NAN)).collect();
    match point {
        Point::Of(Reading::DischargePressure) => sampled.condensing = dew(&values),
        Point::Of(Reading::SuctionPressure) => sampled.evaporating = dew(&values),
        Point::DischargeSaturated if sampled.condensing.iter().all(|t| t.is_nan()) => sampled.condensing = values,
        Point::SuctionSaturated if sampled.evaporating.iter().all(|t| t.is_nan()) => sampled.evaporating = values,
        Point::Of(Reading::Outdoor) => sampled.outdoor = values,
        _ => {}
    }
}
