//! Bubble and dew: temperatures, pressures and states on the lines.

use super::error::{End, OutOfRange, SLACK};
use super::line::Line;
use super::phases::{Isobar, Liquid};
use super::{Refrigerant, State};

/// What the bounds are.
pub(super) const COLDEST: &str = "-50 degC, the coldest of its range";
pub(super) const THINNEST: &str = "the minimum pressure of its range";
pub(super) const TOP: &str = "0.93 of the critical pressure, the top of its range";
pub(super) const CRITICAL: &str = "the critical pressure, the top of its liquid range";
const AT_TOP: &str = "its saturation temperature at 0.93 of the critical pressure, the top of its range";
const AT_COLDEST: &str = "its saturation pressure at -50 degC, the coldest of its range";

impl Refrigerant {
    /// Bubble temperature at a pressure, K.
    ///
    /// # Errors
    /// Pressure outside the bubble pressure at -50 degC to 0.93 of the critical pressure.
    pub fn bubble_temperature(&self, p: f64) -> Result<f64, OutOfRange> {
        self.line_temperature(&self.bubble, p)
    }

    /// Dew temperature at a pressure, K.
    ///
    /// # Errors
    /// Pressure outside the dew pressure at -50 degC to 0.93 of the critical pressure.
    pub fn dew_temperature(&self, p: f64) -> Result<f64, OutOfRange> {
        self.line_temperature(&self.dew, p)
    }

    /// Bubble pressure at a temperature, Pa: the inverse of [`Refrigerant::bubble_temperature`] to rounding.
    ///
    /// # Errors
    /// Temperature outside -50 degC to the bubble temperature at 0.93 of the critical pressure.
    pub fn bubble_pressure(&self, t: f64) -> Result<f64, OutOfRange> {
        self.line_pressure(&self.bubble, t)
    }

    /// Dew pressure at a temperature, Pa: the inverse of [`Refrigerant::dew_temperature`] to rounding.
    ///
    /// # Errors
    /// Temperature outside -50 degC to the dew temperature at 0.93 of the critical pressure.
    pub fn dew_pressure(&self, t: f64) -> Result<f64, OutOfRange> {
        self.line_pressure(&self.dew, t)
    }

    /// Bubble liquid at a pressure.
    ///
    /// # Errors
    /// As [`Refrigerant::bubble_temperature`].
    pub fn bubble_p(&self, p: f64) -> Result<State, OutOfRange> {
        let t = self.bubble_temperature(p)?;
        Ok(Liquid::new(self, p, t).state(Some(0.0)))
    }

    /// The pressure (Pa) at which liquid of an enthalpy (J/kg) boils, from one nearby.
    ///
    /// # Errors
    /// As [`Refrigerant::bubble_temperature`].
    pub fn bubble_pressure_of(&self, enthalpy: f64, near: f64) -> Result<f64, OutOfRange> {
        let at = |ln_p: f64| {
            let p = ln_p.exp();
            Ok(self.liquid_enthalpy(p, self.bubble_temperature(p)?)? - enthalpy)
        };
        // Secants: the enthalpy is nearly straight over the logarithm of the pressure.
        let (mut ln_p, mut over) = (near.ln(), at(near.ln())?);
        let mut slope = (at(ln_p - 1e-3)? - over) / -1e-3;
        for _ in 0..20 {
            if over.abs() < 1e-9 * enthalpy.abs() {
                break;
            }
            let next = ln_p - over / slope;
            let left = at(next)?;
            let step = next - ln_p;
            slope = if step.abs() > 0.0 { (left - over) / step } else { slope };
            (ln_p, over) = (next, left);
        }
        Ok(ln_p.exp())
    }

    /// Dew vapour at a pressure.
    ///
    /// # Errors
    /// As [`Refrigerant::dew_temperature`].
    pub fn dew_p(&self, p: f64) -> Result<State, OutOfRange> {
        self.dew_temperature(p)?;
        Ok(Isobar::new(self, p).dew_state())
    }

    /// Bubble liquid at a temperature.
    ///
    /// # Errors
    /// As [`Refrigerant::bubble_pressure`].
    pub fn bubble_t(&self, t: f64) -> Result<State, OutOfRange> {
        let p = self.bubble_pressure(t)?;
        Ok(State { temperature: t, ..Liquid::new(self, p, t).state(Some(0.0)) })
    }

    /// Dew vapour at a temperature.
    ///
    /// # Errors
    /// As [`Refrigerant::dew_pressure`].
    pub fn dew_t(&self, t: f64) -> Result<State, OutOfRange> {
        let p = self.dew_pressure(t)?;
        Ok(State { temperature: t, ..Isobar::new(self, p).dew_state() })
    }

    fn line_temperature(&self, line: &Line, p: f64) -> Result<f64, OutOfRange> {
        // The pressure at -50 degC costs more than the temperature required: look at it only when it matters.
        let cold = || self.error("pressure", p, line.pressure(self.coldest), End::Least, AT_COLDEST);
        if p.is_nan() {
            return Err(cold());
        }
        self.below("pressure", p, self.scale.high, TOP)?;
        if p < self.scale.low {
            return Err(cold());
        }
        let t = line.temperature(p);
        if t < self.coldest * (1.0 - SLACK) { Err(cold()) } else { Ok(t) }
    }

    fn line_pressure(&self, line: &Line, t: f64) -> Result<f64, OutOfRange> {
        self.above("temperature", t, self.coldest, COLDEST)?;
        self.below("temperature", t, line.t_high, AT_TOP)?;
        Ok(line.pressure(t))
    }

    pub(super) fn error(
        &self,
        quantity: &'static str,
        value: f64,
        bound: f64,
        end: End,
        meaning: &'static str,
    ) -> OutOfRange {
        let unit = match quantity {
            "pressure" => "Pa",
            "temperature" => "K",
            "enthalpy" => "J/kg",
            _ => "J/(kg K)",
        };
        OutOfRange { refrigerant: self.name, quantity, value, bound, end, unit, meaning }
    }

    /// Fails below a bound, and for NaN.
    pub(super) fn above(
        &self,
        quantity: &'static str,
        value: f64,
        bound: f64,
        meaning: &'static str,
    ) -> Result<(), OutOfRange> {
        if value >= bound * (1.0 - SLACK) {
            Ok(())
        } else {
            Err(self.error(quantity, value, bound, End::Least, meaning))
        }
    }

    /// Fails above a bound, and for NaN.
    pub(super) fn below(
        &self,
        quantity: &'static str,
        value: f64,
        bound: f64,
        meaning: &'static str,
    ) -> Result<(), OutOfRange> {
        if value <= bound * (1.0 + SLACK) {
            Ok(())
        } else {
            Err(self.error(quantity, value, bound, End::Greatest, meaning))
        }
    }
}
