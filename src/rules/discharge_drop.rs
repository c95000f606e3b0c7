//! `discharge-drop`: does the discharge line cost too much head?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::Ladder;
use super::say::{Value, say};
use super::unsolved;
use crate::job::LineId;
use crate::survey::Point;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "discharge-drop",
    question: "Is the pressure drop of the discharge line too high?",
    explanation: "\
The pressure drop of friction, fittings and parts between the compressors and the condenser, as a difference of dew \
temperature, on the design day. Each degree adds about 1.5 % to compressor power, and brings the high-pressure \
cut-out nearer on the hottest day. The static head of the gas is in the balance but does not count here, because no \
tube size changes it.

On colder days the gas is thinner and the drop greater, but the head floats below that of the design day or is held \
up anyway. The largest drop there is reported, not judged.

The usual design figure is 1 F; more is a caution. Published piping guides allow 2 to 3 F; more than 3 F is a fail.",
    limits: &["discharge_drop_caution", "discharge_drop"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    unsolved::and_then(case, RULE.id, judge)
}

fn judge(case: &Case) -> Option<Finding> {
    let drop = |point: &Point| point.discharge_line.saturation_drop_K;
    let free = |point: &&Point| point.air_share >= 1.0 && point.flooded_share <= 0.0;
    let design = greatest(case.points().filter(|point| point.id.is_summer()).filter(free).map(|p| (p, drop(p))));
    let (point, drop) = design.or_else(|| case.worst(drop))?;
    let ladder = Ladder::new(case.job, "discharge_drop_caution", "discharge_drop");
    let (verdict, limit) = if design.is_some() { ladder.above(drop) } else { (Verdict::NotJudged, ladder.pass()) };
    let line = &point.discharge_line;
    let mut says = say(
        "Pressure drop of the discharge line is {} at {}, worth {} of condensing temperature.",
        [
            Value::Of(Kind::PressureDifference, line.friction_Pa + line.parts_Pa),
            Value::Point(point.id),
            Value::Fine(drop),
        ],
    );
    let maximum = greatest(line.runs.iter().map(|run| (run.index, run.friction_Pa)));
    if let Some((number, loss)) = maximum
        && verdict > Verdict::NotJudged
    {
        let values = [Value::Of(Kind::PressureDifference, loss), Value::Run(LineId::Discharge, number)];
        says = says.and(" {} of it is in {}.", values);
    }
    if design.is_none() {
        says = says.and(" Not judged: no point of the design day without head control has a solution.", []);
    } else if let Some((colder, maximum)) = case.worst(|point| point.discharge_line.saturation_drop_K)
        && maximum > drop * 1.05
        && maximum > ladder.pass().value
    {
        let values = [Value::Point(colder.id), Value::Fine(maximum)];
        says = says.and(" At {}, with the head lower or held up, it is {}.", values);
    }
    let place = maximum.map_or(Place::Line(LineId::Discharge), |(number, _)| Place::run(LineId::Discharge, number));
    let finding = case.finding(RULE.id, verdict).at(point.id).place(place);
    Some(finding.found(drop, limit.value, Kind::Difference).says(says).by(limit.source.clone()))
}

#[cfg(test)]
mod tests {
    use super::super::finding::Source;
    use super::super::testing::{by_hand, changed, discharge, finding, job, only, verdict, with_tubes};
    use super::*;
    use crate::job::{Path, Resistance};
    use crate::survey::PointId;
    use crate::units::pascals;

    #[test]
    fn one_fahrenheit_exactly_passes_and_three_exactly_is_a_caution() {
        let job = job();
        let at = |kelvin: f64| by_hand(&job, PointId::SummerFull, move |p| p.discharge_line.saturation_drop_K = kelvin);
        let (one, three) = (job.limit("discharge_drop_caution"), job.limit("discharge_drop"));
        assert_eq!(verdict(RULE, &job, &at(one)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(one * 1.0001)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(three)), Verdict::Caution);
        assert_eq!(verdict(RULE, &job, &at(three * 1.0001)), Verdict::Fail);
    }

    #[test]
    fn a_tighter_limit_of_the_jobs_own_comes_before_the_default_caution() {
        let mut job = job();
        job.limits.insert("discharge_drop".to_owned(), 0.3);
        let survey = by_hand(&job, PointId::SummerFull, |p| p.discharge_line.saturation_drop_K = 0.4);
        let finding = only(RULE.check(&job, &survey));
        assert_eq!((finding.verdict, finding.measure.unwrap().limit), (Verdict::Fail, Some(0.3)));
        assert_eq!(finding.source, Source::OwnLimit);
    }

    #[test]
    fn a_drop_on_a_colder_day_is_told_and_not_judged() {
        let job = job();
        let mut survey = by_hand(&job, PointId::SummerFull, |_| {});
        let mut cold = survey.circuits[0].points[0].clone();
        cold.id = PointId::WinterFull;
        cold.discharge_line.saturation_drop_K = 3.0;
        survey.circuits[0].points.push(cold);
        let finding = only(RULE.check(&job, &survey));
        assert_eq!((finding.verdict, finding.point()), (Verdict::Pass, Some(PointId::SummerFull)));
        let text = finding.text(&job);
        assert!(text.ends_with("At winter full, with the head lower or held up, it is 5.40 F."), "{text}");
    }

    #[test]
    fn a_head_held_on_the_design_day_too_is_not_judged() {
        let job = job();
        let held = by_hand(&job, PointId::SummerFull, |p| {
            (p.air_share, p.discharge_line.saturation_drop_K) = (0.5, 3.0);
        });
        assert_eq!(verdict(RULE, &job, &held), Verdict::NotJudged);
    }

    #[test]
    fn a_narrow_line_fails_in_the_run_that_takes_maximum() {
        let narrow = changed(|circuit| {
            for number in 1..=3 {
                with_tubes(discharge(circuit, number), &["1-5/8 ACR"]);
            }
        });
        let found = finding(RULE, &narrow);
        assert_eq!(found.verdict, Verdict::Fail);
        assert_eq!(found.place, Some(Place::run(LineId::Discharge, 2)));
        let text = found.text(&narrow);
        assert!(text.contains("is in the riser of 38 ft in 1-5/8 ACR (run 2)."), "{text}");
    }

    #[test]
    fn a_part_that_takes_it_all_is_named() {
        let job = changed(|circuit| {
            if let Path::Part(part) = &mut discharge(circuit, 4).path {
                part.resistance = Resistance::Loss(pascals(60e3));
            }
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        assert_eq!(found.place, Some(Place::run(LineId::Discharge, 4)));
        assert!(found.text(&job).contains("is in the check valve (run 4)."), "{}", found.text(&job));
    }
}
