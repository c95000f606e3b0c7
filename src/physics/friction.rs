//! Friction in straight tube.

use crate::units::{Length, MassDensity, PressureDifference, Velocity};
use std::f64::consts::LN_10;

/// Reynolds number below which the flow is taken as laminar.
pub const LAMINAR_BELOW: f64 = 2300.0;

/// Darcy friction factor.
///
/// Laminar below Re = 2300: f = 64/Re. Turbulent from there on (nothing clever in between):
///
/// 1/sqrt(f) = -2 log10(e/(3.7 D) + 2.51/(Re sqrt(f)))
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | f | Darcy friction factor | - | |
/// | Re | Reynolds number, `reynolds` | - | above 0; at 0 the answer is infinite |
/// | e/D | roughness over bore, `relative_roughness` | - | 0 to 0.05, of the data behind it |
///
/// Solved to the last digits of a double. The data scatter by several per cent about the formula, more between
/// Re 2300 and 4000.
///
/// Source: `colebrook-1939`.
///
/// ```
/// use roofrun::physics::friction::friction_factor;
/// assert_eq!(format!("{:.5}", friction_factor(1e5, 1e-4)), "0.01851");
/// assert_eq!(format!("{:.4}", friction_factor(1000.0, 1e-4)), "0.0640");
/// ```
#[must_use]
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds < LAMINAR_BELOW {
        return 64.0 / reynolds;
    }
    // In x = 1/sqrt(f), of F(x) = x + 2 log10(a + b x), by Householder's method of the third order: a logarithm is what a turn costs,
    // and the derivatives follow from it.
    let a = relative_roughness / 3.7;
    let b = 2.51 / reynolds;
    let per_decade = 2.0 / LN_10;
    let mut x = 8.0;
    for _ in 0..8 {
        let inside = a + b * x;
        let share = b / inside;
        let over_first = 1.0 / (1.0 + per_decade * share);
        let newton = -(x + per_decade * inside.ln()) * over_first;
        // The second and the third derivative over the first, times Newton's step and its square.
        let along = share * newton;
        let second = -per_decade * share * along * over_first;
        let third = -2.0 * along * second;
        let step = newton * (1.0 + 0.5 * second) / (1.0 + second + third / 6.0);
        x += step;
        // The error after this step is some 1e-4 of its fourth power.
        if step.abs() < 2e-3 {
            break;
        }
    }
    1.0 / (x * x)
}

/// Loss by friction, Darcy-Weisbach: dp = f (L/D) rho v2/2.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | f | Darcy friction factor, `factor` | - |
/// | L | length, with fittings as equivalent length | m |
/// | D | bore | m |
/// | rho | density | kg/m3 |
/// | v | mean velocity | m/s |
///
/// Source: `flow-of-fluids`.
///
/// ```
/// use roofrun::{physics::friction::loss, units::{kilograms_per_cubic_metre, metres, metres_per_second}};
/// let dp = loss(0.02, metres(10.0), metres(0.025), kilograms_per_cubic_metre(60.0), metres_per_second(10.0));
/// assert_eq!(format!("{:.0}", dp.value), "24000"); // Pa
/// ```
#[must_use]
pub fn loss(factor: f64, length: Length, bore: Length, density: MassDensity, velocity: Velocity) -> PressureDifference {
    factor * (length / bore) * density * velocity * velocity / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kilograms_per_cubic_metre, metres, metres_per_second};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn the_change_is_at_2300() {
        assert_relative_eq!(friction_factor(2299.999, 0.0), 64.0 / 2299.999, max_relative = 1e-15);
        assert!(friction_factor(2300.0, 0.0) > 0.04);
    }

    #[test]
    fn ends() {
        assert!(friction_factor(0.0, 0.0).is_infinite());
        assert!(friction_factor(f64::NAN, 0.0).is_nan());
        // Fully rough: 1/sqrt(f) = 2 log10(3.7 D/e).
        assert_relative_eq!(friction_factor(1e12, 0.05), (2.0 * 74f64.log10()).powi(-2), max_relative = 1e-6);
    }

    proptest! {
        #[test]
        fn solves_its_own_equation(log_re in 2300f64.log10()..9.0, roughness in 0.0..0.05) {
            let re = 10f64.powf(log_re);
            let x = friction_factor(re, roughness).powf(-0.5);
            let right = -2.0 * (roughness / 3.7 + 2.51 * x / re).log10();
            prop_assert!((x / right - 1.0).abs() < 4e-15, "{x} {right}");
        }

        #[test]
        fn more_flow_or_roughness_never_loses_less(log_re in 0.0..8.0, more in 1.0..1.5, e in 0.0..0.04) {
            let re = 10f64.powf(log_re);
            let head = |re: f64, e: f64| friction_factor(re, e) * re * re;
            prop_assert!(head(re * more, e) >= head(re, e));
            prop_assert!(head(re, e * more) >= head(re, e));
        }
    }

    /// By hand: 0.02 x (10 / 0.025) x 60 x 100 / 2.
    #[test]
    fn the_loss_of_a_tube() {
        let (density, velocity) = (kilograms_per_cubic_metre(60.0), metres_per_second(10.0));
        assert_relative_eq!(
            loss(0.02, metres(10.0), metres(0.025), density, velocity).value,
            24_000.0,
            max_relative = 1e-12
        );
    }
}
