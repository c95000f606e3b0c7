//! Strength of tube under internal pressure.

use super::OutOfBounds;
use crate::units::{Length, PressureDifference};

/// Pressure that a tube may hold inside, over the pressure outside:
///
/// p = 2 S t / (D - 0.8 t)
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | S | allowable stress at the temperature, `stress` | Pa | |
/// | t | minimum wall by the standard's tolerance, `wall` | m | above 0, below D/6 |
/// | D | largest outside diameter by the tolerance, `outside` | m | |
///
/// Without allowance for threads or corrosion, and with a joint factor of 1. Tube is annealed where it is brazed.
///
/// # Errors
/// [`OutOfBounds`] for a wall outside the range: from a sixth of the diameter on the tube is thick, and the formula of
/// thin ones does not hold.
///
/// Sources: `asme-b31`, `cda-tube-handbook`.
///
/// ```
/// use roofrun::{physics::strength::rated_pressure, units::{metres, pascals}};
/// // 2 in type M at 100 F: 6000 psi, 0.052 in of wall, 2.130 in outside.
/// let (inch, psi) = (0.0254, 6894.757);
/// let rated = rated_pressure(pascals(6000.0 * psi), metres(0.052 * inch), metres(2.130 * inch)).unwrap();
/// assert_eq!(format!("{:.0}", rated.value / psi), "299");
/// ```
pub fn rated_pressure(
    stress: PressureDifference,
    wall: Length,
    outside: Length,
) -> Result<PressureDifference, OutOfBounds> {
    thin(wall, outside, |wall, thick| wall < thick)?;
    Ok(2.0 * stress * wall / (outside - 0.8 * wall))
}

/// Whether a wall is one that a formula of thin tubes holds for: `is_thin` of the wall and a sixth of the outside diameter, m.
fn thin(wall: Length, outside: Length, is_thin: impl FnOnce(f64, f64) -> bool) -> Result<(), OutOfBounds> {
    let what = OutOfBounds { what: "wall", value: wall.value, bound: 0.0, unit: "m", below: true };
    let thick = outside.value / 6.0;
    match (wall.value > 0.0, is_thin(wall.value, thick)) {
        (false, _) => Err(what),
        (true, false) => Err(OutOfBounds { bound: thick, below: false, ..what }),
        (true, true) => Ok(()),
    }
}

/// Pressure that a tube may hold inside, over the pressure outside, on its nominal wall, as European tables rate it (AD 2000 B1
/// with a joint factor of 1):
///
/// p = 2 S s / (D - s)
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | S | allowable stress, `stress` | Pa | |
/// | s | nominal wall, `wall` | m | above 0, below D/6 as for [`rated_pressure`], and D/6 itself |
/// | D | nominal outside diameter, `outside` | m | |
///
/// # Errors
/// [`OutOfBounds`] for a wall outside the range.
///
/// Source: `en-1057-ratings`.
///
/// ```
/// use roofrun::{physics::strength::nominal_rated_pressure, units::{metres, pascals}};
/// let rated = nominal_rated_pressure(pascals(200e6 / 3.5), metres(0.0015), metres(0.042)).unwrap();
/// assert_eq!(format!("{:.0}", rated.value / 1e5), "42"); // bar
/// ```
pub fn nominal_rated_pressure(
    stress: PressureDifference,
    wall: Length,
    outside: Length,
) -> Result<PressureDifference, OutOfBounds> {
    // 6 x 1 is D/6 thick.
    thin(wall, outside, |wall, thick| wall <= thick * (1.0 + 1e-9))?;
    Ok(2.0 * stress * wall / (outside - wall))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{metres, pascals};

    #[test]
    fn both_ends_and_just_outside() {
        let rated = |wall: f64, outside: f64| rated_pressure(pascals(1e6), metres(wall), metres(outside));
        assert!(rated(1e-6, 0.06).is_ok() && rated(0.009_999, 0.06).is_ok());
        for (wall, outside) in [(0.0, 0.06), (-1.0, 0.06), (0.01, 0.06), (f64::NAN, 0.06), (0.001, f64::NAN)] {
            assert!(rated(wall, outside).is_err());
        }
        let nominal = |wall: f64, outside: f64| nominal_rated_pressure(pascals(1e6), metres(wall), metres(outside));
        assert!(nominal(1e-6, 0.06).is_ok() && nominal(0.001, 0.006).is_ok());
        for (wall, outside) in [(0.0, 0.06), (-1.0, 0.06), (0.010_1, 0.06), (f64::NAN, 0.06), (0.001, f64::NAN)] {
            assert!(nominal(wall, outside).is_err());
        }
        assert_eq!(rated(0.02, 0.06).unwrap_err().to_string(), "wall is 0.02 m, above 0.01 m");
    }
}
