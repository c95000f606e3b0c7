//! What a screen takes from sound.

/// The way of sound from the source over, or round, one or two edges to the listener. Lengths in m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detour {
    /// d_ss: from the source to the first edge, square to the edge.
    pub to_edge_m: f64,
    /// d_sr: from the last edge to the listener, square to the edge.
    pub from_edge_m: f64,
    /// e: from the first edge to the second, square to them; 0 for one edge.
    pub between_m: f64,
    /// a: how far the listener lies from the source along the edge.
    pub along_m: f64,
    /// d: from the source straight to the listener.
    pub straight_m: f64,
    /// Whether the straight line clears the edge.
    pub clear: bool,
}

/// Which way sound goes past a screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Past {
    /// Over its top, where the weather bends it down.
    Top,
    /// Round its end.
    End,
}

/// Most that one edge takes, dB.
///
/// Source: `iso-9613-2`.
pub const MAXIMUM_ONE_EDGE: f64 = 20.0;
/// Most that two edges take, dB.
///
/// Source: `iso-9613-2`.
pub const MAXIMUM_TWO_EDGES: f64 = 25.0;
/// C_2: with it the reflections at the ground are included.
const C_2: f64 = 20.0;

impl Detour {
    /// How much longer the way past the edges is than the straight one, m:
    ///
    /// z = [(d_ss + d_sr + e)^2 + a^2]^(1/2) - d
    ///
    /// With a negative sign where the straight line clears the edge.
    ///
    /// Source: `iso-9613-2`.
    #[must_use]
    pub fn longer_m(&self) -> f64 {
        let longer = (self.to_edge_m + self.from_edge_m + self.between_m).hypot(self.along_m) - self.straight_m;
        match (longer <= 0.0, self.clear) {
            // What rounding makes of a way that is no longer.
            (true, _) => 0.0,
            (false, false) => longer,
            (false, true) => -longer,
        }
    }

    /// K_met, by which weather that bends sound down takes from a screen:
    ///
    /// K_met = exp[-(1 / 2000 m) (d_ss d_sr d / (2 z))^(1/2)] for z above 0, else 1; 1 round an end
    ///
    /// Source: `iso-9613-2`.
    #[must_use]
    pub fn weather(&self, past: Past) -> f64 {
        let z = self.longer_m();
        if past == Past::End || z <= 0.0 {
            return 1.0;
        }
        (-(self.to_edge_m * self.from_edge_m * self.straight_m / (2.0 * z)).sqrt() / 2000.0).exp()
    }

    /// What the edges take, dB:
    ///
    /// D_z = 10 lg [3 + (C_2 / lambda) C_3 z K_met]
    ///
    /// C_3 = 1 for one edge, [1 + (5 lambda / e)^2] / [1/3 + (5 lambda / e)^2] for two
    ///
    /// | symbol | is | unit | range |
    /// | --- | --- | --- | --- |
    /// | lambda | wavelength | m | above 0 |
    /// | C_2 | 20, reflections at the ground included | - | |
    /// | C_3 | what two edges take more than one | - | 1 to 3 |
    /// | z | how much longer the way is ([`Detour::longer_m`]) | m | |
    /// | K_met | weather ([`Detour::weather`]) | - | 0 to 1 |
    ///
    /// Over a top at most 20 dB by one edge and 25 dB by two. Round an end no cap is set here: it would let sound round
    /// a wall that has no end; the ways together take no more than that over the top does. Never below 0, which is
    /// reached where the straight line clears the edge by so much that z = -lambda / 10. With z = 0 it is 10 lg 3 = 4.8
    /// dB.
    ///
    /// This is the edition of 1996. It grants 4.8 dB to any edge just in the line of sight, however far from source and
    /// listener; ISO/TR 17534-3 of 2015 and the edition of 2024 put 10 lg [1 + (2 + (C_2 / lambda) C_3 z) K_met], by
    /// which an edge 10 m off that only grazes a way of 300 m takes 1.0 dB, not 4.8 dB, at 500 Hz (z = 0.02 m).
    ///
    /// Source: `iso-9613-2`.
    ///
    /// ```
    /// use roofrun::physics::{barrier::{Detour, Past}, sound::wavelength};
    /// // A wall 3 m high, 10 m from a source and 10 m from a listener, both on the ground: d_ss = d_sr = 10.44 m, z = 0.881 m.
    /// let leg = 109.0_f64.sqrt();
    /// let wall = Detour {
    ///     to_edge_m: leg, from_edge_m: leg, between_m: 0.0, along_m: 0.0, straight_m: 20.0, clear: false,
    /// };
    /// assert_eq!(format!("{:.3}", wall.longer_m()), "0.881");
    /// assert_eq!(format!("{:.1}", wall.screening(wavelength(500.0), Past::Top)), "14.5");
    /// ```
    #[must_use]
    pub fn screening(&self, wavelength_m: f64, past: Past) -> f64 {
        let two = self.between_m > 0.0;
        let c_3 = if two {
            let q = (5.0 * wavelength_m / self.between_m).powi(2);
            // Edges next to each other are one.
            if q.is_finite() { (1.0 + q) / (1.0 / 3.0 + q) } else { 1.0 }
        } else {
            1.0
        };
        let inner = 3.0 + C_2 / wavelength_m * c_3 * self.longer_m() * self.weather(past);
        if inner <= 1.0 {
            return 0.0;
        }
        let maximum = match past {
            Past::Top if two => MAXIMUM_TWO_EDGES,
            Past::Top => MAXIMUM_ONE_EDGE,
            Past::End => f64::INFINITY,
        };
        let takes = 10.0 * inner.log10();
        if takes > maximum { maximum } else { takes }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::sound::{OCTAVES_HZ, wavelength};
    use proptest::prelude::*;

    /// Over a wall at that height over the line of sight, halfway.
    fn over(height: f64, half: f64, between: f64) -> Detour {
        let leg = (half - between / 2.0).hypot(height);
        let clear = height < 0.0;
        Detour { to_edge_m: leg, from_edge_m: leg, between_m: between, along_m: 0.0, straight_m: 2.0 * half, clear }
    }

    #[test]
    fn grazing_takes_10_lg_3_at_every_octave_and_far_clear_of_it_nothing() {
        for hz in OCTAVES_HZ {
            let lambda = wavelength(hz);
            assert!((over(0.0, 10.0, 0.0).screening(lambda, Past::Top) - 10.0 * 3.0_f64.log10()).abs() < 1e-12);
            let z_of = |z: f64| Detour { to_edge_m: 10.0, from_edge_m: 10.0 + z, ..over(-1e-9, 10.0, 0.0) };
            assert!(z_of(0.0999 * lambda).screening(lambda, Past::Top) > 0.0);
            assert!(z_of(0.1 * lambda).screening(lambda, Past::Top) < 1e-9);
            assert_eq!(z_of(lambda).screening(lambda, Past::Top).to_bits(), 0.0_f64.to_bits());
        }
    }

    #[test]
    fn no_more_than_the_caps() {
        for hz in OCTAVES_HZ {
            let lambda = wavelength(hz);
            assert!(over(80.0, 10.0, 0.0).screening(lambda, Past::Top) <= MAXIMUM_ONE_EDGE);
            assert!(over(80.0, 10.0, 6.0).screening(lambda, Past::Top) <= MAXIMUM_TWO_EDGES);
            assert!(over(800.0, 10.0, 0.0).screening(lambda, Past::End) > MAXIMUM_TWO_EDGES);
        }
        assert!((over(80.0, 10.0, 0.0).screening(wavelength(500.0), Past::Top) - 20.0).abs() < 1e-12);
        assert!((over(80.0, 10.0, 6.0).screening(wavelength(500.0), Past::Top) - 25.0).abs() < 1e-12);
    }

    #[test]
    fn numbers_that_are_none_give_none() {
        assert!(over(f64::NAN, 10.0, 0.0).screening(0.5, Past::Top).is_nan());
        assert!(over(1.0, 10.0, 0.0).screening(f64::NAN, Past::End).is_nan());
    }

    /// By hand: ways of 100 m and 80 m, z = 0.5 m, d = 179.5 m. (100 x 80 x 179.5 / (2 x 0.5))^(1/2) = 1198.3 m, over 2000 m 0.5992.
    #[test]
    fn weather_takes_from_a_screen_far_off() {
        let far = Detour {
            to_edge_m: 100.0,
            from_edge_m: 80.0,
            between_m: 0.0,
            along_m: 0.0,
            straight_m: 179.5,
            clear: false,
        };
        assert!((far.weather(Past::Top) - 0.549_26).abs() < 1e-5, "{}", far.weather(Past::Top));
        assert!((far.weather(Past::End) - 1.0).abs() < 1e-12);
        // 10 lg [3 + 20 / 0.68 x 0.5 x 0.54926] = 10 lg 11.0773; round an end 10 lg [3 + 20 / 0.68 x 0.5] = 10 lg 17.7059.
        assert!((far.screening(0.68, Past::Top) - 10.444_3).abs() < 1e-3, "{}", far.screening(0.68, Past::Top));
        assert!((far.screening(0.68, Past::End) - 12.481_2).abs() < 1e-3, "{}", far.screening(0.68, Past::End));
        // Two edges 4 m apart: q = (5 x 0.68 / 4)^2 = 0.7225, C_3 = 1.7225 / 1.05583 = 1.63142; z = 0.5 m again.
        let two = Detour { to_edge_m: 96.0, between_m: 4.0, ..far };
        let inner = 3.0 + 20.0 / 0.68 * 1.631_42 * 0.5;
        assert!((two.screening(0.68, Past::End) - 10.0 * f64::log10(inner)).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn a_higher_wall_a_shorter_wave_and_a_second_edge_take_no_less(
            height in 0.0..20.0, more in 0.0..10.0, half in 3.0..200.0, between in 0.01..4.0, octave in 0_usize..7,
        ) {
            let (low, high) = (wavelength(OCTAVES_HZ[octave]), wavelength(OCTAVES_HZ[octave + 1]));
            let one = over(height, half, 0.0);
            let takes = one.screening(low, Past::Top);
            prop_assert!(over(height + more, half, 0.0).screening(low, Past::Top) >= takes - 1e-9);
            prop_assert!(one.screening(high, Past::Top) >= takes - 1e-9);
            prop_assert!(one.screening(low, Past::End) >= takes - 1e-9);
            // The wall made thick: its edges lie further out, so the way is longer too.
            prop_assert!(over(height, half, between).screening(low, Past::Top) >= takes - 1e-9);
        }
    }
}
