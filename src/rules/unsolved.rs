//! Operating points without a solution: each is a fail of the one rule that the reason belongs to.

use super::case::Case;
use super::finding::{Finding, Place, Rule, Verdict};
use super::say::{Value, say};
use crate::job::LineId;
use crate::survey::{PointId, Unsolved, Why};
use crate::units::Kind;

/// The rule that reports an operating point without a solution.
fn owner(unsolved: &Unsolved) -> &'static str {
    let winter = matches!(unsolved.id, PointId::WinterFull | PointId::WinterMinimum);
    match &unsolved.why {
        // Without head pressure nothing flows: what holds it is what is wrong.
        Why::OutOfRange(_) | Why::NoBalance(_) if winter => "low-ambient",
        Why::NeverCondenses { .. } | Why::OutOfRange(_) | Why::NoBalance(_) => "high-pressure",
        Why::FallsToSuction { .. } => "low-ambient",
        Why::LineTooSmall { line: LineId::Discharge, .. } => "discharge-drop",
        Why::LineTooSmall { line: LineId::Liquid, .. } => "liquid-drop",
    }
}

/// The fails of a rule for the points without a solution that it owns: one for each reason.
pub(super) fn findings(case: &Case, rule: &'static str) -> Vec<Finding> {
    let mut groups: Vec<(&Unsolved, Vec<PointId>)> = Vec::new();
    for unsolved in case.solved.unsolved.iter().filter(|u| owner(u) == rule) {
        let same = |(known, _): &&mut (&Unsolved, Vec<PointId>)| {
            std::mem::discriminant(&known.why) == std::mem::discriminant(&unsolved.why)
        };
        match groups.iter_mut().find(same) {
            Some((_, names)) => names.push(unsolved.id),
            None => groups.push((unsolved, vec![unsolved.id])),
        }
    }
    groups.into_iter().map(|(first, names)| finding(case, rule, first, &names)).collect()
}

/// The fails of a rule for the points without a solution, and what it finds at the others.
pub(super) fn and_then(case: &Case, rule: &'static str, judge: fn(&Case) -> Option<Finding>) -> Vec<Finding> {
    findings(case, rule).into_iter().chain(judge(case)).collect()
}

/// Rules that name no operating point and yet rest on all of them: on the highest pressure, the warmest gas, the greatest charge.
const REST_ON_POINTS: [&str; 7] = [
    "rating-point",
    "design-pressure",
    "tube-strength",
    "thermal-expansion",
    "stop-valves",
    "receiver",
    "concentration",
];

/// Rules that judge the design day alone.
const OF_SUMMER_FULL: [&str; 1] = ["condenser-size"];

/// That a rule could not look at the points without a solution: each that judges operating points or has nothing to say at any,
/// and does not fail for want of a solution itself.
pub(super) fn not_judged(case: &Case, rules: &[&'static Rule], found: &[Finding]) -> Vec<Finding> {
    let lost: Vec<PointId> =
        case.solved.unsolved.iter().map(|unsolved| unsolved.id).filter(|id| id.is_running()).collect();
    if lost.is_empty() {
        return Vec::new();
    }
    let found: Vec<&Finding> = found.iter().filter(|finding| finding.circuit == Some(case.index)).collect();
    let told = |rule: &&'static Rule| {
        let own: Vec<&Finding> = found.iter().copied().filter(|finding| finding.rule == rule.id).collect();
        let blind = blind_at(case, rule.id, &own, &lost);
        let first = *blind.first()?;
        let words = if blind.len() == 1 {
            "Not judged at {}, which has no solution."
        } else {
            "Not judged at {}, which have no solution."
        };
        let points = Value::List(blind.into_iter().map(Value::Point).collect());
        Some(case.finding(rule.id, Verdict::NotJudged).at(first).says(say(words, [points])))
    };
    rules.iter().filter_map(told).collect()
}

/// The points without a solution at which a rule that found so much would have looked.
fn blind_at(case: &Case, rule: &str, own: &[&Finding], lost: &[PointId]) -> Vec<PointId> {
    if case.solved.unsolved.iter().any(|unsolved| owner(unsolved) == rule) {
        return Vec::new();
    }
    if OF_SUMMER_FULL.contains(&rule) {
        return lost.iter().copied().filter(|id| *id == PointId::SummerFull).collect();
    }
    let points = own.iter().any(|finding| finding.point().is_some_and(PointId::is_running));
    // A riser that lacks a trap fails where it hardly lifts its oil.
    let rests = REST_ON_POINTS.contains(&rule) && !own.is_empty()
        || rule == "riser-traps" && own.iter().any(|finding| finding.verdict > Verdict::Pass);
    let silent = own.is_empty() && case.points().next().is_none();
    if points || rests || silent { lost.to_vec() } else { Vec::new() }
}

fn finding(case: &Case, rule: &'static str, first: &Unsolved, lost: &[PointId]) -> Finding {
    let points = Value::List(lost.iter().copied().map(Value::Point).collect());
    let finding = case.finding(rule, Verdict::Fail).at(first.id);
    let (finding, why) = match &first.why {
        Why::NeverCondenses { top_Pa } => (
            finding.found(*top_Pa, None, Kind::Pressure),
            say(
                "The condenser cannot reject the heat at {} at any pressure up to {}.",
                [points, Value::Of(Kind::Pressure, *top_Pa)],
            ),
        ),
        Why::FallsToSuction { evaporating_K } => (
            finding.found(*evaporating_K, None, Kind::Temperature),
            say(
                "Condensing falls to the evaporating temperature ({}) at {}: the head pressure is lost, and the valve \
                 feeds no liquid.",
                [Value::Temperature(*evaporating_K), points],
            ),
        ),
        Why::LineTooSmall { line, run } => (
            finding.place(Place::run(*line, *run)),
            say(
                "The {} line does not pass the flow of {}: {} takes more pressure than there is.",
                [Value::name(line.name()), points, Value::Run(*line, *run)],
            ),
        ),
        Why::OutOfRange(range) => (finding, say("There is no solution at {}: {}.", [points, Value::Beyond(*range)])),
        Why::NoBalance(what) => {
            (finding, say("There is no solution at {}: {}.", [points, Value::name(what.trim_end_matches('.'))]))
        }
    };
    let silent = if lost.len() == 1 { "that point" } else { "those points" };
    finding.says(why.and(" Until that is resolved, no other rule can check {}.", [Value::name(silent)]))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, job, liquid, solved, with_tubes};
    use super::super::{check_all, rule};
    use super::*;
    use crate::job::Job;
    use crate::refrigerant::{End, OutOfRange};
    use crate::survey::Survey;

    const RANGE: OutOfRange = OutOfRange {
        refrigerant: "R-134a",
        quantity: "pressure",
        value: 4.0e6,
        bound: 3.6e6,
        end: End::Greatest,
        unit: "Pa",
        meaning: "the greatest",
    };

    /// The job solved, but for some points, which are given that reason.
    fn without(job: &Job, points: &[PointId], why: &Why) -> Survey {
        let mut survey = solved(job);
        let circuit = &mut survey.circuits[0];
        circuit.points.retain(|point| !points.contains(&point.id));
        let lost = |id: &PointId| Unsolved { id: *id, name: id.name(job).to_owned(), why: why.clone() };
        circuit.unsolved.extend(points.iter().map(lost));
        survey
    }

    #[test]
    fn every_reason_is_a_fail_of_one_rule_that_names_the_points() {
        let job = job();
        for why in [
            Why::NeverCondenses { top_Pa: 4e6 },
            Why::FallsToSuction { evaporating_K: 278.0 },
            Why::LineTooSmall { line: LineId::Discharge, run: 2 },
            Why::LineTooSmall { line: LineId::Liquid, run: 3 },
            Why::OutOfRange(RANGE),
            Why::NoBalance("the solution did not converge".to_owned()),
        ] {
            let survey = without(&job, &[PointId::SummerFull, PointId::SummerMinimum], &why);
            let findings = check_all(&job, &survey);
            let fails: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::Fail).collect();
            assert_eq!(fails.len(), 1, "{why:?}: {fails:#?}");
            let fail = fails[0];
            assert_eq!(fail.rule, owner(&survey.circuits[0].unsolved[0]));
            assert!(rule(fail.rule).is_some());
            let text = fail.text(&job);
            assert!(text.contains("summer full and summer minimum"), "{text}");
            assert!(text.ends_with("no other rule can check those points."), "{text}");
        }
    }

    #[test]
    fn a_rule_that_judges_points_says_at_which_it_could_not_and_one_of_the_drawing_does_not() {
        let job = job();
        let survey = without(&job, &[PointId::SummerFull], &Why::NeverCondenses { top_Pa: 4e6 });
        let findings = check_all(&job, &survey);
        let blind: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::NotJudged).collect();
        let of = |id: &str| blind.iter().filter(|finding| finding.rule == id).count();
        assert_eq!((of("discharge-drop"), of("oil-riser"), of("valve-pressure")), (1, 1, 1));
        assert_eq!((of("high-pressure"), of("elevations"), of("slope")), (0, 0, 0));
        let drops = blind.iter().find(|finding| finding.rule == "discharge-drop").unwrap();
        assert_eq!(drops.text(&job), "Not judged at summer full, which has no solution.");
        assert_eq!(drops.point(), Some(PointId::SummerFull));
    }

    #[test]
    fn a_rule_that_looks_at_summer_full_alone_is_blind_at_no_other_point() {
        let job = job();
        let texts = |points: &[PointId]| -> Vec<String> {
            let survey = without(&job, points, &Why::NeverCondenses { top_Pa: 4e6 });
            let findings = check_all(&job, &survey);
            let blind = |f: &&Finding| f.rule == "condenser-size" && f.verdict == Verdict::NotJudged;
            findings.iter().filter(blind).map(|finding| finding.text(&job)).collect()
        };
        assert!(texts(&[PointId::SummerMinimum]).is_empty());
        let both = texts(&[PointId::SummerFull, PointId::SummerMinimum]);
        assert_eq!(both, ["Not judged at summer full, which has no solution."]);
    }

    #[test]
    fn two_reasons_of_one_rule_are_two_findings() {
        let job = job();
        let mut survey = without(&job, &[PointId::SummerFull], &Why::NeverCondenses { top_Pa: 4e6 });
        let why = Why::OutOfRange(RANGE);
        survey.circuits[0].unsolved.push(Unsolved {
            id: PointId::SummerMinimum,
            name: "summer minimum".to_owned(),
            why,
        });
        let case = Case::all(&job, &survey).next().unwrap();
        let found = findings(&case, "high-pressure");
        assert_eq!(found.len(), 2);
        let text = found[1].text(&job);
        let told = "There is no solution at summer minimum: the pressure of R-134a, 580 psia, is above 522 psia, the greatest.";
        assert!(text.starts_with(told), "{text}");
        assert!(findings(&case, "low-ambient").is_empty());
    }

    #[test]
    fn what_has_no_answer_in_winter_is_a_matter_of_the_head_control() {
        let job = job();
        let survey = without(&job, &[PointId::WinterFull], &Why::NoBalance("the balance did not converge".to_owned()));
        let case = Case::all(&job, &survey).next().unwrap();
        assert!(findings(&case, "high-pressure").is_empty());
        assert_eq!(findings(&case, "low-ambient")[0].point(), Some(PointId::WinterFull));
    }

    #[test]
    fn a_starved_line_names_its_run() {
        let narrow = changed(|circuit| with_tubes(liquid(circuit, 3), &["7/8 ACR"]));
        let survey = without(&narrow, &[PointId::WinterFull], &Why::LineTooSmall { line: LineId::Liquid, run: 3 });
        let case = Case::all(&narrow, &survey).next().unwrap();
        let found = findings(&case, "liquid-drop");
        assert_eq!(found[0].place, Some(Place::Runs(LineId::Liquid, vec![3])));
        let text = found[0].text(&narrow);
        assert!(text.contains("the drop of 38 ft in 7/8 ACR (run 3) takes more pressure than there is."), "{text}");
    }
}
