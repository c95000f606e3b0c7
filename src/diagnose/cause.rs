//! What may be wrong, each with one unknown size, and where it enters the chiller.

use crate::job::{Circuit, HeadControl, Part, Path, Resistance, Run, Subcooler};
use crate::machine::{Condition, Wrong};
use crate::units::factor::PSI;
use crate::units::{Temperature, kelvins, pascals, watts};

/// The most heat that something hot gives a liquid line, as a share of the condenser's: 30 K of the liquid and more.
const HEATED: f64 = 0.2;

/// A cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// Nothing is wrong.
    Healthy,
    /// Warm air on the coil; K over what the job expects.
    WarmAir,
    /// Dirt on the coil; share of the air that it takes away.
    DirtyCoil,
    /// Fans that do not turn; share of the air that is missing.
    FansOut,
    /// Head control that cools too much: it does not act.
    HeadControlOpen,
    /// Head control that cools too little; share of the air (or of the coil) that it holds back.
    HeadControlShut,
    /// Gas that does not condense; Pa in coil and receiver.
    NonCondensables,
    /// Too much charge; share of the coil's surface that holds liquid.
    Overcharge,
    /// Too little charge; K of subcooling lacking at the coil's outlet.
    Undercharge,
    /// A part of the liquid line clogged; Pa at the rated flow.
    LiquidRestriction,
    /// A part of the discharge line clogged; Pa at the rated flow.
    DischargeRestriction,
    /// Hot-gas bypass open where it should be shut; share of the flow.
    BypassPassing,
    /// Gas returns within the compressors; share of the flow.
    CompressorLeak,
    /// The valve feeds too little; share of its capacity that is missing.
    ValveShut,
    /// The valve feeds too much; K of superheat lacking.
    ValveOpen,
    /// Too little fluid; share of its flow that is missing.
    LowFluidFlow,
    /// Dirt in the evaporator; share of its transfer units that is missing.
    DirtyEvaporator,
    /// Liquid flashes by the line itself: by its lift as drawn, or by heat that it takes up; W.
    LiquidFlashing,
    /// One reading is wrong.
    WrongSensor,
}

impl Cause {
    /// Those with a size to be found.
    pub(super) const SIZED: &'static [Self] = &[
        Self::WarmAir,
        Self::DirtyCoil,
        Self::FansOut,
        Self::HeadControlOpen,
        Self::HeadControlShut,
        Self::NonCondensables,
        Self::Overcharge,
        Self::Undercharge,
        Self::LiquidRestriction,
        Self::DischargeRestriction,
        Self::BypassPassing,
        Self::CompressorLeak,
        Self::ValveShut,
        Self::ValveOpen,
        Self::LowFluidFlow,
        Self::DirtyEvaporator,
        Self::LiquidFlashing,
    ];

    /// How common it is, the commonest first (assumption): charge and what the air meets are seen daily, a clogged discharge line or a
    /// head control that fails seldom.
    pub(super) fn rank(self) -> f64 {
        match self {
            Self::Healthy | Self::WrongSensor => 0.0,
            Self::DirtyCoil => 1.0,
            Self::WarmAir => 2.0,
            Self::FansOut => 3.0,
            // In the readings it is the same: it stands beside them.
            Self::HeadControlShut => 3.1,
            Self::Undercharge => 4.0,
            Self::Overcharge => 5.0,
            Self::NonCondensables => 6.0,
            Self::LiquidRestriction => 7.0,
            Self::ValveShut => 8.0,
            Self::LowFluidFlow => 9.0,
            Self::DirtyEvaporator => 10.0,
            Self::ValveOpen => 11.0,
            Self::CompressorLeak => 12.0,
            Self::BypassPassing => 13.0,
            Self::LiquidFlashing => 14.0,
            Self::HeadControlOpen => 15.0,
            Self::DischargeRestriction => 16.0,
        }
    }

    /// Its name in an answer.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Healthy => "healthy",
            Self::WarmAir => "warm-air",
            Self::DirtyCoil => "dirty-coil",
            Self::FansOut => "fans-out",
            Self::HeadControlOpen => "head-control-open",
            Self::HeadControlShut => "head-control-shut",
            Self::NonCondensables => "non-condensables",
            Self::Overcharge => "overcharge",
            Self::Undercharge => "undercharge",
            Self::LiquidRestriction => "liquid-restriction",
            Self::DischargeRestriction => "discharge-restriction",
            Self::BypassPassing => "bypass-passing",
            Self::CompressorLeak => "compressor-leak",
            Self::ValveShut => "valve-shut",
            Self::ValveOpen => "valve-open",
            Self::LowFluidFlow => "low-fluid-flow",
            Self::DirtyEvaporator => "dirty-evaporator",
            Self::LiquidFlashing => "liquid-flashing",
            Self::WrongSensor => "wrong-sensor",
        }
    }

    /// In words.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Healthy => "nothing wrong",
            Self::WarmAir => "warm air",
            Self::DirtyCoil => "dirty coil",
            Self::FansOut => "fans out",
            Self::HeadControlOpen => "head control holds the head too low",
            Self::HeadControlShut => "head control holds the head too high",
            Self::NonCondensables => "non-condensables",
            Self::Overcharge => "overcharge",
            Self::Undercharge => "undercharge",
            Self::LiquidRestriction => "liquid line restricted",
            Self::DischargeRestriction => "discharge line restricted",
            Self::BypassPassing => "bypass valve passing",
            Self::CompressorLeak => "compressor leaking inside",
            Self::ValveShut => "valve feeds too little",
            Self::ValveOpen => "valve feeds too much",
            Self::LowFluidFlow => "low fluid flow",
            Self::DirtyEvaporator => "dirty evaporator",
            Self::LiquidFlashing => "heat on the liquid line",
            Self::WrongSensor => "wrong sensor",
        }
    }

    /// What is done about it first, without opening the circuit (common practice, no source).
    #[must_use]
    pub const fn act(self) -> Option<&'static str> {
        Some(match self {
            Self::Healthy | Self::WrongSensor => return None,
            Self::WarmAir => {
                "find where the warm air comes from: discharge that returns, walls, other units, roof exhausts"
            }
            Self::DirtyCoil => "lock out the fans, clean the coil, read again",
            Self::FansOut => "lock out, then find why they stand: overload, contactor, belt or blade, control",
            Self::HeadControlOpen => {
                "read the head control's setpoint, and see what its fans or its valve do in the cold"
            }
            Self::HeadControlShut => {
                "read the head control's setpoint, and see whether its fans or its valve let the coil work"
            }
            Self::NonCondensables => {
                "once the pressure at a stop confirms it, certified people recover, evacuate and charge by weight"
            }
            Self::Overcharge => "look up what was charged and when; then certified people recover by weight",
            Self::Undercharge => "find the leak first; then certified people charge by weight",
            Self::LiquidRestriction => {
                "see that every hand valve of the liquid line is open, and measure across the drier"
            }
            Self::DischargeRestriction => {
                "see that every hand valve of the discharge line is open, and measure along it"
            }
            Self::BypassPassing => "see that the bypass valve's coil is dead and its line cold; it may not close",
            Self::CompressorLeak => "run each compressor by itself and read again",
            Self::ValveShut => "check the valve's power, steps and sensors, or its bulb; then its inlet strainer",
            Self::ValveOpen => {
                "liquid may reach the compressors: check the superheat's setting, and that bulb or sensor sits tight and insulated"
            }
            Self::LowFluidFlow => "check pump, strainer and valves of the fluid: the evaporator may freeze",
            Self::DirtyEvaporator => "compare the fluid's pressure drop across the evaporator with its rating",
            Self::LiquidFlashing => "follow the liquid line: where does it touch or pass something hot?",
        })
    }

    /// In a word or two below one another, as the head of a column.
    #[must_use]
    pub(super) const fn head(self) -> &'static str {
        match self {
            Self::Healthy => "as\ndrawn",
            Self::WarmAir => "warm\nair",
            Self::DirtyCoil => "dirty\ncoil",
            Self::FansOut => "fans\nout",
            Self::HeadControlOpen => "head\ncontrol\nlow",
            Self::HeadControlShut => "head\ncontrol\nhigh",
            Self::NonCondensables => "non-\ncond.",
            Self::Overcharge => "over-\ncharge",
            Self::Undercharge => "under-\ncharge",
            Self::LiquidRestriction => "liquid\nline",
            Self::DischargeRestriction => "disch.\nline",
            Self::BypassPassing => "bypass",
            Self::CompressorLeak => "compr.\nleak",
            Self::ValveShut => "valve\nshut",
            Self::ValveOpen => "valve\nopen",
            Self::LowFluidFlow => "fluid\nflow",
            Self::DirtyEvaporator => "dirty\nevap.",
            Self::LiquidFlashing => "heat on\nliquid",
            Self::WrongSensor => "sensor",
        }
    }

    /// SI unit of its size.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::WarmAir | Self::Undercharge | Self::ValveOpen => "K",
            Self::NonCondensables | Self::LiquidRestriction | Self::DischargeRestriction => "Pa",
            Self::LiquidFlashing => "W",
            _ => "-",
        }
    }

    /// The largest size that is looked at; none where the circuit can't have it.
    pub(super) fn maximum(self, circuit: &Circuit, condition: &Condition) -> Option<f64> {
        let head = circuit.condenser.head_control;
        match self {
            Self::WarmAir => Some(22.0),
            Self::DirtyCoil => Some(0.8),
            Self::FansOut => Some(0.85),
            Self::HeadControlOpen => (head != HeadControl::None && condition.control).then_some(1.0),
            Self::HeadControlShut => (head != HeadControl::None).then_some(0.85),
            Self::NonCondensables => Some(120.0 * PSI),
            Self::Overcharge => Some(0.6),
            Self::Undercharge => Some(circuit.condenser.subcooling.value + 60.0),
            // At the rated flow, of which little is left: at part of the load it is felt late.
            Self::LiquidRestriction => Some(1200.0 * PSI),
            Self::DischargeRestriction => Some(90.0 * PSI),
            Self::BypassPassing => (condition.bypass <= 0.0).then_some(0.45),
            Self::CompressorLeak => Some(0.5),
            Self::ValveShut => Some(0.92),
            Self::ValveOpen => Some((circuit.evaporator.superheat.value - 0.2).max(0.5)),
            Self::LowFluidFlow | Self::DirtyEvaporator => Some(0.7),
            Self::LiquidFlashing => Some(HEATED * circuit.condenser.rejection.value),
            Self::Healthy | Self::WrongSensor => None,
        }
    }

    /// How a share of the search range goes over into a size: restrictions are felt late, so small ones lie close.
    pub(super) fn size(self, share: f64, maximum: f64) -> f64 {
        match self {
            Self::LiquidRestriction | Self::DischargeRestriction => maximum * share * share,
            _ => maximum * share,
        }
    }

    /// Whether the circuit itself is another with it, and has to be prepared again.
    pub(super) const fn redraws(self) -> bool {
        matches!(self, Self::LiquidRestriction | Self::DischargeRestriction | Self::ValveOpen | Self::LiquidFlashing)
    }

    /// Makes it so.
    pub(super) fn apply(self, size: f64, circuit: &mut Circuit, condition: &mut Condition, wrong: &mut Wrong) {
        match self {
            Self::WarmAir => condition.recirculation_K += size,
            // Dirt takes half as much of the surface's conductance as of the air (assumption).
            Self::DirtyCoil => {
                wrong.air *= 1.0 - size;
                wrong.coil *= 1.0 - 0.5 * size;
            }
            Self::FansOut => wrong.air *= 1.0 - size,
            Self::HeadControlOpen => condition.control = false,
            // It still acts, with less to act with: what it holds back is not to be had.
            Self::HeadControlShut => {
                if matches!(circuit.condenser.head_control, HeadControl::Flooding { .. }) {
                    wrong.coil *= 1.0 - size;
                } else {
                    wrong.air *= 1.0 - size;
                }
            }
            Self::NonCondensables => wrong.gas_Pa += size,
            Self::Overcharge => wrong.backed_up += size,
            Self::Undercharge => {
                wrong.short_K += size;
                wrong.empty = size > 0.0;
            }
            Self::LiquidRestriction => {
                let at = drier(circuit).unwrap_or(circuit.liquid.runs.len());
                circuit.liquid.runs.insert(at, clogged(&circuit.liquid.runs, size));
            }
            Self::DischargeRestriction => {
                let runs = &mut circuit.discharge.runs;
                let clogged = clogged(runs, size);
                runs.insert(0, clogged);
            }
            Self::BypassPassing => condition.bypass = size,
            Self::CompressorLeak => wrong.leak = size,
            Self::ValveShut => wrong.valve *= 1.0 - size,
            Self::ValveOpen => {
                let superheat = (circuit.evaporator.superheat.value - size).max(0.1);
                circuit.evaporator.superheat = kelvins(superheat);
            }
            Self::LowFluidFlow => wrong.fluid *= 1.0 - size,
            Self::DirtyEvaporator => wrong.evaporator *= 1.0 - size,
            Self::LiquidFlashing => {
                let runs = &mut circuit.liquid.runs;
                let heated = heated(runs, size);
                runs.insert(to_the_machine(runs), heated);
            }
            Self::Healthy | Self::WrongSensor => {}
        }
    }
}

/// A part that stands for what is wrong with a line.
fn part(runs: &[Run], name: &str, loss: f64, subcooler: Option<Subcooler>) -> Run {
    let part = Part {
        name: name.to_owned(),
        resistance: Resistance::Loss(pascals(loss)),
        receiver: None,
        subcooler,
        closes: false,
        checks: false,
        bypass: false,
    };
    let tubes = runs.first().map(|run| run.tubes.clone()).unwrap_or_default();
    Run {
        path: Path::Part(part),
        tubes,
        fittings: Vec::new(),
        ambient: None,
        insulation: crate::units::metres(0.0),
        expansion: None,
        room: None,
        turn_deg: None,
        open: false,
    }
}

/// A part that has clogged: its loss at the rated flow, Pa.
fn clogged(runs: &[Run], loss: f64) -> Run {
    part(runs, "clogged", loss, None)
}

/// Something hot that gives the liquid heat, W.
fn heated(runs: &[Run], heat: f64) -> Run {
    part(runs, "heat", 0.0, Some(Subcooler { capacity: watts(-heat), leaving: Temperature::from_kelvin(0.0) }))
}

/// The last tube of the liquid line, at the machine: behind every receiver.
fn to_the_machine(runs: &[Run]) -> usize {
    let receiver = runs.iter().rposition(|run| matches!(&run.path, Path::Part(part) if part.receiver.is_some()));
    let tube = runs.iter().rposition(|run| !matches!(run.path, Path::Part(_)));
    tube.max(receiver.map(|at| at + 1)).unwrap_or(0)
}

/// The drier of the liquid line.
pub(super) fn drier(circuit: &Circuit) -> Option<usize> {
    let is = |run: &Run| matches!(&run.path, Path::Part(part) if part.name.contains("drier"));
    circuit.liquid.runs.iter().position(is)
}
