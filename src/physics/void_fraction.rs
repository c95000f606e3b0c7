//! How much refrigerant a passage holds.

use crate::units::{MassDensity, kilograms_per_cubic_metre};

/// Mean density of what fills a passage while it takes up or gives off heat evenly along its volume at one pressure, from
/// one density to the other:
///
/// rho mean = rho1 rho2 / (rho1 - rho2) ln(rho1 / rho2), and rho1 where both are the same
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | rho1, rho2 | density at the two ends | kg/m3 | above 0 |
///
/// It follows from a specific volume that changes evenly: with the quality between bubble and dew (homogeneous: vapour and
/// liquid at one speed), and nearly so in a single phase. In truth vapour runs ahead of the liquid, and a coil holds more
/// than this where it condenses or evaporates.
///
/// ```
/// use roofrun::{physics::void_fraction::mean_density, units::kilograms_per_cubic_metre};
/// let mean = mean_density(kilograms_per_cubic_metre(1000.0), kilograms_per_cubic_metre(100.0));
/// assert_eq!(format!("{:.1}", mean.value), "255.8"); // kg/m3
/// ```
#[must_use]
pub fn mean_density(one: MassDensity, other: MassDensity) -> MassDensity {
    let (dense, thin) = (one.value.max(other.value), one.value.min(other.value));
    let excess = dense / thin - 1.0;
    // ln(1 + x) / x, by its series where the difference would lose digits.
    let share = if excess < 1e-4 { 1.0 - excess / 2.0 + excess * excess / 3.0 } else { excess.ln_1p() / excess };
    kilograms_per_cubic_metre(dense * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn mean(one: f64, other: f64) -> f64 {
        mean_density(kilograms_per_cubic_metre(one), kilograms_per_cubic_metre(other)).value
    }

    #[test]
    fn between_the_ends_whichever_comes_first() {
        assert_relative_eq!(mean(1000.0, 100.0), mean(100.0, 1000.0));
        assert!((100.0..1000.0).contains(&mean(1000.0, 100.0)));
        assert_relative_eq!(mean(50.0, 50.0), 50.0);
    }

    #[test]
    fn the_series_meets_the_formula() {
        let at = |excess: f64| mean(1000.0, 1000.0 / (1.0 + excess));
        assert_relative_eq!(at(1e-4 * (1.0 - 1e-9)), at(1e-4 * (1.0 + 1e-9)), max_relative = 1e-12);
    }

    #[test]
    fn it_is_the_integral_over_the_quality() {
        let (liquid, vapour) = (1000.0, 100.0);
        let sum: f64 = (0..10_000)
            .map(|i| (f64::from(i) + 0.5) / 10_000.0)
            .map(|x| 1.0 / (x / vapour + (1.0 - x) / liquid) / 10_000.0)
            .sum();
        assert_relative_eq!(mean(liquid, vapour), sum, max_relative = 1e-7);
    }
}
