//! `oil-level`: do level runs of the discharge line move oil at the minimum flow?

use super::case::{At, Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Value, say};
use crate::job::{LineId, Path, Slope};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "oil-level",
    question: "Do level runs of the discharge line move oil at the minimum flow?",
    explanation: "\
The mean gas velocity in every level run of the discharge line, at every operating point. Below 500 fpm oil is taken \
to settle in the bottom of the tube: a caution, never a fail. A run that slopes with the flow drains by itself: a \
note.

Oil that settles in the line is missing in the compressors, and comes back as a slug when the flow rises again.",
    limits: &["oil_level", "slope"],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

fn judge(case: &Case) -> Option<Finding> {
    let level = case.runs(LineId::Discharge).filter(|at| at.answer.path == "level");
    let level: Vec<_> = level.map(|at| (at, at.velocities().fold(f64::INFINITY, f64::min))).collect();
    let limit = case.limit("oil_level");
    let drains = |at: &At| matches!(at.run.path, Path::Level { slope: Some(Slope::WithFlow), .. });
    let lying = level.iter().copied().filter(|(at, velocity)| *velocity < limit.value && !drains(at));
    let (at, velocity) = minimum(lying).or_else(|| minimum(level.iter().copied()))?;
    let verdict = match (velocity < limit.value, drains(&at)) {
        (true, false) => Verdict::Caution,
        (true, true) => Verdict::Note,
        (false, _) => Verdict::Pass,
    };
    let number = at.answer.index;
    let values =
        [Value::Run(LineId::Discharge, number), Value::Of(Kind::Velocity, velocity), Value::Point(at.point.id)];
    let mut says = say("Gas velocity is lowest in {}: {} at {}.", values);
    if verdict > Verdict::Pass {
        let settles = match at.run.path {
            Path::Level { slope: Some(Slope::WithFlow), .. } => " Oil that settles there drains with the flow.",
            Path::Level { slope: Some(Slope::AgainstFlow), .. } => " Oil that settles there runs back.",
            _ => " Oil settles there unless the run slopes with the flow.",
        };
        says = says.and(settles, []);
    }
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::run(LineId::Discharge, number));
    Some(finding.found(velocity, limit.value, Kind::Velocity).says(says).by(limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, finding, findings, job, verdict, with_tubes};
    use super::*;
    use crate::survey::PointId;

    #[test]
    fn the_limit_itself_sweeps() {
        let job = job();
        let limit = job.limit("oil_level");
        let at = |speed: f64| {
            by_hand(&job, PointId::WinterMinimum, move |p| {
                for run in &mut p.discharge_line.runs {
                    run.tubes[0].velocity_m_s = speed;
                }
            })
        };
        assert_eq!(verdict(RULE, &job, &at(limit)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(limit * 0.9999)), Verdict::Note);
    }

    #[test]
    fn a_line_without_a_level_run_is_not_asked() {
        let upright = changed(|circuit| circuit.discharge.runs.retain(|run| !matches!(run.path, Path::Level { .. })));
        assert!(findings(RULE, &upright).is_empty());
    }

    #[test]
    fn a_wide_level_run_is_a_caution_that_says_where_its_oil_goes() {
        let told = |slope: Option<Slope>| {
            let wide = changed(|circuit| {
                with_tubes(discharge(circuit, 3), &["4-1/8 ACR"]);
                if let Path::Level { slope: drawn, .. } = &mut discharge(circuit, 3).path {
                    *drawn = slope;
                }
            });
            let found = finding(RULE, &wide);
            let drains = slope == Some(Slope::WithFlow);
            assert_eq!(found.verdict, if drains { Verdict::Note } else { Verdict::Caution });
            assert_eq!(found.place, Some(Place::run(LineId::Discharge, 3)));
            found.text(&wide)
        };
        assert!(told(Some(Slope::WithFlow)).ends_with("settles there drains with the flow."));
        assert!(told(Some(Slope::AgainstFlow)).ends_with("runs back."));
        assert!(told(None).ends_with("unless the run slopes with the flow."));
    }
}
