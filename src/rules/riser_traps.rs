//! `riser-traps`: a trap at the foot, traps between on a tall riser, a loop at the top.

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Verdict, wrong_or_greatest};
use super::say::{Value, say};
use crate::job::{LineId, Path, Traps};
use crate::units::Kind;

/// Slack on heights read from a drawing, m.
const SLACK: f64 = 0.005;

pub const RULE: Rule = Rule {
    id: "riser-traps",
    question: "Has every riser a trap at its foot, traps between where it is tall, and a loop at its top?",
    explanation: "\
Every rise of the discharge line that is taller than 8 ft wants a trap at its foot, which keeps what runs down at a stop \
out of the compressors and gives the gas a ripple to lift, and one more each 20 ft or so. An inverted loop at the top keeps \
liquid that condenses above from running back into it. All this is common practice, and makers differ: the manual of the \
machine decides. A missing trap is a caution, a missing loop a note.

Two tubes in parallel are another matter: without a trap at the foot nothing seals the larger one, and the smaller does \
not carry all the flow at part load. Where the answer of `oil-lift` rests on that seal, a missing foot trap is a fail.",
    limits: &["trap_height", "trap_spacing"],
    look: Look::Circuit(look),
};

/// Who has the last word on traps.
const DECIDES: &str = " The manual of the machine decides.";

/// A rise as drawn.
struct Rise<'a> {
    index: usize,
    height: f64,
    traps: &'a Traps,
}

fn look(case: &Case) -> Vec<Finding> {
    let rises = case.circuit.discharge.runs.iter().enumerate().filter_map(|(index, run)| match &run.path {
        Path::Rise { length, traps } => Some(Rise { index, height: length.value, traps }),
        _ => None,
    });
    wrong_or_greatest(rises.map(|rise| (judge(case, &rise), rise.height)))
}

fn judge(case: &Case, rise: &Rise) -> Finding {
    let number = rise.index + 1;
    let (least, spacing) = (case.limit("trap_height"), case.limit("trap_spacing"));
    let sealed = case
        .runs(LineId::Discharge)
        .find(|at| at.answer.index == number && at.answer.tubes.iter().any(|tube| tube.sealed))
        .map(|at| at.point.id)
        .filter(|_| !rise.traps.foot);
    let tall = rise.height > least.value + SLACK;
    let foot = !rise.traps.foot && (tall || sealed.is_some());
    let wide = tall && widest_gap(rise) > spacing.value + SLACK;
    let top = tall && !rise.traps.top;
    let lacks = [
        foot.then(|| say("no trap at its foot", [])),
        wide.then(|| say("more than {} between traps", [Value::Of(Kind::Length, spacing.value)])),
        top.then(|| say("no inverted loop at its top", [])),
    ];
    let lacks: Vec<Value> = lacks.into_iter().flatten().map(Value::Say).collect();
    let name = Value::Run(LineId::Discharge, number);
    let says = match (tall, lacks.is_empty()) {
        (_, false) => say("In {} there is {}.", [name, Value::List(lacks)]),
        (true, true) => say("The traps of {} are where common practice wants them.", [name]),
        (false, true) => say("At {} tall, {} needs no trap.", [Value::Of(Kind::Length, rise.height), name]),
    };
    let (verdict, limit, says) = match (sealed, foot, wide, top) {
        (Some(point), ..) => {
            let rests = " Its larger tube is to seal with oil at {}, and without a trap it does not.";
            (Verdict::Fail, least, says.and(rests, [Value::Point(point)]))
        }
        (None, true, ..) => (Verdict::Caution, least, says.and(DECIDES, [])),
        (None, false, true, _) => (Verdict::Caution, spacing, says.and(DECIDES, [])),
        (None, false, false, true) => (Verdict::Note, least, says.and(DECIDES, [])),
        (None, false, false, false) => (Verdict::Pass, least, says),
    };
    case.finding(RULE.id, verdict)
        .place(Place::run(LineId::Discharge, number))
        .found(rise.height, limit.value, Kind::Length)
        .says(says)
        .by(limit.source)
}

/// The greatest height without a trap, m.
fn widest_gap(rise: &Rise) -> f64 {
    let mut heights: Vec<f64> = rise.traps.between.iter().map(|height| height.value).collect();
    heights.push(rise.height);
    heights.sort_by(f64::total_cmp);
    let below = std::iter::once(0.0).chain(heights.iter().copied());
    heights.iter().zip(below).map(|(height, below)| height - below).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, feet, finding, findings, job, only, with_tubes};
    use super::*;
    use crate::job::Circuit;
    use crate::survey::PointId;

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
        let job = changed(|c| traps(c, 38.0, true, false, &[19.0]));
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Note);
        assert!(found.text(&job).contains("no inverted loop at its top"), "{}", found.text(&job));
    }

    #[test]
    fn missing_traps_are_named() {
        let job = changed(|c| traps(c, 50.0, false, false, &[]));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, &found.place), (Verdict::Caution, &Some(Place::run(LineId::Discharge, 2))));
        assert_eq!(
            found.text(&job),
            "In the rise of 50 ft in 2-5/8 ACR (run 2) there is no trap at its foot, more than 20 ft between traps and no \
             inverted loop at its top. The manual of the machine decides."
        );
        let written = changed(|c| traps(c, 50.0, true, true, &[16.7, 33.3]));
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
        let text = found.text(&job);
        assert!(text.contains("is to seal with oil at winter least, and without a trap it does not"), "{text}");
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
