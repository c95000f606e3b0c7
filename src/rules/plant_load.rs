//! `plant-load`: does the plant carry the load on the design day, with the spare modules out?

use super::case::greatest;
use super::say::list;
use super::{Finding, Look, Rule, Verdict};
use crate::job::{self, Job};
use crate::survey::PointId;
use crate::survey::Survey;
use std::fmt::Write as _;

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

Short of the load, the fluid leaves warmer than it should on the design day, or when a machine is out.

The mend is the number of modules like the largest that would have to be added, and the load that the plant does carry.",
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
    let show = job.units;
    let (modules, unsolved) = modules(job, survey);
    let out = usize::try_from(plant.spare).unwrap_or(usize::MAX).min(modules.len());
    let (carries, load) = (left(&modules, plant.spare), plant.load.value);
    let verdict = if carries < load { Verdict::Fail } else { Verdict::Pass };
    let total: f64 = modules.iter().map(|module| module.capacity).sum();
    let mut says = format!(
        "At summer full {} {}",
        if modules.len() == 1 {
            "the one module gives".to_owned()
        } else {
            format!("all {} modules together give", modules.len())
        },
        show.capacity(total)
    );
    if out > 0 {
        let names = list(modules.iter().take(out).map(|module| module.name.clone()));
        let word = if out == 1 { "module" } else { "modules" };
        let left = if carries > 0.0 { show.capacity(carries) } else { "nothing".to_owned() };
        let _ = write!(says, ", and {left} with {word} {names} out of service");
    }
    let _ = write!(says, "; the load is {}.", show.capacity(load));
    if !unsolved.is_empty() {
        let _ = write!(says, " Without a solution at summer full, and so counted as nothing: {}.", list(unsolved));
    }
    let mut finding = Finding::new(RULE.id, verdict, None)
        .at(POINT)
        .found(carries, load, "W")
        .says(says)
        .by("the job file (plant.load)");
    if verdict == Verdict::Fail {
        finding.mend = mend(job, &modules, plant.spare, carries);
    }
    vec![finding]
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

fn mend(job: &Job, modules: &[Module], spare: u32, carries: f64) -> Option<String> {
    let show = job.units;
    let load = job.plant.as_ref()?.load.value;
    let (largest, capacity) = greatest(modules.iter().map(|module| (module, module.capacity)))?;
    if capacity <= 0.0 {
        return Some("Mend first what keeps the circuits from a solution at summer full.".to_owned());
    }
    // With as many of the largest out as before, each added one counts in full.
    let needed = ((load - carries) / capacity).ceil().max(1.0);
    let more = if needed > 1.0 { format!("{needed:.0} more modules") } else { "One more module".to_owned() };
    let reached = carries + needed * capacity;
    let with = if spare > 0 { " with the spare out" } else { "" };
    let now = match (carries > 0.0, spare) {
        (true, _) => format!("the plant carries {}{with}", show.capacity(carries)),
        (false, 1) => "nothing is left when the one module is out".to_owned(),
        (false, _) => "nothing is left when the spare modules are out".to_owned(),
    };
    let each = if needed > 1.0 { " each" } else { "" };
    Some(format!(
        "{more} like {} ({}{each}) would do: {}{with}. As it is, {now}.",
        largest.name,
        show.capacity(capacity),
        show.capacity(reached)
    ))
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
        let left = |circuits: &[(&str, &str, u32)], spare| check(circuits, 1.0, spare).value;
        // Copies without a module name of their own are machines each.
        assert_eq!(left(&[("a", "a", 6)], 1), Some(5e5));
        // Two circuits of one machine go together.
        assert_eq!(left(&[("a", "m", 1), ("b", "m", 1), ("c", "c", 1)], 1), Some(1e5));
        // Six machines of two circuits each.
        assert_eq!(left(&[("a", "m", 6), ("b", "m", 6)], 1), Some(10e5));
        // One machine of two circuits, drawn once.
        assert_eq!(left(&[("a", "m", 2), ("c", "c", 1)], 1), Some(1e5));
        assert_eq!(left(&[("a", "a", 2)], 5), Some(0.0));
    }

    #[test]
    fn a_short_plant_is_told_how_many_more_would_do() {
        let found = check(&[("a", "a", 3)], 4.1e5, 1);
        assert_eq!((found.verdict, found.value), (Verdict::Fail, Some(2e5)));
        assert!(found.circuit.is_none());
        let mend = found.mend.unwrap();
        assert!(
            mend.starts_with("3 more modules like a (28.4 ton each) would do: 142 ton with the spare out."),
            "{mend}"
        );
        assert_eq!(check(&[("a", "a", 6)], 4.1e5, 1).verdict, Verdict::Pass);
        assert_eq!(check(&[("a", "a", 5)], 4.1e5, 1).verdict, Verdict::Fail);
    }

    #[test]
    fn the_only_module_out_leaves_nothing_and_is_told_so() {
        let found = check(&[("a", "a", 1)], 5e4, 1);
        assert!(
            found.says.contains("the one module gives 28.4 ton, and nothing with module a out of service"),
            "{}",
            found.says
        );
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("One more module like a (28.4 ton) would do: 28.4 ton with the spare out."), "{mend}");
        assert!(mend.ends_with("As it is, nothing is left when the one module is out."), "{mend}");
    }

    #[test]
    fn a_circuit_without_a_solution_counts_as_nothing_and_is_named() {
        let (job, mut survey) = plant(&[("a", "a", 1), ("b", "b", 1)], 1.5e5, 0);
        survey.circuits[1].points.clear();
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.says.ends_with("and so counted as nothing: b."), "{}", found.says);
    }
}
