//! What of a run does not change along it: geometry of its tubes, and heat to the air round it.

use crate::job::{Ambient, Circuit, Line, Path, Resistance, Run};
use crate::physics::heat;
use crate::refdata;
use crate::units::{Length, metres};
use std::f64::consts::PI;

/// One tube of a run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pipe {
    /// Bore, m.
    pub bore_m: f64,
    /// Area, m2.
    pub area_m2: f64,
    /// Roughness over bore.
    pub roughness: f64,
    /// Length with fittings and traps, m.
    pub equivalent_m: f64,
    /// Heat to the air round it, W/K over its whole length; 0 where no air is given.
    pub conductance_W_K: f64,
}

/// A run as the integrate sees it.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    /// Its tubes, smallest bore first.
    pub pipes: Vec<Pipe>,
    /// Length of tube, m.
    pub length_m: f64,
    /// Gain of height, m.
    pub rise_m: f64,
    /// The air round it.
    pub ambient: Option<Ambient>,
}

/// Elbows that make a trap at the foot of a rise, or an inverted loop at its top.
const TRAP: &str = "trap";

impl Segment {
    /// The geometry of a run.
    pub fn new(run: &Run) -> Self {
        let length = run.path.length_m();
        let pipes = run
            .tubes
            .iter()
            .map(|tube| {
                let bore = tube.bore().value;
                let own = match &run.path {
                    Path::Part(part) => match part.resistance {
                        Resistance::EquivalentLength(length) => length.value,
                        Resistance::Loss(_) | Resistance::Kv(_) => 0.0,
                    },
                    Path::Level { .. } | Path::Rise { .. } | Path::Drop { .. } => length,
                };
                let fittings: f64 = fittings(run)
                    .iter()
                    .filter_map(|(name, count)| {
                        Some(f64::from(*count) * refdata::fitting(name)?.equivalent_length(tube).value)
                    })
                    .sum();
                Pipe {
                    bore_m: bore,
                    area_m2: PI / 4.0 * bore * bore,
                    roughness: tube.roughness.value / bore,
                    equivalent_m: own + fittings,
                    conductance_W_K: run
                        .ambient
                        .map_or(0.0, |_| heat::conductance_per_length(tube.outside, run.insulation) * length),
                }
            })
            .collect();
        Self { pipes, length_m: length, rise_m: run.path.rise_m(), ambient: run.ambient.filter(|_| length > 0.0) }
    }
}

/// The fittings of a run and the traps of a rise, which are fittings too.
fn fittings(run: &Run) -> Vec<(&str, u32)> {
    let mut all: Vec<(&str, u32)> = run.fittings.iter().map(|(name, count)| (name.as_str(), *count)).collect();
    if let Path::Rise { traps, .. } = &run.path {
        let count =
            u32::from(traps.foot) + u32::from(traps.top) + u32::try_from(traps.between.len()).unwrap_or(u32::MAX);
        if count > 0 {
            all.push((TRAP, count));
        }
    }
    all
}

/// Length of tube with fittings of a run's first tube, as reports show it for a run that stands alone.
#[must_use]
pub fn equivalent_length(run: &Run) -> Length {
    metres(Segment::new(run).pipes.last().map_or(0.0, |pipe| pipe.equivalent_m))
}

/// Whether anything on a line changes the enthalpy of what flows in it: air round a tube, or a receiver through which all
/// of the liquid passes.
#[must_use]
pub fn exchanges_heat(line: &Line) -> bool {
    line.runs.iter().any(|run| run.ambient.is_some() || run.passes_through() || run.subcooler().is_some())
}

/// Whether the liquid line has a receiver through which all liquid passes.
#[must_use]
pub fn has_through_receiver(circuit: &Circuit) -> bool {
    circuit.liquid.runs.iter().any(Run::passes_through)
}
