//! The way of sound over a roof: over the top of what stands between, and round the ends of free-standing walls.

use crate::job::{Place, Roof};
use crate::physics::barrier::{Detour, Past};
use crate::physics::plane::{self, between};
use crate::physics::sound::{OCTAVES_HZ, sum, wavelength};

/// Walls that come as near to each other as this are joined, m.
const JOINED_M: f64 = 0.05;
/// Edges that run as close to one direction as this (the sine) are parallel.
const PARALLEL: f64 = 0.02;
/// What only rounding makes, m.
const NOTHING_M: f64 = 1e-6;

/// A spot in space: a place on the plan and its height over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    /// On the plan.
    pub place: Place,
    /// Over the ground, m.
    pub height_m: f64,
}

impl Spot {
    /// How far it is from another, m.
    pub(super) fn to(&self, other: &Spot) -> f64 {
        self.place.minus(other.place).length().hypot(self.height_m - other.height_m)
    }
}

/// What may stand between.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Screen {
    /// The wall of that index.
    Wall(usize),
    /// The edge of the roof, with its parapet.
    Edge,
}

/// What screens take, and which of them.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Taken {
    /// By octave, dB.
    pub octaves: [f64; 8],
    /// Those that take something at some octave.
    pub by: Vec<Screen>,
}

/// All that screens on a roof: solid walls, the parapet and the roof's own edge.
#[derive(Clone, Debug)]
pub(super) struct Screens {
    edges: Vec<Edge>,
    /// Walls that are joined, by index.
    rows: Vec<Vec<usize>>,
}

/// An edge at the top of something.
#[derive(Clone, Copy, Debug)]
struct Edge {
    what: Screen,
    ends: (Place, Place),
    height_m: f64,
}

/// An edge where the straight line from source to listener passes it.
#[derive(Clone, Copy, Debug)]
struct Passed {
    what: Screen,
    /// Share of the way on the plan.
    share: f64,
    height_m: f64,
    /// The way it runs, of length 1.
    along: Place,
}

impl Screens {
    /// Those of a roof whose surface lies that high over the ground.
    pub(super) fn of(roof: &Roof, surface_m: f64) -> Self {
        let walls = roof.walls.iter().enumerate().filter(|(_, wall)| wall.open <= 0.0);
        let solid: Vec<usize> = walls.clone().map(|(index, _)| index).collect();
        let tops = walls.map(|(index, wall)| Edge {
            what: Screen::Wall(index),
            ends: (wall.from, wall.to),
            height_m: surface_m + wall.height_m,
        });
        let rim = plane::sides(&roof.outline).map(|ends| Edge {
            what: Screen::Edge,
            ends,
            height_m: surface_m + roof.parapet_m,
        });
        let edges: Vec<Edge> = tops.chain(rim).collect();
        let touch = |one: usize, other: usize| {
            let ends = |index: usize| roof.walls.get(index).map(|wall| (wall.from, wall.to));
            ends(one).zip(ends(other)).is_some_and(|(one, other)| between(one, other) <= JOINED_M)
        };
        let mut rows: Vec<Vec<usize>> = Vec::new();
        for index in solid {
            let (joined, apart): (Vec<_>, Vec<_>) =
                rows.into_iter().partition(|row| row.iter().any(|other| touch(index, *other)));
            rows = apart;
            rows.push(joined.into_iter().flatten().chain([index]).collect());
        }
        Self { edges, rows }
    }

    /// The screens that the line on the plan from one place to another passes.
    pub(super) fn passed_by(&self, from: Place, to: Place) -> Vec<Screen> {
        self.passed(from, to).iter().map(|passed| passed.what).collect()
    }

    /// What they take from the sound on its way.
    pub(super) fn taken(&self, from: &Spot, to: &Spot) -> Taken {
        let passed = self.passed(from.place, to.place);
        let mut by: Vec<Screen> = Vec::new();
        let octaves = OCTAVES_HZ.map(|hz| {
            let lambda = wavelength(hz);
            // What is narrower than the wave is long is no screen for it.
            let wide = |row: &&Vec<usize>| self.breadth(row, from.place, to.place) > lambda;
            let rows: Vec<&Vec<usize>> = self.rows.iter().filter(wide).collect();
            let (takes, screens) = self.at(lambda, &passed, &rows, from, to);
            if takes > 0.0 {
                by.extend(screens);
            }
            takes
        });
        by.sort_unstable();
        by.dedup();
        Taken { octaves, by }
    }

    /// What is taken at a wavelength where these rows of walls screen.
    fn at(&self, lambda: f64, passed: &[Passed], rows: &[&Vec<usize>], from: &Spot, to: &Spot) -> (f64, Vec<Screen>) {
        let without = |rows: &[&Vec<usize>]| -> Vec<Passed> {
            let counts = |passed: &&Passed| match passed.what {
                Screen::Edge => true,
                Screen::Wall(index) => rows.iter().any(|row| row.contains(&index)),
            };
            passed.iter().filter(counts).copied().collect()
        };
        let takes = |rows: &[&Vec<usize>]| {
            over(&without(rows), from, to)
                .map_or((0.0, Vec::new()), |(detour, screens)| (detour.screening(lambda, Past::Top), screens))
        };
        let (top, screens) = takes(rows);
        let mut ways = vec![-top];
        for row in rows {
            if !row.iter().any(|index| screens.contains(&Screen::Wall(*index))) {
                continue;
            }
            let others: Vec<&Vec<usize>> = rows.iter().filter(|other| *other != row).copied().collect();
            let (rest, _) = takes(&others);
            // Round the end of this one the others still stand in the way; the greater of both counts.
            let round = |left: bool| self.round(row, from, to, left).map(|way| way.screening(lambda, Past::End));
            ways.extend([true, false].into_iter().filter_map(round).map(|end| -end.max(rest)));
        }
        // No wall makes it louder than the roof's edge alone leaves it.
        let (edge, _) = takes(&[]);
        let together = if ways.len() > 1 { -sum(ways) } else { top };
        (together.max(edge), screens)
    }

    fn passed(&self, from: Place, to: Place) -> Vec<Passed> {
        let way = to.minus(from);
        let mut passed: Vec<Passed> = self
            .edges
            .iter()
            .filter_map(|edge| {
                let along = edge.ends.1.minus(edge.ends.0);
                let (cross, start) = (way.cross(along), edge.ends.0.minus(from));
                let (share, at) = (start.cross(along) / cross, start.cross(way) / cross);
                let meets = cross.abs() > 0.0 && share > 0.0 && share < 1.0 && (0.0..=1.0).contains(&at);
                let along = along.times(1.0 / along.length());
                meets.then_some(Passed { what: edge.what, share, height_m: edge.height_m, along })
            })
            .collect();
        passed.sort_by(|a, b| a.share.total_cmp(&b.share));
        passed
    }

    /// How broad a row of walls is across the line from source to listener, m.
    fn breadth(&self, row: &[usize], from: Place, to: Place) -> f64 {
        let way = to.minus(from);
        let across = Place::new(-way.y_m, way.x_m).times(1.0 / way.length());
        let (least, most) = self
            .ends(row)
            .map(|end| end.minus(from).dot(across))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), at| (least.min(at), most.max(at)));
        most - least
    }

    /// The ends of the walls of a row.
    fn ends<'a>(&'a self, row: &'a [usize]) -> impl Iterator<Item = Place> + 'a {
        self.walls(row).flat_map(|(from, to)| [from, to])
    }

    fn walls<'a>(&'a self, row: &'a [usize]) -> impl Iterator<Item = (Place, Place)> + 'a {
        self.edges.iter().filter_map(move |edge| match edge.what {
            Screen::Wall(index) if row.contains(&index) => Some(edge.ends),
            _ => None,
        })
    }

    /// The way round a row of walls on one side, as a band drawn tight on the plan would run; none where the walls close it.
    fn round(&self, row: &[usize], from: &Spot, to: &Spot, left: bool) -> Option<Detour> {
        let way = to.place.minus(from.place);
        let far = way.length();
        let ahead = way.times(1.0 / far);
        let aside = Place::new(-ahead.y_m, ahead.x_m).times(if left { 1.0 } else { -1.0 });
        let local = |place: Place| {
            let off = place.minus(from.place);
            Place::new(off.dot(ahead), off.dot(aside))
        };
        let (source, listener) = (Place::default(), Place::new(far, 0.0));
        let chain = band(source, listener, self.ends(row).map(local).filter(|end| end.y_m > NOTHING_M).collect());
        let walls: Vec<(Place, Place)> = self.walls(row).map(|(from, to)| (local(from), local(to))).collect();
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
}

/// The way over the one or two edges that take most, and what they belong to; none where no edge is passed.
fn over(passed: &[Passed], from: &Spot, to: &Spot) -> Option<(Detour, Vec<Screen>)> {
    let at = |one: &Passed| from.height_m + one.share * (to.height_m - from.height_m);
    let above: Vec<&Passed> = tight(passed, from, to);
    let detours: Vec<(Detour, Vec<Screen>)> = match above[..] {
        // All below the straight line: the one that comes nearest to it.
        [] => passed.iter().map(|one| (single(one, from, to, one.height_m < at(one)), vec![one.what])).collect(),
        [one] => vec![(single(one, from, to, false), vec![one.what])],
        _ => above
            .iter()
            .enumerate()
            .flat_map(|(i, one)| above.iter().skip(i + 1).map(move |other| (*one, *other)))
            .map(|(one, other)| (double(one, other, from, to), vec![one.what, other.what]))
            .collect(),
    };
    detours.into_iter().max_by(|a, b| a.0.longer_m().total_cmp(&b.0.longer_m()))
}

/// The edges on which a band lies that is drawn tight over them from source to listener.
fn tight<'a>(passed: &'a [Passed], from: &Spot, to: &Spot) -> Vec<&'a Passed> {
    let far = to.place.minus(from.place).length();
    let spot = |one: &Passed| Place::new(one.share * far, one.height_m);
    let (start, end) = (Place::new(0.0, from.height_m), Place::new(far, to.height_m));
    let mut kept: Vec<&Passed> = Vec::new();
    // Whether the band, from `a` to `c`, presses on `b`.
    let presses = |a: Place, b: Place, c: Place| c.minus(a).cross(b.minus(a)) > NOTHING_M * c.minus(a).length();
    let before = |kept: &[&Passed]| kept.iter().rev().nth(1).map_or(start, |one| spot(one));
    for one in passed {
        while kept.last().is_some_and(|last| !presses(before(&kept), spot(last), spot(one))) {
            kept.pop();
        }
        kept.push(one);
    }
    while kept.last().is_some_and(|last| !presses(before(&kept), spot(last), end)) {
        kept.pop();
    }
    kept
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

/// Over two edges: exact where they are parallel; else as the band lies in the upright plane through source and listener, which is
/// a little longer than the shortest.
fn double(one: &Passed, other: &Passed, from: &Spot, to: &Spot) -> Detour {
    let way = to.place.minus(from.place);
    let parallel = one.along.cross(other.along).abs() < PARALLEL;
    let (square, along) =
        if parallel { (way.cross(one.along).abs(), way.dot(one.along).abs()) } else { (way.length(), 0.0) };
    Detour {
        to_edge_m: (one.share * square).hypot(one.height_m - from.height_m),
        from_edge_m: ((1.0 - other.share) * square).hypot(other.height_m - to.height_m),
        between_m: ((other.share - one.share) * square).hypot(other.height_m - one.height_m),
        along_m: along,
        straight_m: from.to(to),
        clear: false,
    }
}

/// A band drawn tight from source to listener round places above the line between them (y above 0): the corners that it touches,
/// with both ends.
fn band(source: Place, listener: Place, mut places: Vec<Place>) -> Vec<Place> {
    places.extend([source, listener]);
    places.sort_by(|a, b| a.x_m.total_cmp(&b.x_m).then(a.y_m.total_cmp(&b.y_m)));
    let half = |places: &mut dyn Iterator<Item = Place>| {
        let mut chain: Vec<Place> = Vec::new();
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
    let mut chain: Vec<Place> = ring.into_iter().take_while(|place| *place != source).collect();
    chain.push(source);
    chain.reverse();
    chain
}

/// Whether a band can pass a corner on its outer side: no wall leaves the corner there.
fn passes(walls: &[(Place, Place)], before: Place, corner: Place, after: Place) -> bool {
    let angle = |place: Place| {
        let way = place.minus(corner);
        way.y_m.atan2(way.x_m)
    };
    let turn = std::f64::consts::TAU;
    let from_after = |place: Place| (angle(place) - angle(after)).rem_euclid(turn);
    let outer = from_after(before);
    let leaves = walls.iter().flat_map(|(from, to)| [(*from, *to), (*to, *from)]);
    leaves.into_iter().filter(|(at, _)| at.minus(corner).length() <= JOINED_M).all(|(_, to)| {
        let wall = from_after(to);
        // Along the band itself it is no hindrance.
        !(wall > 1e-3 && wall < outer - 1e-3)
    })
}
