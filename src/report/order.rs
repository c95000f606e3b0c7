//! Which finding is graver, what is left to a limit, and on which side of it a value has to be.

use crate::job::LineId;
use crate::rules::{Finding, Measure, Place, Verdict};
use crate::units::Kind;

/// The rules by what a fail of them does, the gravest first: what can burst or harm, what will not run, what wears, what costs.
const GRAVEST_FIRST: &[&str] = &[
    // Bursts or harms.
    "concentration",
    "machinery-room",
    "design-pressure",
    "tube-strength",
    "relief",
    "liquid-hammer",
    "stop-valves",
    "roof-load",
    "roof-edge",
    "off-cycle",
    // Will not run.
    "elevations",
    "high-pressure",
    "year-cutout",
    "plant-load",
    "year-load",
    "low-ambient",
    "head-valve",
    "valve-pressure",
    "liquid-flash",
    "year-flash",
    "drain",
    "drop-leg",
    "receiver",
    "condenser-size",
    "rating-point",
    "recirculation",
    "clearance",
    "weather-file",
    // Wears.
    "oil-riser",
    "year-oil",
    "discharge-gas",
    "thermal-expansion",
    "oil-level",
    "riser-traps",
    "slope",
    "liquid-velocity",
    "discharge-velocity",
    // Costs, or annoys.
    "discharge-drop",
    "liquid-drop",
    "line-length",
    "sound",
];

/// Rules whose limit is never to be passed, and those whose limit is always to be reached, also where a finding is a caution.
const AT_MOST: &[&str] = &[
    "line-length",
    "liquid-drop",
    "discharge-drop",
    "discharge-velocity",
    "discharge-gas",
    "condenser-size",
    "concentration",
    "sound",
];

const AT_LEAST: &[&str] = &[
    "liquid-flash",
    "machinery-room",
    "low-ambient",
    "oil-riser",
    "oil-level",
    "valve-pressure",
    "tube-strength",
    "plant-load",
];

/// On which side of its limit a value has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Bound {
    /// Not below.
    Min,
    /// Not above.
    Max,
    /// None: past it something is required.
    Past,
}

/// On which side of its limit what was found has to be; nothing where the limit only says from where on something is required.
pub(crate) fn bound(finding: &Finding) -> Option<Bound> {
    let measure = finding.measure?;
    let limit = measure.limit?;
    match (finding.rule, measure.kind) {
        ("riser-traps" | "stop-valves", _) => Some(Bound::Past),
        (_, Kind::Hours) => Some(Bound::Max),
        ("receiver" | "high-pressure" | "elevations" | "rating-point", Kind::Pressure | Kind::Length | Kind::Share) => {
            Some(Bound::Max)
        }
        (rule, _) if AT_MOST.contains(&rule) => Some(Bound::Max),
        (rule, _) if AT_LEAST.contains(&rule) => Some(Bound::Min),
        _ if measure.value.total_cmp(&limit).is_eq() => None,
        _ => Some(if (measure.value > limit) == (finding.verdict == Verdict::Pass) { Bound::Min } else { Bound::Max }),
    }
}

/// Where a rule stands among the others, the gravest at 0.
pub(super) fn gravity(rule: &str) -> usize {
    GRAVEST_FIRST.iter().position(|id| *id == rule).unwrap_or(GRAVEST_FIRST.len())
}

/// Where a place is along the route: its line and its first run.
pub(super) fn along(place: &Place) -> (u8, usize) {
    let line = |line: &LineId| if *line == LineId::Discharge { 0 } else { 2 };
    match place {
        Place::Inlet(of) | Place::Line(of) => (line(of), 0),
        Place::Runs(of, runs) => (line(of), runs.first().copied().unwrap_or(0)),
        Place::Lines(lines) => {
            lines.first().map_or((4, 0), |(of, runs)| (line(of), runs.first().copied().unwrap_or(0)))
        }
        Place::Condenser => (1, 0),
        Place::Receiver | Place::ReliefValve | Place::ReliefLine => (2, 0),
        Place::Valve => (3, 0),
        _ => (4, 0),
    }
}

/// What is left to a limit, as a share of it; of a temperature, as a share of 30 K.
pub(super) fn margin(measure: Measure) -> Option<f64> {
    let limit = measure.limit?;
    let scale = if measure.kind == Kind::Temperature { 30.0 } else { limit.abs() };
    (scale > 0.0).then(|| (measure.value - limit).abs() / scale)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::RULES;
    use std::collections::BTreeSet;

    #[test]
    fn every_rule_has_its_place_among_the_others() {
        let known: BTreeSet<&str> = RULES.iter().map(|rule| rule.id).collect();
        let placed: BTreeSet<&str> = GRAVEST_FIRST.iter().copied().collect();
        assert_eq!(known, placed);
        assert_eq!(placed.len(), GRAVEST_FIRST.len(), "a rule stands twice");
    }
}
