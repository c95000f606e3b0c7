//! The evaporator and the fluid that it cools.

/// Share of the surface that only heats gas at the rating (assumption; little depends on it).
pub const DRY_SHARE: f64 = 0.12;
/// Most of the difference between entering fluid and evaporating temperature that superheat reaches in service (assumption).
pub const MAXIMUM_SUPERHEAT: f64 = 0.8;

/// Exponent of its conductance by the fluid's flow (assumption).
const FLUID_EXPONENT: f64 = 0.5;

/// An evaporator with its fluid, temperatures in K.
#[derive(Clone, Copy, Debug)]
pub struct Evaporator {
    leaving_K: f64,
    approach_K: f64,
    range_K: f64,
    superheat_K: f64,
    rated_W: f64,
    /// Transfer units of the wetted part at the rating.
    wet_units: f64,
    /// Transfer units of the dry part at the rating.
    dry_units: f64,
}

impl Evaporator {
    /// From its rating: the fluid leaves at `leaving`, `approach` above the evaporating temperature, having been cooled by
    /// `range`; the gas leaves with `superheat` at the capacity `rated_capacity`, W.
    ///
    /// effectiveness = range / (range + approach); NTU wetted = -ln(1 - effectiveness);
    /// NTU dry = -ln(1 - superheat / (range + approach)).
    #[must_use]
    pub fn new(leaving: f64, [approach, range]: [f64; 2], superheat: f64, rated_capacity: f64) -> Self {
        let whole = range + approach;
        let rated_superheat = superheat.min(MAXIMUM_SUPERHEAT * whole);
        Self {
            leaving_K: leaving,
            approach_K: approach,
            range_K: range,
            superheat_K: superheat,
            rated_W: rated_capacity,
            wet_units: (whole / approach).ln(),
            dry_units: -(-rated_superheat / whole).ln_1p(),
        }
    }

    /// The same with a share of its transfer units (dirt) and a share of the fluid's flow, with which its conductance goes to the
    /// power 0.5 (assumption).
    #[must_use]
    pub fn worn(self, units: f64, flow: f64) -> Self {
        let units = units * flow.powf(FLUID_EXPONENT - 1.0);
        let wet_units = self.wet_units * units;
        let range = self.range_K / flow;
        let whole = range / -(-wet_units).exp_m1();
        Self { approach_K: whole - range, range_K: range, wet_units, dry_units: self.dry_units * units, ..self }
    }

    /// Heat that warms the fluid by 1 K, W/K.
    #[must_use]
    pub fn capacity_rate(&self) -> f64 {
        self.rated_W / self.range_K
    }

    /// Evaporating temperature at a capacity (W), the fluid leaving as asked: leaving - approach x capacity / rated capacity.
    #[must_use]
    pub fn evaporating(&self, capacity: f64) -> f64 {
        self.leaving_K - self.approach_K * capacity / self.rated_W
    }

    /// Superheat of a valve that feeds, K: what is set, but at most 0.8 of entering fluid less evaporating temperature. At a
    /// balance that difference is (leaving - evaporating) (range + approach) / approach.
    #[must_use]
    pub fn superheat(&self, evaporating: f64) -> f64 {
        let warmer = (self.leaving_K - evaporating) * (self.range_K + self.approach_K) / self.approach_K;
        self.superheat_K.min(MAXIMUM_SUPERHEAT * warmer).max(0.0)
    }

    /// The fluid that enters at a capacity (W), K.
    #[must_use]
    pub fn entering(&self, capacity: f64) -> f64 {
        self.leaving_K + capacity / self.capacity_rate()
    }

    /// The fluid that enters at a share of full displacement where nothing else tells, K.
    #[must_use]
    pub fn entering_at_share(&self, share: f64) -> f64 {
        self.leaving_K + self.range_K * share
    }

    /// The fluid that leaves, having entered at `entering`, at a capacity (W), K.
    #[must_use]
    pub fn leaving_from(&self, entering: f64, capacity: f64) -> f64 {
        entering - capacity / self.capacity_rate()
    }

    /// The fluid that enters where it leaves as asked and a share of the surface is dry, K: with the effectiveness e of the rest
    /// entering - evaporating = (leaving - evaporating) / (1 - e).
    #[must_use]
    pub fn entering_for_leaving(&self, dry: f64, evaporating: f64) -> f64 {
        evaporating + (self.leaving_K - evaporating) * self.units_of_the_rest(dry).exp()
    }

    /// The same evaporator with no superheat: liquid just reaches its end.
    #[must_use]
    pub fn flooded(self) -> Self {
        Self { superheat_K: 0.0, ..self }
    }

    /// Transfer units of what is wetted.
    fn units_of_the_rest(&self, dry: f64) -> f64 {
        self.wet_units * (1.0 - dry) / (1.0 - DRY_SHARE)
    }

    /// Superheat where a share of the surface is dry, K: (entering - evaporating) (1 - exp(-NTU dry share / 0.12)).
    #[must_use]
    pub fn superheat_over(&self, dry: f64, entering: f64, evaporating: f64) -> f64 {
        (entering - evaporating) * -(-self.dry_units * dry / DRY_SHARE).exp_m1()
    }

    /// What the wetted rest of the surface takes, W: capacity rate x (entering - evaporating) (1 - exp(-NTU (1 - share) / 0.88)).
    #[must_use]
    pub fn takes(&self, dry: f64, entering: f64, evaporating: f64) -> f64 {
        self.capacity_rate() * (entering - evaporating) * -(-self.units_of_the_rest(dry)).exp_m1()
    }

    /// The capacity at the rating, W.
    #[must_use]
    pub fn rated_capacity(&self) -> f64 {
        self.rated_W
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// 100 kW, fluid from 13 to 7 °C over an approach of 3 K, 5 K of superheat.
    fn rated() -> Evaporator {
        Evaporator::new(280.15, [3.0, 6.0], 5.0, 1e5)
    }

    #[test]
    fn at_the_rating_wetted_and_dry_surface_give_it_back() {
        let (evaporator, entering, evaporating) = (rated(), 286.15, 277.15);
        assert_relative_eq!(evaporator.evaporating(1e5), evaporating);
        assert_relative_eq!(evaporator.entering(1e5), entering);
        assert_relative_eq!(evaporator.entering_for_leaving(DRY_SHARE, evaporating), entering, max_relative = 1e-12);
        assert_relative_eq!(evaporator.leaving_from(entering, 1e5), 280.15);
        assert_relative_eq!(evaporator.takes(DRY_SHARE, entering, evaporating), 1e5, max_relative = 1e-12);
        assert_relative_eq!(evaporator.superheat_over(DRY_SHARE, entering, evaporating), 5.0, max_relative = 1e-12);
        assert_relative_eq!(evaporator.superheat(evaporating), 5.0);
    }

    #[test]
    fn dirt_and_want_of_fluid_take_transfer_units() {
        // Rated: (6 + 3) K over 3 K is ln 3 units wetted; dry -ln(1 - 5/9). A quarter of the flow has four times the range and, the
        // conductance halved, twice the units; dirt leaves three quarters of these.
        let worn = rated().worn(0.75, 0.25);
        let units = 1.5 * 3.0_f64.ln();
        assert_relative_eq!(worn.range_K, 24.0);
        assert_relative_eq!(worn.wet_units, units, max_relative = 1e-12);
        assert_relative_eq!(worn.dry_units, -1.5 * (4.0_f64 / 9.0).ln(), max_relative = 1e-12);
        // What remains of the difference at the cold end: e^-NTU of that at the warm end, 24 K + approach.
        assert_relative_eq!(worn.approach_K, (24.0 + worn.approach_K) * (-units).exp(), max_relative = 1e-12);
    }

    #[test]
    fn more_dry_surface_takes_less_and_superheats_more_but_never_past_the_fluid() {
        let evaporator = rated();
        let at = |dry: f64| [evaporator.takes(dry, 286.15, 277.15), evaporator.superheat_over(dry, 286.15, 277.15)];
        let [some, more, all] = [0.12, 0.4, 1.0].map(at);
        assert!(some[0] > more[0] && more[0] > all[0] && all[0].abs() < 1e-6);
        assert!(some[1] < more[1] && more[1] < all[1] && all[1] < 9.0);
    }

    #[test]
    fn at_little_load_superheat_falls_with_the_fluid() {
        // A third of the load: 3 K between entering fluid and evaporating temperature.
        let evaporator = rated();
        assert_relative_eq!(evaporator.superheat(evaporator.evaporating(1e5 / 3.0)), 0.8 * 3.0, max_relative = 1e-12);
    }
}
