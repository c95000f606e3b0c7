//! `plant-load`: does the plant carry the load on the design day, with the spare modules out?

use super::finding::{Finding, Look, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::{self, Job};
use crate::survey::{PointId, Survey};
use crate::units::Kind;

/// The operating point that counts.
const POINT: PointId = PointId::SummerFull;

/// The rule.
pub const RULE: Rule = Rule {
    id: "plant-load",
    question: "Does the plant carry the load on the design day, with the spare modules out of service?",
    explanation: "\
The capacity of all circuits at `summer full`, less that of the largest modules that may be out of service, against the load. A \
module is a machine: the circuits that share a `module` name. Each copy of a circuit without a module name of its own is a \
machine by itself; circuits of one module that all have the same number of copies are so many such machines; a single circuit \
that names its module has all its copies in it. Whoever needs the count otherwise draws the copies one by one.

Short of the load, the fluid leaves warmer than it should on the design day, or when a machine is out.",
    limits: &[],
    look: Look::Plant(look),
};

/// A machine.
struct Module {
    name: String,
    capacity: f64,
}

fn look(job: &Job, survey: &Survey) -> Vec<Finding> {
    let Some(plant) = &job.plant else { return Vec::new() };
    let (modules, unsolved) = modules(job, survey);
    let out = usize::try_from(plant.spare).unwrap_or(usize::MAX).min(modules.len());
    let (carries, load) = (left(&modules, plant.spare), plant.load.value);
    let verdict = if carries < load { Verdict::Fail } else { Verdict::Pass };
    let capacity = |watts: f64| Value::Of(Kind::Capacity, watts);
    let total = capacity(modules.iter().map(|module| module.capacity).sum());
    let mut says = match modules.len() {
        1 => say("At summer full the one module gives {}", [total]),
        count => say("At summer full all {} modules together give {}", [Value::Count(count), total]),
    };
    if out > 0 {
        let names = Value::names(modules.iter().take(out).map(|module| module.name.clone()));
        let word = Value::name(if out == 1 { "module" } else { "modules" });
        let left = if carries > 0.0 { capacity(carries) } else { Value::name("nothing") };
        says = says.and(", and {} with {} {} out of service", [left, word, names]);
    }
    says = says.and("; the load is {}.", [capacity(load)]);
    if !unsolved.is_empty() {
        let names = [Value::names(unsolved)];
        says = says.and(" Without a solution at summer full, and so counted as nothing: {}.", names);
    }
    let finding = Finding::new(RULE.id, verdict, None).at(POINT).found(carries, load, Kind::Capacity);
    vec![finding.says(says).by(Source::Job("plant.load"))]
}

/// The machines of the plant, largest first, and the circuits without a solution.
fn modules(job: &Job, survey: &Survey) -> (Vec<Module>, Vec<String>) {
    let mut unsolved = Vec::new();
    let capacities: Vec<f64> = job
        .circuits
        .iter()
        .zip(&survey.circuits)
        .map(|(circuit, solved)| {
            let capacity = solved.point(POINT).map(|point| point.capacity_W);
            if capacity.is_none() {
                unsolved.push(circuit.name.clone());
            }
            capacity.unwrap_or(0.0)
        })
        .collect();
    let mut modules: Vec<Module> = job::modules(&job.circuits)
        .into_iter()
        .map(|module| Module {
            capacity: module.circuits.iter().map(|(i, count)| capacities[*i] * f64::from(*count)).sum(),
            name: module.name,
        })
        .collect();
    modules.sort_by(|a, b| b.capacity.total_cmp(&a.capacity));
    (modules, unsolved)
}

/// What the plant gives with the largest modules out.
fn left(modules: &[Module], spare: u32) -> f64 {
    modules.iter().skip(usize::try_from(spare).unwrap_or(usize::MAX)).map(|module| module.capacity).sum()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, job, only};
    use super::*;
    use crate::job::{Circuit, Plant, Profile, Running};
    use crate::units::watts;

    /// A plant of circuits (name, module, copies), each of 100 kW at `summer full`.
    fn plant(circuits: &[(&str, &str, u32)], load: f64, spare: u32) -> (Job, Survey) {
        let mut job = job();
        let circuit = job.circuits.remove(0);
        job.plant = Some(Plant { load: watts(load), spare, profile: Profile::Constant, running: Running::Few });
        for (name, module, copies) in circuits {
            let (name, module) = ((*name).to_owned(), (*module).to_owned());
            job.circuits.push(Circuit { name, module, copies: *copies, ..circuit.clone() });
        }
        let survey = by_hand(&job, POINT, |p| p.capacity_W = 1e5);
        (job, survey)
    }

    fn check(circuits: &[(&str, &str, u32)], load: f64, spare: u32) -> Finding {
        let (job, survey) = plant(circuits, load, spare);
        only(RULE.check(&job, &survey))
    }

    #[test]
    fn the_load_itself_is_carried() {
        assert_eq!(check(&[("a", "a", 1), ("b", "b", 1)], 2e5, 0).verdict, Verdict::Pass);
        assert_eq!(check(&[("a", "a", 1), ("b", "b", 1)], 2e5 + 1.0, 0).verdict, Verdict::Fail);
    }

    #[test]
    fn a_job_without_a_load_is_not_asked() {
        let (mut job, survey) = plant(&[("a", "a", 1)], 1.0, 0);
        job.plant = None;
        assert!(RULE.check(&job, &survey).is_empty());
    }

    #[test]
    fn the_largest_modules_are_out() {
        let left = |circuits: &[(&str, &str, u32)], spare| check(circuits, 1.0, spare).value();
        // Copies without a module name of their own are machines each.
        assert_eq!(left(&[("a", "a", 6)], 1), 5e5);
        // Two circuits of one machine go together.
        assert_eq!(left(&[("a", "m", 1), ("b", "m", 1), ("c", "c", 1)], 1), 1e5);
        // Six machines of two circuits each.
        assert_eq!(left(&[("a", "m", 6), ("b", "m", 6)], 1), 10e5);
        // One machine of two circuits, drawn once.
        assert_eq!(left(&[("a", "m", 2), ("c", "c", 1)], 1), 1e5);
        assert_eq!(left(&[("a", "a", 2)], 5), 0.0);
    }

    #[test]
    fn a_short_plant_fails() {
        let found = check(&[("a", "a", 3)], 4.1e5, 1);
        assert_eq!((found.verdict, found.value(), found.circuit), (Verdict::Fail, 2e5, None));
        assert_eq!(check(&[("a", "a", 6)], 4.1e5, 1).verdict, Verdict::Pass);
        assert_eq!(check(&[("a", "a", 5)], 4.1e5, 1).verdict, Verdict::Fail);
    }

    #[test]
    fn the_only_module_out_leaves_nothing() {
        let text = check(&[("a", "a", 1)], 5e4, 1).words();
        assert!(text.contains("the one module gives 28.4 ton, and nothing with module a out of service"), "{text}");
    }

    #[test]
    fn a_circuit_without_a_solution_counts_as_nothing_and_is_named() {
        let (job, mut survey) = plant(&[("a", "a", 1), ("b", "b", 1)], 1.5e5, 0);
        survey.circuits[1].points.clear();
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.text(&job).ends_with("and so counted as nothing: b."), "{}", found.text(&job));
    }
}
