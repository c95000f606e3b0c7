//! The lines of a circuit as drawn: runs of tube and parts, in the direction of flow.

use crate::refdata::Tube;
use crate::units::{Length, Power, PressureDifference, Temperature, TemperatureDifference, Volume};
use schemars::JsonSchema;
use serde::Serialize;

/// Which of the two lines of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum LineId {
    /// From the compressors to the condenser.
    Discharge,
    /// From the condenser to the valve.
    Liquid,
}

impl LineId {
    /// Both, in the direction of flow.
    pub const BOTH: [Self; 2] = [Self::Discharge, Self::Liquid];

    /// The letter before the number of its runs in drawings.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Discharge => 'D',
            Self::Liquid => 'L',
        }
    }

    /// Its name: that of its key in a job.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Discharge => "discharge",
            Self::Liquid => "liquid",
        }
    }
}

/// One of the two lines of a circuit, in the direction of flow.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its runs; `runs[i]` is number i + 1 in reports.
    pub runs: Vec<Run>,
    /// Whether it can be shut off at both ends.
    pub stop_valves: bool,
}

impl Line {
    /// Its risers by index of their runs: rises in equal tubes with nothing but parts between them are one.
    #[must_use]
    pub fn risers(&self) -> Vec<Vec<usize>> {
        let mut risers: Vec<Vec<usize>> = Vec::new();
        let mut above: Option<&[Tube]> = None;
        for (index, run) in self.runs.iter().enumerate() {
            match &run.path {
                Path::Rise { .. } => {
                    match risers.last_mut().filter(|_| above == Some(run.tubes.as_slice())) {
                        Some(riser) => riser.push(index),
                        None => risers.push(vec![index]),
                    }
                    above = Some(&run.tubes);
                }
                Path::Part(_) => {}
                Path::Level { .. } | Path::Drop { .. } => above = None,
            }
        }
        risers
    }
}

/// A length of tube or a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What it is.
    pub path: Path,
    /// Parallel tubes, one or more, smallest bore first. A part has the line's tube.
    pub tubes: Vec<Tube>,
    /// Fittings, by name in the reference data.
    pub fittings: Vec<(String, u32)>,
    /// Air round it; without, the run exchanges no heat.
    pub ambient: Option<Ambient>,
    /// Insulation thickness.
    pub insulation: Length,
    /// What takes up its growth, where said.
    pub expansion: Option<Expansion>,
    /// The room that it passes through, a name in `Job::rooms`.
    pub room: Option<String>,
    /// Compass bearing in which a level run goes, degrees clockwise from north, where said.
    pub turn_deg: Option<f64>,
    /// Whether its tube is left open (`tube = "auto"`); `tubes` then holds the largest that there is.
    pub open: bool,
}

impl Run {
    /// Whether it is a receiver that all liquid passes through.
    #[must_use]
    pub fn passes_through(&self) -> bool {
        matches!(&self.path, Path::Part(part) if part.receiver.is_some_and(|r| r.style == ReceiverStyle::Through))
    }

    /// What it is as a mechanical subcooler, where it is one.
    #[must_use]
    pub fn subcooler(&self) -> Option<&Subcooler> {
        match &self.path {
            Path::Part(part) => part.subcooler.as_ref(),
            _ => None,
        }
    }
}

/// What takes up the growth of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Expansion {
    /// A loop of the developed length that the growth requires.
    Loop,
    /// An offset as long as the growth requires.
    Offset,
    /// An anchor at its middle: half of the growth at each end.
    Anchor,
}

/// What a run is.
#[derive(Clone, Debug, PartialEq)]
pub enum Path {
    /// A level length.
    Level {
        /// Its length.
        length: Length,
        /// Its slope, where stated.
        slope: Option<Slope>,
    },
    /// A length straight up.
    Rise {
        /// Its length.
        length: Length,
        /// Its traps.
        traps: Traps,
    },
    /// A length straight down.
    Drop {
        /// Its length.
        length: Length,
    },
    /// A part.
    Part(Part),
}

impl Path {
    /// Tube length, m; 0 for a part.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        match self {
            Path::Level { length, .. } | Path::Rise { length, .. } | Path::Drop { length } => length.value,
            Path::Part(_) => 0.0,
        }
    }

    /// Gain of height, m: positive up.
    #[must_use]
    pub fn rise_m(&self) -> f64 {
        match self {
            Path::Rise { length, .. } => length.value,
            Path::Drop { length } => -length.value,
            Path::Level { .. } | Path::Part(_) => 0.0,
        }
    }
}

/// Slope of a level run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slope {
    /// Falls with the flow.
    WithFlow,
    /// Dead level.
    None,
    /// Falls against the flow.
    AgainstFlow,
}

/// Oil traps of a rise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Traps {
    /// Trap at the foot.
    pub foot: bool,
    /// Inverted loop at the top.
    pub top: bool,
    /// Heights of intermediate traps over the foot.
    pub between: Vec<Length>,
}

/// A part in a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name, as typed (`filter-drier`).
    pub name: String,
    /// How it resists the flow.
    pub resistance: Resistance,
    /// Where it is a receiver.
    pub receiver: Option<Receiver>,
    /// Where it is a mechanical subcooler.
    pub subcooler: Option<Subcooler>,
    /// Whether it shuts fast (solenoid valve).
    pub closes: bool,
    /// Whether it stops back flow (check valve).
    pub checks: bool,
    /// Whether a head-pressure valve lets hot gas past the coil to the receiver.
    pub bypass: bool,
}

impl Part {
    /// Whether it holds liquid back in the coil.
    #[must_use]
    pub fn is_head_valve(&self) -> bool {
        self.name == HEAD_VALVE
    }
}

/// The part that holds liquid back in the coil.
pub const HEAD_VALVE: &str = "head-pressure valve";

/// The part that cools liquid by a refrigeration of its own.
pub const MECHANICAL_SUBCOOLER: &str = "mechanical subcooler";

/// What a mechanical subcooler takes from the liquid, by a refrigeration of its own that rejects its heat elsewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Subcooler {
    /// The most heat that it takes; below nothing, heat that the liquid takes up from something hot, whatever its temperature.
    pub capacity: Power,
    /// Temperature of the liquid that it holds as far as its capacity goes.
    pub leaving: Temperature,
}

/// How a part resists the flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resistance {
    /// A loss at the line's flow at `rating`; follows flow squared over density.
    Loss(PressureDifference),
    /// Flow coefficient Kv, m3/h at 1 bar (IEC 60534).
    Kv(f64),
    /// Equivalent length of the line's tube.
    EquivalentLength(Length),
}

/// A liquid receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Receiver {
    /// How it is piped.
    pub style: ReceiverStyle,
    /// Its internal volume, where known.
    pub volume: Option<Volume>,
    /// Whether a vent line of its own lets vapour back to the condenser.
    pub vented: bool,
    /// Its shell, where known.
    pub shell: Option<Shell>,
    /// Whether it can be shut off at inlet and outlet.
    pub stop_valves: bool,
}

/// The shell of a vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shell {
    /// Outside diameter.
    pub diameter: Length,
    /// Length over its heads.
    pub length: Length,
}

/// How a receiver is piped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReceiverStyle {
    /// Liquid passes through and leaves saturated.
    Through,
    /// Subcooled liquid bypasses it.
    Surge,
}

/// Air round a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ambient {
    /// Air at this temperature.
    Air(Temperature),
    /// Outdoor air, warmer by this.
    Outdoor(TemperatureDifference),
}
