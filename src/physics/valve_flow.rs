//! Valves and parts by their flow coefficient.

use crate::units::factor::CV_PER_KV;
use crate::units::{MassDensity, MassRate, PressureDifference, pascals};

/// Density of the water of the definition, kg/m3.
const WATER: f64 = 1000.0;

/// Kv from Cv: Kv = Cv / 1.156.
///
/// Source: `iec-60534`.
///
/// ```
/// assert_eq!(format!("{:.2}", roofrun::physics::valve_flow::kv_from_cv(6.0)), "5.19");
/// ```
#[must_use]
pub fn kv_from_cv(cv: f64) -> f64 {
    cv / CV_PER_KV
}

/// Pressure loss of a part of known flow coefficient, from Q = Kv sqrt(dp / SG):
///
/// dp = 1 bar x (Q / Kv)2 x rho / 1000
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | Q | volume flow, m / rho | m3/h | |
/// | Kv | flow coefficient, `kv` | m3/h at 1 bar | above 0 |
/// | SG | density over that of water, 1000 kg/m3 | - | |
///
/// For turbulent flow that neither chokes nor flashes, and for gas where the loss is small beside the pressure.
///
/// Source: `iec-60534`.
///
/// ```
/// use roofrun::physics::valve_flow::loss;
/// use roofrun::units::{kilograms_per_cubic_metre, kilograms_per_second};
/// let dp = loss(kilograms_per_second(1.0), 3.6, kilograms_per_cubic_metre(1000.0));
/// assert_eq!(format!("{:.0}", dp.value), "100000"); // Pa
/// ```
#[must_use]
pub fn loss(flow: MassRate, kv: f64, density: MassDensity) -> PressureDifference {
    let cubic_metres_per_hour = flow.value / density.value * 3600.0;
    pascals(1e5 * (cubic_metres_per_hour / kv).powi(2) * density.value / WATER)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kilograms_per_cubic_metre, kilograms_per_second};

    /// By hand: 2 kg/s at 500 kg/m3 are 14.4 m3/h; (14.4 / 7.2)^2 x 500 / 1000 bar.
    #[test]
    fn the_loss_of_a_part() {
        let dp = loss(kilograms_per_second(2.0), 7.2, kilograms_per_cubic_metre(500.0));
        assert!((dp.value - 2e5).abs() < 1e-6, "{}", dp.value);
        assert!((kv_from_cv(11.56) - 10.0).abs() < 1e-12);
    }
}
