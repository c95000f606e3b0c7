//! Stretches: straight lines between two places.

use super::place::Xy;

/// Distance from a place to a stretch, m.
#[must_use]
pub fn to_stretch(place: Xy, (from, to): (Xy, Xy)) -> f64 {
    let along = to.minus(from);
    let squared = along.dot(along);
    let share = if squared > 0.0 { (place.minus(from).dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    place.minus(from.plus(along.times(share))).length()
}

/// Least distance between two stretches, m; 0 where they meet.
#[must_use]
pub fn between(one: (Xy, Xy), other: (Xy, Xy)) -> f64 {
    let turns = |(from, to): (Xy, Xy), place: Xy| to.minus(from).cross(place.minus(from));
    let parted = |line, stretch: (Xy, Xy)| turns(line, stretch.0) * turns(line, stretch.1) < 0.0;
    if parted(one, other) && parted(other, one) {
        return 0.0;
    }
    [to_stretch(one.0, other), to_stretch(one.1, other), to_stretch(other.0, one), to_stretch(other.1, one)]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
}

/// How far ahead of a face a stretch lies at its nearest, m, within the breadth of the face less `slack_m` at each end; none
/// where it is not ahead. The face looks to the right of the way from its first end to its second.
#[must_use]
pub fn ahead(face: (Xy, Xy), (from, to): (Xy, Xy), slack_m: f64) -> Option<f64> {
    let along = face.1.minus(face.0);
    let breadth = along.length();
    if breadth <= 2.0 * slack_m {
        return None;
    }
    let along = along.times(1.0 / breadth);
    let outward = Xy::new(along.y_m, -along.x_m);
    let local = |place: Xy| (place.minus(face.0).dot(along), place.minus(face.0).dot(outward));
    let ((x0, y0), (x1, y1)) = (local(from), local(to));
    let (left, right) = (slack_m, breadth - slack_m);
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    // Within the breadth, and not behind the face.
    for (start, rate) in [(x0 - left, x1 - x0), (right - x0, x0 - x1), (y0 + slack_m, y1 - y0)] {
        if rate > 0.0 {
            enters = enters.max(-start / rate);
        } else if rate < 0.0 {
            leaves = leaves.min(start / -rate);
        } else if start < 0.0 {
            return None;
        }
    }
    (enters <= leaves).then(|| (y0 + (y1 - y0) * enters).min(y0 + (y1 - y0) * leaves).max(0.0))
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "distances that are exact in binary")]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Xy {
        Xy::new(x, y)
    }

    #[test]
    fn stretches_of_which_one_alone_parts_the_other_do_not_meet() {
        let upright = (Xy::new(0.0, 1.0), Xy::new(0.0, 3.0));
        let level = (Xy::new(-2.0, 0.0), Xy::new(2.0, 0.0));
        assert!((between(level, upright) - 1.0).abs() < 1e-12);
        assert!((between(upright, level) - 1.0).abs() < 1e-12);
        let through = (Xy::new(0.0, -1.0), Xy::new(0.0, 3.0));
        assert!(between(level, through).abs() < 1e-12);
    }

    #[test]
    fn distances_to_a_stretch_are_exact() {
        let stretch = (at(0.0, 0.0), at(4.0, 0.0));
        assert_eq!(to_stretch(at(2.0, 3.0), stretch), 3.0);
        assert_eq!(to_stretch(at(7.0, 4.0), stretch), 5.0);
        assert_eq!(to_stretch(at(3.0, 4.0), (at(0.0, 0.0), at(0.0, 0.0))), 5.0);
        assert_eq!(between(stretch, (at(1.0, -1.0), at(2.0, 1.0))), 0.0);
        assert_eq!(between(stretch, (at(4.0, 0.0), at(9.0, 9.0))), 0.0);
        assert_eq!(between(stretch, (at(0.0, 2.0), at(4.0, 3.0))), 2.0);
    }

    #[test]
    fn ahead_is_the_nearest_within_the_breadth() {
        // It looks to -y.
        let face = (at(0.0, 0.0), at(2.0, 0.0));
        assert_eq!(ahead(face, (at(-5.0, -3.0), at(5.0, -3.0)), 0.0), Some(3.0));
        assert_eq!(ahead(face, (at(-5.0, 3.0), at(5.0, 3.0)), 0.0), None, "behind it");
        assert_eq!(ahead(face, (at(2.5, -3.0), at(5.0, -3.0)), 0.0), None, "beside it");
        assert_eq!(ahead(face, (at(2.0, -3.0), at(5.0, -3.0)), 1e-3), None, "flush with its end");
        assert_eq!(ahead(face, (at(1.0, -1.0), at(1.0, -9.0)), 0.0), Some(1.0), "a wall that runs away from it");
        // A slanting wall is nearest at the end of the breadth, not at its own.
        assert_eq!(ahead(face, (at(0.0, -4.0), at(4.0, 0.0)), 0.0), Some(2.0));
        assert_eq!(ahead(face, (at(0.0, 0.0), at(2.0, 0.0)), 1e-3), Some(0.0), "against it");
    }
}
