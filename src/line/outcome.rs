//! What an integration answers.

use crate::refrigerant::{Flow, OutOfRange};

/// Flow and density at each run's inlet at `rating`, to which the parts' losses belong.
#[derive(Clone, Debug, Default)]
pub struct Reference {
    /// Flow, kg/s.
    pub flow_kg_s: f64,
    /// Density at the inlet of each run, kg/m3.
    pub densities: Vec<f64>,
}

impl Reference {
    /// Of a line integrated at the rating.
    #[must_use]
    pub fn of(flow: f64, integrated: &Integrated) -> Self {
        Self { flow_kg_s: flow, densities: integrated.runs.iter().map(|run| run.density_in_kg_m3).collect() }
    }
}

/// A run that can't be followed to its end.
#[derive(Clone, Debug, thiserror::Error)]
#[error("run {run}: {cause}")]
pub struct LineFault {
    /// Number of the run.
    pub run: usize,
    /// Why.
    pub cause: Stop,
}

/// What stops an integration.
#[derive(Clone, Debug, thiserror::Error)]
pub enum Stop {
    /// Pressure or temperature leaves the refrigerant's range.
    #[error(transparent)]
    Range(#[from] OutOfRange),
    /// It takes more steps than a flow worth the name.
    #[error("the flow is next to none")]
    TooManySteps,
}

/// A integrated line.
#[derive(Clone, Debug)]
pub struct Integrated {
    /// Pressure at the outlet, Pa.
    pub pressure_Pa: f64,
    /// Enthalpy at the outlet, J/kg.
    pub enthalpy_J_kg: f64,
    /// Heat that left the refrigerant to the air round it, W.
    pub heat_W: f64,
    /// The runs.
    pub runs: Vec<RunResult>,
}

/// A integrated run. Pa, J/kg, K, kg/m3, W.
#[derive(Clone, Debug)]
pub struct RunResult {
    /// Pressure at the outlet.
    pub pressure_Pa: f64,
    /// Enthalpy at the outlet.
    pub enthalpy_J_kg: f64,
    /// The rest of the state at the outlet.
    pub out: Flow,
    /// Friction of tube and fittings.
    pub friction_Pa: f64,
    /// Loss of the part.
    pub part_Pa: f64,
    /// Static head.
    pub static_Pa: f64,
    /// Heat that left the refrigerant to the air round it.
    pub heat_W: f64,
    /// Heat that a mechanical subcooler took.
    pub subcooled_W: f64,
    /// Density at the inlet, of the liquid where a liquid line has flashed: what a part's loss at the rating belongs to.
    pub density_in_kg_m3: f64,
    /// Refrigerant in its tubes, kg: volume times mean density. What oil seals stands full of the same gas.
    pub charge_kg: f64,
    /// Length of tube, m.
    pub length_m: f64,
    /// With fittings, of the largest open tube, m.
    pub equivalent_m: f64,
    /// Warmest temperature.
    pub warmest_K: f64,
    /// Least bubble temperature less temperature anywhere in it, in a liquid line, K.
    pub minimum_margin_K: Option<f64>,
    /// The tubes.
    pub tubes: Vec<TubeResult>,
}

/// One tube of an integrated run.
#[derive(Clone, Copy, Debug)]
pub struct TubeResult {
    /// Flow, kg/s; 0 where sealed.
    pub flow_kg_s: f64,
    /// Mean velocity, m/s.
    pub velocity_m_s: f64,
    /// Mean Reynolds number.
    pub reynolds: f64,
    /// Darcy friction factor.
    pub friction_factor: f64,
    /// Least flow that lifts oil, in a rise of gas.
    pub oil_minimum_kg_s: Option<f64>,
    /// Sealed with oil.
    pub sealed: bool,
}
