//! How a circuit runs over the temperatures and shares of its year.
//!
//! A stage is solved at a few temperatures and interpolated between two where both and one between them are counted alike and the one
//! between lies where the line from one to the other has it; elsewhere (a kink where the head control begins to act, a riser that seals,
//! a threshold) the range is halved, down to single temperatures. Over shares a cubic goes through the four nearest, or a parabola from
//! either side to where one regime of the head control gives way to the next.

use super::operating_point::{CircuitModel, OperatingPoint, Solved, Start};
use super::stage::Stage;

/// How far a solved point may be from the line that is drawn past it, relative or of the scale of a quantity. What is then drawn in
/// two halves is about a fourth of that off.
const BENT: f64 = 2e-4;
/// No line is drawn further than this, K.
const WIDEST: f64 = 10.0;
/// How far a polynomial may be from the one through a point less.
const CURVED: f64 = 5e-4;
/// Error of what is interpolated over shares, and of what is drawn to where one regime gives way to the next; what may be counted
/// otherwise for it is solved by itself.
const SHARE_ERROR: f64 = 2e-4;
const GIVING_WAY: f64 = 1e-3;

struct Curve<'a> {
    model: &'a CircuitModel<'a>,
    stage: Stage,
    temperatures: &'a [f64],
    solved: Vec<Solved>,
    start: Start,
}

/// A stage at each temperature, of a list in order.
pub(super) fn at_each(model: &CircuitModel, stage: Stage, temperatures: &[f64]) -> Vec<Solved> {
    let Some((first, rest)) = temperatures.split_first() else { return Vec::new() };
    let mut start = Start::default();
    let solved = vec![model.solve(*first, stage, &mut start); temperatures.len()];
    let mut curve = Curve { model, stage, temperatures, solved, start };
    curve.solve(rest.len());
    curve.fill(0, rest.len());
    curve.solved
}

impl Curve<'_> {
    fn solve(&mut self, at: usize) {
        self.solved[at] = self.model.solve(self.temperatures[at], self.stage, &mut self.start);
    }

    /// What a line between two temperatures has at another.
    fn drawn(&self, from: usize, to: usize, at: usize) -> Solved {
        let [a, b, x] = [from, to, at].map(|number| self.temperatures[number]);
        Ok(self.solved[from]?.between(&self.solved[to]?, (x - a) / (b - a)))
    }

    /// Fills what is between two temperatures that are solved.
    fn fill(&mut self, from: usize, to: usize) {
        let middle = from.midpoint(to);
        if middle == from {
            return;
        }
        let drawn = self.drawn(from, to, middle);
        if let Ok(drawn) = &drawn {
            self.start.near = Some(drawn.near());
        }
        self.solve(middle);
        let [a, b, between] = [from, to, middle].map(|number| &self.solved[number]);
        let straight = match (between, drawn) {
            (Ok(point), Ok(drawn)) => point.within(&drawn, BENT),
            (between, drawn) => between.is_err() && drawn.is_err(),
        };
        let near = self.temperatures[from] - self.temperatures[to] <= WIDEST;
        if straight && near && self.model.counted_alike(a, b) && self.model.counted_alike(a, between) {
            for (from, to) in [(from, middle), (middle, to)] {
                for at in from + 1..to {
                    self.solved[at] = self.drawn(from, to, at);
                }
            }
        } else {
            self.fill(from, middle);
            self.fill(middle, to);
        }
    }
}

/// What a polynomial through points has at a capacity (W), by Neville's rule.
fn through(points: &[&OperatingPoint], capacity: f64) -> Option<OperatingPoint> {
    let ((first, after), (last, before)) = (points.split_first()?, points.split_last()?);
    if after.is_empty() {
        return Some(**first);
    }
    let part = (capacity - first.capacity) / (last.capacity - first.capacity);
    Some(through(before, capacity)?.between(&through(after, capacity)?, part))
}

/// The point that gives a capacity (W), from points at rising shares at the same temperature; none where it is to be solved by itself.
pub(super) fn at_capacity(model: &CircuitModel, points: &[&OperatingPoint], capacity: f64) -> Option<OperatingPoint> {
    let (below, above) = points.split_at_checked(points.iter().position(|point| point.capacity >= capacity)?)?;
    let (a, b) = (*below.last()?, *above.first()?);
    // The nearest first.
    let below: Vec<&OperatingPoint> =
        below.iter().rev().take_while(|point| point.in_the_regime_of(a)).take(3).copied().collect();
    let above: Vec<&OperatingPoint> =
        above.iter().take_while(|point| point.in_the_regime_of(b)).take(3).copied().collect();
    let (error, (rough, point)) = if a.in_the_regime_of(b) {
        let of_below = below.len().min(4 - above.len().min(2));
        let near: Vec<&OperatingPoint> = below.into_iter().take(of_below).rev().chain(above).take(4).collect();
        (SHARE_ERROR, (through(near.get(..3)?, capacity)?, through(near.get(..4)?, capacity)?))
    } else {
        let along =
            |points: &[&OperatingPoint]| Some((through(points.get(..2)?, capacity)?, through(points, capacity)?));
        let (below, above) = (along(&below)?, along(&above)?);
        if a.starved != b.starved || a.condenses_as(&below.1) == b.condenses_as(&above.1) {
            return None;
        }
        // Held from the minimum air up, or up to where the coil alone takes over.
        (GIVING_WAY, if (above.1.condensing > below.1.condensing) == b.controlled() { below } else { above })
    };
    let settled = rough.within(&point, CURVED) && model.counted_alike(&Ok(rough), &Ok(point));
    (settled && !model.near_a_threshold(&point, error)).then_some(point)
}
