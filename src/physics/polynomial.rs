//! Compressors by ten coefficients.

/// Share of the density's change that the flow follows.
const FLOW_SHARE: f64 = 0.75;

/// Value of a ten-coefficient compressor polynomial:
///
/// X = C1 + C2 S + C3 D + C4 S2 + C5 S D + C6 D2 + C7 S3 + C8 D S2 + C9 S D2 + C10 D3
///
/// | symbol | is |
/// | --- | --- |
/// | X | flow, power or capacity, in the unit of the coefficients |
/// | S | saturated suction temperature, dew, F or °C as the coefficients want, `s` |
/// | D | saturated discharge temperature, dew, likewise, `d` |
///
/// Holds inside the map's own envelope, which the coefficients do not tell.
///
/// Source: `ahri-540`.
///
/// ```
/// use roofrun::physics::polynomial::ten_coefficient;
/// let lb_per_hour = [
///     217.316_312_8, 5.094_492_028, -0.593_170_311, 4.38e-2, -2.14e-2, 1.04e-2, 7.90e-5, -5.73e-5, 1.79e-4, -8.08e-5,
/// ];
/// assert_eq!(format!("{:.2}", ten_coefficient(&lb_per_hour, 40.0, 105.0)), "434.51");
/// ```
#[must_use]
pub fn ten_coefficient(c: &[f64; 10], s: f64, d: f64) -> f64 {
    c[0] + c[1] * s
        + c[2] * d
        + c[3] * s * s
        + c[4] * s * d
        + c[5] * d * d
        + c[6] * s * s * s
        + c[7] * d * s * s
        + c[8] * s * d * d
        + c[9] * d * d * d
}

/// Ratio of flow, and of power, to the map's, for suction gas of another superheat than the map's:
///
/// m / m map = 1 + 0.75 (v map / v - 1),  P / P map = (m / m map) (w / w map)
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | v | specific volume of the suction gas, 1 / density | m3/kg |
/// | w | isentropic work from the suction gas to the discharge pressure | J/kg |
///
/// Source: `rice-dabiri-1981`.
///
/// ```
/// use roofrun::physics::polynomial::superheat_correction;
/// let (flow, power) = superheat_correction(20.0, 21.0, 30_000.0, 29_000.0);
/// assert_eq!(format!("{flow:.4} {power:.4}"), "1.0375 1.0029");
/// ```
#[must_use]
pub fn superheat_correction(density_map: f64, density_actual: f64, work_map: f64, work_actual: f64) -> (f64, f64) {
    let flow = 1.0 + FLOW_SHARE * (density_actual / density_map - 1.0);
    (flow, flow * work_actual / work_map)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each coefficient has its own place: 3 and 5 as S and D make every term another number.
    #[test]
    fn every_term_by_itself() {
        let terms = [1.0, 3.0, 5.0, 9.0, 15.0, 25.0, 27.0, 45.0, 75.0, 125.0];
        for (index, term) in terms.iter().enumerate() {
            let mut only = [0.0; 10];
            only[index] = 2.0;
            assert!((ten_coefficient(&only, 3.0, 5.0) - 2.0 * term).abs() < 1e-12, "C{}", index + 1);
        }
        let ones = ten_coefficient(&[1.0; 10], 3.0, 5.0);
        assert!((ones - terms.iter().sum::<f64>()).abs() < 1e-12);
    }

    /// By hand: 1 + 0.75 (21 / 20 - 1) = 1.0375, times 29 / 30.
    #[test]
    fn denser_suction_gas_flows_by_three_quarters_of_it() {
        let (flow, power) = superheat_correction(20.0, 21.0, 30_000.0, 29_000.0);
        assert!((flow - 1.0375).abs() < 1e-12 && (power - 1.0375 * 29.0 / 30.0).abs() < 1e-12, "{flow} {power}");
    }
}
