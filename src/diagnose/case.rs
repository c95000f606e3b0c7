//! A circuit at what its readings say of load and weather, and what every reading would be there.

use super::cause::{Cause, drier};
use crate::job::{BypassWhen, Circuit, Evaporating, Job, LiquidAt, Path, Reading, Runs, Set};
use crate::machine::{Circuitry, Condition, MachineFault, Near, Solution, Unbalanced, Wrong};
use crate::survey::summer_condition;
use crate::units::Temperature;

/// Density and specific heat of water, J/(m3 K): what the flow of the fluid is told by (assumption where it is another).
const WATER: f64 = 998.0 * 4186.0;

/// A circuit as it was read.
#[derive(Clone, Debug)]
pub struct Case {
    /// The circuit, its leaving fluid as read.
    pub circuit: Circuit,
    /// What runs, and the air.
    pub condition: Condition,
    /// Its coefficients, as far as they are known better than by the job.
    pub base: Wrong,
    /// Density of the oil film, kg/m3.
    film_kg_m3: f64,
    /// Where the liquid is read.
    liquid_at: LiquidAt,
    /// Air on the coil at the stop, K.
    stopped_air_K: Option<f64>,
    /// Sight glass read clear or with bubbles.
    bubbles: Option<bool>,
    /// Level read in the receiver.
    level: Option<f64>,
    /// The air was read on the coil and not outdoors: whether it is warmer there nobody knows.
    pub air_at_coil: bool,
}

/// Why a case can't be solved.
#[derive(Clone, Debug)]
pub enum NoCase {
    /// The chiller can't be made from its ratings.
    Machine(MachineFault),
    /// There is no balance.
    Unbalanced(Unbalanced),
}

impl From<MachineFault> for NoCase {
    fn from(fault: MachineFault) -> Self {
        Self::Machine(fault)
    }
}

impl From<Unbalanced> for NoCase {
    fn from(why: Unbalanced) -> Self {
        Self::Unbalanced(why)
    }
}

/// Causes with their sizes.
pub type Sized = [(Cause, f64)];

/// What every reading would be.
#[derive(Clone, Debug)]
pub struct Prediction {
    /// By the order of [`Reading::ALL`]; none where the job does not tell.
    values: Vec<Option<f64>>,
    /// Where the solution is.
    pub near: Near,
    /// The valve, wide open, does not feed.
    pub starved: bool,
    /// Subcooling at the valve's inlet; what it lacks, negative, K.
    pub margin_K: f64,
    /// Flow over the minimum flow that lifts oil in each riser of the discharge line, and its run.
    pub risers: Vec<(f64, usize)>,
    /// Discharge less suction temperature, K.
    pub lift_K: f64,
}

impl Prediction {
    /// The riser that lifts oil worst.
    #[must_use]
    pub fn oil(&self) -> Option<(f64, usize)> {
        self.risers.iter().copied().min_by(|one, other| one.0.total_cmp(&other.0))
    }

    /// What a reading would be.
    #[must_use]
    pub fn of(&self, reading: Reading) -> Option<f64> {
        let at = Reading::ALL.iter().position(|other| *other == reading)?;
        self.values.get(at).copied().flatten().filter(|value| value.is_finite())
    }
}

impl Case {
    /// A circuit of a job as a set of readings says that it runs.
    #[must_use]
    pub fn new(job: &Job, circuit: &Circuit, set: &Set) -> Self {
        let mut circuit = circuit.clone();
        let read = |reading: Reading| set.values.get(&reading).map(|read| read.value);
        if let (Some(fluid), Evaporating::Approach { leaving, .. }) =
            (read(Reading::LeavingFluid), &mut circuit.evaporator.evaporating)
        {
            *leaving = Temperature::from_kelvin(fluid);
        }
        let mut condition = summer_condition(job, &circuit, job.site.summer.kelvin());
        condition.outdoor_K = match (read(Reading::Outdoor), read(Reading::AirOn)) {
            (Some(outdoor), _) => outdoor,
            (None, Some(air_on)) => {
                condition.recirculation_K = 0.0;
                air_on
            }
            (None, None) => condition.outdoor_K,
        };
        let compressors = &circuit.compressors;
        condition.share = match set.running {
            Some(Runs::Count(count)) => (f64::from(count) / f64::from(compressors.count.max(1))).min(1.0),
            Some(Runs::Share(share)) => share,
            None => 1.0,
        };
        let commanded = match (set.bypass, compressors.bypass.when) {
            (Some(open), _) => open,
            (None, BypassWhen::Always) => true,
            (None, BypassWhen::Minimum) => condition.share <= compressors.minimum_share + 1e-9,
            (None, BypassWhen::Never) => false,
        };
        condition.bypass = if commanded { compressors.bypass.share } else { 0.0 };
        Self {
            condition,
            base: Wrong { leaving_as_read: true, ..Wrong::NOTHING },
            film_kg_m3: job.limit("oil_film_density"),
            liquid_at: set.liquid_at,
            stopped_air_K: set.stopped.map(|(_, air)| air),
            bubbles: read(Reading::SightGlass).map(|seen| seen > 0.5),
            level: read(Reading::ReceiverLevel),
            air_at_coil: read(Reading::Outdoor).is_none() && read(Reading::AirOn).is_some(),
            circuit,
        }
    }

    /// The largest size of a cause that is looked at; none where the circuit can't have it, or what was read rules it out.
    pub(super) fn maximum(&self, cause: Cause) -> Option<f64> {
        let ruled_out = cause == Cause::WarmAir && self.air_at_coil;
        cause.maximum(&self.circuit, &self.condition).filter(|_| !ruled_out)
    }

    /// Leaving fluid and the heat that a kelvin of the fluid carries, K and W/K, where its flow was read: too little of it is a cause.
    pub fn fluid_side(set: &Set) -> Option<(f64, f64)> {
        let read = |reading: Reading| set.values.get(&reading).map(|read| read.value);
        Some((read(Reading::LeavingFluid)?, read(Reading::FluidFlow)? * WATER))
    }

    /// The circuit prepared, with its coefficients.
    ///
    /// # Errors
    /// [`MachineFault`] where it can't be.
    pub fn circuitry(&self) -> Result<Circuitry<'_>, MachineFault> {
        Circuitry::new(&self.circuit, self.film_kg_m3)
    }

    /// What the readings would be with some causes at their sizes; `healthy` is the circuit prepared.
    ///
    /// # Errors
    /// [`NoCase`] where there is no balance.
    pub fn predict(&self, healthy: &Circuitry<'_>, causes: &Sized, near: Option<Near>) -> Result<Prediction, NoCase> {
        let (mut condition, mut wrong) = (self.condition, self.base);
        let mut circuit = self.circuit.clone();
        for (cause, size) in causes {
            cause.apply(*size, &mut circuit, &mut condition, &mut wrong);
        }
        if causes.iter().any(|(cause, _)| cause.redraws()) {
            let circuitry = Circuitry::new(&circuit, self.film_kg_m3)?.with(&wrong);
            return self.read(&circuitry, &condition, &wrong, causes, near);
        }
        // What is applied changes the condition and what is wrong, not the drawing.
        self.read(&healthy.with(&wrong), &condition, &wrong, causes, near)
    }

    fn read(
        &self,
        circuitry: &Circuitry<'_>,
        condition: &Condition,
        wrong: &Wrong,
        causes: &Sized,
        near: Option<Near>,
    ) -> Result<Prediction, NoCase> {
        let solution = circuitry.solve_near(condition, near)?;
        let balance = &solution.balance;
        let fluid = circuitry.fluid;
        let liquid = &*circuitry.liquid_line(balance, condition)?;
        let running = &balance.running;
        let range = |fault| NoCase::Unbalanced(Unbalanced::Range(fault));
        let discharge = fluid.state_ph(running.discharge_Pa, running.discharge_J_kg).map_err(range)?;
        let runs = &circuitry.circuit.liquid.runs;
        // The state after so many runs of the liquid line.
        let after = |count: usize| -> Result<(f64, f64), NoCase> {
            let (p, h) = match count.checked_sub(1).and_then(|last| liquid.runs.get(last)) {
                Some(run) => (run.pressure_Pa, run.enthalpy_J_kg),
                None => (balance.leaving_Pa, balance.leaving_J_kg),
            };
            Ok((p, fluid.temperature_ph(p, h).map_err(range)?))
        };
        let is_receiver = |run: &crate::job::Run| matches!(&run.path, Path::Part(part) if part.receiver.is_some());
        let has_receiver = runs.iter().any(is_receiver);
        let count = match self.liquid_at {
            LiquidAt::Condenser => 0,
            LiquidAt::Receiver => runs.iter().position(is_receiver).map_or(0, |at| at + 1),
            LiquidAt::Machine => runs.iter().rposition(|run| !matches!(run.path, Path::Part(_))).map_or(0, |at| at + 1),
        };
        let read_liquid = after(count)?;
        let at_valve = after(runs.len())?;
        let leaves = after(0)?;
        let clogged = causes.iter().any(|(cause, _)| *cause == Cause::LiquidRestriction);
        let drier_out = drier(circuitry.circuit).map(|at| after(at + 1)).transpose()?;
        let drier_out = drier_out.or(if clogged { Some(at_valve) } else { None });
        let around = crate::machine::Surroundings {
            atmosphere_Pa: condition.atmosphere_Pa,
            air_on_K: condition.outdoor_K + condition.recirculation_K,
        };
        let rate = circuitry.coil.air_capacity_rate(&around, solution.air_share);
        let margin = Self::margin(circuitry, liquid, balance)?;
        let entering = self.entering(circuitry, &solution, wrong.fluid);
        let air = self.stopped_air_K.unwrap_or(condition.outdoor_K);
        let [bubble, dew] = [fluid.bubble_pressure(air).map_err(range)?, fluid.dew_pressure(air).map_err(range)?];
        let stopped = 0.5 * (bubble + dew) + wrong.gas_Pa;
        let opening = circuitry.valve_spare(balance, liquid).map_err(range)?;
        let dirty = causes.iter().any(|(cause, size)| *cause == Cause::DirtyCoil && *size > 0.1);
        let value = |reading: Reading| match reading {
            Reading::DischargePressure => Some(running.discharge_Pa),
            Reading::DischargeTemperature => Some(discharge.temperature),
            Reading::DischargeDrop => Some(running.discharge_Pa - balance.discharge_line.pressure_Pa),
            Reading::SuctionPressure => Some(running.suction.pressure),
            Reading::SuctionTemperature => Some(running.suction.temperature),
            Reading::LiquidPressure => Some(read_liquid.0),
            Reading::LiquidTemperature => Some(read_liquid.1),
            Reading::ValvePressure => Some(at_valve.0),
            Reading::ValveTemperature => Some(at_valve.1),
            Reading::ValveOpen => Some((1.0 / (1.0 + opening)).clamp(0.0, 1.0)),
            Reading::DrierOut => drier_out.map(|(_, temperature)| temperature),
            Reading::CondenserOut => Some(leaves.1),
            Reading::Outdoor => Some(condition.outdoor_K),
            Reading::AirOn => Some(around.air_on_K),
            Reading::AirOff => rate.map(|rate| around.air_on_K + balance.rejection_W / rate),
            Reading::EnteringFluid => entering,
            Reading::LeavingFluid => match self.circuit.evaporator.evaporating {
                Evaporating::Approach { leaving, .. } => Some(leaving.kelvin()),
                Evaporating::Held(_) => None,
            },
            Reading::FluidFlow => match self.circuit.evaporator.evaporating {
                Evaporating::Approach { range, .. } => {
                    Some(circuitry.compressor.rated().capacity_W / range.value / WATER * wrong.fluid)
                }
                Evaporating::Held(_) => None,
            },
            Reading::Power => Some(running.power_W),
            Reading::Fans => Some(solution.air_share * fans(causes)),
            Reading::SightGlass => Some(match self.bubbles {
                Some(true) => 1.0 - margin.clamp(0.0, 4.0),
                Some(false) => -margin.clamp(-3.0, 0.0),
                None => f64::from(margin < 0.0),
            }),
            Reading::ReceiverLevel => has_receiver.then(|| expected_level(self.level.unwrap_or(0.5), causes)),
            Reading::Coil => Some(f64::from(dirty)),
            Reading::BypassLine => Some(f64::from(condition.bypass > 0.01)),
            Reading::StoppedPressure => Some(stopped),
        };
        Ok(Prediction {
            values: Reading::ALL.iter().map(|reading| value(*reading)).collect(),
            near: Near::from(balance),
            starved: solution.starved.is_some(),
            margin_K: margin,
            risers: crate::survey::risers_of(&balance.discharge_line),
            lift_K: discharge.temperature - running.suction.temperature,
        })
    }

    /// Subcooling at the valve's inlet; what it lacks, negative, where gas arrives, K.
    fn margin(
        circuitry: &Circuitry<'_>,
        liquid: &crate::line::Integrated,
        balance: &crate::machine::Balance,
    ) -> Result<f64, NoCase> {
        let range = |fault| NoCase::Unbalanced(Unbalanced::Range(fault));
        let pressure = if liquid.runs.is_empty() { balance.leaving_Pa } else { liquid.pressure_Pa };
        let enthalpy = if liquid.runs.is_empty() { balance.leaving_J_kg } else { liquid.enthalpy_J_kg };
        let bubble = circuitry.fluid.bubble_p(pressure).map_err(range)?;
        Ok((bubble.enthalpy - enthalpy) / bubble.cp)
    }

    fn entering(&self, circuitry: &Circuitry<'_>, solution: &Solution, fluid: f64) -> Option<f64> {
        let Evaporating::Approach { leaving, range, .. } = self.circuit.evaporator.evaporating else { return None };
        let starved = solution.starved.and_then(|starved| starved.fluid_K).map(|[entering, _]| entering);
        let rate = circuitry.compressor.rated().capacity_W / range.value * fluid;
        starved.or(Some(leaving.kelvin() + solution.balance.capacity_W / rate))
    }
}

/// Share of the fans that turn with those causes.
fn fans(causes: &Sized) -> f64 {
    let out = |(cause, size): &(Cause, f64)| match cause {
        Cause::FansOut | Cause::HeadControlShut => 1.0 - size,
        _ => 1.0,
    };
    causes.iter().map(out).product()
}

/// The level that a cause leaves in the receiver where another was read: only empty and full tell anything.
fn expected_level(read: f64, causes: &Sized) -> f64 {
    let has = |wanted: Cause| causes.iter().any(|(cause, size)| *cause == wanted && *size > 0.0);
    if has(Cause::Undercharge) {
        0.0
    } else if has(Cause::Overcharge) {
        1.0
    } else {
        read.clamp(0.15, 0.85)
    }
}
