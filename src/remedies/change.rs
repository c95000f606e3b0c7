//! A change as data: one thing of a job that is to be otherwise, for the job as meant and for the text of its file.

use crate::job::{
    Bypass, Circuit, Edit, HeadControl, Job, Legs, LineId, Part, Path, Receiver, ReceiverStyle, Resistance, Run, Slope,
    SoundPower, Traps, Wall, Xy, step,
};
use crate::refdata::Tube;
use crate::units::{Kind, Pressure, System, cubic_metres, cubic_metres_per_second, metres, quantity, watts};
use serde_json::{Map, Value as Json, json};

/// One thing of a job that is to be otherwise. Circuits, runs, units and walls go by their index.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Another tube, or two in parallel, in a run.
    Tubes(usize, LineId, usize, Vec<Tube>),
    /// A tube that the job describes itself, listed for a pressure.
    ListedTube(Tube),
    /// Other traps on a riser of the discharge line.
    Traps(usize, usize, Traps),
    /// A level run of the discharge line that falls with the flow.
    Sloped(usize, usize),
    /// Insulation on a run, m.
    Insulation(usize, LineId, usize, f64),
    /// A part before that run.
    Inserted(usize, LineId, usize, Part),
    /// A part with another resistance.
    Resistance(usize, LineId, usize, Resistance),
    /// A receiver of another kind.
    Receiver(usize, usize, Receiver),
    /// Another head-pressure control.
    HeadControl(usize, HeadControl),
    /// A condenser that many times as large: its heat, air flow, internal volume and fan power.
    Condenser(usize, f64),
    /// Another hot-gas bypass.
    Bypass(usize, Bypass),
    /// A lower setting of the high-pressure cut-out.
    Cutout(usize, Pressure),
    /// Other drop legs.
    Legs(usize, Legs),
    /// So many identical circuits.
    Copies(usize, u32),
    /// A unit somewhere else.
    UnitAt(usize, Xy),
    /// A unit with its top and its underside at these heights, m.
    UnitHeight(usize, f64, f64),
    /// A wall of another height, m.
    WallHeight(usize, f64),
    /// A wall that is open for that share of its face.
    WallOpen(usize, f64),
    /// A new wall or screen.
    NewWall(Wall),
    /// A unit's fans at that share of their speed at night.
    NightSpeed(usize, f64),
    /// A unit with that sound power at night.
    NightSound(usize, SoundPower),
    /// A unit with that sound power.
    Sound(usize, SoundPower),
    /// A guard rail along a stretch of the edge.
    NewRail(crate::job::Rail),
}

/// A value as it stands in a file, rounded as the job's units show it: what is written is what is counted.
#[must_use]
pub(crate) fn as_written(kind: Kind, value: f64, job: &Job) -> f64 {
    let atmosphere = job.site.atmosphere.pascals();
    quantity(&kind.show(job.units, value, atmosphere), kind, job.units, atmosphere).unwrap_or(value)
}

impl Change {
    /// The circuit that it is of, where it is of one.
    #[must_use]
    pub fn circuit(&self) -> Option<usize> {
        match self {
            Self::Tubes(circuit, ..)
            | Self::Traps(circuit, ..)
            | Self::Sloped(circuit, _)
            | Self::Insulation(circuit, ..)
            | Self::Inserted(circuit, ..)
            | Self::Resistance(circuit, ..)
            | Self::Receiver(circuit, ..)
            | Self::HeadControl(circuit, _)
            | Self::Condenser(circuit, _)
            | Self::Bypass(circuit, _)
            | Self::Cutout(circuit, _)
            | Self::Legs(circuit, _)
            | Self::Copies(circuit, _) => Some(*circuit),
            _ => None,
        }
    }

    /// The run that it is of, by its index before the change.
    #[must_use]
    pub fn run(&self) -> Option<(LineId, usize)> {
        match self {
            Self::Tubes(_, line, run, _)
            | Self::Insulation(_, line, run, _)
            | Self::Inserted(_, line, run, _)
            | Self::Resistance(_, line, run, _) => Some((*line, *run)),
            Self::Traps(_, run, _) | Self::Sloped(_, run) => Some((LineId::Discharge, *run)),
            Self::Receiver(_, run, _) => Some((LineId::Liquid, *run)),
            _ => None,
        }
    }

    /// Makes it in a job as meant.
    pub fn apply(&self, job: &mut Job) {
        if let Some(circuit) = self.circuit() {
            let show = job.units;
            let atmosphere = job.site.atmosphere.pascals();
            if let Some(circuit) = job.circuits.get_mut(circuit) {
                self.apply_to(circuit, show, atmosphere);
            }
        } else if let Self::ListedTube(tube) = self {
            job.tubes.push(tube.clone());
        } else if let Some(roof) = &mut job.roof {
            self.apply_to_roof(roof);
        }
    }

    fn apply_to(&self, circuit: &mut Circuit, show: System, atmosphere: f64) {
        let written = |kind: Kind, value: f64| {
            quantity(&kind.show(show, value, atmosphere), kind, show, atmosphere).unwrap_or(value)
        };
        match self {
            Self::Tubes(_, line, run, tubes) => {
                if let Some(run) = line.of_mut(circuit).runs.get_mut(*run) {
                    run.tubes.clone_from(tubes);
                    run.open = false;
                }
            }
            Self::Traps(_, run, new) => {
                if let Some(Path::Rise { traps, .. }) = circuit.discharge.runs.get_mut(*run).map(|run| &mut run.path) {
                    traps.clone_from(new);
                }
            }
            Self::Sloped(_, run) => {
                if let Some(Path::Level { slope, .. }) = circuit.discharge.runs.get_mut(*run).map(|run| &mut run.path) {
                    *slope = Some(Slope::WithFlow);
                }
            }
            Self::Insulation(_, line, run, thickness) => {
                if let Some(run) = line.of_mut(circuit).runs.get_mut(*run) {
                    run.insulation = metres(*thickness);
                }
            }
            Self::Inserted(_, line, at, part) => insert(line.of_mut(circuit), *at, part.clone()),
            Self::Resistance(_, line, run, resistance) => {
                if let Some(Path::Part(part)) = line.of_mut(circuit).runs.get_mut(*run).map(|run| &mut run.path) {
                    part.resistance = *resistance;
                }
            }
            Self::Receiver(_, run, receiver) => {
                if let Some(Path::Part(part)) = circuit.liquid.runs.get_mut(*run).map(|run| &mut run.path) {
                    part.receiver = Some(*receiver);
                }
            }
            Self::HeadControl(_, control) => circuit.condenser.head_control = *control,
            Self::Condenser(_, factor) => {
                let condenser = &mut circuit.condenser;
                let grown = written(Kind::Heat, condenser.rejection.value * factor);
                // All by the factor that the written heat has.
                let factor = grown / condenser.rejection.value;
                condenser.rejection = watts(grown);
                let air = |flow: crate::units::VolumeRate| written(Kind::VolumeRate, flow.value * factor);
                condenser.air_flow = condenser.air_flow.map(|flow| cubic_metres_per_second(air(flow)));
                let volume = |volume: crate::units::Volume| written(Kind::Volume, volume.value * factor);
                condenser.volume = condenser.volume.map(|old| cubic_metres(volume(old)));
                let power = |power: crate::units::Power| written(Kind::Power, power.value * factor);
                condenser.fan_power = condenser.fan_power.map(|old| watts(power(old)));
            }
            Self::Bypass(_, bypass) => circuit.compressors.bypass = *bypass,
            Self::Cutout(_, cutout) => circuit.condenser.cutout = Some(*cutout),
            Self::Legs(_, legs) => circuit.condenser.legs = Some(legs.clone()),
            Self::Copies(_, copies) => circuit.copies = *copies,
            _ => {}
        }
    }

    fn apply_to_roof(&self, roof: &mut crate::job::Roof) {
        let unit = |roof: &mut crate::job::Roof, index: usize, change: &dyn Fn(&mut crate::job::RoofUnit)| {
            roof.units.get_mut(index).into_iter().for_each(change);
        };
        match self {
            Self::UnitAt(index, at) => unit(roof, *index, &|unit| unit.at = *at),
            Self::UnitHeight(index, top, underside) => {
                unit(roof, *index, &|unit| (unit.height_m, unit.stands_m) = (*top, *underside));
            }
            Self::NightSpeed(index, share) => unit(roof, *index, &|unit| {
                (unit.night_speed, unit.night_sound) = (Some(*share), None);
            }),
            Self::NightSound(index, power) => unit(roof, *index, &|unit| {
                (unit.night_sound, unit.night_speed) = (Some(*power), None);
            }),
            Self::Sound(index, power) => unit(roof, *index, &|unit| unit.sound = Some(*power)),
            Self::WallHeight(index, height) => {
                roof.walls.get_mut(*index).into_iter().for_each(|wall| wall.height_m = *height);
            }
            Self::WallOpen(index, open) => roof.walls.get_mut(*index).into_iter().for_each(|wall| wall.open = *open),
            Self::NewWall(wall) => roof.walls.push(wall.clone()),
            Self::NewRail(rail) => roof.rails.push(*rail),
            _ => {}
        }
    }

    /// What it changes in the file of the job, which it has not been made in yet: paths with what is to stand there.
    #[must_use]
    #[expect(clippy::too_many_lines, reason = "one arm for each kind of change")]
    pub(crate) fn written(&self, job: &Job) -> Vec<(String, Option<Json>)> {
        let circuit = self.circuit().and_then(|index| job.circuits.get(index));
        let of =
            |rest: &str| format!("circuit.{}.{rest}", circuit.map_or(String::new(), |circuit| step(&circuit.name)));
        let run = |line: LineId, run: usize, key: &str| of(&format!("{}.route.{}{key}", line.name(), run + 1));
        let show = |kind: Kind, value: f64| Json::from(kind.show(job.units, value, job.site.atmosphere.pascals()));
        let roof = |what: &str, name: Option<&String>, key: &str| {
            format!("roof.{what}.{}.{key}", name.map_or(String::new(), |name| step(name)))
        };
        let plan = job.roof.as_ref();
        let unit = |index: usize, key: &str| {
            roof("unit", plan.and_then(|plan| plan.units.get(index)).map(|unit| &unit.name), key)
        };
        let wall = |index: usize, key: &str| {
            roof("wall", plan.and_then(|plan| plan.walls.get(index)).map(|wall| &wall.name), key)
        };
        let place = |at: Xy| json!([show(Kind::Length, at.x_m), show(Kind::Length, at.y_m)]);
        match self {
            Self::Tubes(_, line, index, tubes) => vec![(run(*line, *index, ".tube"), Some(names(tubes)))],
            Self::ListedTube(tube) => vec![(format!("tube.{}", job.tubes.len() + 1), Some(listed(tube, job)))],
            Self::Traps(_, index, traps) => {
                vec![(run(LineId::Discharge, *index, ".trap"), Some(trap(traps, job.units)))]
            }
            Self::Sloped(_, index) => vec![(run(LineId::Discharge, *index, ".slope"), Some(json!("with flow")))],
            Self::Insulation(_, line, index, thickness) => {
                vec![(run(*line, *index, ".insulation"), Some(show(Kind::SmallLength, *thickness)))]
            }
            Self::Inserted(_, line, index, part) => {
                let mut table = part_as_written(part, &show);
                let tubes = circuit.and_then(|circuit| beside(line.of(circuit), *index));
                if let Some(tube) = tubes.and_then(|tubes| tubes.first()) {
                    table["tube"] = json!(tube.name);
                }
                vec![(run(*line, *index, ""), Some(table))]
            }
            Self::Resistance(_, line, index, resistance) => vec![resistance_as_written(*resistance, &show)]
                .into_iter()
                .map(|(key, value)| (run(*line, *index, &format!(".{key}")), Some(value)))
                .collect(),
            Self::Receiver(_, index, receiver) => {
                let mut edits = vec![(run(LineId::Liquid, *index, ".style"), Some(json!(style(receiver.style))))];
                edits.extend(
                    receiver
                        .volume
                        .map(|volume| (run(LineId::Liquid, *index, ".volume"), Some(show(Kind::Volume, volume.value)))),
                );
                edits
            }
            Self::HeadControl(_, control) => {
                vec![(of("condenser.head_control"), Some(control_as_written(*control, &show)))]
            }
            Self::Condenser(_, factor) => {
                let Some(condenser) = circuit.map(|circuit| &circuit.condenser) else { return Vec::new() };
                let grown = |key: &str, kind: Kind, value: Option<f64>| {
                    value.map(|value| (of(&format!("condenser.{key}")), Some(show(kind, value * factor))))
                };
                [
                    grown("rejection", Kind::Heat, Some(condenser.rejection.value)),
                    grown("air_flow", Kind::VolumeRate, condenser.air_flow.map(|flow| flow.value)),
                    grown("volume", Kind::Volume, condenser.volume.map(|volume| volume.value)),
                    grown("fan_power", Kind::Power, condenser.fan_power.map(|power| power.value)),
                ]
                .into_iter()
                .flatten()
                .collect()
            }
            Self::Bypass(_, bypass) => vec![(of("compressors.hot_gas_bypass.share"), Some(json!(bypass.share)))],
            Self::Cutout(_, cutout) => vec![(of("condenser.cutout"), Some(show(Kind::Pressure, cutout.pascals())))],
            Self::Legs(_, legs) => vec![
                (of("condenser.legs.height"), Some(show(Kind::Length, legs.height.value))),
                (of("condenser.legs.tube"), Some(json!(legs.tube.name))),
            ],
            Self::Copies(_, copies) => vec![(of("copies"), Some(json!(copies)))],
            Self::UnitAt(index, at) => vec![(unit(*index, "at"), Some(place(*at)))],
            Self::UnitHeight(index, top, underside) => vec![
                (unit(*index, "height"), Some(show(Kind::Length, *top))),
                (unit(*index, "stands"), Some(show(Kind::Length, *underside))),
            ],
            Self::NightSpeed(index, share) => {
                vec![(unit(*index, "night_sound_power"), None), (unit(*index, "night_speed"), Some(json!(share)))]
            }
            Self::NightSound(index, power) => vec![
                (unit(*index, "night_speed"), None),
                (unit(*index, "night_sound_power"), Some(sound(power, &show))),
            ],
            Self::Sound(index, power) => vec![(unit(*index, "sound_power"), Some(sound(power, &show)))],
            Self::WallHeight(index, height) => vec![(wall(*index, "height"), Some(show(Kind::Length, *height)))],
            Self::WallOpen(index, open) => vec![(wall(*index, "open"), Some(json!(open)))],
            Self::NewWall(new) => {
                let number = plan.map_or(0, |plan| plan.walls.len()) + 1;
                let mut table = json!({ "name": new.name, "from": place(new.from), "to": place(new.to),
                    "height": show(Kind::Length, new.height_m) });
                if new.open > 0.0 {
                    table["open"] = json!(new.open);
                }
                vec![(format!("roof.wall.{number}"), Some(table))]
            }
            Self::NewRail(rail) => {
                let number = plan.map_or(0, |plan| plan.rails.len()) + 1;
                let table = json!({ "from": place(rail.from), "to": place(rail.to), "height": show(Kind::Length, rail.height_m) });
                vec![(format!("roof.rail.{number}"), Some(table))]
            }
        }
    }
}

/// The tubes that stand where a part is put in.
fn beside(line: &crate::job::Line, at: usize) -> Option<&[Tube]> {
    line.runs.get(at).or_else(|| line.runs.last()).map(|run| run.tubes.as_slice())
}

/// Puts a part before a run, or at the end of the line, in the tube that stands there.
pub(crate) fn insert(line: &mut crate::job::Line, at: usize, part: Part) {
    let Some(tubes) = beside(line, at).map(|tubes| tubes.iter().take(1).cloned().collect()) else { return };
    let run = Run {
        path: Path::Part(part),
        tubes,
        fittings: Vec::new(),
        around: None,
        insulation: metres(0.0),
        room: None,
        open: false,
    };
    line.runs.insert(at.min(line.runs.len()), run);
}

/// Changes as edits of a file's text, each with what stands there.
///
/// `job` is the one that was read from the text.
#[must_use]
pub fn edits(job: &Job, text: &str, changes: &[Change]) -> Vec<Edit> {
    let mut changed = job.clone();
    let mut document: Json = toml::from_str(text).unwrap_or_default();
    let mut edits = Vec::new();
    for change in changes {
        for (path, new) in change.written(&changed) {
            let old = stands(&document, &path);
            if old.is_none() && new.is_none() {
                continue;
            }
            let inserts = matches!(
                change,
                Change::Inserted(..) | Change::NewWall(_) | Change::NewRail(_) | Change::ListedTube(_)
            );
            let edit = Edit { path, old: old.filter(|_| !inserts), new };
            put(&mut document, &edit, inserts);
            edits.push(edit);
        }
        change.apply(&mut changed);
    }
    edits
}

/// The steps of a path.
fn steps(path: &str) -> Vec<String> {
    toml_edit::Key::parse(path)
        .map_or_else(|_| Vec::new(), |keys| keys.iter().map(|key| key.get().to_owned()).collect())
}

/// What a step leads to in an array: an element by its name, else by its number from 1.
fn element(array: &[Json], step: &str) -> Option<usize> {
    let named = array.iter().position(|item| item.get("name").and_then(Json::as_str) == Some(step));
    named.or_else(|| step.parse::<usize>().ok()?.checked_sub(1))
}

fn stands(document: &Json, path: &str) -> Option<Json> {
    let mut at = document;
    for step in steps(path) {
        at = match at {
            Json::Object(map) => map.get(&step)?,
            Json::Array(array) => array.get(element(array, &step)?)?,
            _ => return None,
        };
    }
    Some(at.clone())
}

fn put(document: &mut Json, edit: &Edit, inserts: bool) {
    let steps = steps(&edit.path);
    let Some((last, way)) = steps.split_last() else { return };
    let mut at = document;
    for step in way {
        at = match at {
            Json::Object(map) => map.entry(step.clone()).or_insert_with(|| Json::Object(Map::new())),
            Json::Array(array) => match element(array, step).and_then(|index| array.get_mut(index)) {
                Some(item) => item,
                None => return,
            },
            _ => return,
        };
    }
    match (at, &edit.new) {
        (Json::Object(map), Some(new)) => drop(map.insert(last.clone(), new.clone())),
        (Json::Object(map), None) => drop(map.shift_remove(last)),
        (Json::Array(array), new) => {
            let index = element(array, last).unwrap_or(array.len()).min(array.len());
            match new {
                Some(new) if inserts => array.insert(index, new.clone()),
                Some(new) => array.get_mut(index).into_iter().for_each(|item| *item = new.clone()),
                None => drop((index < array.len()).then(|| array.remove(index))),
            }
        }
        _ => {}
    }
}

fn names(tubes: &[Tube]) -> Json {
    match tubes {
        [one] => json!(one.name),
        all => json!(all.iter().map(|tube| &tube.name).collect::<Vec<_>>()),
    }
}

fn listed(tube: &Tube, job: &Job) -> Json {
    let show = |kind: Kind, value: f64| kind.show(job.units, value, job.site.atmosphere.pascals());
    let mut table = json!({
        "name": tube.name,
        "outside": show(Kind::SmallLength, tube.outside.value),
        "wall": show(Kind::SmallLength, tube.wall.value),
    });
    if let Some(rated) = tube.rated {
        table["rated"] = json!(show(Kind::Rating, rated.value));
    }
    table
}

fn trap(traps: &Traps, show: System) -> Json {
    if traps.between.is_empty() {
        return json!(match (traps.foot, traps.top) {
            (true, true) => "foot and top",
            (true, false) => "foot",
            (false, true) => "top",
            (false, false) => "none",
        });
    }
    let mut list: Vec<String> = Vec::new();
    if traps.foot != traps.top {
        list.push(if traps.foot { "foot" } else { "top" }.to_owned());
    } else if !traps.foot {
        list.push("none".to_owned());
    }
    list.extend(traps.between.iter().map(|height| show.length(height.value)));
    json!(list)
}

const fn style(style: ReceiverStyle) -> &'static str {
    match style {
        ReceiverStyle::Through => "through",
        ReceiverStyle::Surge => "surge",
    }
}

fn resistance_as_written(resistance: Resistance, show: &dyn Fn(Kind, f64) -> Json) -> (&'static str, Json) {
    match resistance {
        Resistance::Loss(loss) => ("loss", show(Kind::PressureDifference, loss.value)),
        Resistance::Kv(kv) => ("kv", json!(kv)),
        Resistance::EquivalentLength(length) => ("length", show(Kind::Length, length.value)),
    }
}

fn part_as_written(part: &Part, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    let mut table = json!({ "part": part.name });
    if let Some(receiver) = part.receiver {
        table["style"] = json!(style(receiver.style));
        if let Some(volume) = receiver.volume {
            table["volume"] = show(Kind::Volume, volume.value);
        }
    }
    let (key, value) = resistance_as_written(part.resistance, show);
    table[key] = value;
    table
}

fn control_as_written(control: HeadControl, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    match control {
        HeadControl::None => json!("none"),
        HeadControl::Fans { hold, least_air } => {
            json!({ "by": "fans", "hold": show(Kind::Temperature, hold.kelvin()), "least_air": least_air })
        }
        HeadControl::Flooding { hold } => {
            json!({ "by": "flooding", "hold": show(Kind::Temperature, hold.kelvin()) })
        }
    }
}

fn sound(power: &SoundPower, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    match power {
        SoundPower::A(level) => show(Kind::Level, *level),
        SoundPower::Octaves(levels) => json!(levels.map(|level| format!("{level:.0} dB"))),
    }
}

/// The changes that make one circuit of another: to the runs that both have, then the parts that are new, from the last to
/// the first. Nothing else than what a change can say may differ.
#[must_use]
pub fn differences(index: usize, from: &Circuit, to: &Circuit) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut inserted = Vec::new();
    for line in LineId::BOTH {
        let (old, new) = (&line.of(from).runs, &line.of(to).runs);
        let mut at = 0;
        let mut extra = new.len().saturating_sub(old.len());
        for run in new {
            match old.get(at) {
                Some(before) if is_same(before, run) || extra == 0 => {
                    of_run(&mut changes, index, line, at, before, run);
                    at += 1;
                }
                _ => {
                    if let Path::Part(part) = &run.path {
                        inserted.push(Change::Inserted(index, line, at, part.clone()));
                    }
                    extra = extra.saturating_sub(1);
                }
            }
        }
    }
    let (old, new) = (&from.condenser, &to.condenser);
    if old.head_control != new.head_control {
        changes.push(Change::HeadControl(index, new.head_control));
    }
    if old.rejection != new.rejection {
        changes.push(Change::Condenser(index, new.rejection.value / old.rejection.value));
    }
    if (from.compressors.bypass.share - to.compressors.bypass.share).abs() > 0.0 {
        changes.push(Change::Bypass(index, to.compressors.bypass));
    }
    if old.cutout != new.cutout {
        changes.extend(new.cutout.map(|cutout| Change::Cutout(index, cutout)));
    }
    if let (Some(before), Some(after)) = (&old.legs, &new.legs)
        && (before.height != after.height || before.tube != after.tube)
    {
        changes.push(Change::Legs(index, after.clone()));
    }
    if from.copies != to.copies {
        changes.push(Change::Copies(index, to.copies));
    }
    changes.extend(inserted.into_iter().rev());
    changes
}

fn is_same(a: &Run, b: &Run) -> bool {
    match (&a.path, &b.path) {
        (Path::Part(a), Path::Part(b)) => a.name == b.name,
        (a, b) => std::mem::discriminant(a) == std::mem::discriminant(b) && (a.length_m() - b.length_m()).abs() < 1e-12,
    }
}

fn of_run(changes: &mut Vec<Change>, circuit: usize, line: LineId, at: usize, old: &Run, new: &Run) {
    // A part takes the tube of the line beside it.
    if old.tubes != new.tubes && (old.path.length_m() > 0.0 || old.open) {
        changes.push(Change::Tubes(circuit, line, at, new.tubes.clone()));
    }
    if old.insulation != new.insulation {
        changes.push(Change::Insulation(circuit, line, at, new.insulation.value));
    }
    match (&old.path, &new.path) {
        (Path::Rise { traps: before, .. }, Path::Rise { traps, .. }) if before != traps => {
            changes.push(Change::Traps(circuit, at, traps.clone()));
        }
        (Path::Level { slope: before, .. }, Path::Level { slope, .. }) if before != slope => {
            changes.push(Change::Sloped(circuit, at));
        }
        (Path::Part(before), Path::Part(part)) => {
            if before.resistance != part.resistance {
                changes.push(Change::Resistance(circuit, line, at, part.resistance));
            }
            if before.receiver != part.receiver {
                changes.extend(part.receiver.map(|receiver| Change::Receiver(circuit, at, receiver)));
            }
        }
        _ => {}
    }
}
