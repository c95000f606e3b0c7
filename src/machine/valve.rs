//! The expansion valve: what it passes wide open.

use crate::job::{Valve, ValveKind};
use crate::refrigerant::{OutOfRange, Refrigerant};

/// Rated flow of an electronic valve whose least pressure difference is not given, over that of the compressors (assumption).
pub const ELECTRONIC_RESERVE: f64 = 2.0;
/// The same of a thermostatic or fixed one.
pub const OTHER_RESERVE: f64 = 1.5;

/// What a valve is rated by.
#[derive(Clone, Copy, Debug)]
pub struct RatedFlow {
    /// Flow of the compressors, kg/s.
    pub flow: f64,
    /// Condensing pressure, dew, Pa.
    pub condensing_pressure: f64,
    /// Evaporating pressure, dew, Pa.
    pub evaporating_pressure: f64,
    /// Enthalpy of the liquid, J/kg.
    pub liquid_enthalpy: f64,
}

/// A valve wide open.
#[derive(Clone, Copy, Debug)]
pub struct Opening {
    /// kg/s per square root of kg/m3 Pa.
    factor: f64,
}

impl Opening {
    /// The valve of a circuit: wide open it passes the rated flow at its least difference with liquid of the compressors' rating.
    /// Where that is not given, twice (electronic) or one and a half times (thermostatic, fixed) the rated flow at the
    /// difference of the rating (assumptions).
    ///
    /// # Errors
    /// [`OutOfRange`] where the rating's liquid lies outside the refrigerant's range.
    pub fn new(fluid: &Refrigerant, valve: &Valve, rated: &RatedFlow) -> Result<Self, OutOfRange> {
        let liquid = fluid.state_ph(rated.condensing_pressure, rated.liquid_enthalpy)?;
        let (flow, drop) = match (valve.least_drop, valve.kind) {
            (Some(drop), _) => (rated.flow, drop.value),
            (None, kind) => {
                let reserve = if kind == ValveKind::Electronic { ELECTRONIC_RESERVE } else { OTHER_RESERVE };
                (reserve * rated.flow, rated.condensing_pressure - rated.evaporating_pressure)
            }
        };
        Ok(Self { factor: flow / (liquid.density * drop).sqrt() })
    }

    /// The same valve opened to a multiple.
    #[must_use]
    pub fn times(self, multiple: f64) -> Self {
        Self { factor: self.factor * multiple }
    }

    /// What it passes, kg/s: in proportion to sqrt(density at the inlet x (inlet pressure - evaporating pressure)), kg/m3 and Pa;
    /// gas that enters with the liquid counts as homogeneous mixture. Nothing where the pressure does not fall.
    ///
    /// Source: `iec-60534`, for the form.
    #[must_use]
    pub fn passes(self, density: f64, inlet_pressure: f64, evaporating_pressure: f64) -> f64 {
        self.factor * (density * (inlet_pressure - evaporating_pressure).max(0.0)).sqrt()
    }
}
