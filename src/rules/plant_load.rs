//! `plant-load`: does the plant carry the load on the design day, with the spare modules out?

use super::finding::{Finding, Look, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::Job;
use crate::survey::{self, PlantSurvey, PointId, Survey};
use crate::units::Kind;

/// The operating point that counts.
const POINT: PointId = PointId::SummerFull;

pub const RULE: Rule = Rule {
    id: "plant-load",
    question: "Does the plant carry the load on the design day, with the spare modules out of service?",
    explanation: "\
The total capacity of all circuits at `summer full`, less that of the largest chillers that may be out of service, \
is compared with the load. Circuits with the same `module` name are one chiller; a circuit without one is a chiller \
by itself. Copies are copies of the chiller: a circuit with four is four chillers, and so are two circuits of one \
module with four each. Circuits of one module with unequal copies are one chiller that has them all.

Where the plant is short of the load, the fluid leaves warmer than it should on the design day, or when a chiller is \
out of service.",
    limits: &[],
    look: Look::Plant(look),
};

fn look(job: &Job, survey: &Survey) -> Vec<Finding> {
    let Some(plant) = survey::plant(job, &survey.circuits) else { return Vec::new() };
    let (carries, load) = (plant.carries_without_spare_W, plant.load_W);
    let verdict = if carries < load { Verdict::Fail } else { Verdict::Pass };
    let finding = Finding::new(RULE.id, verdict, None).at(POINT).found(carries, load, Kind::Capacity);
    vec![finding.says(told(&plant, verdict)).by(Source::Job("plant.load"))]
}

fn told(plant: &PlantSurvey, verdict: Verdict) -> Say {
    let (carries, load) = (plant.carries_without_spare_W, plant.load_W);
    let capacity = |watts: f64| Value::Of(Kind::Capacity, watts);
    let total = capacity(plant.carries_W);
    let mut says = match plant.machines() {
        1 => say("At summer full the chiller gives {}", [total]),
        count => say("At summer full {} chillers give {}", [Value::Count(count), total]),
    };
    if !plant.out.is_empty() {
        let left = if carries > 0.0 { capacity(carries) } else { Value::name("nothing") };
        let word = if plant.out.len() == 1 { "chiller" } else { "chillers" };
        let values = [left, Value::name(word), Value::names(&plant.out)];
        says = says.and(", and {} with {} {} out of service", values);
    }
    says = says.and("; the load is {}", [capacity(load)]);
    says = match verdict {
        Verdict::Fail => says.and(", {} more.", [capacity(load - carries)]),
        _ => says.and(".", []),
    };
    if plant.unsolved.is_empty() {
        return says;
    }
    let names = [Value::names(&plant.unsolved)];
    says.and(" Not counted, because they have no solution at summer full: {}.", names)
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
        // Copies without a module name of their own are chillers each.
        approx::assert_relative_eq!(left(&[("a", "a", 6)], 1), 5e5);
        // Two circuits of one chiller go together.
        approx::assert_relative_eq!(left(&[("a", "m", 1), ("b", "m", 1), ("c", "c", 1)], 1), 1e5);
        // Six chillers of two circuits each.
        approx::assert_relative_eq!(left(&[("a", "m", 6), ("b", "m", 6)], 1), 10e5);
        // Copies of a chiller with a name of its own.
        approx::assert_relative_eq!(left(&[("a", "m", 2), ("c", "c", 1)], 1), 2e5);
        approx::assert_relative_eq!(left(&[("a", "a", 2)], 5), 0.0);
    }

    #[test]
    fn a_short_plant_fails() {
        let found = check(&[("a", "a", 3)], 4.1e5, 1);
        assert_eq!((found.verdict, found.value(), found.circuit), (Verdict::Fail, 2e5, None));
        assert!(found.words().ends_with("; the load is 117 tons, 59.7 tons more."), "{}", found.words());
        assert_eq!(check(&[("a", "a", 6)], 4.1e5, 1).verdict, Verdict::Pass);
        assert_eq!(check(&[("a", "a", 5)], 4.1e5, 1).verdict, Verdict::Fail);
    }

    #[test]
    fn the_only_module_out_leaves_nothing() {
        let text = check(&[("a", "a", 1)], 5e4, 1).words();
        assert!(text.contains("the chiller gives 28.4 tons, and nothing with chiller a out of service;"), "{text}");
    }

    #[test]
    fn a_circuit_without_a_solution_counts_as_nothing_and_is_named() {
        let (job, mut survey) = plant(&[("a", "a", 1), ("b", "b", 1)], 1.5e5, 0);
        survey.circuits[1].points.clear();
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(
            found.text(&job).ends_with("Not counted, because they have no solution at summer full: b."),
            "{}",
            found.text(&job)
        );
    }
}
