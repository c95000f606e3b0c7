//! The symbols of parts in a line, about the origin, flow to the right; [`Canvas::turned`] puts them in place.

use super::canvas::Canvas;
use super::plane::{At, Rect};
use super::style::class;

/// The head of an arrow on a line of gas.
pub const GAS_ARROW: &str = "M-5-4L5 0L-5 4z";
/// The head of an arrow on a line of liquid.
pub const LIQUID_ARROW: &str = "M-6-4.8L6 0L-6 4.8z";

/// A check valve: a triangle against a bar, the tip with the flow. 16 long.
pub fn check_valve(canvas: &mut Canvas, at: At, turn: f64) {
    canvas.turned(class::BLANK, "M-8-8h16v16h-16z", at, turn);
    canvas.turned(class::BOX, "M-7-7L6 0L-7 7z", at, turn);
    canvas.turned(class::CURVE, "M7-8v16", at, turn);
}

/// A solenoid valve: a bow-tie, a box on a stem upright over it. 18 long.
pub fn solenoid_valve(canvas: &mut Canvas, at: At) {
    canvas.turned(class::BOX, "M-8-6l16 12v-12l-16 12z", at, 0.0);
    canvas.turned(class::OUTLINE, "M0 0v-11", at, 0.0);
    canvas.turned(class::BOX, "M-5.5-20h11v9h-11z", at, 0.0);
}

/// A valve: a bow-tie. 14 long.
pub fn valve(canvas: &mut Canvas, at: At) {
    canvas.turned(class::BOX, "M-7-5l14 10v-10l-14 10z", at, 0.0);
}

/// A filter-drier: a rounded box with two strokes. 24 long.
pub fn filter_drier(canvas: &mut Canvas, at: At) {
    canvas.turned(class::BOX, "M-7-7h14a5 5 0 0 1 5 5v4a5 5 0 0 1-5 5h-14a5 5 0 0 1-5-5v-4a5 5 0 0 1 5-5z", at, 0.0);
    canvas.turned(class::OUTLINE, "M-6 7l7-14m-1 14l7-14", at, 0.0);
}

/// A sight glass: a ring in a ring. 16 long.
pub fn sight_glass(canvas: &mut Canvas, at: At) {
    canvas.circle(class::BOX, at, 8.0);
    canvas.circle(class::OUTLINE, at, 3.2);
}

/// Any other part: a box with a stroke down its middle. 16 long.
pub fn other(canvas: &mut Canvas, at: At) {
    canvas.turned(class::BOX, "M-8-7h16v14h-16z", at, 0.0);
    canvas.turned(class::OUTLINE, "M0-7v14", at, 0.0);
}

/// A vessel with its level.
pub fn receiver(canvas: &mut Canvas, vessel: Rect) {
    canvas.rect(class::BOX, vessel, vessel.h / 2.0);
    let level = vessel.y + vessel.h * 0.66;
    canvas.line(class::CURVE_LIQUID, (vessel.x + 4.0, level), (vessel.right() - 4.0, level));
}

/// Two slanted strokes with paper between: a run is longer than drawn. Along a level line about a point.
pub fn break_mark(canvas: &mut Canvas, at: At) {
    canvas.turned(class::BLANK, "M-6 9l6-18h7l-6 18z", at, 0.0);
    canvas.turned(class::OUTLINE, "M-6 9l6-18m7 0l-6 18", at, 0.0);
}

/// A dimension between two points, with ticks at its ends.
pub fn dimension(canvas: &mut Canvas, from: At, to: At) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy).max(1e-6);
    let (tx, ty) = (-dy / length * 4.0, dx / length * 4.0);
    canvas.line(class::OUTLINE, from, to);
    for end in [from, to] {
        canvas.line(class::OUTLINE, (end.0 - tx, end.1 - ty), (end.0 + tx, end.1 + ty));
    }
}
