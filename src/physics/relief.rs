//! What a relief valve of a vessel must let out, and how long its discharge line may be.

use super::OutOfBounds;
use std::f64::consts::PI;

use crate::units::{Length, MassRate, Pressure, kilograms_per_second, metres};

/// Least capacity of the relief device of a vessel, as air: C = f D L.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | f | factor of the refrigerant, `refdata::relief_factor` | kg/(s m2) |
/// | D | outside diameter | m |
/// | L | length | m |
///
/// 2.5 times as much where combustible materials are within 20 ft; of several vessels on one device the sum.
///
/// Source: `umc-1113`.
///
/// ```
/// use roofrun::{physics::relief::capacity, units::metres};
/// // f of 0.5 lb/(min ft2), 6 ft by 16 ft: 48 lb/min.
/// let (foot, pound) = (0.3048, 0.453_592_37);
/// let air = capacity(0.5 * pound / 60.0 / (foot * foot), metres(6.0 * foot), metres(16.0 * foot));
/// assert_eq!(format!("{:.0}", air.value / pound * 60.0), "48");
/// ```
#[must_use]
pub fn capacity(factor: f64, diameter: Length, length: Length) -> MassRate {
    kilograms_per_second(factor * diameter.value * length.value)
}

/// Heat that a fire puts into the shell of a vessel, W/m2, by EN 13136. From memory.
const FIRE: f64 = 10_000.0;

/// Least capacity of the relief valve of a vessel by EN 13136, as vapour of its refrigerant: Q = 10 kW/m2 A / h.
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | A | outside of the shell: a cylinder of diameter `diameter` and length `length` with flat ends | m2 | |
/// | h | latent heat at the pressure at which the valve blows, 1.1 times its setting, `latent` | J/kg | above 0 |
///
/// Source: `en-13136`.
///
/// ```
/// use roofrun::{physics::relief::vapour_capacity, units::metres};
/// // 0.4 m by 2 m: 2.76 m2, 27.6 kW.
/// assert_eq!(format!("{:.3}", vapour_capacity(metres(0.4), metres(2.0), 100_000.0).value), "0.276"); // kg/s
/// ```
#[must_use]
pub fn vapour_capacity(diameter: Length, length: Length, latent: f64) -> MassRate {
    let surface = PI * diameter.value * (length.value + diameter.value / 2.0);
    kilograms_per_second(FIRE * surface / latent)
}

/// The air of 20 °C that a valve lets out where it lets out vapour, both at the speed of sound in its seat:
/// m_air = m (C_air sqrt(p rho_air))/(C sqrt(p rho)), C = sqrt(k (2/(k+1))^((k+1)/(k-1))).
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | m | flow of vapour, `vapour` | kg/s |
/// | p | absolute pressure before the valve, `pressure` | Pa |
/// | rho | density of the vapour there, `density` | kg/m3 |
/// | k | isentropic exponent of the vapour, at 25 °C and one atmosphere, `exponent`; of air 1.4 | - |
///
/// Source: `en-13136`.
///
/// ```
/// use roofrun::{physics::relief::as_air, units::{Pressure, kilograms_per_second}};
/// // Air at 20 °C is its own equivalent.
/// let p = Pressure::from_pascals(1e6);
/// let air = as_air(kilograms_per_second(0.1), p, 1e6 / (287.05 * 293.15), 1.4);
/// assert_eq!(format!("{:.3}", air.value), "0.100");
/// ```
#[must_use]
pub fn as_air(vapour: MassRate, pressure: Pressure, density: f64, exponent: f64) -> MassRate {
    let choked = |k: f64| (k * (2.0 / (k + 1.0)).powf((k + 1.0) / (k - 1.0))).sqrt();
    let air = pressure.pascals() / (287.05 * 293.15);
    vapour * (choked(1.4) / choked(exponent) * (air / density).sqrt())
}

/// Pressure at the valve's outlet that a relief valve of the usual kind bears while it blows: P0 = 0.15 P + atmosphere, with the
/// setting P over the atmosphere.
///
/// Source: `relief-line`.
///
/// ```
/// use roofrun::{physics::relief::outlet_pressure, units::Pressure};
/// let psi = 6894.757;
/// let p0 = outlet_pressure(Pressure::from_pascals(225.0 * psi + 14.7 * psi), Pressure::from_pascals(14.7 * psi));
/// assert_eq!(format!("{:.2}", p0.pascals() / psi), "48.45");
/// ```
#[must_use]
pub fn outlet_pressure(setting: Pressure, atmosphere: Pressure) -> Pressure {
    Pressure::from_pascals(0.15 * (setting.pascals() - atmosphere.pascals()) + atmosphere.pascals())
}

/// Friction factor at full turbulence, by the rough end of Colebrook: 1/sqrt(f) = -2 log10(e/(3.7 D)).
///
/// Source: `colebrook-1939`.
///
/// ```
/// // 1-1/4 in pipe of 45 um roughness: a printed 0.0209.
/// assert_eq!(format!("{:.3}", roofrun::physics::relief::rough_friction_factor(45e-6 / 0.03505)), "0.021");
/// ```
#[must_use]
pub fn rough_friction_factor(relative_roughness: f64) -> f64 {
    (-2.0 * (relative_roughness / 3.7).log10()).powi(-2)
}

/// Greatest equivalent length of a relief valve's discharge line:
///
/// L = 7.4381e-6 d5 (P0^2 - P2^2) / (f C^2) - 2 d ln(P0/P2) / f
///
/// (in ft, in, psia and lb/min of air: 0.2146 d5 (P0^2 - P2^2)/(f C^2) - d ln(P0/P2)/(6 f))
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | d | bore, `bore` | m | |
/// | P0 | absolute pressure at the valve's outlet, `outlet` | Pa | above P2 |
/// | P2 | absolute pressure at the line's end, `end` | Pa | |
/// | f | friction factor at full turbulence, `factor` | - | |
/// | C | stamped capacity of the valve, air, `capacity` | kg/s | above 0 |
///
/// Below 0 where the line loses more at its own speed than there is.
///
/// # Errors
/// [`OutOfBounds`] for an outlet that is not above the end, and for no capacity.
///
/// Source: `relief-line`; one manufacturer prints 0.214 for 0.2146.
///
/// ```
/// use roofrun::{physics::relief::longest_line, units::{Pressure, kilograms_per_second, metres}};
/// // 1.61 in, valve at 300 psig, 20 lb/min, f 0.0206: 925.0 ft.
/// let (psi, pound, inch) = (6894.757, 0.453_592_37, 0.0254);
/// let (outlet, end) = (Pressure::from_pascals(59.7 * psi), Pressure::from_pascals(14.7 * psi));
/// let length = longest_line(metres(1.61 * inch), outlet, end, 0.0206, kilograms_per_second(20.0 * pound / 60.0)).unwrap();
/// assert_eq!(format!("{:.0}", length.value / 0.3048), "925");
/// ```
pub fn longest_line(
    bore: Length,
    outlet: Pressure,
    end: Pressure,
    factor: f64,
    capacity: MassRate,
) -> Result<Length, OutOfBounds> {
    let (p0, p2) = (outlet.pascals(), end.pascals());
    if p0.is_nan() || p2.is_nan() || p2 <= 0.0 || p0 <= p2 {
        return Err(OutOfBounds { what: "outlet pressure", value: p0, bound: p2, unit: "Pa", below: true });
    }
    if capacity.value.is_nan() || capacity.value <= 0.0 {
        return Err(OutOfBounds { what: "capacity", value: capacity.value, bound: 0.0, unit: "kg/s", below: true });
    }
    let d = bore.value;
    let driven = 7.4381e-6 * d.powi(5) * (p0 * p0 - p2 * p2) / (factor * capacity.value.powi(2));
    Ok(metres(driven - 2.0 * d * (p0 / p2).ln() / factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_of_a_vapour_by_hand() {
        // C is 0.684 731 of air and 0.628 360 at k = 1.1; air has 11.8837 kg/m3 at 1 MPa, the vapour 40.
        let air = as_air(kilograms_per_second(0.1), Pressure::from_pascals(1e6), 40.0, 1.1);
        assert!((air.value - 0.059_396).abs() < 1e-6, "{}", air.value);
    }

    #[test]
    fn both_ends_and_just_outside() {
        let longest = |p0: f64, p2: f64, flow: f64| {
            let (outlet, end) = (Pressure::from_pascals(p0), Pressure::from_pascals(p2));
            longest_line(metres(0.05), outlet, end, 0.02, kilograms_per_second(flow))
        };
        assert!(longest(1.01e5, 1e5, 0.1).is_ok());
        for (p0, p2, flow) in
            [(1e5, 1e5, 0.1), (2e5, 0.0, 0.1), (2e5, 1e5, 0.0), (f64::NAN, 1e5, 0.1), (2e5, f64::NAN, 0.1)]
        {
            assert!(longest(p0, p2, flow).is_err(), "{p0} {p2} {flow}");
        }
    }

    #[test]
    fn more_flow_takes_a_shorter_line_and_a_wider_one_is_longer() {
        let (outlet, end) = (Pressure::from_pascals(3.3e5), Pressure::from_pascals(1e5));
        let longest = |bore: f64, flow: f64| {
            longest_line(metres(bore), outlet, end, 0.02, kilograms_per_second(flow)).unwrap().value
        };
        assert!(longest(0.05, 0.2) < longest(0.05, 0.1));
        assert!(longest(0.06, 0.2) > longest(0.05, 0.2));
    }
}
