//! Which tube is open, where it may be found, and what may stand there.

use crate::job::{Circuit, Line, LineId, Path, Run};
use crate::refdata::Tube;
use crate::units::metres;

/// A part of a circuit's lines that has one tube (or one pair).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Section {
    /// Level and falling runs of the discharge line, and its parts.
    DischargeLevel,
    /// Rises of the discharge line, which must lift oil: one tube or two in parallel.
    DischargeRise,
    /// Level runs of the liquid line, and its parts.
    LiquidLevel,
    /// Rises and falls of the liquid line.
    LiquidUpright,
}

impl Section {
    /// All of them, in order of flow.
    pub const ALL: [Self; 4] = [Self::DischargeLevel, Self::DischargeRise, Self::LiquidLevel, Self::LiquidUpright];

    /// Its name in a report.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::DischargeLevel => "discharge, level",
            Self::DischargeRise => "discharge, riser",
            Self::LiquidLevel => "liquid, level",
            Self::LiquidUpright => "liquid, vertical",
        }
    }

    /// Whether it is in the discharge line.
    #[must_use]
    pub fn is_discharge(self) -> bool {
        matches!(self, Self::DischargeLevel | Self::DischargeRise)
    }

    /// The section of a run.
    fn of(discharge: bool, run: &Run) -> Self {
        match (discharge, &run.path) {
            (true, Path::Rise { .. }) => Self::DischargeRise,
            (true, _) => Self::DischargeLevel,
            (false, Path::Rise { .. } | Path::Drop { .. }) => Self::LiquidUpright,
            (false, _) => Self::LiquidLevel,
        }
    }

    /// Which line it is in.
    #[must_use]
    pub fn line_id(self) -> LineId {
        if self.is_discharge() { LineId::Discharge } else { LineId::Liquid }
    }

    /// A tube of its longest open run.
    #[must_use]
    pub fn longest(self, circuit: &Circuit) -> Option<&Tube> {
        let runs = self.runs(circuit).into_iter().filter_map(|at| self.line(circuit).runs.get(at));
        runs.max_by(|a, b| a.path.length_m().total_cmp(&b.path.length_m())).and_then(|run| run.tubes.last())
    }

    /// Its line, and the indices of its open runs there.
    #[must_use]
    pub fn runs(self, circuit: &Circuit) -> Vec<usize> {
        let discharge = self.is_discharge();
        self.line(circuit)
            .runs
            .iter()
            .enumerate()
            .filter(|(_, run)| run.open && Self::of(discharge, run) == self)
            .map(|(i, _)| i)
            .collect()
    }

    /// Its line.
    #[must_use]
    pub fn line(self, circuit: &Circuit) -> &Line {
        if self.is_discharge() { &circuit.discharge } else { &circuit.liquid }
    }

    fn line_mut(self, circuit: &mut Circuit) -> &mut Line {
        if self.is_discharge() { &mut circuit.discharge } else { &mut circuit.liquid }
    }

    /// Puts tubes into its open runs.
    pub fn put(self, circuit: &mut Circuit, tubes: &[Tube]) {
        for i in self.runs(circuit) {
            if let Some(run) = self.line_mut(circuit).runs.get_mut(i) {
                run.tubes = tubes.to_vec();
            }
        }
    }
}

/// A tube, or two in parallel, smallest bore first, that may stand in a section.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The tubes.
    pub tubes: Vec<Tube>,
    /// Mass per length, kg/m.
    pub mass_kg_m: f64,
}

impl Choice {
    fn new(tubes: Vec<Tube>) -> Self {
        let mass_per_length = tubes.iter().map(|tube| tube.mass(metres(1.0)).value).sum();
        Self { tubes, mass_kg_m: mass_per_length }
    }

    /// Bore of its largest tube, m.
    #[must_use]
    pub fn largest_bore(&self) -> f64 {
        self.tubes.last().map_or(0.0, |tube| tube.bore().value)
    }
}

/// A circuit with a set of tubes in place.
#[must_use]
pub fn with(circuit: &Circuit, set: &[(Section, &Choice)]) -> Circuit {
    let mut changed = circuit.clone();
    for (section, choice) in set {
        section.put(&mut changed, &choice.tubes);
    }
    changed
}

/// What may stand in a section, in rising mass; of tubes with the same outside and wall the first of `tubes` stands for all.
#[must_use]
pub fn choices(section: Section, tubes: &[Tube]) -> Vec<Choice> {
    let mut distinct: Vec<&Tube> = Vec::new();
    for tube in tubes {
        let same = |other: &&Tube| {
            (other.outside - tube.outside).value.abs() < 1e-9
                && (other.wall - tube.wall).value.abs() < 1e-9
                && other.rated == tube.rated
                && other.allowable == tube.allowable
        };
        if !distinct.iter().any(same) {
            distinct.push(tube);
        }
    }
    let mut all: Vec<Choice> = distinct.iter().map(|tube| Choice::new(vec![(*tube).clone()])).collect();
    if section == Section::DischargeRise {
        for small in &distinct {
            for large in distinct.iter().filter(|large| large.kind == small.kind && large.bore() > small.bore()) {
                all.push(Choice::new(vec![(*small).clone(), (*large).clone()]));
            }
        }
    }
    all.sort_by(|a, b| a.mass_kg_m.total_cmp(&b.mass_kg_m));
    all
}
