//! `low-ambient`: do the controls hold the condensing temperature on the coldest day?

use super::case::{Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use super::unsolved;
use crate::job::HeadControl;
use crate::survey::Point;
use crate::units::Kind;

/// How far under its setting a control still holds, K: less than any controller can see.
const SLACK: f64 = 0.05;

pub const RULE: Rule = Rule {
    id: "low-ambient",
    question: "Do the controls keep the condensing temperature up on the coldest day?",
    explanation: "\
The lowest condensing temperature at any operating point is compared with the setpoint of the head-pressure control. \
Fans keep the setpoint until their air is at `minimum_air`; from there the condensing temperature falls with the \
outdoor temperature, at the lowest flow first. Flooding keeps it as long as there is refrigerant to flood with. \
Without head control the lowest condensing temperature is only reported, and `valve-pressure` judges what is left \
for the valve.

Fans that need less air than natural draft and wind give with all fans off are a caution: no control can set them so \
low. An operating point at which condensing falls to the evaporating temperature also fails this rule: the plant \
does not run there.",
    limits: &["fan_air_minimum"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let (mut lost, judged) = (unsolved::findings(case, RULE.id), judge(case));
    match judged {
        // A setpoint that is missed at one point and the head lost at another have one cause.
        Some(judged) if judged.verdict == Verdict::Fail && !lost.is_empty() => {
            let says = lost.iter().map(|finding| finding.says.clone()).chain([judged.says]).collect::<Vec<_>>();
            lost.truncate(1);
            lost.into_iter().map(|finding| finding.says(Say::sentences(says.clone()))).collect()
        }
        judged => lost.drain(..).chain(judged).collect(),
    }
}

fn judge(case: &Case) -> Option<Finding> {
    let (point, condensing) = minimum(case.points().map(|point| (point, point.condensing_K)))?;
    let setpoint = match case.circuit.condenser.head_control {
        HeadControl::None => return Some(uncontrolled(case, point, condensing)),
        HeadControl::Fans { setpoint, .. } | HeadControl::Flooding { setpoint } => setpoint.kelvin(),
    };
    let verdict = if condensing < setpoint - SLACK { Verdict::Fail } else { Verdict::Pass };
    let mut says = say(
        "Condensing is {} at {}, {} outdoors; the setpoint of the head control is {}.",
        [temperature(condensing), Value::Point(point.id), temperature(point.outdoor_K), temperature(setpoint)],
    );
    let share = |share: f64| Value::Of(Kind::Share, share);
    if point.air_share < 1.0 {
        says = says.and(" The fans are at {} air.", [share(point.air_share)]);
    }
    let floor = case.limit("fan_air_minimum");
    let minimum_air = case.points().map(|point| point.air_share).fold(1.0, f64::min);
    let too_little = verdict == Verdict::Pass && minimum_air < floor.value - 1e-9;
    if too_little {
        let words = " That requires {} air, and natural draft alone gives {}.";
        says = says.and(words, [share(minimum_air), share(floor.value)]);
    }
    if point.flooded_share > 0.0 {
        says = says.and(" {} of the coil is flooded.", [share(point.flooded_share)]);
    }
    let verdict = if too_little { Verdict::Caution } else { verdict };
    let finding = case.finding(RULE.id, verdict).at(point.id).place(Place::Condenser).says(says);
    Some(if too_little {
        finding.found(minimum_air, floor.value, Kind::Share).by(floor.source)
    } else {
        finding.found(condensing, setpoint, Kind::Temperature).by(Source::Job("condenser.head_control"))
    })
}

/// A circuit without head control.
fn uncontrolled(case: &Case, point: &Point, condensing: f64) -> Finding {
    let stopped = condensing <= point.evaporating_K;
    let mut says = say(
        "There is no head control. Condensing is {} at {}, {} outdoors.",
        [temperature(condensing), Value::Point(point.id), temperature(point.outdoor_K)],
    );
    if stopped {
        let words = " That is not above evaporating, {}: no liquid flows.";
        says = says.and(words, [temperature(point.evaporating_K)]);
    }
    let verdict = if stopped { Verdict::Fail } else { Verdict::Note };
    let finding = case.finding(RULE.id, verdict).at(point.id).says(says).by(Source::Job("condenser.head_control"));
    finding.found(condensing, stopped.then_some(point.evaporating_K), Kind::Temperature)
}

fn temperature(kelvin: f64) -> Value {
    Value::Of(Kind::Temperature, kelvin)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, only, solved, verdict};
    use super::*;
    use crate::survey::PointId;
    use crate::survey::{Unsolved, Why};

    #[test]
    fn the_setting_itself_is_held() {
        let job = job();
        let setpoint = fahrenheit(85.0).kelvin();
        let at = |kelvin: f64| by_hand(&job, PointId::WinterMinimum, move |p| p.condensing_K = kelvin);
        assert_eq!(verdict(RULE, &job, &at(setpoint)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(setpoint - 0.1)), Verdict::Fail);
    }

    #[test]
    fn without_head_control_the_temperature_is_told() {
        let mut job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        job.site.winter = fahrenheit(50.0);
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.measure.unwrap().limit), (Verdict::Note, None));
        assert!(found.words().starts_with("There is no head control. Condensing is "), "{}", found.words());
    }

    /// The job held by fans that can be cut so far, in a winter of that temperature.
    fn by_fans(winter: f64, minimum_air: f64) -> crate::job::Job {
        let mut job = changed(|circuit| {
            circuit.condenser.head_control = HeadControl::Fans { setpoint: fahrenheit(85.0), minimum_air };
        });
        job.site.winter = fahrenheit(winter);
        job
    }

    #[test]
    fn fans_that_cannot_be_cut_far_enough_fail() {
        let found = finding(RULE, &by_fans(30.0, 0.3));
        assert_eq!((found.verdict, found.point()), (Verdict::Fail, Some(PointId::WinterMinimum)));
        assert!(found.words().ends_with("The fans are at 30 % air."), "{}", found.words());
        assert_eq!(finding(RULE, &by_fans(30.0, 0.05)).verdict, Verdict::Pass);
    }

    #[test]
    fn fans_counted_on_below_what_a_coil_draws_by_itself_are_a_caution() {
        let found = finding(RULE, &by_fans(2.0, 0.02));
        assert_eq!((found.verdict, found.limit()), (Verdict::Caution, 0.05), "{found:#?}");
        assert!(found.words().contains("and natural draft alone gives 5.00 %"), "{}", found.words());
    }

    #[test]
    fn a_point_that_falls_to_the_suction_is_a_fail() {
        let job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        let mut survey = solved(&job);
        let circuit = &mut survey.circuits[0];
        circuit.points.retain(|point| !point.name.starts_with("winter"));
        circuit.unsolved.clear();
        let why = Why::FallsToSuction { evaporating_K: 277.0 };
        circuit.unsolved.push(Unsolved { id: PointId::WinterFull, name: "winter full".to_owned(), why });
        let found = RULE.check(&job, &survey);
        let fail = found.iter().find(|f| f.verdict == Verdict::Fail).unwrap();
        assert_eq!(fail.point(), Some(PointId::WinterFull));
        assert!(
            fail.words().contains("falls to the evaporating temperature (39 F) at winter full"),
            "{}",
            fail.words()
        );
    }

    #[test]
    fn a_head_that_is_lost_and_a_setpoint_that_is_missed_are_one_finding() {
        let job = by_fans(30.0, 0.3);
        let mut survey = solved(&job);
        let circuit = &mut survey.circuits[0];
        circuit.points.retain(|point| point.id != PointId::WinterMinimum);
        circuit.points.iter_mut().for_each(|point| point.condensing_K = point.condensing_K.min(295.0));
        let why = Why::FallsToSuction { evaporating_K: 277.0 };
        circuit.unsolved.push(Unsolved { id: PointId::WinterMinimum, name: "winter minimum".to_owned(), why });
        let found = only(RULE.check(&job, &survey));
        assert_eq!((found.verdict, found.point()), (Verdict::Fail, Some(PointId::WinterMinimum)));
        let words = found.words();
        assert!(words.contains("the head pressure is lost") && words.contains("the setpoint of the head"), "{words}");
    }

    #[test]
    fn condensing_below_evaporating_fails_without_head_control_too() {
        let job = changed(|circuit| circuit.condenser.head_control = HeadControl::None);
        let survey = by_hand(&job, PointId::WinterFull, |p| p.condensing_K = p.evaporating_K);
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
    }
}
