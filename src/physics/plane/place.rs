//! A place on a plan.

use schemars::JsonSchema;
use serde::Serialize;

/// Less than this is how finely lengths on a plan are typed, m.
pub const SLACK_M: f64 = 2e-3;

/// A place on a plan: x to the right and y up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Xy {
    /// To the right, m.
    pub x_m: f64,
    /// Up on the plan, m.
    pub y_m: f64,
}

impl Xy {
    /// At these coordinates.
    #[must_use]
    pub const fn new(x_m: f64, y_m: f64) -> Self {
        Self { x_m, y_m }
    }

    /// Moved by so much.
    #[must_use]
    pub fn plus(self, by: Xy) -> Self {
        Self::new(self.x_m + by.x_m, self.y_m + by.y_m)
    }

    /// The way from another place to this one.
    #[must_use]
    pub fn minus(self, from: Xy) -> Self {
        Self::new(self.x_m - from.x_m, self.y_m - from.y_m)
    }

    /// So many times as far.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self::new(self.x_m * factor, self.y_m * factor)
    }

    /// Turned about the origin, degrees counter-clockwise. Quarter turns are exact.
    #[must_use]
    pub fn turned(self, degrees: f64) -> Self {
        let quarters = (degrees / 90.0).round();
        let (sin, cos) = (degrees - 90.0 * quarters).to_radians().sin_cos();
        let Self { x_m, y_m } = self;
        let (x, y) = (cos * x_m - sin * y_m, sin * x_m + cos * y_m);
        match quarters.rem_euclid(4.0) {
            q if q < 0.5 => Self::new(x, y),
            q if q < 1.5 => Self::new(-y, x),
            q if q < 2.5 => Self::new(-x, -y),
            _ => Self::new(y, -x),
        }
    }

    /// The product of the lengths and the cosine of the angle between.
    #[must_use]
    pub fn dot(self, other: Xy) -> f64 {
        self.x_m * other.x_m + self.y_m * other.y_m
    }

    /// The product of the lengths and the sine of the angle to the other, counter-clockwise.
    #[must_use]
    pub fn cross(self, other: Xy) -> f64 {
        self.x_m * other.y_m - self.y_m * other.x_m
    }

    /// How far it is from the origin, m.
    #[must_use]
    pub fn length(self) -> f64 {
        self.x_m.hypot(self.y_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Xy {
        Xy::new(x, y)
    }

    #[test]
    fn quarter_turns_are_exact() {
        for (degrees, x, y) in
            [(0.0, 3.0, 1.0), (90.0, -1.0, 3.0), (180.0, -3.0, -1.0), (-90.0, 1.0, -3.0), (360.0, 3.0, 1.0)]
        {
            assert_eq!(at(3.0, 1.0).turned(degrees), at(x, y), "{degrees}");
        }
        let turned = at(2.0, 0.0).turned(30.0);
        assert!((turned.x_m - 3.0_f64.sqrt()).abs() < 1e-12 && (turned.y_m - 1.0).abs() < 1e-12);
    }
}
