//! Properties of refrigerants: saturation, liquid, vapour and what lies between, from expansions fitted once to
//! equations of state.
//!
//! Everything is SI as `f64`: Pa absolute, K, kg/m3, J/kg, J/(kg K), Pa s, m/s. Enthalpy and entropy are 200 kJ/kg and
//! 1 kJ/(kg K) for bubble liquid at 0 degC.
//!
//! | region | from | to |
//! |---|---|---|
//! | bubble and dew line | -50 degC | 0.93 of the critical pressure |
//! | vapour | dew, -50 degC, about 0.5 bar or less | 120 K above dew, 0.93 of the critical pressure |
//! | liquid | -50 degC | bubble; the critical pressure; the bubble temperature at 0.93 of it |
//!
//! Outside there is an [`OutOfRange`] that names the bound. Accuracy against the equations of state: density, enthalpy and entropy
//! (of the latent heat), saturation pressure 1e-5; cp, speed of sound and viscosity 1e-3; [`Refrigerant::fit_error`]
//! has what was found when the fits were made. Viscosity of most blends follows a mixing rule good to 10 %.
//!
//! On the lines themselves the single phases meet the two-phase region without a step: the lines' properties are those
//! of the single-phase expansions there.
//!
//! Idea of the expansions: I. H. Bell, B. K. Alpert, "Efficient and precise representation of pure fluid phase
//! equilibria with Chebyshev expansions", Int. J. Thermophys. 42:75, 2021.

mod catalogue;
mod chart;
mod charted;
mod chebyshev;
mod data;
mod error;
mod inverse;
mod line;
mod phases;
mod saturation;
mod state;

use std::fmt;

use chart::Chart;
use chebyshev::{Grid, Series};
use line::{Line, PressureScale, TemperatureScale};

pub use catalogue::{called, named, names, read_afresh};
pub use error::{End, OutOfRange};
pub use state::{Flow, Phase, Range, State};

/// One refrigerant: its constants and its expansions.
#[derive(Clone)]
pub struct Refrigerant {
    name: &'static str,
    pure: bool,
    molar_mass: f64,
    gas_constant: f64,
    critical_temperature: f64,
    critical_pressure: f64,
    scale: PressureScale,
    coldest: f64,
    superheat: f64,
    vapour_terms: usize,
    liquid_terms: usize,
    liquid_scale: TemperatureScale,
    dew: Line,
    bubble: Line,
    vapour: [Grid; 6],
    dew_edge: [Series; 6],
    liquid: [Grid; 6],
    errors: Vec<(String, f64)>,
    chart: Chart,
}

impl fmt::Debug for Refrigerant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Refrigerant").field("name", &self.name).finish_non_exhaustive()
    }
}

impl Refrigerant {
    /// Its name, such as `R-410A`.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// Whether it is a pure fluid: bubble and dew are one line.
    #[must_use]
    pub fn is_pure(&self) -> bool {
        self.pure
    }

    /// Molar mass, kg/mol.
    #[must_use]
    pub fn molar_mass(&self) -> f64 {
        self.molar_mass
    }

    /// Critical temperature, K.
    #[must_use]
    pub fn critical_temperature(&self) -> f64 {
        self.critical_temperature
    }

    /// Critical pressure, Pa.
    #[must_use]
    pub fn critical_pressure(&self) -> f64 {
        self.critical_pressure
    }

    /// The range of its properties.
    #[must_use]
    pub fn range(&self) -> Range {
        Range {
            pressure_min: self.scale.low,
            pressure_max: self.scale.high,
            liquid_pressure_max: self.critical_pressure,
            temperature_min: self.coldest,
            bubble_temperature_max: self.bubble.t_high,
            dew_temperature_max: self.dew.t_high,
            superheat_max: self.superheat,
        }
    }

    /// Largest relative error of a fit against the equation of state at random states when it was made (enthalpy and
    /// entropy: of the latent heat and its entropy at that pressure), by key: `bubble_pressure`, `dew_pressure`, and
    /// `vapour_` or `liquid_` with `density`, `enthalpy`, `entropy`, `cp`, `viscosity`, `speed_of_sound`.
    #[must_use]
    pub fn fit_error(&self, key: &str) -> Option<f64> {
        self.errors.iter().find(|entry| entry.0 == key).map(|entry| entry.1)
    }

    /// Every fit error with its key.
    pub fn fit_errors(&self) -> impl Iterator<Item = (&str, f64)> {
        self.errors.iter().map(|(key, value)| (key.as_str(), *value))
    }
}
