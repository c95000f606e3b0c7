//! Which chillers run in an hour, and how far they are loaded.

use super::hours::Hours;
use super::part_load::Performance;
use crate::job::{Job, Running, modules};

/// A capacity this little under the load is the load.
pub(super) const SLACK: f64 = 1e-9;

/// The chillers of a plant.
#[derive(Clone, Debug, Default)]
pub(super) struct Fleet {
    /// Each by itself: its name, and the circuits in it by their index and how many.
    pub modules: Vec<(String, Vec<(usize, u32)>)>,
    /// How many of each circuit are in the first so many chillers.
    copies: Vec<Vec<u32>>,
}

/// What an hour asks of the chillers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Duty {
    /// Chillers that run: the first so many.
    pub machines: u32,
    /// Share of their capacity that each gives.
    pub share: f64,
    /// Load, W, where one is known.
    pub load: Option<f64>,
    /// Capacity of all chillers, W.
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
            for (circuit, count) in circuits {
                if let Some(slot) = next.get_mut(*circuit) {
                    *slot += count;
                }
            }
            copies.push(next);
        }
        Self { modules, copies }
    }

    /// How many of a circuit are in the first so many chillers.
    pub fn copies(&self, machines: u32, circuit: usize) -> u32 {
        self.copies.get(machines as usize).and_then(|copies| copies.get(circuit)).copied().unwrap_or(0)
    }

    /// Capacity of each chiller at the temperature of that number, W.
    pub fn capacities(&self, performances: &[Performance], at: usize) -> Vec<f64> {
        let capacity = |(circuit, count): &(usize, u32)| {
            performances.get(*circuit).map_or(0.0, |performance| performance.capacity(at)) * f64::from(*count)
        };
        self.modules.iter().map(|(_, circuits)| circuits.iter().map(capacity).sum()).collect()
    }
}

/// What every hour asks of the chillers. Without a plant all of them run at full.
pub(super) fn duties(job: &Job, hours: &Hours, fleet: &Fleet, performances: &[Performance]) -> Vec<Duty> {
    let by_temperature: Vec<Vec<f64>> =
        (0..hours.temperatures.len()).map(|at| fleet.capacities(performances, at)).collect();
    let all = u32::try_from(fleet.modules.len()).unwrap_or(u32::MAX);
    hours
        .slots
        .iter()
        .map(|slot| {
            let capacities = by_temperature.get(slot.at).map(Vec::as_slice).unwrap_or_default();
            let capacity: f64 = capacities.iter().sum();
            let Some(plant) = &job.plant else {
                return Duty { machines: all, share: 1.0, load: None, capacity };
            };
            let load = plant.load.value * slot.share;
            if load <= 0.0 {
                return Duty { machines: 0, share: 0.0, load: Some(load), capacity };
            }
            let (mut machines, mut running) = (0, 0.0);
            for of_one in capacities {
                if plant.running == Running::Few && running >= load {
                    break;
                }
                machines += 1;
                running += of_one;
            }
            let share = if running > 0.0 { (load / running).min(1.0) } else { 0.0 };
            Duty { machines, share, load: Some(load), capacity }
        })
        .collect()
}
