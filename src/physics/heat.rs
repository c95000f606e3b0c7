//! Heat between a tube and the air round it.

use crate::units::Length;
use std::f64::consts::PI;

/// Film outside a tube with radiation, W/(m2 K).
///
/// Source: `common-practice`.
pub const OUTSIDE_FILM: f64 = 10.0;
/// Conductivity of tube insulation, W/(m K).
///
/// Source: `common-practice`.
pub const INSULATION: f64 = 0.04;

/// Conductance between what flows in a tube and the air round it, per metre of tube, W/(m K):
///
/// U = 1 / (ln(D2/D1) / (2 pi k) + 1 / (pi D2 h)), D2 = D1 + 2 s
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | D1 | outside diameter of the tube, `outside` | m |
/// | s | thickness of insulation, 0 for none, `insulation` | m |
/// | k | [`INSULATION`] | W/(m K) |
/// | h | [`OUTSIDE_FILM`] | W/(m2 K) |
///
/// The film inside and the wall are neglected, which gives the greatest flow of heat.
///
/// ```
/// use roofrun::{physics::heat::conductance_per_length, units::metres};
/// assert_eq!(format!("{:.4}", conductance_per_length(metres(0.0286), metres(0.0))), "0.8985");
/// assert_eq!(format!("{:.4}", conductance_per_length(metres(0.0286), metres(0.0127))), "0.3207");
/// ```
#[must_use]
pub fn conductance_per_length(outside: Length, insulation: Length) -> f64 {
    let surface = outside.value + 2.0 * insulation.value;
    1.0 / ((surface / outside.value).ln() / (2.0 * PI * INSULATION) + 1.0 / (PI * surface * OUTSIDE_FILM))
}
