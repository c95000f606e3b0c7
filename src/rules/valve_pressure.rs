//! `valve-pressure`: is there pressure enough across the expansion valve on the coldest day?

use super::case::{Case, least};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::survey::Point;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "valve-pressure",
    question: "Is there pressure enough across the expansion valve on the coldest day?",
    explanation: "\
The pressure at the valve's inlet less the evaporating pressure, at every operating point, against the least that the valve \
needs for its full capacity. What the distributor and the evaporator take themselves comes off that difference too: the job's \
`least_drop` should have room for it. Without `least_drop` the difference is told and not judged.

On a cold day a condenser on the roof pulls the head pressure down until the valve cannot feed the evaporator: suction \
pressure falls, the low-pressure switch trips or the evaporator freezes.",
    limits: &[],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

fn judge(case: &Case) -> Option<Finding> {
    let across = |point: &Point| point.state.valve_inlet.pressure_Pa - point.state.suction.pressure_Pa;
    let (point, across) = least(case.points().map(|point| (point, across(point))))?;
    let pressure = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
    let stands = if across > 0.0 {
        say("{} stand across the expansion valve at {}", [pressure(across), Value::Point(point.id)])
    } else {
        say(
            "At {} the valve cannot feed at all: the evaporator stands at {} more than its inlet",
            [Value::Point(point.id), pressure(-across)],
        )
    };
    let needs = case.circuit.valve.least_drop.map(|needs| needs.value);
    let (verdict, limit, says) = match needs {
        Some(needs) => {
            let values = [Value::Of(Kind::Temperature, point.condensing_K), pressure(needs)];
            let verdict = if across < needs { Verdict::Fail } else { Verdict::Pass };
            (verdict, needs.into(), stands.and(", condensing at {}; it needs {}.", values))
        }
        None if across <= 0.0 => (Verdict::Fail, Some(0.0), stands.and(".", [])),
        None => {
            let why = "; the job does not say how much the valve needs (valve.least_drop), so this was not judged.";
            (Verdict::NotJudged, None, stands.and(why, []))
        }
    };
    let finding = case.finding(RULE.id, verdict).at(point.id).place(Place::Valve);
    Some(finding.found(across, limit, Kind::PressureDifference).says(says).by(Source::Job("valve.least_drop")))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, verdict};
    use super::*;
    use crate::job::HeadControl;
    use crate::survey::PointId;

    #[test]
    fn the_least_drop_itself_is_enough() {
        let job = job();
        let needs = job.circuits[0].valve.least_drop.unwrap().value;
        let at = |across: f64| {
            by_hand(&job, PointId::WinterMinimum, move |p| {
                p.state.valve_inlet.pressure_Pa = p.state.suction.pressure_Pa + across;
            })
        };
        assert_eq!(verdict(RULE, &job, &at(needs)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(needs - 1.0)), Verdict::Fail);
    }

    #[test]
    fn without_least_drop_the_difference_is_told() {
        let found = finding(RULE, &changed(|circuit| circuit.valve.least_drop = None));
        assert_eq!((found.verdict, found.measure.unwrap().limit), (Verdict::NotJudged, None));
        assert!(found.words().contains("stand across the expansion valve at winter"), "{}", found.words());
    }

    #[test]
    fn a_cold_day_fails_and_held_head_passes() {
        let held = |control: HeadControl| {
            let mut job = changed(|circuit| circuit.condenser.head_control = control);
            job.site.winter = fahrenheit(45.0);
            job
        };
        assert_eq!(finding(RULE, &held(HeadControl::None)).verdict, Verdict::Fail);
        assert_eq!(finding(RULE, &held(HeadControl::Flooding { hold: fahrenheit(85.0) })).verdict, Verdict::Pass);
    }

    #[test]
    fn an_evaporator_above_the_inlet_of_the_valve_is_told_in_words_and_not_as_a_negative_pressure() {
        let job = job();
        let survey = by_hand(&job, PointId::WinterMinimum, |p| {
            p.state.valve_inlet.pressure_Pa = p.state.suction.pressure_Pa - 1e5;
        });
        let found = super::super::testing::only(RULE.check(&job, &survey));
        assert_eq!((found.verdict, found.value()), (Verdict::Fail, -1e5));
        let told =
            "At winter least the valve cannot feed at all: the evaporator stands at 14.5 psi more than its inlet, ";
        assert!(found.words().starts_with(told), "{}", found.words());
    }
}
