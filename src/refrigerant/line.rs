//! The bubble line and the dew line: temperature of pressure as it was fitted, pressure of temperature as its exact
//! inverse.

use super::chebyshev::{Basis, Series};

/// Pressure to the variable `x` of the expansions: linear in `-sqrt(1 - (p/pc)^0.3)`, -1 at the minimum pressure and +1
/// at the greatest. The power straightens the low end, the root the approach to the critical point.
#[derive(Debug, Clone, Copy)]
pub(super) struct PressureScale {
    pub(super) low: f64,
    pub(super) high: f64,
    critical: f64,
    u_low: f64,
    u_high: f64,
}

const POWER: f64 = 0.3;

impl PressureScale {
    pub(super) fn new(low: f64, high: f64, critical: f64) -> PressureScale {
        let u = |p: f64| -(1.0 - (p / critical).powf(POWER)).sqrt();
        PressureScale { low, high, critical, u_low: u(low), u_high: u(high) }
    }

    pub(super) fn x(&self, p: f64) -> f64 {
        let u = -(1.0 - (p / self.critical).powf(POWER)).sqrt();
        self.linear(u)
    }

    /// x and its slope in pressure.
    fn x_with_slope(&self, p: f64) -> (f64, f64) {
        let w = (p / self.critical).powf(POWER);
        let u = -(1.0 - w).sqrt();
        let du = -0.5 * POWER * w / (p * u);
        (self.linear(u), 2.0 * du / (self.u_high - self.u_low))
    }

    fn linear(&self, u: f64) -> f64 {
        (2.0 * u - self.u_low - self.u_high) / (self.u_high - self.u_low)
    }
}

/// Temperature to the variable `x` of the liquid's expansions: linear in `-sqrt(T_b(0.93 pc) + 3 K - T)` between the
/// ends of the bubble line.
#[derive(Debug, Clone, Copy)]
pub(super) struct TemperatureScale {
    above: f64,
    slope: f64,
    shift: f64,
}

impl TemperatureScale {
    pub(super) fn new(low: f64, high: f64) -> TemperatureScale {
        let above = high + 3.0;
        let (a, b) = (-(above - low).sqrt(), -(above - high).sqrt());
        TemperatureScale { above, slope: 2.0 / (b - a), shift: -(a + b) / (b - a) }
    }

    pub(super) fn x(&self, t: f64) -> f64 {
        self.shift - self.slope * (self.above - t).sqrt()
    }
}

/// One saturation line.
#[derive(Debug, Clone)]
pub(super) struct Line {
    scale: PressureScale,
    temperature: Series,
    log_pressure: Series,
    /// Temperatures at the ends of the scale, K.
    pub(super) t_low: f64,
    pub(super) t_high: f64,
    /// x of ln p is `by_inverse / T + shift`.
    by_inverse: f64,
    shift: f64,
}

impl Line {
    /// From the series for T over the scale's x, and the series for ln p over an x linear in 1/T.
    pub(super) fn new(scale: PressureScale, temperature: Series, log_pressure: Series) -> Line {
        let at = |p| temperature.over(&Basis::new(scale.x(p), temperature.len()));
        let (t_low, t_high) = (at(scale.low), at(scale.high));
        let (a, b) = (1.0 / t_low, 1.0 / t_high);
        let (by_inverse, shift) = (2.0 / (b - a), -(a + b) / (b - a));
        Line { scale, temperature, log_pressure, t_low, t_high, by_inverse, shift }
    }

    pub(super) fn terms(&self) -> usize {
        self.temperature.len()
    }

    pub(super) fn temperature(&self, p: f64) -> f64 {
        self.temperature_over(&Basis::new(self.scale.x(p), self.terms()))
    }

    pub(super) fn temperature_over(&self, basis: &Basis) -> f64 {
        self.temperature.over(basis)
    }

    /// Pressure at a temperature within some 1e-6, Pa. The liquid's mapping is built on it.
    pub(super) fn near_pressure(&self, t: f64) -> f64 {
        self.log_pressure.at(self.by_inverse / t + self.shift).exp()
    }

    /// The pressure at which the line has this temperature, to rounding: Newton from [`Line::near_pressure`].
    pub(super) fn pressure(&self, t: f64) -> f64 {
        let mut p = self.near_pressure(t);
        for _ in 0..4 {
            let (x, slope_x) = self.scale.x_with_slope(p);
            let (value, slope) = self.temperature.with_slope(x);
            let step = (t - value) / (slope * slope_x);
            p += step;
            if step.abs() < 1e-8 * p {
                break;
            }
        }
        p.clamp(self.scale.low, self.scale.high)
    }
}
