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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::metres;
    use approx::assert_relative_eq;

    /// By hand: pi x 0.0286 x 10 bare; with 12.7 mm ln(54 / 28.6) / (2 pi 0.04) = 2.52882 and 1 / (pi x 0.054 x 10) = 0.58946 in a row.
    #[test]
    fn bare_and_insulated() {
        assert_relative_eq!(conductance_per_length(metres(0.0286), metres(0.0)), 0.898_495, max_relative = 1e-5);
        let insulated = conductance_per_length(metres(0.0286), metres(0.0127));
        assert_relative_eq!(insulated, 1.0 / (2.528_82 + 0.589_46), max_relative = 1e-4);
    }
}
