//! `high-pressure`: how far is the cut-out on the hottest day?

use super::case::Case;
use super::finding::{Finding, Look, Rule, Source, Verdict};
use super::say::{Value, say};
use super::unsolved;
use crate::units::{Kind, Pressure};

pub const RULE: Rule = Rule {
    id: "high-pressure",
    question: "How near is the high-pressure cut-out on the hottest day?",
    explanation: "\
The highest discharge pressure at the compressors, usually at full load on the design day, is compared with the \
high-pressure cut-out. At or above its setting the plant trips on the day with the greatest load. Within 5 % of it, as \
absolute pressure, is a caution: dirt on the coil or a little returning air takes that margin. The finding gives the \
outdoor temperature at which the cut-out would trip. Without `cutout` the rule does not judge.

An operating point at which the condenser cannot reject the heat at any pressure also fails this rule.",
    limits: &["cutout_margin"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    unsolved::and_then(case, RULE.id, judge)
}

fn judge(case: &Case) -> Option<Finding> {
    let (point, pressure) = case.worst(|point| point.state.discharge.pressure_Pa)?;
    let says = say(
        "Discharge pressure is {} at {}, condensing {}",
        [Value::Of(Kind::Pressure, pressure), Value::Point(point.id), Value::Temperature(point.condensing_K)],
    );
    let Some(cutout) = case.circuit.condenser.cutout.map(Pressure::pascals) else {
        let unknown = ". Not judged: the job gives no high-pressure cut-out (condenser.cutout).";
        let finding = case.finding(RULE.id, Verdict::NotJudged).at(point.id).found(pressure, None, Kind::Pressure);
        return Some(finding.says(says.and(unknown, [])).by(Source::Job("condenser.cutout")));
    };
    let margin = case.limit("cutout_margin");
    let clear = cutout * (1.0 - margin.value);
    let (verdict, limit, source) = if pressure >= cutout {
        (Verdict::Fail, cutout, Source::Job("condenser.cutout"))
    } else if pressure > clear {
        (Verdict::Caution, clear, margin.source)
    } else {
        (Verdict::Pass, clear, margin.source)
    };
    let mut says = says.and("; the cut-out trips at {}", [Value::Of(Kind::Pressure, cutout)]);
    if let Some(derating) = case.solved.derating.as_ref().filter(|derating| derating.highest_is_cutout) {
        says = says.and(", at {} outdoors", [Value::Temperature(derating.highest_outdoor_K)]);
    }
    let finding = case.finding(RULE.id, verdict).at(point.id).found(pressure, limit, Kind::Pressure);
    Some(finding.says(says.and(".", [])).by(source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, job, solved, verdict};
    use super::*;
    use crate::survey::{PointId, Why};

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
    fn without_a_switch_the_pressure_is_not_judged() {
        let found = finding(RULE, &changed(|circuit| circuit.condenser.cutout = None));
        assert_eq!((found.verdict, found.measure.unwrap().limit), (Verdict::NotJudged, None));
        assert_eq!(found.source, Source::Job("condenser.cutout"));
    }

    #[test]
    fn a_small_condenser_trips() {
        let found = finding(
            RULE,
            &changed(|circuit| {
                circuit.condenser.rejection *= 0.5;
                circuit.condenser.cutout = Some(Pressure::from_pascals(1.45e6));
            }),
        );
        assert_eq!((found.verdict, found.point()), (Verdict::Fail, Some(PointId::SummerFull)));
    }

    #[test]
    fn a_condenser_that_never_balances_fails_and_names_the_points() {
        let job = changed(|circuit| circuit.condenser.rejection *= 0.12);
        let survey = solved(&job);
        let never = |u: &&crate::survey::Unsolved| matches!(u.why, Why::NeverCondenses { .. });
        let lost: Vec<&str> = survey.circuits[0].unsolved.iter().filter(never).map(|u| u.name.as_str()).collect();
        assert!(lost.contains(&"summer full"), "{:?}", survey.circuits[0].unsolved);
        let found = RULE.check(&job, &survey);
        let fail = found.iter().find(|f| f.text(&job).contains("cannot reject the heat at")).unwrap();
        assert_eq!(fail.verdict, Verdict::Fail);
        for name in lost {
            assert!(fail.text(&job).contains(name), "{}", fail.text(&job));
        }
    }
}
