//! How far warm air is thinned between an outlet and an intake.

use crate::units::factor::{CUBIC_FOOT_PER_MINUTE, FOOT, FOOT_PER_MINUTE};

/// Distance per root of flow, ft over the root of cfm.
const PER_ROOT_OF_FLOW: f64 = 0.09;
/// Velocity that counts as much as a root of the dilution factor of 1, fpm.
const VELOCITY: f64 = 400.0;

/// The factor by which an outlet's air is thinned at an intake:
///
/// DF = (L / (0.09 sqrt(Q)) + U/400)^2
///
/// | symbol | meaning | unit of the formula |
/// | --- | --- | --- |
/// | DF | dilution factor: outdoor air over the outlet's air in what the intake draws | - |
/// | L | stretched-string distance from the outlet's edge to the intake | ft |
/// | Q | flow of the outlet | cfm |
/// | U | velocity of the outlet: positive where it blows away from the intake, negative where it blows at it, 0 where it is capped or caught | fpm |
///
/// Takes m3/s, m and m/s. 0, so that nothing but the outlet's air is drawn, where the bracket is not above 0. It is a screening
/// formula for placing intakes, made for exhausts of buildings, printed as L = 0.09 sqrt(Q) (sqrt(DF) - U/400). That what an
/// intake gets on a given day lies between half and twice of it is this tool's own judgement and not in the source.
///
/// Source: `ashrae-62-1`.
#[must_use]
pub fn dilution(flow: f64, distance: f64, velocity: f64) -> f64 {
    let root = (flow / CUBIC_FOOT_PER_MINUTE).sqrt();
    let bracket = distance / FOOT / (PER_ROOT_OF_FLOW * root) + velocity / FOOT_PER_MINUTE / VELOCITY;
    bracket.max(0.0).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// The formula as it is printed.
    fn separation(flow: f64, dilution: f64, velocity: f64) -> f64 {
        let root = (flow / CUBIC_FOOT_PER_MINUTE).sqrt();
        0.09 * root * (dilution.sqrt() - velocity / FOOT_PER_MINUTE / 400.0) * FOOT
    }

    #[test]
    fn it_is_the_printed_formula_the_other_way_round() {
        for (flow, factor, velocity) in [(1.0, 15.0, 0.0), (18.0, 50.0, 5.0), (0.3, 4.0, -2.0)] {
            assert_relative_eq!(
                dilution(flow, separation(flow, factor, velocity), velocity),
                factor,
                max_relative = 1e-12
            );
        }
    }

    #[test]
    fn an_outlet_that_blows_at_the_intake_fills_it() {
        assert_relative_eq!(dilution(10.0, 0.0, 0.0), 0.0);
        assert_relative_eq!(dilution(10.0, 1.0, -20.0), 0.0);
    }
}
