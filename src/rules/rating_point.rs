//! `rating-point`: do the rated capacity and the rated power of the compressors belong together?

use super::case::Case;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Performance;

/// The rule.
pub const RULE: Rule = Rule {
    id: "rating-point",
    question: "Do the rated capacity and the rated power of the compressors belong together?",
    explanation: "\
The overall isentropic efficiency that the compressors' rating gives: the work that an ideal compressor would need for the rated \
flow, over the rated power. Real ones lie between 0.45 and 0.80. Outside it, capacity and power come from different conditions, \
from different machines, or the power is that of the fans or of one compressor of several.

Every other answer rests on the rating, so this is a caution about all of them. The mend is the range of power that would \
belong to the rated capacity.",
    limits: &["rated_efficiency_least", "rated_efficiency_most"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
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
        .at("rating full")
        .found(efficiency, limit.value, "-")
        .says(says)
        .by(limit.source);
    vec![finding.mended(case, |_| {
        let power = match case.circuit.compressors.performance {
            Performance::Rating { power, .. } => power.value,
            Performance::Map(_) => case.solved.point("rating full")?.power_W,
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
            let mut survey = by_hand(&job, "summer full", |_| {});
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
