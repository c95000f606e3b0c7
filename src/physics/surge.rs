//! What a valve does to the liquid when it shuts.

use crate::units::{MassDensity, PressureDifference, Velocity};

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
/// Source: `crane-410`.
///
/// ```
/// use roofrun::{physics::surge::joukowsky, units::{kilograms_per_cubic_metre, metres_per_second}};
/// let rise = joukowsky(kilograms_per_cubic_metre(1000.0), metres_per_second(450.0), metres_per_second(1.5));
/// assert_eq!(format!("{:.0}", rise.value), "675000"); // Pa
/// ```
#[must_use]
pub fn joukowsky(density: MassDensity, sound: Velocity, change: Velocity) -> PressureDifference {
    density * sound * change
}
