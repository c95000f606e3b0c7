//! Polygons: what lies within, overlaps, hulls.

use super::place::Xy;
use super::stretch::{between, to_stretch};

/// The sides of a polygon, the last back to the first corner.
pub fn sides(polygon: &[Xy]) -> impl Iterator<Item = (Xy, Xy)> + '_ {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

/// Whether a place lies within a polygon, whatever way its corners run. On its sides it may be either.
#[must_use]
pub fn within(polygon: &[Xy], place: Xy) -> bool {
    let crossed = sides(polygon).filter(|(a, b)| {
        (a.y_m > place.y_m) != (b.y_m > place.y_m)
            && place.x_m < a.x_m + (b.x_m - a.x_m) * (place.y_m - a.y_m) / (b.y_m - a.y_m)
    });
    crossed.count() % 2 == 1
}

/// Least distance from a place to the sides of a polygon, m; infinite for no corners.
#[must_use]
pub fn to_sides(polygon: &[Xy], place: Xy) -> f64 {
    sides(polygon).map(|side| to_stretch(place, side)).fold(f64::INFINITY, f64::min)
}

/// How far corners reach past the edge of an outline, m, where by more than `slack_m`; none for an outline of no corners.
#[must_use]
pub fn reaches_past(outline: &[Xy], corners: &[Xy], slack_m: f64) -> Option<f64> {
    if outline.is_empty() {
        return None;
    }
    let past = corners
        .iter()
        .filter(|corner| !within(outline, **corner))
        .map(|corner| to_sides(outline, *corner))
        .fold(0.0, f64::max);
    if past > slack_m {
        return Some(past);
    }
    // No corner is outside, but a corner of the edge may reach in.
    let cut = sides(outline).map(|side| length_within(corners, side, slack_m)).fold(0.0, f64::max);
    Some(cut).filter(|cut| *cut > slack_m)
}

/// Two sides of a polygon that meet though they should not, by number from 0: it crosses itself, or folds back on itself.
#[must_use]
pub fn crossing(polygon: &[Xy], slack_m: f64) -> Option<(usize, usize)> {
    let all: Vec<(Xy, Xy)> = sides(polygon).collect();
    let count = all.len();
    for (i, one) in all.iter().enumerate() {
        for (j, other) in all.iter().enumerate().skip(i + 1) {
            let meet = if j == i + 1 {
                to_stretch(other.1, *one) <= slack_m || to_stretch(one.0, *other) <= slack_m
            } else if i == 0 && j == count - 1 {
                to_stretch(other.0, *one) <= slack_m || to_stretch(one.1, *other) <= slack_m
            } else {
                between(*one, *other) <= slack_m
            };
            if meet {
                return Some((i, j));
            }
        }
    }
    None
}

/// The minimum move that takes a convex polygon out of another; none where they do not overlap by more than the slack.
/// By the separating axes: the overlap along the normal of each side of both.
#[must_use]
pub fn way_out(of: &[Xy], polygon: &[Xy], slack_m: f64) -> Option<Xy> {
    let span = |corners: &[Xy], axis: Xy| {
        corners
            .iter()
            .map(|corner| corner.dot(axis))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(minimum, maximum), at| (minimum.min(at), maximum.max(at)))
    };
    let mut minimum: Option<(Xy, f64)> = None;
    for (from, to) in sides(of).chain(sides(polygon)) {
        let along = to.minus(from);
        if along.length() <= 0.0 {
            continue;
        }
        let axis = Xy::new(along.y_m, -along.x_m).times(1.0 / along.length());
        let ((here_minimum, here_maximum), (there_minimum, there_maximum)) = (span(of, axis), span(polygon, axis));
        for (push, sign) in [(here_maximum - there_minimum, 1.0), (there_maximum - here_minimum, -1.0)] {
            if push <= slack_m {
                return None;
            }
            if minimum.is_none_or(|(_, shortest)| push < shortest) {
                minimum = Some((axis.times(sign * push), push));
            }
        }
    }
    minimum.map(|(way, _)| way)
}

/// The convex polygon round these places, its corners counter-clockwise.
#[must_use]
pub fn hull(places: &[Xy]) -> Vec<Xy> {
    let mut places = places.to_vec();
    places.sort_by(|a, b| a.x_m.total_cmp(&b.x_m).then(a.y_m.total_cmp(&b.y_m)));
    // The lower half from left to right, then the upper half back.
    let half = |places: &mut dyn Iterator<Item = Xy>| {
        let mut half: Vec<Xy> = Vec::new();
        for place in places {
            while let [.., before, last] = half[..]
                && last.minus(before).cross(place.minus(last)) <= 1e-12
            {
                half.pop();
            }
            half.push(place);
        }
        half.pop();
        half
    };
    let mut hull = half(&mut places.iter().copied());
    hull.extend(half(&mut places.iter().rev().copied()));
    hull
}

/// Least distance between the sides of two polygons, m.
#[must_use]
pub fn apart(one: &[Xy], other: &[Xy]) -> f64 {
    sides(one).flat_map(|a| sides(other).map(move |b| between(a, b))).fold(f64::INFINITY, f64::min)
}

/// How much of a stretch lies deeper than `margin_m` within a convex polygon whose corners run counter-clockwise, m.
#[must_use]
pub fn length_within(polygon: &[Xy], (from, to): (Xy, Xy), margin_m: f64) -> f64 {
    let along = to.minus(from);
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for (a, b) in sides(polygon) {
        let side = b.minus(a);
        if side.length() <= 0.0 {
            continue;
        }
        let inward = Xy::new(-side.y_m, side.x_m).times(1.0 / side.length());
        let (depth, rate) = (from.minus(a).dot(inward) - margin_m, along.dot(inward));
        if rate > 0.0 {
            enters = enters.max(-depth / rate);
        } else if rate < 0.0 {
            leaves = leaves.min(depth / -rate);
        } else if depth <= 0.0 {
            return 0.0;
        }
    }
    (leaves - enters).max(0.0) * along.length()
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "distances that are exact in binary")]
mod tests {
    use super::super::stretch::ahead;
    use super::*;
    use proptest::prelude::*;

    const SQUARE: [Xy; 4] = [Xy::new(0.0, 0.0), Xy::new(2.0, 0.0), Xy::new(2.0, 2.0), Xy::new(0.0, 2.0)];

    fn at(x: f64, y: f64) -> Xy {
        Xy::new(x, y)
    }

    fn square(x: f64, y: f64) -> Vec<Xy> {
        SQUARE.iter().map(|corner| corner.plus(at(x, y))).collect()
    }

    #[test]
    fn a_place_level_with_corners_is_within_or_not() {
        let diamond = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)].map(|(x, y)| Xy::new(x, y));
        assert!(within(&diamond, Xy::new(0.0, 0.0)));
        assert!(within(&diamond, Xy::new(-0.5, 0.0)));
        assert!(!within(&diamond, Xy::new(-1.5, 0.0)));
        assert!(!within(&diamond, Xy::new(1.5, 0.0)));
    }

    #[test]
    fn within_holds_for_a_bent_polygon() {
        let bent = [at(0.0, 0.0), at(4.0, 0.0), at(4.0, 4.0), at(2.0, 4.0), at(2.0, 2.0), at(0.0, 2.0)];
        assert!(within(&bent, at(1.0, 1.0)) && within(&bent, at(3.0, 3.0)));
        assert!(!within(&bent, at(1.0, 3.0)) && !within(&bent, at(5.0, 1.0)));
        assert_eq!(to_sides(&bent, at(1.0, 3.0)), 1.0);
        assert_eq!(to_sides(&[], at(1.0, 3.0)), f64::INFINITY);
    }

    #[test]
    fn a_polygon_that_crosses_or_folds_back_is_told() {
        assert_eq!(crossing(&SQUARE, 1e-3), None);
        assert_eq!(crossing(&[at(0.0, 0.0), at(2.0, 2.0), at(2.0, 0.0), at(0.0, 2.0)], 1e-3), Some((0, 2)));
        assert_eq!(crossing(&[at(0.0, 0.0), at(2.0, 0.0), at(1.0, 0.0), at(1.0, 2.0)], 1e-3), Some((0, 1)));
        assert_eq!(crossing(&[at(0.0, 0.0), at(2.0, 0.0)], 1e-3), Some((0, 1)));
        assert_eq!(crossing(&[], 1e-3), None);
    }

    #[test]
    fn a_hull_holds_what_a_square_sweeps() {
        // Moved by (2, 1): six corners, of area 4 + |2 x 1| x 2 sides: the square and the parallelograms that its two widths sweep.
        let swept = hull(&[SQUARE.to_vec(), square(2.0, 1.0)].concat());
        assert_eq!(swept.len(), 6, "{swept:?}");
        let area: f64 = sides(&swept).map(|(a, b)| a.cross(b) / 2.0).sum();
        assert_eq!(area, 4.0 + 2.0 * 2.0 + 1.0 * 2.0);
        assert_eq!(hull(&SQUARE), SQUARE.to_vec());
        assert_eq!(apart(&SQUARE, &square(5.0, 6.0)), 5.0);
    }

    #[test]
    fn the_way_out_is_the_shortest() {
        assert_eq!(way_out(&SQUARE, &square(1.5, 0.2), 1e-3), Some(at(0.5, 0.0)));
        assert_eq!(way_out(&SQUARE, &square(-0.2, -1.75), 1e-3), Some(at(0.0, -0.25)));
        assert_eq!(way_out(&SQUARE, &square(2.0, 0.0), 1e-3), None);
        assert_eq!(way_out(&SQUARE, &square(1.9995, 0.0), 1e-3), None);
        // A diamond beside the corner, whose bounds overlap.
        let diamond = [at(2.5, 1.0), at(4.0, 2.5), at(2.5, 4.0), at(1.0, 2.5)];
        assert_eq!(way_out(&SQUARE, &diamond, 1e-3).map(|way| (way.length() * 1e6).round()), Some(353_553.0));
        assert_eq!(way_out(&SQUARE, &diamond.map(|corner| corner.plus(at(0.3, 0.3))), 1e-3), None);
    }

    #[test]
    fn what_reaches_past_an_outline_is_measured_and_what_only_touches_it_does_not() {
        let outline = square(0.0, 0.0);
        let side = outline[1].minus(outline[0]).length();
        let past = |x: f64| reaches_past(&outline, &[at(x, 0.1), at(x + 0.5, 0.1), at(x + 0.5, 0.2), at(x, 0.2)], 1e-3);
        assert_eq!(past(side - 0.5), None, "flush with it");
        assert!((past(side - 0.3).unwrap() - 0.2).abs() < 1e-12);
        assert_eq!(reaches_past(&[], &[at(9.0, 9.0)], 1e-3), None);
    }

    #[test]
    fn a_stretch_is_cut_to_what_lies_within() {
        assert_eq!(length_within(&SQUARE, (at(-1.0, 1.0), at(5.0, 1.0)), 0.0), 2.0);
        assert_eq!(length_within(&SQUARE, (at(1.0, 1.0), at(1.5, 1.0)), 0.0), 0.5);
        assert_eq!(length_within(&SQUARE, (at(-1.0, 0.0), at(5.0, 0.0)), 1e-3), 0.0);
        assert_eq!(length_within(&SQUARE, (at(3.0, 0.0), at(5.0, 4.0)), 0.0), 0.0);
    }

    fn place() -> impl Strategy<Value = Xy> {
        (-50.0..50.0, -50.0..50.0).prop_map(|(x, y)| at(x, y))
    }

    proptest! {
        /// Turned and shifted as a whole, nothing changes.
        #[test]
        fn a_turn_of_the_whole_changes_no_distance(
            a in place(), b in place(), c in place(), d in place(), by in place(), degrees in -360.0..360.0,
        ) {
            let moved = |place: Xy| place.turned(degrees).plus(by);
            let (one, other) = ((a, b), (c, d));
            let (one_moved, other_moved) = ((moved(a), moved(b)), (moved(c), moved(d)));
            prop_assert!((between(one, other) - between(one_moved, other_moved)).abs() < 1e-9);
            match (ahead(one, other, 0.0), ahead(one_moved, other_moved, 0.0)) {
                (Some(before), Some(after)) => prop_assert!((before - after).abs() < 1e-6),
                // At the very edge of the breadth, rounding decides.
                (before, after) => prop_assert!(before.is_none() && after.is_none() || on_the_edge(one, other)),
            }
            prop_assert!((length_within(&SQUARE, other, 0.0)
                - length_within(&SQUARE.map(moved), other_moved, 0.0)).abs() < 1e-9);
        }

        /// After the way out the two do not overlap, and a little less would not have done.
        #[test]
        fn the_way_out_leads_out_and_no_further(by in place(), degrees in -180.0..180.0) {
            let there: Vec<Xy> = SQUARE.iter().map(|corner| corner.turned(degrees).plus(by.times(0.05))).collect();
            if let Some(way) = way_out(&SQUARE, &there, 0.0) {
                let after = |share: f64| -> Vec<Xy> {
                    there.iter().map(|corner| corner.plus(way.times(share))).collect()
                };
                prop_assert!(way_out(&SQUARE, &after(1.0), 1e-9).is_none());
                prop_assert!(way.length() < 1e-6 || way_out(&SQUARE, &after(0.99), 1e-9).is_some());
            } else {
                prop_assert!(there.iter().all(|corner| !within(&SQUARE, *corner)));
            }
        }
    }

    /// Whether a stretch ends at the edge of the face's strip.
    fn on_the_edge(face: (Xy, Xy), stretch: (Xy, Xy)) -> bool {
        let along = face.1.minus(face.0);
        [stretch.0, stretch.1].iter().any(|end| {
            let share = end.minus(face.0).dot(along) / along.dot(along);
            share.abs() < 1e-6 || (share - 1.0).abs() < 1e-6 || along.cross(end.minus(face.0)).abs() < 1e-6
        })
    }
}
