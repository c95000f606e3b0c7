//! The way of sound round the end of a row of walls.

use super::spot::{JOINED_M, Spot};
use crate::job::Xy;
use crate::physics::barrier::Detour;

/// What only rounding makes, m.
const NOTHING_M: f64 = 1e-6;

/// The way round a row of walls on one side, as a band drawn tight on the plan would run; none where the walls close
/// it.
pub(super) fn round(walls: &[(Xy, Xy)], from: &Spot, to: &Spot, left: bool) -> Option<Detour> {
    let way = to.place.minus(from.place);
    let far = way.length();
    let ahead = way.times(1.0 / far);
    let aside = Xy::new(-ahead.y_m, ahead.x_m).times(if left { 1.0 } else { -1.0 });
    let local = |place: Xy| {
        let off = place.minus(from.place);
        Xy::new(off.dot(ahead), off.dot(aside))
    };
    let (source, listener) = (Xy::default(), Xy::new(far, 0.0));
    let walls: Vec<(Xy, Xy)> = walls.iter().map(|(from, to)| (local(*from), local(*to))).collect();
    let ends = walls.iter().flat_map(|(from, to)| [*from, *to]).filter(|end| end.y_m > NOTHING_M).collect();
    let chain = band(source, listener, ends);
    let open = chain.windows(3).all(|three| match three {
        [before, corner, after] => passes(&walls, *before, *corner, *after),
        _ => true,
    });
    let legs: Vec<f64> = chain.iter().zip(chain.iter().skip(1)).map(|(a, b)| b.minus(*a).length()).collect();
    let [first, middle @ .., last] = &legs[..] else { return None };
    if !open {
        return None;
    }
    Some(Detour {
        to_edge_m: *first,
        from_edge_m: *last,
        between_m: middle.iter().sum(),
        along_m: (to.height_m - from.height_m).abs(),
        straight_m: from.to(to),
        clear: false,
    })
}

/// A band drawn tight from source to listener round places above the line between them (y above 0): the corners that it
/// touches, with both ends.
fn band(source: Xy, listener: Xy, mut places: Vec<Xy>) -> Vec<Xy> {
    places.extend([source, listener]);
    places.sort_by(|a, b| a.x_m.total_cmp(&b.x_m).then(a.y_m.total_cmp(&b.y_m)));
    let half = |places: &mut dyn Iterator<Item = Xy>| {
        let mut chain: Vec<Xy> = Vec::new();
        for place in places {
            // Keeps left turns only.
            while let [.., a, b] = chain[..] {
                if b.minus(a).cross(place.minus(a)) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(place);
        }
        chain.pop();
        chain
    };
    // All the way round, counter-clockwise.
    let mut ring = half(&mut places.iter().copied());
    ring.extend(half(&mut places.iter().rev().copied()));
    // From the listener over the top to the source, then the other way about.
    let Some(first) = ring.iter().position(|place| *place == listener) else { return vec![source, listener] };
    ring.rotate_left(first);
    let mut chain: Vec<Xy> = ring.into_iter().take_while(|place| *place != source).collect();
    chain.push(source);
    chain.reverse();
    chain
}

/// Whether a band can pass a corner on its outer side: no wall leaves the corner there.
fn passes(walls: &[(Xy, Xy)], before: Xy, corner: Xy, after: Xy) -> bool {
    let angle = |place: Xy| {
        let way = place.minus(corner);
        way.y_m.atan2(way.x_m)
    };
    let turn = std::f64::consts::TAU;
    let from_after = |place: Xy| (angle(place) - angle(after)).rem_euclid(turn);
    let outer = from_after(before);
    let leaves = walls.iter().flat_map(|(from, to)| [(*from, *to), (*to, *from)]);
    leaves.into_iter().filter(|(at, _)| at.minus(corner).length() <= JOINED_M).all(|(_, to)| {
        let wall = from_after(to);
        // Along the band itself it is no hindrance.
        !(wall > 1e-3 && wall < outer - 1e-3)
    })
}
