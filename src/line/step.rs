//! A step along a tube: how pressure and enthalpy change, by the method of Runge and Kutta.

use super::parallel::{Split, split};
use super::pipe::Pipe;
use crate::physics::static_head::static_head;
use crate::refrigerant::{Flow, OutOfRange, Phase, Refrigerant};
use crate::solve::{NoRoot, bracketed};
use crate::units::{kilograms_per_cubic_metre, metres};

/// Largest share of its pressure that a step may take: gas, where a step's error goes with the fifth power...
pub(super) const STEP_GAS: f64 = 0.02;
/// ...liquid, whose density hardly changes...
const STEP_LIQUID: f64 = 0.2;
/// ...and two-phase at the bubble line, where the density falls much faster than the pressure...
const STEP_TWO_PHASE: f64 = 0.001;
/// ...which further on goes as far as the density changes by this share.
const THINNING: f64 = 0.04;

/// Largest share of its difference to the air round it that the refrigerant may lose in a step, at a specific heat of
/// 900 J/(kg K), which none of them goes below.
pub(super) const STEP_HEAT: f64 = 0.05 * 900.0;

/// The point that an integration has reached.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub p: f64,
    pub h: f64,
    pub flow: Flow,
}

/// A step made: where it ends, its middle, and the mean of the slopes.
pub(super) struct Step {
    pub end: Point,
    pub middle: Point,
    pub mean: Slope,
}

/// Slopes over the whole run: pressure, enthalpy, friction, mean density, mean specific volume, mean fluidity.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Slope {
    pub p: f64,
    pub h: f64,
    pub friction: f64,
    pub density: f64,
    pub volume: f64,
    pub fluidity: f64,
}

impl Slope {
    pub fn add(&mut self, weight: f64, other: &Slope) {
        self.p += weight * other.p;
        self.h += weight * other.h;
        self.friction += weight * other.friction;
        self.density += weight * other.density;
        self.volume += weight * other.volume;
        self.fluidity += weight * other.fluidity;
    }
}

/// What the right-hand side needs of a run.
pub(super) struct Frame<'a> {
    pub fluid: &'a Refrigerant,
    pub pipes: &'a [Pipe],
    pub open: Vec<bool>,
    pub rise: f64,
    pub heat: Option<(f64, f64)>,
    pub flow: f64,
}

impl Frame<'_> {
    pub fn slope(&self, at: &Flow, scratch: &mut Split) -> Slope {
        split(self.pipes, &self.open, self.flow, at.density, at.viscosity, scratch);
        let h = self.heat.map_or(0.0, |(conductance, air)| -conductance * (at.temperature - air) / self.flow);
        Slope {
            p: -scratch.friction_Pa - static_head(kilograms_per_cubic_metre(at.density), metres(self.rise)).value,
            h,
            friction: scratch.friction_Pa,
            density: at.density,
            volume: 1.0 / at.density,
            fluidity: 1.0 / at.viscosity,
        }
    }

    pub fn moved(&self, from: &Point, slope: &Slope, by: f64) -> Result<Point, OutOfRange> {
        let (p, h) = (from.p + by * slope.p, from.h + by * slope.h);
        Ok(Point { p, h, flow: self.fluid.charted(p, h)? })
    }

    /// One Runge-Kutta step of length `by` (share of the run) from `from`, where the slope is `k1`.
    pub fn step(&self, from: &Point, k1: &Slope, by: f64, scratch: &mut Split) -> Result<Step, OutOfRange> {
        let k2 = self.slope(&self.moved(from, k1, by / 2.0)?.flow, scratch);
        let middle = self.moved(from, &k2, by / 2.0)?;
        let k3 = self.slope(&middle.flow, scratch);
        let k4 = self.slope(&self.moved(from, &k3, by)?.flow, scratch);
        let mut mean = Slope::default();
        for (weight, k) in [(1.0, k1), (2.0, &k2), (2.0, &k3), (1.0, &k4)] {
            mean.add(weight / 6.0, k);
        }
        Ok(Step { end: self.moved(from, &mean, by)?, middle, mean })
    }

    /// The step that just crosses into the other phase, so that no step straddles the kink by more than a trifle.
    pub fn to_boundary(
        &self,
        here: &Point,
        k1: &Slope,
        by: f64,
        beyond: Phase,
        scratch: &mut Split,
    ) -> Result<f64, OutOfRange> {
        let at_dew = [here.flow.phase, beyond].contains(&Phase::Vapour);
        let above = |point: &Point| {
            let [bubble, dew] = self.fluid.line_enthalpies(point.p)?;
            Ok(point.h - if at_dew { dew } else { bubble })
        };
        let crossed = |by: f64| above(&self.step(here, k1, by, scratch)?.end);
        match bracketed(crossed, 0.0, by, 1e-12) {
            Ok(root) => Ok((root.x + 3e-12).min(by)),
            Err(NoRoot::Function(cause)) => Err(cause),
            // It comes from the other line, or stands on this one.
            Err(NoRoot::NotBracketed { .. } | NoRoot::NotConverged { .. }) => Ok(by),
        }
    }

    /// How much of its pressure a step from a place may take.
    pub fn longest_share(&self, here: &Point) -> f64 {
        match here.flow.phase {
            Phase::Vapour => STEP_GAS,
            Phase::Liquid => STEP_LIQUID,
            Phase::TwoPhase => {
                let thinner = self.fluid.charted(here.p * (1.0 - STEP_TWO_PHASE), here.h);
                let thinning = thinner.map_or(f64::INFINITY, |after| (here.flow.density / after.density).ln());
                (STEP_TWO_PHASE * THINNING / thinning).clamp(STEP_TWO_PHASE, THINNING)
            }
        }
    }
}
