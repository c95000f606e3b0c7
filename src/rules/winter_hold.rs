//! `winter-hold`: do the controls hold the condensing temperature on the coldest day?

use super::case::{Case, least};
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::job::HeadControl;
use crate::survey::Point;
use std::fmt::Write as _;

/// How far under its setting a control still holds, K: less than any controller can see.
const SLACK: f64 = 0.05;

/// The rule.
pub const RULE: Rule = Rule {
    id: "winter-hold",
    question: "Do the controls hold the condensing temperature on the coldest day?",
    explanation: "\
The condensing temperature at the operating point where it is lowest, against the one that the head-pressure control is set to \
hold. Fans hold it until their air is cut to `least_air`; from there it falls with the outdoor temperature, least flow first. \
Flooding holds it as long as there is refrigerant to flood with. Without head control the lowest condensing temperature is \
only told, and `valve-pressure` judges what is left for the valve.

An operating point at which it falls to the evaporating temperature is a fail of this rule too: there the plant does not run.

The mends are the least air that would hold it, and flooding, found by solving the circuit again.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let mut findings = unsolved::findings(case, RULE.id);
    findings.extend(judge(case));
    findings
}

/// The operating point with the lowest condensing temperature.
fn coldest<'a>(case: &Case<'a>) -> Option<(&'a Point, f64)> {
    least(case.points().map(|point| (point, point.condensing_K)))
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (point, condensing) = coldest(case)?;
    let finding = case.finding(RULE.id, Verdict::Note).at(&point.name).by("the job file (condenser.head_control)");
    let hold = match case.circuit.condenser.head_control {
        HeadControl::None => {
            return Some(finding.found(condensing, None, "K").says(format!(
                "There is no head control: the plant condenses at {} at {}, with {} outdoors.",
                show.temperature(condensing),
                point.name,
                show.temperature(point.outdoor_K)
            )));
        }
        HeadControl::Fans { hold, .. } | HeadControl::Flooding { hold } => hold.kelvin(),
    };
    let mut finding = finding.found(condensing, hold, "K");
    finding.verdict = if condensing < hold - SLACK { Verdict::Fail } else { Verdict::Pass };
    let mut says = format!(
        "The plant condenses at {} at {}, with {} outdoors; the controls are set to hold {}.",
        show.temperature(condensing),
        point.name,
        show.temperature(point.outdoor_K),
        show.temperature(hold)
    );
    if point.air_share < 1.0 {
        let _ = write!(says, " The fans are cut to {} of their air.", show.percent(point.air_share));
    }
    if point.flooded_share > 0.0 {
        let _ = write!(says, " {} of the coil is flooded.", show.percent(point.flooded_share));
    }
    Some(finding.says(says).mended(case, |tries| Some(mend(case, tries, point, hold))))
}

fn mend(case: &Case, tries: &mut Tries, point: &Point, hold: f64) -> String {
    let show = case.show();
    let mut ways = Vec::new();
    let mut second = None;
    let mut keep = |control: HeadControl, trial: &mend::Trial| {
        let way = format!("{} would do.{}", mend::name_control(case, control), trial.but());
        if trial.breaks_nothing() { ways.push(way) } else { second = second.take().or(Some(way)) }
    };
    if let HeadControl::Fans { hold: set, least_air } = case.circuit.condenser.head_control {
        // Rejection goes with the air to a power of about 0.7 and with the difference.
        let cooler = (point.condensing_K - point.air_on_K) / (hold - point.air_on_K).max(1.0);
        let mut air = least_air * cooler.powf(1.0 / 0.7);
        for _ in 0..4 {
            if !(0.01..least_air).contains(&air) {
                break;
            }
            // To the whole percent below, as a fan control is set.
            let share = (air * 100.0).floor().max(1.0) / 100.0;
            let control = HeadControl::Fans { hold: set, least_air: share };
            let Some(trial) = tries.with(|circuit| circuit.condenser.head_control = control) else { break };
            if trial.mends() {
                keep(control, &trial);
                break;
            }
            air *= 0.8;
        }
    }
    let control = HeadControl::Flooding { hold: crate::units::Temperature::from_kelvin(hold) };
    if let Some(trial) = tries.with(|circuit| circuit.condenser.head_control = control).filter(mend::Trial::mends) {
        keep(control, &trial);
    }
    let ways = if ways.is_empty() { second.into_iter().collect() } else { ways };
    if ways.is_empty() {
        // Nothing holds the setting: say what the plant would need at least, the setting that it can hold.
        return format!(
            "Nothing tried holds {}; a setting of {} is what these controls hold.",
            show.temperature(hold),
            show.temperature(point.condensing_K)
        );
    }
    ways.join(" Or: ")
}
