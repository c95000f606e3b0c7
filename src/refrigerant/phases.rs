//! The single phases: vapour along an isobar, liquid at a point.

use super::chebyshev::{Basis, Slice};
use super::data::{CP, DENSITY, ENTHALPY, ENTROPY, SOUND, VISCOSITY};
use super::error::SLACK;
use super::{Flow, Phase, Refrigerant, State};

/// Enthalpy or entropy: what a state may be asked by, beside its pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Heat {
    Enthalpy,
    Entropy,
}

impl Heat {
    pub(super) fn name(self) -> &'static str {
        match self {
            Heat::Enthalpy => "enthalpy",
            Heat::Entropy => "entropy",
        }
    }

    fn index(self) -> usize {
        match self {
            Heat::Enthalpy => ENTHALPY,
            Heat::Entropy => ENTROPY,
        }
    }
}

/// Vapour at one pressure. `y = 2 ln(1 + (T - T_dew) / d) / ln(1 + 120 K / d) - 1` with `d = 12 K (1.03 - p / pc)`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Isobar<'a> {
    fluid: &'a Refrigerant,
    pub(super) p: f64,
    pub(super) basis: Basis,
    pub(super) dew: f64,
    stretch: f64,
    span: f64,
}

impl<'a> Isobar<'a> {
    /// For a pressure within the scale.
    pub(super) fn new(fluid: &'a Refrigerant, p: f64) -> Isobar<'a> {
        let basis = Basis::new(fluid.scale.x(p), fluid.vapour_terms);
        let stretch = 12.0 * (1.03 - p / fluid.critical_pressure);
        let span = (1.0 + fluid.superheat / stretch).ln();
        Isobar { fluid, p, basis, dew: fluid.dew.temperature_over(&basis), stretch, span }
    }

    pub(super) fn y(&self, t: f64) -> f64 {
        2.0 * (1.0 + (t - self.dew) / self.stretch).ln() / self.span - 1.0
    }

    pub(super) fn temperature(&self, y: f64) -> f64 {
        self.dew + self.stretch * ((0.5 * (y + 1.0) * self.span).exp() - 1.0)
    }

    fn slice(&self, quantity: usize) -> Slice {
        self.fluid.vapour[quantity].over(&self.basis)
    }

    fn edge(&self, quantity: usize) -> f64 {
        self.fluid.dew_edge[quantity].over(&self.basis)
    }

    /// Entropy is kept with `R ln(p / 1 bar)` added, which takes the logarithm of low pressures out of the fit.
    fn offset(&self, heat: Heat) -> f64 {
        match heat {
            Heat::Enthalpy => 0.0,
            Heat::Entropy => -self.fluid.gas_constant * (self.p / 1e5).ln(),
        }
    }

    pub(super) fn heat_at_dew(&self, heat: Heat) -> f64 {
        self.edge(heat.index()) + self.offset(heat)
    }

    /// The y of an enthalpy or entropy at or above dew; the second value is that at the hottest.
    pub(super) fn y_of_heat(&self, heat: Heat, value: f64, at_dew: f64, guess: Option<f64>) -> (f64, f64) {
        let (slice, offset) = (self.slice(heat.index()), self.offset(heat));
        let hottest = slice.at(1.0) + offset;
        let share = ((value - at_dew) / (hottest - at_dew)).clamp(0.0, 1.0);
        let guess = guess.unwrap_or(self.dew + self.fluid.superheat * share);
        (slice.solve(value - offset, self.y(guess)), hottest)
    }

    /// What flows at enthalpies at or above dew; none where one is beyond the hottest.
    pub(super) fn flows(&self, enthalpies: [f64; 4]) -> Option<[Flow; 4]> {
        let [enthalpy, factor, viscosity] = [ENTHALPY, DENSITY, VISCOSITY].map(|quantity| self.slice(quantity));
        let hottest = enthalpy.at(1.0);
        if enthalpies.iter().any(|h| *h > hottest + SLACK * hottest.abs()) {
            return None;
        }
        let mut guess = -1.0;
        Some(enthalpies.map(|h| {
            let y = enthalpy.solve(h, guess);
            guess = y;
            let temperature = self.temperature(y);
            Flow {
                temperature,
                density: self.density_by(factor.at(y), temperature),
                viscosity: viscosity.at(y).exp(),
                quality: None,
                phase: Phase::Vapour,
            }
        }))
    }

    pub(super) fn enthalpy(&self, y: f64) -> f64 {
        self.slice(ENTHALPY).at(y)
    }

    /// Density by the factor of compressibility.
    fn density_by(&self, factor: f64, t: f64) -> f64 {
        self.p / (factor * self.fluid.gas_constant * t)
    }

    pub(super) fn density(&self, y: f64, t: f64) -> f64 {
        self.density_by(self.slice(DENSITY).at(y), t)
    }

    pub(super) fn viscosity(&self, y: f64) -> f64 {
        self.slice(VISCOSITY).at(y).exp()
    }

    pub(super) fn dew_density(&self) -> f64 {
        self.density_by(self.edge(DENSITY), self.dew)
    }

    pub(super) fn dew_viscosity(&self) -> f64 {
        self.edge(VISCOSITY).exp()
    }

    pub(super) fn state(&self, y: f64) -> State {
        self.state_of(y, self.temperature(y))
    }

    pub(super) fn state_of(&self, y: f64, t: f64) -> State {
        let at = |quantity| self.slice(quantity).at(y);
        self.fill(t, None, at)
    }

    pub(super) fn dew_state(&self) -> State {
        self.fill(self.dew, Some(1.0), |quantity| self.edge(quantity))
    }

    fn fill(&self, t: f64, quality: Option<f64>, at: impl Fn(usize) -> f64) -> State {
        State {
            pressure: self.p,
            temperature: t,
            density: self.density_by(at(DENSITY), t),
            enthalpy: at(ENTHALPY),
            entropy: at(ENTROPY) + self.offset(Heat::Entropy),
            cp: at(CP).exp(),
            viscosity: at(VISCOSITY).exp(),
            speed_of_sound: at(SOUND),
            quality,
            phase: Phase::Vapour,
        }
    }
}

/// Liquid at a pressure and a temperature: x linear in `-sqrt(T_b(0.93 pc) + 3 K - T)`, y linear in pressure from the
/// bubble line to the critical pressure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Liquid<'a> {
    fluid: &'a Refrigerant,
    pub(super) p: f64,
    pub(super) t: f64,
    basis: Basis,
    y: f64,
}

impl<'a> Liquid<'a> {
    /// For a temperature between the ends of the bubble line.
    pub(super) fn new(fluid: &'a Refrigerant, p: f64, t: f64) -> Liquid<'a> {
        let x = fluid.liquid_scale.x(t);
        let bubble = fluid.bubble.near_pressure(t);
        let y = 2.0 * (p - bubble) / (fluid.critical_pressure - bubble) - 1.0;
        Liquid { fluid, p, t, basis: Basis::new(x, fluid.liquid_terms), y }
    }

    fn at(&self, quantity: usize) -> f64 {
        self.fluid.liquid[quantity].over(&self.basis).at(self.y)
    }

    pub(super) fn heat(&self, heat: Heat) -> f64 {
        self.at(heat.index())
    }

    /// Slope of the heat in temperature at constant pressure.
    pub(super) fn heat_slope(&self, heat: Heat) -> f64 {
        let cp = self.at(CP).exp();
        match heat {
            Heat::Enthalpy => cp,
            Heat::Entropy => cp / self.t,
        }
    }

    pub(super) fn density(&self) -> f64 {
        self.at(DENSITY)
    }

    pub(super) fn viscosity(&self) -> f64 {
        self.at(VISCOSITY).exp()
    }

    pub(super) fn state(&self, quality: Option<f64>) -> State {
        State {
            pressure: self.p,
            temperature: self.t,
            density: self.density(),
            enthalpy: self.at(ENTHALPY),
            entropy: self.at(ENTROPY),
            cp: self.at(CP).exp(),
            viscosity: self.viscosity(),
            speed_of_sound: self.at(SOUND),
            quality,
            phase: Phase::Liquid,
        }
    }
}
