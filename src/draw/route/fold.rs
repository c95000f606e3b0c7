//! A route as a loop: out along the upper row and back along the lower, as most are piped.

use super::layout::{
    Datum, Kind, Layout, Machine, MachineKind, Pen, Room, Stretch, fill, is_vertical, level_m, range, scale,
};
use super::words::climb;
use crate::draw::plane::Rect;
use crate::job::{Circuit, Line, LineId};

/// How much wider the condenser and the chiller may be drawn to close the loop.
const GIVE: (f64, f64) = (150.0, 90.0);
/// Lines do not come nearer to one another.
const APART: f64 = 11.0;

/// To which sides the flow of a run comes and goes in a loop: away from the chiller to the first vertical run, to the right over
/// to the last one, and back to the chiller.
fn sides(line: LineId, runs: &Line, index: usize) -> (f64, f64) {
    let turn = match line {
        LineId::Discharge => runs.runs.iter().position(is_vertical),
        LineId::Liquid => runs.runs.iter().rposition(is_vertical),
    };
    let Some(turn) = turn else { return (1.0, 1.0) };
    let before = if line == LineId::Discharge { -1.0 } else { 1.0 };
    match index.cmp(&turn) {
        std::cmp::Ordering::Less => (before, before),
        std::cmp::Ordering::Equal => (before, -before),
        std::cmp::Ordering::Greater => (-before, -before),
    }
}

/// Draws both lines with such lengths of their level runs, in order, from the chiller's left edge.
fn drawn(circuit: &Circuit, mut pen: Pen, lengths: &[(f64, bool)], condenser: f64) -> (Vec<Stretch>, f64) {
    let mut lengths = lengths.iter().copied();
    let mut stretches = Vec::new();
    let mut condenser_left = 0.0;
    for id in LineId::BOTH {
        let line = id.of(circuit);
        if id == LineId::Liquid {
            condenser_left = pen.at.0;
            pen.at.0 += condenser;
        }
        for (index, run) in line.runs.iter().enumerate() {
            let level = level_m(run).and_then(|_| lengths.next()).unwrap_or_default();
            stretches.extend(pen.draw((id, line), index, sides(id, line, index), level));
        }
    }
    (stretches, condenser_left)
}

/// The upper row is what runs to the right in the discharge line and out in the liquid line.
fn is_upper(stretch: &Stretch) -> bool {
    stretch.to.0 > stretch.from.0
}

/// The loop, where it closes and no line comes near another.
#[must_use]
pub fn layout(circuit: &Circuit, room: &Room) -> Option<Layout> {
    let turns = |line: &Line| line.runs.iter().any(is_vertical);
    let (low, high) = range(circuit);
    let per_metre = room.per_metre(high - low);
    let end = climb(&circuit.discharge) + climb(&circuit.liquid);
    let ends_at_chiller = (-0.2..0.9).contains(&(end * per_metre / 50.0));
    if !turns(&circuit.discharge) || !turns(&circuit.liquid) || !ends_at_chiller {
        return None;
    }
    // The condenser's box stands over its line: where that is not the highest, it takes its room from what is above it.
    let top = room.top - ((high - climb(&circuit.discharge)) * per_metre).min(40.0);
    let pen = Pen { at: (0.0, top + high * per_metre), per_metre };
    let count =
        LineId::BOTH.into_iter().flat_map(|id| &id.of(circuit).runs).filter(|run| level_m(run).is_some()).count();
    let (bare, _) = drawn(circuit, pen, &vec![(0.0, false); count], 0.0);
    let extra =
        |upper: bool| -> f64 { bare.iter().filter(|s| is_upper(s) == upper).map(|s| (s.to.0 - s.from.0).abs()).sum() };
    let goes_right: Vec<(f64, bool)> = bare
        .iter()
        .filter_map(|s| Some((level_m(s.line.of(circuit).runs.get(s.run)?)?, s)))
        .filter(|(_, s)| matches!(s.kind, Kind::Level { .. }))
        .map(|(length, s)| (length, s.goes > 0.0))
        .collect();
    let of =
        |upper: bool| goes_right.iter().filter(|(_, u)| *u == upper).map(|(length, _)| *length).collect::<Vec<_>>();
    let (upper, lower) = (of(true), of(false));
    let (over, under) = (extra(true) + room.condenser, extra(false) + room.chiller);
    let maximum = room.right - room.left;
    let rows = [(upper.clone(), maximum - over), (lower.clone(), maximum - under)];
    if rows.iter().any(|(lengths, left)| lengths.iter().map(|_| room.level).sum::<f64>() > *left) {
        return None;
    }
    let natural = |scale: f64| (upper.iter().sum::<f64>() * scale + over, lower.iter().sum::<f64>() * scale + under);
    let (mut by, mut whole) = scale(&rows, room.level);
    let (a, b) = natural(by);
    let mut total = a.max(b).min(maximum);
    if a > b + GIVE.1 || b > a + GIVE.0 || !whole {
        // The longer row is broken; the shorter may as well be larger.
        let fills = |(lengths, left): &(Vec<f64>, f64)| (left - GIVE.1 / 2.0) / lengths.iter().sum::<f64>().max(1e-9);
        by = rows.iter().map(fills).fold(by, f64::max).min(by * 3.0);
        let (a, b) = natural(by);
        total = (a + GIVE.0).min(b + GIVE.1).min(maximum);
        whole = false;
    }
    let (up, down) = (fill(&upper, by, total - over), fill(&lower, by, total - under));
    let short = |row: &[(f64, bool)]| row.iter().any(|(length, _)| *length < room.level - 1e-6);
    if short(&up) || short(&down) {
        return None;
    }
    whole &= up.iter().chain(&down).all(|(_, broken)| !broken);
    let sum = |row: &[(f64, bool)]| row.iter().map(|(length, _)| length).sum::<f64>();
    let (condenser, chiller) =
        (total - (over - room.condenser) - sum(&up), total - (under - room.chiller) - sum(&down));
    if condenser > room.condenser + GIVE.0 + 1.0 || chiller > room.chiller + GIVE.1 + 1.0 {
        return None;
    }
    let (mut up, mut down) = (up.into_iter(), down.into_iter());
    let lengths: Vec<(f64, bool)> =
        goes_right.iter().filter_map(|(_, upper)| if *upper { up.next() } else { down.next() }).collect();
    let (stretches, condenser_left) = drawn(circuit, pen, &lengths, condenser);
    let leftmost = stretches.iter().map(|s| s.to.0.min(s.from.0)).fold(0.0, f64::min);
    let slack = (maximum - total).max(0.0) / 2.0;
    let shift = room.left + slack - leftmost;
    let stretches: Vec<Stretch> = stretches.into_iter().map(|s| shifted(s, shift)).collect();
    let y_condenser = top + (high - climb(&circuit.discharge)) * per_metre;
    let machines = vec![
        Machine::new(MachineKind::Chiller, (shift, pen.at.1), chiller),
        Machine::new(MachineKind::Condenser, (condenser_left + shift, y_condenser), condenser),
    ];
    if touches(&stretches, &machines) {
        return None;
    }
    let datums = datums(&stretches, pen.at.1, per_metre);
    Some(Layout { stretches, machines, datums, joins: Vec::new(), scale: whole.then_some(by) })
}

fn shifted(stretch: Stretch, by: f64) -> Stretch {
    let moved = |(x, y): (f64, f64)| (x + by, y);
    Stretch { from: moved(stretch.from), to: moved(stretch.to), ..stretch }
}

/// The heights of all level runs and ends.
#[must_use]
pub fn datums(stretches: &[Stretch], zero: f64, per_metre: f64) -> Vec<Datum> {
    let heights = stretches.iter().flat_map(|s| [s.from.1, s.to.1]);
    heights.map(|y| Datum { y, height: (zero - y) / per_metre }).collect()
}

/// Whether lines come near one another or to a chiller that is not theirs.
fn touches(stretches: &[Stretch], machines: &[Machine]) -> bool {
    let near = |(i, a): (usize, &Stretch)| {
        let mut others = stretches.iter().enumerate().skip(i + 2);
        let close = |(j, b): (usize, &Stretch)| {
            let neighbours =
                stretches.get(i + 1..j).is_some_and(|between| between.iter().all(|s| length(s) < 2.0 * APART));
            !neighbours && a.covers(APART).meets(&b.covers(APART))
        };
        let close = others.any(close);
        let inside = machines.iter().any(|machine| {
            let rect = machine.rect;
            // The stand of a condenser, its fans.
            let rect = Rect::new(rect.x + 1.0, rect.y - 14.0, rect.w - 2.0, rect.h + 40.0);
            a.covers(0.0).grown(4.0).meets(&rect) && !joins(a, &machine.rect)
        });
        close || inside
    };
    stretches.iter().enumerate().any(near)
}

fn length(stretch: &Stretch) -> f64 {
    (stretch.to.0 - stretch.from.0).abs() + (stretch.to.1 - stretch.from.1).abs()
}

/// Whether a line ends at the edge of a box and lies outside of it.
fn joins(stretch: &Stretch, rect: &Rect) -> bool {
    let on_edge = |(x, _): (f64, f64)| (x - rect.x).abs() < 0.5 || (x - rect.right()).abs() < 0.5;
    let inner = Rect::new(rect.x + 1.0, rect.y, rect.w - 2.0, rect.h);
    (on_edge(stretch.from) || on_edge(stretch.to)) && !stretch.covers(0.1).meets(&inner)
}
