//! A circuit solved at all that its year asks of it: every outdoor temperature with all compressors, and the stages that run.

use super::stage::{Stage, Stages};
use super::stand::{Cause, Followed, Runner, Stand};
use crate::machine::CapacityTrail;
use crate::solve::bracketed;
use rayon::prelude::*;
use std::convert::Infallible;

/// Temperatures or demands that are solved in one row, each from those before it.
const ROW: usize = 400;
/// Share of the capacity within which two are the same.
const SAME: f64 = 1e-12;
/// Rows by share of capacity in which the demands on a circuit of variable speed are solved.
const BANDS: f64 = 16.0;

/// What is asked of a circuit: at the temperature of that number a share of its capacity there.
pub(super) type Demand = (u32, f64);

/// How a circuit runs in an hour: at up to two stands, each for a part of it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ran {
    pub parts: [Option<(u32, f64)>; 2],
}

/// A circuit's year, solved.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    /// At each temperature the discharge pressure with all compressors running, Pa.
    pub all: Vec<Result<f64, Cause>>,
    /// At each temperature the stand with the most compressors that stay on.
    pub best: Vec<Option<u32>>,
    /// What was asked, in order.
    demands: Vec<Demand>,
    /// How it ran there.
    pub rans: Vec<Ran>,
    /// The stands.
    pub stands: Vec<Stand>,
}

/// How it ran before, to take over what is the same.
#[derive(Clone, Copy)]
pub(super) struct Before<'a> {
    pub table: &'a Table,
    /// Whether the circuit itself is the same; else only what the head control leaves alone.
    pub unchanged: bool,
}

impl Before<'_> {
    fn keeps(&self, stand: &Stand) -> bool {
        self.unchanged || !stand.controlled()
    }

    /// The row of a temperature, where it is the same.
    fn full(&self, at: usize, top: Stage) -> Option<(Result<f64, Cause>, Option<Stand>)> {
        let all = *self.table.all.get(at)?;
        let best = self.table.at(at).copied();
        let kept = self.unchanged || best.is_some_and(|best| best.stage == top && self.keeps(&best));
        kept.then_some((all, best))
    }

    fn ran(&self, demand: Demand, best: &Stand) -> Option<&Ran> {
        let place = self.table.find(demand)?;
        let before = self.table.at(demand.0 as usize)?;
        if before.capacity.to_bits() != best.capacity.to_bits() {
            return None;
        }
        let ran = self.table.rans.get(place)?;
        let same = ran.parts.iter().flatten().all(|(i, _)| self.table.stand(*i).is_some_and(|stand| self.keeps(stand)));
        same.then_some(ran)
    }
}

impl Table {
    /// Solves a circuit with all compressors at every temperature, from the hottest down.
    pub fn full(
        runner: &Runner,
        stages: &Stages,
        temperatures: &[f64],
        before: Option<Before>,
        row_done: &(dyn Fn() + Sync),
    ) -> Self {
        let Some(top) = stages.steps.last().copied() else { return Self::default() };
        let known = |at: usize| before.and_then(|before| before.full(at, top));
        let open: Vec<(usize, f64)> =
            temperatures.iter().copied().enumerate().filter(|(at, _)| known(*at).is_none()).collect();
        let rows: Vec<Vec<(Result<f64, Cause>, Option<Stand>)>> = open
            .par_chunks(ROW)
            .map(|row| {
                let outdoor: Vec<f64> = row.iter().map(|(_, outdoor)| *outdoor).collect();
                let solved = downward(runner, stages, top, &outdoor);
                row_done();
                solved
            })
            .collect();
        let mut solved = rows.into_iter().flatten();
        let mut table = Self::default();
        for at in 0..temperatures.len() {
            let (all, best) = known(at).or_else(|| solved.next()).unwrap_or((Err(Cause::Other), None));
            table.all.push(all);
            let best = best.map(|stand| table.keep(stand));
            table.best.push(best);
        }
        table
    }

    fn keep(&mut self, stand: Stand) -> u32 {
        self.stands.push(stand);
        u32::try_from(self.stands.len() - 1).unwrap_or(u32::MAX)
    }

    /// The stand of that number.
    pub fn stand(&self, number: u32) -> Option<&Stand> {
        self.stands.get(number as usize)
    }

    /// The stand with the most compressors that stay on at the temperature of that number.
    pub fn at(&self, at: usize) -> Option<&Stand> {
        self.stand((*self.best.get(at)?)?)
    }

    /// Its capacity there, W.
    pub fn capacity(&self, at: usize) -> f64 {
        self.at(at).map_or(0.0, |stand| stand.capacity)
    }

    /// Where a demand stands among those that were asked.
    pub fn find(&self, demand: Demand) -> Option<usize> {
        self.demands.binary_search_by(|known| order(*known, demand)).ok()
    }

    /// Solves for the demands, each of which may stand in it several times.
    pub fn ask(
        &mut self,
        runner: &Runner,
        stages: &Stages,
        temperatures: &[f64],
        mut demands: Vec<Demand>,
        before: Option<Before>,
        row_done: &(dyn Fn() + Sync),
    ) {
        demands.sort_by(|a, b| order(*a, *b));
        demands.dedup_by(|a, b| order(*a, *b).is_eq());
        let mut open: Vec<(usize, Demand)> = Vec::new();
        let mut rans = vec![Ran::default(); demands.len()];
        for (place, demand) in demands.iter().enumerate() {
            let at = demand.0 as usize;
            let Some(best) = self.at(at).copied() else { continue };
            if demand.1 >= 1.0 - SAME {
                rans[place].parts[0] = self.best[at].map(|best| (best, 1.0));
            } else if let Some((before, ran)) = before.as_ref().and_then(|b| Some((b, b.ran(*demand, &best)?))) {
                for (slot, (number, part)) in rans[place].parts.iter_mut().zip(ran.parts.iter().flatten()) {
                    *slot = before.table.stand(*number).map(|stand| (self.keep(*stand), *part));
                }
            } else {
                open.push((place, *demand));
            }
        }
        if stages.variable {
            // Each row at about one share of capacity, so that what follows is near to what came before.
            open.sort_by(|(_, a), (_, b)| {
                let band = |demand: &Demand| (demand.1 * BANDS).floor();
                band(a).total_cmp(&band(b)).then(order(*a, *b))
            });
        }
        let this = &*self;
        let rows: Vec<Vec<(usize, Parts)>> = open
            .par_chunks(ROW)
            .map(|row| {
                let mut search = Search::new(runner, stages);
                let found = row
                    .iter()
                    .filter_map(|(place, (at, share))| {
                        let (outdoor, best) = (*temperatures.get(*at as usize)?, this.at(*at as usize)?);
                        Some((*place, search.parts(outdoor, share * best.capacity, *share, best)))
                    })
                    .collect();
                row_done();
                found
            })
            .collect();
        // Hours at the same stage and temperature share one stand.
        let mut last: Option<(u64, Stand, u32)> = None;
        for (place, parts) in rows.into_iter().flatten() {
            let (at, _) = demands[place];
            for (slot, (stand, part)) in rans[place].parts.iter_mut().zip(parts.into_iter().flatten()) {
                let best =
                    self.best[at as usize].filter(|best| self.stand(*best).is_some_and(|b| b.stage == stand.stage));
                let key = u64::from(at);
                let number = match (best, &last) {
                    (Some(best), _) => best,
                    (None, Some((known, before, number))) if *known == key && before.stage == stand.stage => *number,
                    _ => {
                        let number = self.keep(stand);
                        last = Some((key, stand, number));
                        number
                    }
                };
                *slot = Some((number, part));
            }
        }
        (self.demands, self.rans) = (demands, rans);
    }
}

fn order(a: Demand, b: Demand) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

/// All compressors at temperatures that fall.
fn downward(runner: &Runner, stages: &Stages, top: Stage, outdoor: &[f64]) -> Vec<(Result<f64, Cause>, Option<Stand>)> {
    let mut rows = Vec::with_capacity(outdoor.len());
    let mut followed = Followed::default();
    let mut fewer = Fewer::new(runner, stages);
    while let Some(&here) = outdoor.get(rows.len()) {
        match runner.next(here, top, &mut followed) {
            Ok(stand) => {
                let best = if runner.stays_on(&stand) { Some(stand) } else { fewer.at(here) };
                rows.push((Ok(stand.discharge), best));
            }
            Err(cause) => {
                // What fails in one way does so over one stretch: its end is found by halving.
                let end = last_alike(runner, top, outdoor, rows.len(), cause);
                while rows.len() <= end {
                    let best = outdoor.get(rows.len()).and_then(|here| fewer.at(*here));
                    rows.push((Err(cause), best));
                }
            }
        }
    }
    rows
}

/// The last of the temperatures, from `first` on, that fails as `first` does.
fn last_alike(runner: &Runner, stage: Stage, outdoor: &[f64], first: usize, cause: Cause) -> usize {
    let end = outdoor.len().saturating_sub(1);
    let alike = |at: usize| {
        outdoor.get(at).is_some_and(|outdoor| {
            let solved = runner.circuitry.solve(&runner.condition(*outdoor, stage), None);
            solved.is_err_and(|unbalanced| Cause::from(&unbalanced) == cause)
        })
    };
    if cause == Cause::FallsToSuction || alike(end) {
        return end;
    }
    let (mut fails, mut other) = (first, end);
    while other - fails > 1 {
        let middle = usize::midpoint(fails, other);
        if alike(middle) {
            fails = middle;
        } else {
            other = middle;
        }
    }
    fails
}

/// The most compressors that stay on where all of them do not.
struct Fewer<'a> {
    runner: &'a Runner<'a>,
    stages: &'a Stages,
    followed: Vec<Followed>,
}

impl<'a> Fewer<'a> {
    fn new(runner: &'a Runner<'a>, stages: &'a Stages) -> Self {
        Self { runner, stages, followed: stages.steps.iter().map(|_| Followed::default()).collect() }
    }

    fn at(&mut self, outdoor: f64) -> Option<Stand> {
        let steps = &self.stages.steps;
        if self.stages.variable
            && let [.., least, top] = steps.as_slice()
            && let Some(stand) = self.share(outdoor, *least, *top)
        {
            return Some(stand);
        }
        let below = steps.iter().zip(&mut self.followed).rev().skip(1);
        below
            .filter_map(|(stage, followed)| self.runner.next(outdoor, *stage, followed).ok())
            .find(|stand| self.runner.stays_on(stand))
    }

    /// The highest share at which the high-pressure switch stays shut.
    fn share(&self, outdoor: f64, least: Stage, top: Stage) -> Option<Stand> {
        let mut near = None;
        let mut solved = |share: f64| {
            let condition = self.runner.condition(outdoor, Stage { share, ..top });
            let solution = self.runner.circuitry.solve(&condition, near.as_ref()).ok()?;
            near = Some(solution.balance.clone());
            self.runner.stand(&condition, &solution).ok()
        };
        let mut over = |share: f64| {
            let pressure = solved(share).map(|stand| stand.discharge);
            Ok::<_, Infallible>(match (pressure, self.runner.cutout) {
                (Some(pressure), Some(cutout)) => pressure / cutout - 1.0,
                (Some(_), None) => -1.0,
                (None, _) => 1.0,
            })
        };
        if over(least.share).is_ok_and(|over| over >= 0.0) {
            return None;
        }
        let root = bracketed(&mut over, least.share, top.share, 1e-9).ok()?.x;
        // Just below the switch, not at it.
        (1..40).find_map(|step| {
            let share = (root - 1e-9 * f64::from(step * step)).max(least.share);
            solved(share).filter(|stand| self.runner.stays_on(stand))
        })
    }
}

/// Up to two stands and the part of the hour that each takes.
type Parts = [Option<(Stand, f64)>; 2];

/// The search for the stages that give a capacity.
struct Search<'a> {
    runner: &'a Runner<'a>,
    stages: &'a Stages,
    followed: Vec<Followed>,
    /// The stages solved at the temperature at hand.
    here: (f64, Vec<Option<Option<Stand>>>),
    trail: CapacityTrail,
}

impl<'a> Search<'a> {
    fn new(runner: &'a Runner<'a>, stages: &'a Stages) -> Self {
        let followed = stages.steps.iter().map(|_| Followed::default()).collect();
        let here = (f64::NAN, vec![None; stages.steps.len()]);
        Self { runner, stages, followed, here, trail: CapacityTrail::default() }
    }

    /// The stage of that number at an outdoor temperature.
    fn stage(&mut self, number: usize, outdoor: f64) -> Option<Stand> {
        if self.here.0.to_bits() != outdoor.to_bits() {
            self.here = (outdoor, vec![None; self.stages.steps.len()]);
        }
        let (stage, followed) = (self.stages.steps.get(number)?, self.followed.get_mut(number)?);
        let slot = self.here.1.get_mut(number)?;
        *slot.get_or_insert_with(|| self.runner.next(outdoor, *stage, followed).ok())
    }

    /// The stages that give a capacity, W, which is that share of the best's.
    fn parts(&mut self, outdoor: f64, capacity: f64, share: f64, best: &Stand) -> Parts {
        if self.stages.variable {
            if let Some(stand) = self.between(outdoor, capacity, share, best) {
                return [Some((stand, 1.0)), None];
            }
            // Less than the least share: of the two ways to run at it, or on and off.
            let fixed = self.stages.steps.len().saturating_sub(1);
            return self.stepped(outdoor, capacity, fixed, fixed.saturating_sub(1), best);
        }
        let steps = &self.stages.steps;
        let below = steps.iter().position(|stage| *stage == best.stage).unwrap_or(steps.len());
        let wanted = share * best.stage.share;
        let near = steps.iter().take(below).position(|stage| stage.share >= 0.97 * wanted).unwrap_or(below);
        self.stepped(outdoor, capacity, below, near, best)
    }

    /// The stage that gives at least the capacity and the one that gives less, of the `below` under the best; looked for from
    /// `near` on.
    fn stepped(&mut self, outdoor: f64, capacity: f64, below: usize, near: usize, best: &Stand) -> Parts {
        let mut upper = None;
        for number in near..below {
            upper = self.stage(number, outdoor).filter(|stand| stand.capacity >= capacity).map(|stand| (number, stand));
            if upper.is_some() {
                break;
            }
        }
        let (mut number, mut upper) = upper.unwrap_or((below, *best));
        let mut lower = None;
        while let Some(next) = number.checked_sub(1) {
            number = next;
            match self.stage(number, outdoor) {
                Some(stand) if stand.capacity >= capacity => upper = stand,
                Some(stand) => {
                    lower = Some(stand);
                    break;
                }
                None => {}
            }
        }
        match lower {
            Some(lower) => {
                let part = ((capacity - lower.capacity) / (upper.capacity - lower.capacity)).min(1.0);
                [Some((upper, part)), Some((lower, 1.0 - part)).filter(|(_, part)| *part > 0.0)]
            }
            None => [Some((upper, (capacity / upper.capacity).min(1.0))), None],
        }
    }

    /// The share between the least and the best that gives a capacity; none where the least gives more.
    fn between(&mut self, outdoor: f64, capacity: f64, share: f64, best: &Stand) -> Option<Stand> {
        let fixed = self.stages.steps.len().checked_sub(2)?;
        let least = *self.stages.steps.get(fixed)?;
        let wanted = share * best.stage.share;
        if wanted < 1.4 * least.share {
            let stand = self.stage(fixed, outdoor)?;
            if stand.capacity >= capacity {
                return None;
            }
        }
        let stage = Stage { share: wanted.max(least.share), ..least };
        let found =
            self.runner.circuitry.follow_capacity(&self.runner.condition(outdoor, stage), capacity, &mut self.trail);
        let (share, solution) = match found {
            Some(found) if found.0 >= least.share && found.0 <= best.stage.share => found,
            _ => {
                let mut near = None;
                let mut solution = None;
                let root = bracketed(
                    |share| {
                        let condition = self.runner.condition(outdoor, Stage { share, ..least });
                        let solved = self.runner.circuitry.solve(&condition, near.as_ref())?;
                        let over = solved.balance.capacity / capacity - 1.0;
                        near = Some(solved.balance.clone());
                        solution = Some((share, solved));
                        Ok::<_, crate::machine::Unbalanced>(over)
                    },
                    least.share,
                    best.stage.share,
                    1e-12,
                )
                .ok()?;
                let (share, solved) = solution?;
                if share.to_bits() == root.x.to_bits() {
                    (share, solved)
                } else {
                    let condition = self.runner.condition(outdoor, Stage { share: root.x, ..least });
                    (root.x, self.runner.circuitry.solve(&condition, Some(&solved.balance)).ok()?)
                }
            }
        };
        self.runner.stand(&self.runner.condition(outdoor, Stage { share, ..least }), &solution).ok()
    }
}
