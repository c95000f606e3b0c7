//! What a refrigerant answers.

/// The phase of a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Subcooled or bubble liquid.
    Liquid,
    /// Liquid and vapour together.
    TwoPhase,
    /// Superheated or dew vapour.
    Vapour,
}

/// All properties of one state. SI, by mass.
///
/// Between the lines, with quality `x` the mass share of vapour and the phases taken at bubble and dew of the pressure:
///
/// | property | rule |
/// |---|---|
/// | temperature | `T_b + x (T_d - T_b)`: exact for a pure fluid; for the blends see below |
/// | density | `1 / rho = x / rho_v + (1 - x) / rho_l` |
/// | enthalpy, entropy | `x h_v + (1 - x) h_l` |
/// | cp | `x cp_v + (1 - x) cp_l`: of the phases, evaporation left out |
/// | viscosity | `1 / mu = x / mu_v + (1 - x) / mu_l` (`McAdams`) |
/// | speed of sound | `1 / (rho w^2) = a / (rho_v w_v^2) + (1 - a) / (rho_l w_l^2)`, a the share of vapour by volume (Wood) |
///
/// Each goes over into the value of the line at either end.
///
/// The temperature of a blend at given enthalpy, against flashes of the equations of state: at 8 bar and more within 0.35 K,
/// but 0.6 K for R-454A and 0.95 K for R-438A; at 1.5 bar within 0.55 K, 0.9 K and 1.6 K. Largest at half quality and
/// above; nothing at the lines. Not compared for the pseudo-pure R-404A, R-407C, R-410A and R-507A, whose equations
/// know no composition between the lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Absolute pressure, Pa.
    pub pressure: f64,
    /// Temperature, K.
    pub temperature: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Enthalpy, J/kg; 200 kJ/kg for bubble liquid at 0 degC.
    pub enthalpy: f64,
    /// Entropy, J/(kg K); 1 kJ/(kg K) for bubble liquid at 0 degC.
    pub entropy: f64,
    /// Specific heat at constant pressure, J/(kg K).
    pub cp: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity: f64,
    /// Speed of sound, m/s.
    pub speed_of_sound: f64,
    /// Mass share of vapour: 0 on the bubble line, 1 on the dew line, none in a single phase.
    pub quality: Option<f64>,
    /// The phase.
    pub phase: Phase,
}

/// What an integration along a tube needs of a state, and no more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// Temperature, K.
    pub temperature: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity: f64,
    /// Mass share of vapour between the lines, none in a single phase.
    pub quality: Option<f64>,
    /// The phase.
    pub phase: Phase,
}

/// The range of a refrigerant's properties.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least pressure of vapour and two-phase states, Pa.
    pub pressure_min: f64,
    /// Greatest pressure of vapour and two-phase states, Pa: 0.93 of the critical pressure.
    pub pressure_max: f64,
    /// Greatest pressure of liquid, Pa: the critical pressure.
    pub liquid_pressure_max: f64,
    /// Least temperature of anything, K.
    pub temperature_min: f64,
    /// Bubble temperature at `pressure_max`, K: the greatest of liquid.
    pub bubble_temperature_max: f64,
    /// Dew temperature at `pressure_max`, K.
    pub dew_temperature_max: f64,
    /// Greatest superheat above the dew temperature, K.
    pub superheat_max: f64,
}

impl State {
    pub(super) fn mixed(liquid: &State, vapour: &State, quality: f64) -> State {
        let blend = |of: fn(&State) -> f64| quality * of(vapour) + (1.0 - quality) * of(liquid);
        let density = 1.0 / blend(|s| 1.0 / s.density);
        let share = quality * density / vapour.density;
        let stiffness = |s: &State| s.density * s.speed_of_sound * s.speed_of_sound;
        let compliance = share / stiffness(vapour) + (1.0 - share) / stiffness(liquid);
        State {
            pressure: vapour.pressure,
            temperature: blend(|s| s.temperature),
            density,
            enthalpy: blend(|s| s.enthalpy),
            entropy: blend(|s| s.entropy),
            cp: blend(|s| s.cp),
            viscosity: 1.0 / blend(|s| 1.0 / s.viscosity),
            speed_of_sound: (1.0 / (density * compliance)).sqrt(),
            quality: Some(quality),
            phase: Phase::TwoPhase,
        }
    }
}

impl From<State> for Flow {
    fn from(state: State) -> Flow {
        Flow {
            temperature: state.temperature,
            density: state.density,
            viscosity: state.viscosity,
            quality: state.quality,
            phase: state.phase,
        }
    }
}
