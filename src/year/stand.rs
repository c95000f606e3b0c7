//! How a circuit stands at one outdoor temperature and stage.

use super::stage::Stage;
use crate::job::{Circuit, Job};
use crate::machine::{Circuitry, Condition, MachineFault, Solution, Trail, Unbalanced, feels_outdoor};
use crate::survey::{Feed, Left, oil_of, summer_condition};
use crate::units::Pressure;

/// How a circuit stands at one outdoor temperature and stage. W, Pa absolute, K.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    /// The stage.
    pub stage: Stage,
    /// Cooling capacity.
    pub capacity: f64,
    /// Power of the compressors.
    pub power: f64,
    /// Evaporating temperature.
    pub evaporating: f64,
    /// Condensing temperature.
    pub condensing: f64,
    /// Pressure at the compressors' outlet.
    pub discharge: f64,
    /// Pressure at the compressors' inlet.
    pub suction: f64,
    /// Pressure at the valve's inlet.
    pub valve: f64,
    /// Share of the air that the head control leaves.
    pub air_share: f64,
    /// Share of the coil that the head control floods.
    pub flooded_share: f64,
    /// What the liquid line leaves of the subcooling.
    pub feed: Feed,
    /// The rise that lifts oil worst: flow over the least flow, and the number of its run.
    pub oil: Option<(f64, usize)>,
}

impl Stand {
    /// Whether the head control acts.
    pub(super) fn controlled(&self) -> bool {
        self.air_share < 1.0 || self.flooded_share > 0.0
    }

    /// By how much the worse of the two demands on the liquid is met, K: what the valve needs, and `margin` before it.
    #[must_use]
    pub fn liquid_margin(&self, circuit: &Circuit, margin: f64) -> f64 {
        (self.feed.valve - circuit.valve.subcooling.value).min(self.feed.line - margin)
    }
}

/// Why there is no balance, as far as it matters here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cause {
    /// The condensing temperature falls to the evaporating temperature.
    FallsToSuction,
    /// The condenser cannot reject the heat.
    NeverCondenses,
    /// A line is too small.
    Line,
    /// Anything else.
    Other,
}

impl From<&Unbalanced> for Cause {
    fn from(unbalanced: &Unbalanced) -> Self {
        match unbalanced {
            Unbalanced::FallsToSuction { .. } => Self::FallsToSuction,
            Unbalanced::NeverCondenses { .. } => Self::NeverCondenses,
            Unbalanced::Line { .. } => Self::Line,
            _ => Self::Other,
        }
    }
}

/// A circuit ready for its year.
pub(super) struct Runner<'a> {
    pub circuitry: Circuitry<'a>,
    base: Condition,
    /// High-pressure switch, Pa.
    pub cutout: Option<f64>,
    /// Whether all hours at a held condensing temperature are alike.
    alike: bool,
}

/// A stage followed from one outdoor temperature to the next near it.
#[derive(Default)]
pub(super) struct Followed {
    trail: Trail,
    last: Option<Stand>,
    /// Once it has fallen to the suction it does so at whatever is colder.
    fallen: Option<f64>,
}

impl<'a> Runner<'a> {
    pub fn new(job: &Job, circuit: &'a Circuit) -> Result<Self, MachineFault> {
        let circuitry = Circuitry::new(circuit, job.limit("oil_film_density"))?;
        Ok(Self {
            circuitry,
            base: summer_condition(job, circuit, job.site.summer.kelvin()),
            cutout: circuit.condenser.cutout.map(Pressure::pascals),
            alike: !feels_outdoor(circuit),
        })
    }

    /// What `check` would ask of an operating point there.
    pub fn condition(&self, outdoor: f64, stage: Stage) -> Condition {
        Condition { outdoor, share: stage.share, bypass: stage.bypass, ..self.base }
    }

    /// A stage at the next outdoor temperature.
    pub fn next(&self, outdoor: f64, stage: Stage, followed: &mut Followed) -> Result<Stand, Cause> {
        if followed.fallen.is_some_and(|fallen| outdoor <= fallen) {
            return Err(Cause::FallsToSuction);
        }
        let condition = self.condition(outdoor, stage);
        let found = self.circuitry.follow(&condition, &mut followed.trail).and_then(|solution| {
            if let Some(last) = followed.last.as_ref().filter(|last| self.alike && same(last, &solution)) {
                return Ok(Stand { air_share: solution.air_share, flooded_share: solution.flooded_share, ..*last });
            }
            self.stand(&condition, &solution)
        });
        match found {
            Ok(stand) => {
                followed.last = Some(stand);
                Ok(stand)
            }
            Err(unbalanced) => {
                let cause = Cause::from(&unbalanced);
                if cause == Cause::FallsToSuction {
                    followed.fallen = Some(outdoor);
                }
                Err(cause)
            }
        }
    }

    /// A solution as a stand.
    pub fn stand(&self, condition: &Condition, solution: &Solution) -> Result<Stand, Unbalanced> {
        self.seen(condition, solution).map(|(stand, _)| stand)
    }

    /// A solution as a stand, with what is left of the subcooling along its liquid line.
    pub fn seen(&self, condition: &Condition, solution: &Solution) -> Result<(Stand, Left), Unbalanced> {
        let balance = &solution.balance;
        let marched;
        let liquid = if let Some(liquid) = &balance.liquid_line {
            liquid
        } else {
            marched = self.circuitry.march_liquid(balance, condition)?;
            &marched
        };
        let inlet = (balance.leaving_pressure, balance.leaving_enthalpy);
        let left = Left::of(self.circuitry.circuit, self.circuitry.fluid, inlet, liquid)?;
        let stand = Stand {
            stage: Stage { share: condition.share, bypass: condition.bypass },
            capacity: balance.capacity,
            power: balance.running.power,
            evaporating: balance.evaporating,
            condensing: balance.condensing,
            discharge: balance.running.discharge_pressure,
            suction: balance.running.suction.pressure,
            valve: liquid.pressure,
            air_share: solution.air_share,
            flooded_share: solution.flooded_share,
            feed: left.feed(self.circuitry.circuit),
            oil: oil_of(&balance.discharge_line),
        };
        Ok((stand, left))
    }

    /// Whether the high-pressure switch stays shut.
    pub fn stays_on(&self, stand: &Stand) -> bool {
        self.cutout.is_none_or(|cutout| stand.discharge < cutout)
    }
}

/// Whether a solution is the very balance of a stand.
fn same(stand: &Stand, solution: &Solution) -> bool {
    let balance = &solution.balance;
    stand.evaporating.to_bits() == balance.evaporating.to_bits()
        && stand.discharge.to_bits() == balance.running.discharge_pressure.to_bits()
}
