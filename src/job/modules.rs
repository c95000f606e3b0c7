//! Which circuits make up which chiller.

use super::Circuit;

/// Chillers of one kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Module {
    /// Their name.
    pub name: String,
    /// How many of them there are.
    pub quantity: u32,
    /// The circuits in one of them: the index in `Job::circuits`, and how many of that circuit it holds.
    pub circuits: Vec<(usize, u32)>,
}

/// The chillers of a plant by their kind, in the order of the job.
///
/// A module is the circuits that share a `module` name; a circuit without one is a module by itself. Copies are copies of the
/// chiller: a circuit with four is four chillers, and so are two circuits of one module with four each. Circuits of one module
/// with unequal copies are one chiller that holds them all.
#[must_use]
pub fn modules(circuits: &[Circuit]) -> Vec<Module> {
    let mut modules: Vec<Module> = Vec::new();
    for (index, circuit) in circuits.iter().enumerate() {
        let one = (index, circuit.copies);
        match modules.iter_mut().find(|module| module.name == circuit.module) {
            Some(module) => module.circuits.push(one),
            None => modules.push(Module { name: circuit.module.clone(), quantity: 1, circuits: vec![one] }),
        }
    }
    for Module { quantity, circuits, .. } in &mut modules {
        let first = circuits.first().map_or(1, |(_, copies)| *copies);
        if circuits.iter().all(|(_, copies)| *copies == first) {
            *quantity = first;
            for (_, copies) in circuits {
                *copies = 1;
            }
        }
    }
    modules
}

/// How many chillers those are.
#[must_use]
pub fn machines(modules: &[Module]) -> usize {
    modules.iter().map(|module| module.quantity as usize).sum()
}
