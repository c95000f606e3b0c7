//! Which chillers run in an hour, and how far they are loaded.

use super::hours::{Hours, Slot};
use super::operating_point::CircuitModel;
use super::part_load::{CLOSE, Performance};
use super::stage::Stages;
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
    pub load_W: Option<f64>,
    /// Capacity of all chillers, W.
    pub capacity_W: f64,
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

    /// The modules that may be out, those that give most in the hottest hour first: `spare` of them, one at least.
    pub fn out(&self, spare: u32, performances: &[Performance]) -> Vec<usize> {
        let hottest = self.capacities(performances, 0);
        let mut order: Vec<usize> = (0..hottest.len()).collect();
        order.sort_by(|a, b| hottest[*b].total_cmp(&hottest[*a]));
        order.truncate(spare.max(1) as usize);
        order
    }
}

/// Numbers of the temperatures, each once, at which capacities that are only just different decide: which chillers run, whether they
/// carry the load, or which of two stages a circuit needs that differ in what is counted.
pub(super) fn undecided(
    job: &Job,
    hours: &Hours,
    fleet: &Fleet,
    performances: &[Performance],
    models: &[(CircuitModel, Stages)],
    duties: &[Duty],
) -> Vec<usize> {
    let Some(plant) = &job.plant else { return Vec::new() };
    let out = fleet.out(plant.spare, performances);
    let by_temperature: Vec<Vec<f64>> =
        (0..hours.temperatures.len()).map(|at| fleet.capacities(performances, at)).collect();
    let hangs = |slot: &Slot, duty: &Duty| {
        let (Some(load), Some(capacities)) = (duty.load_W, by_temperature.get(slot.at)) else { return false };
        let sums = capacities.iter().scan(0.0, |sum, one| {
            *sum += one;
            Some(*sum)
        });
        let lost: f64 = out.iter().filter_map(|module| capacities.get(*module)).sum();
        let near = |sum: f64| load > 0.0 && (sum - load).abs() <= CLOSE * load;
        sums.chain([duty.capacity_W - lost]).any(near)
            || performances.iter().zip(models).any(|(one, (model, _))| one.hangs_on_a_stage(model, slot.at, duty.share))
    };
    let mut numbers: Vec<usize> =
        hours.slots.iter().zip(duties).filter(|(slot, duty)| hangs(slot, duty)).map(|(slot, _)| slot.at).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
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
                return Duty { machines: all, share: 1.0, load_W: None, capacity_W: capacity };
            };
            let load = plant.load.value * slot.share;
            if load <= 0.0 {
                return Duty { machines: 0, share: 0.0, load_W: Some(load), capacity_W: capacity };
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
            Duty { machines, share, load_W: Some(load), capacity_W: capacity }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{self, Plant, Profile};
    use crate::units::watts;
    use crate::year::operating_point::Cause;
    use crate::year::operating_point::testing::point;

    /// The circuits of the bottling hall, of those chillers and so many of each, with a load.
    fn plant(circuits: &[(&str, u32)], load: f64, running: Running) -> Job {
        let text = include_str!("../../examples/bottling-hall.toml");
        let mut job = job::read("hall.toml", text, std::path::Path::new(".")).unwrap();
        let drawn = job.circuits.swap_remove(0);
        let circuit = |(module, copies): &(&str, u32)| {
            let mut circuit = drawn.clone();
            (circuit.module, circuit.copies) = ((*module).to_owned(), *copies);
            circuit
        };
        job.circuits = circuits.iter().map(circuit).collect();
        job.plant = Some(Plant { load: watts(load), spare: 1, profile: Profile::Constant, running });
        job
    }

    /// A circuit that gives so many watts at each temperature; none at one without a solution.
    fn gives(capacities: &[f64]) -> Performance {
        let solved = |watts: &f64| if *watts > 0.0 { Ok(point(300.0, *watts)) } else { Err(Cause::NeverCondenses) };
        Performance::of_points(vec![capacities.iter().map(solved).collect()])
    }

    fn hours(shares: &[f64]) -> Hours {
        let slots = shares.iter().enumerate().map(|(at, share)| Slot { record: at, at, share: *share }).collect();
        Hours { slots, temperatures: vec![300.0; shares.len()], each_h: 1.0, missing_h: 0.0 }
    }

    #[test]
    fn a_chiller_gives_what_all_its_circuits_give_and_more_chillers_hold_more_of_them() {
        // One chiller of two like circuits and another circuit, three of one each.
        let fleet = Fleet::of(&plant(&[("A", 2), ("A", 1), ("B", 3)], 1.0, Running::All));
        assert_eq!(fleet.capacities(&[gives(&[10.0]), gives(&[7.0]), gives(&[4.0])], 0), [27.0, 4.0, 4.0, 4.0]);
        let copies = |machines: u32| [0, 1, 2].map(|circuit| fleet.copies(machines, circuit));
        assert_eq!([0, 1, 2, 4].map(copies), [[0, 0, 0], [2, 1, 0], [2, 1, 1], [2, 1, 3]]);
    }

    #[test]
    fn an_hour_is_undecided_where_chillers_just_carry_its_load_with_or_without_the_spare() {
        // Together 160 kW, without the larger 60 kW; at the last temperature there is no solution.
        let job = plant(&[("A", 1), ("B", 1)], 1.0, Running::Few);
        let near = 4e-5;
        let far = 6e-5;
        let loads = [
            1e5 * (1.0 + near),
            1e5 * (1.0 - far),
            1.6e5 * (1.0 - near),
            1.6e5 * (1.0 + far),
            6e4 * (1.0 + near),
            6e4 * (1.0 + far),
            1.3e5,
            0.0,
        ];
        let hours = hours(&loads);
        let of = |watts: f64| gives(&[watts, watts, watts, watts, watts, watts, watts, 0.0]);
        let performances = [of(1e5), of(6e4)];
        let fleet = Fleet::of(&job);
        let duty = |(load, capacity_W): (&f64, f64)| Duty { machines: 2, share: 1.0, load_W: Some(*load), capacity_W };
        let capacities = std::iter::repeat_n(1.6e5, 7).chain([0.0]);
        let duties: Vec<Duty> = loads.iter().zip(capacities).map(duty).collect();
        let found = |duties: &[Duty]| undecided(&job, &hours, &fleet, &performances, &[], duties);
        assert_eq!(found(&duties), [0, 2, 4]);
        let unknown: Vec<Duty> = duties.iter().map(|duty| Duty { load_W: None, ..*duty }).collect();
        assert!(found(&unknown).is_empty());
    }

    #[test]
    fn few_chillers_run_as_many_as_carry_the_load_all_share_it_and_none_runs_without_one() {
        let of = |running: Running| {
            let job = plant(&[("A", 1), ("B", 1)], 1.2e5, running);
            let performances = [gives(&[1e5; 3]), gives(&[6e4; 3])];
            let duties = duties(&job, &hours(&[1.0, 0.5, 0.0]), &Fleet::of(&job), &performances);
            duties.iter().map(|duty| (duty.machines, duty.share, duty.load_W)).collect::<Vec<_>>()
        };
        let none = (0, 0.0, Some(0.0));
        assert_eq!(of(Running::Few), [(2, 0.75, Some(1.2e5)), (1, 0.6, Some(6e4)), none]);
        assert_eq!(of(Running::All), [(2, 0.75, Some(1.2e5)), (2, 0.375, Some(6e4)), none]);
    }
}
