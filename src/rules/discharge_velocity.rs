//! `discharge-velocity`: will the discharge line be noisy?

use super::case::{At, Case, greatest};
use super::limit::Ladder;
use super::mend::{self, Sizing, Tries};
use super::{Finding, Look, Rule};
use crate::job::LineId;

/// The rule.
pub const RULE: Rule = Rule {
    id: "discharge-velocity",
    question: "Will the discharge line be noisy?",
    explanation: "\
The mean velocity of the gas in the fastest tube of the discharge line, at every operating point. Above 3500 ft/min \
pulsation and flow noise travel along the tube into the building and the hangers; above 4000 ft/min it is a fail. A \
velocity below 2000 ft/min is no fault in itself: whether oil comes along is asked by `oil-lift` and `oil-sweep`.

The mend is the smallest tube with which every fast run stays below the limit, solved again with it; a rise that would \
then lose its oil is split into two tubes in parallel.",
    limits: &["discharge_velocity_caution", "discharge_velocity"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    judge(case).into_iter().collect()
}

fn speed(at: &At) -> f64 {
    at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.velocity_m_s).fold(f64::NAN, f64::max)
}

fn fastest<'a>(case: &Case<'a>) -> Option<(At<'a>, f64)> {
    let runs = case.runs(LineId::Discharge).filter(|at| at.answer.path != "part");
    greatest(runs.map(|at| (at, speed(&at))))
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (at, velocity) = fastest(case)?;
    let ladder = Ladder::new(case.job, "discharge_velocity_caution", "discharge_velocity");
    let (verdict, limit) = ladder.above(velocity);
    let name = case.name_run(at.run, at.answer.index);
    let says = format!("The gas is fastest in {name}: {} at {}.", show.velocity(velocity), at.point.name);
    let finding = case
        .finding(RULE.id, verdict)
        .at(at.point.id)
        .place(format!("discharge run {}", at.answer.index))
        .found(velocity, limit.value, "m/s")
        .says(says)
        .by(&limit.source);
    Some(finding.mended(case, |tries| mend(case, tries, &ladder)))
}

fn mend(case: &Case, tries: &mut Tries, ladder: &Ladder) -> Option<String> {
    let wanted = [1.0, 0.9].into_iter().filter_map(|part| sizing(case, ladder.pass().value * part));
    let slow = tries.first(wanted, |sizing, circuit| mend::apply(sizing, &mut circuit.discharge));
    if let Some((sizing, trial)) = slow.as_ref().filter(|(_, trial)| trial.breaks_nothing()) {
        return Some(tell(case, &mend::name_sizing(&case.circuit.discharge, sizing), trial));
    }
    let (at, _) = fastest(case)?;
    if at.answer.path == "rise" {
        let index = at.answer.index.checked_sub(1)?;
        let single = mend::single_riser(tries, index).filter(|(_, trial)| trial.breaks_nothing());
        if let Some((tube, trial)) = single {
            return Some(tell(case, &mend::name_single(&tube, index), &trial));
        }
        let pair = mend::double_riser(tries, index).filter(|(_, trial)| trial.breaks_nothing());
        if let Some((pair, trial)) = pair {
            return Some(tell(case, &mend::name_pair(&pair, index), &trial));
        }
    }
    let (sizing, trial) = slow?;
    Some(tell(case, &mend::name_sizing(&case.circuit.discharge, &sizing), &trial))
}

fn tell(case: &Case, what: &str, trial: &mend::Trial) -> String {
    let changed = trial.case();
    let reaches = fastest(&changed)
        .map_or_else(String::new, |(at, velocity)| format!("{} at {}", case.show().velocity(velocity), at.point.name));
    format!("{what} {}.{}", trial.does(&reaches), trial.but())
}

/// The smallest tubes with which no run should be faster, estimated.
fn sizing(case: &Case, limit: f64) -> Option<Sizing> {
    let mut sizing = Sizing::new();
    for (index, run) in case.circuit.discharge.runs.iter().enumerate() {
        let here = case.runs(LineId::Discharge).filter(|at| at.answer.index == index + 1 && at.answer.path != "part");
        let Some((at, velocity)) = greatest(here.map(|at| (at, speed(&at)))).filter(|(_, v)| *v > limit) else {
            continue;
        };
        let now: f64 = at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.bore_m.powi(2)).sum();
        let largest = run.tubes.last()?;
        let kept: f64 =
            run.tubes.iter().map(|tube| tube.bore().value.powi(2)).sum::<f64>() - largest.bore().value.powi(2);
        let wider = mend::larger(case, LineId::Discharge, largest)
            .find(|tube| kept + tube.bore().value.powi(2) >= now * velocity / limit)?;
        // Wider than that beside its smaller tube it is no double riser any more.
        if run.tubes.len() > 1 && wider.bore().value > run.tubes.first()?.bore().value * mend::TIMES {
            return None;
        }
        let mut tubes = run.tubes.clone();
        if let Some(last) = tubes.last_mut() {
            *last = wider;
        }
        sizing.push((index, tubes));
    }
    (!sizing.is_empty()).then_some(sizing)
}

#[cfg(test)]
mod tests {
    use super::super::Verdict;
    use super::super::testing::{by_hand, changed, discharge, finding, job, verdict, with_tubes};
    use super::*;

    #[test]
    fn the_limits_themselves_are_still_allowed() {
        let job = job();
        let at = |speed: f64| {
            by_hand(&job, PointId::SummerFull, move |p| p.discharge_line.runs[1].tubes[0].velocity_m_s = speed)
        };
        let (caution, fail) = (job.limit("discharge_velocity_caution"), job.limit("discharge_velocity"));
        assert_eq!(verdict(RULE, &job, &at(caution)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(caution * 1.0001)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(fail)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(fail * 1.0001)), Verdict::Fail);
    }

    #[test]
    fn slow_gas_is_no_fault_in_itself() {
        let job = job();
        let survey = by_hand(&job, PointId::SummerFull, |p| p.discharge_line.runs[1].tubes[0].velocity_m_s = 0.5);
        assert_eq!(verdict(RULE, &job, &survey), Verdict::Pass);
    }

    #[test]
    fn a_fast_run_fails_and_the_tube_named_would_do() {
        let fast = changed(|circuit| with_tubes(discharge(circuit, 3), &["1-5/8 ACR"]));
        let found = finding(RULE, &fast);
        assert_eq!((found.verdict, found.r#where.as_deref()), (Verdict::Fail, Some("discharge run 3")));
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("2-1/8 ACR in the level run (run 3) would do: "), "{mend}");
        let mended = changed(|circuit| with_tubes(discharge(circuit, 3), &["2-1/8 ACR"]));
        assert_eq!(finding(RULE, &mended).verdict, Verdict::Pass);
    }
}
