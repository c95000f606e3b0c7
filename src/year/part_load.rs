//! A circuit over its year: what it can give at each outdoor temperature, and how it runs for a part of that.

use super::operating_point::{Cause, CircuitModel, OperatingPoint, Solved, Start};
use super::performance_map::{PerformanceMap, share_giving};
use super::stage::{Stage, Stages};
use crate::solve::bracketed;
use std::convert::Infallible;
use std::sync::Arc;

/// Error of what is interpolated over outdoor temperatures: so small that what follows from capacities (which chillers run, hours
/// short of the load) is as if each were solved by itself.
const STAGE_ERROR: f64 = 1e-8;
/// Error of what is interpolated over temperatures and shares, where all that is near to a threshold is solved by itself.
const SHARE_ERROR: f64 = 1e-5;
/// Share of the capacity within which two are the same.
const SAME: f64 = 1e-12;
/// Relative difference of a capacity from what is asked, where its share is solved for.
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
    /// For each stage, from the minimum up, how it runs at each temperature.
    stages: Arc<Vec<Vec<Solved>>>,
    best: Arc<Vec<Option<Best>>>,
    /// Of a circuit of variable speed all shares between the last two stages.
    shares: Option<PerformanceMap>,
}

impl Performance {
    /// Of a circuit at temperatures from the hottest down, K.
    pub fn new(model: &CircuitModel, stages: &Stages, temperatures: &[f64]) -> Self {
        let range = [temperatures.last(), temperatures.first()].map(|end| end.copied().unwrap_or_default());
        let (maps, solved): (Vec<PerformanceMap>, Vec<Vec<Solved>>) =
            stages.steps.iter().map(|stage| at_each(model, *stage, range, temperatures)).unzip();
        let best = temperatures.iter().enumerate().map(|(at, outdoor)| best(model, stages, &solved, at, *outdoor));
        let shares = match (stages.between(), &maps[..]) {
            (Some((minimum, full)), [.., of_minimum, of_full]) => {
                let outdoor = of_minimum.outdoor_with(of_full);
                Some(PerformanceMap::new(outdoor, [minimum.share, full.share], full.bypass, SHARE_ERROR))
            }
            _ => None,
        };
        Self { best: Arc::new(best.collect()), stages: Arc::new(solved), shares }
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
    pub fn run(
        &mut self,
        model: &CircuitModel,
        stages: &Stages,
        temperatures: &[f64],
        demands: &[Option<Demand>],
    ) -> Vec<Operation> {
        let mut operations = vec![Operation::default(); demands.len()];
        // In order, so that each is near to the one before.
        let mut order: Vec<(usize, Demand)> =
            demands.iter().enumerate().filter_map(|(hour, demand)| Some((hour, (*demand)?))).collect();
        order.sort_by(|(_, a), (_, b)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let (mut start, mut last) = (Start::default(), None);
        for (hour, demand) in order {
            let operation = match last {
                Some((same, operation)) if same == demand => operation,
                _ => self.at(model, stages, temperatures, demand, &mut start),
            };
            last = Some((demand, operation));
            if let Some(slot) = operations.get_mut(hour) {
                *slot = operation;
            }
        }
        operations
    }

    fn at(
        &mut self,
        model: &CircuitModel,
        stages: &Stages,
        temperatures: &[f64],
        (at, share): Demand,
        start: &mut Start,
    ) -> Operation {
        let (Some(best), Some(outdoor)) = (self.best.get(at).copied().flatten(), temperatures.get(at)) else {
            return Operation::default();
        };
        if share >= 1.0 - SAME {
            return [Some((best.point, 1.0)), None];
        }
        let capacity = share * best.point.capacity;
        let minimum = stages.between().and_then(|_| self.stage(self.stages.len().checked_sub(2)?, at).copied());
        match (minimum, &mut self.shares) {
            (Some(minimum), Some(map)) if minimum.capacity < capacity => {
                let part = (capacity - minimum.capacity) / (best.point.capacity - minimum.capacity);
                let (from, to) = (minimum.stage.share, best.point.stage.share);
                let about = from + part * (to - from);
                let found = map.at(model, *outdoor, about, Some(capacity), start).and_then(Result::ok);
                let found = found.or_else(|| {
                    let stage = |share: f64| Stage { share, ..best.point.stage };
                    solved_for(model, *outdoor, capacity, [from, about, to].map(stage), start)
                });
                found.map_or_else(|| self.stepped(at, &best, capacity), |point| [Some((point, 1.0)), None])
            }
            _ => self.stepped(at, &best, capacity),
        }
    }

    /// The stage that gives at least what is asked and the one that gives less; on and off where even the minimum gives more.
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

/// A stage at every temperature, and its map.
fn at_each(model: &CircuitModel, stage: Stage, range: [f64; 2], temperatures: &[f64]) -> (PerformanceMap, Vec<Solved>) {
    let mut map = PerformanceMap::new([range; 3], [stage.share; 2], stage.bypass, STAGE_ERROR);
    let mut start = Start::default();
    map.part_regimes(model, temperatures, &mut start);
    let at = |outdoor: &f64| {
        let found = map.at(model, *outdoor, stage.share, None, &mut start);
        found.unwrap_or_else(|| model.solve(*outdoor, stage, &mut start))
    };
    let solved = temperatures.iter().map(at).collect();
    (map, solved)
}

/// The most that stays on: all compressors, the highest share at variable speed, else the highest stage.
fn best(model: &CircuitModel, stages: &Stages, solved: &[Vec<Solved>], at: usize, outdoor: f64) -> Option<Best> {
    let top = solved.len().checked_sub(1)?;
    let stage = |number: usize| {
        let point = (*solved.get(number)?.get(at)?).ok()?;
        model.stays_on(&point).then_some(Best { point, below: number })
    };
    let variable = || {
        let (minimum, full) = stages.between()?;
        Some(Best { point: highest_share(model, outdoor, minimum, full)?, below: top })
    };
    stage(top).or_else(variable).or_else(|| (0..top).rev().find_map(stage))
}

/// The highest share at which the high-pressure switch stays shut.
fn highest_share(model: &CircuitModel, outdoor: f64, minimum: Stage, full: Stage) -> Option<OperatingPoint> {
    let mut start = Start::default();
    let mut solved = |share: f64| model.solve(outdoor, Stage { share, ..full }, &mut start).ok();
    let mut over = |share: f64| {
        Ok::<_, Infallible>(match (solved(share), model.cutout) {
            (Some(point), Some(cutout)) => point.discharge / cutout - 1.0,
            (Some(_), None) => -1.0,
            (None, _) => 1.0,
        })
    };
    if over(minimum.share).is_ok_and(|over| over >= 0.0) {
        return None;
    }
    let root = bracketed(&mut over, minimum.share, full.share, 1e-9).ok()?.x;
    // Just below the switch, not at it.
    (1..40).find_map(|step| {
        let share = (root - 1e-9 * f64::from(step * step)).max(minimum.share);
        solved(share).filter(|point| model.stays_on(point))
    })
}

/// A capacity (W) solved for, between the minimum stage and the most, from a start.
fn solved_for(
    model: &CircuitModel,
    outdoor: f64,
    capacity: f64,
    [minimum, about, maximum]: [Stage; 3],
    start: &mut Start,
) -> Option<OperatingPoint> {
    let mut solved = |share: f64| model.solve(outdoor, Stage { share, ..minimum }, start);
    let mut last = None;
    let share = share_giving(capacity, about.share, SOLVED, |share| {
        last = solved(share).ok();
        last.map(|point| point.capacity)
    });
    if share.is_some_and(|share| (minimum.share..=maximum.share).contains(&share)) {
        return last;
    }
    // Rarely: a share at which a tube seals.
    let over = |share: f64| solved(share).map(|point| point.capacity / capacity - 1.0);
    let share = bracketed(over, minimum.share, maximum.share, 1e-12).ok()?.x;
    solved(share).ok()
}
