//! `riser-traps`: a trap at the foot, traps between on a tall riser, a loop at the top.

use super::case::Case;
use super::mend::Tries;
use super::say::list;
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
use crate::job::{Path, Traps};
use crate::units::{Length, System, factor, metres};
use std::fmt::Write as _;

/// Slack on heights read from a drawing, m.
const SLACK: f64 = 0.005;

/// The rule.
pub const RULE: Rule = Rule {
    id: "riser-traps",
    question: "Has every riser a trap at its foot, traps between where it is tall, and a loop at its top?",
    explanation: "\
Every rise of the discharge line that is taller than 8 ft wants a trap at its foot, which keeps what runs down at a stop \
out of the compressors and gives the gas a ripple to lift, and one more each 20 ft or so. An inverted loop at the top keeps \
liquid that condenses above from running back into it. All this is common practice, and makers differ: the manual of the \
machine decides. A missing trap is a caution, a missing loop a note.

Two tubes in parallel are another matter: without a trap at the foot nothing seals the larger one, and the smaller does \
not carry all the flow at part load. Where the answer of `oil-lift` rests on that seal, a missing foot trap is a fail.

The mend is the `trap` to write, with its heights, and what it costs in drop, solved again with it.",
    limits: &["trap_height", "trap_spacing"],
    look: Look::Circuit(look),
};

/// A rise as drawn.
struct Rise<'a> {
    index: usize,
    height: f64,
    traps: &'a Traps,
}

fn look(case: &Case) -> Vec<Finding> {
    let rises: Vec<Rise> = case
        .circuit
        .discharge
        .runs
        .iter()
        .enumerate()
        .filter_map(|(index, run)| match &run.path {
            Path::Rise { length, traps } => Some(Rise { index, height: length.value, traps }),
            _ => None,
        })
        .collect();
    let findings: Vec<Finding> = rises.iter().map(|rise| judge(case, rise)).collect();
    let wrong = findings.iter().any(|finding| finding.verdict > Verdict::Pass);
    let tallest = rises.iter().map(|rise| rise.height).fold(0.0, f64::max);
    findings
        .into_iter()
        .zip(rises)
        .filter(|(finding, rise)| if wrong { finding.verdict > Verdict::Pass } else { rise.height >= tallest })
        .map(|(finding, _)| finding)
        .take(if wrong { usize::MAX } else { 1 })
        .collect()
}

fn judge(case: &Case, rise: &Rise) -> Finding {
    let show = case.show();
    let number = rise.index + 1;
    let (least, spacing) = (case.limit("trap_height"), case.limit("trap_spacing"));
    let sealed = case
        .runs(LineId::Discharge)
        .find(|at| at.answer.index == number && at.answer.tubes.iter().any(|tube| tube.sealed))
        .map(|at| at.point.name.clone());
    let name = case.circuit.discharge.runs.get(rise.index).map_or_else(String::new, |run| case.name_run(run, number));
    let rests = sealed.is_some() && !rise.traps.foot;
    let tall = rise.height > least.value + SLACK;
    let foot = !rise.traps.foot && (tall || rests);
    let between = if tall { missing(rise, spacing.value) } else { Vec::new() };
    let top = tall && !rise.traps.top;
    let (verdict, limit) = match (rests, foot, between.is_empty(), top) {
        (true, ..) => (Verdict::Fail, &least),
        (false, true, ..) => (Verdict::Caution, &least),
        (false, false, false, _) => (Verdict::Caution, &spacing),
        (false, false, true, true) => (Verdict::Note, &least),
        (false, false, true, false) => (Verdict::Pass, &least),
    };
    let mut lacks = Vec::new();
    if foot {
        lacks.push("no trap at its foot".to_owned());
    }
    if !between.is_empty() {
        lacks.push(format!("more than {} between traps", show.length(spacing.value)));
    }
    if top {
        lacks.push("no inverted loop at its top".to_owned());
    }
    let mut says = match (tall, lacks.is_empty()) {
        (_, false) => format!("In {name} there is {}.", list(lacks)),
        (true, true) => format!("The traps of {name} are where common practice wants them."),
        (false, true) => format!("At {} tall, {name} needs no trap.", show.length(rise.height)),
    };
    if let (true, Some(point)) = (rests, sealed) {
        let _ = write!(says, " Its larger tube is to seal with oil at {point}, and without a trap it does not.");
    } else if verdict > Verdict::Pass {
        says += " The manual of the machine decides.";
    }
    let finding = case
        .finding(RULE.id, verdict)
        .place(format!("discharge run {number}"))
        .found(rise.height, limit.value, "m")
        .says(says)
        .by(&limit.source);
    finding.mended(case, |tries| mend(case, tries, rise, foot, &between))
}

/// The heights of traps between that would leave no gap over the spacing; none where there is no such gap.
fn missing(rise: &Rise, spacing: f64) -> Vec<f64> {
    let mut heights: Vec<f64> = rise.traps.between.iter().map(|height| height.value).collect();
    heights.sort_by(f64::total_cmp);
    let mut missing = Vec::new();
    let mut below = 0.0;
    for height in heights.into_iter().chain([rise.height]) {
        let gap: f64 = height - below;
        // Not past a hundred: a spacing of nothing is the user's own limit, not a drawing.
        let parts = ((gap - SLACK) / spacing).ceil().clamp(1.0, 100.0);
        let mut part = 1.0;
        while part < parts {
            missing.push(below + gap * part / parts);
            part += 1.0;
        }
        below = height;
    }
    missing
}

/// The traps as they are to be written, counted as they are written.
fn mend(case: &Case, tries: &mut Tries, rise: &Rise, foot: bool, between: &[f64]) -> Option<String> {
    let show = case.show();
    let mut wants = Vec::new();
    if foot {
        wants.push("a trap at the foot".to_owned());
    }
    // To the tenth, as a height is told.
    let tenth = match show {
        System::Ip => 0.1 * factor::FOOT,
        System::Si => 0.1,
    };
    let between: Vec<f64> = between.iter().map(|height| (height / tenth).round() * tenth).collect();
    if !between.is_empty() {
        let word = if between.len() == 1 { "a trap" } else { "traps" };
        wants.push(format!("{word} at {}", list(between.iter().map(|height| show.length(*height)))));
    }
    // A list of heights has the loop at the top with it, and a tall rise wants one.
    let mut traps = rise.traps.clone();
    traps.foot = true;
    traps.between.extend(between.iter().map(|height| -> Length { metres(*height) }));
    traps.between.sort_by(|a, b| a.value.total_cmp(&b.value));
    traps.top |= !traps.between.is_empty() || rise.height > case.limit("trap_height").value + SLACK;
    if traps.top && !rise.traps.top {
        wants.push("a loop at the top".to_owned());
    }
    let written = match (traps.between.is_empty(), traps.top) {
        (true, false) => "\"foot\"".to_owned(),
        (true, true) => "\"foot and top\"".to_owned(),
        (false, _) => {
            let heights: Vec<String> =
                traps.between.iter().map(|height| format!("\"{}\"", show.length(height.value))).collect();
            format!("[{}]", heights.join(", "))
        }
    };
    let trial = tries.with(|circuit| {
        if let Some(Path::Rise { traps: drawn, .. }) =
            circuit.discharge.runs.get_mut(rise.index).map(|run| &mut run.path)
        {
            drawn.clone_from(&traps);
        }
    })?;
    let mut text =
        format!("`trap = {written}` in run {}, with {}, is as common practice wants it", rise.index + 1, list(wants));
    let drop = |case: &Case| super::discharge_drop::worst(case).map(|(_, drop)| drop);
    if let (Some(before), Some(after)) = (drop(case), drop(&trial.case())) {
        let _ = write!(text, ", for {} more drop", show.small_difference(after - before));
    }
    Some(format!("{text}.{}", trial.but()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, feet, finding, findings, job, only, with_tubes};
    use super::*;
    use crate::job::Circuit;

    fn traps(circuit: &mut Circuit, height: f64, foot: bool, top: bool, between: &[f64]) {
        let between = between.iter().map(|height| feet(*height)).collect();
        discharge(circuit, 2).path = Path::Rise { length: feet(height), traps: Traps { foot, top, between } };
    }

    #[test]
    fn heights_exactly_at_the_limits_need_nothing_more() {
        let untrapped = |height: f64| finding(RULE, &changed(|c| traps(c, height, false, false, &[]))).verdict;
        assert_eq!(untrapped(8.0), Verdict::Pass);
        assert_eq!(untrapped(8.1), Verdict::Caution);
        let trapped =
            |height: f64, between: &[f64]| finding(RULE, &changed(|c| traps(c, height, true, true, between))).verdict;
        assert_eq!(trapped(20.0, &[]), Verdict::Pass);
        assert_eq!(trapped(20.1, &[]), Verdict::Caution);
        assert_eq!(trapped(40.0, &[20.0]), Verdict::Pass);
        assert_eq!(trapped(40.0, &[15.0]), Verdict::Caution);
    }

    #[test]
    fn a_missing_loop_at_the_top_is_a_note() {
        let found = finding(RULE, &changed(|c| traps(c, 38.0, true, false, &[19.0])));
        assert_eq!(found.verdict, Verdict::Note);
        assert!(found.says.contains("no inverted loop at its top"), "{}", found.says);
    }

    #[test]
    fn missing_traps_are_named_with_their_heights_and_their_cost() {
        let found = finding(RULE, &changed(|c| traps(c, 50.0, false, false, &[])));
        assert_eq!(found.verdict, Verdict::Caution);
        let mend = found.mend.unwrap();
        let told = "`trap = [\"16.7 ft\", \"33.3 ft\"]` in run 2, with a trap at the foot, traps at 16.7 ft and 33.3 ft and a \
                    loop at the top, is as common practice wants it, for ";
        let rest = mend.strip_prefix(told).unwrap_or_else(|| panic!("{mend}"));
        let more: f64 = rest.split_once(" F more drop").unwrap().0.parse().unwrap();
        // What is told to be written is what is counted: foot and top are part of a list of heights.
        let drop = |job: &crate::job::Job| {
            let solved = super::super::testing::solved(job);
            let case = Case::all(job, &solved).next().unwrap();
            super::super::discharge_drop::worst(&case).unwrap().1 * 1.8
        };
        let bare = drop(&changed(|c| traps(c, 50.0, false, false, &[])));
        let written = changed(|c| traps(c, 50.0, true, true, &[16.7, 33.3]));
        assert!((drop(&written) - bare - more).abs() < 0.0051, "{mend}");
        assert_eq!(finding(RULE, &written).verdict, Verdict::Pass);
    }

    #[test]
    fn a_double_riser_that_seals_without_a_trap_fails() {
        let job = changed(|circuit| {
            traps(circuit, 6.0, false, false, &[]);
            with_tubes(discharge(circuit, 2), &["1-5/8 ACR", "2-5/8 ACR"]);
        });
        let survey = by_hand(&job, PointId::WinterMinimum, |p| p.discharge_line.runs[1].tubes[1].sealed = true);
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(
            found.says.contains("is to seal with oil at winter least, and without a trap it does not"),
            "{}",
            found.says
        );
        assert!(found.mend.unwrap().starts_with("`trap = \"foot\"` in run 2, with a trap at the foot, is "));
    }

    #[test]
    fn a_line_without_a_rise_is_not_asked() {
        let flat = changed(|circuit| {
            circuit.discharge.runs.remove(1);
        });
        assert!(findings(RULE, &flat).is_empty());
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
    }
}
