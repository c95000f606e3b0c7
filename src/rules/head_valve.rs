//! `head-valve`: has flooding its valve and its bypass to the receiver?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::{HeadControl, LineId, Part, Path};

pub const RULE: Rule = Rule {
    id: "head-valve",
    question: "Does head control by flooding have its valve in the drain and its bypass to the receiver?",
    explanation: "\
Head-pressure control by flooding holds liquid back in the coil with a valve in the drain, between the condenser and \
the receiver. Hot gas that bypasses the coil keeps the receiver at pressure: through a three-way valve, or through a \
second valve from the discharge line (`bypass = true` on the `head-pressure valve`). A receiver with a vent from the \
coil's inlet (`vented`) gets hot gas too.

Without the valve nothing floods. Without the bypass the receiver goes cold as the valve throttles. Its pressure \
falls below what the expansion valve needs, and the plant trips on low pressure at the first cold start. Without a \
receiver there is no place in summer for the liquid that floods the coil in winter.",
    limits: &[],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

fn judge(case: &Case) -> Option<Finding> {
    let parts = || {
        case.circuit.liquid.runs.iter().enumerate().filter_map(|(index, run)| match &run.path {
            Path::Part(part) => Some((index + 1, part)),
            _ => None,
        })
    };
    let valve = parts().find(|(_, part)| part.is_head_valve());
    let receiver = parts().find_map(|(run, part)| Some((run, part.receiver?)));
    let floods = matches!(case.circuit.condenser.head_control, HeadControl::Flooding { .. });
    let run = |number: usize| Value::Run(LineId::Liquid, number);
    let (verdict, place, says) = match (valve, receiver) {
        (None, _) if !floods => return None,
        (None, _) => (
            Verdict::Fail,
            Place::Condenser,
            say("Head control is by flooding, and no head-pressure valve is drawn in the drain.", []),
        ),
        (Some((number, _)), None) => (
            Verdict::Fail,
            Place::run(LineId::Liquid, number),
            say(
                "No receiver follows {}: there is no place in summer for the liquid that floods the coil in winter.",
                [run(number)],
            ),
        ),
        (Some((number, _)), Some((receiver, _))) if receiver < number => (
            Verdict::Fail,
            Place::run(LineId::Liquid, number),
            say("{} is downstream of the receiver; it belongs in the drain ahead of it.", [run(number)]),
        ),
        (Some((number, valve)), Some((_, receiver))) if !has_bypass(valve, receiver.vented) => (
            Verdict::Fail,
            Place::run(LineId::Liquid, number),
            say(
                "No hot gas bypasses {} to the receiver: as it throttles, the receiver loses its pressure.",
                [run(number)],
            ),
        ),
        (Some((number, _)), Some(_)) if !floods => (
            Verdict::Caution,
            Place::run(LineId::Liquid, number),
            say("{} is drawn, but condenser.head_control is not by flooding.", [run(number)]),
        ),
        (Some((number, valve)), Some(_)) => (
            Verdict::Pass,
            Place::run(LineId::Liquid, number),
            say(
                "{} is in the drain, and {} keeps the receiver at pressure.",
                [run(number), Value::name(if valve.bypass { "hot gas that bypasses the coil" } else { "its vent" })],
            ),
        ),
    };
    Some(case.finding(RULE.id, verdict).place(place).says(says).by(Source::Published("manufacturers-guides")))
}

fn has_bypass(valve: &Part, vented: bool) -> bool {
    valve.bypass || vented
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, fahrenheit, finding, findings, job, liquid};
    use super::*;
    use crate::job::{Circuit, HEAD_VALVE, Job, Resistance};
    use crate::units::pascals;

    fn flooded(change: impl FnOnce(&mut Circuit)) -> Job {
        changed(|circuit| {
            circuit.condenser.head_control = HeadControl::Flooding { setpoint: fahrenheit(90.0) };
            let mut run = liquid(circuit, 1).clone();
            run.path = Path::Part(Part {
                name: HEAD_VALVE.to_owned(),
                resistance: Resistance::Loss(pascals(1e4)),
                receiver: None,
                subcooler: None,
                closes: false,
                checks: false,
                bypass: true,
            });
            circuit.liquid.runs.insert(0, run);
            change(circuit);
        })
    }

    fn valve(circuit: &mut Circuit) -> &mut Part {
        let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
        part
    }

    #[test]
    fn a_valve_in_the_drain_with_its_bypass_passes() {
        let job = flooded(|_| {});
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        let text = found.text(&job);
        assert!(text.starts_with("The head-pressure valve (run 1) is in the drain, and hot gas"), "{text}");
    }

    #[test]
    fn flooding_without_valve_bypass_or_receiver_fails() {
        let none = flooded(|circuit| drop(circuit.liquid.runs.remove(0)));
        let shut = flooded(|circuit| valve(circuit).bypass = false);
        let behind = flooded(|circuit| circuit.liquid.runs.swap(0, 1));
        let alone = flooded(|circuit| drop(circuit.liquid.runs.remove(1)));
        for job in [none, shut, behind, alone] {
            assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
        }
    }

    #[test]
    fn a_vent_from_the_coils_inlet_is_a_bypass_too() {
        let job = flooded(|circuit| {
            valve(circuit).bypass = false;
            let Path::Part(part) = &mut liquid(circuit, 2).path else { panic!() };
            part.receiver.as_mut().unwrap().vented = true;
        });
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
    }

    #[test]
    fn a_valve_that_no_control_needs_is_a_caution_and_other_circuits_are_not_asked() {
        let fans = job().circuits[0].condenser.head_control;
        assert_eq!(finding(RULE, &flooded(|circuit| circuit.condenser.head_control = fans)).verdict, Verdict::Caution);
        assert!(findings(RULE, &job()).is_empty());
    }
}
