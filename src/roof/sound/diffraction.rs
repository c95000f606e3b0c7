//! What screens on a roof: over its top, and round the ends of free-standing walls.

use super::around_the_ends::round;
use super::over_the_top::{self, Over, Passed};
use super::spot::{JOINED_M, Screen, Spot};
use crate::job::{Roof, Xy};
use crate::physics::barrier::{Detour, Past};
use crate::physics::plane::{self, between};
use crate::physics::sound::{OCTAVES_HZ, sum, wavelength};

/// What screens take at an octave, dB, and which of them.
pub(super) type Taken = (f64, Vec<Screen>);

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
    ends: (Xy, Xy),
    height_m: f64,
}

/// A row of joined walls that stands between.
struct Row<'a> {
    walls: &'a [usize],
    /// How broad it is across the line from source to listener, m.
    breadth_m: f64,
    /// The ways round its ends.
    round: Vec<Detour>,
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

    /// What they take from the sound on its way, by octave.
    pub(super) fn taken(&self, from: &Spot, to: &Spot) -> [Taken; 8] {
        let passed = self.passed(from.place, to.place);
        let ways = over_the_top::ways(&passed, from, to);
        let stands =
            |row: &&Vec<usize>| passed.iter().any(|one| row.iter().any(|wall| one.what == Screen::Wall(*wall)));
        let rows: Vec<Row> = self.rows.iter().filter(stands).map(|row| self.row(row, from, to)).collect();
        OCTAVES_HZ.map(|hz| maximum(&ways, &rows, wavelength(hz)))
    }

    fn passed(&self, from: Xy, to: Xy) -> Vec<Passed> {
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

    /// A row of walls as seen on that way.
    fn row<'a>(&self, walls: &'a [usize], from: &Spot, to: &Spot) -> Row<'a> {
        let stretches: Vec<(Xy, Xy)> = self.walls(walls).collect();
        let way = to.place.minus(from.place);
        let across = Xy::new(-way.y_m, way.x_m).times(1.0 / way.length());
        let (minimum, maximum) = stretches
            .iter()
            .flat_map(|(one, other)| [one, other])
            .map(|end| end.minus(from.place).dot(across))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(minimum, maximum), at| (minimum.min(at), maximum.max(at)));
        let round = [true, false].into_iter().filter_map(|left| round(&stretches, from, to, left)).collect();
        Row { walls, breadth_m: maximum - minimum, round }
    }

    fn walls<'a>(&'a self, row: &'a [usize]) -> impl Iterator<Item = (Xy, Xy)> + 'a {
        self.edges.iter().filter_map(move |edge| match edge.what {
            Screen::Wall(index) if row.contains(&index) => Some(edge.ends),
            _ => None,
        })
    }
}

/// What is taken at a wavelength by the one or two edges that take most, the ways round the ends of their walls
/// counted. A wall that would take nothing more is not counted with them, so that none makes it louder.
fn maximum(ways: &[Over], rows: &[Row], lambda: f64) -> Taken {
    // What is narrower than the wave is long is no screen for it.
    let wide = |row: &&Row| row.breadth_m > lambda;
    let of = |row: &Row, way: &Over| {
        way.screens.iter().any(|screen| matches!(screen, Screen::Wall(wall) if row.walls.contains(wall)))
    };
    let screens = |way: &&Over| !rows.iter().any(|row| !wide(&row) && of(row, way));
    let tops: Vec<(&Over, f64)> =
        ways.iter().filter(screens).map(|way| (way, way.detour.screening(lambda, Past::Top))).collect();
    let with_ends = |(way, top): &(&Over, f64)| {
        let mut all = vec![-top];
        for row in rows.iter().filter(|row| of(row, way)) {
            // Round the end of this one the others still stand in the way; the greater of both counts.
            let rest = tops.iter().filter(|(way, _)| !of(row, way)).map(|(_, top)| *top).fold(0.0, f64::max);
            all.extend(row.round.iter().map(|end| -end.screening(lambda, Past::End).max(rest)));
        }
        if all.len() > 1 { -sum(all) } else { *top }
    };
    let nothing = (0.0, Vec::new());
    tops.iter()
        .map(|one| (with_ends(one), one.0))
        .fold(nothing, |best: Taken, (takes, way)| if takes > best.0 { (takes, way.screens.clone()) } else { best })
}
