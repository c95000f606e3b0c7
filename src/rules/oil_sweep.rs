//! `oil-sweep`: do level runs of the discharge line move oil at the least flow?

use super::case::{At, Case, least};
use super::mend::{self, Tries};
use super::say::list;
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
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

The mend is the largest tube of the same kind in which the run stays above the limit, solved again with it, as long as no \
other rule suffers; else the slope that lets the oil drain. A run that slopes with the flow already needs none.",
    limits: &["oil_sweep", "slope"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    judge(case).into_iter().collect()
}

fn speed(at: &At) -> f64 {
    at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.velocity_m_s).fold(f64::INFINITY, f64::min)
}

fn slowest<'a>(case: &Case<'a>) -> Option<(At<'a>, f64)> {
    let level = case.runs(LineId::Discharge).filter(|at| at.answer.path == "level");
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
        .at(at.point.id)
        .place(format!("discharge run {}", at.answer.index))
        .found(velocity, limit.value, "m/s")
        .says(says)
        .by(&limit.source);
    Some(finding.mended(case, |tries| mend(case, tries, limit.value)))
}

/// Tube in which every slow run sweeps, where that harms nothing else; else the slope that lets the oil drain. A run that
/// has it needs nothing.
fn mend(case: &Case, tries: &mut Tries, limit: f64) -> Option<String> {
    let show = case.show();
    let slow: Vec<(usize, f64)> = (0..case.circuit.discharge.runs.len())
        .filter_map(|index| {
            let here =
                case.runs(LineId::Discharge).filter(|at| at.answer.index == index + 1 && at.answer.path == "level");
            let (_, velocity) = least(here.map(|at| (at, speed(&at)))).filter(|(_, v)| *v < limit)?;
            Some((index, velocity))
        })
        .collect();
    if let Some((sizing, trial)) = narrower(case, tries, &slow, limit)
        && let Some((at, velocity)) = slowest(&trial.case())
    {
        let what = mend::name_sizing(&case.circuit.discharge, &sizing);
        return Some(format!("{what} would do: {} at {}.{}", show.velocity(velocity), at.point.name, trial.but()));
    }
    let fall = case.limit("slope").value;
    let runs: Vec<String> = slow
        .iter()
        .filter_map(|(index, _)| match case.circuit.discharge.runs.get(*index)?.path {
            Path::Level { length, slope } if slope != Some(Slope::WithFlow) => {
                Some(format!("run {} (by {})", index + 1, show.small_length(length.value * fall)))
            }
            _ => None,
        })
        .collect();
    (!runs.is_empty()).then(|| format!("Slope {} with the flow, and what settles there drains on.", list(runs)))
}

/// The largest tubes of the same kind in which the slow runs sweep, where no other rule suffers.
fn narrower<'a>(
    case: &Case,
    tries: &mut Tries<'a>,
    slow: &[(usize, f64)],
    limit: f64,
) -> Option<(mend::Sizing, mend::Trial<'a>)> {
    let mut sizing = mend::Sizing::new();
    for (index, velocity) in slow {
        let now = case.circuit.discharge.runs.get(*index)?.tubes.last()?;
        let bore = now.bore().value * (velocity / limit).sqrt();
        sizing
            .push((*index, vec![mend::smaller(case, LineId::Discharge, now).find(|tube| tube.bore().value <= bore)?]));
    }
    let trial = tries.with(|circuit| mend::apply(&sizing, &mut circuit.discharge))?;
    (trial.mends() && trial.keeps_all()).then_some((sizing, trial))
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
            by_hand(&job, PointId::WinterMinimum, move |p| {
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

    /// So little flow at least that tube in which it sweeps would cost far too much drop at full flow.
    fn tight(slope: Option<Slope>) -> crate::job::Job {
        changed(|circuit| {
            circuit.compressors.least_share = 0.1;
            if let Path::Level { slope: drawn, .. } = &mut discharge(circuit, 1).path {
                *drawn = slope;
            }
        })
    }

    #[test]
    fn where_smaller_tube_would_harm_a_run_that_slopes_needs_nothing_and_another_the_slope() {
        let sloped = finding(RULE, &tight(Some(Slope::WithFlow)));
        assert_eq!((sloped.verdict, sloped.mend.as_deref()), (Verdict::Caution, None));
        let flat = finding(RULE, &tight(None)).mend.unwrap();
        assert_eq!(flat, "Slope run 1 (by 0.4 in) with the flow, and what settles there drains on.");
    }
}
