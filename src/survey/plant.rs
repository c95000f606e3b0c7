//! The plant counted: its chillers, what they carry together on the design day, and with the spare out of service.

use super::answer::{Point, PointId};
use super::circuit::CircuitSurvey;
use crate::job::{Job, modules};
use schemars::JsonSchema;
use serde::Serialize;

/// What the circuits carry together on the design day.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PlantSurvey {
    /// The load.
    pub load_W: f64,
    /// Capacity of all chillers at `summer full`.
    #[serde(rename = "capacity_W")]
    pub carries_W: f64,
    /// Chillers that may be out of service.
    pub spare: u32,
    /// Capacity with the largest of them out.
    #[serde(rename = "capacity_without_spare_W")]
    pub carries_without_spare_W: f64,
    /// The chillers in the order of the job, identical ones once.
    pub modules: Vec<ModuleSurvey>,
    /// Those that are out, the largest first.
    #[serde(skip)]
    pub out: Vec<String>,
    /// Circuits without a solution at `summer full`, which count for nothing.
    #[serde(skip)]
    pub unsolved: Vec<String>,
}

/// A chiller of the plant.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ModuleSurvey {
    /// Its name.
    pub name: String,
    /// How many identical ones stand there.
    #[serde(rename = "copies")]
    pub quantity: u32,
    /// Capacity of one at `summer full`.
    pub capacity_W: f64,
}

impl PlantSurvey {
    /// How many chillers there are.
    #[must_use]
    pub fn machines(&self) -> usize {
        self.modules.iter().map(|module| module.quantity as usize).sum()
    }
}

/// The chillers one by one with what each gives, the largest first, where that copy of that circuit gives so much, W.
fn largest_first(job: &Job, gives: impl Fn(usize, usize) -> f64) -> Vec<(String, f64)> {
    let mut taken = vec![0; job.circuits.len()];
    let mut machines = Vec::new();
    for module in modules(&job.circuits) {
        for _ in 0..module.quantity {
            let mut sum = 0.0;
            for (circuit, count) in &module.circuits {
                let Some(next) = taken.get_mut(*circuit) else { continue };
                sum += (*next..*next + *count as usize).map(|copy| gives(*circuit, copy)).sum::<f64>();
                *next += *count as usize;
            }
            machines.push((module.name.clone(), sum));
        }
    }
    machines.sort_by(|a, b| b.1.total_cmp(&a.1));
    machines
}

/// What the plant carries with the spare out, the largest chillers, where that copy of that circuit gives so much, W; nothing where the
/// job has no plant.
pub(crate) fn carries_without_spare(job: &Job, gives: impl Fn(usize, usize) -> f64) -> Option<f64> {
    let spare = job.plant.as_ref()?.spare as usize;
    Some(largest_first(job, gives).iter().skip(spare).map(|(_, gives)| gives).sum())
}

/// Counts the plant of a job whose circuits are solved; nothing where the job has none.
#[must_use]
pub fn plant(job: &Job, circuits: &[CircuitSurvey]) -> Option<PlantSurvey> {
    let plant = job.plant.as_ref()?;
    let at_leaving = |point: &Point| point.capacity_at_leaving_W.unwrap_or(point.capacity_W);
    let full = |circuit: &CircuitSurvey| circuit.point(PointId::SummerFull).map(at_leaving);
    let gives = |circuit: usize, _: usize| circuits.get(circuit).and_then(full).unwrap_or(0.0);
    let machines = largest_first(job, gives);
    let counted = modules(&job.circuits).into_iter().map(|module| {
        let each = |(circuit, count): &(usize, u32)| gives(*circuit, 0) * f64::from(*count);
        let capacity_W = module.circuits.iter().map(each).sum();
        ModuleSurvey { name: module.name, quantity: module.quantity, capacity_W }
    });
    Some(PlantSurvey {
        load_W: plant.load.value,
        spare: plant.spare,
        carries_W: machines.iter().map(|(_, gives)| gives).sum(),
        carries_without_spare_W: carries_without_spare(job, gives)?,
        modules: counted.collect(),
        out: machines.iter().take(plant.spare as usize).map(|(name, _)| name.clone()).collect(),
        unsolved: circuits
            .iter()
            .filter(|circuit| full(circuit).is_none())
            .map(|circuit| circuit.name.clone())
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Plant, Profile, Running};
    use crate::units::watts;

    const EXAMPLE: &str = include_str!("../../examples/plant-of-twelve.toml");

    /// The plant of twelve with other modules and copies of its first two circuits alone.
    fn counted(circuits: &[(&str, &str, u32)], spare: u32) -> PlantSurvey {
        let mut job = crate::job::read("plant.toml", EXAMPLE, std::path::Path::new(".")).unwrap();
        job.circuits.truncate(circuits.len());
        for (circuit, (name, module, copies)) in job.circuits.iter_mut().zip(circuits) {
            (circuit.name, circuit.module, circuit.copies) = ((*name).to_owned(), (*module).to_owned(), *copies);
        }
        let load = watts(1e5);
        job.plant = Some(Plant { load, spare, profile: Profile::Constant, running: Running::Few });
        plant(&job, &crate::survey::survey(&job).unwrap().circuits).unwrap()
    }

    #[test]
    fn each_copy_is_a_machine_whether_its_module_has_a_name_or_not() {
        for name in ["a", "chiller"] {
            let plant = counted(&[("a", name, 4)], 1);
            let [module] = &plant.modules[..] else { panic!("{plant:?}") };
            assert_eq!(module.quantity, 4);
            approx::assert_relative_eq!(plant.carries_W, 4.0 * module.capacity_W);
            approx::assert_relative_eq!(plant.carries_without_spare_W, 3.0 * module.capacity_W);
        }
    }

    #[test]
    fn circuits_of_one_module_are_one_machine() {
        let plant = counted(&[("a", "m", 2), ("b", "m", 2)], 1);
        assert_eq!(plant.modules.iter().map(|module| module.quantity).collect::<Vec<_>>(), [2]);
        approx::assert_relative_eq!(plant.carries_without_spare_W, plant.carries_W / 2.0);
        // Of unequal copies all are in one.
        let plant = counted(&[("a", "m", 2), ("b", "m", 1)], 1);
        assert_eq!(plant.modules.iter().map(|module| module.quantity).collect::<Vec<_>>(), [1]);
        assert!(plant.carries_without_spare_W.abs() < 1e-9, "{plant:?}");
    }

    #[test]
    fn a_circuit_without_a_solution_adds_nothing_and_is_named() {
        let mut job = crate::job::read("plant.toml", EXAMPLE, std::path::Path::new(".")).unwrap();
        job.circuits.truncate(2);
        let mut circuits = crate::survey::survey(&job).unwrap().circuits;
        circuits[1].points.clear();
        let plant = plant(&job, &circuits).unwrap();
        assert_eq!(plant.unsolved, [job.circuits[1].name.clone()]);
        assert!(plant.modules[0].capacity_W > 0.0 && plant.modules[1].capacity_W.abs() < 1e-9, "{plant:?}");
        // Four chillers give something, and one of them is the spare.
        approx::assert_relative_eq!(plant.carries_without_spare_W, 3.0 * plant.modules[0].capacity_W);
    }

    #[test]
    fn the_largest_is_the_spare() {
        let plant = counted(&[("a", "a", 1), ("b", "b", 1)], 1);
        let smaller = plant.modules.iter().map(|module| module.capacity_W).fold(f64::INFINITY, f64::min);
        approx::assert_relative_eq!(plant.carries_without_spare_W, smaller);
    }
}
