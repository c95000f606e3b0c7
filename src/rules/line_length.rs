//! `line-length`: is a line longer than manufacturers allow?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Value, say};
use crate::job::{Line, LineId};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "line-length",
    question: "Is a line longer than manufacturers allow?",
    explanation: "\
The length of tube in each line, its equivalent length with fittings, and its greatest rise. Published guides for \
remote condensers end at 200 ft of tube, 300 ft equivalent and 100 ft of riser. Beyond that, charge, oil return and \
restarts are outside what the chiller was tested with, whatever the pressure drop. The manufacturer of the chiller \
governs: ask before anything is bought. A caution, never a fail.",
    limits: &["line_length", "line_length_equivalent", "riser_height"],
    look: Look::Circuit(|case| LineId::BOTH.into_iter().filter_map(|line| judge(case, line)).collect()),
};

/// How high a line climbs at most behind any of its points, m.
fn climb(line: &Line) -> f64 {
    let climbs = line.runs.iter().scan(0.0_f64, |over_lowest, run| {
        *over_lowest = (*over_lowest + run.path.rise_m()).max(0.0);
        Some(*over_lowest)
    });
    climbs.fold(0.0, f64::max)
}

fn judge(case: &Case, line: LineId) -> Option<Finding> {
    let drawn = line.of(case.circuit);
    let length: f64 = drawn.runs.iter().map(|run| run.path.length_m()).sum();
    let (point, equivalent) = case.worst(|point| point.line(line).equivalent_length_m)?;
    let measures = [
        (length, case.limit("line_length"), "{} of tube in the {} line"),
        (equivalent, case.limit("line_length_equivalent"), "{} of equivalent length in the {} line"),
        (climb(drawn), case.limit("riser_height"), "{} of rise in the {} line"),
    ];
    let share = |(value, limit, _): &(f64, super::limit::Used, _)| value / limit.value;
    let (worst, _) = greatest(measures.iter().map(|measure| (measure, share(measure))))?;
    let (value, limit, words) = worst;
    let over = *value > limit.value;
    let says = say(words, [Value::Of(Kind::Length, *value), Value::name(line.name())]);
    let of = Value::Of(Kind::Length, limit.value);
    let says = if over {
        says.and("; published guides end at {}. The manufacturer governs.", [of])
    } else {
        says.and("; the limit is {}.", [of])
    };
    let verdict = if over { Verdict::Caution } else { Verdict::Pass };
    let finding = case.finding(RULE.id, verdict).at(point.id).place(Place::Line(line));
    Some(finding.found(*value, limit.value, Kind::Length).says(says).by(&limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, findings, liquid};
    use super::*;
    use crate::job::{Job, Path, Traps};

    fn of(job: &Job, line: LineId) -> Finding {
        findings(RULE, job).into_iter().find(|found| found.place == Some(Place::Line(line))).unwrap()
    }

    fn level(length: f64) -> Job {
        // 38 ft of fall and 30 ft level stand beside it.
        changed(|circuit| liquid(circuit, 2).path = Path::Level { length: feet(length), slope: None })
    }

    #[test]
    fn two_hundred_feet_of_tube_are_still_allowed() {
        assert_eq!(of(&level(132.0), LineId::Liquid).verdict, Verdict::Pass);
        let found = of(&level(132.1), LineId::Liquid);
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(
            found.words().starts_with("200.1 ft of tube in the liquid line; published guides end at 200 ft"),
            "{}",
            found.words()
        );
        assert_eq!(of(&level(132.1), LineId::Discharge).verdict, Verdict::Pass);
    }

    #[test]
    fn a_climb_counts_from_the_lowest_point_before_it() {
        let path = |rise: f64| Path::Rise { length: feet(rise), traps: Traps::default() };
        let fall = Path::Drop { length: feet(38.0) };
        let run = |path: Path| {
            let mut run = changed(|_| {}).circuits[0].liquid.runs[1].clone();
            run.path = path;
            run
        };
        let line =
            Line { runs: vec![run(path(20.0)), run(fall), run(path(60.0)), run(path(45.0))], stop_valves: false };
        approx::assert_relative_eq!(climb(&line), feet(105.0).value, max_relative = 1e-12);
        let job = changed(|circuit| circuit.liquid = line);
        assert_eq!(of(&job, LineId::Liquid).verdict, Verdict::Caution);
    }
}
