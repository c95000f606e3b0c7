//! What the wind does to a box on a roof.

use crate::units::factor;

/// Velocity pressure of wind, Pa: q = 0.613 V^2, V in m/s (0.00256 V^2 psf with V in mph): half the density of air at sea
/// level and 15 °C. The factors for exposure, topography, height and direction that the standard puts to it are left at 1.
///
/// Source: `asce-7`.
#[must_use]
pub fn velocity_pressure(speed: f64) -> f64 {
    0.613 * speed * speed
}

/// Gust and force coefficient of equipment on a roof, horizontally: 1.9 where it is small against the building.
///
/// Source: `asce-7`.
pub const ROOFTOP_COEFFICIENT: f64 = 1.9;

/// Least design pressure of wind on the face of a structure that is no building, Pa: 16 psf.
///
/// Source: `asce-7`.
pub const MINIMUM_PRESSURE: f64 = 16.0 * factor::POUND * factor::GRAVITY / (factor::FOOT * factor::FOOT);

/// Horizontal force on a face, N: F = q GCr A, with q from [`velocity_pressure`] and A in m2.
///
/// Source: `asce-7`.
#[must_use]
pub fn rooftop_force(speed: f64, area: f64) -> f64 {
    velocity_pressure(speed) * ROOFTOP_COEFFICIENT * area
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.613 V^2 and 0.00256 V^2 as printed in ASCE/SEI 7, and by hand 0.613 x 40^2 x 1.9 x 2.5 N.
    #[test]
    fn printed_pressures_and_a_face() {
        assert!((velocity_pressure(1.0) - 0.613).abs() < 1e-12 && (velocity_pressure(40.0) - 980.8).abs() < 1e-9);
        let psf = velocity_pressure(100.0 * 0.447_04) / 47.880_26;
        assert!((psf / 25.6 - 1.0).abs() < 0.002, "{psf}");
        assert!((rooftop_force(40.0, 2.5) - 4658.8).abs() < 1e-9);
        // 16 psf.
        assert!((MINIMUM_PRESSURE - 766.08).abs() < 0.01, "{MINIMUM_PRESSURE}");
    }
}
