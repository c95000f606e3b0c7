//! The stages in which a circuit's compressors run.

use crate::job::{BypassWhen, Circuit};

/// A way in which a circuit runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// Share of full displacement.
    pub share: f64,
    /// Share of the flow through the hot-gas bypass.
    pub bypass: f64,
}

/// The stages of a circuit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stages {
    /// From the minimum up. Of a circuit of variable speed the two ends of the range, before them the minimum with its bypass open
    /// where that is open at the minimum share alone.
    pub steps: Vec<Stage>,
    /// Whether every share between the last two is one too.
    pub variable: bool,
}

impl Stages {
    /// Of a circuit: whole compressors from the minimum share up; any share where the minimum is less than one compressor.
    pub fn of(circuit: &Circuit) -> Self {
        let compressors = &circuit.compressors;
        let (minimum, bypass) = (compressors.minimum_share, compressors.bypass);
        let above = if bypass.when == BypassWhen::Always { bypass.share } else { 0.0 };
        let at_least = if bypass.when == BypassWhen::Minimum { bypass.share } else { above };
        let one = 1.0 / f64::from(compressors.count.max(1));
        let variable = minimum < one * (1.0 - 1e-9);
        let mut steps = vec![Stage { share: minimum, bypass: at_least }];
        let shut = at_least > above;
        if shut && (variable || minimum >= 1.0) {
            steps.push(Stage { share: minimum, bypass: above });
        }
        let more = |share: &f64| *share > minimum * (1.0 + 1e-9);
        if variable {
            steps.push(Stage { share: 1.0, bypass: above });
        } else {
            let whole = (1..=compressors.count).map(|k| f64::from(k) / f64::from(compressors.count)).filter(more);
            steps.extend(whole.map(|share| Stage { share, bypass: above }));
        }
        Self { steps, variable }
    }

    /// Of a circuit of variable speed the minimum share without its bypass, and the full.
    pub fn between(&self) -> Option<(Stage, Stage)> {
        match self.steps[..] {
            [.., minimum, full] if self.variable => Some((minimum, full)),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{self, Bypass};

    fn stages(count: u32, minimum_share: f64, share: f64, when: BypassWhen) -> (Vec<(f64, f64)>, bool) {
        let mut job = job::open(std::path::Path::new("examples/bottling-hall.toml")).unwrap();
        let circuit = &mut job.circuits[0];
        circuit.compressors.count = count;
        circuit.compressors.minimum_share = minimum_share;
        circuit.compressors.bypass = Bypass { share, when };
        let stages = Stages::of(circuit);
        (stages.steps.iter().map(|stage| (stage.share, stage.bypass)).collect(), stages.variable)
    }

    #[test]
    fn compressors_in_parallel_run_one_by_one() {
        assert_eq!(stages(4, 0.5, 0.2, BypassWhen::Never), (vec![(0.5, 0.0), (0.75, 0.0), (1.0, 0.0)], false));
        assert_eq!(stages(2, 0.5, 0.2, BypassWhen::Minimum), (vec![(0.5, 0.2), (1.0, 0.0)], false));
        assert_eq!(stages(2, 0.5, 0.2, BypassWhen::Always), (vec![(0.5, 0.2), (1.0, 0.2)], false));
    }

    #[test]
    fn one_compressor_has_one_stage_and_its_bypass() {
        assert_eq!(stages(1, 1.0, 0.0, BypassWhen::Never), (vec![(1.0, 0.0)], false));
        assert_eq!(stages(1, 1.0, 0.2, BypassWhen::Minimum), (vec![(1.0, 0.2), (1.0, 0.0)], false));
    }

    #[test]
    fn less_than_one_compressor_is_variable_speed() {
        assert_eq!(stages(2, 0.25, 0.0, BypassWhen::Never), (vec![(0.25, 0.0), (1.0, 0.0)], true));
        assert_eq!(stages(1, 0.3, 0.1, BypassWhen::Minimum), (vec![(0.3, 0.1), (0.3, 0.0), (1.0, 0.0)], true));
    }
}
