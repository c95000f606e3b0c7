//! `discharge-velocity`: will the discharge line be noisy?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::Ladder;
use super::say::{Value, say};
use crate::job::LineId;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "discharge-velocity",
    question: "Will the discharge line be noisy?",
    explanation: "\
The mean gas velocity in the fastest tube of the discharge line on the design day. Above 3500 fpm, a caution, \
pulsation and flow noise travel along the tube into the building and the hangers. Above 4000 fpm is a fail.

On colder days the gas is thinner and faster, but the chiller is seldom at full load: above 4000 fpm is a caution \
there. A velocity below 2000 fpm is no fault in itself: `oil-riser` and `oil-level` judge oil return.",
    limits: &["discharge_velocity_caution", "discharge_velocity"],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

fn judge(case: &Case) -> Option<Finding> {
    let fastest = |summer: bool| {
        let runs =
            case.runs(LineId::Discharge).filter(|at| at.answer.path != "part" && at.point.id.is_summer() == summer);
        greatest(runs.map(|at| (at, at.velocities().fold(f64::NAN, f64::max))))
    };
    let ladder = Ladder::new(case.job, "discharge_velocity_caution", "discharge_velocity");
    let design = fastest(true).map(|found| (ladder.above(found.1), found));
    let colder = fastest(false).map(|found| (ladder.above(found.1), found)).map(|((verdict, limit), found)| {
        ((if verdict == Verdict::Fail { Verdict::Caution } else { Verdict::Pass }, limit), found)
    });
    let all = [design, colder].into_iter().flatten();
    let ((verdict, limit), (at, velocity)) = all.reduce(|a, b| if b.0.0 > a.0.0 { b } else { a })?;
    let number = at.answer.index;
    let values =
        [Value::Run(LineId::Discharge, number), Value::Of(Kind::Velocity, velocity), Value::Point(at.point.id)];
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::run(LineId::Discharge, number));
    let finding = finding.found(velocity, limit.value, Kind::Velocity).by(limit.source.clone());
    Some(finding.says(say("Gas velocity is highest in {}: {} at {}.", values)))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, finding, findings, job, verdict, with_tubes};
    use super::*;
    use crate::survey::PointId;

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
    fn fast_gas_on_a_cold_day_is_a_caution() {
        let job = job();
        let fail = job.limit("discharge_velocity");
        let at = |speed: f64| {
            by_hand(&job, PointId::WinterFull, move |p| p.discharge_line.runs[1].tubes[0].velocity_m_s = speed)
        };
        assert_eq!(verdict(RULE, &job, &at(fail)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(fail * 1.0001)), Verdict::Caution);
    }

    #[test]
    fn slow_gas_is_no_fault_in_itself() {
        let job = job();
        let survey = by_hand(&job, PointId::SummerFull, |p| p.discharge_line.runs[1].tubes[0].velocity_m_s = 0.5);
        assert_eq!(verdict(RULE, &job, &survey), Verdict::Pass);
    }

    #[test]
    fn a_fast_run_fails() {
        let fast = changed(|circuit| with_tubes(discharge(circuit, 3), &["1-3/8 ACR"]));
        let found = finding(RULE, &fast);
        assert_eq!(found.verdict, Verdict::Fail);
        assert_eq!(found.place, Some(Place::run(LineId::Discharge, 3)));
        let text = found.text(&fast);
        assert!(text.starts_with("Gas velocity is highest in the level run of 10 ft in 1-3/8 ACR (run 3): "), "{text}");
        let still = changed(|circuit| with_tubes(discharge(circuit, 3), &["2-1/8 ACR"]));
        assert_eq!(finding(RULE, &still).verdict, Verdict::Pass);
    }

    #[test]
    fn a_line_of_parts_alone_is_not_asked() {
        let bare = changed(|circuit| {
            circuit.discharge.runs.drain(..3);
        });
        assert!(findings(RULE, &bare).is_empty());
    }
}
