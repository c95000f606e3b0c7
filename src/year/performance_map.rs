//! A circuit's performance map: how it runs at outdoor temperatures and shares of full displacement.
//!
//! Within a regime of the head-pressure control the states run smoothly with both. The map of a regime is solved at a few temperatures
//! and shares and interpolated between them where that agrees with what is solved between; where it does not, the map is halved.
//! What is left in the smallest pieces (a riser that seals, liquid that begins to flash), and all that comes near to a threshold that
//! is counted, is solved by itself. A piece is solved when it is first required.

use super::operating_point::{Cause, CircuitModel, OperatingPoint, SUBCOOLING, Solved, Start};
use super::stage::Stage;
use crate::machine::{Near, Regime};
use crate::solve::lagrange;
use crate::survey::Left;

/// Temperatures, and shares, at which a piece of a map is solved; of a single stage temperatures.
const NODES: usize = 6;
const STAGE_NODES: usize = 8;
/// No piece is narrower than twice this: K, share.
const NARROWEST: [f64; 2] = [0.4, 0.04];
/// How many times the tolerance an interpolation may be off at the worst, where it was not held against a solution.
const WORST: f64 = 30.0;
/// Steps in the search for a share.
const MAXIMUM_STEPS: u32 = 12;

/// Temperatures (K) and shares, from and to.
type Domain = [[f64; 2]; 2];

const OUTDOOR: usize = 0;
const SHARE: usize = 1;

/// A map over temperatures and shares; of a single stage over temperatures alone.
#[derive(Clone, Debug)]
pub(super) struct PerformanceMap {
    share: [f64; 2],
    bypass: f64,
    /// Relative, or of the scale of a quantity, to which interpolations agree with what is solved.
    tolerance: f64,
    /// For each regime of the head control.
    regimes: [RegimeMap; 3],
}

/// The map of a regime, over the outdoor temperatures at which it is met.
#[derive(Clone, Debug)]
struct RegimeMap {
    outdoor: [f64; 2],
    piece: Piece,
}

/// A part of a map.
#[derive(Clone, Debug, Default)]
enum Piece {
    /// Not required yet.
    #[default]
    Open,
    Smooth(Box<Smooth>),
    /// Halved across a side, at a place.
    Halved(usize, f64, Box<[Piece; 2]>),
    /// Nothing balances in it.
    Fails(Cause),
    /// Each place in it is solved by itself.
    Rough,
}

/// A part in which all is interpolated.
#[derive(Clone, Debug)]
struct Smooth {
    nodes: [Vec<f64>; 2],
    /// By share, then by temperature.
    solved: Vec<Node>,
}

/// A solved place.
#[derive(Clone, Debug)]
struct Node {
    point: OperatingPoint,
    left: Left,
    values: Vec<f64>,
}

/// Where the reserve of the coil stands among the values, then what is left of the subcooling at the liquid line's inlet and after
/// each of its runs.
const RESERVE: usize = 9;
const SPARE: usize = 8;
const CAPACITY: usize = 0;

impl Node {
    fn new(point: OperatingPoint, left: Left, reserve: f64) -> Self {
        let oil = point.oil.map_or(1.0, |(ratio, _)| ratio);
        let OperatingPoint { capacity, power, evaporating, condensing, discharge, suction, valve, spare, .. } = point;
        let values =
            [capacity, power, evaporating, condensing, discharge, suction, valve, oil, spare, reserve, left.inlet];
        Self { point, values: values.into_iter().chain(left.runs.iter().copied()).collect(), left }
    }

    /// By how much other values are off at the worst, relative or of the scale of a quantity.
    fn off(&self, values: &[f64]) -> f64 {
        let scale = |k: usize, own: f64| match k {
            SPARE => own.abs().max(1.0),
            k if k > RESERVE => SUBCOOLING,
            _ => own.abs(),
        };
        let pairs = self.values.iter().zip(values).enumerate();
        // Where nothing is held the reserve is endless in all alike.
        let differ = pairs.filter(|(_, (own, other))| own.to_bits() != other.to_bits());
        differ.fold(0.0, |worst, (k, (own, other))| f64::max(worst, (own - other).abs() / scale(k, *own)))
    }
}

/// So many places from `low` to `high`, both among them, denser at both: the extremes of a Chebyshev polynomial.
fn nodes(count: usize, [low, high]: [f64; 2]) -> Vec<f64> {
    if high <= low {
        return vec![low];
    }
    #[expect(clippy::cast_precision_loss, reason = "a count of nodes")]
    let turn = |i: usize| std::f64::consts::PI * i as f64 / (count - 1) as f64;
    let between = |i: usize| 0.5 * (low + high) - 0.5 * (high - low) * turn(i).cos();
    std::iter::once(low).chain((1..count - 1).map(between)).chain([high]).collect()
}

/// Values weighted and summed; what is the same in all of them stays so to the last digit.
fn blend<'a>(values: &(impl Iterator<Item = &'a [f64]> + Clone), weights: &[f64]) -> Vec<f64> {
    let first = values.clone().next().unwrap_or_default();
    let of = |k: usize| values.clone().map(move |values| values.get(k).copied().unwrap_or(f64::NAN));
    let blended = first.iter().enumerate().map(|(k, first)| {
        if of(k).all(|value| value.to_bits() == first.to_bits()) {
            return *first;
        }
        of(k).zip(weights).map(|(value, weight)| value * weight).sum()
    });
    blended.collect()
}

/// The share at which a circuit gives a capacity, by secants from `start`; none where it does not come within `tolerance`.
pub(super) fn share_giving(
    capacity: f64,
    start: f64,
    tolerance: f64,
    mut gives: impl FnMut(f64) -> Option<f64>,
) -> Option<f64> {
    let mut over = |share: f64| gives(share).map(|gives| gives / capacity - 1.0);
    let (mut last, mut over_last) = (start, over(start)?);
    // About in proportion, for a first step.
    let mut share = start / (1.0 + over_last);
    for _ in 0..MAXIMUM_STEPS {
        if over_last.abs() <= tolerance {
            return Some(last);
        }
        let over_now = over(share)?;
        let next = share - over_now * (share - last) / (over_now - over_last);
        (last, over_last, share) = (share, over_now, next.clamp(0.5 * share, 2.0 * share));
    }
    None
}

impl Smooth {
    /// The values at an outdoor temperature, for each share.
    fn row(&self, outdoor: f64) -> Vec<Vec<f64>> {
        let weights = lagrange(&self.nodes[OUTDOOR], outdoor);
        let rows = self.solved.chunks(weights.len().max(1));
        rows.map(|row| blend(&row.iter().map(|node| node.values.as_slice()), &weights)).collect()
    }

    fn values(&self, row: &[Vec<f64>], share: f64) -> Vec<f64> {
        match row {
            [one] => one.clone(),
            _ => blend(&row.iter().map(Vec::as_slice), &lagrange(&self.nodes[SHARE], share)),
        }
    }

    /// The share that gives a capacity.
    fn share(&self, row: &[Vec<f64>], capacity: f64, start: f64) -> Option<f64> {
        share_giving(capacity, start, 1e-12, |share| {
            let weights = lagrange(&self.nodes[SHARE], share);
            Some(row.iter().zip(&weights).filter_map(|(values, weight)| Some(values.get(CAPACITY)? * weight)).sum())
        })
    }

    /// The solved place nearest to another.
    fn nearest(&self, outdoor: f64, share: f64) -> Option<&Node> {
        let nearest = |nodes: &[f64], place: f64| {
            (0..nodes.len()).min_by(|a, b| (nodes[*a] - place).abs().total_cmp(&(nodes[*b] - place).abs()))
        };
        let at = nearest(&self.nodes[SHARE], share)? * self.nodes[OUTDOOR].len();
        self.solved.get(at + nearest(&self.nodes[OUTDOOR], outdoor)?)
    }
}

/// Solves places of a map's regime, each from the one before.
struct Solver<'a> {
    model: &'a CircuitModel<'a>,
    regime: Regime,
    bypass: f64,
    tolerance: f64,
    start: &'a mut Start,
}

impl Solver<'_> {
    fn solve(&mut self, outdoor: f64, share: f64) -> Option<Node> {
        let condition = self.model.condition(outdoor, Stage { share, bypass: self.bypass });
        let Start { near, slopes } = &mut *self.start;
        let (solution, reserve) = self.model.circuitry.solve_in(self.regime, &condition, *near, slopes).ok()?;
        *near = Some(Near::from(&solution.balance));
        let (point, left) = self.model.point(&condition, &solution).ok()?;
        Some(Node::new(point, left, reserve))
    }

    /// What becomes of a part of a map.
    fn settle(&mut self, domain: Domain) -> Piece {
        let Some(smooth) = self.smooth(domain) else {
            return self.fails(domain).map_or_else(|| halved(domain, [1.0, 0.0]), Piece::Fails);
        };
        let off = [OUTDOOR, SHARE].map(|side| self.off(&smooth, side));
        if off.iter().all(|off| *off <= self.tolerance) {
            return Piece::Smooth(Box::new(smooth));
        }
        halved(domain, off)
    }

    fn smooth(&mut self, domain: Domain) -> Option<Smooth> {
        let count = if domain[SHARE][1] > domain[SHARE][0] { NODES } else { STAGE_NODES };
        let nodes = domain.map(|side| nodes(count, side));
        let mut solved = Vec::new();
        for (number, share) in nodes[SHARE].iter().enumerate() {
            // To and fro, so that each is next to the one before.
            let turned = number % 2 == 1;
            let outdoor = &nodes[OUTDOOR];
            let order = (0..outdoor.len()).map(|at| if turned { outdoor.len() - 1 - at } else { at });
            let row = order.map(|at| self.solve(*outdoor.get(at)?, *share)).collect::<Option<Vec<Node>>>()?;
            if turned { solved.extend(row.into_iter().rev()) } else { solved.extend(row) }
        }
        Some(Smooth { nodes, solved })
    }

    /// By how much what is interpolated across a side differs at the worst from what is solved between its middle places.
    fn off(&mut self, smooth: &Smooth, side: usize) -> f64 {
        let (along, across) = (&smooth.nodes[side], &smooth.nodes[1 - side]);
        let middles = along
            .windows(2)
            .skip(along.len().div_ceil(2).saturating_sub(2))
            .take(2)
            .map(|pair| 0.5 * (pair[0] + pair[1]));
        let ends = [across.len().saturating_sub(2), across.len().min(2) - 1];
        let mut worst = 0.0;
        for (middle, end) in middles.zip(ends) {
            let (outdoor, share) = if side == OUTDOOR { (middle, across[end]) } else { (across[end], middle) };
            let there = smooth.values(&smooth.row(outdoor), share);
            self.start.near = near(&there);
            worst = f64::max(worst, self.solve(outdoor, share).map_or(f64::INFINITY, |node| node.off(&there)));
        }
        worst
    }

    /// Whether nothing balances at the corners of a part and in its middle, for the same cause.
    fn fails(&mut self, [outdoor, share]: Domain) -> Option<Cause> {
        let middle = |[from, to]: [f64; 2]| 0.5 * (from + to);
        let corners = outdoor.into_iter().flat_map(|outdoor| share.map(|share| (outdoor, share)));
        let mut causes = corners
            .chain([(middle(outdoor), middle(share))])
            .map(|(outdoor, share)| self.model.solve(outdoor, Stage { share, bypass: self.bypass }, self.start).err());
        let first = causes.next().flatten()?;
        causes.all(|cause| cause == Some(first)).then_some(first)
    }
}

/// A part halved across the side on which it is worse off, as long as that is wide enough.
fn halved(domain: Domain, off: [f64; 2]) -> Piece {
    let wide = |side: usize| domain[side][1] - domain[side][0] > 2.0 * NARROWEST[side];
    let worse = if off[OUTDOOR] >= off[SHARE] { OUTDOOR } else { SHARE };
    let Some(side) = [worse, 1 - worse].into_iter().find(|side| wide(*side)) else { return Piece::Rough };
    Piece::Halved(side, 0.5 * (domain[side][0] + domain[side][1]), Box::default())
}

impl Piece {
    /// The smallest part round a place, and its domain.
    fn around(&mut self, mut domain: Domain, place: [f64; 2], solver: &mut Solver) -> (Domain, &Self) {
        if matches!(self, Self::Open) {
            *self = solver.settle(domain);
        }
        match self {
            Self::Halved(side, at, halves) => {
                let upper = usize::from(place[*side] >= *at);
                domain[*side][1 - upper] = *at;
                halves[upper].around(domain, place, solver)
            }
            _ => (domain, self),
        }
    }
}

impl PerformanceMap {
    /// A map of shares with a bypass, over outdoor temperatures for each regime.
    pub fn new(outdoor: [[f64; 2]; 3], share: [f64; 2], bypass: f64, tolerance: f64) -> Self {
        let regimes = outdoor.map(|outdoor| RegimeMap { outdoor, piece: Piece::Open });
        Self { share, bypass, tolerance, regimes }
    }

    /// The outdoor temperatures at which this map or another meets each regime.
    pub fn outdoor_with(&self, other: &Self) -> [[f64; 2]; 3] {
        std::array::from_fn(|regime| {
            let [a, b] = [self, other].map(|map| map.regimes[regime].outdoor);
            [a[0].min(b[0]), a[1].max(b[1])]
        })
    }

    /// Narrows the map of a stage to the temperatures, from the hottest down, at which each regime is met: the coil alone where it
    /// is hot, the fans at their minimum where it is cold.
    pub fn part_regimes(&mut self, model: &CircuitModel, temperatures: &[f64], start: &mut Start) {
        if model.circuitry.first_regime() != Regime::Held {
            return;
        }
        let share = self.share[1];
        let mut regime = |outdoor: f64| {
            let (point, reserve) = self.in_regime(model, Regime::Held, outdoor, share, None, start)?.ok()?;
            Some(model.circuitry.acting(&model.condition(outdoor, point.stage), reserve).regime)
        };
        let alone = temperatures.partition_point(|outdoor| regime(*outdoor) == Some(Regime::CoilAlone));
        let held = temperatures.partition_point(|outdoor| regime(*outdoor) != Some(Regime::FansAtLeast));
        for (regime, met) in
            [(Regime::CoilAlone, temperatures.get(..alone)), (Regime::FansAtLeast, temperatures.get(held..))]
        {
            if let Some((hottest, coldest)) = met.and_then(|met| Some((met.first()?, met.last()?))) {
                self.regimes[regime as usize].outdoor = [*coldest, *hottest];
            }
        }
    }

    /// How the circuit runs at an outdoor temperature at a share, or near it at the share that gives a capacity (W); none where that
    /// is to be solved by itself.
    pub fn at(
        &mut self,
        model: &CircuitModel,
        outdoor: f64,
        share: f64,
        capacity: Option<f64>,
        start: &mut Start,
    ) -> Option<Solved> {
        let mut regime = model.circuitry.first_regime();
        let mut share = share;
        loop {
            let (mut point, reserve) = match self.in_regime(model, regime, outdoor, share, capacity, start)? {
                Ok(found) => found,
                Err(cause) => return Some(Err(cause)),
            };
            share = point.stage.share;
            if regime == Regime::Held {
                let acting = model.circuitry.acting(&model.condition(outdoor, point.stage), reserve);
                if acting.regime != Regime::Held {
                    regime = acting.regime;
                    continue;
                }
                (point.air_share, point.flooded_share) = (acting.air_share, acting.flooded_share);
            }
            if model.near_a_threshold(&point, WORST * self.tolerance) {
                let OperatingPoint { evaporating, condensing, discharge, .. } = point;
                start.near = Some(Near { evaporating, condensing, discharge });
                return None;
            }
            return Some(Ok(point));
        }
    }

    /// The same in one regime, with the reserve of the coil there.
    fn in_regime(
        &mut self,
        model: &CircuitModel,
        regime: Regime,
        outdoor: f64,
        mut share: f64,
        capacity: Option<f64>,
        start: &mut Start,
    ) -> Option<Result<(OperatingPoint, f64), Cause>> {
        let mut solver = Solver { model, regime, bypass: self.bypass, tolerance: self.tolerance, start };
        let [from, to] = self.share;
        let RegimeMap { outdoor: range, piece: map } = &mut self.regimes[regime as usize];
        if outdoor < range[0] || outdoor > range[1] {
            return None;
        }
        for _ in 0..MAXIMUM_STEPS {
            let (domain, piece) = map.around([*range, self.share], [outdoor, share], &mut solver);
            let smooth = match piece {
                Piece::Smooth(smooth) => smooth,
                Piece::Fails(cause) => return Some(Err(*cause)),
                _ => return None,
            };
            let row = smooth.row(outdoor);
            if let Some(capacity) = capacity {
                share = smooth.share(&row, capacity, share)?.clamp(from, to);
            }
            let [low, high] = domain[SHARE];
            if (low..=high).contains(&share) {
                let values = smooth.values(&row, share);
                let like = smooth.nearest(outdoor, share)?;
                let stage = Stage { share, bypass: self.bypass };
                return interpolated(model, like, stage, &values).map(Ok);
            }
        }
        None
    }
}

/// Where a search begins that is near to interpolated values.
fn near(values: &[f64]) -> Option<Near> {
    let [_, _, evaporating, condensing, discharge, ..] = *values else { return None };
    Some(Near { evaporating, condensing, discharge })
}

/// The operating point that is made of values, of one like it.
fn interpolated(model: &CircuitModel, like: &Node, stage: Stage, values: &[f64]) -> Option<(OperatingPoint, f64)> {
    let [capacity, power, evaporating, condensing, discharge, suction, valve, oil, spare, reserve, inlet, runs @ ..] =
        values
    else {
        return None;
    };
    let left = Left { inlet: *inlet, runs: runs.to_vec(), ..like.left };
    let point = OperatingPoint {
        stage,
        capacity: *capacity,
        power: *power,
        evaporating: *evaporating,
        condensing: *condensing,
        discharge: *discharge,
        suction: *suction,
        valve: *valve,
        spare: *spare,
        feed: left.feed(model.circuitry.circuit),
        oil: like.point.oil.map(|(_, run)| (*oil, run)),
        ..like.point
    };
    Some((point, *reserve))
}
