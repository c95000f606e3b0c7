//! `geometry`: do both routes and the height of the condenser agree?

use super::case::Case;
use super::finding::{Finding, Look, Rule, Verdict};
use super::say::{Say, Value, say};
use crate::job::{LineId, Path};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "geometry",
    question: "Do both routes and the height of the condenser agree?",
    explanation: "\
The discharge line must climb as much as the liquid line falls, and as much as the condenser stands above the machine. Where \
one of the three differs from another by more than 2 ft, or by more than 5 % of the height where that is more, the drawing \
contradicts itself: a rise is missing or counted twice, and with it static head, oil lift and subcooling are computed for a \
plant that nobody builds. A fail names the one that stands alone against the other two, and by how much. A liquid line that \
climbs at its end to an evaporator above the machine is looked at up to there.",
    limits: &["geometry_length", "geometry_share"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let climb = |side: LineId| side.of(case.circuit).runs.iter().map(|run| run.path.rise_m()).sum::<f64>();
    let (up, net, above) = (climb(LineId::Discharge), -climb(LineId::Liquid), case.circuit.condenser.above.value);
    let to_the_machine = net + last_climb(case);
    // An evaporator above the machine: the line falls as far as the condenser stands above, then climbs.
    let down = if (to_the_machine - above).abs() < (net - above).abs() { to_the_machine } else { net };
    let (length, share) = (case.limit("geometry_length"), case.limit("geometry_share"));
    let relative = share.value * up.abs().max(down.abs()).max(above.abs());
    let limit = length.value.max(relative);
    let widest = (up.max(down).max(above)) - (up.min(down).min(above));
    // A tenth of a millimetre is no disagreement of a drawing but of units.
    let verdict = if widest > limit + 1e-4 { Verdict::Fail } else { Verdict::Pass };
    let climbs = |climbs: bool| Value::name(if climbs { "climbs" } else { "falls" });
    let height = |metres: f64| Value::Of(Kind::Length, metres.abs());
    let says = say(
        "The discharge line {} {}, the liquid line {} {}, and the condenser stands {} {} the machine.",
        [
            climbs(up >= 0.0),
            height(up),
            climbs(down < 0.0),
            height(down),
            height(above),
            Value::name(if above < 0.0 { "below" } else { "above" }),
        ],
    );
    let says = if verdict == Verdict::Fail { says.then(odd(up, down, above, limit)) } else { says };
    let source = if length.value >= relative { length.source } else { share.source };
    vec![case.finding(RULE.id, verdict).found(widest, limit, Kind::Length).says(says).by(source)]
}

/// How far the liquid line climbs after its last fall, m.
fn last_climb(case: &Case) -> f64 {
    let runs = &case.circuit.liquid.runs;
    let fall = runs.iter().rposition(|run| matches!(run.path, Path::Fall { .. })).unwrap_or(runs.len());
    runs.iter().skip(fall).map(|run| run.path.rise_m().max(0.0)).sum()
}

/// Which of the three does not agree with the other two, and by how much.
fn odd(up: f64, down: f64, above: f64, limit: f64) -> Say {
    let agree = |a: f64, b: f64| (a - b).abs() <= limit + 1e-4;
    let more = |by: f64| Value::name(if by >= 0.0 { "more" } else { "less" });
    let length = |by: f64| Value::Of(Kind::Length, by.abs());
    match (agree(up, down), agree(up, above), agree(down, above)) {
        (true, false, false) => {
            say(" Both lines agree, on {} between the machine and the condenser.", [length(f64::midpoint(up, down))])
        }
        (false, true, false) => {
            let by = f64::midpoint(up, above) - down;
            say(" The liquid line is odd: with {} {} fall in it the three agree.", [length(by), more(by)])
        }
        (false, false, true) => {
            let by = f64::midpoint(down, above) - up;
            say(" The discharge line is odd: with {} {} rise in it the three agree.", [length(by), more(by)])
        }
        _ => say(" No two agree.", []),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, feet, finding, job, liquid};
    use super::*;
    use crate::job::{Circuit, Traps};

    fn heights(circuit: &mut Circuit, up: f64, down: f64, above: f64) {
        discharge(circuit, 2).path = Path::Rise { length: feet(up), traps: Traps::default() };
        liquid(circuit, 3).path = Path::Fall { length: feet(down) };
        circuit.condenser.above = feet(above);
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
    fn an_evaporator_above_the_machine_is_no_contradiction() {
        let job = changed(|circuit| {
            let mut rise = liquid(circuit, 3).clone();
            rise.path = Path::Rise { length: feet(12.0), traps: Traps::default() };
            circuit.liquid.runs.push(rise);
        });
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
    }

    #[test]
    fn the_odd_one_out_is_named() {
        let told = |up, down, above| {
            let job = changed(|circuit| heights(circuit, up, down, above));
            finding(RULE, &job).text(&job)
        };
        let ends = |text: String, with: &str| assert!(text.ends_with(with), "{text}");
        ends(told(38.0, 30.0, 38.0), " The liquid line is odd: with 8 ft more fall in it the three agree.");
        ends(told(42.0, 38.0, 38.0), " The discharge line is odd: with 4 ft less rise in it the three agree.");
        ends(told(38.0, 38.0, 20.0), " Both lines agree, on 38 ft between the machine and the condenser.");
        ends(told(20.0, 30.0, 40.0), " No two agree.");
    }

    #[test]
    fn a_condenser_below_the_machine_is_told_so() {
        let job = changed(|circuit| {
            discharge(circuit, 2).path = Path::Fall { length: feet(12.0) };
            liquid(circuit, 3).path = Path::Rise { length: feet(12.0), traps: Traps::default() };
            circuit.condenser.above = feet(-12.0);
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass);
        assert_eq!(
            found.text(&job),
            "The discharge line falls 12 ft, the liquid line climbs 12 ft, and the condenser stands 12 ft below the machine."
        );
    }
}
