//! What a design pressure is and rests on, for sentences and sources.

use super::case::Case;
use super::finding::Source;
use super::say::{Say, Value, say};
use crate::job::Code;
use crate::survey::{Basis, Design, Standing};

impl Case<'_> {
    /// Where the design pressure comes from, for a sentence: `the setting of the high-pressure cut-out`.
    pub(super) fn design_basis(&self, design: &Design) -> Say {
        match design.basis {
            Basis::Given => say("the design pressure of the job", []),
            Basis::Switch => say("the setting of the high-pressure cut-out", []),
            Basis::Relief => say("the setting of the relief valve", []),
            Basis::Operation(point) => say("the pressure at {}", [Value::Point(point)]),
            Basis::Saturation => self.standing(design),
        }
    }

    /// The refrigerant at the code's design temperature: `R-134a at 126 F`.
    pub(super) fn standing(&self, design: &Design) -> Say {
        say("{} at {}", [Value::name(&self.circuit.refrigerant), Value::Temperature(design.temperature_K)])
    }

    /// What a design pressure rests on.
    pub(super) fn design_source(&self, design: &Design, basis: Basis) -> Source {
        match basis {
            Basis::Given => Source::Job("design_pressure"),
            Basis::Switch => Source::Job("condenser.cutout"),
            Basis::Relief => Source::Job("relief_valve.setting"),
            Basis::Operation(_) => Source::Balance,
            Basis::Saturation => self.standing_source(design),
        }
    }

    /// What the code's design temperature rests on.
    pub(super) fn standing_source(&self, design: &Design) -> Source {
        let key = match design.standing {
            Standing::AboveSummer => "design_above_summer",
            Standing::Least => "design_minimum",
            Standing::Table => return Source::Published("en-378-2"),
        };
        if self.job.limits.contains_key(key) { Source::OwnLimit } else { Source::Published("ashrae-15") }
    }

    /// A source of the one code, or with `code = "eu"` what the other has; a limit of the job's own stays that.
    pub(super) fn by_code(&self, us: Source, eu: &'static str) -> Source {
        match (self.job.site.code, us) {
            (Code::Eu, Source::Published(_)) => Source::Published(eu),
            (_, source) => source,
        }
    }
}
