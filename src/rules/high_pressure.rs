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
    let finding = case.finding(RULE.id, Verdict::Note).at(point.id);
    let Some(cutout) = case.circuit.condenser.cutout else {
        says += "; the job does not give the high-pressure switch (condenser.cutout), so this was not judged.";
        return Some(finding.found(pressure, None, "Pa").says(says).by("the job file (condenser.cutout)"));
    };
    let (cutout, clear) = (cutout.pascals(), cutout.pascals() * (1.0 - margin.value));
    let mut finding = finding;
    let (verdict, limit, source) = if pressure >= cutout {
        (Verdict::Fail, cutout, super::finding::Source::Job("condenser.cutout"))
    } else if pressure > clear {
        (Verdict::Caution, clear, margin.source)
    } else {
        (Verdict::Pass, clear, margin.source)
    };
    finding.verdict = verdict;
    let _ = write!(says, "; the switch opens at {}", case.gauge(cutout));
    if let Some(derating) = case.solved.derating.as_ref().filter(|derating| derating.highest_is_cutout) {
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

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, findings, job, solved, verdict};
    use super::*;
    use crate::survey::Why;
    use crate::units::Pressure;

    #[test]
    fn five_percent_under_the_switch_exactly_is_clear_and_the_setting_itself_trips() {
        let job = job();
        let cutout = job.circuits[0].condenser.cutout.unwrap().pascals();
        let at = |pressure: f64| by_hand(&job, PointId::SummerFull, move |p| p.state.discharge.pressure_Pa = pressure);
        let clear = cutout * (1.0 - job.limit("cutout_margin"));
        assert_eq!(verdict(RULE, &job, &at(clear)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(clear + 1.0)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(cutout - 1.0)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(cutout)), Verdict::Fail);
    }

    #[test]
    fn without_a_switch_the_pressure_is_told() {
        let found = finding(RULE, &changed(|circuit| circuit.condenser.cutout = None));
        assert_eq!((found.verdict, found.limit), (Verdict::Note, None));
    }

    #[test]
    fn a_small_condenser_trips_and_the_rejection_named_would_do() {
        let of = |factor: f64| {
            changed(|circuit| {
                circuit.condenser.rejection *= 0.5 * factor;
                circuit.condenser.cutout = Some(Pressure::from_pascals(1.45e6));
            })
        };
        let found = finding(RULE, &of(1.0));
        assert_eq!((found.verdict, found.point.as_deref()), (Verdict::Fail, Some("summer full")));
        let mend = found.mend.unwrap();
        let factor = mend.strip_prefix("A condenser of ").and_then(|rest| rest.split_once(" times the rejection"));
        let factor: f64 = factor.unwrap().0.parse().unwrap();
        assert!(factor > 1.0 && factor < 3.0, "{mend}");
        assert_eq!(finding(RULE, &of(factor)).verdict, Verdict::Pass);
    }

    #[test]
    fn a_condenser_that_never_balances_fails_with_what_would() {
        let job = changed(|circuit| circuit.condenser.rejection *= 0.12);
        let survey = solved(&job);
        let never = |u: &&crate::survey::Unsolved| matches!(u.why, Why::NeverCondenses { .. });
        let lost: Vec<&str> = survey.circuits[0].unsolved.iter().filter(never).map(|u| u.name.as_str()).collect();
        assert!(lost.contains(&"summer full"), "{:?}", survey.circuits[0].unsolved);
        let found = findings(RULE, &job);
        let fail = found.iter().find(|f| f.says.contains("cannot reject the heat at")).unwrap();
        assert_eq!(fail.verdict, Verdict::Fail);
        for name in lost {
            assert!(fail.says.contains(name), "{}", fail.says);
        }
        let mend = fail.mend.as_ref().unwrap();
        assert!(mend.starts_with("A condenser of ") && mend.contains("would do: it condenses at "), "{mend}");
    }
}
