//! `discharge-drop`: does the discharge line cost too much head?

use super::case::{Case, greatest};
use super::limit::Ladder;
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::job::LineId;
use crate::survey::Point;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "discharge-drop",
    question: "Does the discharge line cost too much head?",
    explanation: "\
The pressure that friction, fittings and parts take between the compressors and the condenser, as the difference in dew \
temperature that it makes, at every operating point at which no head control acts. The compressors have to work against it: \
each degree costs as much as a coil that condenses a degree higher, about 1.5 % of the power, and it brings the \
high-pressure switch nearer on the hottest day. The static head of the gas is in the balance but does not count here, because \
no tube size changes it. Where fans are cut or the coil is flooded the control holds the head up anyway, and a drop costs \
nothing that it would not give away; the largest drop there is only told.

The usual aim is 1 F; more is a caution, more than 2 F is a fail.

The mend puts larger tubes where most is lost, keeping every rise small enough to lift oil at the least flow, and solves \
the circuit again. Where a rise cannot grow it is split into two tubes in parallel, the larger of which seals with oil at \
part load, so that the smaller carries all the flow. Where a part takes most of it, the mend says what the part may lose.",
    limits: &["discharge_drop_caution", "discharge_drop"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    unsolved::and_then(case, RULE.id, judge)
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (point, drop) = worst(case)?;
    let ladder = Ladder::new(case.job, "discharge_drop_caution", "discharge_drop");
    let (verdict, limit) = ladder.above(drop);
    let line = &point.discharge_line;
    let mut says = format!(
        "Friction and parts of the discharge line take {} at {}: the compressors work against {} more condensing \
         temperature.",
        show.pressure_difference(line.friction_Pa + line.parts_Pa),
        point.name,
        show.small_difference(drop),
    );
    let most = largest(point);
    if let Some((index, loss)) = most
        && verdict > Verdict::Pass
        && let Some(run) = case.circuit.discharge.runs.get(index)
    {
        let name = case.name_run(run, index + 1);
        let _ = write!(says, " Most of it, {}, goes in {name}.", show.pressure_difference(loss));
    }
    if let Some((held, most)) = case.worst(|point| point.discharge_line.saturation_drop_K)
        && most > drop * 1.05
        && most > ladder.pass().value
    {
        let _ = write!(says, " At {}, where the head is held up, it is {}.", held.name, show.small_difference(most));
    }
    let finding = case
        .finding(RULE.id, verdict)
        .at(point.id)
        .place(most.map_or("discharge".to_owned(), |(index, _)| format!("discharge run {}", index + 1)))
        .found(drop, limit.value, "K")
        .says(says)
        .by(&limit.source);
    Some(finding.mended(case, |tries| mend(case, tries, point, drop, &ladder)))
}

/// The largest drop where no head control acts; of all operating points where it acts at all of them.
pub(super) fn worst<'a>(case: &Case<'a>) -> Option<(&'a Point, f64)> {
    let drop = |point: &'a Point| (point, point.discharge_line.saturation_drop_K);
    let free = case.points().filter(|point| point.air_share >= 1.0 && point.flooded_share <= 0.0);
    greatest(free.map(drop)).or_else(|| greatest(case.points().map(drop)))
}

/// The run that loses most, by index, and its loss.
fn largest(point: &Point) -> Option<(usize, f64)> {
    greatest(point.discharge_line.runs.iter().enumerate().map(|(index, run)| (index, run.friction_Pa)))
}

fn mend(case: &Case, tries: &mut Tries, point: &Point, drop: f64, ladder: &Ladder) -> Option<String> {
    let show = case.show();
    let line = &point.discharge_line;
    let total = line.friction_Pa + line.parts_Pa;
    let allowed = |limit: f64| total * limit / drop;
    let wanted = [allowed(ladder.pass().value) - line.parts_Pa, allowed(ladder.fail().value) - line.parts_Pa];
    let tubes = mend::widen(tries, LineId::Discharge, point, &wanted);
    let tell = |trial: &mend::Trial| {
        let changed = trial.case();
        let reaches = worst(&changed)
            .map_or_else(String::new, |(at, now)| format!("{} at {}", show.small_difference(now), at.name));
        format!("{}.{}", trial.does(&reaches), trial.but())
    };
    if let Some((sizing, trial)) = tubes.as_ref().filter(|(_, trial)| trial.breaks_nothing() && trial.clears()) {
        return Some(format!("{} {}", mend::name_sizing(&case.circuit.discharge, sizing), tell(trial)));
    }
    let worst_rise = greatest(
        line.runs.iter().enumerate().filter(|(_, run)| run.path == "rise").map(|(i, run)| (i, run.friction_Pa)),
    );
    // What clears it first, then what brings it below the fail, each in the order in which it is easier built.
    let tubes_do = tubes.as_ref().filter(|(_, trial)| trial.breaks_nothing());
    let riser = worst_rise.and_then(|(index, _)| riser(tries, index, tubes_do.is_some(), &tell));
    if let Some((_, way)) = riser.as_ref().filter(|(clears, _)| *clears || tubes_do.is_none()) {
        return Some(way.clone());
    }
    if let Some((sizing, trial)) = tubes_do {
        return Some(format!("{} {}", mend::name_sizing(&case.circuit.discharge, sizing), tell(trial)));
    }
    let (pass, fail) = (ladder.pass().value, ladder.fail().value);
    let mut easier = None;
    for limit in [pass * 0.98, pass * 0.9, fail * 0.98, fail * 0.8] {
        let Some((number, loss)) = mend::easier_part(case, LineId::Discharge, point, allowed(limit)) else { continue };
        let trial = tries.with(|circuit| mend::set_loss(circuit, LineId::Discharge, number, loss));
        let Some(trial) = trial.filter(mend::Trial::mends) else { continue };
        let run = case.circuit.discharge.runs.get(number - 1)?;
        let name = case.name_run(run, number);
        let most = show.pressure_difference(loss);
        let way = format!("A loss of at most {most} at the rated flow in {name} {}", tell(&trial));
        if trial.clears() {
            return Some(way);
        }
        easier = easier.or(Some(way));
    }
    if easier.is_some() {
        return easier;
    }
    let (sizing, trial) = tubes?;
    Some(format!("{} {}", mend::name_sizing(&case.circuit.discharge, &sizing), tell(&trial)))
}

/// Another riser, and whether it clears the rule: one tube in place of two, or a double riser, which must be worth its trouble.
fn riser(
    tries: &mut Tries,
    index: usize,
    only_clear: bool,
    tell: &dyn Fn(&mend::Trial) -> String,
) -> Option<(bool, String)> {
    let single = mend::single_riser(tries, index).filter(|(_, trial)| trial.breaks_nothing());
    let way =
        single.map(|(tube, trial)| (trial.clears(), format!("{} {}", mend::name_single(&tube, index), tell(&trial))));
    if way.as_ref().is_some_and(|(clears, _)| *clears) {
        return way;
    }
    let pair = mend::double_riser(tries, index).filter(|(_, trial)| trial.breaks_nothing());
    let other = pair
        .filter(|(_, trial)| trial.clears() || !only_clear)
        .map(|(pair, trial)| (trial.clears(), format!("{} {}", mend::name_pair(&pair, index), tell(&trial))));
    match other {
        Some((true, text)) => Some((true, text)),
        other => way.or(other),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, finding, job, only, verdict, with_tubes};
    use super::*;

    #[test]
    fn one_fahrenheit_exactly_passes_and_two_exactly_is_a_caution() {
        let job = job();
        let at = |kelvin: f64| by_hand(&job, PointId::SummerFull, move |p| p.discharge_line.saturation_drop_K = kelvin);
        let (one, two) = (job.limit("discharge_drop_caution"), job.limit("discharge_drop"));
        assert_eq!(verdict(RULE, &job, &at(one)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(one * 1.0001)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(two)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(two * 1.0001)), Verdict::Fail);
    }

    #[test]
    fn a_tighter_limit_of_the_jobs_own_comes_before_the_default_caution() {
        let mut job = job();
        job.limits.insert("discharge_drop".to_owned(), 0.3);
        let survey = by_hand(&job, PointId::SummerFull, |p| p.discharge_line.saturation_drop_K = 0.4);
        let finding = only(RULE.check(&job, &survey));
        assert_eq!((finding.verdict, finding.limit), (Verdict::Fail, Some(0.3)));
        assert_eq!(finding.source, "the job file's own limit");
    }

    #[test]
    fn a_drop_under_head_control_is_told_and_not_judged() {
        let job = job();
        let mut survey = by_hand(&job, PointId::SummerFull, |_| {});
        let mut cold = survey.circuits[0].points[0].clone();
        cold.name = "winter full".to_owned();
        cold.air_share = 0.3;
        cold.discharge_line.saturation_drop_K = 3.0;
        survey.circuits[0].points.push(cold);
        let finding = only(RULE.check(&job, &survey));
        assert_eq!((finding.verdict, finding.point.as_deref()), (Verdict::Pass, Some("summer full")));
        assert!(finding.says.ends_with("At winter full, where the head is held up, it is 5.40 F."), "{}", finding.says);
    }

    #[test]
    fn a_narrow_line_fails_and_the_tubes_named_would_do() {
        let narrow = changed(|circuit| {
            for number in 1..=3 {
                with_tubes(discharge(circuit, number), &["1-5/8 ACR"]);
            }
        });
        let found = finding(RULE, &narrow);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.says.contains("the rise of 38 ft in 1-5/8 ACR (run 2)"), "{}", found.says);
        let mend = found.mend.unwrap();
        assert_eq!(mend, "2-5/8 ACR in the rise (run 2) would do: 0.93 F at summer full.");
        let mended = changed(|circuit| {
            with_tubes(discharge(circuit, 1), &["1-5/8 ACR"]);
            with_tubes(discharge(circuit, 3), &["1-5/8 ACR"]);
        });
        assert_eq!(finding(RULE, &mended).verdict, Verdict::Pass);
    }

    #[test]
    fn a_part_that_takes_it_all_is_told_what_it_may_take() {
        let job = changed(|circuit| super::super::mend::set_loss(circuit, LineId::Discharge, 4, 60e3));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.r#where.as_deref()), (Verdict::Fail, Some("discharge run 4")));
        let mend = found.mend.unwrap();
        assert!(mend.contains("at the rated flow in the check valve (run 4) would do"), "{mend}");
    }
}
