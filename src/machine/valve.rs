//! The expansion valve: what it passes wide open.

use crate::job::{Valve, ValveKind};
use crate::refrigerant::{OutOfRange, Refrigerant};

/// Rated flow of an electronic valve whose minimum pressure difference is not given, over that of the compressors (assumption).
pub const ELECTRONIC_RESERVE: f64 = 2.0;
/// The same of a thermostatic one.
pub const THERMOSTATIC_RESERVE: f64 = 1.5;
/// The same of a fixed restriction, which is chosen for the rating.
pub const FIXED_RESERVE: f64 = 1.0;

/// What a valve is rated by.
#[derive(Clone, Copy, Debug)]
pub struct RatedFlow {
    /// Flow of the compressors, kg/s.
    pub flow_kg_s: f64,
    /// Condensing pressure, dew, Pa.
    pub condensing_Pa: f64,
    /// Evaporating pressure, dew, Pa.
    pub evaporating_Pa: f64,
    /// Enthalpy of the liquid, J/kg.
    pub liquid_J_kg: f64,
}

/// A valve wide open.
#[derive(Clone, Copy, Debug)]
pub struct Opening {
    /// kg/s per square root of kg/m3 Pa.
    factor: f64,
}

impl Opening {
    /// The valve of a circuit: wide open it passes the rated flow at its minimum difference with liquid of the compressors' rating.
    /// Where that is not given, twice (electronic), one and a half times (thermostatic) or just (fixed) the rated flow at the
    /// difference of the rating (assumptions).
    ///
    /// # Errors
    /// [`OutOfRange`] where the rating's liquid lies outside the refrigerant's range.
    pub fn new(fluid: &Refrigerant, valve: &Valve, rated: &RatedFlow) -> Result<Self, OutOfRange> {
        let liquid = fluid.state_ph(rated.condensing_Pa, rated.liquid_J_kg)?;
        let (flow, drop) = match (valve.minimum_drop, valve.kind) {
            (Some(drop), _) => (rated.flow_kg_s, drop.value),
            (None, kind) => {
                let reserve = match kind {
                    ValveKind::Electronic => ELECTRONIC_RESERVE,
                    ValveKind::Thermostatic => THERMOSTATIC_RESERVE,
                    ValveKind::Fixed => FIXED_RESERVE,
                };
                (reserve * rated.flow_kg_s, rated.condensing_Pa - rated.evaporating_Pa)
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

    /// The pressure difference at which it passes a flow (kg/s), Pa: (flow / factor)^2 / density, density in kg/m3.
    #[must_use]
    pub fn requires(self, density: f64, flow_kg_s: f64) -> f64 {
        (flow_kg_s / self.factor).powi(2) / density
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refrigerant;
    use crate::units::{kelvins, pascals};
    use approx::assert_relative_eq;

    /// R-134a, 1 kg/s, 120 F over 40 F with 10 F of subcooling.
    fn opening(kind: ValveKind, minimum_drop: Option<f64>) -> (Opening, RatedFlow, f64) {
        let fluid = refrigerant::named("R-134a").unwrap();
        let [condensing, evaporating] = [322.038_889, 277.594_444].map(|t| fluid.dew_pressure(t).unwrap());
        let liquid = fluid.liquid_pt(condensing, 322.038_889 - 10.0 / 1.8).unwrap();
        let rated = RatedFlow {
            flow_kg_s: 1.0,
            condensing_Pa: condensing,
            evaporating_Pa: evaporating,
            liquid_J_kg: liquid.enthalpy,
        };
        let valve = Valve { kind, subcooling: kelvins(2.0), minimum_drop: minimum_drop.map(pascals) };
        (Opening::new(fluid, &valve, &rated).unwrap(), rated, liquid.density)
    }

    #[test]
    fn it_passes_the_rated_flow_at_its_least_drop_and_half_at_a_quarter() {
        let (valve, _, density) = opening(ValveKind::Thermostatic, Some(4e5));
        assert_relative_eq!(valve.passes(density, 9e5, 5e5), 1.0, max_relative = 1e-6);
        assert_relative_eq!(valve.passes(density, 6e5, 5e5), 0.5, max_relative = 1e-6);
        // Gas in it takes the room of liquid: a quarter of the density, half the flow.
        assert_relative_eq!(valve.passes(density / 4.0, 9e5, 5e5), 0.5, max_relative = 1e-6);
        assert!(valve.passes(density, 4e5, 5e5) <= 0.0);
        // 1 kg/s requires the drop that it is rated at, half of that a quarter.
        assert_relative_eq!(valve.requires(density, 1.0), 4e5, max_relative = 1e-6);
        assert_relative_eq!(valve.requires(density, 0.5), 1e5, max_relative = 1e-6);
    }

    #[test]
    fn without_a_minimum_drop_its_size_is_taken_by_its_kind() {
        for (kind, reserve) in [(ValveKind::Electronic, 2.0), (ValveKind::Thermostatic, 1.5), (ValveKind::Fixed, 1.0)] {
            let (valve, rated, density) = opening(kind, None);
            let passes = valve.passes(density, rated.condensing_Pa, rated.evaporating_Pa);
            assert_relative_eq!(passes, reserve, max_relative = 1e-6);
        }
    }
}
