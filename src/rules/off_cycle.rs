//! `off-cycle`: can liquid get back to a cold machine?

use super::case::Case;
use super::mend::Tries;
use super::{Finding, Look, Rule, Verdict};
use crate::job::{Part, Path, Resistance};
use crate::refdata::{self, Typical};

/// The rule.
pub const RULE: Rule = Rule {
    id: "off-cycle",
    question: "Can liquid drain or migrate back to a cold machine from a warm condenser?",
    explanation: "\
While the machine stands, refrigerant goes to the coldest place. A condenser that stands above the machine lets liquid run \
back down the discharge line; one in the sun or in summer air is warmer than a machine in a cool room, and gas goes over and \
condenses in the discharge line and the compressor heads. Either way the next start hammers on liquid or washes the oil out \
of the bearings. A check valve near the condenser, after the last rise, stops both. Without one it is a caution; one that \
stands before the last rise is a note, because what condenses in that rise still falls on it.

The mend puts a check valve at the end of the line and says what it costs in drop, solved again with it.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    vec![judge(case)]
}

fn judge(case: &Case) -> Finding {
    let show = case.show();
    let runs = &case.circuit.discharge.runs;
    let check = runs.iter().rposition(|run| matches!(&run.path, Path::Part(part) if part.checks));
    let rise = runs.iter().rposition(|run| matches!(run.path, Path::Rise { .. }));
    let above = case.circuit.condenser.above.value;
    let stands = if above > 0.0 {
        format!("stands {} above the machine and may be warmer than it", show.length(above))
    } else if above < 0.0 {
        format!("stands {} below the machine but may be warmer than it", show.length(-above))
    } else {
        "may be warmer than the machine".to_owned()
    };
    let (verdict, says) = match (check, rise) {
        (None, _) => (
            Verdict::Caution,
            format!(
                "The condenser {stands}, and no check valve in the discharge line keeps refrigerant from coming back."
            ),
        ),
        (Some(check), Some(rise)) if check < rise => (
            Verdict::Note,
            format!(
                "The check valve (run {}) stands before the last rise (run {}): what condenses in that rise at a stop falls \
                 back on it.",
                check + 1,
                rise + 1
            ),
        ),
        (Some(check), _) => (
            Verdict::Pass,
            format!("The condenser {stands}; the check valve (run {}) keeps refrigerant from coming back.", check + 1),
        ),
    };
    let place = check.or(rise).map_or_else(|| "discharge".to_owned(), |index| format!("discharge run {}", index + 1));
    let finding = case.finding(RULE.id, verdict).place(place).says(says).by(super::limit::title("common-practice"));
    finding.mended(case, |tries| mend(case, tries))
}

fn mend(case: &Case, tries: &mut Tries) -> Option<String> {
    let show = case.show();
    let facts = refdata::parts().iter().find(|part| part.checks)?;
    let mut run = case.circuit.discharge.runs.last()?.clone();
    let resistance = match &facts.typical {
        Typical::Loss(loss) => Resistance::Loss(*loss),
        Typical::Bores(bores) => Resistance::EquivalentLength(*bores * run.tubes.last()?.bore()),
    };
    let name = facts.name.clone();
    run.path = Path::Part(Part { name, resistance, receiver: None, closes: facts.closes, checks: true });
    run.fittings.clear();
    run.around = None;
    let trial = tries.with(|circuit| circuit.discharge.runs.push(run))?;
    let drop = |case: &Case| super::discharge_drop::worst(case).map(|(_, drop)| drop);
    let cost = match (drop(case), drop(&trial.case())) {
        (Some(before), Some(after)) => format!(", for {} more drop", show.small_difference(after - before)),
        _ => String::new(),
    };
    Some(format!("A {} at the end of the line would do{cost}.{}", facts.name, trial.but()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, finding, job};
    use super::*;

    #[test]
    fn a_check_valve_after_the_last_rise_passes() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass);
        assert!(found.says.contains("check valve (run 4)"), "{}", found.says);
    }

    #[test]
    fn one_before_the_last_rise_is_a_note() {
        let found = finding(
            RULE,
            &changed(|circuit| {
                let check = circuit.discharge.runs.remove(3);
                circuit.discharge.runs.insert(0, check);
            }),
        );
        assert_eq!(found.verdict, Verdict::Note);
        assert!(found.says.contains("(run 1) stands before the last rise (run 3)"), "{}", found.says);
    }

    #[test]
    fn none_is_a_caution_with_what_one_would_cost() {
        let found = finding(
            RULE,
            &changed(|circuit| {
                circuit.discharge.runs.remove(3);
            }),
        );
        assert_eq!(found.verdict, Verdict::Caution);
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("A check valve at the end of the line would do, for 0."), "{mend}");
    }

    #[test]
    fn a_condenser_below_may_be_warmer_all_the_same() {
        let found = finding(
            RULE,
            &changed(|circuit| {
                circuit.condenser.above = feet(-6.0);
                circuit.discharge.runs.truncate(1);
            }),
        );
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.says.contains("stands 6 ft below the machine but may be warmer"), "{}", found.says);
    }
}
