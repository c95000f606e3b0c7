//! How a circuit runs over the temperatures and shares of its year.
//!
//! A stage is solved at a few temperatures, and a polynomial goes through the nearest of one regime of the head control; where one regime
//! gives way to the next, those of both are drawn on to where they meet. Where the polynomial through a point less is off (a riser that
//! seals, a liquid line that flashes) the range is halved, down to single temperatures. Over shares it is the same at a capacity.

use super::operating_point::{CircuitModel, OperatingPoint, Quantity, Solved, Start};
use super::stage::Stage;
use crate::solve::lagrange;

/// The first temperatures are so far apart, K; a regime is drawn no further beyond its last.
const APART: f64 = 7.0;
/// Points through which a polynomial goes.
const POINTS: usize = 5;
/// How far it may be from the one through a point less, relative or of the scale of a quantity.
const CURVED: f64 = 5e-4;
/// How far what is drawn may be off in any case, relative or of 30 K of subcooling: less than the slack of what is counted.
const LEAST: f64 = 1.5e-5;

/// A stage as solved at a few temperatures, from the hottest down.
#[derive(Clone, Debug)]
pub(super) struct Row(Vec<(f64, Solved)>);

/// What is drawn, and the same through a point less.
type Drawn<T> = (T, T);

impl Row {
    /// Of a stage at temperatures from the hottest down, K.
    pub fn new(model: &CircuitModel, stage: Stage, temperatures: &[f64]) -> Self {
        let mut start = Start::default();
        let mut row = Self(Vec::new());
        for (number, outdoor) in temperatures.iter().enumerate() {
            if row.0.last().is_none_or(|(last, _)| last - outdoor >= APART) || number + 1 == temperatures.len() {
                row.0.push((*outdoor, model.solve(*outdoor, stage, &mut start)));
            }
        }
        let number = |outdoor: f64| temperatures.partition_point(|temperature| *temperature > outdoor);
        let mut at = 0;
        while let Some([(a, hotter), (b, _)]) = row.0.get(at..at + 2) {
            let (from, to) = (number(*a), number(*b));
            let middle = from.midpoint(to);
            let known = |at: usize| temperatures.get(at).is_some_and(|outdoor| row.at(*outdoor).is_some());
            if middle == from || [from + 1, middle, to - 1].into_iter().all(known) {
                at += 1;
            } else if let Some(outdoor) = temperatures.get(middle) {
                start.near = hotter.as_ref().ok().map(OperatingPoint::near).or(start.near);
                row.0.insert(at + 1, (*outdoor, model.solve(*outdoor, stage, &mut start)));
            }
        }
        row
    }

    /// At each temperature; what may be counted otherwise than it is drawn is solved by itself.
    pub fn at_each(&self, model: &CircuitModel, stage: Stage, temperatures: &[f64]) -> Vec<Solved> {
        let mut start = Start::default();
        let each = |outdoor: &f64| match self.at(*outdoor) {
            Some((Ok(point), Ok(rough))) if !model.near_a_threshold(&point, &rough, LEAST) => Ok(point),
            Some((Err(cause), _)) => Err(cause),
            _ => model.solve(*outdoor, stage, &mut start),
        };
        temperatures.iter().map(each).collect()
    }

    fn points(&self) -> impl Iterator<Item = &OperatingPoint> + Clone {
        self.0.iter().filter_map(|(_, solved)| solved.as_ref().ok())
    }

    /// At a temperature; none where it is not known.
    fn at(&self, outdoor: f64) -> Option<Drawn<Solved>> {
        let next = self.0.partition_point(|(temperature, _)| *temperature > outdoor);
        match self.0.get(next.saturating_sub(1)..=next)? {
            [.., (temperature, solved)] if temperature.total_cmp(&outdoor).is_eq() => Some((*solved, *solved)),
            [(_, Ok(a)), (_, Ok(b))] => {
                let (point, rough) = between([a, b], self.points(), |point| point.outdoor_K, outdoor)?;
                Some((Ok(point), Ok(rough)))
            }
            [(_, Err(a)), (_, Err(b))] if a == b => Some((Err(*a), Err(*b))),
            _ => None,
        }
    }
}

/// The rows of a circuit at a temperature.
pub(super) struct Column {
    /// How each runs, at rising shares.
    points: Vec<OperatingPoint>,
    /// The same, and what each has of another regime of the head control that is near.
    regimes: Vec<OperatingPoint>,
}

impl Column {
    pub fn new(rows: &[Row], outdoor: f64) -> Self {
        let mut column = Self { points: Vec::new(), regimes: Vec::new() };
        for row in rows {
            let Some((Ok(point), _)) = row.at(outdoor) else { continue };
            let mut regimes = vec![&point];
            for other in row.points().filter(|other| (other.outdoor_K - outdoor).abs() < APART) {
                if regimes.iter().all(|regime| !other.in_the_regime_of(regime)) {
                    regimes.push(other);
                    let drawn = along(other, row.points(), |point| point.outdoor_K, outdoor);
                    column.regimes.extend(drawn.map(|(point, _)| point));
                }
            }
            column.regimes.push(point);
            column.points.push(point);
        }
        column
    }

    /// The point that gives a capacity (W); none where it is to be solved by itself.
    pub fn at_capacity(&self, model: &CircuitModel, capacity: f64) -> Option<OperatingPoint> {
        let next = self.points.iter().position(|point| point.capacity_W >= capacity)?;
        let ends = [self.points.get(next.checked_sub(1)?)?, self.points.get(next)?];
        let (point, rough) = between(ends, self.regimes.iter(), |point| point.capacity_W, capacity)?;
        (!model.near_a_threshold(&point, &rough, LEAST)).then_some(point)
    }

    /// About the share that gives a capacity (W).
    pub fn share(&self, capacity: f64) -> Option<f64> {
        let near = nearest(self.points.iter(), |point| point.capacity_W, capacity);
        through(&near, |point| point.capacity_W, capacity).map(|point| point.stage.share)
    }
}

/// The points, of some in order, nearest to a place of a quantity.
fn nearest<'a>(points: impl Iterator<Item = &'a OperatingPoint>, of: Quantity, place: f64) -> Vec<&'a OperatingPoint> {
    let mut near: Vec<&OperatingPoint> = points.collect();
    let falls = near.first().zip(near.last()).is_some_and(|(first, last)| of(first) > of(last));
    let next = near.partition_point(|point| (of(point) > place) == falls);
    let from = next.saturating_sub(POINTS / 2).min(near.len().saturating_sub(POINTS));
    near.drain(..from);
    near.truncate(POINTS);
    near
}

/// What the polynomial through points has at a place of a quantity.
fn through(points: &[&OperatingPoint], of: Quantity, place: f64) -> Option<OperatingPoint> {
    let places: Vec<f64> = points.iter().map(|point| of(point)).collect();
    OperatingPoint::weighted(points, &lagrange(&places, place))
}

/// What the regime of a point has at a place of a quantity; none where it bends too much.
fn along<'a>(
    like: &OperatingPoint,
    points: impl Iterator<Item = &'a OperatingPoint>,
    of: Quantity,
    place: f64,
) -> Option<Drawn<OperatingPoint>> {
    let near = nearest(points.filter(|point| point.in_the_regime_of(like)), of, place);
    let ((first, after), (last, before)) = (near.split_first()?, near.split_last()?);
    let far = |point: &OperatingPoint| (of(point) - place).abs();
    let less = if far(first) > far(last) { after } else { before };
    let (point, rough) = (through(&near, of, place)?, through(less, of, place)?);
    (less.len() > 1 && point.within(&rough, CURVED)).then_some((point, rough))
}

/// What is between two points at a place of a quantity; none where that is not known.
fn between<'a>(
    [a, b]: [&OperatingPoint; 2],
    points: impl Iterator<Item = &'a OperatingPoint> + Clone,
    of: Quantity,
    place: f64,
) -> Option<Drawn<OperatingPoint>> {
    let from_a = along(a, points.clone(), of, place)?;
    if a.in_the_regime_of(b) {
        return Some(from_a);
    }
    let from_b = along(b, points, of, place)?;
    if a.starved != b.starved || a.condenses_as(&from_a.0) == b.condenses_as(&from_b.0) {
        return None;
    }
    // Held from the minimum air up, or up to where the coil alone takes over.
    let hotter = if a.condensing_K > b.condensing_K { a } else { b };
    Some(if (from_a.0.condensing_K > from_b.0.condensing_K) == hotter.controlled() { from_b } else { from_a })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::year::operating_point::testing::point;

    /// Points at those temperatures (K over 300 K) with a capacity of 100 kW and so many times the fourth power of that.
    fn quartic(times: f64, at: &[f64]) -> Vec<OperatingPoint> {
        at.iter().map(|kelvin| point(300.0 + kelvin, 1e5 + times * kelvin.powi(4))).collect()
    }

    fn drawn(points: &[OperatingPoint], kelvin: f64) -> Option<(f64, f64)> {
        let drawn = along(points.first()?, points.iter(), |point| point.outdoor_K, 300.0 + kelvin);
        drawn.map(|(point, rough)| (point.capacity_W - 1e5, rough.capacity_W - 1e5))
    }

    fn are(found: Option<(f64, f64)>, exact: f64, rough: f64) -> bool {
        found.is_some_and(|found| (found.0 - exact).abs() < 1e-6 && (found.1 - rough).abs() < 1e-6)
    }

    /// Through all five points x^4 is itself; through four it is off by the product of the distances from them.
    #[test]
    fn a_curve_is_estimated_by_the_one_without_the_point_that_is_farthest() {
        let five = quartic(1.0, &[2.0, 1.0, 0.0, -1.0, -2.0]);
        // At 0.5 the farthest is -2: 0.5^4 - (1.5)(0.5)(-0.5)(-1.5) = 0.0625 - 0.5625.
        assert!(are(drawn(&five, 0.5), 0.0625, -0.5) && are(drawn(&five, -0.5), 0.0625, -0.5));
        let rising = quartic(1.0, &[-2.0, -1.0, 0.0, 1.0, 2.0]);
        assert!(are(drawn(&rising, 0.5), 0.0625, -0.5) && are(drawn(&rising, -0.5), 0.0625, -0.5));
        // Of more than five the nearest: at 1.5 those from 3 to -1, of which -1 is farthest, 1.5^4 - (1.5)(0.5)(-0.5)(-1.5); at the ends
        // those from 1 to -3 and from 4 to 0, of which -3 is and 0, 3.5^4 - (2.5)(1.5)(0.5)(-0.5).
        let more = quartic(1.0, &[4.0, 3.0, 2.0, 1.0, 0.0, -1.0, -2.0, -3.0]);
        assert!(are(drawn(&more, 1.5), 5.0625, 4.5), "{:?}", drawn(&more, 1.5));
        assert!(are(drawn(&more, -0.5), 0.0625, -0.5), "{:?}", drawn(&more, -0.5));
        assert!(are(drawn(&more, 3.5), 150.0625, 151.0), "{:?}", drawn(&more, 3.5));
    }

    #[test]
    fn no_curve_is_drawn_that_bends_too_much_or_goes_through_two_points() {
        // 5e-4 of 100 kW is 50 W, off by 0.5625 times the bend.
        let five = |times: f64| quartic(times, &[2.0, 1.0, 0.0, -1.0, -2.0]);
        assert!(drawn(&five(88.0), 0.5).is_some() && drawn(&five(90.0), 0.5).is_none());
        assert!(drawn(&five(-88.0), 0.5).is_some() && drawn(&five(-90.0), 0.5).is_none());
        assert!(
            drawn(&quartic(0.0, &[1.0, -1.0]), 0.5).is_none() && drawn(&quartic(0.0, &[1.0, 0.0, -1.0]), 0.5).is_some()
        );
    }

    #[test]
    fn a_curve_goes_through_the_points_of_its_own_regime() {
        let mut points = quartic(1.0, &[2.0, 1.0, 0.0, -1.0, -2.0]);
        for kelvin in [1.5, 0.25] {
            let held = OperatingPoint { air_share: 0.5, condensing_K: 303.0, ..point(300.0 + kelvin, 2e5) };
            points.insert(1, held);
        }
        assert!(are(drawn(&points, 0.5), 0.0625, -0.5));
    }

    /// Through 0.2, 0.5 and 1 at 100, 200 and 300 kW: at 150 kW 0.375 (0.2) + 0.75 (0.5) - 0.125 (1).
    #[test]
    fn a_share_is_estimated_from_the_capacities_near_to_it() {
        let of = |(share, capacity): (f64, f64)| {
            let point = point(300.0, capacity);
            OperatingPoint { stage: Stage { share, ..point.stage }, ..point }
        };
        let points: Vec<OperatingPoint> = [(0.2, 1e5), (0.5, 2e5), (1.0, 3e5)].map(of).to_vec();
        let share = Column { points, regimes: Vec::new() }.share(1.5e5);
        assert!(share.is_some_and(|share| (share - 0.325).abs() < 1e-9), "{share:?}");
        assert!(Column { points: Vec::new(), regimes: Vec::new() }.share(1.5e5).is_none());
    }
}
