//! `oil-riser`: does every riser carry oil up at the minimum flow?

use super::case::{At, Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Verdict, wrong_or_greatest};
use super::limit::Ladder;
use super::say::{Value, say};
use crate::job::LineId;
use crate::units::Kind;

/// The velocity that common practice requires in a riser of hot gas: 1000 fpm.
const PRACTICE_M_S: f64 = 5.08;

pub const RULE: Rule = Rule {
    id: "oil-riser",
    question: "Does every riser return oil at the minimum flow, bypass open, at every condensing temperature?",
    explanation: "\
Oil leaves the compressors with the gas and climbs a riser as a film that the gas drags along the wall. Below a \
minimum flow the film runs back down. The flow in every riser of the discharge line, at every operating point, is \
compared with that minimum flow, G = 0.723 sqrt(rho_g g D (rho_film - rho_g)). Hot-gas bypass counts, because the \
gas that it takes never reaches the riser. Below the minimum flow is a fail; below 1.15 times it a caution.

A riser that does not return oil fills with it until a slug comes back at the next full load, and meanwhile the \
compressors run short of oil. Common practice requires 1000 fpm. For dense gas the film moves well below that, so \
the finding gives the velocity beside the ratio. Of two parallel tubes the larger seals with oil at low flow, and \
the smaller must return all the oil.",
    limits: &["oil_riser", "oil_riser_caution", "oil_film_density"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let ladder = Ladder::new(case.job, "oil_riser_caution", "oil_riser");
    let numbers = |riser: Vec<usize>| riser.into_iter().map(|index| index + 1).collect::<Vec<usize>>();
    let risers = case.circuit.discharge.risers().into_iter().map(numbers);
    let judged = risers
        .filter_map(|riser| worst(case, &riser).map(|(at, ratio)| (judge(case, &riser, at, ratio, &ladder), -ratio)));
    wrong_or_greatest(judged)
}

/// Where and when that riser lifts oil least, and the ratio there.
fn worst<'a>(case: &Case<'a>, riser: &[usize]) -> Option<(At<'a>, f64)> {
    let rises = case.runs(LineId::Discharge).filter(|at| riser.contains(&at.answer.index));
    minimum(rises.filter_map(|at| at.answer.oil_lift.map(|lift| (at, lift.ratio))))
}

/// A riser as a sentence calls it: by its run, or by its height and its runs.
pub(super) fn called(case: &Case, riser: &[usize]) -> Value {
    if let [number] = riser {
        return Value::Run(LineId::Discharge, *number);
    }
    let runs = riser.iter().filter_map(|number| case.circuit.discharge.runs.get(number.checked_sub(1)?));
    let height = Value::Of(Kind::Length, runs.map(|run| run.path.length_m()).sum());
    Value::Say(say("the riser of {} ({})", [height, Value::Runs(riser.to_vec())]))
}

fn judge(case: &Case, riser: &[usize], at: At, ratio: f64, ladder: &Ladder) -> Finding {
    let (verdict, limit) = ladder.below(ratio);
    let never_opens = never_opens(case, at.answer.index);
    let verdict = if never_opens.is_some() { verdict.max(Verdict::Caution) } else { verdict };
    let values = [called(case, riser), Value::Of(Kind::Ratio, ratio), Value::Point(at.point.id)];
    let mut says = say("In {} the flow is {} of the minimum for oil return at {}", values);
    if at.point.bypass_share > 0.0 {
        let share = Value::Of(Kind::Share, at.point.bypass_share);
        says = says.and(", hot-gas bypass at {}", [share]);
    }
    let velocity = at.velocities().fold(f64::INFINITY, f64::min);
    says = if velocity.is_finite() {
        let values = [Value::Of(Kind::Velocity, velocity), Value::Of(Kind::Velocity, PRACTICE_M_S)];
        says.and(". Gas velocity is {}; common practice requires {}.", values)
    } else {
        says.and(".", [])
    };
    let sealed = || at.answer.tubes.iter().filter(|tube| tube.sealed).map(|tube| tube.size.as_str());
    if let Some(tube) = never_opens {
        let never = " {} is sealed with oil at every operating point and never carries flow.";
        says = says.and(never, [Value::name(tube)]);
    } else if sealed().next().is_some() {
        says = says.and(" {} is sealed with oil there.", [Value::names(sealed())]);
    }
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::Runs(LineId::Discharge, riser.to_vec()));
    finding.found(ratio, limit.value, Kind::Ratio).says(says).by(limit.source.clone())
}

/// The tube of a rise that oil seals at every operating point.
fn never_opens<'a>(case: &Case<'a>, number: usize) -> Option<&'a str> {
    let rises: Vec<At> = case.runs(LineId::Discharge).filter(|at| at.answer.index == number).collect();
    let tubes = &rises.first()?.run.tubes;
    let sealed = |tube: usize| rises.iter().all(|at| at.answer.tubes.get(tube).is_some_and(|tube| tube.sealed));
    tubes.iter().enumerate().find(|(index, _)| sealed(*index)).map(|(_, tube)| tube.name.as_str())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, feet, finding, findings, job, only, verdict, with_tubes};
    use super::*;
    use crate::job::{Path, Traps};
    use crate::survey::{OilLift, PointId};

    #[test]
    fn the_minimum_flow_itself_lifts_and_the_spare_itself_is_enough() {
        let job = job();
        let at = |ratio: f64| {
            by_hand(&job, PointId::WinterMinimum, move |p| p.discharge_line.runs[1].oil_lift = Some(OilLift { ratio }))
        };
        assert_eq!(verdict(RULE, &job, &at(1.15)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(1.1499)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(1.0)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(0.9999)), Verdict::Fail);
    }

    #[test]
    fn a_line_without_a_rise_has_nothing_to_lift() {
        let flat = changed(|circuit| {
            circuit.discharge.runs.remove(1);
        });
        assert!(findings(RULE, &flat).is_empty());
    }

    #[test]
    fn a_wide_rise_fails_at_the_least_flow() {
        let wide = changed(|circuit| with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]));
        let found = finding(RULE, &wide);
        assert_eq!((found.verdict, found.point()), (Verdict::Fail, Some(PointId::SummerMinimum)));
        let text = found.text(&wide);
        assert!(text.contains("hot-gas bypass at 15 %"), "{text}");
        assert!(text.contains("common practice requires 1000 fpm"), "{text}");
    }

    #[test]
    fn two_wide_rises_are_two_findings() {
        let wide = changed(|circuit| {
            with_tubes(discharge(circuit, 2), &["3-5/8 ACR"]);
            let second = discharge(circuit, 2).clone();
            circuit.discharge.runs.insert(3, second);
        });
        let places: Vec<_> = findings(RULE, &wide).into_iter().filter_map(|found| found.place).collect();
        assert_eq!(places, [2, 4].map(|number| Place::run(LineId::Discharge, number)));
    }

    #[test]
    fn a_wide_rise_in_five_runs_is_one_finding() {
        let wide = changed(|circuit| {
            with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]);
            let mut piece = discharge(circuit, 2).clone();
            piece.path = Path::Rise { length: feet(7.6), traps: Traps { foot: true, top: true, between: Vec::new() } };
            circuit.discharge.runs.splice(1..2, vec![piece; 5]);
        });
        let found = only(findings(RULE, &wide));
        assert_eq!(
            (found.verdict, &found.place),
            (Verdict::Fail, &Some(Place::Runs(LineId::Discharge, vec![2, 3, 4, 5, 6])))
        );
        let text = found.text(&wide);
        assert!(text.starts_with("In the riser of 38 ft (runs 2, 3, 4, 5 and 6) the flow is"), "{text}");
    }

    #[test]
    fn a_tube_that_never_opens_is_told() {
        let pair = changed(|circuit| with_tubes(discharge(circuit, 2), &["2-5/8 ACR", "4-1/8 ACR"]));
        let survey = by_hand(&pair, PointId::SummerFull, |p| p.discharge_line.runs[1].tubes[1].sealed = true);
        let found = only(RULE.check(&pair, &survey));
        assert_eq!(found.verdict, Verdict::Caution);
        let text = found.text(&pair);
        assert!(text.contains("4-1/8 ACR is sealed with oil at every operating point"), "{text}");
    }
}
