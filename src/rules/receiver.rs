//! `receiver`: does it hold the pump-down, and the winter flooding on top?

use super::case::{Case, greatest};
use super::say::list;

use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict};
use crate::job::{Circuit, HeadControl, Part, Path, Receiver, ReceiverStyle, Resistance, Run};
use crate::survey::{Charge, DEFERRAL, ReceiverCharge, what_if};
use crate::units::{Length, PressureDifference, cubic_metres};
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "receiver",
    question: "Does the receiver hold the pump-down, and the winter flooding on top?",
    explanation: "\
The charge of the circuit is what lines, coil and evaporator ask for at the operating point that asks for the most, flooding \
of the coil for winter head pressure with it, and the receiver's least level on top (`receiver_least`, 15 % liquid). When the \
plant is pumped down all of it stands in the receiver, which must not be more than 80 % liquid at 90 F; nor may it be fuller \
than that at any operating point, where it takes back what a coil gives that is no longer flooded. A receiver without that \
room is full of liquid when it warms, and liquid that cannot expand bursts it or lifts its relief valve; in summer the same \
liquid backs up into the coil and the head pressure climbs.

Charge in coil and evaporator is that of an even flow of vapour and liquid at one speed, which errs low; what the job gives no \
volume for is not counted, and the finding says so. Without a receiver the rule only tells by how much the charge that \
circulates differs between the points, unless the head control floods: that needs one.

The mend is the least volume that holds it all, from the same balance of charge. ASHRAE Standard 15 and the local code decide \
what charge is allowed.",
    limits: &["receiver_fill", "receiver_temperature", "receiver_least"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    match &case.solved.charge {
        Some(charge) => {
            let finding = match &charge.receiver {
                Some(receiver) => judge(case, charge, receiver),
                None => without(case, charge),
            };
            vec![finding]
        }
        // Without an operating point there is nothing to say; with one a limit lies outside the refrigerant's range.
        None if case.points().next().is_some() => {
            let finding = case.finding(RULE.id, Verdict::Note).by(case.limit("receiver_temperature").source);
            vec![finding.says("The charge could not be counted: the receiver's temperature limit is out of range.")]
        }
        None => Vec::new(),
    }
}

/// What the charge is, and what is not in it.
const CHARGE_TOLD: &str = "the charge then being";

pub(super) fn charge_in_words(case: &Case, charge: &Charge) -> String {
    let left_out = list(charge.not_counted.iter().map(|what| (*what).to_owned()));
    format!("Charge {} without {left_out}.", case.show().mass(charge.total_kg))
}

/// The charge of a circuit, kg; nothing where it could not be counted.
pub(super) fn charge(case: &Case) -> f64 {
    case.solved.charge.as_ref().map_or(f64::NAN, |charge| charge.total_kg)
}

/// What charge and which receiver a circuit asks for: `the charge then being 120 lb and the receiver needed 3.10 ft3`. One
/// without a receiver is solved with one.
pub(super) fn needs_in_words(case: &Case) -> Option<String> {
    let show = case.show();
    let tell = |charge: &Charge, needed: f64| {
        let volume = show.volume(mend::whole_volume_up(show, needed));
        format!("{CHARGE_TOLD} {} and the receiver needed {volume}", show.mass(charge.total_kg))
    };
    let charge = case.solved.charge.as_ref()?;
    if let Some(receiver) = &charge.receiver {
        return Some(tell(charge, receiver.needed_m3?));
    }
    let mut circuit = case.circuit.clone();
    let with = surge(&circuit, None)?;
    circuit.liquid.runs.insert(0, with);
    let solved = what_if(case.job, &circuit).ok()?;
    let charge = solved.charge.as_ref()?;
    Some(tell(charge, charge.receiver?.needed_m3?))
}

/// Whether the head control floods the coil.
fn floods(case: &Case) -> bool {
    matches!(case.circuit.condenser.head_control, HeadControl::Flooding { .. })
}

/// How full the receiver is at its fullest: pumped down, or at an operating point, which is then named.
fn fullest<'a>(charge: &'a Charge, receiver: &ReceiverCharge) -> Option<(Option<&'a str>, f64)> {
    let levels =
        charge.points.iter().map(|point| (Some(point.name.as_str()), point.receiver_level.unwrap_or(f64::NAN)));
    greatest(std::iter::once((None, receiver.pumped_down_level.unwrap_or(f64::NAN))).chain(levels))
}

fn judge(case: &Case, charge: &Charge, receiver: &ReceiverCharge) -> Finding {
    let show = case.show();
    let limit = case.limit("receiver_fill");
    let finding = case.finding(RULE.id, Verdict::Note).by(&limit.source);
    let mut says = charge_in_words(case, charge);
    if charge.flooding_kg > 0.0 {
        let _ = write!(says, " Winter flooding takes {} of it.", show.mass(charge.flooding_kg));
    } else if case.circuit.condenser.volume.is_none() && floods(case) {
        says.push_str(" Winter flooding comes on top.");
    }
    let (Some(volume), Some((point, level))) = (receiver.volume_m3, fullest(charge, receiver)) else {
        let least = if case.circuit.condenser.volume.is_none() { " or more, by the coil's content," } else { "" };
        let needed = receiver.needed_m3.map_or_else(
            || "no volume would hold it".to_owned(),
            |needed| format!("{}{least} would hold it", show.volume(mend::whole_volume_up(show, needed))),
        );
        return finding.says(format!("The job gives no volume for the receiver; {needed}. {says} {DEFERRAL}"));
    };
    let over = level > limit.value;
    let verdict = match (over, case.circuit.condenser.volume) {
        (true, _) => Verdict::Fail,
        // Most of the charge is in the coil: without it nothing is proved.
        (false, None) => Verdict::Note,
        (false, Some(_)) => Verdict::Pass,
    };
    let when = match point {
        Some(point) => format!("at {point}"),
        None => format!("pumped down at {}", show.temperature(receiver.pumped_down_K)),
    };
    let full = format!(
        "The receiver of {} is {} full of liquid {when}, where it may be {}.",
        show.volume(volume),
        show.percent(level),
        show.percent(limit.value)
    );
    let mut finding = finding.found(level, limit.value, "-");
    finding.verdict = verdict;
    if let Some(point) = point {
        finding = finding.at(point);
    }
    finding.says(format!("{full} {says} {DEFERRAL}")).mended(case, |tries| larger(case, tries, receiver.needed_m3?))
}

/// A receiver of at least that volume, tried.
fn larger(case: &Case, tries: &mut Tries, needed: f64) -> Option<String> {
    let show = case.show();
    let volume = mend::whole_volume_up(show, needed);
    let trial = tries.with(|circuit| {
        let receiver = circuit.liquid.runs.iter_mut().find_map(|run| match &mut run.path {
            Path::Part(part) => part.receiver.as_mut(),
            Path::Level { .. } | Path::Rise { .. } | Path::Fall { .. } => None,
        });
        if let Some(receiver) = receiver {
            receiver.volume = Some(cubic_metres(volume));
        }
    })?;
    if !trial.mends() {
        return None;
    }
    let total = trial.case().solved.charge.as_ref()?.total_kg;
    Some(format!(
        "A receiver of {} would hold it, {CHARGE_TOLD} {}.{}",
        show.volume(volume),
        show.mass(total),
        trial.but()
    ))
}

/// A circuit without a receiver.
fn without(case: &Case, charge: &Charge) -> Finding {
    let show = case.show();
    let finding = case.finding(RULE.id, Verdict::Note).by(case.limit("receiver_fill").source);
    let words = charge_in_words(case, charge);
    if floods(case) {
        let mut finding = finding.found(charge.flooding_kg, None, "kg").at(&charge.greatest);
        finding.verdict = Verdict::Fail;
        let takes = match case.circuit.condenser.volume {
            Some(_) => format!("the {} that it takes", show.mass(charge.flooding_kg)),
            None => "what it takes".to_owned(),
        };
        let says = format!(
            "The head control floods the coil, and no receiver holds {takes} while the coil is not flooded. {words} {DEFERRAL}"
        );
        return finding.says(says).mended(case, |tries| added(case, tries));
    }
    let most = charge.points.iter().map(|point| point.rest_kg).fold(0.0, f64::max);
    let says = format!(
        "There is no receiver, so the charge must be right: between the operating points {} of it is left over and backs up \
         in the coil. {words} {DEFERRAL}",
        show.mass(most)
    );
    finding.found(most, None, "kg").says(says)
}

/// A surge receiver of that volume at the head of the liquid line.
fn surge(circuit: &Circuit, volume: Option<f64>) -> Option<Run> {
    let first = circuit.liquid.runs.first()?.clone();
    let part = Part {
        name: "receiver".to_owned(),
        resistance: Resistance::Loss(PressureDifference::default()),
        receiver: Some(Receiver { style: ReceiverStyle::Surge, volume: volume.map(cubic_metres), vented: false }),
        closes: false,
        checks: false,
    };
    Some(Run { path: Path::Part(part), fittings: Vec::new(), around: None, insulation: Length::default(), ..first })
}

/// A surge receiver at the head of the liquid line, as large as it must be.
fn added(case: &Case, tries: &mut Tries) -> Option<String> {
    let put = |volume: Option<f64>| {
        let run = surge(case.circuit, volume);
        move |circuit: &mut Circuit| {
            if let Some(run) = run {
                circuit.liquid.runs.insert(0, run);
            }
        }
    };
    let needed = tries.with(put(None))?.case().solved.charge.as_ref()?.receiver?.needed_m3?;
    let volume = mend::whole_volume_up(case.show(), needed);
    let trial = tries.with(put(Some(volume)))?;
    let total = trial.case().solved.charge.as_ref()?.total_kg;
    let show = case.show();
    trial.mends().then(|| {
        format!(
            "A surge receiver of {} at the condenser's outlet would do, {CHARGE_TOLD} {}.{}",
            show.volume(volume),
            show.mass(total),
            trial.but()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, fahrenheit, finding, job, liquid, only, solved};
    use super::*;
    use crate::job::Job;

    fn set_volume(circuit: &mut Circuit, cubic_feet: f64) {
        let Path::Part(Part { receiver: Some(receiver), .. }) = &mut liquid(circuit, 1).path else { panic!() };
        receiver.volume = Some(cubic_metres(cubic_feet * crate::units::factor::CUBIC_FOOT));
    }

    fn flooding(circuit: &mut Circuit) {
        circuit.condenser.head_control = HeadControl::Flooding { hold: fahrenheit(85.0) };
    }

    #[test]
    fn a_receiver_with_room_passes_and_defers_to_the_code() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert!(found.says.contains("pumped down at 90 F") && found.says.ends_with(DEFERRAL), "{}", found.says);
    }

    #[test]
    fn exactly_at_the_limit_it_passes() {
        let level = finding(RULE, &job()).value.unwrap();
        let with = |limit: f64| {
            let mut job: Job = job();
            job.limits.insert("receiver_fill".to_owned(), limit);
            finding(RULE, &job)
        };
        assert_eq!(with(level).verdict, Verdict::Pass);
        assert_eq!(with(level * (1.0 - 1e-9)).verdict, Verdict::Fail);
    }

    #[test]
    fn a_small_one_fails_and_the_volume_named_holds() {
        let found = finding(RULE, &changed(|circuit| set_volume(circuit, 1.0)));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("A receiver of ") && !mend.contains(DEFERRAL), "{mend}");
        assert!(found.says.ends_with(DEFERRAL));
        let named: f64 = mend.split(' ').nth(3).unwrap().parse().unwrap();
        assert_eq!(finding(RULE, &changed(|circuit| set_volume(circuit, named))).verdict, Verdict::Pass);
        let less = changed(|circuit| set_volume(circuit, named - 0.1));
        assert_eq!(finding(RULE, &less).verdict, Verdict::Fail, "{named} ft3 is more than needed");
    }

    #[test]
    fn winter_flooding_comes_on_top() {
        let dry = solved(&job()).circuits[0].charge.clone().unwrap();
        let job = changed(flooding);
        let wet = solved(&job).circuits[0].charge.clone().unwrap();
        assert!(wet.flooding_kg > 5.0 && dry.flooding_kg == 0.0, "{wet:#?}");
        assert!(wet.total_kg > dry.total_kg + 0.8 * wet.flooding_kg && wet.greatest.starts_with("winter"), "{wet:#?}");
        assert!(finding(RULE, &job).says.contains("Winter flooding takes"));
    }

    #[test]
    fn the_charge_is_the_same_at_every_point_and_the_level_never_under_the_least() {
        for job in [job(), changed(flooding)] {
            let charge = solved(&job).circuits[0].charge.clone().unwrap();
            for point in &charge.points {
                approx::assert_relative_eq!(point.outside_kg() + point.rest_kg, charge.total_kg, max_relative = 1e-12);
                assert!(point.receiver_level.unwrap() > 0.15 - 1e-9, "{point:#?}");
            }
            let least = charge.points.iter().filter_map(|point| point.receiver_level).fold(1.0, f64::min);
            approx::assert_relative_eq!(least, 0.15, max_relative = 1e-9);
        }
    }

    #[test]
    fn flooding_without_a_receiver_fails_and_the_one_named_holds() {
        let job = changed(|circuit| {
            flooding(circuit);
            circuit.liquid.runs.remove(0);
        });
        let found = only(RULE.check(&job, &solved(&job)));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.mend.clone().unwrap().starts_with("A surge receiver of "), "{found:#?}");
    }

    #[test]
    fn without_a_receiver_and_without_a_volume_it_only_tells() {
        let none = finding(RULE, &changed(|circuit| drop(circuit.liquid.runs.remove(0))));
        assert_eq!(none.verdict, Verdict::Note);
        assert!(none.says.contains("no receiver") && none.mend.is_none(), "{none:#?}");
        let unknown = changed(|circuit| {
            let Path::Part(Part { receiver: Some(receiver), .. }) = &mut liquid(circuit, 1).path else { panic!() };
            receiver.volume = None;
        });
        let unknown = finding(RULE, &unknown);
        assert_eq!(unknown.verdict, Verdict::Note);
        assert!(unknown.says.contains("would hold it"), "{unknown:#?}");
        let coil = finding(RULE, &changed(|circuit| circuit.condenser.volume = None));
        assert_eq!(coil.verdict, Verdict::Note, "{coil:#?}");
        assert!(coil.says.contains("without the condenser"), "{coil:#?}");
    }

    #[test]
    fn a_limit_out_of_range_is_said_and_no_number_comes_of_it() {
        let mut job = job();
        job.limits.insert("receiver_temperature".to_owned(), 900.0);
        let found = finding(RULE, &job);
        assert!(found.verdict == Verdict::Note && found.says.contains("out of range"), "{found:#?}");
    }
}
