//! How a circuit runs at one outdoor temperature and stage.

use super::stage::Stage;
use crate::job::{Circuit, Job};
use crate::machine::{Circuitry, Condition, MachineFault, Near, Slopes, Solution, Unbalanced};
use crate::survey::{Feed, Left, oil_of, summer_condition};
use crate::units::Pressure;

/// How a circuit runs at one outdoor temperature and stage. W, Pa absolute, K.
#[derive(Clone, Copy, Debug)]
pub struct OperatingPoint {
    /// The stage.
    pub stage: Stage,
    /// Outdoor temperature.
    pub outdoor_K: f64,
    /// Cooling capacity.
    pub capacity_W: f64,
    /// Power of the compressors.
    pub power_W: f64,
    /// Evaporating temperature.
    pub evaporating_K: f64,
    /// Condensing temperature.
    pub condensing_K: f64,
    /// Pressure at the compressors' outlet.
    pub discharge_Pa: f64,
    /// Pressure at the compressors' inlet.
    pub suction_Pa: f64,
    /// Pressure at the valve's inlet.
    pub valve_Pa: f64,
    /// By how much more the valve would pass wide open, over the flow; 0 where it starves the evaporator.
    pub spare: f64,
    /// Whether the valve, though wide open, passes less than the compressors would take.
    pub starved: bool,
    /// Share of the air that the head control leaves.
    pub air_share: f64,
    /// Share of the coil that the head control floods.
    pub flooded_share: f64,
    /// What the liquid line leaves of the subcooling.
    pub feed: Feed,
    /// The rise that lifts oil worst: flow over the minimum flow, and the number of its run.
    pub oil: Option<(f64, usize)>,
}

/// A quantity of an operating point.
pub(super) type Quantity = fn(&OperatingPoint) -> f64;

impl OperatingPoint {
    /// Whether the head control acts.
    pub(super) fn controlled(&self) -> bool {
        self.air_share < 1.0 || self.flooded_share > 0.0
    }

    /// Whether it condenses as hot as another: the same is held.
    pub(super) fn condenses_as(&self, other: &Self) -> bool {
        (self.condensing_K - other.condensing_K).abs() < 1e-4
    }

    /// Whether nothing takes over between it and another share: the head control holds the same, or leaves the same air and coil.
    pub(super) fn in_the_regime_of(&self, other: &Self) -> bool {
        let same = |of: fn(&Self) -> f64| (of(self) - of(other)).abs() < 1e-6;
        let uncontrolled = || same(|point| point.air_share) && same(|point| point.flooded_share);
        self.starved == other.starved && (self.condenses_as(other) || uncontrolled())
    }

    /// Where a search begins that is near to it.
    pub(super) fn near(&self) -> Near {
        Near {
            evaporating_K: self.evaporating_K,
            condensing_K: self.condensing_K,
            discharge_Pa: self.discharge_Pa,
            dry_share: None,
        }
    }

    /// Points each with its weight; what has no value between is of the weightiest.
    pub(super) fn weighted(points: &[&Self], weights: &[f64]) -> Option<Self> {
        let of_each = || points.iter().copied().zip(weights);
        let (most, _) = of_each().max_by(|(_, a), (_, b)| a.total_cmp(b))?;
        // What is the same for all stays just that.
        let mix = |of: Quantity| of_each().fold(of(most), |sum, (point, weight)| sum + weight * (of(point) - of(most)));
        Some(Self {
            stage: Stage { share: mix(|point| point.stage.share), ..most.stage },
            outdoor_K: mix(|point| point.outdoor_K),
            capacity_W: mix(|point| point.capacity_W),
            power_W: mix(|point| point.power_W),
            evaporating_K: mix(|point| point.evaporating_K),
            condensing_K: mix(|point| point.condensing_K),
            discharge_Pa: mix(|point| point.discharge_Pa),
            suction_Pa: mix(|point| point.suction_Pa),
            valve_Pa: mix(|point| point.valve_Pa),
            spare: mix(|point| point.spare),
            air_share: mix(|point| point.air_share),
            flooded_share: mix(|point| point.flooded_share),
            feed: Feed {
                valve_K: mix(|point| point.feed.valve_K),
                line_K: mix(|point| point.feed.line_K),
                ..most.feed
            },
            oil: most.oil.map(|(_, run)| (mix(|point| point.oil.map_or(1.0, |(ratio, _)| ratio)), run)),
            ..*most
        })
    }

    /// Whether nothing of another point is off by more than this, relative or of the scale of a quantity.
    pub(super) fn within(&self, other: &Self, error: f64) -> bool {
        let relative: [Quantity; 8] = [
            |point| point.capacity_W,
            |point| point.power_W,
            |point| point.evaporating_K,
            |point| point.condensing_K,
            |point| point.discharge_Pa,
            |point| point.suction_Pa,
            |point| point.valve_Pa,
            |point| point.oil.map_or(1.0, |(ratio, _)| ratio),
        ];
        let scaled: [(Quantity, f64); 5] = [
            (|point| point.feed.valve_K, SUBCOOLING),
            (|point| point.feed.line_K, SUBCOOLING),
            (|point| point.spare, VALVE_SPARE),
            (|point| point.air_share, SHARE),
            (|point| point.flooded_share, SHARE),
        ];
        let relative = relative.into_iter().map(|of| (of, of(self)));
        relative.chain(scaled).all(|(of, scale): (Quantity, f64)| ((of(other) - of(self)) / scale).abs() <= error)
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

/// An operating point, or why there is none.
pub(super) type Solved = Result<OperatingPoint, Cause>;

/// Where a search begins: near what was solved before, and with how the residuals changed there.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Start {
    pub near: Option<Near>,
    pub slopes: Slopes,
}

/// Subcooling that no drawing knows, K.
const LIQUID_SLACK: f64 = 1e-3;
/// Subcooling is good to a share of the temperatures whose difference it is, K.
const SUBCOOLING: f64 = 300.0;
/// What a valve has to spare is good to a share of this.
const VALVE_SPARE: f64 = 10.0;
/// So is what the head control leaves of the air or floods of the coil, which enters only into the energy of the fans.
const SHARE: f64 = 2.0;

/// What is drawn may be off by so many times what it is off a rougher drawing.
const MARGIN: f64 = 4.0;
/// Subcooling is then good to a share of this, K.
const LIQUID_SCALE: f64 = 30.0;

/// A circuit ready for its year.
pub(super) struct CircuitModel<'a> {
    pub circuitry: Circuitry<'a>,
    base: Condition,
    /// High-pressure switch, Pa.
    pub cutout_Pa: Option<f64>,
    /// Discharge pressure from which it is near, Pa.
    pub near_cutout_Pa: Option<f64>,
    /// Least ratio of flow to the minimum flow that lifts oil.
    oil_lift: f64,
    /// Subcooling that is to be left before the valve, K.
    liquid_margin_K: f64,
}

impl<'a> CircuitModel<'a> {
    pub fn new(job: &Job, circuit: &'a Circuit) -> Result<Self, MachineFault> {
        let cutout = circuit.condenser.cutout.map(Pressure::pascals);
        Ok(Self {
            circuitry: Circuitry::new(circuit, job.limit("oil_film_density"))?,
            base: summer_condition(job, circuit, job.site.summer.kelvin()),
            cutout_Pa: cutout,
            near_cutout_Pa: cutout.map(|cutout| cutout * (1.0 - job.limit("cutout_margin"))),
            oil_lift: job.limit("oil_riser"),
            liquid_margin_K: job.limit("liquid_margin"),
        })
    }

    fn condition(&self, outdoor: f64, stage: Stage) -> Condition {
        Condition { outdoor_K: outdoor, share: stage.share, bypass: stage.bypass, ..self.base }
    }

    /// Solves a stage at an outdoor temperature, from what was solved before.
    pub fn solve(&self, outdoor: f64, stage: Stage, start: &mut Start) -> Solved {
        let condition = self.condition(outdoor, stage);
        let solution = self.circuitry.solve_along(&condition, start.near, &mut start.slopes);
        let point = solution.and_then(|solution| {
            start.near = Some(Near::from(&solution.balance));
            self.point(&condition, &solution)
        });
        point.map_err(|unbalanced| Cause::from(&unbalanced))
    }

    /// A solution as an operating point.
    fn point(&self, condition: &Condition, solution: &Solution) -> Result<OperatingPoint, Unbalanced> {
        let balance = &solution.balance;
        let liquid = &*self.circuitry.liquid_line(balance, condition)?;
        let inlet = (balance.leaving_Pa, balance.leaving_J_kg);
        let left = Left::of(self.circuitry.circuit, self.circuitry.fluid, inlet, liquid)?;
        Ok(OperatingPoint {
            stage: Stage { share: condition.share, bypass: condition.bypass },
            outdoor_K: condition.outdoor_K,
            capacity_W: balance.capacity_W,
            power_W: balance.running.power_W,
            evaporating_K: balance.evaporating_K,
            condensing_K: balance.condensing_K,
            discharge_Pa: balance.running.discharge_Pa,
            suction_Pa: balance.running.suction.pressure,
            valve_Pa: liquid.pressure_Pa,
            spare: if solution.starved.is_some() { 0.0 } else { self.circuitry.valve_spare(balance, liquid)? },
            starved: solution.starved.is_some(),
            air_share: solution.air_share,
            flooded_share: solution.flooded_share,
            feed: left.feed(self.circuitry.circuit),
            oil: oil_of(&balance.discharge_line),
        })
    }

    /// Whether the high-pressure switch stays shut.
    pub fn stays_on(&self, point: &OperatingPoint) -> bool {
        self.cutout_Pa.is_none_or(|cutout| point.discharge_Pa < cutout)
    }

    /// Whether the valve is not fed as it needs.
    pub fn flashes(&self, point: &OperatingPoint) -> bool {
        self.liquid_left(point) < -LIQUID_SLACK
    }

    /// By how much the worse of the two demands on the liquid is met, K.
    pub fn liquid_left(&self, point: &OperatingPoint) -> f64 {
        point.feed.margin(self.circuitry.circuit, point.stage.share, self.liquid_margin_K)
    }

    /// Whether a riser is below the minimum flow that lifts oil.
    pub fn drops_oil(&self, point: &OperatingPoint) -> bool {
        point.oil.is_some_and(|(ratio, _)| ratio < self.oil_lift)
    }

    /// Whether a point is so near to what is counted that the count could change by some times what a rougher one is off, and by an
    /// error more, relative or of 30 K.
    pub fn near_a_threshold(&self, point: &OperatingPoint, rough: &OperatingPoint, error: f64) -> bool {
        let near = |value: f64, rough: f64, threshold: f64, scale: f64| {
            (value - threshold).abs() <= MARGIN * (value - rough).abs() + error * scale
        };
        let mut pressures = self.cutout_Pa.into_iter().chain(self.near_cutout_Pa);
        pressures.any(|threshold| near(point.discharge_Pa, rough.discharge_Pa, threshold, threshold))
            || near(self.liquid_left(point), self.liquid_left(rough), -LIQUID_SLACK, LIQUID_SCALE)
            || point.oil.zip(rough.oil).is_some_and(|(a, b)| near(a.0, b.0, self.oil_lift, self.oil_lift))
    }
}

#[cfg(test)]
pub(super) mod testing {
    use super::*;

    /// A circuit at full load with air of so many kelvin that gives so many watts, fed and lifting its oil, its head not held.
    pub fn point(outdoor: f64, capacity: f64) -> OperatingPoint {
        OperatingPoint {
            stage: Stage { share: 1.0, bypass: 0.0 },
            outdoor_K: outdoor,
            capacity_W: capacity,
            power_W: 3e4,
            evaporating_K: 278.0,
            condensing_K: 315.0,
            discharge_Pa: 2.5e6,
            suction_Pa: 9e5,
            valve_Pa: 2.4e6,
            spare: 0.5,
            starved: false,
            air_share: 1.0,
            flooded_share: 0.0,
            feed: Feed { valve_K: 8.0, line_K: 8.0, run: 1 },
            oil: Some((2.0, 2)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::LineId;
    use crate::line::{LineFault, Stop};

    #[test]
    fn a_cause_is_that_of_the_machine() {
        let line = |line| Unbalanced::Line { line, fault: LineFault { run: 2, cause: Stop::TooManySteps } };
        for stopped in LineId::BOTH.map(line) {
            assert_eq!(Cause::from(&stopped), Cause::Line);
        }
        assert_eq!(Cause::from(&Unbalanced::NeverCondenses { top_Pa: 4e6 }), Cause::NeverCondenses);
        assert_eq!(Cause::from(&Unbalanced::FallsToSuction { evaporating_K: 278.0 }), Cause::FallsToSuction);
        assert_eq!(Cause::from(&Unbalanced::NotConverged), Cause::Other);
    }
}
