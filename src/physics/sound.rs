//! Sound levels: adding them, A-weighting, spreading, the speed of a fan. Levels in dB.

/// Nominal mid-band frequencies of the octaves, Hz, by which they are called and by which wavelengths are taken.
///
/// Source: `iec-61672`.
pub const OCTAVES_HZ: [f64; 8] = [63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0];

/// A-weighting of these octaves, dB.
///
/// Source: `iec-61672`.
pub const A_WEIGHTS: [f64; 8] = [-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1];

/// Where 500 Hz stands among the octaves: its terms may stand for all where only the A-weighted sound power is known.
///
/// Source: `iso-9613-2`.
pub const HZ_500: usize = 3;

/// Speed of sound by which wavelengths are taken, m/s.
///
/// Source: `iso-9613-2`.
const SPEED: f64 = 340.0;

/// What a reflecting plane close to the source adds, dB: it radiates into half the space, D = 10 lg (4 pi / 2 pi).
///
/// Source: `iso-9613-2`.
pub const REFLECTING_PLANE: f64 = 3.0;

/// Exact mid-band frequencies of the octaves, Hz: 1000 x 10^(3 k / 10), k from -4 to 3.
///
/// Source: `iec-61672`.
///
/// ```
/// use roofrun::physics::sound::exact_octaves;
/// assert_eq!(exact_octaves().map(|hz| format!("{hz:.1}")).join(" "), "63.1 125.9 251.2 501.2 1000.0 1995.3 3981.1 7943.3");
/// ```
#[must_use]
pub fn exact_octaves() -> [f64; 8] {
    let mut k = -5.0;
    OCTAVES_HZ.map(|_| {
        k += 1.0;
        1000.0 * 10f64.powf(0.3 * k)
    })
}

/// Wavelength, m: lambda = c / f.
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | c | speed of sound, 340 | m/s |
/// | f | nominal mid-band frequency | Hz |
///
/// Source: `iso-9613-2`.
///
/// ```
/// use roofrun::physics::sound::wavelength;
/// assert_eq!(format!("{:.2}", wavelength(500.0)), "0.68"); // m
/// ```
#[must_use]
pub fn wavelength(hz: f64) -> f64 {
    SPEED / hz
}

/// Levels of sources that know nothing of each other, added by energy:
///
/// L = 10 lg (sum of 10^(L_i / 10))
///
/// | symbol | is | unit |
/// | --- | --- | --- |
/// | L_i | level of one of them | dB |
///
/// Minus infinity for none.
///
/// Source: `iso-9613-2`.
///
/// ```
/// use roofrun::physics::sound::sum;
/// assert_eq!(format!("{:.1}", sum([90.0, 91.0])), "93.5");
/// ```
#[must_use]
pub fn sum(levels: impl IntoIterator<Item = f64>) -> f64 {
    10.0 * levels.into_iter().map(|level| 10f64.powf(level / 10.0)).sum::<f64>().log10()
}

/// What a level loses by spreading over spheres, dB:
///
/// A_div = 20 lg (d / 1 m) + 11
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | d | distance from a point source | m | above 0 |
///
/// 11 stands for 10 lg (4 pi) = 10.99. With the [`REFLECTING_PLANE`] L_p = L_W - 20 lg d - 8. A source is a point where
/// d is more than twice its largest dimension; a larger one is divided.
///
/// Source: `iso-9613-2`.
///
/// ```
/// use roofrun::physics::sound::{REFLECTING_PLANE, divergence};
/// assert_eq!(REFLECTING_PLANE - divergence(10.0), -28.0);
/// ```
#[must_use]
pub fn divergence(distance_m: f64) -> f64 {
    20.0 * distance_m.log10() + 11.0
}

/// What hard ground far from source and listener adds to a [`REFLECTING_PLANE`], dB: 3 q, with
///
/// q = 1 - 30 (h_s + h_r) / d_p where d_p is above 30 (h_s + h_r), else 0
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | h_s, h_r | height of source and listener over the ground | m | from 0 |
/// | d_p | distance on the plan | m | above 0 |
///
/// A_m = -3 q of ground that reflects all (G = 0) at every octave; A_s = A_r = -1.5 dB of such ground are the plane's 3
/// dB. From 0 to 3 dB.
///
/// Source: `iso-9613-2`.
///
/// ```
/// use roofrun::physics::sound::hard_ground;
/// assert_eq!(hard_ground(4.0, 2.0, 180.0), 0.0); // m
/// assert_eq!(hard_ground(4.0, 2.0, 360.0), 1.5);
/// ```
#[must_use]
pub fn hard_ground(source_m: f64, listener_m: f64, distance_m: f64) -> f64 {
    let near = 30.0 * (source_m + listener_m);
    if distance_m > near { 3.0 * (1.0 - near / distance_m) } else { 0.0 }
}

/// Whether a source of that largest dimension is a point at that distance: d > 2 x the dimension.
///
/// Source: `iso-9613-2`.
#[must_use]
pub fn is_point(largest_m: f64, distance_m: f64) -> bool {
    distance_m > 2.0 * largest_m
}

/// How a fan's sound power level changes with its speed, dB:
///
/// L - L_0 = 50 lg (n / n_0)
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | n / n_0 | speed over the full one | - | above 0 |
///
/// The fan laws for one fan in one system; tones, motors and compressors don't follow it. All octaves are taken to fall
/// alike.
///
/// Source: `fan-sound`.
///
/// ```
/// use roofrun::physics::sound::fan_speed;
/// assert_eq!(format!("{:.0}", fan_speed(0.5)), "-15");
/// ```
#[must_use]
pub fn fan_speed(share: f64) -> f64 {
    50.0 * share.log10()
}

/// The share of the full speed at which a fan is quieter by that much, the inverse of [`fan_speed`].
///
/// Source: `fan-sound`.
#[must_use]
pub fn speed_for(change_db: f64) -> f64 {
    10f64.powf(change_db / 50.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn weights_take_from_low_and_very_high_octaves_and_hard_ground_begins_where_it_is_far() {
        let signs: Vec<bool> = A_WEIGHTS.iter().map(|weight| *weight < 0.0).collect();
        assert_eq!(signs, [true, true, true, true, false, false, false, true]);
        // By hand: 30 x (3 + 1) m is 120 m; at 160 m a quarter of 3 dB.
        assert!((hard_ground(3.0, 1.0, 160.0) - 0.75).abs() < 1e-12);
        assert!(hard_ground(3.0, 1.0, 60.0).abs() < 1e-12);
        assert!((wavelength(1000.0) - 0.34).abs() < 1e-12);
        assert!(is_point(3.0, 6.1) && !is_point(3.0, 5.5));
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "exact as written")]
    fn the_ends_of_the_ranges() {
        assert_eq!(sum([]), f64::NEG_INFINITY);
        assert_eq!(sum([f64::NEG_INFINITY, 40.0]), 40.0);
        assert!(sum([f64::NAN, 40.0]).is_nan());
        assert!(divergence(1.0) == 11.0 && divergence(0.0) == f64::NEG_INFINITY && divergence(-1.0).is_nan());
        assert!(fan_speed(1.0) == 0.0 && fan_speed(0.0) == f64::NEG_INFINITY && fan_speed(-0.5).is_nan());
        assert!(is_point(2.0, 4.001) && !is_point(2.0, 4.0) && !is_point(2.0, f64::NAN));
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "exact as written")]
    fn the_nominal_frequencies_lie_at_the_exact_ones() {
        for (nominal, exact) in OCTAVES_HZ.iter().zip(exact_octaves()) {
            assert!((nominal / exact - 1.0).abs() < 0.008, "{nominal} {exact}");
        }
        assert_eq!(OCTAVES_HZ[HZ_500], 500.0);
    }

    proptest! {
        #[test]
        fn adding_is_monotone_and_in_any_order(levels in prop::collection::vec(-20.0..120.0, 1..20), more in -20.0..120.0) {
            let all = sum(levels.iter().copied());
            let greatest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let count = f64::from(u32::try_from(levels.len()).unwrap());
            prop_assert!(all >= greatest - 1e-9 && all <= greatest + 10.0 * count.log10() + 1e-9);
            prop_assert!(sum([all, more]) > all);
            let turned = sum(levels.iter().rev().copied());
            prop_assert!((turned - all).abs() < 1e-9);
            prop_assert!((sum(levels.iter().map(|level| level + 7.0)) - all - 7.0).abs() < 1e-9);
        }

        #[test]
        fn the_speed_for_a_change_gives_that_change(change in -60.0..0.0) {
            assert_relative_eq!(fan_speed(speed_for(change)), change, epsilon = 1e-9);
        }
    }
}
