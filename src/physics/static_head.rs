//! Pressure of a column.

use crate::units::{Length, MassDensity, PressureDifference, pascals};

/// Standard gravity, m/s2.
///
/// Source: `iso-2533`.
pub const GRAVITY: f64 = crate::units::factor::GRAVITY;

/// Static head of a fluid that climbs: dp = rho g dz, positive up. Gas and liquid alike.
///
/// ```
/// use roofrun::{physics::static_head::static_head, units::{kilograms_per_cubic_metre, metres}};
/// let dp = static_head(kilograms_per_cubic_metre(1000.0), metres(10.0));
/// assert_eq!(format!("{:.1}", dp.value), "98066.5"); // Pa
/// ```
#[must_use]
pub fn static_head(density: MassDensity, rise: Length) -> PressureDifference {
    pascals(density.value * GRAVITY * rise.value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kilograms_per_cubic_metre, metres};

    /// Ten metres of water are 98 066.5 Pa by the standard gravity.
    #[test]
    fn ten_metres_of_water() {
        let water = kilograms_per_cubic_metre(1000.0);
        assert!((static_head(water, metres(10.0)).value - 98_066.5).abs() < 1e-9);
        assert!((static_head(water, metres(-10.0)).value + 98_066.5).abs() < 1e-9);
    }
}
