//! `stop-valves`: can liquid be shut in between two valves, and are the stop valves there that the charge requires?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::{Code, LineId};
use crate::survey::{By, Charge, Shut, Trapped};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "stop-valves",
    question: "Can liquid be trapped between two valves, and are the required stop valves there?",
    explanation: "\
Liquid that fills a length of tube from valve to valve cannot expand when it warms. Its pressure rises by some 100 \
psi for each few degrees until something bursts. Where both valves shut by themselves, such as a check valve and a \
solenoid valve downstream, the length between them needs a relief valve to another part of the system. The code \
requires it wherever liquid can be trapped in operation, standby, shipping or at a power failure (ASHRAE 15, \
9.4.3.1).

A check valve with an electronic expansion valve, which shuts when the chiller stops, is a caution. So is a length \
of tube between two manual valves. Pump the line down before a manual valve ahead of a shut solenoid valve is shut. \
A receiver between the valves has gas, which gives way. A coil that can be shut off at both ends needs a relief \
valve of its own. A relief valve of a line is drawn as { part = \"relief valve\" }.

By ASHRAE 15 a system of more than 6.6 lb of refrigerant has stop valves at the compressors and at the outlet of \
each receiver. One of more than 110 lb also has them at the inlet of each receiver and at both ends of each of \
several condensers (the first figure second hand, the rest from memory). A valve that the job does not draw is a \
note: stop_valves = true says that they are there. A chiller's own service valves have no key. The code in force and \
the authority having jurisdiction govern.",
    limits: &["stop_valves_charge", "stop_valves_more"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let stops = &case.solved.stops;
    let mut found: Vec<Finding> = stops.trapped.iter().map(|trapped| shut_in(case, trapped)).collect();
    found.extend(stops.coil_shut_in.then(|| coil(case)));
    found.extend(by_charge(case));
    let told: Vec<Finding> = found.iter().filter(|finding| finding.verdict > Verdict::Pass).cloned().collect();
    if !told.is_empty() {
        return told;
    }
    let none = "No two valves can trap liquid.";
    let none = case
        .finding(RULE.id, Verdict::Pass)
        .by(case.by_code(Source::Published("ashrae-15-trapped"), "en-378-2-trapped"))
        .says(none);
    vec![found.into_iter().next().unwrap_or(none)]
}

/// What shuts an end, in words.
fn called(shut: Shut) -> Value {
    match shut {
        Shut::Run(number) => Value::Run(LineId::Liquid, number),
        Shut::Start => Value::name("the stop valve at the condenser"),
        Shut::End => Value::name("the stop valve at the end of the liquid line"),
        Shut::Receiver => Value::name("the receiver's stop valve"),
        Shut::Expansion => Value::name("the electronic expansion valve"),
    }
}

fn shut_in(case: &Case, trapped: &Trapped) -> Finding {
    let ends = [called(trapped.back), called(trapped.ahead)];
    let (verdict, says) = match trapped.by {
        By::Themselves => {
            (Verdict::Fail, say("Liquid is trapped between {} and {} with no relief valve between them.", ends))
        }
        By::Perhaps => (
            Verdict::Caution,
            say("If {} and {} shut tight, liquid is trapped between them with no relief valve.", ends),
        ),
        By::Hand => (
            Verdict::Caution,
            say("Liquid can be trapped by hand between {} and {} with no relief valve between them.", ends),
        ),
    };
    let place = Place::Runs(LineId::Liquid, trapped.runs.clone());
    case.finding(RULE.id, verdict)
        .place(place)
        .by(case.by_code(Source::Published("ashrae-15-trapped"), "en-378-2-trapped"))
        .says(says)
}

fn coil(case: &Case) -> Finding {
    let says = "The condenser can be shut off at both ends and has no relief valve of its own. Full of liquid, in the \
                sun, it bursts.";
    case.finding(RULE.id, Verdict::Fail)
        .place(Place::Condenser)
        .by(case.by_code(Source::Published("ashrae-15-trapped"), "en-378-2-trapped"))
        .says(says)
}

/// The stop valves that the charge requires.
fn by_charge(case: &Case) -> Option<Finding> {
    if case.job.site.code != Code::Us {
        return None;
    }
    let (few, more) = (case.limit("stop_valves_charge"), case.limit("stop_valves_more"));
    let [inlet, outlet] = case.solved.stops.receiver.unwrap_or([true; 2]);
    let coils = case.circuit.condenser.coils > 1 && !case.circuit.condenser.stop_valves;
    let Charge { total_kg: charge, .. } = *case.solved.charge.as_ref()?;
    let missing: Vec<&str> = [
        (few.value, !outlet, "the receiver's outlet"),
        (more.value, !inlet, "the receiver's inlet"),
        (more.value, coils, "inlet and outlet of each coil"),
    ]
    .into_iter()
    .filter(|(limit, missing, _)| *missing && charge > *limit)
    .map(|(.., place)| place)
    .collect();
    let used = if charge > more.value { &more } else { &few };
    let of = [Value::Of(Kind::Mass, charge), Value::Of(Kind::Mass, used.value)];
    let finding =
        |verdict| case.finding(RULE.id, verdict).found(charge, used.value, Kind::Mass).by(used.source.clone());
    if charge <= few.value {
        return Some(finding(Verdict::Pass).says(say(
            "No two valves can trap liquid. The charge counted is {}; stop valves are \
                required above {}.",
            of,
        )));
    }
    if missing.is_empty() {
        let says = say("No two valves can trap liquid. The stop valves for a charge of {}, above {}, are drawn.", of);
        return Some(finding(Verdict::Pass).says(says));
    }
    let says = say("With a charge of {}, above {}, the code requires a stop valve at", of);
    Some(finding(Verdict::Note).says(says.and(" {}; none is drawn.", [Value::names(missing)])))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, findings, liquid};
    use super::*;
    use crate::job::{Circuit, Job, Part, Path, Resistance, Run, ValveKind};
    use crate::refdata;
    use crate::units::pascals;

    /// A part before a run of the liquid line.
    fn put(circuit: &mut Circuit, number: usize, name: &str) {
        let facts = refdata::part(name).unwrap();
        let mut run: Run = liquid(circuit, 6).clone();
        run.path = Path::Part(Part {
            bypass: false,
            name: name.to_owned(),
            resistance: Resistance::Loss(pascals(100.0)),
            receiver: None,
            subcooler: None,
            closes: facts.closes,
            checks: facts.checks,
        });
        circuit.liquid.runs.insert(number - 1, run);
    }

    /// The clean job with a thermostatic valve and a stop valve at its receiver, changed.
    fn with(change: impl FnOnce(&mut Circuit)) -> Job {
        changed(|circuit| {
            circuit.valve.kind = ValveKind::Thermostatic;
            let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
            part.receiver.as_mut().unwrap().stop_valves = true;
            change(circuit);
        })
    }

    fn worst(job: &Job) -> (Verdict, String) {
        let all = findings(RULE, job);
        let worst = all.iter().max_by_key(|finding| finding.verdict).unwrap();
        (worst.verdict, worst.text(job))
    }

    #[test]
    fn a_check_valve_and_a_solenoid_valve_shut_liquid_in() {
        let (verdict, text) = worst(&with(|circuit| put(circuit, 2, "check valve")));
        assert_eq!(verdict, Verdict::Fail);
        assert_eq!(
            text,
            "Liquid is trapped between the check valve (run 2) and the solenoid valve (run 7) with no relief valve between them."
        );
        // A relief valve between them, or the receiver, and nothing is shut in.
        let relieved = with(|circuit| {
            put(circuit, 2, "check valve");
            put(circuit, 3, "relief valve");
        });
        assert!(worst(&relieved).0 < Verdict::Caution, "{:?}", worst(&relieved));
        assert!(worst(&with(|circuit| put(circuit, 1, "check valve"))).0 < Verdict::Caution);
        // Behind the solenoid valve the check valve keeps liquid out and none in.
        assert!(worst(&with(|circuit| put(circuit, 7, "check valve"))).0 < Verdict::Caution);
    }

    #[test]
    fn an_electronic_valve_behind_a_check_valve_is_a_caution() {
        let job = with(|circuit| {
            put(circuit, 2, "check valve");
            circuit.liquid.runs.pop();
            circuit.valve.kind = ValveKind::Electronic;
        });
        assert_eq!(worst(&job).0, Verdict::Caution);
    }

    #[test]
    fn two_valves_shut_by_hand_are_a_caution_over_tube_and_none_round_a_part() {
        let over_tube = with(|circuit| {
            circuit.liquid.runs.pop();
            circuit.liquid.stop_valves = true;
        });
        assert_eq!(worst(&over_tube).0, Verdict::Caution);
        let round_a_drier = with(|circuit| {
            circuit.liquid.runs.pop();
            let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
            part.receiver.as_mut().unwrap().stop_valves = false;
            circuit.liquid.runs.truncate(5);
            let mut valve = circuit.clone();
            valve.liquid.runs.push(valve.liquid.runs[4].clone());
            put(&mut valve, 5, "ball valve");
            put(&mut valve, 7, "ball valve");
            valve.liquid.runs.pop();
            *circuit = valve;
        });
        let found = findings(RULE, &round_a_drier);
        assert!(found.iter().all(|finding| finding.verdict <= Verdict::Note), "{found:#?}");
    }

    #[test]
    fn a_coil_that_can_be_shut_off_needs_a_relief_valve() {
        let shut = |relief: bool| {
            worst(&with(|circuit| {
                circuit.condenser.stop_valves = true;
                if relief {
                    put(circuit, 1, "relief valve");
                }
            }))
        };
        assert_eq!(shut(false).0, Verdict::Fail);
        assert!(shut(true).0 < Verdict::Fail, "{:?}", shut(true));
    }

    #[test]
    fn by_the_charge_stop_valves_are_a_note_where_none_is_drawn() {
        let (verdict, text) = worst(&with(|_| {}));
        assert_eq!(verdict, Verdict::Pass, "{text}");
        let bare = with(|circuit| {
            let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
            part.receiver.as_mut().unwrap().stop_valves = false;
        });
        let found = findings(RULE, &bare);
        let note = found.iter().find(|finding| finding.measure.is_some()).unwrap();
        assert_eq!(note.verdict, Verdict::Note);
        let text = note.text(&bare);
        assert!(text.contains("the code requires a stop valve at the receiver's outlet"), "{text}");
        let mut eu = bare.clone();
        eu.site.code = Code::Eu;
        assert!(findings(RULE, &eu).iter().all(|finding| finding.measure.is_none()));
    }
}
