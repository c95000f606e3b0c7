//! A circuit's performance map: how it runs at outdoor temperatures and shares of full displacement.
//!
//! Within a regime of the head-pressure control the states run smoothly with both. Each is solved at the places of a grid, when they are
//! first asked for, and interpolated between them by the polynomial through those nearest. Where the last of these changes more than a
//! little (a riser that seals, liquid that begins to flash), and near to a threshold that is counted, an hour is solved by itself.

use super::operating_point::{Cause, CircuitModel, OperatingPoint, SUBCOOLING, Solved, Start};
use super::stage::Stage;
use crate::machine::{Near, Regime};
use crate::solve::lagrange_of;
use crate::survey::Left;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

const OUTDOOR: usize = 0;
const SHARE: usize = 1;
/// Widest step of the grid: K, share.
const STEP: [f64; 2] = [4.0, 0.12];
/// How many of its places an interpolation takes along each side.
const PLACES: [usize; 2] = [6, 5];
/// What the last of them may change, relative. Along the outdoor temperature little: which machines run follows from what is
/// interpolated there.
const CHANGE: [f64; 2] = [2e-5, 1e-3];
/// The same for what no capacity follows from: oil, and subcoolings of their scale.
const ASIDE: f64 = 5e-4;
/// What comes nearer to a threshold, relative or of the scale of a quantity, is solved by itself.
const NEAR: f64 = 1e-3;
/// Relative difference of a capacity from what is asked at the share that is to give it.
const GIVEN: f64 = 1e-4;

/// A cell or a place of the grid: its number along each side.
type Number = [usize; 2];

/// A map of shares with a bypass; of a single stage over temperatures alone.
#[derive(Clone, Debug)]
pub(super) struct PerformanceMap {
    sides: [Side; 2],
    bypass: f64,
    places: BTreeMap<(Regime, Number), Option<Arc<Place>>>,
    cells: BTreeMap<(Regime, Number), Cell>,
}

/// The places of a grid along one side, in equal steps.
#[derive(Clone, Debug)]
struct Side {
    places: Vec<f64>,
    taken: usize,
}

/// What stands between neighbouring places.
#[derive(Clone, Debug)]
enum Cell {
    /// All is interpolated, from these places: by share, then by temperature.
    Smooth(Vec<Arc<Place>>),
    /// Nothing balances.
    Fails(Cause),
    /// Each hour is solved by itself.
    Rough,
}

/// A solved place.
#[derive(Clone, Debug)]
struct Place {
    point: OperatingPoint,
    left: Left,
    /// What is interpolated: eight quantities of the point, the heat rejected, and what is left of the subcooling at the liquid line's
    /// inlet and after each of its runs.
    values: Vec<f64>,
}

/// Where the capacity, the oil and the first subcooling stand among the values.
const CAPACITY: usize = 0;
const OIL: usize = 7;
const LEFT: usize = 9;

impl Side {
    fn new([low, high]: [f64; 2], step: f64, most: usize) -> Self {
        let least = u32::try_from(most).map_or(1, |most| most - 1);
        let steps = (least..1000).find(|steps| high - low <= step * f64::from(*steps)).unwrap_or(1000);
        let place = |number: u32| low + (high - low) * f64::from(number) / f64::from(steps);
        let mut places: Vec<f64> = (0..=steps).map(place).collect();
        places.dedup();
        Self { taken: most.min(places.len()), places }
    }

    /// The cell in which a place lies.
    fn cell(&self, place: f64) -> usize {
        let before = self.places.partition_point(|before| *before <= place);
        before.min(self.places.len().saturating_sub(1)).saturating_sub(1)
    }

    /// The places at the ends of a cell.
    fn ends(&self, cell: usize) -> [f64; 2] {
        [cell, (cell + 1).min(self.places.len() - 1)].map(|end| self.places[end])
    }

    /// The places from which a cell is interpolated.
    fn around(&self, cell: usize) -> Range<usize> {
        let from = (cell + 1).saturating_sub(self.taken / 2).min(self.places.len() - self.taken);
        from..from + self.taken
    }

    /// What the values there count for.
    fn weights(&self, cell: usize, place: f64) -> Vec<f64> {
        lagrange_of(&self.places[self.around(cell)], place)
    }

    /// By how much the weights in the middle of a cell change by the last place.
    fn last(&self, cell: usize) -> Vec<f64> {
        let [from, to] = self.ends(cell);
        let (around, middle) = (&self.places[self.around(cell)], 0.5 * (from + to));
        let without = lagrange_of(&around[..around.len() - 1], middle).into_iter().chain([0.0]);
        lagrange_of(around, middle).into_iter().zip(without).map(|(with, without)| with - without).collect()
    }
}

impl Place {
    fn solved(model: &CircuitModel, regime: Regime, outdoor: f64, stage: Stage, start: &mut Start) -> Option<Self> {
        let (point, left, rejection) = model.solve_in(regime, outdoor, stage, start)?;
        let oil = point.oil.map_or(0.0, |(ratio, _)| ratio);
        let OperatingPoint { capacity, power, evaporating, condensing, discharge, suction, valve, .. } = point;
        let values = [capacity, power, evaporating, condensing, discharge, suction, valve, oil, rejection, left.inlet]
            .into_iter();
        Some(Self { point, values: values.chain(left.runs.iter().copied()).collect(), left })
    }

    /// Whether changes of the values are little, relative or of the scale of a quantity.
    fn changes_little(&self, by: &[f64], allowed: f64) -> bool {
        self.values.iter().zip(by).enumerate().all(|(k, (value, by))| {
            let scale = if k >= LEFT { SUBCOOLING } else { value.abs() };
            by.abs() <= scale * if k >= OIL { allowed.max(ASIDE) } else { allowed }
        })
    }

    /// The operating point of a stage that is made of interpolated values and is for the rest like this one, and the heat rejected.
    fn with(&self, model: &CircuitModel, stage: Stage, values: &[f64]) -> Option<(OperatingPoint, f64)> {
        let [capacity, power, evaporating, condensing, discharge, suction, valve, oil, rejection, inlet, ref runs @ ..] =
            *values
        else {
            return None;
        };
        let left = Left { inlet, runs: runs.to_vec(), ..self.left };
        let (feed, oil) = (left.feed(model.circuitry.circuit), self.point.oil.map(|(_, run)| (oil, run)));
        let states = OperatingPoint { stage, capacity, power, evaporating, condensing, discharge, ..self.point };
        Some((OperatingPoint { suction, valve, feed, oil, ..states }, rejection))
    }
}

/// The values of places, each weighted by its share and its temperature and summed.
fn blend(places: &[Arc<Place>], outdoor: &[f64], share: &[f64]) -> Vec<f64> {
    let mut sums = vec![0.0; places.first().map_or(0, |place| place.values.len())];
    for (row, of_share) in places.chunks(outdoor.len()).zip(share) {
        for (place, of_outdoor) in row.iter().zip(outdoor) {
            let weight = of_share * of_outdoor;
            sums.iter_mut().zip(&place.values).for_each(|(sum, value)| *sum += weight * value);
        }
    }
    sums
}

impl PerformanceMap {
    /// A map of shares with a bypass, over outdoor temperatures (K).
    pub fn new(outdoor: [f64; 2], share: [f64; 2], bypass: f64) -> Self {
        let side = |side: usize, range: [f64; 2]| Side::new(range, STEP[side], PLACES[side]);
        let sides = [side(OUTDOOR, outdoor), side(SHARE, share)];
        Self { sides, bypass, places: BTreeMap::new(), cells: BTreeMap::new() }
    }

    /// How the circuit runs at an outdoor temperature at a share, or near it at the share that gives a capacity (W); none where that
    /// is to be solved by itself.
    pub fn at(
        &mut self,
        model: &CircuitModel,
        outdoor: f64,
        mut share: f64,
        capacity: Option<f64>,
        start: &mut Start,
    ) -> Option<Solved> {
        let mut regime = model.circuitry.first_regime();
        loop {
            let (mut point, rejection) = match self.in_regime(model, regime, outdoor, share, capacity, start)? {
                Ok(found) => found,
                Err(cause) => return Some(Err(cause)),
            };
            if regime == Regime::Held {
                let acting = model.circuitry.acting(&model.condition(outdoor, point.stage), rejection);
                if acting.regime != Regime::Held {
                    (regime, share) = (acting.regime, point.stage.share);
                    continue;
                }
                (point.air_share, point.flooded_share) = (acting.air_share, acting.flooded_share);
            }
            if model.near_a_threshold(&point, NEAR) {
                let OperatingPoint { evaporating, condensing, discharge, .. } = point;
                start.near = Some(Near { evaporating, condensing, discharge });
                return None;
            }
            return Some(Ok(point));
        }
    }

    /// The same in one regime, with the heat rejected (W).
    fn in_regime(
        &mut self,
        model: &CircuitModel,
        regime: Regime,
        outdoor: f64,
        mut share: f64,
        capacity: Option<f64>,
        start: &mut Start,
    ) -> Option<Result<(OperatingPoint, f64), Cause>> {
        let across = self.sides[OUTDOOR].cell(outdoor);
        let of_outdoor = self.sides[OUTDOOR].weights(across, outdoor);
        // From cell to cell, as far as the share goes.
        for _ in 0..self.sides[SHARE].places.len() {
            let cell = self.sides[SHARE].cell(share);
            self.settle(model, (regime, [across, cell]), start);
            let places = match self.cells.get(&(regime, [across, cell]))? {
                Cell::Smooth(places) => places,
                Cell::Fails(cause) => return Some(Err(*cause)),
                Cell::Rough => return None,
            };
            let side = &self.sides[SHARE];
            if let Some(capacity) = capacity {
                let gives = |row: &[Arc<Place>]| -> f64 {
                    row.iter().zip(&of_outdoor).map(|(place, weight)| place.values[CAPACITY] * weight).sum()
                };
                let gives: Vec<f64> = places.chunks(of_outdoor.len()).map(gives).collect();
                let shares = side.places[side.around(cell)].iter().zip(lagrange_of(&gives, capacity));
                let gives_it: f64 = shares.map(|(share, weight)| share * weight).sum();
                share = gives_it.clamp(side.places[0], side.places[side.places.len() - 1]);
            }
            if side.cell(share) == cell {
                let of_share = side.weights(cell, share);
                let values = blend(places, &of_outdoor, &of_share);
                let given = capacity.is_none_or(|capacity| (values[CAPACITY] / capacity - 1.0).abs() <= GIVEN);
                let weights = of_share.iter().flat_map(|share| of_outdoor.iter().map(move |outdoor| share * outdoor));
                let (nearest, _) = places.iter().zip(weights).max_by(|(_, a), (_, b)| a.total_cmp(b))?;
                return nearest.with(model, Stage { share, bypass: self.bypass }, &values).filter(|_| given).map(Ok);
            }
        }
        None
    }

    /// Finds what stands in a cell.
    fn settle(&mut self, model: &CircuitModel, (regime, cell): (Regime, Number), start: &mut Start) {
        if self.cells.contains_key(&(regime, cell)) {
            return;
        }
        let [outdoor, share] = [OUTDOOR, SHARE].map(|side| self.sides[side].around(cell[side]));
        let numbers = share.flat_map(|share| outdoor.clone().map(move |outdoor| [outdoor, share]));
        let places: Option<Vec<Arc<Place>>> =
            numbers.map(|number| self.place(model, (regime, number), start)).collect();
        let found = match places {
            Some(places) if self.is_smooth(cell, &places) => Cell::Smooth(places),
            Some(_) => Cell::Rough,
            None => self.fails(model, cell, start).map_or(Cell::Rough, Cell::Fails),
        };
        self.cells.insert((regime, cell), found);
    }

    fn place(
        &mut self,
        model: &CircuitModel,
        (regime, number): (Regime, Number),
        start: &mut Start,
    ) -> Option<Arc<Place>> {
        let [outdoor, share] = [OUTDOOR, SHARE].map(|side| self.sides[side].places[number[side]]);
        let stage = Stage { share, bypass: self.bypass };
        let solved = || Place::solved(model, regime, outdoor, stage, start).map(Arc::new);
        self.places.entry((regime, number)).or_insert_with(solved).clone()
    }

    /// Whether the last place along each side changes little in the middle of a cell.
    fn is_smooth(&self, cell: Number, places: &[Arc<Place>]) -> bool {
        let middle = |side: usize| {
            let [from, to] = self.sides[side].ends(cell[side]);
            self.sides[side].weights(cell[side], 0.5 * (from + to))
        };
        let last = |side: usize| self.sides[side].last(cell[side]);
        let little = |side: usize, outdoor: &[f64], share: &[f64]| {
            let changes = blend(places, outdoor, share);
            self.sides[side].taken < 2 || places.iter().all(|place| place.changes_little(&changes, CHANGE[side]))
        };
        little(OUTDOOR, &last(OUTDOOR), &middle(SHARE)) && little(SHARE, &middle(OUTDOOR), &last(SHARE))
    }

    /// Why nothing balances at the corners of a cell, where that is the same at all of them.
    fn fails(&self, model: &CircuitModel, cell: Number, start: &mut Start) -> Option<Cause> {
        let [outdoor, share] = [OUTDOOR, SHARE].map(|side| self.sides[side].ends(cell[side]));
        let corners = outdoor.into_iter().flat_map(|outdoor| share.map(|share| (outdoor, share)));
        let stage = |share: f64| Stage { share, bypass: self.bypass };
        let mut causes = corners.map(|(outdoor, share)| model.solve(outdoor, stage(share), start).err());
        let first = causes.next().flatten()?;
        causes.all(|cause| cause == Some(first)).then_some(first)
    }
}
