//! `relief`: does the receiver's relief valve let out enough, and does its discharge line?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::{Code, Receiver, Relief, ReliefValve};
use crate::survey::{SLENDER, receiver};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "relief",
    question: "Does the receiver have a relief valve with enough capacity and a short enough discharge line?",
    explanation: "\
A receiver in a fire must not burst: it has a relief valve. By ASHRAE 15 its capacity is C = f D L of air: the \
factor f of the refrigerant times diameter and length of the shell. It is 2.5 times as much where combustible \
materials are within 20 ft. Where the job gives no shell, one of the receiver's volume and eight diameters long is \
taken, as slender as receivers are. A refrigerant that the published table does not list (R-454B, R-513A) is judged by \
its greatest factor: a smaller capacity is a caution then.

A vessel of 10 ft3 and more has two valves on a three-way valve, so that one is always in service (from memory). A \
vessel of less than 3 ft3 may have a fusible plug instead (from memory). A job that gives no relief valve gets a \
caution. One that says \"none\" fails, or is a caution where a fusible plug may serve.

The discharge line to the open air is no longer than L = 0.2146 d5 (P0^2 - P2^2)/(f C^2) - d ln(P0/P2)/(6 f), in ft, \
in, psia and lb/min. The friction factor f is that at full turbulence, C is the stamped capacity, and P0 = 0.15 P + \
atmosphere for a conventional valve (as two manufacturers print it). In a longer line the valve chatters and \
relieves less than its stamp. It ends 15 ft above the ground and 20 ft from openings.

By EN 13136 the capacity is the gas that 10 kW on each m2 of the shell boil off at 1.1 times the setting (from memory). \
It is shown as the air that the same valve relieves. The discharge line is not judged by it. The code in force and the \
authority having jurisdiction govern.",
    limits: &["relief_two_valves", "relief_vessel"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let receiver = receiver(case.circuit);
    let Some(valve) = case.circuit.relief.valve() else {
        return receiver.map(|receiver| missing(case, receiver)).into_iter().collect();
    };
    let all = [capacity(case, valve), two(case, valve, receiver), line(case, valve)];
    let (wrong, good): (Vec<_>, Vec<_>) = all.into_iter().flatten().partition(|found| found.verdict > Verdict::Pass);
    if wrong.is_empty() { good.into_iter().take(1).collect() } else { wrong }
}

fn found(case: &Case, verdict: Verdict) -> Finding {
    case.finding(RULE.id, verdict)
        .place(Place::ReliefValve)
        .by(case.by_code(Source::Published("ashrae-15-relief"), "en-13136"))
}

/// What the receiver's valve must let out, in words; nothing where that is not known.
fn minimum(case: &Case) -> Say {
    let need = &case.solved.relief;
    match need.capacity_kg_s {
        None if case.job.site.code == Code::Eu => say("Its capacity follows from EN 13136.", []),
        None => say("Its capacity follows from the diameter and length of the shell, which are not given.", []),
        Some(minimum) => {
            let says = say("It requires a capacity of {} of air", [Value::Of(Kind::MassRate, minimum)]);
            let says = if need.factor_assumed {
                let refrigerant = [Value::name(&case.circuit.refrigerant)];
                says.and(" by the greatest factor f of the published table, which has none for {}", refrigerant)
            } else {
                says
            };
            if case.job.site.code == Code::Eu {
                let shell = if need.shell_assumed { "a shell of that volume" } else { "its shell" };
                let fire = [Value::name(shell)];
                says.and(": the gas that a fire of 10 kW/m2 boils off in {} at 1.1 times the setting.", fire)
            } else if need.shell_assumed {
                let slender = Value::Of(Kind::Ratio, SLENDER);
                says.and(" if the shell, not given, is {} diameters long.", [slender])
            } else {
                says.and(", f D L of its shell.", [])
            }
        }
    }
}

/// A receiver of no relief valve.
fn missing(case: &Case, receiver: &Receiver) -> Finding {
    let none = case.circuit.relief == Relief::None;
    let small = case.limit("relief_vessel");
    let volume = receiver.volume.map(|volume| volume.value);
    let plug = volume.is_some_and(|volume| volume < small.value);
    let verdict = if none && !plug { Verdict::Fail } else { Verdict::Caution };
    let says = match (none, plug) {
        (true, true) => "The receiver has no relief valve: without a fusible plug it bursts in a fire.",
        (true, false) => "The receiver has no relief valve.",
        (false, _) => "The job gives no relief valve for the receiver.",
    };
    let says = Say::sentences([says.into(), minimum(case)]);
    let says = match volume.filter(|_| plug) {
        Some(_) => says
            .and(" A vessel of less than {} may have a fusible plug instead.", [Value::Of(Kind::Volume, small.value)]),
        None => says,
    };
    let finding = found(case, verdict).says(says);
    match case.solved.relief.capacity_kg_s {
        Some(minimum) => finding.found(0.0, minimum, Kind::MassRate),
        None => finding,
    }
}

/// The stamped capacity against the minimum.
fn capacity(case: &Case, valve: &ReliefValve) -> Option<Finding> {
    receiver(case.circuit)?;
    let need = &case.solved.relief;
    let (Some(stamped), Some(required)) = (valve.capacity.map(|air| air.value), need.capacity_kg_s) else {
        let why = match valve.capacity {
            None => "The capacity of the relief valve is not given.",
            Some(_) => "The capacity of the relief valve was not judged.",
        };
        return Some(found(case, Verdict::NotJudged).says(Say::sentences([why.into(), minimum(case)])));
    };
    let verdict = match () {
        () if stamped >= required * (1.0 - 1e-9) => Verdict::Pass,
        () if need.shell_assumed || need.factor_assumed => Verdict::Caution,
        () => Verdict::Fail,
    };
    let says = say("The receiver's relief valve is stamped {} of air.", [Value::Of(Kind::MassRate, stamped)]);
    let finding = found(case, verdict).found(stamped, required, Kind::MassRate);
    let finding = finding.by(case.by_code(Source::Published("umc-1113"), "en-13136"));
    Some(finding.says(Say::sentences([says, minimum(case)])))
}

/// A large vessel with one valve.
fn two(case: &Case, valve: &ReliefValve, receiver: Option<&Receiver>) -> Option<Finding> {
    let volume = receiver?.volume?.value;
    let limit = case.limit("relief_two_valves");
    let one = case.job.site.code == Code::Us && volume >= limit.value * (1.0 - 1e-9) && valve.count < 2;
    one.then(|| {
        let of = [volume, limit.value].map(|volume| Value::Of(Kind::Volume, volume));
        let says = say("The receiver of {} has one relief valve. From {} two on a three-way valve are required.", of);
        found(case, Verdict::Fail)
            .place(Place::Receiver)
            .found(volume, limit.value, Kind::Volume)
            .says(says)
            .by(limit.source)
    })
}

/// The discharge line against its greatest length.
fn line(case: &Case, valve: &ReliefValve) -> Option<Finding> {
    let tube = valve.tube.as_ref()?;
    if case.job.site.code == Code::Eu {
        let says = say("The relief valve's discharge line was not judged: EN 13136 has its own calculation.", []);
        return Some(found(case, Verdict::NotJudged).place(Place::ReliefLine).says(says));
    }
    let line = case.solved.relief.line.as_ref()?;
    let longest = line.longest_m.max(0.0);
    let verdict = if line.equivalent_m > line.longest_m { Verdict::Fail } else { Verdict::Pass };
    let says = say(
        "The relief valve's discharge line of {} has {} of equivalent length. At {} of air the maximum is {}.",
        [
            Value::name(&tube.name),
            Value::Of(Kind::Length, line.equivalent_m),
            Value::Of(Kind::MassRate, line.flow_kg_s),
            Value::Of(Kind::Length, longest),
        ],
    );
    let finding = found(case, verdict).found(line.equivalent_m, longest, Kind::Length);
    Some(finding.place(Place::ReliefLine).says(says).by(Source::Published("relief-line")))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, findings, job, liquid, only};
    use super::*;
    use crate::job::{Circuit, Job, Path, Shell};
    use crate::refdata;
    use crate::units::factor::{CUBIC_FOOT, INCH, POUND_PER_MINUTE, PSI};
    use crate::units::{Pressure, cubic_metres, kilograms_per_second, metres};

    fn vessel(circuit: &mut Circuit) -> &mut Receiver {
        let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
        part.receiver.as_mut().unwrap()
    }

    /// A valve of that capacity, lb/min, with its discharge line, ft.
    fn valve(capacity: Option<f64>, line: Option<(&str, f64)>) -> Relief {
        Relief::Valve(ReliefValve {
            setting: Pressure::from_pascals(225.0 * PSI + job().site.atmosphere.pascals()),
            capacity: capacity.map(|air| kilograms_per_second(air * POUND_PER_MINUTE)),
            count: 1,
            tube: line.map(|(name, _)| refdata::tube(name).unwrap().clone()),
            length: line.map(|(_, length)| feet(length)),
            fittings: Vec::new(),
        })
    }

    fn with(relief: Relief, change: impl FnOnce(&mut Receiver)) -> Job {
        changed(|circuit| {
            circuit.relief = relief;
            vessel(circuit).shell = Some(Shell { diameter: metres(12.0 * INCH), length: feet(10.0) });
            change(vessel(circuit));
        })
    }

    fn verdict(job: &Job) -> Verdict {
        only(findings(RULE, job)).verdict
    }

    #[test]
    fn the_capacity_is_f_d_l() {
        // R-134a: 1.6 lb/min of air a ft2 of 1 ft by 10 ft.
        assert_eq!(verdict(&with(valve(Some(16.0), None), |_| {})), Verdict::Pass);
        let job = with(valve(Some(15.99), None), |_| {});
        let found = only(findings(RULE, &job));
        assert_eq!((found.verdict, found.place.clone()), (Verdict::Fail, Some(Place::ReliefValve)));
        assert!((found.limit() / POUND_PER_MINUTE - 16.0).abs() < 1e-9);
        assert!(
            found.text(&job).ends_with("It requires a capacity of 16.00 lb/min of air, f D L of its shell."),
            "{}",
            found.text(&job)
        );
    }

    #[test]
    fn without_a_shell_a_slender_one_is_taken_and_no_more_than_a_caution_said() {
        let of = |air: f64| verdict(&with(valve(Some(air), None), |receiver| receiver.shell = None));
        // 7 ft3: 1.0366 ft by 8.293 ft, 13.755 lb/min.
        assert_eq!((of(13.7), of(13.8)), (Verdict::Caution, Verdict::Pass));
        let job = with(valve(None, None), |_| {});
        assert_eq!(verdict(&job), Verdict::NotJudged);
    }

    #[test]
    fn a_receiver_without_a_relief_valve_is_told_without_any_key() {
        let job = with(Relief::NotGiven, |_| {});
        let found = only(findings(RULE, &job));
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.text(&job).starts_with(
            "The job gives no relief valve for the receiver. It requires a capacity \
            of 16.0 lb/min"
        ));
        assert_eq!(verdict(&with(Relief::None, |_| {})), Verdict::Fail);
        let small = |receiver: &mut Receiver| receiver.volume = Some(cubic_metres(2.9 * CUBIC_FOOT));
        assert_eq!(verdict(&with(Relief::None, small)), Verdict::Caution);
        // By the other code it is told too, without a figure of this one.
        let mut eu = with(Relief::NotGiven, |_| {});
        eu.site.code = Code::Eu;
        let found = only(findings(RULE, &eu));
        assert!(found.verdict == Verdict::Caution && !found.text(&eu).contains("lb/min"), "{found:#?}");
    }

    #[test]
    fn by_the_european_code_a_fire_boils_off_vapour() {
        let of = |air: f64, tube: Option<(&str, f64)>| {
            let mut job = with(valve(Some(air), tube), |_| {});
            job.site.code = Code::Eu;
            only(findings(RULE, &job))
        };
        // By hand, R-134a at 1.1 x 15.51 barg: 63 C, 133 kJ/kg, 96.5 kg/m3 dew; shell 0.305 x 3.05 m, 3.07 m2, 30.7 kW, 0.23 kg/s
        // of vapour, as air of 21.4 kg/m3 0.12 kg/s or 16 lb/min.
        let found = of(8.0, None);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!((14.0..18.0).contains(&(found.limit() / POUND_PER_MINUTE)), "{found:#?}");
        assert_eq!(of(20.0, None).verdict, Verdict::Pass);
        let line = of(20.0, Some(("2 Sch40", 10.0)));
        assert_eq!((line.verdict, line.place), (Verdict::NotJudged, Some(Place::ReliefLine)));
    }

    #[test]
    fn a_large_receiver_has_two_valves() {
        let of = |volume: f64, count: u32| {
            let mut job =
                with(valve(Some(100.0), None), |vessel| vessel.volume = Some(cubic_metres(volume * CUBIC_FOOT)));
            let Relief::Valve(valve) = &mut job.circuits[0].relief else { panic!() };
            valve.count = count;
            verdict(&job)
        };
        assert_eq!([of(9.99, 1), of(10.0, 1), of(10.0, 2)], [Verdict::Pass, Verdict::Fail, Verdict::Pass]);
    }

    /// A manufacturer's catalogue: 225 psig, 84.5 lb/min; 1-1/4 in may be 2.2 ft long, 2 in 105.8 ft.
    #[test]
    fn fifty_feet_of_1_1_4_are_too_long_and_of_2_not() {
        let line = |tube: &str, length: f64| {
            let mut job = with(valve(Some(84.5), Some((tube, length))), |_| {});
            job.site.atmosphere = Pressure::from_pascals(14.7 * PSI);
            let Relief::Valve(valve) = &mut job.circuits[0].relief else { panic!() };
            valve.setting = Pressure::from_pascals(239.7 * PSI);
            only(findings(RULE, &job))
        };
        let found = line("1-1/4 Sch40", 50.0);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!((found.limit() / 0.3048 - 2.2).abs() < 0.5, "{found:#?}");
        assert_eq!(line("2 Sch40", 50.0).verdict, Verdict::Pass);
        assert_eq!(line("2 Sch40", 110.0).verdict, Verdict::Fail);
    }

    #[test]
    fn without_a_receiver_and_a_valve_there_is_nothing_to_say() {
        let job = changed(|circuit| {
            circuit.relief = Relief::NotGiven;
            circuit.liquid.runs.remove(0);
        });
        assert!(findings(RULE, &job).is_empty());
    }
}
