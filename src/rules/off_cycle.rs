//! `off-cycle`: can liquid get back to a cold chiller?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Say, Value, say};
use crate::job::{LineId, Path, Run};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "off-cycle",
    question: "Can refrigerant drain or migrate back to a cold chiller from a warm condenser?",
    explanation: "\
When the chiller is off, refrigerant moves to the coldest place. From a condenser above the chiller, liquid runs \
back down the discharge line. From a condenser in the sun or in summer air, gas moves to a chiller in a cool room \
and condenses in the discharge line and the compressor heads. Either way the next start hammers on liquid or washes \
the oil out of the bearings.

A check valve stops both: at the condenser, or 6 ft or more from the compressors, where their pulsation does not \
make it chatter. None, or one that is nearer, is a caution.

A solenoid valve far ahead of the expansion valve is a caution too: at a stop the line downstream of it empties into \
the evaporator, and the next start begins on gas.",
    limits: &["check_valve_distance", "solenoid_distance"],
    look: Look::Circuit(|case| [judge(case)].into_iter().chain(empties(case)).collect()),
};

/// Length of tube, m.
fn length(runs: &[Run]) -> f64 {
    runs.iter().map(|run| run.path.length_m()).sum()
}

/// The liquid line that empties behind a valve that shuts far from the expansion valve.
fn empties(case: &Case) -> Option<Finding> {
    let runs = &case.circuit.liquid.runs;
    let shuts = runs.iter().rposition(|run| matches!(&run.path, Path::Part(part) if part.closes))?;
    let (ahead, limit) = (length(runs.get(shuts..)?), case.limit("solenoid_distance"));
    let says = say(
        "{} is {} ahead of the expansion valve. At a stop the line between them empties into the evaporator. It \
         belongs at the expansion valve.",
        [Value::Run(LineId::Liquid, shuts + 1), Value::Of(Kind::Length, ahead)],
    );
    let finding = case.finding(RULE.id, Verdict::Caution).place(Place::run(LineId::Liquid, shuts + 1)).says(says);
    (ahead > limit.value + 0.005).then(|| finding.found(ahead, limit.value, Kind::Length).by(limit.source))
}

fn judge(case: &Case) -> Finding {
    let runs = &case.circuit.discharge.runs;
    let check =
        runs.iter().rposition(|run| matches!(&run.path, Path::Part(part) if part.checks)).map(|index| index + 1);
    let rise = runs.iter().rposition(|run| matches!(run.path, Path::Rise { .. })).map(|index| index + 1);
    let distance = case.limit("check_valve_distance");
    let near = |check: usize| {
        let (before, behind) = runs.split_at(check.min(runs.len()));
        length(behind) > 0.0 && length(before) < distance.value - 0.005
    };
    let (verdict, says) = match (check, rise) {
        (Some(check), _) if near(check) => (
            Verdict::Caution,
            say(
                "The check valve (run {}) is {} from the compressors: their pulsation makes it chatter. It belongs at \
                 the condenser, or {} or more from them.",
                [
                    Value::Count(check),
                    Value::Of(Kind::Length, length(runs.get(..check).unwrap_or_default())),
                    Value::Of(Kind::Length, distance.value),
                ],
            ),
        ),
        (Some(check), _) => {
            let keeps = ". The check valve (run {}) stops refrigerant from coming back.";
            (Verdict::Pass, stands(case).and(keeps, [Value::Count(check)]))
        }
        (None, _) => {
            let open = ". No check valve in the discharge line stops refrigerant from coming back.";
            (Verdict::Caution, stands(case).and(open, []))
        }
    };
    let at = check.or(rise);
    let place = at.map_or(Place::Line(LineId::Discharge), |number| Place::run(LineId::Discharge, number));
    case.finding(RULE.id, verdict).place(place).says(says).by(distance.source)
}

/// Where the condenser stands, as the beginning of a sentence.
fn stands(case: &Case) -> Say {
    let above = case.circuit.condenser.elevation.value;
    let height = [Value::Of(Kind::Length, above.abs())];
    if above > 0.0 {
        say("The condenser is {} above the chiller and may be warmer", height)
    } else if above < 0.0 {
        say("The condenser is {} below the chiller but may be warmer", height)
    } else {
        say("The condenser may be warmer than the chiller", [])
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, finding, job};
    use super::*;

    #[test]
    fn a_check_valve_after_the_last_rise_passes() {
        let job = job();
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass);
        assert_eq!(found.place, Some(Place::run(LineId::Discharge, 4)));
        assert!(found.text(&job).contains("check valve (run 4)"), "{}", found.text(&job));
    }

    #[test]
    fn one_at_the_compressors_is_a_caution_and_six_feet_away_passes() {
        let at = |run: usize, feet_before: f64| {
            changed(|circuit| {
                circuit.discharge.runs[0].path = Path::Level { length: feet(feet_before), slope: None };
                let check = circuit.discharge.runs.remove(3);
                circuit.discharge.runs.insert(run, check);
            })
        };
        let job = at(0, 8.0);
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.text(&job).contains("(run 1) is 0 ft from the compressors:"), "{}", found.text(&job));
        assert_eq!(finding(RULE, &at(1, 6.0)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &at(1, 5.9)).verdict, Verdict::Caution);
    }

    #[test]
    fn a_valve_that_shuts_far_from_the_expansion_valve_is_a_caution() {
        let job = changed(|circuit| {
            let solenoid = circuit.liquid.runs.remove(5);
            circuit.liquid.runs.insert(0, solenoid);
        });
        let found = RULE.check(&job, &super::super::testing::solved(&job));
        assert_eq!((found.len(), found[1].verdict), (2, Verdict::Caution));
        assert!(found[1].text(&job).contains("is 84 ft ahead of the expansion valve."), "{}", found[1].text(&job));
    }

    #[test]
    fn none_is_a_caution() {
        let job = changed(|circuit| {
            circuit.discharge.runs.remove(3);
        });
        assert_eq!(finding(RULE, &job).verdict, Verdict::Caution);
    }

    #[test]
    fn a_condenser_below_may_be_warmer_all_the_same() {
        let job = changed(|circuit| {
            circuit.condenser.elevation = feet(-6.0);
            circuit.discharge.runs.truncate(1);
        });
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, &found.place), (Verdict::Caution, &Some(Place::Line(LineId::Discharge))));
        assert!(found.text(&job).contains("is 6 ft below the chiller but may be warmer."), "{}", found.text(&job));
    }
}
