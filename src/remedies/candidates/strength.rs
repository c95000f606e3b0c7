//! What is tried where a tube does not hold the pressure.

use super::Try;
use crate::job::Circuit;
use crate::remedies::refit::replace;
use crate::remedies::tubes::stronger;
use crate::rules::Place;

impl Try<'_> {
    pub(super) fn strong(&self) -> Vec<Circuit> {
        let Some(Place::Runs(line, _)) = &self.finding.place else { return Vec::new() };
        let runs = self.runs(*line);
        let weak = runs.iter().filter_map(|run| line.of(self.circuit()).runs.get(*run)).flat_map(|run| &run.tubes);
        let Some(weak) = weak.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value)) else { return Vec::new() };
        let stronger = stronger(&self.case, *line, weak).into_iter();
        let stronger = stronger.map(|tubes| self.changed(|circuit| replace(circuit, *line, &runs, weak, &tubes)));
        stronger.chain(self.lower_cutout()).collect()
    }
}
