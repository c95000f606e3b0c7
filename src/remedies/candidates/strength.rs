//! What is tried where a tube does not hold the pressure.

use super::Try;
use crate::job::Circuit;
use crate::remedies::refit::replace;
use crate::remedies::tubes::stronger;
use crate::rules::{Place, Verdict};

impl Try<'_> {
    pub(super) fn strong(&self) -> Vec<Circuit> {
        let Some(Place::Runs(line, _)) = &self.finding.place else { return Vec::new() };
        let runs = self.runs(*line);
        let weak = runs.iter().filter_map(|run| line.of(self.circuit()).runs.get(*run)).flat_map(|run| &run.tubes);
        let Some(weak) = weak.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value)) else { return Vec::new() };
        let stronger = stronger(&self.case, *line, weak).into_iter();
        let stronger = stronger.map(|tubes| self.changed(|circuit| replace(circuit, *line, &runs, weak, &tubes)));
        let rated = self.finding.measure.map(|found| found.value);
        let share =
            if self.finding.verdict == Verdict::Caution { self.case.limit("cutout_of_relief").value } else { 1.0 };
        // A valve that is set lower costs nothing.
        let lower = rated.and_then(|rated| self.lower_relief(rated));
        lower.into_iter().chain(stronger).chain(rated.and_then(|rated| self.lower_cutout(rated * share))).collect()
    }

    /// A switch that stands too high over the relief valve or the design pressure, or a relief valve that does.
    pub(super) fn lower_switch(&self) -> Vec<Circuit> {
        let Some(maximum) = self.finding.measure.and_then(|found| found.limit) else { return Vec::new() };
        let lower = match self.finding.place {
            Some(Place::Condenser) => self.lower_cutout(maximum),
            None => self.lower_relief(maximum),
            _ => None,
        };
        lower.into_iter().collect()
    }
}
