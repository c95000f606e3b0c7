//! `oil-lift`: does every riser carry oil up at the least flow?

use super::case::{At, Case, least};
use super::limit::Ladder;
use super::mend::{self, Trial, Tries};
use super::say::list;
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
use crate::refdata::Tube;
use std::fmt::Write as _;

/// The velocity that common practice asks for in a riser of hot gas: 1000 ft/min.
const PRACTICE_M_S: f64 = 5.08;

/// The rule.
pub const RULE: Rule = Rule {
    id: "oil-lift",
    question: "Does every riser carry oil up at the least flow, bypass open, at every condensing temperature?",
    explanation: "\
Oil leaves the compressors with the gas and climbs a riser as a film that the gas drags along the wall. Below a least \
flow the film runs back down. The flow of every rise of the discharge line is compared at every operating point with \
that least flow, G = 0.723 sqrt(rho_g g D (rho_film - rho_g)); hot-gas bypass counts, because what it takes never sees \
the riser. Below the least flow it is a fail; below 1.15 times it a caution.

A riser that does not lift its oil fills with it until a slug comes back at the next full load, and the compressors run \
dry meanwhile. Common practice asks for 1000 ft/min; for dense gas the film moves well below that, so the report gives \
the velocity beside the ratio. Of two tubes in parallel the larger seals with oil at low flow, and the smaller must lift \
all by itself.

The mend is the largest tube that lifts at every point, solved again with it. Where that costs the discharge line more \
head than it may, two tubes in parallel are sought: the smaller for the least flow, both together for the full, the larger \
sealed with oil at some operating point and not more than three times as wide, or it is no double riser.",
    limits: &["oil_lift", "oil_lift_caution", "oil_film_density"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let ladder = Ladder::new(case.job, "oil_lift_caution", "oil_lift");
    let rises: Vec<Finding> = (1..=case.circuit.discharge.runs.len())
        .filter_map(|index| worst(case, index))
        .map(|(at, ratio)| judge(case, at, ratio, &ladder))
        .collect();
    if rises.iter().any(|finding| finding.verdict > Verdict::Note) {
        return rises.into_iter().filter(|finding| finding.verdict > Verdict::Note).collect();
    }
    least(rises.into_iter().map(|finding| {
        let ratio = finding.measure.map_or(f64::INFINITY, |found| found.value);
        (finding, ratio)
    }))
    .map(|(finding, _)| finding)
    .into_iter()
    .collect()
}

/// The operating point at which that rise lifts oil least, and the ratio there.
fn worst<'a>(case: &Case<'a>, index: usize) -> Option<(At<'a>, f64)> {
    let rise = case.runs(LineId::Discharge).filter(|at| at.answer.index == index);
    least(rise.filter_map(|at| at.answer.oil_lift.map(|lift| (at, lift.ratio))))
}

fn judge(case: &Case, at: At, ratio: f64, ladder: &Ladder) -> Finding {
    let show = case.show();
    let index = at.answer.index;
    let (verdict, limit) = ladder.below(ratio);
    let never_opens = never_opens(case, index);
    let verdict = if never_opens.is_some() { verdict.max(Verdict::Caution) } else { verdict };
    let mut says = format!(
        "In {} the flow is {} times the least that lifts oil at {}",
        case.name_run(at.run, index),
        show.ratio(ratio),
        at.point.name
    );
    if at.point.bypass_share > 0.0 {
        let _ = write!(says, ", with the hot-gas bypass open ({} of the flow)", show.percent(at.point.bypass_share));
    }
    let velocity =
        at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.velocity_m_s).fold(f64::INFINITY, f64::min);
    if velocity.is_finite() {
        let _ = write!(
            says,
            ". The gas climbs at {}; common practice asks for {}.",
            show.velocity(velocity),
            show.velocity(PRACTICE_M_S)
        );
    } else {
        says += ".";
    }
    let sealed: Vec<String> = at.answer.tubes.iter().filter(|t| t.sealed).map(|t| t.size.clone()).collect();
    if let Some(tube) = &never_opens {
        let _ = write!(says, " {tube} is sealed with oil at every operating point and never carries any of the flow.");
    } else if !sealed.is_empty() {
        let _ = write!(says, " {} is sealed with oil there.", list(sealed));
    }
    let finding = case
        .finding(RULE.id, verdict)
        .at(at.point.id)
        .place(format!("discharge run {index}"))
        .found(ratio, limit.value, "-")
        .says(says)
        .by(&limit.source);
    finding.mended(case, |tries| mend(case, tries, index, never_opens.is_some()))
}

/// The tube of a rise that oil seals at every operating point.
fn never_opens(case: &Case, index: usize) -> Option<String> {
    let rises: Vec<At> = case.runs(LineId::Discharge).filter(|at| at.answer.index == index).collect();
    let tubes = rises.first()?.run.tubes.len();
    let tube = (0..tubes).find(|i| rises.iter().all(|at| at.answer.tubes.get(*i).is_some_and(|tube| tube.sealed)))?;
    rises.first()?.answer.tubes.get(tube).map(|tube| tube.size.clone())
}

fn mend(case: &Case, tries: &mut Tries, number: usize, never_opens: bool) -> Option<String> {
    let index = number.checked_sub(1)?;
    let run = case.circuit.discharge.runs.get(index)?;
    let spare = case.limit("oil_lift_caution").value;
    let (narrow, lifting) = if never_opens {
        (run.tubes.first()?, f64::INFINITY)
    } else {
        (run.tubes.last()?, mend::lifting_bore(case, number, spare))
    };
    let fits = |tube: &Tube| tube.bore().value <= lifting;
    let alone = mend::sizes(case, LineId::Discharge, narrow)
        .into_iter()
        .rev()
        .filter(fits)
        .filter(|tube| tube.bore() <= narrow.bore())
        .take(2);
    let single = tries.first(alone, |tube, circuit| {
        if let Some(run) = circuit.discharge.runs.get_mut(index) {
            run.tubes = vec![tube.clone()];
        }
    });
    if let Some((tube, trial)) = single.as_ref().filter(|(_, trial)| trial.breaks_nothing()) {
        return Some(tell(case, &format!("{} in the rise (run {number})", tube.name), number, trial));
    }
    let pair = mend::double_riser(tries, index);
    if let Some((pair, trial)) = pair.as_ref().filter(|(_, trial)| trial.breaks_nothing() || single.is_none()) {
        return Some(tell(case, &mend::name_pair(pair, index), number, trial));
    }
    let (tube, trial) = single?;
    Some(tell(case, &format!("{} in the rise (run {number})", tube.name), number, &trial))
}

fn tell(case: &Case, what: &str, number: usize, trial: &Trial) -> String {
    let show = case.show();
    let reaches = worst(&trial.case(), number).map_or_else(String::new, |(at, ratio)| {
        format!("{} times the least flow at {}", show.ratio(ratio), at.point.name)
    });
    let mut text = format!("{what} {}", trial.does(&reaches));
    let drop = |case: &Case| super::discharge_drop::worst(case).map(|(_, drop)| drop);
    if let (Some(before), Some(after)) = (drop(case), drop(&trial.case())) {
        let word = if after >= before { "more" } else { "less" };
        let _ = write!(text, ", for {} {word} drop", show.small_difference((after - before).abs()));
    }
    format!("{text}.{}", trial.but())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, finding, findings, job, only, verdict, with_tubes};
    use super::*;
    use crate::job::Path;
    use crate::survey::OilLift;

    #[test]
    fn the_least_flow_itself_lifts_and_the_spare_itself_is_enough() {
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
    fn a_wide_rise_fails_and_the_tube_named_would_do() {
        let wide = changed(|circuit| with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]));
        let found = finding(RULE, &wide);
        assert_eq!((found.verdict, found.point.as_deref()), (Verdict::Fail, Some("summer least")));
        assert!(found.says.contains("with the hot-gas bypass open (15 % of the flow)"), "{}", found.says);
        assert!(found.says.contains("common practice asks for 1000 ft/min"), "{}", found.says);
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("2-5/8 ACR in the rise (run 2) would do: 1.2"), "{mend}");
        assert!(mend.contains("times the least flow at summer least, for 0.") && mend.contains("more drop"), "{mend}");
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
    }

    #[test]
    fn two_wide_rises_are_two_findings_each_with_its_own_mend() {
        let wide = changed(|circuit| {
            with_tubes(discharge(circuit, 2), &["3-5/8 ACR"]);
            let second = discharge(circuit, 2).clone();
            circuit.discharge.runs.insert(3, second);
        });
        let found = findings(RULE, &wide);
        let places: Vec<_> = found.iter().map(|f| f.r#where.as_deref()).collect();
        assert_eq!(places, [Some("discharge run 2"), Some("discharge run 4")]);
        assert!(found.iter().all(|f| f.mend.is_some()));
        assert!(found[1].mend.as_ref().is_some_and(|mend| mend.contains("(run 4)")), "{found:#?}");
    }

    #[test]
    fn where_one_tube_would_cost_too_much_drop_the_rise_is_split() {
        let tall = changed(|circuit| {
            let run = discharge(circuit, 2);
            with_tubes(run, &["3-5/8 ACR"]);
            if let Path::Rise { length, .. } = &mut run.path {
                *length *= 20.0;
            }
        });
        let found = finding(RULE, &tall);
        assert_eq!(found.verdict, Verdict::Fail);
        let mend = found.mend.unwrap();
        assert!(
            mend.starts_with("A double riser of ") && mend.contains("with a trap at its foot (run 2) would do"),
            "{mend}"
        );
        assert!(!mend.contains("But"), "{mend}");
        let names = mend.strip_prefix("A double riser of ").and_then(|rest| rest.split_once(" with a trap")).unwrap().0;
        let (small, large) = names.split_once(" and ").unwrap();
        let bore = |name: &str| crate::refdata::tube(name).unwrap().bore().value;
        assert!(bore(small) < bore(large) && bore(small) > bore(large) / 3.0, "{mend}");
        let mut pair = tall.clone();
        with_tubes(discharge(&mut pair.circuits[0], 2), &[small, large]);
        let solved = super::super::testing::solved(&pair);
        let sealed: Vec<bool> =
            solved.circuits[0].points.iter().skip(1).map(|p| p.discharge_line.runs[1].tubes[1].sealed).collect();
        assert!(sealed.contains(&true) && sealed.contains(&false), "{mend}: {sealed:?}");
    }

    #[test]
    fn a_tube_that_never_opens_is_told() {
        let pair = changed(|circuit| with_tubes(discharge(circuit, 2), &["2-5/8 ACR", "4-1/8 ACR"]));
        let survey = by_hand(&pair, PointId::SummerFull, |p| p.discharge_line.runs[1].tubes[1].sealed = true);
        let found = only(RULE.check(&pair, &survey));
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.says.contains("4-1/8 ACR is sealed with oil at every operating point"), "{}", found.says);
    }
}
