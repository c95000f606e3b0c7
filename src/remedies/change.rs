//! A change as data: one thing of a job that is to be otherwise, for the job as meant and for the text of its file.

use crate::job::{
    Bypass, Circuit, Expansion, HeadControl, Job, Legs, LineId, Part, Path, Receiver, Relief, ReliefValve, Resistance,
    Run, Slope, SoundPower, Traps, Wall, Xy,
};
use crate::refdata::{self, Tube};
use crate::units::{
    Kind, Pressure, System, TemperatureDifference, cubic_metres, cubic_metres_per_second, metres, quantity, watts,
};

/// One thing of a job that is to be otherwise. Circuits, runs, units and walls go by their index.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Another tube, or two in parallel, in a run; what no table lists becomes a tube of the job's own.
    Tubes(usize, LineId, usize, Vec<Tube>),
    /// Other traps on a riser of the discharge line.
    Traps(usize, usize, Traps),
    /// A level run that falls with the flow.
    Sloped(usize, LineId, usize),
    /// Insulation on a run, m.
    Insulation(usize, LineId, usize, f64),
    /// What takes up the growth of a run.
    Expansion(usize, LineId, usize, Expansion),
    /// A part before that run.
    Inserted(usize, LineId, usize, Part),
    /// A part with another resistance.
    Resistance(usize, LineId, usize, Resistance),
    /// The part of a run moved: from that place in the route to that one.
    Moved(usize, LineId, usize, usize),
    /// A receiver of another kind.
    Receiver(usize, usize, Receiver),
    /// A head-pressure valve with its bypass of hot gas to the receiver.
    Bypassed(usize, usize),
    /// Another head-pressure control.
    HeadControl(usize, HeadControl),
    /// A condenser that many times as large: its heat, air flow, internal volume and fan power.
    Condenser(usize, f64),
    /// A condenser rated at more subcooling: more tubes of its coil for the liquid.
    Subcooling(usize, TemperatureDifference),
    /// Another hot-gas bypass.
    Bypass(usize, Bypass),
    /// A lower setting of the high-pressure cut-out.
    Cutout(usize, Pressure),
    /// Another relief valve.
    Relief(usize, ReliefValve),
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
            | Self::Sloped(circuit, ..)
            | Self::Insulation(circuit, ..)
            | Self::Expansion(circuit, ..)
            | Self::Inserted(circuit, ..)
            | Self::Resistance(circuit, ..)
            | Self::Moved(circuit, ..)
            | Self::Receiver(circuit, ..)
            | Self::Bypassed(circuit, _)
            | Self::HeadControl(circuit, _)
            | Self::Condenser(circuit, _)
            | Self::Subcooling(circuit, _)
            | Self::Bypass(circuit, _)
            | Self::Cutout(circuit, _)
            | Self::Relief(circuit, _)
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
            | Self::Sloped(_, line, run)
            | Self::Insulation(_, line, run, _)
            | Self::Moved(_, line, run, _)
            | Self::Expansion(_, line, run, _)
            | Self::Inserted(_, line, run, _)
            | Self::Resistance(_, line, run, _) => Some((*line, *run)),
            Self::Traps(_, run, _) => Some((LineId::Discharge, *run)),
            Self::Receiver(_, run, _) | Self::Bypassed(_, run) => Some((LineId::Liquid, *run)),
            _ => None,
        }
    }

    /// Makes it in a job as meant.
    pub fn apply(&self, job: &mut Job) {
        if let Self::Tubes(_, _, _, tubes) = self {
            let new: Vec<Tube> = unlisted(job, tubes).cloned().collect();
            job.tubes.extend(new);
        }
        if let Some(circuit) = self.circuit() {
            let show = job.units;
            let atmosphere = job.site.atmosphere.pascals();
            if let Some(circuit) = job.circuits.get_mut(circuit) {
                self.apply_to(circuit, show, atmosphere);
            }
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
            Self::Sloped(_, line, run) => {
                if let Some(Path::Level { slope, .. }) =
                    line.of_mut(circuit).runs.get_mut(*run).map(|run| &mut run.path)
                {
                    *slope = Some(Slope::WithFlow);
                }
            }
            Self::Insulation(_, line, run, thickness) => {
                if let Some(run) = line.of_mut(circuit).runs.get_mut(*run) {
                    run.insulation = metres(*thickness);
                }
            }
            Self::Expansion(_, line, run, expansion) => {
                if let Some(run) = line.of_mut(circuit).runs.get_mut(*run) {
                    run.expansion = Some(*expansion);
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
            Self::Moved(_, line, from, to) => move_run(line.of_mut(circuit), *from, *to),
            Self::Bypassed(_, run) => {
                if let Some(Path::Part(part)) = circuit.liquid.runs.get_mut(*run).map(|run| &mut run.path) {
                    part.bypass = true;
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
            Self::Subcooling(_, subcooling) => circuit.condenser.subcooling = *subcooling,
            Self::Bypass(_, bypass) => circuit.compressors.bypass = *bypass,
            Self::Cutout(_, cutout) => circuit.condenser.cutout = Some(*cutout),
            Self::Relief(_, valve) => circuit.relief = Relief::Valve(valve.clone()),
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
                unit(roof, *index, &|unit| (unit.height_m, unit.base_height_m) = (*top, *underside));
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
}

/// Moves a run from one place in a route to another.
pub(super) fn move_run(line: &mut crate::job::Line, from: usize, to: usize) {
    if from < line.runs.len() && to < line.runs.len() {
        let run = line.runs.remove(from);
        line.runs.insert(to, run);
    }
}

/// Those of the tubes that neither a table nor the job lists, each once.
pub(super) fn unlisted<'a>(job: &Job, tubes: &'a [Tube]) -> impl Iterator<Item = &'a Tube> {
    let named = |all: &[Tube], tube: &Tube| all.iter().any(|known| known.name == tube.name);
    let new = tubes.iter().enumerate().filter(move |(at, tube)| {
        refdata::tube(&tube.name).is_none() && !named(&job.tubes, tube) && !named(&tubes[..*at], tube)
    });
    new.map(|(_, tube)| tube)
}

/// The tubes that stand where a part is put in.
pub(super) fn beside(line: &crate::job::Line, at: usize) -> Option<&[Tube]> {
    line.runs.get(at).or_else(|| line.runs.last()).map(|run| run.tubes.as_slice())
}

/// Puts a part before a run, or at the end of the line, in the tube that stands there.
pub(crate) fn insert(line: &mut crate::job::Line, at: usize, part: Part) {
    let Some(tubes) = beside(line, at).map(|tubes| tubes.iter().take(1).cloned().collect()) else { return };
    let run = Run {
        path: Path::Part(part),
        tubes,
        fittings: Vec::new(),
        ambient: None,
        insulation: metres(0.0),
        expansion: None,
        room: None,
        turn_deg: None,
        open: false,
    };
    line.runs.insert(at.min(line.runs.len()), run);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_goes_where_there_is_a_place_and_stays_where_there_is_none() {
        let text = include_str!("../../examples/bottling-hall.toml");
        let job = crate::job::read("hall.toml", text, std::path::Path::new(".")).unwrap();
        let drawn = &job.circuits[0].liquid;
        let last = drawn.runs.len() - 1;
        let moved = |from: usize, to: usize| {
            let mut line = drawn.clone();
            move_run(&mut line, from, to);
            line.runs
        };
        let ends = moved(0, last);
        assert_eq!((&ends[0], &ends[last]), (&drawn.runs[1], &drawn.runs[0]));
        assert_eq!(moved(last, 0)[0], drawn.runs[last]);
        assert!([(last + 1, 0), (0, last + 1)].iter().all(|(from, to)| moved(*from, *to) == drawn.runs));
    }
}
