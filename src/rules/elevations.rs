//! `elevations`: do both routes and the height of the condenser agree?

use super::case::Case;
use super::finding::{Finding, Look, Rule, Verdict};
use super::say::{Say, Value, say};
use crate::job::{Line, LineId};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "elevations",
    question: "Do both lines and the elevation of the condenser agree?",
    explanation: "\
The discharge line must rise as much as the liquid line drops, and both must match the elevation of the condenser \
above the chiller. Where two of the three differ by more than 2 ft, or by more than 5 % of the height if that is \
more, the drawing contradicts itself. A riser is missing or counted twice, and static head, oil return and \
subcooling are computed for a plant that nobody builds. A fail names the one that disagrees with the other two, and \
by how much.

A liquid line that ends with a riser may lead to an evaporator above the chiller: where the three agree without that \
riser, they agree.",
    limits: &["elevations_length", "elevations_share"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let climb = |side: LineId| side.of(case.circuit).runs.iter().map(|run| run.path.rise_m()).sum::<f64>();
    let (up, down, above) = (climb(LineId::Discharge), -climb(LineId::Liquid), case.circuit.condenser.elevation.value);
    let (length, share) = (case.limit("elevations_length"), case.limit("elevations_share"));
    let relative = share.value * up.abs().max(down.abs()).max(above.abs());
    let limit = length.value.max(relative);
    let apart = |down: f64| (up.max(down).max(above)) - (up.min(down).min(above));
    // A tenth of a millimetre is no disagreement of a drawing but of units.
    let agree = |down: f64| apart(down) <= limit + 1e-4;
    let last = last_rise(&case.circuit.liquid);
    let evaporator_above = !agree(down) && last > 0.0 && agree(down + last);
    let widest = apart(if evaporator_above { down + last } else { down });
    let verdict = if agree(down) || evaporator_above { Verdict::Pass } else { Verdict::Fail };
    let climbs = |climbs: bool| Value::name(if climbs { "rises" } else { "drops" });
    let height = |metres: f64| Value::Of(Kind::Length, metres.abs());
    let says = say(
        "The discharge line {} {}, the liquid line {} {}, and the condenser is {} {} the chiller.",
        [
            climbs(up >= 0.0),
            height(up),
            climbs(down < 0.0),
            height(down),
            height(above),
            Value::name(if above < 0.0 { "below" } else { "above" }),
        ],
    );
    let says = match verdict {
        Verdict::Fail => says.then(odd(up, down, above, limit)),
        _ if evaporator_above => says.and(
            " The liquid line ends with a riser of {}: the evaporator is that much above the chiller.",
            [height(last)],
        ),
        _ => says,
    };
    let source = if length.value >= relative { length.source } else { share.source };
    vec![case.finding(RULE.id, verdict).found(widest, limit, Kind::Length).says(says).by(source)]
}

/// What a line climbs behind its last fall, m.
fn last_rise(line: &Line) -> f64 {
    line.runs.iter().rev().map(|run| run.path.rise_m()).take_while(|rise| *rise >= 0.0).sum()
}

/// Which of the three does not agree with the other two, and by how much.
fn odd(up: f64, down: f64, above: f64, limit: f64) -> Say {
    let agree = |a: f64, b: f64| (a - b).abs() <= limit + 1e-4;
    let more = |by: f64| Value::name(if by >= 0.0 { "more" } else { "less" });
    let length = |by: f64| Value::Of(Kind::Length, by.abs());
    match (agree(up, down), agree(up, above), agree(down, above)) {
        (true, false, false) => {
            say(" Both lines agree on {} between the chiller and the condenser.", [length(f64::midpoint(up, down))])
        }
        (false, true, false) => {
            let by = f64::midpoint(up, above) - down;
            say(" The liquid line disagrees: with {} {} drop the three agree.", [length(by), more(by)])
        }
        (false, false, true) => {
            let by = f64::midpoint(down, above) - up;
            say(" The discharge line disagrees: with {} {} rise the three agree.", [length(by), more(by)])
        }
        _ => say(" No two agree.", []),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, feet, finding, job, liquid};
    use super::*;
    use crate::job::{Circuit, Path, Traps};

    fn heights(circuit: &mut Circuit, up: f64, down: f64, above: f64) {
        discharge(circuit, 2).path = Path::Rise { length: feet(up), traps: Traps::default() };
        liquid(circuit, 3).path = Path::Drop { length: feet(down) };
        circuit.condenser.elevation = feet(above);
    }

    fn of(up: f64, down: f64, above: f64) -> Finding {
        finding(RULE, &changed(|circuit| heights(circuit, up, down, above)))
    }

    #[test]
    fn two_feet_or_five_percent_exactly_still_agree() {
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
        assert_eq!(of(20.0, 18.0, 19.0).verdict, Verdict::Pass);
        assert_eq!(of(20.0, 17.9, 19.0).verdict, Verdict::Fail);
        assert_eq!(of(100.0, 95.0, 98.0).verdict, Verdict::Pass);
        assert_eq!(of(100.0, 94.9, 98.0).verdict, Verdict::Fail);
    }

    #[test]
    fn the_odd_one_out_is_named() {
        let told = |up, down, above| {
            let job = changed(|circuit| heights(circuit, up, down, above));
            finding(RULE, &job).text(&job)
        };
        let ends = |text: String, with: &str| assert!(text.ends_with(with), "{text}");
        ends(told(38.0, 30.0, 38.0), " The liquid line disagrees: with 8 ft more drop the three agree.");
        ends(told(42.0, 38.0, 38.0), " The discharge line disagrees: with 4 ft less rise the three agree.");
        ends(told(38.0, 38.0, 20.0), " Both lines agree on 38 ft between the chiller and the condenser.");
        ends(told(20.0, 30.0, 40.0), " No two agree.");
    }

    #[test]
    fn a_rise_at_the_end_of_the_liquid_line_leads_to_an_evaporator_above_the_machine() {
        let with_last = |rise: f64, fall: f64| {
            changed(|circuit| {
                heights(circuit, 38.0, fall, 38.0);
                liquid(circuit, 4).path = Path::Rise { length: feet(rise), traps: Traps::default() };
            })
        };
        let job = with_last(9.0, 38.0);
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass);
        let text = found.text(&job);
        assert!(
            text.ends_with("The liquid line ends with a riser of 9 ft: the evaporator is that much above the chiller."),
            "{text}"
        );
        // One that is only the way round agrees as it is; one that explains nothing does not.
        assert_eq!(finding(RULE, &with_last(9.0, 47.0)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &with_last(9.0, 30.0)).verdict, Verdict::Fail);
    }

    #[test]
    fn a_condenser_below_the_machine_is_told_so() {
        let job = changed(|circuit| {
            discharge(circuit, 2).path = Path::Drop { length: feet(12.0) };
            liquid(circuit, 3).path = Path::Rise { length: feet(12.0), traps: Traps::default() };
            circuit.condenser.elevation = feet(-12.0);
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass);
        assert_eq!(
            found.text(&job),
            "The discharge line drops 12 ft, the liquid line rises 12 ft, and the condenser is 12 ft below the chiller."
        );
    }
}
