//! `winter-hold`: do the controls hold the condensing temperature on the coldest day?

use super::case::{Case, least};
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::job::HeadControl;
use crate::survey::Point;
use crate::units::Temperature;
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

Fans that hold it only with less air than a coil draws by itself, its fans stopped, are a caution: nobody can set them so.

An operating point at which it falls to the evaporating temperature is a fail of this rule too: there the plant does not run.

The mends are the least air that would hold it, as long as it is not less than a coil draws by itself with its fans stopped, and \
flooding, found by solving the circuit again, with the charge and the receiver that it asks for.",
    limits: &["fan_air_least"],
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
    let finding = case.finding(RULE.id, Verdict::Note).at(point.id).by("the job file (condenser.head_control)");
    let hold = match case.circuit.condenser.head_control {
        HeadControl::None => {
            let mut says = format!(
                "There is no head control: the plant condenses at {} at {}, with {} outdoors.",
                show.temperature(condensing),
                point.name,
                show.temperature(point.outdoor_K)
            );
            let mut finding = finding.found(condensing, None, "K");
            if condensing <= point.evaporating_K {
                let evaporating = show.temperature(point.evaporating_K);
                let _ =
                    write!(says, " That is not above the {evaporating} at which it evaporates: no liquid would flow.");
                finding = finding.found(condensing, point.evaporating_K, "K");
                finding.verdict = Verdict::Fail;
            }
            return Some(finding.says(says).mended(case, |tries| {
                unsolved::hold(case, tries, std::slice::from_ref(&point.id), point.evaporating_K)
            }));
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
    let floor = case.limit("fan_air_least");
    let least_air = case.points().map(|point| point.air_share).fold(1.0, f64::min);
    if finding.verdict == Verdict::Pass && least_air < floor.value - 1e-9 {
        finding.verdict = Verdict::Caution;
        let _ = write!(
            says,
            " But they are counted on to be cut to {}, and a coil draws {} by itself.",
            show.percent(least_air),
            show.percent(floor.value)
        );
        finding = finding.found(least_air, floor.value, "-").by(floor.source);
    }
    if point.flooded_share > 0.0 {
        let _ = write!(says, " {} of the coil is flooded.", show.percent(point.flooded_share));
    }
    Some(finding.says(says).mended(case, |tries| Some(mend(case, tries, point, hold))))
}

/// Fans where they can be cut so far, and flooding always: where fans cannot, it is the way.
fn mend(case: &Case, tries: &mut Tries, point: &Point, hold: f64) -> String {
    let show = case.show();
    let mut ways = Vec::new();
    let mut keep = |control: HeadControl, trial: &mend::Trial| {
        let way = format!("{} would do.{}", mend::name_control(case, control), trial.but());
        ways.push((!trial.breaks_nothing(), way));
    };
    if let Some((control, trial)) = cut_fans(case, tries, point, hold) {
        keep(control, &trial);
    }
    let control = HeadControl::Flooding { hold: Temperature::from_kelvin(hold) };
    if let Some(trial) = tries.with(|circuit| circuit.condenser.head_control = control).filter(mend::Trial::mends) {
        keep(control, &trial);
    }
    if ways.is_empty() {
        // Nothing holds the setting: say what the plant would need at least, the setting that it can hold.
        return format!(
            "Nothing tried holds {}; a setting of {} is what these controls hold.",
            show.temperature(hold),
            show.temperature(point.condensing_K)
        );
    }
    ways.sort_by_key(|(breaks, _)| *breaks);
    ways.into_iter().map(|(_, way)| way).collect::<Vec<_>>().join(" Or: ")
}

/// Fans that hold that temperature with less air than drawn, where the head control is by fans and any does. Not with less
/// than a coil draws by itself.
pub(super) fn cut_fans<'a>(
    case: &Case,
    tries: &mut Tries<'a>,
    point: &Point,
    hold: f64,
) -> Option<(HeadControl, mend::Trial<'a>)> {
    let HeadControl::Fans { least_air, .. } = case.circuit.condenser.head_control else { return None };
    let floor = case.limit("fan_air_least").value;
    // Rejection goes with the air to a power of about 0.7 and with the difference.
    let cooler = (point.condensing_K - point.air_on_K) / (hold - point.air_on_K).max(1.0);
    let mut air = least_air * cooler.powf(1.0 / 0.7);
    // The estimate errs where the heat changes too: what is a little under the floor is tried at it.
    if air < floor && air > 0.7 * floor {
        air = floor;
    }
    for _ in 0..4 {
        if !(floor..least_air).contains(&air) {
            return None;
        }
        // To the whole percent below, as a fan control is set.
        let share = ((air * 100.0 + 1e-9).floor() / 100.0).max(floor);
        let control = HeadControl::Fans { hold: Temperature::from_kelvin(hold), least_air: share };
        let trial = tries.with(|circuit| circuit.condenser.head_control = control)?;
        if trial.mends() && trial.heals() {
            return Some((control, trial));
        }
        air = if air > floor { (air * 0.8).max(floor) } else { 0.0 };
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, only, solved, verdict};
    use super::*;
    use crate::survey::{Unsolved, Why};

    #[test]
    fn the_setting_itself_is_held() {
        let job = job();
        let hold = fahrenheit(85.0).kelvin();
        let at = |kelvin: f64| by_hand(&job, PointId::WinterMinimum, move |p| p.condensing_K = kelvin);
        assert_eq!(verdict(RULE, &job, &at(hold)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(hold - 0.1)), Verdict::Fail);
    }

    #[test]
    fn without_head_control_the_temperature_is_told() {
        let mut job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        job.site.winter = fahrenheit(50.0);
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.limit), (Verdict::Note, None));
        assert!(found.says.starts_with("There is no head control: the plant condenses at "), "{}", found.says);
    }

    /// The job held by fans that can be cut so far, in a winter of that temperature.
    fn by_fans(winter: f64, least_air: f64) -> crate::job::Job {
        let mut job = changed(|circuit| {
            circuit.condenser.head_control = HeadControl::Fans { hold: fahrenheit(85.0), least_air };
        });
        job.site.winter = fahrenheit(winter);
        job
    }

    #[test]
    fn fans_that_cannot_be_cut_far_enough_fail_and_the_share_named_would_do() {
        let found = finding(RULE, &by_fans(30.0, 0.3));
        assert_eq!((found.verdict, found.point.as_deref()), (Verdict::Fail, Some("winter least")));
        assert!(found.says.ends_with("The fans are cut to 30 % of their air."), "{}", found.says);
        let mend = found.mend.unwrap();
        let share = mend.strip_prefix("Head control by fans that hold 85 F and cut the air to ");
        let share: f64 = share.and_then(|rest| rest.split_once(" %")).unwrap().0.parse().unwrap();
        assert!(share >= 5.0, "{mend}");
        assert_eq!(finding(RULE, &by_fans(30.0, share / 100.0)).verdict, Verdict::Pass);
        assert!(mend.contains(" Or: Head control by flooding that holds 85 F would do."), "{mend}");
    }

    #[test]
    fn fans_that_would_need_less_air_than_a_coil_draws_by_itself_are_not_named() {
        let mend = finding(RULE, &by_fans(0.0, 0.1)).mend.unwrap();
        assert!(
            mend.starts_with("Head control by flooding that holds 85 F would do.") && !mend.contains("fans"),
            "{mend}"
        );
    }

    #[test]
    fn fans_counted_on_below_what_a_coil_draws_by_itself_are_a_caution_with_flooding_for_a_mend() {
        let found = finding(RULE, &by_fans(2.0, 0.02));
        assert_eq!((found.verdict, found.limit), (Verdict::Caution, Some(0.05)), "{found:#?}");
        assert!(found.says.contains("and a coil draws 5 % by itself"), "{}", found.says);
        assert!(found.mend.unwrap().starts_with("Head control by flooding that holds 85 F would do."));
    }

    #[test]
    fn flooding_says_the_charge_and_the_receiver_that_it_asks_for() {
        let mut job = by_fans(0.0, 0.1);
        job.circuits[0].liquid.runs.remove(0);
        let mend = finding(RULE, &job).mend.unwrap();
        assert!(mend.contains("But receiver (the charge then being "), "{mend}");
        assert!(mend.contains(" lb and the receiver needed ") && mend.ends_with(crate::survey::DEFERRAL), "{mend}");
    }

    #[test]
    fn a_point_that_falls_to_the_suction_is_a_fail_with_a_control_that_solves_it() {
        let job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        let mut survey = solved(&job);
        let circuit = &mut survey.circuits[0];
        circuit.points.retain(|point| !point.name.starts_with("winter"));
        circuit.unsolved.clear();
        let why = Why::FallsToSuction { evaporating_K: 277.0 };
        circuit.unsolved.push(Unsolved { name: "winter full".to_owned(), why });
        let found = RULE.check(&job, &survey);
        let fail = found.iter().find(|f| f.verdict == Verdict::Fail).unwrap();
        assert_eq!(fail.point.as_deref(), Some("winter full"));
        assert!(fail.says.contains("falls to the evaporating temperature (39 F) at winter full"), "{}", fail.says);
        let mend = fail.mend.as_ref().unwrap();
        assert!(mend.starts_with("Head control by flooding that holds 75 F would do."), "{mend}");
    }

    #[test]
    fn condensing_below_evaporating_fails_without_head_control_too() {
        let job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        let survey = by_hand(&job, PointId::WinterFull, |p| p.condensing_K = p.evaporating_K);
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.mend.unwrap().starts_with("Head control by flooding that holds "));
    }
}
