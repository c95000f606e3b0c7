//! `off-cycle`: can liquid get back to a cold machine?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::{LineId, Path};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "off-cycle",
    question: "Can liquid drain or migrate back to a cold machine from a warm condenser?",
    explanation: "\
While the machine stands, refrigerant goes to the coldest place. A condenser that stands above the machine lets liquid run \
back down the discharge line; one in the sun or in summer air is warmer than a machine in a cool room, and gas goes over and \
condenses in the discharge line and the compressor heads. Either way the next start hammers on liquid or washes the oil out \
of the bearings. A check valve near the condenser, after the last rise, stops both. Without one it is a caution; one that \
stands before the last rise is a note, because what condenses in that rise still falls on it.",
    limits: &[],
    look: Look::Circuit(|case| vec![judge(case)]),
};

fn judge(case: &Case) -> Finding {
    let runs = &case.circuit.discharge.runs;
    let check =
        runs.iter().rposition(|run| matches!(&run.path, Path::Part(part) if part.checks)).map(|index| index + 1);
    let rise = runs.iter().rposition(|run| matches!(run.path, Path::Rise { .. })).map(|index| index + 1);
    let (verdict, says) = match (check, rise) {
        (Some(check), Some(rise)) if check < rise => (
            Verdict::Note,
            say(
                "The check valve (run {}) stands before the last rise (run {}): what condenses in that rise at a stop falls \
                 back on it.",
                [Value::Count(check), Value::Count(rise)],
            ),
        ),
        (Some(check), _) => {
            let keeps = "; the check valve (run {}) keeps refrigerant from coming back.";
            (Verdict::Pass, stands(case).and(keeps, [Value::Count(check)]))
        }
        (None, _) => {
            let open = ", and no check valve in the discharge line keeps refrigerant from coming back.";
            (Verdict::Caution, stands(case).and(open, []))
        }
    };
    let at = check.or(rise);
    let place = at.map_or(Place::Line(LineId::Discharge), |number| Place::run(LineId::Discharge, number));
    case.finding(RULE.id, verdict).place(place).says(says).by(Source::Published("common-practice"))
}

/// Where the condenser stands, as the beginning of a sentence.
fn stands(case: &Case) -> Say {
    let above = case.circuit.condenser.above.value;
    let height = [Value::Of(Kind::Length, above.abs())];
    if above > 0.0 {
        say("The condenser stands {} above the machine and may be warmer than it", height)
    } else if above < 0.0 {
        say("The condenser stands {} below the machine but may be warmer than it", height)
    } else {
        say("The condenser may be warmer than the machine", [])
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
    fn one_before_the_last_rise_is_a_note() {
        let job = changed(|circuit| {
            let check = circuit.discharge.runs.remove(3);
            circuit.discharge.runs.insert(0, check);
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Note);
        assert!(found.text(&job).contains("(run 1) stands before the last rise (run 3)"), "{}", found.text(&job));
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
            circuit.condenser.above = feet(-6.0);
            circuit.discharge.runs.truncate(1);
        });
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, &found.place), (Verdict::Caution, &Some(Place::Line(LineId::Discharge))));
        assert!(found.text(&job).contains("stands 6 ft below the machine but may be warmer"), "{}", found.text(&job));
    }
}
