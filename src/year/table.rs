//! A circuit solved at all that its year asks of it: every stage at every outdoor temperature, and of a circuit of variable speed
//! the shares that give the capacities that are asked for.

use super::column::{Solved, column};
use super::field::{Asked, Shares, settle};
use super::stage::{Stage, Stages};
use super::stand::{Cause, Followed, Runner, Stand};
use crate::machine::{CapacityTrail, Unbalanced};
use crate::solve::bracketed;
use rayon::prelude::*;
use std::convert::Infallible;

/// Demands that are solved in one row, each from those before it.
const ROW: usize = 80;
/// Share of the capacity within which two are the same.
const SAME: f64 = 1e-12;
/// Rows by share of capacity in which the demands on a circuit of variable speed are solved.
const BANDS: f64 = 64.0;

/// What is asked of a circuit: at the temperature of that number a share of its capacity there.
pub(super) type Demand = (u32, f64);

/// Where a stand is found.
#[derive(Clone, Copy, Debug)]
pub(super) enum Place {
    /// The stage of that number, at the hour's temperature.
    Stage(usize),
    /// Solved for itself.
    Own(usize),
}

/// How a circuit runs in an hour: at up to two stands, each for a part of it.
pub(super) type Ran = [Option<(Place, f64)>; 2];

/// A circuit's year, solved.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    /// For each stage, from the least up, how it stands at each temperature.
    columns: Vec<Vec<Solved>>,
    /// At each temperature the stand with the most compressors that stay on.
    best: Vec<Option<Place>>,
    /// What was asked of a circuit of variable speed, in order, and how it runs there.
    demands: Vec<Demand>,
    rans: Vec<Ran>,
    own: Vec<Stand>,
}

/// How it ran before, to take over what is the same.
#[derive(Clone, Copy)]
pub(super) struct Before<'a> {
    pub table: &'a Table,
    /// Whether the circuit itself is the same; else only what the head control leaves alone.
    pub unchanged: bool,
}

impl Before<'_> {
    /// A stand that is the same now.
    fn keeps(&self, solved: Solved) -> Option<Solved> {
        (self.unchanged || solved.is_ok_and(|stand| !stand.controlled())).then_some(solved)
    }

    /// How it ran at a demand, where that is the same now.
    fn ran(&self, demand: Demand, best: &Stand) -> Option<[Option<(Stand, Place, f64)>; 2]> {
        let at = demand.0 as usize;
        let before = self.table.at(at)?;
        if before.capacity.to_bits() != best.capacity.to_bits() {
            return None;
        }
        let mut parts = [None; 2];
        for (slot, (place, part)) in
            parts.iter_mut().zip(self.table.rans.get(self.table.find(demand)?)?.iter().flatten())
        {
            let stand = self.keeps(Ok(*self.table.stand(at, *place)?))?.ok()?;
            *slot = Some((stand, *place, *part));
        }
        Some(parts)
    }
}

impl Table {
    /// Solves every stage of a circuit at every temperature, from the hottest down.
    pub fn new(
        runner: &Runner,
        stages: &Stages,
        temperatures: &[f64],
        before: Option<Before>,
        done: &(dyn Fn() + Sync),
    ) -> Self {
        let columns: Vec<Vec<Solved>> = stages
            .steps
            .par_iter()
            .enumerate()
            .map(|(number, stage)| {
                let known = |at: usize| {
                    let before = before?;
                    before.keeps(*before.table.columns.get(number)?.get(at)?)
                };
                let column = filled(runner, *stage, temperatures, known);
                done();
                column
            })
            .collect();
        let mut table = Self { columns, ..Self::default() };
        table.best =
            temperatures.iter().enumerate().map(|(at, outdoor)| table.most(runner, stages, at, *outdoor)).collect();
        table
    }

    /// The stand with the most compressors that stay on.
    fn most(&mut self, runner: &Runner, stages: &Stages, at: usize, outdoor: f64) -> Option<Place> {
        let top = self.columns.len().checked_sub(1)?;
        let stays = |this: &Self, number: usize| {
            this.stand(at, Place::Stage(number)).is_some_and(|stand| runner.stays_on(stand))
        };
        if stays(self, top) {
            return Some(Place::Stage(top));
        }
        if stages.variable
            && let [.., least, most] = stages.steps.as_slice()
            && let Some(stand) = highest_share(runner, outdoor, *least, *most)
        {
            self.own.push(stand);
            return Some(Place::Own(self.own.len() - 1));
        }
        (0..top).rev().find(|number| stays(self, *number)).map(Place::Stage)
    }

    /// All compressors at the temperature of that number.
    pub fn all(&self, at: usize) -> Solved {
        self.columns.last().and_then(|top| top.get(at)).copied().unwrap_or(Err(Cause::Other))
    }

    /// The stand in that place, at the temperature of that number.
    pub fn stand(&self, at: usize, place: Place) -> Option<&Stand> {
        match place {
            Place::Stage(number) => self.columns.get(number)?.get(at)?.as_ref().ok(),
            Place::Own(number) => self.own.get(number),
        }
    }

    /// The stand with the most compressors that stay on at the temperature of that number.
    pub fn at(&self, at: usize) -> Option<&Stand> {
        self.stand(at, (*self.best.get(at)?)?)
    }

    /// Its capacity there, W.
    pub fn capacity(&self, at: usize) -> f64 {
        self.at(at).map_or(0.0, |stand| stand.capacity)
    }

    fn find(&self, demand: Demand) -> Option<usize> {
        self.demands.binary_search_by(|known| order(*known, demand)).ok()
    }

    /// How it runs at a demand that was asked.
    pub fn ran(&self, stages: &Stages, demand: Demand) -> Ran {
        if stages.variable && demand.1 < 1.0 - SAME {
            return self.find(demand).and_then(|place| self.rans.get(place)).copied().unwrap_or_default();
        }
        self.stepped(demand)
    }

    /// The stage that gives at least what is asked and the one that gives less; on and off where even the least gives more.
    fn stepped(&self, (at, share): Demand) -> Ran {
        let at = at as usize;
        let Some(place) = self.best.get(at).copied().flatten() else { return Ran::default() };
        let Some(best) = self.stand(at, place) else { return Ran::default() };
        if share >= 1.0 - SAME {
            return [Some((place, 1.0)), None];
        }
        let capacity = share * best.capacity;
        let below = match place {
            Place::Stage(number) => number,
            Place::Own(_) => self.columns.len().saturating_sub(1),
        };
        let (mut upper, mut gives, mut lower) = (place, best.capacity, None);
        for number in (0..below).rev() {
            let Some(stand) = self.stand(at, Place::Stage(number)) else { continue };
            if stand.capacity < capacity {
                lower = Some((Place::Stage(number), stand.capacity));
                break;
            }
            (upper, gives) = (Place::Stage(number), stand.capacity);
        }
        match lower {
            Some((lower, less)) => {
                let part = ((capacity - less) / (gives - less)).min(1.0);
                [Some((upper, part)), Some((lower, 1.0 - part)).filter(|(_, part)| *part > 0.0)]
            }
            None => [Some((upper, (capacity / gives).min(1.0))), None],
        }
    }

    /// Solves for what is asked of a circuit of variable speed; the same may be asked several times.
    pub fn ask(
        &mut self,
        runner: &Runner,
        stages: &Stages,
        temperatures: &[f64],
        mut demands: Vec<Demand>,
        before: Option<Before>,
        done: &(dyn Fn() + Sync),
    ) {
        if !stages.variable {
            done();
            return;
        }
        demands.retain(|(_, share)| *share < 1.0 - SAME);
        demands.sort_by(|a, b| order(*a, *b));
        demands.dedup_by(|a, b| order(*a, *b).is_eq());
        let mut rans = vec![Ran::default(); demands.len()];
        let mut open: Vec<(usize, Demand)> = Vec::new();
        for (number, demand) in demands.iter().enumerate() {
            let Some(best) = self.at(demand.0 as usize).copied() else { continue };
            if let Some(parts) = before.as_ref().and_then(|before| before.ran(*demand, &best)) {
                for (slot, (stand, place, part)) in rans[number].iter_mut().zip(parts.into_iter().flatten()) {
                    let place = match place {
                        Place::Stage(_) => place,
                        Place::Own(_) => self.keep(stand),
                    };
                    *slot = Some((place, part));
                }
            } else if self.least_gives(demand.0 as usize, demand.1 * best.capacity) {
                rans[number] = self.stepped(*demand);
            } else {
                open.push((number, *demand));
            }
        }
        if let [.., least, full] = stages.steps.as_slice() {
            let asked = open.iter().filter_map(|(number, (at, share))| {
                let (at, own) = (*at as usize, &*self);
                let (best, outdoor) = (own.at(at)?, *temperatures.get(at)?);
                let capacity = share * best.capacity;
                let below = own.stand(at, Place::Stage(own.columns.len().checked_sub(2)?));
                let from = below.map_or(0.0, |stand| stand.capacity);
                let part = (capacity - from) / (best.capacity - from);
                let share = least.share + (best.stage.share - least.share) * part;
                Some(Asked { number: *number, outdoor, capacity, share })
            });
            let shares = Shares { least: Stage { share: least.share, ..*full }, most: full.share };
            let (found, mut left) = settle(runner, shares, asked.collect());
            for (number, stand) in found {
                rans[number] = [Some((self.keep(stand), 1.0)), None];
            }
            left.sort_unstable();
            open.retain(|(number, _)| left.binary_search(number).is_ok());
        }
        // Each row at about one share of capacity, so that what follows is near to what came before.
        open.sort_by(|(_, a), (_, b)| {
            let band = |demand: &Demand| (demand.1 * BANDS).floor();
            band(a).total_cmp(&band(b)).then(order(*a, *b))
        });
        let this = &*self;
        let rows: Vec<Vec<(usize, Option<Stand>)>> = open
            .par_chunks(ROW)
            .map(|row| {
                let mut trail = CapacityTrail::default();
                row.iter()
                    .map(|(number, (at, share))| {
                        let found = temperatures.get(*at as usize).zip(this.at(*at as usize));
                        let stand = found
                            .and_then(|(outdoor, best)| between(runner, stages, *outdoor, *share, best, &mut trail));
                        (*number, stand)
                    })
                    .collect()
            })
            .collect();
        for (number, stand) in rows.into_iter().flatten() {
            rans[number] = match stand {
                Some(stand) => [Some((self.keep(stand), 1.0)), None],
                None => self.stepped(demands[number]),
            };
        }
        (self.demands, self.rans) = (demands, rans);
        done();
    }

    fn keep(&mut self, stand: Stand) -> Place {
        self.own.push(stand);
        Place::Own(self.own.len() - 1)
    }

    /// Whether the least share of a circuit of variable speed, its bypass shut, gives at least that capacity.
    fn least_gives(&self, at: usize, capacity: f64) -> bool {
        let least = self.columns.len().checked_sub(2).and_then(|number| self.stand(at, Place::Stage(number)));
        least.is_some_and(|stand| stand.capacity >= capacity)
    }
}

/// A stage at every temperature, where it is not known.
fn filled(runner: &Runner, stage: Stage, temperatures: &[f64], known: impl Fn(usize) -> Option<Solved>) -> Vec<Solved> {
    let open: Vec<f64> =
        temperatures.iter().enumerate().filter(|(at, _)| known(*at).is_none()).map(|(_, t)| *t).collect();
    let mut followed = Followed::default();
    let mut solved = column(&open, |outdoor| runner.next(outdoor, stage, &mut followed)).into_iter();
    (0..temperatures.len()).map(|at| known(at).or_else(|| solved.next()).unwrap_or(Err(Cause::Other))).collect()
}

fn order(a: Demand, b: Demand) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

/// The highest share at which the high-pressure switch stays shut.
fn highest_share(runner: &Runner, outdoor: f64, least: Stage, top: Stage) -> Option<Stand> {
    let mut near = None;
    let mut solved = |share: f64| {
        let condition = runner.condition(outdoor, Stage { share, ..top });
        let solution = runner.circuitry.solve(&condition, near.as_ref()).ok()?;
        near = Some(solution.balance.clone());
        runner.stand(&condition, &solution).ok()
    };
    let mut over = |share: f64| {
        let pressure = solved(share).map(|stand| stand.discharge);
        Ok::<_, Infallible>(match (pressure, runner.cutout) {
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
        solved(share).filter(|stand| runner.stays_on(stand))
    })
}

/// The share between the least and the best that gives a share of the best's capacity.
fn between(
    runner: &Runner,
    stages: &Stages,
    outdoor: f64,
    share: f64,
    best: &Stand,
    trail: &mut CapacityTrail,
) -> Option<Stand> {
    let least = *stages.steps.get(stages.steps.len().checked_sub(2)?)?;
    let capacity = share * best.capacity;
    let condition = |share: f64| runner.condition(outdoor, Stage { share, ..least });
    let start = (share * best.stage.share).max(least.share);
    let within = |share: f64| (least.share..=best.stage.share).contains(&share);
    let found = runner.circuitry.follow_capacity(&condition(start), capacity, trail).filter(|found| within(found.0));
    let (share, solution) = if let Some(found) = found {
        found
    } else {
        // Rarely: a share at which a tube seals, or one too far from those before it.
        let mut near = None;
        let over = |share: f64| {
            let solved = runner.circuitry.solve(&condition(share), near.as_ref())?;
            let over = solved.balance.capacity / capacity - 1.0;
            near = Some(solved.balance);
            Ok::<_, Unbalanced>(over)
        };
        let share = bracketed(over, least.share, best.stage.share, 1e-12).ok()?.x;
        (share, runner.circuitry.solve(&condition(share), near.as_ref()).ok()?)
    };
    runner.stand(&condition(share), &solution).ok()
}
