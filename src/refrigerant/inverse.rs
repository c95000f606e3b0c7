//! States by pressure and one more quantity: temperature, enthalpy or entropy.

use super::error::{End, OutOfRange, SLACK};
use super::phases::{Heat, Isobar, Liquid};
use super::saturation::{COLDEST, CRITICAL, THINNEST, TOP};
use super::{Flow, Phase, Refrigerant, State};

const HOTTEST: &str = "its greatest superheat";
const AT_DEW: &str = "its dew temperature at that pressure";
const AT_BUBBLE: &str = "its bubble temperature at that pressure";
const HOTTEST_LIQUID: &str = "its bubble temperature at 0.93 of the critical pressure, the top of its range";
const HEAT_COLDEST: &str = "its value at -50 degC, the coldest of its range";
const HEAT_HOTTEST: &str = "its value at the greatest superheat";
const HEAT_HOTTEST_LIQUID: &str = "its value at the hottest liquid of its range";

/// Where a state was found.
#[expect(clippy::large_enum_variant, reason = "lives on the stack for one call; boxing would cost more")]
pub(super) enum Found<'a> {
    Vapour { isobar: Isobar<'a>, y: f64 },
    Between { isobar: Isobar<'a>, liquid: Liquid<'a>, quality: f64 },
    Liquid { liquid: Liquid<'a> },
}

impl Found<'_> {
    fn state(&self) -> State {
        match self {
            Found::Vapour { isobar, y } => isobar.state(*y),
            Found::Between { isobar, liquid, quality } => {
                State::mixed(&liquid.state(Some(0.0)), &isobar.dew_state(), *quality)
            }
            Found::Liquid { liquid } => liquid.state(None),
        }
    }

    fn temperature(&self) -> f64 {
        match self {
            Found::Vapour { isobar, y } => isobar.temperature(*y),
            Found::Between { isobar, liquid, quality } => quality * isobar.dew + (1.0 - quality) * liquid.t,
            Found::Liquid { liquid } => liquid.t,
        }
    }

    fn enthalpy(&self) -> f64 {
        match self {
            Found::Vapour { isobar, y } => isobar.enthalpy(*y),
            Found::Between { isobar, liquid, quality } => {
                quality * isobar.heat_at_dew(Heat::Enthalpy) + (1.0 - quality) * liquid.heat(Heat::Enthalpy)
            }
            Found::Liquid { liquid } => liquid.heat(Heat::Enthalpy),
        }
    }

    fn density(&self) -> f64 {
        match self {
            Found::Vapour { isobar, y } => isobar.density(*y, isobar.temperature(*y)),
            Found::Between { isobar, liquid, quality } => {
                1.0 / (quality / isobar.dew_density() + (1.0 - quality) / liquid.density())
            }
            Found::Liquid { liquid } => liquid.density(),
        }
    }

    pub(super) fn flow(&self) -> Flow {
        match self {
            Found::Vapour { isobar, y } => {
                let temperature = isobar.temperature(*y);
                Flow {
                    temperature,
                    density: isobar.density(*y, temperature),
                    viscosity: isobar.viscosity(*y),
                    quality: None,
                    phase: Phase::Vapour,
                }
            }
            Found::Between { isobar, liquid, quality } => {
                let mix = |vapour: f64, liquid: f64| quality * vapour + (1.0 - quality) * liquid;
                Flow {
                    temperature: mix(isobar.dew, liquid.t),
                    density: 1.0 / mix(1.0 / isobar.dew_density(), 1.0 / liquid.density()),
                    viscosity: 1.0 / mix(1.0 / isobar.dew_viscosity(), 1.0 / liquid.viscosity()),
                    quality: Some(*quality),
                    phase: Phase::TwoPhase,
                }
            }
            Found::Liquid { liquid } => Flow {
                temperature: liquid.t,
                density: liquid.density(),
                viscosity: liquid.viscosity(),
                quality: None,
                phase: Phase::Liquid,
            },
        }
    }
}

impl Refrigerant {
    /// Vapour at pressure and temperature.
    ///
    /// # Errors
    /// Pressure outside the range; temperature under dew (by more than 1e-9 of it), under -50 degC or more than 120 K
    /// above dew.
    pub fn vapour_pt(&self, p: f64, t: f64) -> Result<State, OutOfRange> {
        let isobar = self.vapour_place(p, t)?;
        Ok(isobar.state_of(isobar.y(t), t))
    }

    /// Density of vapour at pressure and temperature, kg/m3.
    ///
    /// # Errors
    /// As [`Refrigerant::vapour_pt`].
    pub fn vapour_density(&self, p: f64, t: f64) -> Result<f64, OutOfRange> {
        let isobar = self.vapour_place(p, t)?;
        Ok(isobar.density(isobar.y(t), t))
    }

    /// Liquid at pressure and temperature.
    ///
    /// # Errors
    /// Pressure outside the range; temperature above bubble (by more than 1e-9 of it), under -50 degC, or, at more than
    /// 0.93 of the critical pressure, above the bubble temperature there.
    pub fn liquid_pt(&self, p: f64, t: f64) -> Result<State, OutOfRange> {
        Ok(self.liquid_place(p, t)?.state(None))
    }

    /// Enthalpy of liquid at pressure and temperature, J/kg.
    ///
    /// # Errors
    /// As [`Refrigerant::liquid_pt`].
    pub fn liquid_enthalpy(&self, p: f64, t: f64) -> Result<f64, OutOfRange> {
        Ok(self.liquid_place(p, t)?.heat(Heat::Enthalpy))
    }

    fn liquid_place(&self, p: f64, t: f64) -> Result<Liquid<'_>, OutOfRange> {
        self.liquid_pressure(p)?;
        self.above("temperature", t, self.coldest, COLDEST)?;
        let (limit, meaning) = self.hottest_liquid(p);
        self.below("temperature", t, limit, meaning)?;
        Ok(Liquid::new(self, p, t))
    }

    /// The state at pressure and temperature, whichever phase it is.
    ///
    /// On the dew line, within 1e-9 of the temperature, it is vapour; on the bubble line liquid; where the two are one,
    /// vapour. Between them quality is `(T - T_b) / (T_d - T_b)`.
    ///
    /// # Errors
    /// Pressure or temperature outside the range.
    pub fn state_pt(&self, p: f64, t: f64) -> Result<State, OutOfRange> {
        self.liquid_pressure(p)?;
        self.above("temperature", t, self.coldest, COLDEST)?;
        if p <= self.scale.high {
            let isobar = Isobar::new(self, p);
            if t >= isobar.dew * (1.0 - SLACK) {
                self.below("temperature", t, isobar.dew + self.superheat, HOTTEST)?;
                return Ok(isobar.state_of(isobar.y(t), t));
            }
            let bubble = self.bubble.temperature_over(&isobar.basis);
            if t > bubble * (1.0 + SLACK) {
                let quality = (t - bubble) / (isobar.dew - bubble);
                let liquid = Liquid::new(self, p, bubble);
                return Ok(Found::Between { isobar, liquid, quality }.state());
            }
        } else {
            self.below("temperature", t, self.bubble.t_high, HOTTEST_LIQUID)?;
        }
        Ok(Liquid::new(self, p, t).state(None))
    }

    /// The state at pressure and enthalpy, whichever phase it is; between bubble and dew by quality.
    ///
    /// # Errors
    /// Pressure outside the range, or an enthalpy that belongs to a temperature outside it.
    pub fn state_ph(&self, p: f64, h: f64) -> Result<State, OutOfRange> {
        Ok(self.find(p, Heat::Enthalpy, h, None)?.state())
    }

    /// The state at pressure and entropy, whichever phase it is; between bubble and dew by quality. Vapour at constant
    /// entropy may pass into the two-phase region on the way up: then this is the mixture.
    ///
    /// # Errors
    /// Pressure outside the range, or an entropy that belongs to a temperature outside it.
    pub fn state_ps(&self, p: f64, s: f64) -> Result<State, OutOfRange> {
        Ok(self.find(p, Heat::Entropy, s, None)?.state())
    }

    /// Enthalpy, density and temperature at pressure and entropy; `guess_t` is a temperature to start from, and any number will do.
    ///
    /// # Errors
    /// As [`Refrigerant::state_ps`].
    pub fn isentrope(&self, p: f64, s: f64, guess_t: f64) -> Result<(f64, f64, f64), OutOfRange> {
        let found = self.find(p, Heat::Entropy, s, Some(guess_t))?;
        Ok((found.enthalpy(), found.density(), found.temperature()))
    }

    /// Temperature at pressure and entropy, K: [`Refrigerant::state_ps`] without the rest.
    ///
    /// # Errors
    /// As [`Refrigerant::state_ps`].
    pub fn temperature_ps(&self, p: f64, s: f64) -> Result<f64, OutOfRange> {
        Ok(self.find(p, Heat::Entropy, s, None)?.temperature())
    }

    /// Temperature at pressure and enthalpy, K: [`Refrigerant::state_ph`] without the rest.
    ///
    /// # Errors
    /// As [`Refrigerant::state_ph`].
    pub fn temperature_ph(&self, p: f64, h: f64) -> Result<f64, OutOfRange> {
        Ok(self.find(p, Heat::Enthalpy, h, None)?.temperature())
    }

    /// What an integration along a tube needs at pressure and enthalpy. The same numbers as [`Refrigerant::state_ph`], sooner.
    ///
    /// # Errors
    /// As [`Refrigerant::state_ph`].
    pub fn flow_ph(&self, p: f64, h: f64) -> Result<Flow, OutOfRange> {
        Ok(self.find(p, Heat::Enthalpy, h, None)?.flow())
    }

    /// Vapour of one pressure at rising enthalpies from dew; none where it is out of range.
    pub(super) fn vapour_along(&self, p: f64, enthalpies: [f64; 4]) -> Option<[Flow; 4]> {
        let isobar = Isobar::new(self, p);
        let flows = isobar.flows(enthalpies)?;
        let coldest = self.coldest * (1.0 - SLACK);
        flows.iter().all(|flow| flow.temperature >= coldest).then_some(flows)
    }

    /// Liquid of one pressure at falling enthalpies from bubble, each found from the one before; none where it is out of range.
    pub(super) fn liquid_along(&self, p: f64, enthalpies: [f64; 4]) -> Option<[Flow; 4]> {
        let mut before = Liquid::new(self, p, self.bubble.temperature(p));
        let mut at_before = before.heat(Heat::Enthalpy);
        let mut flows = [None; 4];
        for (flow, enthalpy) in flows.iter_mut().zip(enthalpies) {
            let found = self.find_liquid(Heat::Enthalpy, enthalpy, &before, at_before).ok()?;
            *flow = Some(found.flow());
            if let Found::Liquid { liquid } = found {
                (before, at_before) = (liquid, enthalpy);
            }
        }
        let [Some(a), Some(b), Some(c), Some(d)] = flows else { return None };
        Some([a, b, c, d])
    }

    fn vapour_place(&self, p: f64, t: f64) -> Result<Isobar<'_>, OutOfRange> {
        self.above("pressure", p, self.scale.low, THINNEST)?;
        self.below("pressure", p, self.scale.high, TOP)?;
        self.above("temperature", t, self.coldest, COLDEST)?;
        let isobar = Isobar::new(self, p);
        self.above("temperature", t, isobar.dew, AT_DEW)?;
        self.below("temperature", t, isobar.dew + self.superheat, HOTTEST)?;
        Ok(isobar)
    }

    fn liquid_pressure(&self, p: f64) -> Result<(), OutOfRange> {
        self.above("pressure", p, self.scale.low, THINNEST)?;
        self.below("pressure", p, self.critical_pressure, CRITICAL)
    }

    fn hottest_liquid(&self, p: f64) -> (f64, &'static str) {
        if p <= self.scale.high {
            (self.bubble.temperature(p), AT_BUBBLE)
        } else {
            (self.bubble.t_high, HOTTEST_LIQUID)
        }
    }

    pub(super) fn find(&self, p: f64, heat: Heat, value: f64, guess: Option<f64>) -> Result<Found<'_>, OutOfRange> {
        self.liquid_pressure(p)?;
        if value.is_nan() {
            return Err(self.too_cold(p, heat, value));
        }
        let coldest = self.coldest * (1.0 - SLACK);
        if p > self.scale.high {
            let hottest = Liquid::new(self, p, self.bubble.t_high);
            let top = hottest.heat(heat);
            if value > top + SLACK * top.abs() {
                return Err(self.error(heat.name(), value, top, End::Greatest, HEAT_HOTTEST_LIQUID));
            }
            return self.find_liquid(heat, value, &hottest, top);
        }
        let isobar = Isobar::new(self, p);
        let at_dew = isobar.heat_at_dew(heat);
        if value >= at_dew {
            let (y, hottest) = isobar.y_of_heat(heat, value, at_dew, guess);
            if value > hottest + SLACK * hottest.abs() {
                return Err(self.error(heat.name(), value, hottest, End::Greatest, HEAT_HOTTEST));
            }
            if isobar.dew < coldest && isobar.temperature(y) < coldest {
                return Err(self.too_cold(p, heat, value));
            }
            return Ok(Found::Vapour { isobar, y });
        }
        let bubble = self.bubble.temperature_over(&isobar.basis);
        let liquid = Liquid::new(self, p, bubble);
        let at_bubble = liquid.heat(heat);
        if value <= at_bubble {
            return self.find_liquid(heat, value, &liquid, at_bubble);
        }
        let quality = (value - at_bubble) / (at_dew - at_bubble);
        if bubble + quality * (isobar.dew - bubble) < coldest {
            return Err(self.too_cold(p, heat, value));
        }
        Ok(Found::Between { isobar, liquid, quality })
    }

    /// Liquid between the coldest and a hottest state: Newton with the fitted cp, kept within a bracket that closes.
    fn find_liquid(
        &self,
        heat: Heat,
        value: f64,
        hottest: &Liquid<'_>,
        at_hottest: f64,
    ) -> Result<Found<'_>, OutOfRange> {
        let p = hottest.p;
        let coldest = self.coldest * (1.0 - SLACK);
        let (mut low, mut high) = (coldest, hottest.t);
        if high < low {
            return Err(self.too_cold(p, heat, value));
        }
        let mut cold_end_seen = false;
        let mut t = (high + (value - at_hottest) / hottest.heat_slope(heat)).clamp(low, high);
        // What was seen last: temperature and error. Near it their slope is exact, and costs nothing.
        let mut before = (f64::NAN, f64::NAN);
        for _ in 0..80 {
            let liquid = Liquid::new(self, p, t);
            let error = liquid.heat(heat) - value;
            if error < 0.0 {
                low = t;
            } else {
                high = t;
            }
            let moved = t - before.0;
            let near = (1e-4..1.0).contains(&moved.abs());
            let slope = if near { (error - before.1) / moved } else { liquid.heat_slope(heat) };
            before = (t, error);
            let step = -error / slope;
            let next = t + step;
            if next < coldest && !cold_end_seen {
                if value < Liquid::new(self, p, coldest).heat(heat) {
                    return Err(self.too_cold(p, heat, value));
                }
                cold_end_seen = true;
            }
            if step.abs() < 1e-6 {
                // The slope is good to some 1e-4: what is left is some 1e-10 K.
                t = next.clamp(coldest, hottest.t);
                break;
            }
            t = if next >= low && next <= high { next } else { 0.5 * (low + high) };
        }
        Ok(Found::Liquid { liquid: Liquid::new(self, p, t) })
    }

    #[cold]
    fn too_cold(&self, p: f64, heat: Heat, value: f64) -> OutOfRange {
        let bound = match (self.state_pt(p, self.coldest), heat) {
            (Ok(state), Heat::Enthalpy) => state.enthalpy,
            (Ok(state), Heat::Entropy) => state.entropy,
            (Err(error), _) => return error,
        };
        self.error(heat.name(), value, bound, End::Least, HEAT_COLDEST)
    }
}
