//! Circuits under trial that were solved, by all that a change can change.

use crate::job::{Circuit, LineId, Part, Path};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::rc::Rc;

/// Circuits that were solved.
pub(super) struct Known<S> {
    pub states: HashMap<Key, Option<Rc<S>>>,
    /// One of each flow.
    pub flows: HashMap<String, Rc<S>>,
}

impl<S> Default for Known<S> {
    fn default() -> Self {
        Self { states: HashMap::new(), flows: HashMap::new() }
    }
}

impl<S> Known<S> {
    pub fn keep(&mut self, key: Key, state: Option<&Rc<S>>) {
        if let Some(state) = state {
            self.flows.entry(key.flow.clone()).or_insert_with(|| Rc::clone(state));
        }
        self.states.insert(key, state.cloned());
    }
}

/// All of a circuit that a change can change.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Key {
    /// What the flow depends on...
    pub flow: String,
    /// ...and what it does not.
    rest: String,
}

pub(super) fn key(circuit: &Circuit) -> Key {
    let (mut flow, mut rest) = (String::with_capacity(256), String::with_capacity(256));
    for line in LineId::BOTH {
        for run in &line.of(circuit).runs {
            for tube in &run.tubes {
                flow.push_str(&tube.name);
                flow.push('+');
            }
            let _ = write!(flow, "{}{:?}", run.insulation.value, run.expansion);
            let _ = match &run.path {
                Path::Level { slope, .. } => write!(rest, "{slope:?}"),
                Path::Rise { traps, .. } => write!(flow, "{traps:?}"),
                Path::Drop { .. } => Ok(()),
                Path::Part(part) => {
                    let Part { name, resistance, receiver, subcooler, bypass, .. } = part;
                    let _ = write!(rest, "{receiver:?}");
                    let style = receiver.as_ref().map(|receiver| (receiver.style, receiver.vented));
                    write!(flow, "{name}{resistance:?}{style:?}{subcooler:?}{bypass}")
                }
            };
            flow.push(';');
            rest.push(';');
        }
    }
    let condenser = &circuit.condenser;
    let _ = write!(
        flow,
        "{:?}{}+{}+{}{:?}",
        condenser.head_control,
        condenser.rejection.value,
        condenser.subcooling.value,
        circuit.compressors.bypass.share,
        condenser.legs.as_ref().map(|legs| (legs.height.value, &legs.tube.name))
    );
    let _ = write!(rest, "{:?}{:?}", condenser.cutout, circuit.relief);
    Key { flow, rest }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{HeadControl, Receiver, Relief, Slope};
    use crate::rules::testing::job;
    use crate::survey::what_if;
    use crate::units::{Pressure, cubic_metres, kelvins, metres, watts};

    /// The circuit with one thing otherwise.
    fn with(change: impl FnOnce(&mut Circuit)) -> Circuit {
        let mut circuit = job().circuits.swap_remove(0);
        change(&mut circuit);
        circuit
    }

    fn receiver(circuit: &mut Circuit, change: impl Fn(&mut Receiver)) {
        circuit.liquid.runs.iter_mut().for_each(|run| {
            if let Path::Part(Part { receiver: Some(receiver), .. }) = &mut run.path {
                change(receiver);
            }
        });
    }

    /// What is kept apart from the flow changes no figure of any operating point, solved from the beginning.
    #[test]
    fn what_the_flow_does_not_depend_on_changes_no_point() {
        let job = job();
        let drawn = with(|_| {});
        let points = |circuit: &Circuit| format!("{:?}", what_if(&job, circuit).unwrap().points);
        let same = points(&drawn);
        let changed = [
            with(|circuit| receiver(circuit, |receiver| receiver.volume = Some(cubic_metres(0.5)))),
            with(|circuit| receiver(circuit, |receiver| receiver.stop_valves = !receiver.stop_valves)),
            with(|circuit| circuit.condenser.cutout = Some(Pressure::from_pascals(3e6))),
            with(|circuit| circuit.relief = Relief::None),
            with(|circuit| {
                circuit.discharge.runs.iter_mut().for_each(|run| {
                    if let Path::Level { slope, .. } = &mut run.path {
                        *slope = if *slope == Some(Slope::WithFlow) { None } else { Some(Slope::WithFlow) };
                    }
                });
            }),
        ];
        for circuit in changed {
            assert_ne!(key(&circuit).rest, key(&drawn).rest);
            assert_eq!(key(&circuit).flow, key(&drawn).flow);
            assert_eq!(points(&circuit), same);
        }
    }

    #[test]
    fn what_the_flow_depends_on_is_another_flow() {
        let drawn = key(&with(|_| {})).flow;
        let changed = [
            with(|circuit| circuit.discharge.runs[0].tubes[0].name.push('x')),
            with(|circuit| circuit.liquid.runs[1].insulation = metres(0.05)),
            with(|circuit| circuit.condenser.rejection = watts(1e5)),
            with(|circuit| circuit.condenser.subcooling = kelvins(1.0)),
            with(|circuit| circuit.condenser.head_control = HeadControl::None),
            with(|circuit| circuit.compressors.bypass.share += 0.1),
            with(|circuit| {
                circuit.discharge.runs.iter_mut().for_each(|run| {
                    if let Path::Rise { traps, .. } = &mut run.path {
                        traps.foot = !traps.foot;
                    }
                });
            }),
        ];
        for circuit in changed {
            assert_ne!(key(&circuit).flow, drawn);
        }
    }
}
