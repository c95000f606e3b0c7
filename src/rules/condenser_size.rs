//! `condenser-size`: does the condenser take the chiller's heat on the design day?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::Ladder;
use super::say::{Value, say};
use crate::survey::PointId;
use crate::units::Kind;

/// The operating point that counts.
const POINT: PointId = PointId::SummerFull;

pub const RULE: Rule = Rule {
    id: "condenser-size",
    question: "Does the condenser reject the chiller's heat on the design day?",
    explanation: "\
TD at `summer full` (condensing temperature less the air on the coil) is compared with the TD of the condenser's \
rating. A condenser that needs much more than its rated TD is too small there, by its size, altitude or air. \
Capacity falls, power rises and the high-pressure cut-out is near.

Above 1.15 times the rated TD is a caution, above 1.35 times a fail. Both are roofrun defaults with no published \
source. Warm air that returns to the coil is part of the air on it and does not count against the condenser: \
`high-pressure` and `recirculation` judge that.

`plant-load` judges whether the capacity that remains carries the load. Where the evaporator starves, the condenser \
gets less heat than the chiller's rating gives. The rule then does not judge.",
    limits: &["condenser_size_caution", "condenser_size"],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

fn judge(case: &Case) -> Option<Finding> {
    let point = case.solved.point(POINT)?;
    let (over, rated) = (point.condensing_K - point.air_on_K, case.circuit.condenser.td.value);
    let limits = Ladder::new(case.job, "condenser_size_caution", "condenser_size");
    let ratio = over / rated;
    let (mut verdict, limit) = limits.above(ratio);
    let difference = |kelvins: f64| Value::Of(Kind::Difference, kelvins);
    let mut says = say(
        "TD on the design day is {}, {} times the {} of the condenser's rating",
        [difference(over), Value::Of(Kind::Ratio, ratio), difference(rated)],
    );
    says = match (verdict, point.starved) {
        (Verdict::Pass, true) => {
            verdict = Verdict::NotJudged;
            says.and(". The evaporator starves there and gives less heat than the chiller has: not judged.", [])
        }
        (Verdict::Pass, false) => says.and(".", []),
        _ => says.and(
            ". The condenser is too small for {} of total heat rejection.",
            [Value::Of(Kind::Heat, point.rejection_W)],
        ),
    };
    if let Some(rating) = case.solved.point(PointId::Rating).filter(|_| verdict > Verdict::NotJudged) {
        let capacity = |watts: f64| Value::Of(Kind::Capacity, watts);
        says = says.and(" Capacity is {} of {} rated.", [capacity(point.capacity_W), capacity(rating.capacity_W)]);
    }
    let finding = case.finding(RULE.id, verdict).at(POINT).place(Place::Condenser);
    Some(finding.found(ratio, limit.value, Kind::Ratio).says(says).by(&limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, job, verdict};
    use super::*;
    use crate::job::Job;
    use crate::survey::Survey;

    fn at(job: &Job, ratio: f64, starved: bool) -> Survey {
        let rated = job.circuits[0].condenser.td.value;
        by_hand(job, POINT, move |p| (p.condensing_K, p.starved) = (p.air_on_K + ratio * rated, starved))
    }

    #[test]
    fn both_limits_themselves_are_still_allowed() {
        let job = job();
        let steps = [
            (1.0, Verdict::Pass),
            (1.1499, Verdict::Pass),
            (1.1501, Verdict::Caution),
            (1.3499, Verdict::Caution),
            (1.3501, Verdict::Fail),
        ];
        for (ratio, expected) in steps {
            assert_eq!(verdict(RULE, &job, &at(&job, ratio, false)), expected, "{ratio}");
        }
    }

    #[test]
    fn an_evaporator_that_starves_hides_the_heat() {
        let job = job();
        assert_eq!(verdict(RULE, &job, &at(&job, 0.8, true)), Verdict::NotJudged);
        assert_eq!(verdict(RULE, &job, &at(&job, 1.4, true)), Verdict::Fail);
    }

    #[test]
    fn half_a_condenser_is_too_small_and_the_words_say_what_is_left() {
        let half = changed(|circuit| circuit.condenser.rejection = 0.5 * circuit.condenser.rejection);
        let found = finding(RULE, &half);
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert!(found.words().ends_with(" tons of 40.0 tons rated."), "{}", found.words());
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
    }
}
