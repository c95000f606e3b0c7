//! Growth of warm tube, and the leg that gives it room.

use crate::units::{Length, PressureDifference, TemperatureDifference, factor::PSI};

/// Coefficient of expansion of copper, 1/K: 9.4e-6 in/(in F) from 70 to 212 F.
///
/// Source: `cda-tube-handbook`.
pub const COPPER: f64 = 9.4e-6 * 1.8;
/// Coefficient of expansion of carbon steel, 1/K: 6.5e-6 in/(in F), from memory.
///
/// Source: `asme-b31`.
pub const STEEL: f64 = 6.5e-6 * 1.8;

/// Modulus of elasticity of copper in what bends, Pa: 15 750 000 psi. The handbook's formula is remembered with 17 000 000,
/// but its printed table of loops and offsets stands on this, to 1.2 %.
///
/// Source: `cda-tube-handbook`, inferred from its table.
pub const COPPER_MODULUS: f64 = 15.75e6 * PSI;
/// Stress allowed in annealed copper that bends to take up growth, Pa: 6000 psi.
///
/// Source: `cda-tube-handbook`, from memory.
pub const COPPER_BENDING: f64 = 6.0e3 * PSI;
/// Modulus of elasticity of carbon steel, Pa: 29 000 000 psi, from memory.
///
/// Source: `asme-b31`.
pub const STEEL_MODULUS: f64 = 29.0e6 * PSI;
/// Stress allowed in carbon steel that bends to take up growth, Pa: 15 000 psi, its allowable stress, from memory; the code
/// grants more to what only bends.
///
/// Source: `asme-b31`.
pub const STEEL_BENDING: f64 = 15.0e3 * PSI;

/// Growth of a tube: dL = alpha L dT.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | alpha | coefficient of expansion, [`COPPER`] or [`STEEL`] | 1/K |
/// | L | length | m |
/// | dT | hottest less installed temperature | K |
///
/// Source: `cda-tube-handbook`.
///
/// ```
/// use roofrun::{physics::thermal_expansion::{COPPER, growth}, units::{kelvins, metres}};
/// let grown = growth(COPPER, metres(100.0 * 0.3048), kelvins(100.0 / 1.8)); // 100 ft by 100 F
/// assert_eq!(format!("{:.3}", grown.value / 0.0254), "1.128"); // in
/// ```
#[must_use]
pub fn growth(coefficient: f64, length: Length, difference: TemperatureDifference) -> Length {
    coefficient * length * difference.value
}

/// Developed length of the offset or loop that takes up a growth:
///
/// L = sqrt(3 E / P) sqrt(d e); in feet with d and e in inches, a twelfth of that
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | E | modulus of elasticity, [`COPPER_MODULUS`] for copper, `modulus` | Pa |
/// | P | stress allowed for it, 6000 psi for annealed copper, `stress` | Pa |
/// | d | outside diameter | m |
/// | e | growth to be taken up | m |
///
/// Source: `cda-tube-handbook`.
///
/// ```
/// use roofrun::{physics::thermal_expansion::offset_leg, units::{metres, pascals}};
/// let (inch, psi) = (0.0254, 6894.757);
/// let leg = offset_leg(pascals(17e6 * psi), pascals(6000.0 * psi), metres(1.375 * inch), metres(inch));
/// assert_eq!(format!("{:.2}", leg.value / 0.3048), "9.01"); // ft
/// ```
#[must_use]
pub fn offset_leg(modulus: PressureDifference, stress: PressureDifference, outside: Length, growth: Length) -> Length {
    (3.0 * modulus / stress * outside * growth).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{kelvins, metres, pascals};

    /// 100 ft of copper by 100 F: 1.128 in, printed in the Copper Tube Handbook; an offset for 1 in by hand, (3 x 17e6 / 6000 x 1.375)^(1/2) in.
    /// By hand: 9.4e-6 and 6.5e-6 in/(in F) over 1200 in and 100 F; moduli and stresses in MPa.
    #[test]
    fn constants_in_their_own_units() {
        for (coefficient, inches) in [(COPPER, 1.128), (STEEL, 0.78)] {
            assert!((coefficient / 1.8 * 1200.0 * 100.0 - inches).abs() < 1e-9);
        }
        for (pascals, megapascals) in [
            (COPPER_MODULUS, 108_592.4),
            (COPPER_BENDING, 41.3685),
            (STEEL_MODULUS, 199_948.0),
            (STEEL_BENDING, 103.4214),
        ] {
            assert!((pascals / 1e6 / megapascals - 1.0).abs() < 1e-5, "{pascals} {megapascals}");
        }
    }

    #[test]
    fn growth_and_the_leg_that_takes_it_up() {
        let (inch, psi) = (0.0254, 6_894.757);
        let grown = growth(COPPER, metres(100.0 * 12.0 * inch), kelvins(100.0 / 1.8)).value / inch;
        assert!((grown - 1.128).abs() < 1e-3, "{grown}");
        let leg =
            offset_leg(pascals(17e6 * psi), pascals(6000.0 * psi), metres(1.375 * inch), metres(inch)).value / inch;
        assert!((leg - 108.109).abs() < 0.01, "{leg}");
    }
}
