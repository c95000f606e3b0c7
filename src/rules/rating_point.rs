//! `rating-point`: do the rated capacity and the rated power of the compressors belong together, and is anything left of them?

use super::case::{Case, greatest, minimum};
use super::finding::{Finding, Look, Rule, Verdict};
use super::say::{Value, say};
use crate::job::Performance;
use crate::survey::{Point, PointId};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "rating-point",
    question: "Do the rated capacity and power of the compressors match, and does every operating point cool?",
    explanation: "\
The overall isentropic efficiency of the rating: the work of an ideal compressor at the rated flow, divided by the \
rated power. Real compressors are between 0.45 and 0.80. Outside that, capacity and power come from different \
conditions or chillers, or the power is that of the fans or of one compressor of several. Every other result rests \
on the rating, so the caution covers all of them. It gives the range of power that matches the rated capacity.

Away from the rating the compressors follow a correlation measured at pressure ratios from 1.3 to 9.7. A rating or \
an operating point outside that is a caution: the result is extrapolated. Ten-coefficient polynomials are valid \
where their manufacturer says.

An operating point without capacity is a fail: the compressors run and nothing is cooled, for example where the \
hot-gas bypass gives back all the heat that the rest of the flow takes up.",
    limits: &[
        "rated_efficiency_minimum",
        "rated_efficiency_maximum",
        "pressure_ratio_minimum",
        "pressure_ratio_maximum",
    ],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    nothing_cooled(case).into_iter().chain(beyond(case)).chain(efficiency(case)).collect()
}

/// Whether some point lies outside the pressure ratios of the correlation.
fn beyond(case: &Case) -> Option<Finding> {
    if matches!(case.circuit.compressors.performance, Performance::Map(_)) {
        return None;
    }
    let (minimum, maximum) = (case.limit("pressure_ratio_minimum"), case.limit("pressure_ratio_maximum"));
    let ratio = |point: &Point| point.state.discharge.pressure_Pa / point.state.suction.pressure_Pa;
    let past = |ratio: f64| (minimum.value / ratio).max(ratio / maximum.value);
    let (point, by) = greatest(case.solved.points.iter().map(|point| (point, past(ratio(point)))))?;
    if by <= 1.0 {
        return None;
    }
    let (found, limit) = (ratio(point), if ratio(point) > maximum.value { maximum.clone() } else { minimum.clone() });
    let values = [found, minimum.value, maximum.value].map(|ratio| Value::Of(Kind::Ratio, ratio));
    let [found_said, minimum, maximum] = values;
    let says = say(
        "Pressure ratio at {} is {}. The compressor model is valid from {} to {}: the result there is extrapolated.",
        [Value::Point(point.id), found_said, minimum, maximum],
    );
    let finding = case.finding(RULE.id, Verdict::Caution).at(point.id).found(found, limit.value, Kind::Ratio);
    Some(finding.says(says).by(limit.source))
}

/// The operating points at which nothing is left of the capacity.
fn nothing_cooled(case: &Case) -> Option<Finding> {
    let idle = || case.points().filter(|point| point.capacity_W <= 0.0);
    let (worst, capacity) = minimum(idle().map(|point| (point, point.capacity_W)))?;
    let points = Value::List(idle().map(|point| Value::Point(point.id)).collect());
    let mut says = say("No capacity is left at {} with the compressors running", [points]);
    if worst.bypass_share > 0.0 {
        let share = Value::Of(Kind::Share, worst.bypass_share);
        says = says.and(" and the hot-gas bypass open ({})", [share]);
    }
    let finding = case.finding(RULE.id, Verdict::Fail).at(worst.id).found(capacity, 0.0, Kind::Capacity);
    Some(finding.says(says.and(".", [])))
}

/// Whether capacity and power of the rating belong together.
fn efficiency(case: &Case) -> Option<Finding> {
    let efficiency = Some(case.solved.rated_efficiency).filter(|efficiency| efficiency.is_finite())?;
    let (minimum, maximum) = (case.limit("rated_efficiency_minimum"), case.limit("rated_efficiency_maximum"));
    let range = [minimum.value, maximum.value];
    let (verdict, limit) = if efficiency < minimum.value {
        (Verdict::Caution, minimum)
    } else if efficiency > maximum.value {
        (Verdict::Caution, maximum)
    } else {
        (Verdict::Pass, maximum)
    };
    let says = say("The overall efficiency of the compressors' rating is {}", [Value::Of(Kind::Share, efficiency)]);
    let power = match case.circuit.compressors.performance {
        Performance::Rating { power, .. } => Some(power.value),
        Performance::Map(_) => case.solved.point(PointId::Rating).map(|point| point.power_W),
    };
    let says = match power.filter(|_| verdict > Verdict::Pass) {
        Some(power) => says.and(
            ": capacity and power do not match. This capacity takes between {} and {}.",
            [range[1], range[0]].map(|share| Value::Of(Kind::Power, power * efficiency / share)),
        ),
        None if verdict > Verdict::Pass => says.and(": capacity and power do not match.", []),
        None => says.and(".", []),
    };
    let finding = case.finding(RULE.id, verdict).at(PointId::Rating).found(efficiency, limit.value, Kind::Share);
    Some(finding.says(says).by(limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, job, verdict};
    use super::*;

    #[test]
    fn both_bounds_themselves_are_still_believed() {
        let job = job();
        let at = |efficiency: f64| {
            let mut survey = by_hand(&job, PointId::SummerFull, |_| {});
            survey.circuits[0].rated_efficiency = efficiency;
            survey
        };
        for (efficiency, expected) in
            [(0.45, Verdict::Pass), (0.4499, Verdict::Caution), (0.80, Verdict::Pass), (0.8001, Verdict::Caution)]
        {
            assert_eq!(verdict(RULE, &job, &at(efficiency)), expected, "{efficiency}");
        }
    }

    #[test]
    fn a_pressure_ratio_beyond_the_correlation_is_a_caution() {
        let job = job();
        let at = |ratio: f64| {
            by_hand(&job, PointId::WinterFull, move |p| {
                p.state.discharge.pressure_Pa = ratio * p.state.suction.pressure_Pa;
            })
        };
        for ratio in [1.3001, 9.6999] {
            assert_eq!(verdict(RULE, &job, &at(ratio)), Verdict::Pass, "{ratio}");
        }
        for ratio in [1.2999, 9.7001, 14.7] {
            let found = RULE.check(&job, &at(ratio));
            assert_eq!((found[0].verdict, found[0].value()), (Verdict::Caution, found[0].measure.unwrap().value));
            assert!(found[0].text(&job).contains("extrapolated"), "{ratio}");
        }
    }

    #[test]
    fn a_point_without_any_capacity_left_is_a_fail() {
        let job = job();
        let at = |watts: f64| by_hand(&job, PointId::SummerMinimum, move |p| p.capacity_W = watts);
        assert_eq!(verdict(RULE, &job, &at(1.0)), Verdict::Pass);
        let found = RULE.check(&job, &at(0.0));
        assert_eq!((found[0].verdict, found[0].point()), (Verdict::Fail, Some(PointId::SummerMinimum)));
        let text = found[0].text(&job);
        assert!(text.starts_with("No capacity is left at summer minimum "), "{text}");
    }

    #[test]
    fn power_too_small_for_the_capacity_is_found_and_the_range_named_would_do() {
        let of = |kilowatts: f64| {
            changed(|circuit| {
                if let Performance::Rating { power, .. } = &mut circuit.compressors.performance {
                    *power = crate::units::watts(kilowatts * 1e3);
                }
            })
        };
        let found = finding(RULE, &of(30.0));
        assert_eq!(found.verdict, Verdict::Caution);
        let text = found.text(&job());
        let range = text.split_once("takes between ").unwrap().1;
        let minimum = range.split_once(" kW and ").unwrap().0;
        assert_eq!(finding(RULE, &of(minimum.parse::<f64>().unwrap() + 0.1)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &of(minimum.parse::<f64>().unwrap() - 0.2)).verdict, Verdict::Caution);
    }
}
