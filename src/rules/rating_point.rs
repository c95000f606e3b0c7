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
