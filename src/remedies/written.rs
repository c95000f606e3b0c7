//! Changes as edits of a file's text: paths with what is to stand there.

use super::change::{Change, beside, unlisted};
use crate::job::{
    Edit, HeadControl, Job, LineId, Part, Path, ReceiverStyle, ReliefValve, Resistance, SoundPower, Traps, Xy, step,
};
use crate::refdata::Tube;
use crate::units::{Kind, System};
use serde_json::{Map, Value as Json, json};

impl Change {
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
            Self::Tubes(_, line, index, tubes) => {
                let new = unlisted(job, tubes).zip(job.tubes.len() + 1..);
                let new = new.map(|(tube, number)| (format!("tube.{number}"), Some(listed(tube, &show))));
                new.chain([(run(*line, *index, ".tube"), Some(names(tubes)))]).collect()
            }
            Self::Traps(_, index, traps) => {
                vec![(run(LineId::Discharge, *index, ".trap"), Some(trap(traps, job.units)))]
            }
            Self::Sloped(_, line, index) => vec![(run(*line, *index, ".slope"), Some(json!("with flow")))],
            Self::Insulation(_, line, index, thickness) => {
                vec![(run(*line, *index, ".insulation"), Some(show(Kind::SmallLength, *thickness)))]
            }
            Self::Expansion(_, line, index, expansion) => {
                vec![(run(*line, *index, ".expansion"), Some(json!(expansion)))]
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
                let drawn = circuit.and_then(|circuit| match &circuit.liquid.runs.get(*index)?.path {
                    Path::Part(part) => part.receiver,
                    _ => None,
                });
                let new_style =
                    drawn.is_none_or(|drawn| drawn.style != receiver.style).then(|| json!(style(receiver.style)));
                let volume = receiver.volume.filter(|_| drawn.is_none_or(|drawn| drawn.volume != receiver.volume));
                let volume = volume.map(|volume| show(Kind::Volume, volume.value));
                let of =
                    |key: &str, value: Option<Json>| value.map(|value| (run(LineId::Liquid, *index, key), Some(value)));
                let no_shell = drawn.is_some_and(|drawn| drawn.shell.is_some()) && receiver.shell.is_none();
                let no_shell = no_shell.then(|| (run(LineId::Liquid, *index, ".shell"), None));
                let vented = drawn.is_none_or(|drawn| drawn.vented != receiver.vented).then(|| json!(receiver.vented));
                [of(".style", new_style), of(".volume", volume), of(".vented", vented), no_shell]
                    .into_iter()
                    .flatten()
                    .collect()
            }
            Self::Moved(_, line, from, to) => {
                let drawn = circuit.and_then(|circuit| line.of(circuit).runs.get(*from));
                let Some(Path::Part(part)) = drawn.map(|run| &run.path) else { return Vec::new() };
                let mut table = part_as_written(part, &show);
                if let Some(tube) = drawn.and_then(|run| run.tubes.first()) {
                    table["tube"] = json!(tube.name);
                }
                vec![(run(*line, *from, ""), None), (run(*line, *to, ""), Some(table))]
            }
            Self::Bypassed(_, index) => vec![(run(LineId::Liquid, *index, ".bypass"), Some(json!(true)))],
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
            Self::Subcooling(_, subcooling) => {
                vec![(of("condenser.subcooling"), Some(show(Kind::Difference, subcooling.value)))]
            }
            Self::Bypass(_, bypass) => vec![(of("compressors.hot_gas_bypass.share"), Some(json!(bypass.share)))],
            Self::Cutout(_, cutout) => vec![(of("condenser.cutout"), Some(show(Kind::Pressure, cutout.pascals())))],
            Self::Relief(_, valve) => {
                let new = relief_as_written(valve, &show);
                match circuit.and_then(|circuit| circuit.relief.valve()).map(|old| relief_as_written(old, &show)) {
                    None => vec![(of("relief_valve"), Some(new))],
                    // Only what is otherwise: the rest stays as it was typed.
                    Some(old) => {
                        let keys =
                            new.as_object().into_iter().flatten().filter(|(key, value)| old.get(key) != Some(value));
                        keys.map(|(key, value)| (of(&format!("relief_valve.{key}")), Some(value.clone()))).collect()
                    }
                }
            }
            Self::Legs(_, legs) => vec![
                (of("condenser.legs.height"), Some(show(Kind::Length, legs.height.value))),
                (of("condenser.legs.tube"), Some(json!(legs.tube.name))),
            ],
            Self::Copies(_, copies) => vec![(of("copies"), Some(json!(copies)))],
            Self::UnitAt(index, at) => vec![(unit(*index, "at"), Some(place(*at)))],
            Self::UnitHeight(index, top, underside) => vec![
                (unit(*index, "height"), Some(show(Kind::Length, *top))),
                (unit(*index, "base_height"), Some(show(Kind::Length, *underside))),
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
            Self::WallOpen(index, open) => vec![(wall(*index, "free_area"), Some(json!(open)))],
            Self::NewWall(new) => {
                let number = plan.map_or(0, |plan| plan.walls.len()) + 1;
                let mut table = json!({ "name": new.name, "from": place(new.from), "to": place(new.to),
                    "height": show(Kind::Length, new.height_m) });
                if new.open > 0.0 {
                    table["free_area"] = json!(new.open);
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

/// Changes as edits of a file's text, each with what stands there.
///
/// `job` is the one that was read from the text.
#[must_use]
pub fn edits(job: &Job, text: &str, changes: &[Change]) -> Vec<Edit> {
    let mut changed = job.clone();
    let mut edits = Edits::of(text);
    for change in changes {
        let inserts = matches!(change, Change::Inserted(..) | Change::Moved(..));
        for (path, new) in change.written(&changed) {
            let inserts = inserts && new.is_some();
            let taken = edits.made.last().and_then(|edit| edit.old.as_ref());
            let new = match (change, taken) {
                (Change::Moved(..), Some(taken)) => new.map(|new| as_typed(taken, &new)),
                _ => new,
            };
            edits.make(path, new, inserts);
        }
        change.apply(&mut changed);
    }
    edits.made
}

/// A run as it was typed where it was taken away, in the tube that it has.
fn as_typed(taken: &Json, new: &Json) -> Json {
    let mut run = taken.clone();
    if let (Some(run), Some(tube)) = (run.as_object_mut(), new.get("tube")) {
        run.entry("tube").or_insert_with(|| tube.clone());
    }
    run
}

/// Edits of a text, each with what stands there after those before it.
pub(crate) struct Edits {
    document: Json,
    /// Those made.
    pub made: Vec<Edit>,
}

impl Edits {
    /// Of a text, none yet.
    pub fn of(text: &str) -> Self {
        Self { document: toml::from_str(text).unwrap_or_default(), made: Vec::new() }
    }

    /// What stands at a path.
    pub fn stands(&self, path: &str) -> Option<Json> {
        stands(&self.document, path)
    }

    /// Sets what stands at a path, or takes it away.
    pub fn set(&mut self, path: String, new: Option<Json>) {
        self.make(path, new, false);
    }

    fn make(&mut self, path: String, new: Option<Json>, inserts: bool) {
        let old = self.stands(&path).filter(|_| !inserts);
        if old.is_none() && new.is_none() {
            return;
        }
        let edit = Edit { path, old, new };
        put(&mut self.document, &edit, inserts);
        self.made.push(edit);
    }
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

/// What must stand where a path leads through nothing: an array where a number follows, else a table.
fn between(next: &str) -> Json {
    if next.parse::<usize>().is_ok() { Json::Array(Vec::new()) } else { Json::Object(Map::new()) }
}

fn put(document: &mut Json, edit: &Edit, inserts: bool) {
    let steps = steps(&edit.path);
    let Some((last, way)) = steps.split_last() else { return };
    let mut at = document;
    for (step, next) in way.iter().zip(&steps[1..]) {
        at = match at {
            Json::Object(map) => map.entry(step.clone()).or_insert_with(|| between(next)),
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
                Some(new) if inserts || index == array.len() => array.insert(index, new.clone()),
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

fn listed(tube: &Tube, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    let mut table = json!({
        "name": tube.name,
        "outside": show(Kind::SmallLength, tube.outside.value),
        "wall": show(Kind::SmallLength, tube.wall.value),
    });
    if let Some(rated) = tube.rated {
        table["rated"] = show(Kind::Rating, rated.value);
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
        Resistance::Loss(loss) => ("pressure_drop", show(Kind::PressureDifference, loss.value)),
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
        if receiver.vented {
            table["vented"] = json!(true);
        }
        if let Some(shell) = receiver.shell {
            table["shell"] = json!({
                "diameter": show(Kind::SmallLength, shell.diameter.value),
                "length": show(Kind::Length, shell.length.value),
            });
        }
        if receiver.stop_valves {
            table["stop_valves"] = json!(true);
        }
    }
    if let Some(subcooler) = part.subcooler {
        table["capacity"] = show(Kind::Capacity, subcooler.capacity.value);
        table["leaving"] = show(Kind::Temperature, subcooler.leaving.kelvin());
    }
    if part.bypass {
        table["bypass"] = json!(true);
    }
    let (key, value) = resistance_as_written(part.resistance, show);
    table[key] = value;
    table
}

fn relief_as_written(valve: &ReliefValve, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    let mut table = json!({ "setting": show(Kind::Pressure, valve.setting.pascals()) });
    if let Some(capacity) = valve.capacity {
        table["capacity"] = show(Kind::MassRate, capacity.value);
    }
    if valve.count > 1 {
        table["count"] = json!(valve.count);
    }
    if let Some(tube) = &valve.tube {
        table["tube"] = json!(tube.name);
    }
    table
}

fn control_as_written(control: HeadControl, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    match control {
        HeadControl::None => json!("none"),
        HeadControl::Fans { setpoint, minimum_air } => {
            json!({ "by": "fans", "setpoint": show(Kind::Temperature, setpoint.kelvin()), "minimum_air": minimum_air })
        }
        HeadControl::Flooding { setpoint } => {
            json!({ "by": "flooding", "setpoint": show(Kind::Temperature, setpoint.kelvin()) })
        }
    }
}

fn sound(power: &SoundPower, show: &dyn Fn(Kind, f64) -> Json) -> Json {
    match power {
        SoundPower::A(level) => show(Kind::Level, *level),
        SoundPower::Octaves(levels) => json!(levels.map(|level| format!("{level:.0} dB"))),
    }
}
