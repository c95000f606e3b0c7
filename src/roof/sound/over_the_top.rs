//! The ways of sound over the tops of what it passes.

use super::spot::{Screen, Spot};
use crate::job::Xy;
use crate::physics::barrier::Detour;

/// Edges that run as close to one direction as this (the sine) are parallel.
const PARALLEL: f64 = 0.02;
/// The way over two edges that are not parallel is found when neither place on them moves by more than this, m.
const FOUND_M: f64 = 1e-6;

/// An edge where the straight line from source to listener passes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passed {
    pub what: Screen,
    /// Share of the way on the plan.
    pub share: f64,
    pub height_m: f64,
    /// The way it runs, of length 1.
    pub along: Xy,
}

/// A way over one edge or two.
#[derive(Clone, Debug)]
pub(super) struct Over {
    pub detour: Detour,
    /// What the edges belong to.
    pub screens: Vec<Screen>,
}

/// The ways over each edge, and over each two of them that both rise above the straight line.
///
/// The formula for two edges lets go of the lower one at once where the higher one hides it from a band drawn tight
/// over both: C_3 falls from as much as 3 to 1, and a wall raised by a hand's breadth would take up to 4.8 dB less. But
/// a wall takes no less than a lower one in its place would. So each of the two counts as no higher than where the band
/// just touches the other; over its whole height it counts as one edge, in a way of its own. Of all ways the one that
/// takes most counts, and so no screen that is raised takes less.
pub(super) fn ways(passed: &[Passed], from: &Spot, to: &Spot) -> Vec<Over> {
    let line = |share: f64| from.height_m + share * (to.height_m - from.height_m);
    let mut ways: Vec<Over> = passed
        .iter()
        .map(|one| Over { detour: single(one, from, to, one.height_m < line(one.share)), screens: vec![one.what] })
        .collect();
    for (number, one) in passed.iter().enumerate() {
        for other in passed.iter().skip(number + 1) {
            let (first, second) = (one.height_m - line(one.share), other.height_m - line(other.share));
            if first <= 0.0 || second <= 0.0 {
                continue;
            }
            // Where the band to the one end, or the other, just touches the lower edge.
            let touching = (
                first.min(second * (1.0 - one.share) / (1.0 - other.share)),
                second.min(first * other.share / one.share),
            );
            let low = Passed { height_m: line(one.share) + touching.0, ..*one };
            let high = Passed { height_m: line(other.share) + touching.1, ..*other };
            ways.push(Over { detour: double(&low, &high, from, to), screens: vec![one.what, other.what] });
        }
    }
    ways
}

/// Over one edge: exact, with the part of the way that runs along it.
fn single(one: &Passed, from: &Spot, to: &Spot, clear: bool) -> Detour {
    let way = to.place.minus(from.place);
    let square = way.cross(one.along).abs();
    Detour {
        to_edge_m: (one.share * square).hypot(one.height_m - from.height_m),
        from_edge_m: ((1.0 - one.share) * square).hypot(one.height_m - to.height_m),
        between_m: 0.0,
        along_m: way.dot(one.along).abs(),
        straight_m: from.to(to),
        clear,
    }
}

/// Over two edges: where they are parallel with the part of the way that runs along them, else the shortest over both.
///
/// The standard knows parallel edges alone, and measures e between their tops. Here it is taken on the plan, where the
/// straight line passes them, square to the one that it meets at less of an angle: so it does not hang on their heights.
/// Between tops of one height that is the same; a lower edge that rises towards the higher one would bring the tops
/// nearer, C_3 would fall by more than z rises, and the wall would take up to 1.2 dB less than before. Taken on the plan
/// e is never longer, and so the edges never take more than by the standard. The way as a whole, z, is exact.
fn double(one: &Passed, other: &Passed, from: &Spot, to: &Spot) -> Detour {
    let way = to.place.minus(from.place);
    let squares = (way.cross(one.along).abs(), way.cross(other.along).abs());
    let (near, between, far, along_m) = if one.along.cross(other.along).abs() < PARALLEL {
        let square = squares.0;
        (
            (one.share * square).hypot(one.height_m - from.height_m),
            ((other.share - one.share) * square).hypot(other.height_m - one.height_m),
            ((1.0 - other.share) * square).hypot(other.height_m - to.height_m),
            way.dot(one.along).abs(),
        )
    } else {
        let (first, second) = shortest(one, other, from, to);
        (from.to(&first), first.to(&second), second.to(to), 0.0)
    };
    let between_m = (other.share - one.share) * squares.0.min(squares.1);
    // What is left of the whole length, shared as it is before the first edge and after the second.
    let rest = near + between + far - between_m;
    Detour {
        to_edge_m: rest * near / (near + far),
        from_edge_m: rest * far / (near + far),
        between_m,
        along_m,
        straight_m: from.to(to),
        clear: false,
    }
}

/// The spots of two edges that are not parallel by which the way over both is shortest.
fn shortest(one: &Passed, other: &Passed, from: &Spot, to: &Spot) -> (Spot, Spot) {
    let way = to.place.minus(from.place);
    let on = |edge: &Passed| Spot { place: from.place.plus(way.times(edge.share)), height_m: edge.height_m };
    let (mut first, mut second) = (on(one), on(other));
    // By turns, each the best for the other; the length has one minimum.
    for _ in 0..100 {
        let before = (first, second);
        first = best(&first, one.along, from, &second);
        second = best(&second, other.along, &first, to);
        if before.0.to(&first).max(before.1.to(&second)) < FOUND_M {
            break;
        }
    }
    (first, second)
}

/// The spot of a level edge through `on` at which the way from one spot to another over it is shortest.
fn best(on: &Spot, along: Xy, from: &Spot, to: &Spot) -> Spot {
    let seen = |spot: &Spot| {
        let off = spot.place.minus(on.place);
        (off.dot(along), off.cross(along).hypot(spot.height_m - on.height_m))
    };
    let ((here, off), (there, away)) = (seen(from), seen(to));
    let all = off + away;
    let at = if all > 0.0 { (here * away + there * off) / all } else { here };
    Spot { place: on.place.plus(along.times(at)), height_m: on.height_m }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::barrier::Past;
    use crate::physics::sound::{OCTAVES_HZ, wavelength};
    use proptest::prelude::*;

    /// A source at the origin and a listener 100 m east of it, at these heights.
    fn ends(source: f64, listener: f64) -> (Spot, Spot) {
        let spot = |x: f64, height_m: f64| Spot { place: Xy::new(x, 0.0), height_m };
        (spot(0.0, source), spot(100.0, listener))
    }

    /// An edge that the line passes so far from the source, turned from square to it by so much.
    fn edge(number: usize, at_m: f64, height_m: f64, degrees: f64) -> Passed {
        let along = Xy::new(0.0, 1.0).turned(degrees);
        Passed { what: Screen::Wall(number), share: at_m / 100.0, height_m, along }
    }

    fn takes(passed: &[Passed], source: f64, listener: f64, hz: f64) -> f64 {
        let (from, to) = ends(source, listener);
        let ways = ways(passed, &from, &to);
        ways.iter().map(|way| way.detour.screening(wavelength(hz), Past::Top)).fold(0.0, f64::max)
    }

    /// Source 1 m over the roof and listener 6 m under it, 100 m apart; a wall 3 m off, and the parapet of 0.9 m at 11
    /// m. Up to a wall of 1.52 m the band touches the parapet, and the formula for two edges takes 9.1 dB at 500 Hz and
    /// 14.6 dB at 2000 Hz; from there on that for one takes 7.2 dB and 10.7 dB.
    #[test]
    fn a_wall_that_hides_the_parapet_takes_no_less_than_a_lower_one() {
        let parapet = edge(1, 11.0, 0.9, 0.0);
        let with = |height: f64, hz: f64| takes(&[edge(0, 3.0, height, 0.0), parapet], 1.0, -6.0, hz);
        for (hz, two, one) in [(500.0, 9.07, 7.15), (2000.0, 14.61, 10.70)] {
            assert!((with(1.52, hz) - two).abs() < 0.01, "{hz}: {}", with(1.52, hz));
            assert!((takes(&[edge(0, 3.0, 1.52, 0.0)], 1.0, -6.0, hz) - one).abs() < 0.01);
            assert!((with(1.6, hz) - two).abs() < 0.01, "{hz}: {}", with(1.6, hz));
        }
        for hz in OCTAVES_HZ {
            let mut before = takes(&[parapet], 1.0, -6.0, hz);
            for number in 0_u8..=200 {
                let now = with(0.02 * f64::from(number), hz);
                assert!(now >= before - 1e-9, "{hz} Hz, step {number}: {now} after {before}");
                before = now;
            }
        }
    }

    /// Where the band touches both, the formula for two edges stands, with e on the plan; over a high wall alone that for
    /// one.
    #[test]
    fn the_formulas_of_the_standard_stand_at_both_ends() {
        let (wall, parapet) = (edge(0, 3.0, 1.5, 0.0), edge(1, 11.0, 1.4, 0.0));
        // d_ss = (3^2 + 0.5^2)^(1/2) = 3.0414; e = (8^2 + 0.1^2)^(1/2) = 8.0006; d_sr = (89^2 + 2.4^2)^(1/2) = 89.0324;
        // d = (100^2 + 2^2)^(1/2) = 100.0200; z = 0.0544 m.
        let (d_ss, e, d_sr, d) = (9.25_f64.sqrt(), 64.01_f64.sqrt(), 7926.76_f64.sqrt(), 10_004.0_f64.sqrt());
        let z = d_ss + e + d_sr - d;
        let k_met = (-(d_ss * d_sr * d / (2.0 * z)).sqrt() / 2000.0).exp();
        let q = (5.0 * 0.34 / 8.0_f64).powi(2);
        let hand = 10.0 * (3.0 + 20.0 / 0.34 * (1.0 + q) / (1.0 / 3.0 + q) * z * k_met).log10();
        assert!((z - 0.0544).abs() < 1e-4, "{z}");
        // e on the plan leaves 0.6 mm to the two legs in K_met.
        assert!((takes(&[wall, parapet], 1.0, -1.0, 1000.0) - hand).abs() < 1e-5);
        let high = edge(0, 3.0, 8.0, 0.0);
        assert!((takes(&[high, parapet], 1.0, -1.0, 125.0) - takes(&[high], 1.0, -1.0, 125.0)).abs() < 1e-9);
    }

    /// A wall 1.22 m off and one of 7.40 m at 2.21 m, 500 Hz: raised from 4.12 to 6.34 m the first would take 1.2 dB less
    /// with e between the tops, 3.43 and 1.45 m; with e on the plan it takes no less.
    #[test]
    fn a_wall_that_rises_towards_a_higher_one_behind_it_takes_no_less() {
        let edges = |height: f64| [edge(0, 1.22, height, 0.0), edge(1, 2.2074, 7.3963, 0.0)];
        let (low, high) = (4.1163, 6.3352);
        let between_tops = |height: f64| {
            let (from, to) = ends(0.0, 5.7542);
            let [one, other] = edges(height);
            let exact = double(&one, &other, &from, &to);
            let (e, d_ss) = ((7.3963 - height).hypot(0.9874), height.hypot(1.22));
            let (d_sr, d) = (1.6421_f64.hypot(97.7926), 5.7542_f64.hypot(100.0));
            let tops = Detour { to_edge_m: d_ss, from_edge_m: d_sr, between_m: e, straight_m: d, ..exact };
            assert!((tops.longer_m() - exact.longer_m()).abs() < 1e-9);
            tops.screening(wavelength(500.0), Past::Top)
        };
        assert!((between_tops(low) - between_tops(high) - 1.17).abs() < 0.01);
        assert!(takes(&edges(high), 0.0, 5.7542, 500.0) >= takes(&edges(low), 0.0, 5.7542, 500.0));
    }

    /// Edges turned by 60 degrees to either side, source and listener as high: the shortest way, sought among all
    /// places 5 cm apart on both.
    #[test]
    fn over_two_edges_that_are_not_parallel_the_shortest_way_counts() {
        let (from, to) = ends(0.0, 0.0);
        let (one, other) = (edge(0, 5.0, 3.0, 60.0), edge(1, 15.0, 3.0, -60.0));
        let on = |edge: &Passed, along_m: f64| Spot {
            place: Xy::new(100.0 * edge.share, 0.0).plus(edge.along.times(along_m)),
            height_m: edge.height_m,
        };
        let places = || (-200_i16..=200).map(|number| 0.05 * f64::from(number));
        let longer = |a: &Spot, b: &Spot| from.to(a) + a.to(b) + b.to(&to) - 100.0;
        let minimum = places()
            .flat_map(|a| places().map(move |b| (a, b)))
            .map(|(a, b)| longer(&on(&one, a), &on(&other, b)))
            .fold(f64::INFINITY, f64::min);
        let found = double(&one, &other, &from, &to).longer_m();
        assert!(found <= minimum + 1e-9 && found > minimum - 1e-3, "{found} {minimum}");
        // In the upright plane through both it would be longer by a sixth.
        assert!(longer(&on(&one, 0.0), &on(&other, 0.0)) > 1.15 * found);
    }

    proptest! {
        /// Whichever edge rises, no octave is screened less, but for what K_met falls where z hardly grows: d_ss and
        /// d_sr in it grow. That is less than 0.005 dB of parallel edges, and less than a twentieth of a decibel of others.
        #[test]
        fn an_edge_that_rises_takes_no_less(
            heights in prop::collection::vec(-4.0..8.0, 1..4), at in prop::collection::vec(2.0..98.0, 3),
            turned in prop::collection::vec(-60.0..60.0, 3), skew in any::<bool>(),
            which in 0_usize..3, more in 0.0..6.0, listener in -6.0..6.0, octave in 0_usize..8,
        ) {
            let mut at = at;
            at.sort_by(f64::total_cmp);
            let edges = |raised: f64| -> Vec<Passed> {
                let raise = |number: usize| if number == which % heights.len() { raised } else { 0.0 };
                let degrees = |number: usize| if skew { turned[number] } else { turned[0] };
                heights.iter().enumerate().map(|(n, height)| edge(n, at[n], height + raise(n), degrees(n))).collect()
            };
            let hz = OCTAVES_HZ[octave];
            let (before, after) = (takes(&edges(0.0), 0.0, listener, hz), takes(&edges(more), 0.0, listener, hz));
            prop_assert!(after >= before - if skew { 0.05 } else { 0.005 }, "{before} {after}");
        }
    }
}
