//! `riser-traps`: a trap at the foot, traps between on a tall riser, a loop at the top.

use super::case::{At, Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Verdict, wrong_or_greatest};
use super::oil_riser::called;
use super::say::{Value, say};
use crate::job::{LineId, Path, Run};
use crate::refdata::{self, Tube};
use crate::units::Kind;

/// Slack on heights read from a drawing, m.
const SLACK: f64 = 0.005;

pub const RULE: Rule = Rule {
    id: "riser-traps",
    question: "Does every riser have a trap at its foot, traps between where it is tall, and a loop at its top?",
    explanation: "\
A riser of the discharge line taller than 8 ft needs a trap at its foot. The trap keeps liquid that runs down at a \
stop out of the compressors, and gives the gas a ripple of oil to lift. Without one is a caution, and a fail where \
`oil-riser` has no margin either.

Published guides differ on traps between, from one each 15 ft to none. More than 20 ft without one is a note in \
risers up to 30 ft, a caution in taller ones. An inverted loop at the top keeps liquid that condenses above from \
running back into the riser. With the condenser above the chiller a missing one is a caution, else a note. The \
manufacturer's instructions govern.

A stop valve, a muffler or another part with a pocket is a caution in a riser: oil collects in it. It belongs in a \
level run.

For two parallel tubes the foot trap is the seal: without it nothing seals the larger tube, and the smaller does not \
get all the flow at part load. Where the result of `oil-riser` rests on that seal, a missing foot trap is a fail. At \
the top both tubes join the main from above, or the oil of one runs down the other.",
    limits: &["trap_height", "trap_spacing", "trap_between", "oil_riser_caution"],
    look: Look::Circuit(look),
};

/// Who has the last word on traps.
const DECIDES: &str = " The manufacturer's instructions govern.";

/// A riser as drawn: rises one above the other, with the parts between them.
struct Riser<'a> {
    /// Its runs that are tube, by number from 1.
    numbers: Vec<usize>,
    height: f64,
    foot: bool,
    top: bool,
    /// Heights of traps between, m.
    between: Vec<f64>,
    /// Parts in it that hold oil, by number from 1.
    pockets: Vec<usize>,
    tubes: &'a [Tube],
}

fn risers(runs: &[Run]) -> Vec<Riser<'_>> {
    let mut risers: Vec<Riser> = Vec::new();
    let (mut open, mut parts) = (false, Vec::new());
    for (index, run) in runs.iter().enumerate() {
        let number = index + 1;
        match &run.path {
            Path::Part(part) if open => {
                parts.extend(refdata::part(&part.name).is_some_and(|facts| facts.pockets).then_some(number));
            }
            Path::Rise { length, traps } => {
                let heights = traps.between.iter().map(|height| height.value);
                match risers.last_mut().filter(|_| open) {
                    Some(riser) => {
                        let foot = traps.foot.then_some(0.0);
                        riser.between.extend(foot.into_iter().chain(heights).map(|height| riser.height + height));
                        riser.numbers.push(number);
                        riser.height += length.value;
                        riser.top = traps.top;
                        riser.pockets.append(&mut parts);
                    }
                    None => risers.push(Riser {
                        numbers: vec![number],
                        height: length.value,
                        foot: traps.foot,
                        top: traps.top,
                        between: heights.collect(),
                        pockets: Vec::new(),
                        tubes: &run.tubes,
                    }),
                }
                (open, parts) = (true, Vec::new());
            }
            Path::Level { .. } | Path::Drop { .. } => open = false,
            Path::Part(_) => {}
        }
    }
    risers
}

fn look(case: &Case) -> Vec<Finding> {
    let risers = risers(&case.circuit.discharge.runs);
    let judged = risers.iter().flat_map(|riser| {
        let traps = (judge(case, riser), riser.height);
        [traps].into_iter().chain(pocketed(case, riser).map(|finding| (finding, riser.height)))
    });
    wrong_or_greatest(judged)
}

/// The parts of a riser in which oil lies.
fn pocketed(case: &Case, riser: &Riser) -> Option<Finding> {
    let parts = riser.pockets.iter().map(|number| Value::Run(LineId::Discharge, *number)).collect();
    let words = "In the riser of {} oil collects in {}: it belongs in a level run.";
    let says = say(words, [Value::Of(Kind::Length, riser.height), Value::List(parts)]);
    let finding = case.finding(RULE.id, Verdict::Caution).place(Place::Runs(LineId::Discharge, riser.pockets.clone()));
    (!riser.pockets.is_empty()).then(|| finding.says(says).by(case.limit("trap_between").source))
}

fn judge(case: &Case, riser: &Riser) -> Finding {
    let (minimum_height, spacing) = (case.limit("trap_height"), case.limit("trap_spacing"));
    let own = |at: &At| riser.numbers.contains(&at.answer.index);
    let sealed = case
        .runs(LineId::Discharge)
        .find(|at| own(at) && at.answer.tubes.iter().any(|tube| tube.sealed))
        .map(|at| at.point.id)
        .filter(|_| !riser.foot);
    let lifts =
        case.runs(LineId::Discharge).filter(own).filter_map(|at| Some((at.point.id, at.answer.oil_lift?.ratio)));
    let spare = case.limit("oil_riser_caution").value;
    let hardly = minimum(lifts).filter(|(_, ratio)| *ratio < spare);
    let tall = riser.height > minimum_height.value + SLACK;
    let double = riser.tubes.len() > 1;
    let foot = !riser.foot && (tall || sealed.is_some());
    let wide = tall && widest_gap(riser) > spacing.value + SLACK;
    let top = (tall || double) && !riser.top;
    let lacks = [
        foot.then(|| say("no trap at its foot", [])),
        wide.then(|| say("more than {} between traps", [Value::Of(Kind::Length, spacing.value)])),
        (top && !double).then(|| say("no inverted loop at its top", [])),
        (top && double).then(|| say("no loop at its top through which both tubes join the main from above", [])),
    ];
    let lacks: Vec<Value> = lacks.into_iter().flatten().map(Value::Say).collect();
    let name = called(case, &riser.numbers);
    let says = match (tall, lacks.is_empty()) {
        (_, false) => say("{} has {}.", [name, Value::List(lacks)]),
        (true, true) => say("The traps of {} are where common practice has them.", [name]),
        (false, true) => say("At {} tall, {} needs no trap.", [Value::Of(Kind::Length, riser.height), name]),
    };
    let taller = riser.height > case.limit("trap_between").value + SLACK;
    let above = case.circuit.condenser.elevation.value > 0.0;
    let (verdict, limit, says) = match (sealed, foot, wide, top) {
        (Some(point), ..) => {
            let rests = " Its larger tube must seal with oil at {}, and without a trap it does not.";
            (Verdict::Fail, minimum_height, says.and(rests, [Value::Point(point)]))
        }
        (None, true, ..) => match hardly {
            Some((point, ratio)) => {
                let values = [Value::Of(Kind::Ratio, ratio), Value::Point(point)];
                let falls =
                    " The flow is {} of the minimum for oil return at {}: oil that runs back has no place to collect.";
                (Verdict::Fail, minimum_height, says.and(falls, values))
            }
            None => (Verdict::Caution, minimum_height, says.and(DECIDES, [])),
        },
        (None, false, true, _) if taller => (Verdict::Caution, spacing, says.and(DECIDES, [])),
        (None, false, _, true) => {
            let verdict = if above || double { Verdict::Caution } else { Verdict::Note };
            (verdict, minimum_height, says.and(DECIDES, []))
        }
        (None, false, true, false) => (Verdict::Note, spacing, says.and(DECIDES, [])),
        (None, false, false, false) => (Verdict::Pass, minimum_height, says),
    };
    case.finding(RULE.id, verdict)
        .place(Place::Runs(LineId::Discharge, riser.numbers.clone()))
        .found(riser.height, limit.value, Kind::Length)
        .says(says)
        .by(limit.source)
}

/// The greatest height without a trap, m.
fn widest_gap(riser: &Riser) -> f64 {
    let mut heights: Vec<f64> = riser.between.clone();
    heights.push(riser.height);
    heights.sort_by(f64::total_cmp);
    let below = std::iter::once(0.0).chain(heights.iter().copied());
    heights.iter().zip(below).map(|(height, below)| height - below).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, feet, finding, findings, job, only, with_tubes};
    use super::*;
    use crate::job::{Circuit, Traps};
    use crate::survey::{OilLift, PointId};

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
        assert_eq!(trapped(20.1, &[]), Verdict::Note);
        assert_eq!(trapped(30.0, &[]), Verdict::Note);
        assert_eq!(trapped(30.1, &[]), Verdict::Caution);
        assert_eq!(trapped(40.0, &[20.0]), Verdict::Pass);
        assert_eq!(trapped(40.0, &[15.0]), Verdict::Caution);
    }

    #[test]
    fn a_missing_loop_at_the_top_is_a_caution_with_the_condenser_above() {
        let missing = |above: f64| {
            changed(|c| {
                traps(c, 38.0, true, false, &[19.0]);
                c.condenser.elevation = feet(above);
            })
        };
        let found = finding(RULE, &missing(38.0));
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.words().contains("no inverted loop at its top"), "{}", found.words());
        assert_eq!(finding(RULE, &missing(-2.0)).verdict, Verdict::Note);
    }

    #[test]
    fn no_foot_trap_where_oil_is_hardly_lifted_fails() {
        let job = changed(|c| traps(c, 38.0, false, true, &[19.0]));
        let at = |ratio: f64| {
            let lift = move |p: &mut crate::survey::Point| p.discharge_line.runs[1].oil_lift = Some(OilLift { ratio });
            only(RULE.check(&job, &by_hand(&job, PointId::WinterMinimum, lift))).verdict
        };
        assert_eq!((at(1.15), at(1.149)), (Verdict::Caution, Verdict::Fail));
    }

    #[test]
    fn a_part_with_a_pocket_in_a_riser_is_a_caution_and_the_riser_is_one() {
        let with = |part: &str| {
            changed(|circuit| {
                let mut upper = discharge(circuit, 2).clone();
                traps(circuit, 19.0, true, false, &[]);
                upper.path =
                    Path::Rise { length: feet(19.0), traps: Traps { foot: true, top: true, between: Vec::new() } };
                let mut valve = discharge(circuit, 4).clone();
                if let Path::Part(drawn) = &mut valve.path {
                    (drawn.name, drawn.checks) = (part.to_owned(), false);
                }
                circuit.discharge.runs.splice(2..2, [valve, upper]);
            })
        };
        let job = with("globe valve");
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.place.clone()), (Verdict::Caution, Some(Place::run(LineId::Discharge, 3))));
        assert!(found.text(&job).contains("oil collects in the globe valve (run 3):"), "{}", found.text(&job));
        assert_eq!(finding(RULE, &with("vibration absorber")).verdict, Verdict::Pass);
    }

    #[test]
    fn missing_traps_are_named() {
        let job = changed(|c| traps(c, 50.0, false, false, &[]));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, &found.place), (Verdict::Caution, &Some(Place::run(LineId::Discharge, 2))));
        assert_eq!(
            found.text(&job),
            "The riser of 50 ft in 2-5/8 ACR (run 2) has no trap at its foot, more than 20 ft between traps and no inverted loop at its top. The manufacturer's instructions govern."
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
        assert!(text.contains("must seal with oil at winter minimum, and without a trap it does not."), "{text}");
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
