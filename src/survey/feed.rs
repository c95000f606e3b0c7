//! What the liquid line leaves of the subcooling, at the valve and on the way to it.

use super::answer::{LineAnswer, RunAnswer};
use super::points::{inlet_margin, oil_ratio, rounding};
use crate::job::{Circuit, Run};
use crate::line::{Integrated, RunResult};
use crate::refrigerant::{OutOfRange, Refrigerant};

/// What an operating point leaves of the subcooling, K.
#[derive(Clone, Copy, Debug)]
pub struct Feed {
    /// Subcooling at the valve's inlet; what it lacks, negative, where the refrigerant has flashed.
    pub valve_K: f64,
    /// Least subcooling anywhere before it; what it lacks, negative, where it flashes.
    pub line_K: f64,
    /// Number of the run in which it flashes first, else of the one after which minimum is left; 0 at the line's inlet.
    pub run: usize,
}

/// What liquid may be short of saturation on its way, K: less gas than 0.1 % by mass, as where it leaves a coil saturated at low load.
pub(crate) const HAIR: f64 = 0.05;

impl Feed {
    /// By how much the worse of two demands is met, K: what the valve wants at a share of the displacement, and the `least` that is
    /// to be left on the way, but for a hair.
    pub(crate) fn margin(&self, circuit: &Circuit, share: f64, least: f64) -> f64 {
        (self.valve_K - wanted_subcooling(circuit, share)).min(self.line_K - least + HAIR)
    }
}

/// What is left along the line. What flashes on the way to a receiver that all liquid passes through is let go in it, so the
/// line is looked at from there on.
#[must_use]
pub fn feed(circuit: &Circuit, line: &LineAnswer) -> Feed {
    let inlet = line.minimum_subcooling_K.filter(|_| line.minimum_subcooling_run == Some(0));
    along(circuit, inlet, line.runs.iter().map(|run| remains(circuit, run)))
}

/// What is left of the subcooling all along an integrated line, K; 0 before a receiver in which what has flashed is let go.
#[derive(Clone, Debug)]
pub(crate) struct Left {
    /// At its inlet.
    pub inlet_K: f64,
    /// Whether that is the minimum of all.
    pub least_at_inlet: bool,
    /// After each run.
    pub runs: Vec<f64>,
}

impl Left {
    /// Of a line as integrated from its inlet (Pa, J/kg).
    pub fn of(
        circuit: &Circuit,
        fluid: &Refrigerant,
        inlet: (f64, f64),
        integrated: &Integrated,
    ) -> Result<Self, OutOfRange> {
        if let Some(receiver) = receiver(circuit) {
            let after = integrated.runs.iter().skip(receiver).map(|run| left(fluid, run));
            let runs = std::iter::repeat_n(Ok(0.0), receiver).chain(after).collect::<Result<_, _>>()?;
            return Ok(Self { inlet_K: 0.0, least_at_inlet: false, runs });
        }
        let inlet = inlet_margin(fluid, inlet)?;
        let on_the_way = integrated.runs.iter().filter_map(|run| run.minimum_margin_K).fold(f64::INFINITY, f64::min);
        let runs = integrated.runs.iter().map(|run| left(fluid, run)).collect::<Result<_, _>>()?;
        Ok(Self { inlet_K: rounding(inlet), least_at_inlet: inlet <= on_the_way, runs })
    }

    /// What [`feed`] says of the line, without the answer that is made of it.
    pub fn feed(&self, circuit: &Circuit) -> Feed {
        along(circuit, self.least_at_inlet.then_some(self.inlet_K), self.runs.iter().copied())
    }
}

/// The last receiver through which all liquid passes.
fn receiver(circuit: &Circuit) -> Option<usize> {
    circuit.liquid.runs.iter().rposition(Run::passes_through)
}

/// What is left along a line: at its inlet where that is the minimum of all, and after each run.
fn along(circuit: &Circuit, inlet: Option<f64>, left: impl Iterator<Item = f64>) -> Feed {
    let receiver = receiver(circuit);
    let mut minimum = match (receiver, inlet) {
        (None, Some(inlet)) => (inlet, 0),
        _ => (f64::INFINITY, 0),
    };
    let mut valve = f64::NAN;
    for (index, left) in left.enumerate().skip(receiver.unwrap_or(0)) {
        valve = left;
        // Once it has flashed the first place is told, with what is lacking most.
        if minimum.0 >= 0.0 && valve < minimum.0 {
            minimum.1 = index + 1;
        }
        minimum.0 = minimum.0.min(valve);
    }
    Feed { valve_K: valve, line_K: minimum.0, run: minimum.1 }
}

/// The rises of a discharge line as integrated: flow over the minimum flow that lifts oil, and the number of the run.
pub(crate) fn risers_of(integrated: &Integrated) -> Vec<(f64, usize)> {
    let ratios = integrated.runs.iter().enumerate().map(|(index, run)| (oil_ratio(run), index + 1));
    ratios.filter(|(ratio, _)| ratio.is_finite()).collect()
}

/// The one of them that lifts oil worst.
pub(crate) fn oil_of(integrated: &Integrated) -> Option<(f64, usize)> {
    risers_of(integrated).into_iter().min_by(|one, other| one.0.total_cmp(&other.0))
}

/// Subcooling at an integrated run's outlet, as [`remains`] has it.
fn left(fluid: &Refrigerant, run: &RunResult) -> Result<f64, OutOfRange> {
    if run.out.quality.is_none_or(|quality| quality <= 0.0) {
        return Ok(rounding(fluid.charted_bubble(run.pressure_Pa)? - run.out.temperature));
    }
    let bubble = fluid.bubble_p(run.pressure_Pa)?;
    Ok(-((run.enthalpy_J_kg - bubble.enthalpy) / bubble.cp).max(0.0))
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

/// Subcooling that the valve must get at a share of the compressors' displacement, K: what it requires at full load, else none.
pub(crate) fn wanted_subcooling(circuit: &Circuit, share: f64) -> f64 {
    if share >= 1.0 - 1e-9 { circuit.valve.subcooling.value } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_valve_wants_its_subcooling_at_full_load_and_the_line_a_hair_less_than_its_least() {
        let text = include_str!("../../examples/bottling-hall.toml");
        let job = crate::job::read("hall.toml", text, std::path::Path::new(".")).unwrap();
        // The valve of the hall requires 4 F.
        let margin = |valve: f64, line: f64, share: f64| {
            Feed { valve_K: valve, line_K: line, run: 1 }.margin(&job.circuits[0], share, 0.0)
        };
        assert!((margin(2.0, 9.0, 1.0) - (2.0 - 4.0 / 1.8)).abs() < 1e-9);
        assert!((margin(2.0, 9.0, 0.99) - 2.0).abs() < 1e-9);
        assert!((margin(2.0, -0.04, 0.5) - 0.01).abs() < 1e-9);
        assert!(margin(2.0, -0.06, 0.5) < 0.0);
    }
}
