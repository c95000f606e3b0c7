//! `rating-point`: do the rated capacity and the rated power of the compressors belong together, and is anything left of them?

use super::case::Case;
use super::say::list;
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::job::Performance;
use crate::survey::PointId;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "rating-point",
    question: "Do the rated capacity and power of the compressors belong together, and does every operating point cool?",
    explanation: "\
The overall isentropic efficiency that the compressors' rating gives: the work that an ideal compressor would need for the rated \
flow, over the rated power. Real ones lie between 0.45 and 0.80. Outside it, capacity and power come from different conditions, \
from different machines, or the power is that of the fans or of one compressor of several.

Every other answer rests on the rating, so this is a caution about all of them. The mend is the range of power that would \
belong to the rated capacity.

An operating point at which no capacity is left is a fail: there the compressors run and nothing is cooled, as where the hot-gas \
bypass gives back as much heat as the rest of the flow takes up. The mend is a smaller bypass, solved again with it.",
    limits: &["rated_efficiency_least", "rated_efficiency_most"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    nothing_cooled(case).into_iter().chain(efficiency(case)).collect()
}

/// The operating points at which nothing is left of the capacity.
fn nothing_cooled(case: &Case) -> Option<Finding> {
    let idle = || case.points().filter(|point| point.capacity_W <= 0.0);
    let (worst, capacity) = super::case::least(idle().map(|point| (point, point.capacity_W)))?;
    let points = list(idle().map(|point| point.name.clone()));
    let mut says = format!("Nothing is cooled at {points}: the compressors run and no capacity is left");
    if worst.bypass_share > 0.0 {
        let _ =
            write!(says, ", with the hot-gas bypass open ({} of the flow)", case.show().percent(worst.bypass_share));
    }
    let finding = case
        .finding(RULE.id, Verdict::Fail)
        .at(worst.id)
        .found(capacity, 0.0, "W")
        .says(format!("{says}."))
        .by("the balance of the circuit");
    Some(finding.mended(case, |tries| unsolved::less_bypass(case, tries, |_| true)))
}

/// Whether capacity and power of the rating belong together.
fn efficiency(case: &Case) -> Vec<Finding> {
    let show = case.show();
    let efficiency = case.solved.rated_efficiency;
    let (least, most) = (case.limit("rated_efficiency_least"), case.limit("rated_efficiency_most"));
    if !efficiency.is_finite() {
        return Vec::new();
    }
    let (verdict, limit) = if efficiency < least.value {
        (Verdict::Caution, least.clone())
    } else if efficiency > most.value {
        (Verdict::Caution, most.clone())
    } else {
        (Verdict::Pass, most.clone())
    };
    let mut says =
        format!("At their rating the compressors have an overall efficiency of {}", show.percent(efficiency));
    says += if verdict > Verdict::Pass { ": capacity and power do not belong together." } else { "." };
    let finding = case
        .finding(RULE.id, verdict)
        .at(PointId::Rating)
        .found(efficiency, limit.value, "-")
        .says(says)
        .by(limit.source);
    vec![finding.mended(case, |_| {
        let power = match case.circuit.compressors.performance {
            Performance::Rating { power, .. } => power.value,
            Performance::Map(_) => case.solved.point(PointId::Rating)?.power_W,
        };
        Some(format!(
            "Between {} and {} would belong to this capacity.",
            show.power(power * efficiency / most.value),
            show.power(power * efficiency / least.value)
        ))
    })]
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
    fn a_point_without_any_capacity_left_is_a_fail() {
        let job = job();
        let at = |watts: f64| by_hand(&job, PointId::SummerMinimum, move |p| p.capacity_W = watts);
        assert_eq!(verdict(RULE, &job, &at(1.0)), Verdict::Pass);
        let found = RULE.check(&job, &at(0.0));
        assert_eq!((found[0].verdict, found[0].point.as_deref()), (Verdict::Fail, Some("summer least")));
        assert!(found[0].says.starts_with("Nothing is cooled at summer least: "), "{}", found[0].says);
    }

    #[test]
    fn a_bypass_that_gives_all_back_fails_somewhere_and_the_share_named_would_do() {
        let of = |share: f64| changed(|circuit| circuit.compressors.bypass.share = share);
        let fails = |share: f64| -> Vec<Finding> {
            let job = of(share);
            let findings = super::super::check_all(&job, &super::super::testing::solved(&job));
            let empty = |f: &Finding| f.says.contains("Nothing is cooled") || f.says.contains("capacity");
            findings.into_iter().filter(|f| f.verdict == Verdict::Fail && empty(f)).collect()
        };
        let found = fails(0.95);
        assert!(!found.is_empty());
        let mend = found[0].mend.clone().unwrap();
        let share = mend.strip_prefix("A hot-gas bypass of ").and_then(|rest| rest.split_once(" %")).unwrap().0;
        assert!(fails(share.parse::<f64>().unwrap() / 100.0).is_empty(), "{mend}");
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
        let mend = found.mend.unwrap();
        let least = mend.strip_prefix("Between ").and_then(|rest| rest.split_once(" kW and ")).unwrap().0;
        assert_eq!(finding(RULE, &of(least.parse::<f64>().unwrap() + 0.1)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &of(least.parse::<f64>().unwrap() - 0.2)).verdict, Verdict::Caution);
    }
}
