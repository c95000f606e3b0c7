//! A question outside the range that was fitted.

use std::fmt;

/// Values this far outside a bound, relatively, are on it: the rounding of whoever computed them.
pub(super) const SLACK: f64 = 1e-9;

/// Which end of the range was passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The value is below the minimum one.
    Least,
    /// The value is above the greatest one.
    Greatest,
}

/// A value outside the range of a refrigerant's properties: never extrapolated, never clamped.
///
/// `value` and `bound` are SI in the unit that `unit` names; `meaning` says in words what the bound is.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub struct OutOfRange {
    /// The refrigerant asked.
    pub refrigerant: &'static str,
    /// The quantity at fault: `pressure`, `temperature`, `enthalpy`, `entropy`.
    pub quantity: &'static str,
    /// The value given; may be NaN or infinite.
    pub value: f64,
    /// The bound that it passed.
    pub bound: f64,
    /// The end of the range that the bound is.
    pub end: End,
    /// SI unit of value and bound.
    pub unit: &'static str,
    /// What the bound is, in words.
    pub meaning: &'static str,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { refrigerant, quantity, value, bound, end, unit, meaning } = self;
        if value.is_nan() {
            return write!(f, "{refrigerant}: {quantity} is not a number ({meaning}: {} {unit})", plain(*bound));
        }
        let side = match end {
            End::Least => "below",
            End::Greatest => "above",
        };
        write!(f, "{refrigerant}: {quantity} {} {unit} is {side} {} {unit}, {meaning}", plain(*value), plain(*bound))
    }
}

/// Seven significant digits at most, without an exponent where a person would not write one.
fn plain(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() || size >= 1e12 || (size > 0.0 && size < 1e-3) {
        return format!("{value:e}");
    }
    let decimals = if size >= 1e5 {
        0
    } else if size >= 1e3 {
        1
    } else {
        3
    };
    format!("{value:.decimals$}")
}
