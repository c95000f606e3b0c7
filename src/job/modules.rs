//! Which circuits make up which machine.

use super::Circuit;

/// A machine of the plant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Module {
    /// Its name.
    pub name: String,
    /// The circuits in it: the index in `Job::circuits`, and how many of that circuit it holds.
    pub circuits: Vec<(usize, u32)>,
}

/// The machines of a plant, each by itself, in the order of the job.
///
/// A module is the circuits that share a `module` name. Each copy of a circuit without a module name of its own is a machine
/// by itself; circuits of one module that all have the same number of copies are so many such machines; a single circuit that
/// names its module has all its copies in it.
#[must_use]
pub fn modules(circuits: &[Circuit]) -> Vec<Module> {
    let mut names: Vec<&str> = Vec::new();
    for circuit in circuits {
        if !names.contains(&circuit.module.as_str()) {
            names.push(&circuit.module);
        }
    }
    let mut modules = Vec::new();
    for name in names {
        let members: Vec<(usize, &Circuit)> =
            circuits.iter().enumerate().filter(|(_, circuit)| circuit.module == name).collect();
        let copies = members.first().map_or(1, |(_, circuit)| circuit.copies);
        let alike = members.iter().all(|(_, circuit)| circuit.copies == copies);
        let own_name = members.iter().all(|(_, circuit)| circuit.name == circuit.module);
        let of = |count: fn(&Circuit) -> u32| members.iter().map(|(i, circuit)| (*i, count(circuit))).collect();
        if alike && (own_name || members.len() > 1) {
            let one = Module { name: name.to_owned(), circuits: of(|_| 1) };
            modules.extend(std::iter::repeat_n(one, copies as usize));
        } else {
            modules.push(Module { name: name.to_owned(), circuits: of(|circuit| circuit.copies) });
        }
    }
    modules
}
