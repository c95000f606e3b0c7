//! `receiver`: does it hold the pump-down, and the winter flooding on top?

use super::case::{Case, asked_for, charge_in_words, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Say, Value, say};
use crate::job::HeadControl;
use crate::survey::{Charge, PointId, ReceiverCharge};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "receiver",
    question: "Does the receiver hold the pump-down, with the winter flooding on top?",
    explanation: "\
The charge of the circuit is that of lines, coil and evaporator at the operating point with the greatest requirement, with flooding of the coil for winter head pressure. The receiver's minimum level comes on top (`receiver_minimum`, 15 % \
liquid). Pumped down, all of it is in the receiver, which must not be more than 80 % liquid at 90 F. It must not be \
fuller than that at any operating point either, when a coil that is no longer flooded gives its liquid back.

A receiver without that room is full of liquid when it warms. Liquid that cannot expand bursts it or opens its \
relief valve. In summer the same liquid backs up into the coil and the head pressure climbs.

In coil and evaporator the gas moves faster than the liquid, by whichever of two correlations gives more charge. \
Others differ from them by 3 to 9 % in a coil and up to 40 % in an evaporator, so within 10 % of the limit \
(`receiver_margin`) is a caution. Parts for which the job gives no volume are not counted. The finding names them \
and is then never better than a caution.

Without a receiver the rule only reports how much the circulating charge differs between the points. Head control by \
flooding requires a receiver. ASHRAE Standard 15 and the local code govern the charge that is allowed.",
    limits: &["receiver_fill", "receiver_margin", "receiver_temperature", "receiver_minimum"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    match &case.solved.charge {
        Some(charge) => vec![match &charge.receiver {
            Some(receiver) => judge(case, charge, receiver),
            None => without(case, charge),
        }],
        // Without an operating point there is nothing to say; with one a limit lies outside the refrigerant's range.
        None if case.points().next().is_some() => {
            let finding = case.finding(RULE.id, Verdict::NotJudged).by(case.limit("receiver_temperature").source);
            vec![finding.says("The charge could not be counted: the receiver's temperature limit is out of range.")]
        }
        None => Vec::new(),
    }
}

/// Whether the head control floods the coil.
fn floods(case: &Case) -> bool {
    matches!(case.circuit.condenser.head_control, HeadControl::Flooding { .. })
}

/// How full the receiver is at its fullest: pumped down, or at an operating point.
fn fullest(charge: &Charge, receiver: &ReceiverCharge) -> Option<(Option<PointId>, f64)> {
    let levels = charge.points.iter().map(|point| (Some(point.id), point.receiver_level.unwrap_or(f64::NAN)));
    greatest(std::iter::once((None, receiver.pumped_down_level.unwrap_or(f64::NAN))).chain(levels))
}

/// With the charge behind it, and who decides about it.
fn with_charge(says: Say, charge: &Charge, more: Say) -> Say {
    let says = says.and(" ", []).then(charge_in_words(charge)).then(more);
    Say::sentences(
        [Some(says), asked_for(charge), Some(say("{}", [Value::name(charge.decides)]))].into_iter().flatten(),
    )
}

fn judge(case: &Case, charge: &Charge, receiver: &ReceiverCharge) -> Finding {
    let limit = case.limit("receiver_fill");
    let coil_unknown = case.circuit.condenser.volume.is_none();
    let flooding = if charge.flooding_kg > 0.0 {
        say(" Winter flooding takes {} of it.", [Value::Of(Kind::Mass, charge.flooding_kg)])
    } else if coil_unknown && floods(case) {
        " Winter flooding comes on top.".into()
    } else {
        Say::default()
    };
    let finding = case.finding(RULE.id, Verdict::Caution).place(Place::Receiver).by(&limit.source);
    let (Some(volume), Some((point, level))) = (receiver.volume_m3, fullest(charge, receiver)) else {
        let says = "The job gives no volume for the receiver; ".into();
        let needed = match receiver.needed_m3 {
            None => "no volume is enough.".into(),
            Some(needed) if coil_unknown => {
                say("it requires {} or more, by the coil's volume.", [Value::Vessel(needed)])
            }
            Some(needed) => say("it requires {}.", [Value::Vessel(needed)]),
        };
        return finding.says(with_charge(Say::then(says, needed), charge, flooding));
    };
    let clear = case.limit("receiver_margin");
    let close = level > limit.value * (1.0 - clear.value) + 1e-9;
    let verdict = match (level > limit.value, close || !charge.missing.is_empty()) {
        (true, _) => Verdict::Fail,
        (false, true) => Verdict::Caution,
        (false, false) => Verdict::Pass,
    };
    // What is missing is why it is a caution.
    let uncounted = verdict == Verdict::Caution && !close;
    let share = |share: f64| Value::Of(Kind::Share, share);
    let when = match point {
        Some(point) => say("at {}", [Value::Point(point)]),
        None => say("pumped down at {}", [Value::Of(Kind::Temperature, receiver.pumped_down_K)]),
    };
    let words = if uncounted {
        "The receiver of {} is {} full of liquid {}, and not all of the charge is counted; the maximum is {}."
    } else {
        "The receiver of {} is {} full of liquid {}; the maximum is {}."
    };
    let says = say(words, [Value::Of(Kind::Volume, volume), share(level), Value::Say(when), share(limit.value)]);
    let says =
        if close && level <= limit.value { says.and(" That is within {} of it.", [share(clear.value)]) } else { says };
    let mut finding = finding.found(level, limit.value, Kind::Share).says(with_charge(says, charge, flooding));
    finding.verdict = verdict;
    match point {
        Some(point) => finding.at(point),
        None => finding,
    }
}

/// A circuit without a receiver.
fn without(case: &Case, charge: &Charge) -> Finding {
    let finding = case.finding(RULE.id, Verdict::Note).by(case.limit("receiver_fill").source);
    if floods(case) {
        let takes = match case.circuit.condenser.volume {
            Some(_) => say("the {} of that liquid", [Value::Of(Kind::Mass, charge.flooding_kg)]),
            None => "that liquid".into(),
        };
        let says = say("Head control is by flooding, and no receiver holds {} in summer.", [Value::Say(takes)]);
        let mut finding = finding.found(charge.flooding_kg, None, Kind::Mass).at(charge.greatest_id);
        finding.verdict = Verdict::Fail;
        return finding.says(with_charge(says, charge, Say::default()));
    }
    let maximum = charge.points.iter().map(|point| point.rest_kg).fold(0.0, f64::max);
    let says = say(
        "There is no receiver, so the charge must be exact. Up to {} of it backs up in the coil, depending on the \
         operating point.",
        [Value::Of(Kind::Mass, maximum)],
    );
    finding.found(maximum, None, Kind::Mass).says(with_charge(says, charge, Say::default()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, fahrenheit, finding, job, liquid, only, solved};
    use super::*;
    use crate::job::{Circuit, Code, Job, Part, Path};
    use crate::survey::deferral;
    use crate::units::cubic_metres;

    fn set_volume(circuit: &mut Circuit, cubic_feet: f64) {
        let Path::Part(Part { receiver: Some(receiver), .. }) = &mut liquid(circuit, 1).path else { panic!() };
        receiver.volume = Some(cubic_metres(cubic_feet * crate::units::factor::CUBIC_FOOT));
    }

    fn flooding(circuit: &mut Circuit) {
        circuit.condenser.head_control = HeadControl::Flooding { setpoint: fahrenheit(85.0) };
    }

    #[test]
    fn a_receiver_with_room_passes_and_defers_to_the_code() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert!(
            found.words().contains("pumped down at 90 F") && found.words().ends_with(deferral(Code::Us)),
            "{}",
            found.words()
        );
    }

    #[test]
    fn exactly_at_the_limit_it_does_not_fail() {
        let level = finding(RULE, &job()).value();
        let with = |limit: f64| {
            let mut job: Job = job();
            job.limits.insert("receiver_fill".to_owned(), limit);
            finding(RULE, &job)
        };
        assert_eq!(with(level).verdict, Verdict::Caution);
        assert_eq!(with(level * (1.0 - 1e-9)).verdict, Verdict::Fail);
    }

    #[test]
    fn within_a_tenth_of_the_limit_it_is_a_caution() {
        let level = finding(RULE, &job()).value();
        let with = |limit: f64| {
            let mut job: Job = job();
            job.limits.insert("receiver_fill".to_owned(), limit);
            finding(RULE, &job)
        };
        assert_eq!(with(level / 0.9).verdict, Verdict::Pass, "at the margin itself");
        let close = with(level / 0.9 - 1e-6);
        assert!(
            close.verdict == Verdict::Caution && close.words().contains("That is within 10 % of it."),
            "{close:#?}"
        );
    }

    #[test]
    fn without_the_evaporators_volume_it_is_a_caution_that_asks_for_it() {
        let found = finding(RULE, &changed(|circuit| circuit.evaporator.volume = None));
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.words().contains("give [circuit.evaporator] volume."), "{}", found.words());
        let told = finding(RULE, &job());
        assert!(
            told.words().contains("in the evaporator, where correlations differ by up to 40 %"),
            "{}",
            told.words()
        );
    }

    #[test]
    fn without_both_volumes_what_it_requires_is_a_minimum() {
        let asked = |coil_too: bool| {
            finding(
                RULE,
                &changed(|circuit| {
                    let Path::Part(Part { receiver: Some(receiver), .. }) = &mut liquid(circuit, 1).path else {
                        panic!()
                    };
                    receiver.volume = None;
                    circuit.condenser.volume = circuit.condenser.volume.filter(|_| !coil_too);
                }),
            )
        };
        assert!(asked(true).words().contains(" or more, by the coil's volume."), "{}", asked(true).words());
        assert!(!asked(false).words().contains("or more"), "{}", asked(false).words());
    }

    #[test]
    fn a_small_one_fails() {
        let found = finding(RULE, &changed(|circuit| set_volume(circuit, 1.0)));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert!(found.words().ends_with(deferral(Code::Us)));
    }

    #[test]
    fn winter_flooding_comes_on_top() {
        let dry = solved(&job()).circuits[0].charge.clone().unwrap();
        let job = changed(flooding);
        let wet = solved(&job).circuits[0].charge.clone().unwrap();
        assert!(wet.flooding_kg > 5.0 && dry.flooding_kg == 0.0, "{wet:#?}");
        assert!(wet.total_kg > dry.total_kg + 0.8 * wet.flooding_kg && wet.greatest.starts_with("winter"), "{wet:#?}");
        assert!(finding(RULE, &job).words().contains("Winter flooding takes"));
    }

    #[test]
    fn the_charge_is_the_same_at_every_point_and_the_level_never_under_the_least() {
        for job in [job(), changed(flooding)] {
            let charge = solved(&job).circuits[0].charge.clone().unwrap();
            for point in &charge.points {
                approx::assert_relative_eq!(point.outside_kg() + point.rest_kg, charge.total_kg, max_relative = 1e-12);
                assert!(point.receiver_level.unwrap() > 0.15 - 1e-9, "{point:#?}");
            }
            let minimum = charge.points.iter().filter_map(|point| point.receiver_level).fold(1.0, f64::min);
            approx::assert_relative_eq!(minimum, 0.15, max_relative = 1e-9);
        }
    }

    #[test]
    fn flooding_without_a_receiver_fails() {
        let job = changed(|circuit| {
            flooding(circuit);
            circuit.liquid.runs.remove(0);
        });
        let found = only(RULE.check(&job, &solved(&job)));
        assert_eq!(found.verdict, Verdict::Fail);
    }

    #[test]
    fn without_a_receiver_it_only_tells_and_without_a_volume_it_asks() {
        let none = finding(RULE, &changed(|circuit| drop(circuit.liquid.runs.remove(0))));
        assert_eq!(none.verdict, Verdict::Note);
        assert!(none.words().contains("no receiver"), "{none:#?}");
        let unknown = changed(|circuit| {
            let Path::Part(Part { receiver: Some(receiver), .. }) = &mut liquid(circuit, 1).path else { panic!() };
            receiver.volume = None;
        });
        let unknown = finding(RULE, &unknown);
        assert_eq!(unknown.verdict, Verdict::Caution);
        assert!(unknown.words().contains("it requires"), "{unknown:#?}");
        let coil = finding(RULE, &changed(|circuit| circuit.condenser.volume = None));
        assert_eq!(coil.verdict, Verdict::Caution, "{coil:#?}");
        assert!(coil.words().contains("without the condenser"), "{coil:#?}");
    }

    #[test]
    fn a_limit_out_of_range_is_said_and_no_number_comes_of_it() {
        let mut job = job();
        job.limits.insert("receiver_temperature".to_owned(), 900.0);
        let found = finding(RULE, &job);
        assert!(found.verdict == Verdict::NotJudged && found.words().contains("out of range"), "{found:#?}");
    }
}
