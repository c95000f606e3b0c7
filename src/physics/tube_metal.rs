//! What a tube is made of, by volume.

use crate::units::{Length, Volume};
use std::f64::consts::PI;

/// Volume of the metal of a tube: V = pi (D - t) t L.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | D | outside diameter | m |
/// | t | wall, at most D/2 | m |
/// | L | length | m |
///
/// ```
/// use roofrun::{physics::tube_metal::metal_volume, units::metres};
/// // A solid rod is a tube whose wall reaches the middle.
/// let rod = metal_volume(metres(0.02), metres(0.01), metres(1.0));
/// assert_eq!(format!("{:.6}", rod.value), "0.000314"); // m3
/// ```
#[must_use]
pub fn metal_volume(outside: Length, wall: Length, length: Length) -> Volume {
    PI * (outside - wall) * wall * length
}

/// Volume inside a tube: V = pi/4 (D - 2 t)2 L, symbols as for [`metal_volume`].
///
/// ```
/// use roofrun::{physics::tube_metal::inside_volume, units::metres};
/// let inside = inside_volume(metres(0.022), metres(0.001), metres(1.0));
/// assert_eq!(format!("{:.6}", inside.value), "0.000314"); // m3
/// ```
#[must_use]
pub fn inside_volume(outside: Length, wall: Length, length: Length) -> Volume {
    let bore = outside - 2.0 * wall;
    PI / 4.0 * bore * bore * length
}
