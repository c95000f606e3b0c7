//! A step along a tube: how pressure and enthalpy change, by the method of Runge and Kutta.

use super::parallel::{Split, split};
use super::pipe::Pipe;
use super::work::Work;
use crate::physics::static_head::static_head;
use crate::refrigerant::{Flow, OutOfRange, Phase, Refrigerant};
use crate::solve::{NoRoot, bracketed};
use crate::units::{kilograms_per_cubic_metre, metres};

/// Largest share of its pressure that a step may take: gas, where a step's error goes with the fifth power (`tests/properties.rs`
/// holds what is left of it)...
pub(super) const STEP_GAS: f64 = 0.05;
/// ...liquid, whose density hardly changes...
const STEP_LIQUID: f64 = 0.2;
/// ...and two-phase at the bubble line, where the density falls much faster than the pressure...
const STEP_TWO_PHASE: f64 = 0.001;
/// ...which further on goes as far as the density changes by this share...
const DENSITY: f64 = 0.04;
/// ...and so many times as far at the most.
const LONGER: f64 = 40.0;

/// Largest share of its difference to the air round it that the refrigerant may lose in a step...
const STEP_HEAT: f64 = 0.35;
/// ...at a specific heat that none of them goes below, J/(kg K).
const SPECIFIC_HEAT: f64 = 900.0;

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
    pub work: &'a Work,
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

    /// The point with that much more pressure and enthalpy.
    fn changed(&self, from: &Point, [p, h]: [f64; 2]) -> Result<Point, OutOfRange> {
        let (p, h) = (from.p + p, from.h + h);
        Ok(Point { p, h, flow: self.fluid.charted(p, h)? })
    }

    /// How fast the refrigerant comes to the temperature of the air round it, by the run: the enthalpy's difference to that in the air
    /// falls as exp(-rate x), if its specific heat, taken over the enthalpy of half a step, does not change.
    fn rate(&self, from: &Point, k1: &Slope, by: f64) -> Result<f64, OutOfRange> {
        let change = 0.5 * by * k1.h;
        let Some((conductance, _)) = self.heat.filter(|_| change != 0.0) else { return Ok(0.0) };
        let warmer = self.changed(from, [0.0, change])?.flow.temperature - from.flow.temperature;
        Ok((conductance * warmer / (change * self.flow)).max(0.0))
    }

    /// One step of length `by` (share of the run) from `from`, where the slope is `k1`: Runge and Kutta's for the pressure, for the
    /// enthalpy Lawson's (J. D. Lawson, "Generalized Runge-Kutta processes for stable systems with large Lipschitz constants", SIAM
    /// Journal on Numerical Analysis 4:372-380, 1967; from memory), which has what falls as exp(-rate x) exactly and integrates by
    /// Runge and Kutta's only what is beside that.
    pub fn step(&self, from: &Point, k1: &Slope, by: f64, scratch: &mut Split) -> Result<Step, OutOfRange> {
        self.work.add(1);
        let rate = self.rate(from, k1, by)?;
        let half = (-0.5 * rate * by).exp();
        // What the slope at the beginning makes of the enthalpy in a half and in the whole step.
        let [halfway, whole] = [0.5 * by, by].map(|by| match rate * by {
            0.0 => k1.h * by,
            fall => -k1.h * (-fall).exp_m1() / rate,
        });
        // What a slope is beside exp(-rate x).
        let beside = |k: &Slope, h: f64| k.h - k1.h + rate * (h - from.h);
        let first = self.changed(from, [0.5 * by * k1.p, halfway])?;
        let k2 = self.slope(&first.flow, scratch);
        let n2 = beside(&k2, first.h);
        let middle = self.changed(from, [0.5 * by * k2.p, halfway + 0.5 * by * n2])?;
        let k3 = self.slope(&middle.flow, scratch);
        let n3 = beside(&k3, middle.h);
        let last = self.changed(from, [by * k3.p, whole + by * half * n3])?;
        let k4 = self.slope(&last.flow, scratch);
        let n4 = beside(&k4, last.h);
        let mut mean = Slope::default();
        for (weight, k) in [(1.0, k1), (2.0, &k2), (2.0, &k3), (1.0, &k4)] {
            mean.add(weight / 6.0, k);
        }
        let heat = whole + by / 6.0 * (2.0 * half * (n2 + n3) + n4);
        mean.h = heat / by;
        Ok(Step { end: self.changed(from, [by * mean.p, heat])?, middle, mean })
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

    /// The longest step from a place where the slope is `k1`, as a share of the run.
    pub fn longest(&self, here: &Point, k1: &Slope) -> f64 {
        let heat =
            self.heat.map_or(f64::INFINITY, |(conductance, _)| STEP_HEAT * SPECIFIC_HEAT * self.flow / conductance);
        let share = |of: f64| (of * here.p / k1.p.abs()).min(heat);
        match here.flow.phase {
            Phase::Vapour => share(STEP_GAS),
            Phase::Liquid => share(STEP_LIQUID),
            Phase::TwoPhase => {
                let short = share(STEP_TWO_PHASE);
                let after = self.changed(here, [short * k1.p, short * k1.h]);
                let change = after.map_or(f64::INFINITY, |after| (here.flow.density / after.flow.density).ln().abs());
                short * (DENSITY / change).clamp(1.0, LONGER)
            }
        }
    }
}
