//! A circuit over its year: what it can give at each outdoor temperature, and how it runs for a part of that.

use super::operating_point::{Cause, CircuitModel, OperatingPoint, Solved, Start};
use super::performance_map::{Column, Row};
use super::stage::{Stage, Stages};
use crate::solve::bracketed;
use std::convert::Infallible;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Relative difference of two capacities below which what is interpolated does not tell which is more: what hangs on it is solved by
/// itself.
pub(super) const CLOSE: f64 = 5e-5;
/// Parts, between whose ends a circuit of variable speed is solved, of the range from the minimum share to the full.
const SHARES: u32 = 8;
/// Steps in the search for a share.
const MAXIMUM_STEPS: u32 = 12;
/// Share of the capacity within which two are the same.
const SAME: f64 = 1e-12;
/// Relative difference of a capacity from what is asked, where its share is solved for: near to what is counted, and elsewhere.
const SOLVED: f64 = 1e-9;
const NEARLY: f64 = 1e-4;

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
    /// Of a circuit of variable speed shares from the minimum to the full.
    rows: Arc<Vec<Row>>,
}

impl Performance {
    /// Of a circuit at temperatures from the hottest down, K.
    pub fn new(model: &CircuitModel, stages: &Stages, temperatures: &[f64]) -> Self {
        let row = |stage: &Stage| Row::new(model, *stage, temperatures);
        let mut rows: Vec<Row> = stages.steps.iter().map(row).collect();
        let each = |(stage, row): (&Stage, &Row)| row.at_each(model, *stage, temperatures);
        let solved = stages.steps.iter().zip(&rows).map(each).collect();
        let rows = stages.between().zip(rows.pop()).zip(rows.pop()).map(|(((minimum, full), of_full), of_minimum)| {
            let part = |number: u32| f64::from(number) / f64::from(SHARES);
            let share = |number: u32| minimum.share + part(number) * (full.share - minimum.share);
            let between = (1..SHARES).map(|number| row(&Stage { share: share(number), ..full }));
            std::iter::once(of_minimum).chain(between).chain([of_full]).collect()
        });
        Self::of(model, stages, temperatures, solved, rows.unwrap_or_default())
    }

    fn of(
        model: &CircuitModel,
        stages: &Stages,
        temperatures: &[f64],
        solved: Vec<Vec<Solved>>,
        rows: Vec<Row>,
    ) -> Self {
        let best = temperatures.iter().enumerate().map(|(at, outdoor)| best(model, stages, &solved, at, *outdoor));
        Self { best: Arc::new(best.collect()), stages: Arc::new(solved), rows: Arc::new(rows) }
    }

    /// The same with each temperature, and later each share, solved by itself.
    #[cfg(test)]
    pub fn alone(model: &CircuitModel, stages: &Stages, temperatures: &[f64]) -> Self {
        let each = |stage: &Stage| {
            let mut start = Start::default();
            temperatures.iter().map(|outdoor| model.solve(*outdoor, *stage, &mut start)).collect()
        };
        Self::of(model, stages, temperatures, stages.steps.iter().map(each).collect(), Vec::new())
    }

    /// Of stages, from the minimum up, as they run at each temperature; all of them stay on.
    #[cfg(test)]
    pub fn of_points(stages: Vec<Vec<Solved>>) -> Self {
        let below = stages.len() - 1;
        let best = stages[below].iter().map(|solved| solved.ok().map(|point| Best { point, below })).collect();
        Self { stages: Arc::new(stages), best: Arc::new(best), rows: Arc::new(Vec::new()) }
    }

    /// Every stage at the temperatures of those numbers, each solved by itself.
    pub fn solve_alone(&mut self, model: &CircuitModel, stages: &Stages, temperatures: &[f64], numbers: &[usize]) {
        let (solved, maximum) = (Arc::make_mut(&mut self.stages), Arc::make_mut(&mut self.best));
        let mut start = Start::default();
        for (at, outdoor) in numbers.iter().filter_map(|at| Some((*at, *temperatures.get(*at)?))) {
            for (stage, row) in stages.steps.iter().zip(&mut *solved) {
                if let Some(place) = row.get_mut(at) {
                    *place = model.solve(outdoor, *stage, &mut start);
                }
            }
            if let Some(place) = maximum.get_mut(at) {
                *place = best(model, stages, solved, at, outdoor);
            }
        }
    }

    /// Whether a share of its capacity is so near to that of a stage that it is left open which of two stages run that differ in what
    /// is counted.
    pub fn hangs_on_a_stage(&self, model: &CircuitModel, at: usize, share: f64) -> bool {
        let asked = share * self.capacity(at);
        let points = || self.stages.iter().filter_map(|stage| stage.get(at)?.as_ref().ok());
        let counts = |point: &OperatingPoint| (model.flashes(point), model.drops_oil(point));
        share < 1.0 - SAME
            && points().any(|point| (point.capacity_W - asked).abs() <= CLOSE * asked)
            && points().map(counts).zip(points().skip(1).map(counts)).any(|(below, above)| below != above)
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
        self.best(at).map_or(0.0, |point| point.capacity_W)
    }

    fn stage(&self, number: usize, at: usize) -> Option<&OperatingPoint> {
        self.stages.get(number)?.get(at)?.as_ref().ok()
    }

    /// How it runs at each of the demands.
    pub fn run(
        &self,
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
        for of_one in order.chunk_by(|(_, a), (_, b)| a.0 == b.0) {
            let Some(outdoor) = of_one.first().and_then(|(_, demand)| temperatures.get(demand.0)) else { continue };
            let column = Column::new(&self.rows, *outdoor);
            for (hour, demand) in of_one {
                let operation = match last {
                    Some((same, operation)) if same == *demand => operation,
                    _ => self.at(model, stages, (&column, *outdoor), *demand, &mut start),
                };
                last = Some((*demand, operation));
                if let Some(slot) = operations.get_mut(*hour) {
                    *slot = operation;
                }
            }
        }
        operations
    }

    fn at(
        &self,
        model: &CircuitModel,
        stages: &Stages,
        (column, outdoor): (&Column, f64),
        (at, share): Demand,
        start: &mut Start,
    ) -> Operation {
        let Some(best) = self.best.get(at).copied().flatten() else { return Operation::default() };
        if share >= 1.0 - SAME {
            return [Some((best.point, 1.0)), None];
        }
        let capacity = share * best.point.capacity_W;
        let minimum = stages.between().and_then(|_| self.stage(self.stages.len().checked_sub(2)?, at));
        let found = minimum.filter(|minimum| minimum.capacity_W < capacity).and_then(|minimum| {
            column.at_capacity(model, capacity).or_else(|| {
                let part = (capacity - minimum.capacity_W) / (best.point.capacity_W - minimum.capacity_W);
                let (from, to) = (minimum.stage.share, best.point.stage.share);
                let about = column.share(capacity).unwrap_or(from + part * (to - from)).clamp(from, to);
                solved_for(model, outdoor, capacity, Stage { share: about, ..best.point.stage }, from..=to, start)
            })
        });
        found.map_or_else(|| self.stepped(at, &best, capacity), |point| [Some((point, 1.0)), None])
    }

    /// The stage that gives at least what is asked and the one that gives less; on and off where even the minimum gives more.
    fn stepped(&self, at: usize, best: &Best, capacity: f64) -> Operation {
        let mut upper = best.point;
        for number in (0..best.below).rev() {
            let Some(point) = self.stage(number, at) else { continue };
            if point.capacity_W < capacity {
                let part = ((capacity - point.capacity_W) / (upper.capacity_W - point.capacity_W)).min(1.0);
                return [Some((upper, part)), Some((*point, 1.0 - part)).filter(|(_, part)| *part > 0.0)];
            }
            upper = *point;
        }
        [Some((upper, (capacity / upper.capacity_W).min(1.0))), None]
    }
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
        Ok::<_, Infallible>(match (solved(share), model.cutout_Pa) {
            (Some(point), Some(cutout)) => point.discharge_Pa / cutout - 1.0,
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

/// A capacity (W) solved for, in a range of shares, by secants from about where it is.
fn solved_for(
    model: &CircuitModel,
    outdoor: f64,
    capacity: f64,
    about: Stage,
    range: RangeInclusive<f64>,
    start: &mut Start,
) -> Option<OperatingPoint> {
    let mut solved = |share: f64| model.solve(outdoor, Stage { share, ..about }, start);
    // About in proportion, for a first step.
    let (mut share, mut last) = (about.share, (0.0, -1.0));
    for _ in 0..MAXIMUM_STEPS {
        let Ok(point) = solved(share) else { break };
        let over = point.capacity_W / capacity - 1.0;
        let nearly = over.abs() <= NEARLY && !model.near_a_threshold(&point, &point, 10.0 * NEARLY);
        if nearly || over.abs() <= SOLVED {
            if range.contains(&share) {
                return Some(point);
            }
            break;
        }
        let next = share - over * (share - last.0) / (over - last.1);
        (last, share) = ((share, over), next.clamp(0.5 * share, 2.0 * share));
    }
    // Rarely: a share at which a tube seals.
    let over = |share: f64| solved(share).map(|point| point.capacity_W / capacity - 1.0);
    let share = bracketed(over, *range.start(), *range.end(), 1e-12).ok()?.x;
    solved(share).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{self, Job};
    use crate::units::Pressure;
    use crate::year::operating_point::testing::point;
    use std::path::Path;

    fn hall() -> Job {
        let text = include_str!("../../examples/bottling-hall.toml");
        job::read("hall.toml", text, Path::new(".")).unwrap()
    }

    #[test]
    fn the_highest_share_is_just_below_that_at_which_the_switch_opens() {
        let mut job = hall();
        let circuit = &mut job.circuits[0];
        (circuit.compressors.minimum_share, circuit.compressors.bypass.share) = (0.3, 0.0);
        let (outdoor, stages) = (305.0, Stages::of(circuit));
        let (minimum, full) = stages.between().unwrap();
        let pressure = |job: &Job, share: f64| {
            let model = CircuitModel::new(job, &job.circuits[0]).unwrap();
            model.solve(outdoor, Stage { share, ..full }, &mut Start::default()).unwrap().discharge_Pa
        };
        let at = [minimum.share, 0.6, full.share].map(|share| pressure(&job, share));
        assert!(at[0] < at[1] && at[1] < at[2]);
        let highest = |cutout: f64| {
            let mut job = job.clone();
            job.circuits[0].condenser.cutout = Some(Pressure::from_pascals(cutout));
            let model = CircuitModel::new(&job, &job.circuits[0]).unwrap();
            highest_share(&model, outdoor, minimum, full)
        };
        let found = highest(at[1]).unwrap();
        assert!(found.discharge_Pa < at[1] && (0.6 - 1e-6..0.6).contains(&found.stage.share), "{found:?}");
        // A switch that opens at the minimum share too leaves none.
        assert!(highest(at[0]).is_none() && highest(at[0] - 1e4).is_none());
    }

    /// Two stages of which the lower flashes, at a share of the capacity of the upper, 1e5 W.
    fn hangs(lower: f64, left: [f64; 2], share: f64) -> bool {
        let job = hall();
        let model = CircuitModel::new(&job, &job.circuits[0]).unwrap();
        let stage = |capacity: f64, left: f64| {
            let mut point = point(305.0, capacity);
            (point.feed.valve_K, point.feed.line_K) = (left, left);
            vec![Ok(point)]
        };
        Performance::of_points(vec![stage(lower, left[0]), stage(1e5, left[1])]).hangs_on_a_stage(&model, 0, share)
    }

    #[test]
    fn an_hour_whose_load_is_that_of_a_stage_hangs_on_it_where_the_stages_are_not_counted_alike() {
        // Within 5e-5 of the load on either side, and no farther.
        assert!(hangs(6e4 + 2.9, [0.0, 20.0], 0.6) && hangs(6e4 - 2.9, [0.0, 20.0], 0.6));
        assert!(!hangs(6e4 + 3.1, [0.0, 20.0], 0.6) && !hangs(6e4 - 3.1, [0.0, 20.0], 0.6));
        assert!(hangs(6e4, [20.0, 0.0], 0.6));
        assert!(!hangs(6e4, [20.0, 20.0], 0.6) && !hangs(6e4, [0.0, 0.0], 0.6));
        // At full load it runs as it does, whatever its stages are.
        assert!(!hangs(6e4, [0.0, 20.0], 1.0));
    }
}
