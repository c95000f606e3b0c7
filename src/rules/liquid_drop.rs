//! `liquid-drop`: does friction in the liquid line cost too much subcooling?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Value, say};
use super::unsolved;
use crate::job::LineId;
use crate::survey::Point;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "liquid-drop",
    question: "Does friction in the liquid line take too much subcooling?",
    explanation: "\
The friction of tube and fittings in the liquid line, as a difference of bubble temperature, at every operating \
point. The usual design band is 1 to 2 F. Above 2 F is a caution and never a fail, because published designs with \
subcooling to spare take 4 to 6 F. `liquid-flash` judges whether it is too much. Driers, solenoid valves and static \
head are not in the band and are not counted here; `liquid-flash` counts everything.

Too much friction flashes the liquid as soon as the condenser gives a little less subcooling than planned, and takes \
pressure from the valve in winter. A line that does not pass the flow at all fails here.",
    limits: &["liquid_drop"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    unsolved::and_then(case, RULE.id, judge)
}

/// Friction of tube and fittings as bubble temperature.
fn drop(point: &Point) -> f64 {
    let line = &point.liquid_line;
    let lost = line.friction_Pa + line.parts_Pa;
    if lost > 0.0 { line.saturation_drop_K * line.friction_Pa / lost } else { 0.0 }
}

fn judge(case: &Case) -> Option<Finding> {
    let (point, drop) = case.worst(drop)?;
    let limit = case.limit("liquid_drop");
    let verdict = if drop > limit.value { Verdict::Caution } else { Verdict::Pass };
    let line = &point.liquid_line;
    let mut says = say(
        "Friction in the liquid line is {} at {}, worth {} of subcooling.",
        [Value::Of(Kind::PressureDifference, line.friction_Pa), Value::Point(point.id), Value::Fine(drop)],
    );
    let tubes = line.runs.iter().filter(|run| run.path != "part");
    let maximum = greatest(tubes.map(|run| (run.index, run.friction_Pa)));
    if let (true, Some((index, loss))) = (verdict > Verdict::Pass, maximum) {
        let values = [Value::Of(Kind::PressureDifference, loss), Value::Run(LineId::Liquid, index)];
        says = says.and(" {} of it is in {}.", values);
    }
    let place = maximum.map_or(Place::Line(LineId::Liquid), |(index, _)| Place::run(LineId::Liquid, index));
    let finding = case.finding(RULE.id, verdict).at(point.id).place(place);
    Some(finding.found(drop, limit.value, Kind::Difference).says(says).by(limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, job, liquid, verdict, with_tubes};
    use super::*;
    use crate::survey::PointId;

    #[test]
    fn two_fahrenheit_exactly_passes() {
        let job = job();
        // 400 Pa of friction and 100 Pa of parts: four fifths of the drop count.
        let at =
            |kelvin: f64| by_hand(&job, PointId::SummerFull, move |p| p.liquid_line.saturation_drop_K = kelvin * 1.25);
        let two = job.limit("liquid_drop");
        assert_eq!(verdict(RULE, &job, &at(two)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(two * 1.0001)), Verdict::Caution);
    }

    #[test]
    fn parts_do_not_count() {
        let job = job();
        let survey = by_hand(&job, PointId::SummerFull, |p| {
            p.liquid_line.parts_Pa = 40_000.0;
            p.liquid_line.saturation_drop_K = 4.0;
        });
        assert_eq!(verdict(RULE, &job, &survey), Verdict::Pass);
    }

    #[test]
    fn a_narrow_line_is_a_caution_and_a_wider_one_passes() {
        let tubes = |name: &str| {
            changed(|circuit| {
                for number in 2..=4 {
                    with_tubes(liquid(circuit, number), &[name]);
                }
            })
        };
        let found = finding(RULE, &tubes("7/8 ACR"));
        assert_eq!(found.verdict, Verdict::Caution);
        assert_eq!(finding(RULE, &tubes("1-3/8 ACR")).verdict, Verdict::Pass);
    }
}
