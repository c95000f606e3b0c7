//! Remedies as text and for JSON: what is changed, what that does, what it costs.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the other answers")]

use super::row::brief_runs;
use crate::job::{
    Edit, Expansion, HEAD_VALVE, HeadControl, Job, LineId, Path, Receiver, ReceiverStyle, Resistance, Run, SoundPower,
    Traps,
};
use crate::layout::{Align, Grid, Hang, Sheet, style};
use crate::refdata::Tube;
use crate::remedies::{Change, Cost, Effect, Remedy, Whole, edits};
use crate::rules::say::{list, runs};
use crate::units::{Kind, System};
use schemars::JsonSchema;
use serde::Serialize;

/// A remedy as it is written.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RemedyDocument {
    changes: Vec<Edit>,
    resolves: Vec<&'static str>,
    still_fails: Vec<&'static str>,
    newly_fails: Vec<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    newly_cautions: Vec<&'static str>,
    cost: CostDocument,
    says: String,
}

#[derive(Serialize, JsonSchema)]
struct CostDocument {
    copper_kg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    charge_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    power_W: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    capacity_W: Option<f64>,
}

/// A remedy of a job that was read from this text.
pub(crate) fn document(job: &Job, text: &str, remedy: &Remedy) -> RemedyDocument {
    written(job, text, &remedy.changes, &remedy.effect, &remedy.cost)
}

/// The whole remedy.
pub(crate) fn whole_document(job: &Job, text: &str, whole: &Whole) -> RemedyDocument {
    let mut document = written(job, text, &whole.changes, &whole.effect, &whole.cost);
    document.still_fails = left(whole);
    document
}

fn written(job: &Job, text: &str, changes: &[Change], effect: &Effect, cost: &Cost) -> RemedyDocument {
    RemedyDocument {
        changes: edits(job, text, changes),
        resolves: effect.resolves.clone(),
        still_fails: effect.still_fails.clone(),
        newly_fails: effect.newly_fails.clone(),
        newly_cautions: effect.newly_cautions.clone(),
        cost: CostDocument {
            copper_kg: cost.copper_kg,
            charge_kg: cost.charge_kg,
            power_W: cost.power_w,
            capacity_W: cost.capacity_w,
        },
        says: sentence(job, changes),
    }
}

/// The rules that fail with the whole remedy all the same, each once.
#[must_use]
pub(crate) fn left(whole: &Whole) -> Vec<&'static str> {
    let mut rules: Vec<&'static str> = Vec::new();
    for rule in whole.left.iter().flat_map(|(_, rules)| rules) {
        if !rules.contains(rule) {
            rules.push(rule);
        }
    }
    rules
}

/// Changes in a line: `discharge runs 1 and 3: 2-1/8 ACR -> 2 Sch40; receiver 3.2 ft3`.
#[must_use]
pub(crate) fn sentence(job: &Job, changes: &[Change]) -> String {
    let rows = rows(job, changes, false);
    let told = rows.into_iter().map(|row| format!("{}: {}", row.place, row.what));
    told.collect::<Vec<_>>().join("; ")
}

/// What a remedy does to other rules, in a sentence; empty where it harms none.
#[must_use]
pub(crate) fn aside(effect: &Effect) -> String {
    let names = |rules: &[&'static str]| list(rules.iter().map(|rule| (*rule).to_owned()));
    let told = |label: &str, rules: &[&'static str]| {
        if rules.is_empty() { String::new() } else { format!(" {label}: {}.", names(rules)) }
    };
    told("Still fails", &effect.still_fails)
        + &told("Newly fails", &effect.newly_fails)
        + &told("New caution", &effect.newly_cautions)
}

/// A change, or several that are the same, in words.
struct Row {
    circuit: Option<usize>,
    place: String,
    what: String,
    at: Option<(LineId, Vec<usize>)>,
}

/// Changes in words, those of several runs that are the same in one row. `named` puts the circuit's name before the place.
fn rows(job: &Job, changes: &[Change], named: bool) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for change in changes {
        let what = what(job, change);
        let at = change.run();
        let same = rows.iter_mut().find(|row| {
            row.circuit == change.circuit()
                && row.what == what
                && matches!((&row.at, at), (Some((line, _)), Some((of, _))) if *line == of)
                && !matches!(change, Change::Inserted(..))
        });
        match (same, at) {
            (Some(Row { at: Some((_, numbers)), .. }), Some((_, run))) => numbers.push(run + 1),
            _ => rows.push(Row {
                circuit: change.circuit(),
                place: place(job, change),
                what,
                at: at.map(|(line, run)| (line, vec![run + 1])),
            }),
        }
    }
    let several = job.circuits.len() > 1 && named;
    for row in &mut rows {
        if let Some((line, numbers)) = &row.at {
            row.place = format!("{} {}", line.name(), runs(numbers));
        }
        let circuit = row.circuit.filter(|_| several).and_then(|index| job.circuits.get(index));
        if let Some(circuit) = circuit {
            row.place = format!("{}, {}", circuit.name, row.place);
        }
    }
    rows
}

fn place(job: &Job, change: &Change) -> String {
    let roof = job.roof.as_ref();
    let unit = |index: usize| {
        let unit = roof.and_then(|roof| roof.units.get(index));
        format!("unit {}", unit.map_or("", |unit| unit.name.as_str()))
    };
    let wall = |index: usize| {
        let wall = roof.and_then(|roof| roof.walls.get(index));
        format!("wall {}", wall.map_or("", |wall| wall.name.as_str()))
    };
    match change {
        Change::HeadControl(..) => "head control".to_owned(),
        Change::Condenser(..) | Change::Subcooling(..) => "condenser".to_owned(),
        Change::Bypass(..) => "hot-gas bypass".to_owned(),
        Change::Cutout(..) => "high-pressure cut-out".to_owned(),
        Change::Relief(..) => "relief valve".to_owned(),
        Change::Legs(..) => "drop legs".to_owned(),
        Change::Copies(..) => "chillers".to_owned(),
        Change::UnitAt(index, _)
        | Change::UnitHeight(index, ..)
        | Change::NightSpeed(index, _)
        | Change::NightSound(index, _)
        | Change::Sound(index, _) => unit(*index),
        Change::WallHeight(index, _) | Change::WallOpen(index, _) => wall(*index),
        Change::NewWall(wall) => wall.name.clone(),
        Change::NewRail(_) => "new rail".to_owned(),
        Change::Tubes(..)
        | Change::Traps(..)
        | Change::Sloped(..)
        | Change::Insulation(..)
        | Change::Expansion(..)
        | Change::Inserted(..)
        | Change::Resistance(..)
        | Change::Bypassed(..)
        | Change::Moved(..)
        | Change::Receiver(..) => String::new(),
    }
}

/// The name of a part.
fn part_name(run: &Run) -> &str {
    match &run.path {
        Path::Part(part) => &part.name,
        _ => "part",
    }
}

/// A receiver of another kind, in place of the drawn one.
fn received(show: System, drawn: Option<&Run>, receiver: Receiver) -> String {
    let kind = match receiver.style {
        ReceiverStyle::Surge => "surge receiver",
        ReceiverStyle::Through => "receiver",
    };
    let volume = receiver.volume.map_or_else(String::new, |volume| format!(" {}", show.volume(volume.value)));
    let vented = drawn.is_some_and(|run| match &run.path {
        Path::Part(part) => part.receiver.is_some_and(|drawn| drawn.vented),
        _ => false,
    });
    let vent = match (vented, receiver.vented) {
        (true, false) => ", without its vent",
        (false, true) => ", vented to the coil's inlet",
        _ => "",
    };
    format!("{kind}{volume}{vent}")
}

#[expect(clippy::too_many_lines, reason = "one arm for each kind of change")]
fn what(job: &Job, change: &Change) -> String {
    let show = job.units;
    let quantity = |kind: Kind, value: f64| kind.show(show, value, job.site.atmosphere.pascals());
    let circuit = change.circuit().and_then(|index| job.circuits.get(index));
    let run = |line: LineId, run: usize| circuit.and_then(|circuit| line.of(circuit).runs.get(run));
    match change {
        Change::Tubes(_, line, at, new) => {
            let old = run(*line, *at).filter(|run| !run.open).map(|run| format!("{} -> ", tubes(&run.tubes)));
            format!("{}{}", old.unwrap_or_default(), tubes(new))
        }
        Change::Traps(_, _, traps) => trapped(show, traps),
        Change::Sloped(_, at) => {
            let length = run(LineId::Discharge, *at).map_or(0.0, |run| run.path.length_m());
            format!("slope with the flow, {}", show.small_length(length * job.limit("slope")))
        }
        Change::Insulation(_, _, _, thickness) => format!("insulation {}", show.small_length(*thickness)),
        Change::Expansion(_, _, _, expansion) => match expansion {
            Expansion::Loop => "an expansion loop".to_owned(),
            Expansion::Offset => "an offset".to_owned(),
            Expansion::Anchor => "an anchor at its middle".to_owned(),
        },
        Change::Inserted(_, line, at, part) => {
            let runs = circuit.map_or(0, |circuit| line.of(circuit).runs.len());
            let volume = part.receiver.and_then(|receiver| receiver.volume);
            let volume = volume.map_or_else(String::new, |volume| format!(", {}", show.volume(volume.value)));
            let before = if *at < runs { "before it" } else { "at its end" };
            let cools = part.subcooler.map_or_else(String::new, |subcooler| {
                let [capacity, leaving] = [
                    quantity(Kind::Capacity, subcooler.capacity.value),
                    quantity(Kind::Temperature, subcooler.leaving.kelvin()),
                ];
                format!(" of {capacity}, liquid held at {leaving}")
            });
            format!("{}{volume}{cools}, {before}", part.name)
        }
        Change::Resistance(_, line, at, resistance) => {
            let name = run(*line, *at).map_or("part", part_name);
            match resistance {
                Resistance::Loss(loss) => {
                    format!("{name} with {} or less of pressure drop", show.pressure_difference(loss.value))
                }
                Resistance::Kv(kv) => format!("{name} of {} or more", show.flow_coefficient(*kv)),
                Resistance::EquivalentLength(length) => {
                    format!("{name} with {} or less of equivalent length", show.length(length.value))
                }
            }
        }
        Change::Moved(_, line, from, to) => {
            let runs = circuit.map_or(0, |circuit| line.of(circuit).runs.len());
            let name = run(*line, *from).map_or("part", part_name);
            if to + 1 >= runs {
                format!("{name} moved to the end of the line")
            } else {
                format!("{name} moved before run {}", if to < from { to + 1 } else { to + 2 })
            }
        }
        Change::Bypassed(..) => format!("{HEAD_VALVE} with its hot-gas bypass to the receiver"),
        Change::Receiver(_, at, receiver) => received(show, run(LineId::Liquid, *at), *receiver),
        Change::HeadControl(_, control) => match control {
            HeadControl::None => "none".to_owned(),
            HeadControl::Fans { setpoint, minimum_air } => {
                format!("fans to {} air, setpoint {}", show.percent(*minimum_air), show.temperature(setpoint.kelvin()))
            }
            HeadControl::Flooding { setpoint } => format!("flooding, setpoint {}", show.temperature(setpoint.kelvin())),
        },
        Change::Subcooling(_, subcooling) => {
            format!("a coil rated at {} of subcooling", quantity(Kind::Difference, subcooling.value))
        }
        Change::Condenser(_, factor) => circuit.map_or_else(String::new, |circuit| {
            format!(
                "{} at {} TD, {} times as large",
                quantity(Kind::Heat, circuit.condenser.rejection.value * factor),
                quantity(Kind::Difference, circuit.condenser.td.value),
                show.ratio(*factor)
            )
        }),
        Change::Bypass(_, bypass) => show.percent(bypass.share),
        Change::Cutout(_, cutout) => format!("set to {}", quantity(Kind::Pressure, cutout.pascals())),
        Change::Relief(_, valve) => {
            let mut words = vec![format!("set to {}", quantity(Kind::Pressure, valve.setting.pascals()))];
            words.extend(valve.capacity.map(|air| format!("{} of air", quantity(Kind::MassRate, air.value))));
            if valve.count > 1 {
                words.push(format!("{} on a three-way valve", valve.count));
            }
            words.extend(valve.tube.as_ref().map(|tube| format!("discharge line {}", tube.name)));
            words.join(", ")
        }
        Change::Legs(_, legs) => format!("{} of {}", show.length(legs.height.value), legs.tube.name),
        Change::Copies(_, copies) => format!("{copies} in place of {}", circuit.map_or(1, |circuit| circuit.copies)),
        Change::UnitAt(_, at) => format!("at [{}, {}]", show.length(at.x_m), show.length(at.y_m)),
        Change::UnitHeight(_, top, underside) => {
            format!("underside at {}, top at {}", show.length(*underside), show.length(*top))
        }
        Change::WallHeight(_, height) => format!("{} high", show.length(*height)),
        Change::WallOpen(_, open) if *open <= 0.0 => "solid".to_owned(),
        Change::WallOpen(_, open) => format!("{} open", show.percent(*open)),
        Change::NewWall(wall) => format!(
            "from [{}, {}] to [{}, {}], {} high",
            show.length(wall.from.x_m),
            show.length(wall.from.y_m),
            show.length(wall.to.x_m),
            show.length(wall.to.y_m),
            show.length(wall.height_m)
        ),
        Change::NightSpeed(_, share) => format!("fans at {} speed at night", show.percent(*share)),
        Change::NightSound(_, power) => format!("{} at night", sound(show, power)),
        Change::Sound(_, power) => sound(show, power),
        Change::NewRail(rail) => format!(
            "from [{}, {}] to [{}, {}], {} high",
            show.length(rail.from.x_m),
            show.length(rail.from.y_m),
            show.length(rail.to.x_m),
            show.length(rail.to.y_m),
            show.rule_length(rail.height_m)
        ),
    }
}

fn sound(show: System, power: &SoundPower) -> String {
    match power {
        SoundPower::A(level) => format!("sound power {}", show.level(*level)),
        SoundPower::Octaves(_) => "another sound power by octave".to_owned(),
    }
}

fn tubes(tubes: &[Tube]) -> String {
    match tubes {
        [a, b] if a.name == b.name => format!("2 x {}", a.name),
        all => all.iter().map(|tube| tube.name.as_str()).collect::<Vec<_>>().join(" + "),
    }
}

fn trapped(show: System, traps: &Traps) -> String {
    let mut words: Vec<String> = Vec::new();
    if traps.foot {
        words.push("foot".to_owned());
    }
    words.extend(traps.between.iter().map(|height| show.length(height.value)));
    if traps.top {
        words.push("top".to_owned());
    }
    format!("traps at {}", words.join(", "))
}

/// The whole remedy as a table, with what it resolves, what is left and what it costs.
pub(crate) fn whole(sheet: &mut Sheet, job: &Job, whole: &Whole) {
    let rows = rows(job, &whole.changes, true);
    let left = left(whole);
    let cautions = |rules: &[&'static str]| list(rules.iter().map(|rule| (*rule).to_owned()));
    let count = if rows.len() == 1 { "One change".to_owned() } else { format!("{} changes", rows.len()) };
    let (then, look) = if left.is_empty() {
        ("then no failures".to_owned(), style::PASS)
    } else {
        (format!("still fails: {}", cautions(&left)), style::FAIL)
    };
    sheet.styled(Hang::flush(0), look, &format!("{count}, {then}"));
    sheet.space();
    let mut grid = Grid::new().column("", Align::Right).column("where", Align::Left).column("change", Align::Left);
    for (number, row) in rows.iter().enumerate() {
        grid.row(vec![(number + 1).to_string(), row.place.clone(), row.what.clone()]);
    }
    sheet.table(1, &grid);
    sheet.space();
    if !whole.effect.resolves.is_empty() {
        sheet.labelled(0, "Resolves", style::STRONG, 10, &cautions(&whole.effect.resolves));
    }
    if !whole.effect.newly_cautions.is_empty() {
        sheet.labelled(0, "Cautions", style::STRONG, 10, &cautions(&whole.effect.newly_cautions));
    }
    let costs = costs(job, &whole.cost);
    sheet.labelled(0, "Costs", style::STRONG, 10, &costs.join(", "));
}

/// What a set of changes costs, in words; at least one.
#[must_use]
pub(crate) fn costs(job: &Job, of: &Cost) -> Vec<String> {
    let show = job.units;
    let signed = |value: f64, told: &dyn Fn(f64) -> String| {
        format!("{} {}", told(value.abs()), if value < 0.0 { "less" } else { "more" })
    };
    let kg = |kg: f64| show.mass(kg);
    let cost = |value: Option<f64>, told: &dyn Fn(f64) -> String, what: &str| {
        value.filter(|value| value.abs() > 0.0).map(|value| format!("{} {what}", signed(value, told)))
    };
    let mut costs: Vec<String> = [
        cost(Some(of.copper_kg), &kg, "tube"),
        cost(of.charge_kg, &kg, "charge"),
        cost(of.power_w, &|w| show.power(w), "on the design day"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if costs.is_empty() {
        costs.push("no tube, charge or power".to_owned());
    }
    costs
}

/// The same as short as a column wants it: `disch. 1, 3`, `1-3/8 (680 psig)`.
#[must_use]
pub(crate) fn brief_steps(job: &Job, changes: &[Change], named: bool) -> Vec<(String, String)> {
    let brief = |row: &Row| {
        let place = match &row.at {
            Some((line, numbers)) => {
                let circuit = row.circuit.filter(|_| named && job.circuits.len() > 1);
                let circuit = circuit.and_then(|index| job.circuits.get(index));
                let circuit = circuit.map_or_else(String::new, |circuit| format!("{}, ", circuit.name));
                format!("{circuit}{}", brief_runs(*line, numbers))
            }
            None => row.place.clone(),
        };
        let what = row.what.rsplit(" -> ").next().unwrap_or(&row.what);
        let what = match what.split_once(" listed for ") {
            Some((size, rating)) => format!("{size} ({rating})"),
            // Where on the roof, the proposal says.
            None if what.starts_with("from [") => what.rsplit("], ").next().unwrap_or(what).to_owned(),
            None => what.replace(", setpoint ", ", ").replace("another sound power", "quieter"),
        };
        (place, what)
    };
    let mut steps: Vec<Row> = Vec::new();
    for row in rows(job, changes, named) {
        let (_, what) = brief(&row);
        // What a run was before is not told: runs that become the same stand together.
        let same = steps.iter_mut().find(|step| {
            step.circuit == row.circuit
                && brief(step).1 == what
                && matches!((&step.at, &row.at), (Some((line, _)), Some((of, _))) if line == of)
        });
        match (same.and_then(|step| step.at.as_mut()), &row.at) {
            (Some((_, numbers)), Some((_, more))) => {
                numbers.extend(more);
                numbers.sort_unstable();
            }
            _ => steps.push(row),
        }
    }
    let mut told: Vec<(String, String, u32)> = Vec::new();
    for (place, what) in steps.iter().map(brief) {
        match told.iter_mut().find(|(at, does, _)| *at == place && *does == what) {
            Some((.., times)) => *times += 1,
            None => told.push((place, what, 1)),
        }
    }
    let times = |what: String, times: u32| if times > 1 { format!("{what}, {times} of them") } else { what };
    told.into_iter().map(|(place, what, n)| (place, times(what, n))).collect()
}

/// Changes in words, place and what, those of several runs that are the same once.
#[must_use]
pub(crate) fn steps(job: &Job, changes: &[Change], named: bool) -> Vec<(String, String)> {
    rows(job, changes, named).into_iter().map(|row| (row.place, row.what)).collect()
}
