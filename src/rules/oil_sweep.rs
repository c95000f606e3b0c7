//! `oil-sweep`: do level runs of the discharge line move oil at the least flow?

use super::case::{At, Case, Side, least};
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict};
use crate::job::{Path, Slope};

/// The rule.
pub const RULE: Rule = Rule {
    id: "oil-sweep",
    question: "Do level runs of the discharge line move oil at the least flow?",
    explanation: "\
The mean velocity of the gas in every level run of the discharge line at every operating point, against the 500 ft/min \
below which oil is held to lie in the bottom of the tube. A run that falls with the flow drains by itself, so this is a \
caution, never a fail.

Oil that lies in the line is missing in the compressors, and comes back as a slug when the flow rises again.

The mend is the largest tube of the same kind in which the run stays above the limit, solved again with it.",
    limits: &["oil_sweep"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    judge(case).into_iter().collect()
}

fn speed(at: &At) -> f64 {
    at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.velocity_m_s).fold(f64::INFINITY, f64::min)
}

fn slowest<'a>(case: &Case<'a>) -> Option<(At<'a>, f64)> {
    let level = case.runs(Side::Discharge).filter(|at| at.answer.path == "level");
    least(level.map(|at| (at, speed(&at))))
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (at, velocity) = slowest(case)?;
    let limit = case.limit("oil_sweep");
    let verdict = if velocity < limit.value { Verdict::Caution } else { Verdict::Pass };
    let name = case.name_run(at.run, at.answer.index);
    let mut says = format!("The gas is slowest in {name}: {} at {}.", show.velocity(velocity), at.point.name);
    if verdict > Verdict::Pass {
        says += match at.run.path {
            Path::Level { slope: Some(Slope::WithFlow), .. } => {
                " Oil that settles there drains on with the flow by the slope."
            }
            Path::Level { slope: Some(Slope::AgainstFlow), .. } => " Oil that settles there runs back.",
            _ => " Oil settles there unless the run falls with the flow.",
        };
    }
    let finding = case
        .finding(RULE.id, verdict)
        .at(&at.point.name)
        .place(format!("discharge run {}", at.answer.index))
        .found(velocity, limit.value, "m/s")
        .says(says)
        .by(&limit.source);
    Some(finding.mended(case, |tries| mend(case, tries, limit.value)))
}

fn mend(case: &Case, tries: &mut Tries, limit: f64) -> Option<String> {
    let show = case.show();
    let mut sizing = mend::Sizing::new();
    for (index, run) in case.circuit.discharge.runs.iter().enumerate() {
        let here = case.runs(Side::Discharge).filter(|at| at.answer.index == index + 1 && at.answer.path == "level");
        let Some((_, velocity)) = least(here.map(|at| (at, speed(&at)))).filter(|(_, v)| *v < limit) else { continue };
        let now = run.tubes.last()?;
        let bore = now.bore().value * (velocity / limit).sqrt();
        sizing.push((index, vec![mend::smaller(case, Side::Discharge, now).find(|tube| tube.bore().value <= bore)?]));
    }
    let trial = tries.with(|circuit| mend::apply(&sizing, &mut circuit.discharge))?;
    let (at, velocity) = slowest(&trial.case())?;
    if !trial.mends() {
        return None;
    }
    let what = mend::name_sizing(&case.circuit.discharge, &sizing);
    let speed = show.velocity(velocity);
    Some(format!("{what} would do: {speed} at {}.{}", at.point.name, trial.but()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, finding, findings, job, verdict, with_tubes};
    use super::*;

    #[test]
    fn the_limit_itself_sweeps() {
        let job = job();
        let limit = job.limit("oil_sweep");
        let at = |speed: f64| {
            by_hand(&job, "winter least", move |p| {
                for run in &mut p.discharge_line.runs {
                    run.tubes[0].velocity_m_s = speed;
                }
            })
        };
        assert_eq!(verdict(RULE, &job, &at(limit)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(limit * 0.9999)), Verdict::Caution);
    }

    #[test]
    fn a_line_without_a_level_run_is_not_asked() {
        let upright = changed(|circuit| circuit.discharge.runs.retain(|run| !matches!(run.path, Path::Level { .. })));
        assert!(findings(RULE, &upright).is_empty());
    }

    #[test]
    fn a_wide_level_run_is_a_caution_and_the_tube_named_would_do() {
        let wide = changed(|circuit| with_tubes(discharge(circuit, 3), &["4-1/8 ACR"]));
        let found = finding(RULE, &wide);
        assert_eq!((found.verdict, found.r#where.as_deref()), (Verdict::Caution, Some("discharge run 3")));
        assert!(found.says.ends_with("drains on with the flow by the slope."), "{}", found.says);
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("2-5/8 ACR in the level run (run 3) would do: "), "{mend}");
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
    }
}
