//! `high-pressure`: how far is the cut-out on the hottest day?

use super::case::{Case, greatest};
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::survey::Point;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "high-pressure",
    question: "How far is the high-pressure cut-out on the hottest day?",
    explanation: "\
The compressors' discharge pressure at the operating point where it is highest, usually all of them on the design day, \
against the high-pressure switch. At or above its setting the plant trips on the day it is needed most; within 5 % of it, as \
absolute pressure, it is a caution, for dirt on the coil or a little air coming back takes that. The report also gives the \
outdoor temperature at which the switch would open. Without `cutout` the pressure is only told.

An operating point at which the condenser cannot reject the heat at any pressure is a fail of this rule too.

The mend is the least condenser that keeps the pressure clear, found by solving the circuit with more and more rejection.",
    limits: &["cutout_margin"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let mut findings = unsolved::findings(case, RULE.id);
    findings.extend(judge(case));
    findings
}

/// The operating point with the highest discharge pressure.
fn highest<'a>(case: &Case<'a>) -> Option<(&'a Point, f64)> {
    greatest(case.points().map(|point| (point, point.state.discharge.pressure_Pa)))
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (point, pressure) = highest(case)?;
    let margin = case.limit("cutout_margin");
    let mut says = format!(
        "At {} the compressors push against {}, condensing at {}",
        point.name,
        case.gauge(pressure),
        show.temperature(point.condensing_K)
    );
    let finding = case.finding(RULE.id, Verdict::Note).at(&point.name);
    let Some(cutout) = case.circuit.condenser.cutout else {
        says += "; the job does not give the high-pressure switch (condenser.cutout), so this was not judged.";
        return Some(finding.found(pressure, None, "Pa").says(says).by("the job file (condenser.cutout)"));
    };
    let (cutout, clear) = (cutout.pascals(), cutout.pascals() * (1.0 - margin.value));
    let mut finding = finding;
    let (verdict, limit, source) = if pressure >= cutout {
        (Verdict::Fail, cutout, "the job file (condenser.cutout)".to_owned())
    } else if pressure > clear {
        (Verdict::Caution, clear, margin.source)
    } else {
        (Verdict::Pass, clear, margin.source)
    };
    finding.verdict = verdict;
    let _ = write!(says, "; the switch opens at {}", case.gauge(cutout));
    if let Some(derating) = &case.solved.derating {
        let _ = write!(says, ", which is reached at {} outdoors", show.temperature(derating.highest_outdoor_K));
    }
    says += ".";
    let finding = finding.found(pressure, limit, "Pa").says(says).by(source);
    Some(finding.mended(case, |tries| mend(case, tries, point, clear)))
}

fn mend(case: &Case, tries: &mut Tries, point: &Point, clear_pa: f64) -> Option<String> {
    let fluid = crate::refrigerant::named(&case.circuit.refrigerant)?;
    // The condensing temperature that the pressure allows, the line's loss kept; rejection goes with the difference to air.
    let loss = point.state.discharge.pressure_Pa - point.state.condenser_inlet.pressure_Pa;
    let allowed = fluid.dew_temperature(clear_pa - loss).ok()?;
    let first = (point.condensing_K - point.air_on_K) / (allowed - point.air_on_K).max(1.0);
    let (factor, trial) = mend::least_factor(
        tries,
        first.clamp(1.02, 3.0),
        |trial| trial.mends() && highest(&trial.case()).is_some_and(|(_, pressure)| pressure <= clear_pa),
        |factor, circuit| circuit.condenser.rejection *= factor,
    )?;
    let changed = trial.case();
    let (now, pressure) = highest(&changed)?;
    let what = mend::name_rejection(case, factor);
    Some(format!("{what} would do: {} at {}.{}", case.gauge(pressure), now.name, trial.but()))
}
