//! Which machines run in an hour, and how far they are loaded.

use super::hours::{Hours, Slot};
use super::part_load::Performance;
use crate::job::{Job, Plant, Running, modules};
use std::collections::BTreeSet;

/// A capacity this little under the load is the load.
pub(super) const SLACK: f64 = 1e-9;
/// A capacity this near to the load, as a share of it, is solved for by itself.
const CLOSE: f64 = 1e-4;

/// The machines of a plant.
#[derive(Clone, Debug, Default)]
pub(super) struct Fleet {
    /// Each by itself: its name, and the circuits in it by their index and how many.
    pub modules: Vec<(String, Vec<(usize, u32)>)>,
    /// How many of each circuit are in the first so many machines.
    copies: Vec<Vec<u32>>,
}

/// What an hour asks of the machines.
#[derive(Clone, Copy, Debug)]
pub(super) struct Duty {
    /// Machines that run: the first so many.
    pub machines: usize,
    /// Share of their capacity that each gives.
    pub share: f64,
    /// Load, W, where one is known.
    pub load: Option<f64>,
    /// Capacity of all machines, W.
    pub capacity: f64,
}

impl Fleet {
    pub fn of(job: &Job) -> Self {
        let modules: Vec<(String, Vec<(usize, u32)>)> = modules(&job.circuits)
            .into_iter()
            .flat_map(|module| std::iter::repeat_n((module.name, module.circuits), module.quantity as usize))
            .collect();
        let mut copies = vec![vec![0; job.circuits.len()]];
        for (_, circuits) in &modules {
            let mut next = copies.last().cloned().unwrap_or_default();
            circuits.iter().for_each(|(circuit, count)| next[*circuit] += count);
            copies.push(next);
        }
        Self { modules, copies }
    }

    /// How many of a circuit are in the first so many machines.
    pub fn copies(&self, machines: usize, circuit: usize) -> u32 {
        self.copies[machines][circuit]
    }

    /// Capacity of each machine at so many temperatures, W.
    pub fn capacities(&self, performances: &[Performance], temperatures: usize) -> Vec<Vec<f64>> {
        let of_module = |circuits: &[(usize, u32)], at: usize| -> f64 {
            circuits.iter().map(|(circuit, count)| performances[*circuit].capacity(at) * f64::from(*count)).sum()
        };
        let at_each = |at: usize| self.modules.iter().map(|(_, circuits)| of_module(circuits, at)).collect();
        (0..temperatures).map(at_each).collect()
    }

    /// The modules that may be out: those that give most in the hottest hour, the spare ones or one.
    pub fn out(&self, plant: &Plant, capacities: &[Vec<f64>]) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.modules.len()).collect();
        if let Some(hottest) = capacities.first() {
            order.sort_by(|a, b| hottest[*b].total_cmp(&hottest[*a]));
        }
        order.truncate(usize::try_from(plant.spare.max(1)).unwrap_or(usize::MAX));
        order
    }

    /// The temperatures at which it hangs on next to nothing which machines run, or how many carry the load.
    pub fn close_calls(&self, plant: &Plant, hours: &Hours, capacities: &[Vec<f64>]) -> BTreeSet<usize> {
        let out = self.out(plant, capacities);
        let close = |slot: &&Slot| {
            let (of_each, load) = (&capacities[slot.at], plant.load.value * slot.share);
            let near = |capacity: f64| (capacity - load).abs() <= CLOSE * load;
            let (all, lost): (f64, f64) = (of_each.iter().sum(), out.iter().map(|module| of_each[*module]).sum());
            // With so many more modules like the largest, too.
            let more = |left: f64| {
                let largest = out.first().map_or(0.0, |module| of_each[*module]);
                near(left) || largest > 0.0 && near(left + largest * ((load - left) / largest).round().max(0.0))
            };
            let mut running = 0.0;
            let mut begins = of_each.iter().map(|of_one| {
                running += of_one;
                running
            });
            begins.any(near) || more(all) || more(all - lost)
        };
        hours.slots.iter().filter(close).map(|slot| slot.at).collect()
    }

    /// What an hour asks of machines with these capacities (W). Without a plant all of them run at full.
    pub fn duty(&self, plant: Option<&Plant>, slot: &Slot, capacities: &[f64]) -> Duty {
        let capacity: f64 = capacities.iter().sum();
        let Some(plant) = plant else {
            return Duty { machines: self.modules.len(), share: 1.0, load: None, capacity };
        };
        let load = plant.load.value * slot.share;
        let (mut machines, mut running) = (0, 0.0);
        for of_one in capacities {
            if load <= 0.0 || plant.running == Running::Few && running >= load {
                break;
            }
            machines += 1;
            running += of_one;
        }
        let share = if running > 0.0 { (load / running).min(1.0) } else { 0.0 };
        Duty { machines, share, load: Some(load), capacity }
    }
}
