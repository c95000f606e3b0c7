//! A circuit over its year: what it can give at each outdoor temperature, and how it runs for a part of that.

use super::operating_point::{Cause, CircuitModel, OperatingPoint, Solved, Start};
use super::performance_map::PerformanceMap;
use super::stage::Stage;
use crate::solve::bracketed;
use std::convert::Infallible;

/// Share of the capacity within which two are the same.
const SAME: f64 = 1e-12;
/// How near a share that is solved for comes.
const SOLVED: f64 = 1e-9;

/// What is asked of a circuit: at the temperature of that number a share of its capacity there.
pub(super) type Demand = (usize, f64);

/// How a circuit runs in an hour: at up to two operating points, each for a part of it.
pub(super) type Operation = [Option<(OperatingPoint, f64)>; 2];

/// The most that a circuit gives at a temperature with the compressors that stay on.
#[derive(Clone, Copy, Debug)]
struct Best {
    point: OperatingPoint,
    /// So many stages give less.
    below: usize,
}

/// What a circuit does at the temperatures of a year.
#[derive(Clone, Debug)]
pub(super) struct Performance {
    /// For each stage, from the least up, how it runs at each temperature.
    stages: Vec<Vec<Solved>>,
    best: Vec<Option<Best>>,
    /// Of each stage; the last two of a circuit of variable speed have one, with all shares between them.
    maps: Vec<PerformanceMap>,
}

impl Performance {
    /// Of a circuit at temperatures from the hottest down, K.
    pub fn new(model: &CircuitModel, temperatures: &[f64]) -> Self {
        let outdoor = [temperatures.last(), temperatures.first()].map(|end| end.copied().unwrap_or_default());
        let (steps, between) = (&model.stages.steps, model.stages.between());
        let alone = steps.len() - if between.is_some() { 2 } else { 0 };
        let map = |least: &Stage, most: &Stage| PerformanceMap::new(outdoor, [least.share, most.share], most.bypass);
        let mut maps: Vec<PerformanceMap> = steps[..alone].iter().map(|stage| map(stage, stage)).collect();
        maps.extend(between.map(|(least, full)| map(&least, &full)));
        let last = maps.len() - 1;
        let at_each = |(number, stage): (usize, &Stage)| {
            let mut start = Start::default();
            let mut at = |outdoor: &f64| {
                let found = maps[number.min(last)].at(model, *outdoor, stage.share, None, &mut start);
                found.unwrap_or_else(|| model.solve(*outdoor, *stage, &mut start))
            };
            temperatures.iter().map(&mut at).collect()
        };
        let stages: Vec<Vec<Solved>> = steps.iter().enumerate().map(at_each).collect();
        let best = temperatures.iter().enumerate().map(|(at, outdoor)| best(model, &stages, at, *outdoor)).collect();
        Self { stages, best, maps }
    }

    /// Solves the temperature of that number (K) by itself.
    pub fn solve(&mut self, model: &CircuitModel, at: usize, outdoor: f64) {
        let mut start = Start::default();
        for (solved, stage) in self.stages.iter_mut().zip(&model.stages.steps) {
            solved[at] = model.solve(outdoor, *stage, &mut start);
        }
        self.best[at] = best(model, &self.stages, at, outdoor);
    }

    /// All compressors at the temperature of that number.
    pub fn all(&self, at: usize) -> Solved {
        self.stages.last().and_then(|top| top.get(at)).copied().unwrap_or(Err(Cause::Other))
    }

    /// The most compressors that stay on there.
    pub fn best(&self, at: usize) -> Option<&OperatingPoint> {
        self.best.get(at)?.as_ref().map(|best| &best.point)
    }

    /// Its capacity there, W.
    pub fn capacity(&self, at: usize) -> f64 {
        self.best(at).map_or(0.0, |point| point.capacity)
    }

    fn stage(&self, number: usize, at: usize) -> Option<&OperatingPoint> {
        self.stages.get(number)?.get(at)?.as_ref().ok()
    }

    /// How it runs at each of the demands.
    pub fn run(&mut self, model: &CircuitModel, temperatures: &[f64], demands: &[Option<Demand>]) -> Vec<Operation> {
        let mut operations = vec![Operation::default(); demands.len()];
        // In order, so that each is near to the one before.
        let mut order: Vec<(usize, Demand)> =
            demands.iter().enumerate().filter_map(|(hour, demand)| Some((hour, (*demand)?))).collect();
        order.sort_by(|(_, a), (_, b)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut start = Start::default();
        for alike in order.chunk_by(|(_, a), (_, b)| a == b) {
            let demand = alike[0].1;
            let operation = self.at(model, temperatures[demand.0], demand, &mut start);
            alike.iter().for_each(|(hour, _)| operations[*hour] = operation);
        }
        operations
    }

    fn at(&mut self, model: &CircuitModel, outdoor: f64, (at, share): Demand, start: &mut Start) -> Operation {
        let Some(best) = self.best[at] else { return Operation::default() };
        if share >= 1.0 - SAME {
            return [Some((best.point, 1.0)), None];
        }
        let capacity = share * best.point.capacity;
        let between = self.between(model, outdoor, at, &best.point, capacity, start);
        between.map_or_else(|| self.stepped(at, &best, capacity), |point| [Some((point, 1.0)), None])
    }

    /// A circuit of variable speed at the share that gives a capacity (W), where that is above its least.
    fn between(
        &mut self,
        model: &CircuitModel,
        outdoor: f64,
        at: usize,
        most: &OperatingPoint,
        capacity: f64,
        start: &mut Start,
    ) -> Option<OperatingPoint> {
        model.stages.between()?;
        let least = *self.stage(self.stages.len().checked_sub(2)?, at)?;
        if least.capacity >= capacity {
            return None;
        }
        let part = (capacity - least.capacity) / (most.capacity - least.capacity);
        let (from, to) = (least.stage.share, most.stage.share);
        let about = from + part * (to - from);
        let found = self.maps.last_mut()?.at(model, outdoor, about, Some(capacity), start);
        found.and_then(Result::ok).or_else(|| solved_for(model, outdoor, capacity, [least.stage, most.stage], start))
    }

    /// The stage that gives at least what is asked and the one that gives less; on and off where even the least gives more.
    fn stepped(&self, at: usize, best: &Best, capacity: f64) -> Operation {
        let mut upper = best.point;
        for number in (0..best.below).rev() {
            let Some(point) = self.stage(number, at) else { continue };
            if point.capacity < capacity {
                let part = ((capacity - point.capacity) / (upper.capacity - point.capacity)).min(1.0);
                return [Some((upper, part)), Some((*point, 1.0 - part)).filter(|(_, part)| *part > 0.0)];
            }
            upper = *point;
        }
        [Some((upper, (capacity / upper.capacity).min(1.0))), None]
    }
}

/// The most that stays on: all compressors, the highest share at variable speed, else the highest stage.
fn best(model: &CircuitModel, solved: &[Vec<Solved>], at: usize, outdoor: f64) -> Option<Best> {
    let top = solved.len().checked_sub(1)?;
    let stage = |number: usize| {
        let point = (*solved.get(number)?.get(at)?).ok()?;
        model.stays_on(&point).then_some(Best { point, below: number })
    };
    let variable = || {
        let (least, full) = model.stages.between()?;
        Some(Best { point: highest_share(model, outdoor, least, full)?, below: top })
    };
    stage(top).or_else(variable).or_else(|| (0..top).rev().find_map(stage))
}

/// The highest share at which the high-pressure switch stays shut.
fn highest_share(model: &CircuitModel, outdoor: f64, least: Stage, full: Stage) -> Option<OperatingPoint> {
    let mut start = Start::default();
    let mut solved = |share: f64| model.solve(outdoor, Stage { share, ..full }, &mut start).ok();
    let mut over = |share: f64| {
        Ok::<_, Infallible>(match (solved(share), model.cutout) {
            (Some(point), Some(cutout)) => point.discharge / cutout - 1.0,
            (Some(_), None) => -1.0,
            (None, _) => 1.0,
        })
    };
    if over(least.share).is_ok_and(|over| over >= 0.0) {
        return None;
    }
    let root = bracketed(&mut over, least.share, full.share, SOLVED).ok()?.x;
    // Just below the switch, not at it.
    solved((root - 4.0 * SOLVED).max(least.share)).filter(|point| model.stays_on(point))
}

/// A capacity (W) solved for, between the least stage and the most.
fn solved_for(
    model: &CircuitModel,
    outdoor: f64,
    capacity: f64,
    [least, most]: [Stage; 2],
    start: &mut Start,
) -> Option<OperatingPoint> {
    let mut solved = |share: f64| model.solve(outdoor, Stage { share, ..most }, start);
    let over = |share: f64| solved(share).map(|point| point.capacity / capacity - 1.0);
    let share = bracketed(over, least.share, most.share, SOLVED).ok()?.x;
    solved(share).ok()
}
