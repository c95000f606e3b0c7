//! `geometry`: do both routes and the height of the condenser agree?

use super::case::Case;
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;

/// The rule.
pub const RULE: Rule = Rule {
    id: "geometry",
    question: "Do both routes and the height of the condenser agree?",
    explanation: "\
The discharge line must climb as much as the liquid line falls, and as much as the condenser stands above the machine. Where \
one of the three differs from another by more than 2 ft, or by more than 5 % of the height where that is more, the drawing \
contradicts itself: a rise is missing or counted twice, and with it static head, oil lift and subcooling are computed for a \
plant that nobody builds.

The mend names the one that stands alone against the other two, and by how much.",
    limits: &["geometry_length", "geometry_share"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let climb = |side: LineId| side.of(case.circuit).runs.iter().map(|run| run.path.rise_m()).sum::<f64>();
    let (up, down, above) = (climb(LineId::Discharge), -climb(LineId::Liquid), case.circuit.condenser.above.value);
    let show = case.show();
    let (length, share) = (case.limit("geometry_length"), case.limit("geometry_share"));
    let relative = share.value * up.abs().max(down.abs()).max(above.abs());
    let limit = length.value.max(relative);
    let widest = (up.max(down).max(above)) - (up.min(down).min(above));
    // A tenth of a millimetre is no disagreement of a drawing but of units.
    let verdict = if widest > limit + 1e-4 { Verdict::Fail } else { Verdict::Pass };
    let moves = |metres: f64, climbs: &'static str, falls: &'static str| {
        let (verb, height) = if metres < 0.0 { (falls, -metres) } else { (climbs, metres) };
        format!("{verb} {}", show.length(height))
    };
    let stands = if above < 0.0 { "below" } else { "above" };
    let says = format!(
        "The discharge line {}, the liquid line {}, and the condenser stands {} {stands} the machine.",
        moves(up, "climbs", "falls"),
        moves(down, "falls", "climbs"),
        show.length(above.abs()),
    );
    let source = if length.value >= relative { length.source } else { share.source };
    let finding = case.finding(RULE.id, verdict).found(widest, limit, "m").says(says).by(source);
    vec![finding.mended(case, |_| Some(mend(case, up, down, above, limit)))]
}

fn mend(case: &Case, up: f64, down: f64, above: f64, limit: f64) -> String {
    let show = case.show();
    let agree = |a: f64, b: f64| (a - b).abs() <= limit + 1e-4;
    let change =
        |by: f64, more: &str, less: &str| format!("{} {}", show.length(by.abs()), if by >= 0.0 { more } else { less });
    match (agree(up, down), agree(up, above), agree(down, above)) {
        (true, false, false) => {
            let height = show.length(f64::midpoint(up, down));
            format!("Both lines agree: `above = \"{height}\"` for the condenser would close it.")
        }
        (false, true, false) => {
            format!(
                "The liquid line is odd: {} in it would close it.",
                change(f64::midpoint(up, above) - down, "more fall", "less fall")
            )
        }
        (false, false, true) => {
            format!(
                "The discharge line is odd: {} in it would close it.",
                change(f64::midpoint(down, above) - up, "more rise", "less rise")
            )
        }
        _ => format!(
            "No two agree: with `above` right, the discharge line wants {} and the liquid line {}.",
            change(above - up, "more rise", "less rise"),
            change(above - down, "more fall", "less fall")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, feet, finding, job, liquid};
    use super::*;
    use crate::job::{Circuit, Path, Traps};

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
    fn the_odd_one_out_is_named_with_what_would_close_it() {
        let mend = |up, down, above| of(up, down, above).mend.unwrap();
        assert_eq!(mend(38.0, 30.0, 38.0), "The liquid line is odd: 8 ft more fall in it would close it.");
        assert_eq!(mend(42.0, 38.0, 38.0), "The discharge line is odd: 4 ft less rise in it would close it.");
        assert_eq!(mend(38.0, 38.0, 20.0), "Both lines agree: `above = \"38 ft\"` for the condenser would close it.");
        let none = mend(20.0, 30.0, 40.0);
        assert!(
            none.ends_with("the discharge line wants 20 ft more rise and the liquid line 10 ft more fall."),
            "{none}"
        );
    }

    #[test]
    fn a_condenser_below_the_machine_is_told_so() {
        let found = finding(
            RULE,
            &changed(|circuit| {
                discharge(circuit, 2).path = Path::Fall { length: feet(12.0) };
                liquid(circuit, 3).path = Path::Rise { length: feet(12.0), traps: Traps::default() };
                circuit.condenser.above = feet(-12.0);
            }),
        );
        assert_eq!(found.verdict, Verdict::Pass);
        assert_eq!(
            found.says,
            "The discharge line falls 12 ft, the liquid line climbs 12 ft, and the condenser stands 12 ft below the machine."
        );
    }
}
