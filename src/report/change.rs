//! Changes of a job in words, whole and as short as a column wants them.

use super::row::brief_runs;
use crate::job::{
    Expansion, HEAD_VALVE, HeadControl, Job, LineId, Path, Receiver, ReceiverStyle, Resistance, Run, SoundPower, Traps,
    Xy,
};
use crate::refdata::Tube;
use crate::remedies::Change;
use crate::rules::say::runs;
use crate::units::{Kind, System};

/// Changes in a line: `discharge runs 1 and 3: 2-1/8 ACR -> 2 Sch40; receiver 3.2 ft3`.
#[must_use]
pub(crate) fn sentence(job: &Job, changes: &[Change]) -> String {
    let told = steps(job, changes, false).into_iter().map(|(place, what)| format!("{place}: {what}"));
    told.collect::<Vec<_>>().join("; ")
}

/// Changes in words, place and what, those of several runs that are the same once. `named` puts the circuit's name before the
/// place, where there are several.
#[must_use]
pub(crate) fn steps(job: &Job, changes: &[Change], named: bool) -> Vec<(String, String)> {
    let numbered = |line: LineId, numbers: &[usize]| format!("{} {}", line.name(), runs(numbers));
    rows(job, changes, what).into_iter().map(|row| (row.place(job, named, numbered), row.what)).collect()
}

/// The same as short as a column wants it: `disch. 1, 3`, `1-3/8 (680 psig)`.
#[must_use]
pub(crate) fn brief_steps(job: &Job, changes: &[Change], named: bool) -> Vec<(String, String)> {
    let mut told: Vec<(String, String, u32)> = Vec::new();
    for row in rows(job, changes, in_few_words) {
        let place = row.place(job, named, brief_runs);
        match told.iter_mut().find(|(at, does, _)| *at == place && *does == row.what) {
            Some((.., times)) => *times += 1,
            None => told.push((place, row.what, 1)),
        }
    }
    let times = |what: String, times: u32| if times > 1 { format!("{times} x {what}") } else { what };
    told.into_iter().map(|(place, what, n)| (place, times(what, n))).collect()
}

/// A change, or several that are the same, in words.
struct Row<'a> {
    change: &'a Change,
    what: String,
    /// Runs by number from 1.
    at: Option<(LineId, Vec<usize>)>,
}

impl Row<'_> {
    /// Where, its runs said that way.
    fn place(&self, job: &Job, named: bool, runs: impl Fn(LineId, &[usize]) -> String) -> String {
        let place = self.at.as_ref().map_or_else(|| place(job, self.change), |(line, numbers)| runs(*line, numbers));
        let circuit = self.change.circuit().filter(|_| named && job.circuits.len() > 1);
        let circuit = circuit.and_then(|index| job.circuits.get(index));
        circuit.map_or_else(|| place.clone(), |circuit| format!("{}, {place}", circuit.name))
    }
}

/// Changes in words, those of several runs that are the same in one row.
fn rows<'a>(job: &Job, changes: &'a [Change], says: fn(&Job, &Change) -> String) -> Vec<Row<'a>> {
    let mut rows: Vec<Row> = Vec::new();
    for change in changes {
        let what = says(job, change);
        let at = change.run();
        let same = rows.iter_mut().find(|row| {
            row.change.circuit() == change.circuit()
                && row.what == what
                && matches!((&row.at, at), (Some((line, _)), Some((of, _))) if *line == of)
                && !matches!(change, Change::Inserted(..))
        });
        match (same, at) {
            (Some(Row { at: Some((_, numbers)), .. }), Some((_, run))) => {
                numbers.push(run + 1);
                numbers.sort_unstable();
            }
            _ => rows.push(Row { change, what, at: at.map(|(line, run)| (line, vec![run + 1])) }),
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
        Change::Sloped(_, line, at) => {
            let length = run(*line, *at).map_or(0.0, |run| run.path.length_m());
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
        Change::NewWall(wall) => format!("{}, {} high", between(show, wall.from, wall.to), show.length(wall.height_m)),
        Change::NightSpeed(_, share) => format!("fans at {} speed at night", show.percent(*share)),
        Change::NightSound(_, power) => format!("{} at night", sound(show, power)),
        Change::Sound(_, power) => sound(show, power),
        Change::NewRail(rail) => {
            format!("{}, {} high", between(show, rail.from, rail.to), show.rule_length(rail.height_m))
        }
    }
}

/// From where to where on the roof.
fn between(show: System, from: Xy, to: Xy) -> String {
    let at = |place: Xy| format!("[{}, {}]", show.length(place.x_m), show.length(place.y_m));
    format!("from {} to {}", at(from), at(to))
}

/// The same in few words: what it was before, and where on the roof, the whole remedy says.
fn in_few_words(job: &Job, change: &Change) -> String {
    let show = job.units;
    match change {
        Change::Tubes(_, _, _, new) => all_tubes(new, |tube| match tube.name.split_once(" listed for ") {
            Some((size, rating)) => format!("{size} ({rating})"),
            None => tube.name.clone(),
        }),
        Change::HeadControl(_, HeadControl::Fans { setpoint, minimum_air }) => {
            format!("fans to {} air, {}", show.percent(*minimum_air), show.temperature(setpoint.kelvin()))
        }
        Change::HeadControl(_, HeadControl::Flooding { setpoint }) => {
            format!("flooding, {}", show.temperature(setpoint.kelvin()))
        }
        Change::Inserted(_, line, at, part) => {
            let circuit = change.circuit().and_then(|index| job.circuits.get(index));
            let last = circuit.is_some_and(|circuit| *at >= line.of(circuit).runs.len());
            let mut words = vec![part.name.clone()];
            let volume = part.receiver.and_then(|receiver| receiver.volume);
            words.extend(volume.map(|volume| show.volume(volume.value)));
            words.extend(part.subcooler.map(|cools| show.capacity(cools.capacity.value)));
            words.extend(last.then(|| "at its end".to_owned()));
            words.join(", ")
        }
        Change::Copies(_, copies) => {
            let circuit = change.circuit().and_then(|index| job.circuits.get(index));
            format!("{copies} chillers in place of {}", circuit.map_or(1, |circuit| circuit.copies))
        }
        Change::Condenser(_, factor) => format!("{} times as large", show.ratio(*factor)),
        Change::Subcooling(_, subcooling) => {
            format!("{} of subcooling", Kind::Difference.show(show, subcooling.value, 0.0))
        }
        Change::Bypassed(..) => format!("{HEAD_VALVE} with bypass"),
        Change::NewWall(wall) => format!("{} high", show.length(wall.height_m)),
        Change::NewRail(rail) => format!("rail {} high", show.rule_length(rail.height_m)),
        Change::NightSpeed(_, share) => format!("fans {} at night", show.percent(*share)),
        Change::NightSound(_, SoundPower::Octaves(_)) => "quieter at night".to_owned(),
        Change::Sound(_, SoundPower::Octaves(_)) => "quieter".to_owned(),
        change => what(job, change),
    }
}

fn sound(show: System, power: &SoundPower) -> String {
    match power {
        SoundPower::A(level) => format!("sound power {}", show.level(*level)),
        SoundPower::Octaves(_) => "another sound power by octave".to_owned(),
    }
}

fn tubes(tubes: &[Tube]) -> String {
    all_tubes(tubes, |tube| tube.name.clone())
}

/// Tubes side by side, each said that way.
fn all_tubes(tubes: &[Tube], says: impl Fn(&Tube) -> String) -> String {
    match tubes {
        [a, b] if a.name == b.name => format!("2 x {}", says(a)),
        all => all.iter().map(says).collect::<Vec<_>>().join(" + "),
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
