//! What the liquid line leaves of the subcooling, at the valve and on the way to it.

use super::answer::{LineAnswer, RunAnswer};
use crate::job::{Circuit, Run};

/// What an operating point leaves of the subcooling, K.
#[derive(Clone, Copy, Debug)]
pub struct Feed {
    /// Subcooling at the valve's inlet; what it lacks, negative, where the refrigerant has flashed.
    pub valve: f64,
    /// Least subcooling anywhere before it; what it lacks, negative, where it flashes.
    pub line: f64,
    /// Number of the run in which it flashes first, else of the one after which least is left; 0 at the line's inlet.
    pub run: usize,
}

/// What is left along the line. What flashes on the way to a receiver that all liquid passes through is let go in it, so the
/// line is looked at from there on.
#[must_use]
pub fn feed(circuit: &Circuit, line: &LineAnswer) -> Feed {
    let receiver = circuit.liquid.runs.iter().rposition(Run::passes_through);
    let mut least = match (receiver, line.least_subcooling_run, line.least_subcooling_K) {
        (None, Some(0), Some(inlet)) => (inlet, 0),
        _ => (f64::INFINITY, 0),
    };
    let mut valve = f64::NAN;
    for run in line.runs.iter().skip(receiver.unwrap_or(0)) {
        valve = remains(circuit, run);
        // Once it has flashed the first place is told, with what is lacking most.
        if least.0 >= 0.0 && valve < least.0 {
            least.1 = run.index;
        }
        least.0 = least.0.min(valve);
    }
    Feed { valve, line: least.0, run: least.1 }
}

/// Subcooling at a run's outlet; where the refrigerant is a mixture there, how much colder it would have to be to be all
/// liquid, negative.
#[must_use]
pub fn remains(circuit: &Circuit, run: &RunAnswer) -> f64 {
    let state = &run.out.state;
    if state.quality.is_none_or(|quality| quality <= 0.0) {
        return run.out.subcooling_K.unwrap_or(f64::NAN);
    }
    let bubble =
        crate::refrigerant::named(&circuit.refrigerant).and_then(|fluid| fluid.bubble_p(state.pressure_Pa).ok());
    bubble.map_or(f64::NAN, |bubble| -((state.enthalpy_J_kg - bubble.enthalpy) / bubble.cp).max(0.0))
}
