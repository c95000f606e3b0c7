//! Oil lifted up a riser by the gas.

use super::static_head::GRAVITY;
use crate::units::{Length, MassDensity};

/// Square of 0.85, the criterion of flow reversal, as the source prints it.
const CONSTANT: f64 = 0.723;

/// Least mass velocity of the gas that lifts an oil film up a riser, kg/(m2 s):
///
/// `G = 0.723 sqrt(rho_g g D (rho_film - rho_g))`
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | G | mass velocity | kg/(m2 s) | |
/// | `rho_g` | density of the gas, `gas` | kg/m3 | below that of the film |
/// | g | standard gravity | m/s2 | |
/// | D | bore | m | |
/// | `rho_film` | density of the film, oil with refrigerant dissolved in it, `film` | kg/m3 | |
///
/// None where the film is no denser than the gas. 0.723 is 0.85 squared (0.7225) as printed; the square root of the
/// dimensionless gas velocity at flow reversal is given between 0.8 and 1. With a film of 980 kg/m3 the formula gives
/// back the riser tables of `ashrae-halocarbon` within 2 %.
///
/// Source: `jacobs-1976`.
///
/// ```
/// use roofrun::physics::oil_film::minimum_mass_velocity;
/// use roofrun::units::{kilograms_per_cubic_metre, metres};
/// let (gas, film) = (kilograms_per_cubic_metre(60.0), kilograms_per_cubic_metre(980.0));
/// let minimum = minimum_mass_velocity(gas, film, metres(0.0321)).unwrap();
/// assert_eq!(format!("{minimum:.1}"), "95.3");
/// assert!(minimum_mass_velocity(film, gas, metres(0.0321)).is_none());
/// ```
#[must_use]
pub fn minimum_mass_velocity(gas: MassDensity, film: MassDensity, bore: Length) -> Option<f64> {
    let lighter = film.value - gas.value;
    (lighter > 0.0).then(|| CONSTANT * (gas.value * GRAVITY * bore.value * lighter).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kilograms_per_cubic_metre, metres};

    /// By hand: 0.723 x (60 x 9.80665 x 0.0321 x 920)^(1/2) = 0.723 x 131.821.
    #[test]
    fn the_flow_that_lifts() {
        let minimum = |gas: f64, film: f64| {
            minimum_mass_velocity(kilograms_per_cubic_metre(gas), kilograms_per_cubic_metre(film), metres(0.0321))
        };
        assert!((minimum(60.0, 980.0).unwrap() - 95.307).abs() < 0.01, "{:?}", minimum(60.0, 980.0));
        assert_eq!(minimum(980.0, 60.0), None);
        assert_eq!(minimum(60.0, 60.0), None);
    }
}
