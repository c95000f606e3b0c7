//! What a valve does to the liquid when it shuts.

use crate::units::{Length, MassDensity, PressureDifference, Time, Velocity};

/// Rise of pressure when liquid is stopped at once (Joukowsky): dp = rho a dv.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | rho | density of the liquid | kg/m3 |
/// | a | speed of sound in it; the tube's own give is neglected, which errs to the safe side | m/s |
/// | dv | velocity taken away | m/s |
///
/// Reached where the valve shuts faster than sound runs to the far end and back, 2 L / a.
///
/// Source: `joukowsky-1900`.
///
/// ```
/// use roofrun::{physics::water_hammer::joukowsky, units::{kilograms_per_cubic_metre, metres_per_second}};
/// let rise = joukowsky(kilograms_per_cubic_metre(1000.0), metres_per_second(450.0), metres_per_second(1.5));
/// assert_eq!(format!("{:.0}", rise.value), "675000"); // Pa
/// ```
#[must_use]
pub fn joukowsky(density: MassDensity, sound: Velocity, change: Velocity) -> PressureDifference {
    density * sound * change
}

/// Period of a line: the time in which sound runs to its far end and back. A valve that takes longer to shut meets the
/// pressure that comes back, and its surge falls in proportion (Michaud): dp = 2 rho L dv / t.
///
/// t = 2 L / a
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | L | length from the valve back to where the liquid stands free, a receiver or a condenser | m |
/// | a | speed of sound | m/s |
///
/// Source: `joukowsky-1900`.
///
/// ```
/// use roofrun::{physics::water_hammer::period, units::{metres, metres_per_second}};
/// let t = period(metres(600.0), metres_per_second(1200.0));
/// assert_eq!(format!("{:.2}", t.value), "1.00"); // s
/// ```
#[must_use]
pub fn period(length: Length, sound: Velocity) -> Time {
    2.0 * length / sound
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kilograms_per_cubic_metre, metres, metres_per_second};

    /// By hand: 1000 x 450 x 1.5 Pa, and 2 x 600 / 1200 s.
    #[test]
    fn a_stop_and_a_period() {
        let rise = joukowsky(kilograms_per_cubic_metre(1000.0), metres_per_second(450.0), metres_per_second(1.5));
        assert!((rise.value - 675_000.0).abs() < 1e-6);
        assert!((period(metres(900.0), metres_per_second(1200.0)).value - 1.5).abs() < 1e-12);
    }
}
