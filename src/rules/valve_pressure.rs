//! `valve-pressure`: is there pressure enough across the expansion valve on the coldest day?

use super::case::{Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::{HeadControl, ValveKind};
use crate::survey::Point;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "valve-pressure",
    question: "Does the expansion valve pass the required flow, on the coldest day too?",
    explanation: "\
The flow of the wide-open valve at every operating point, with the pressure and liquid that it gets there, is \
compared with the flow of the compressors. Wide open it passes the rated flow at `minimum_drop`. Where the job does \
not give that, the flow at the rating is taken: twice for an electronic valve, one and a half times for a \
thermostatic one, once for a fixed restriction. What starves by that assumption is a caution.

A fixed restriction is always wide open. Superheat floats, and where none is left liquid comes back to the \
compressors, a caution. The pressure drop of the distributor and the evaporator comes off too: `minimum_drop` should \
have room for it.

On a cold day a condenser on the roof pulls the head pressure down until the valve cannot feed the evaporator. \
Suction pressure falls, superheat and the leaving fluid rise, and the low-pressure cut-out trips or the evaporator \
freezes. A thermostatic valve without any head-pressure control is a caution where it must run below 70 F outdoors.",
    limits: &[],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

/// Outdoor temperature below which a thermostatic valve wants the head held, K: 70 F, common practice.
const COLD: f64 = 294.261_111_111_111_1;

fn judge(case: &Case) -> Option<Finding> {
    let across = |point: &Point| point.state.valve_inlet.pressure_Pa - point.state.suction.pressure_Pa;
    let starved = minimum(case.points().filter(|point| point.starved).map(|point| (point, point.evaporating_K)));
    // Where least is left over what its flow requires.
    let spare = |point: &Point| across(point) / point.valve_requires_Pa;
    let (point, _) = starved.or_else(|| minimum(case.points().map(|point| (point, spare(point)))))?;
    let across = across(point);
    let pressure = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
    let needs = case.circuit.valve.minimum_drop.map(|needs| needs.value);
    let condensing = Value::Of(Kind::Temperature, point.condensing_K);
    let mut says = say(
        "The pressure difference across the expansion valve is {} at {}, condensing {}",
        [pressure(across), Value::Point(point.id), condensing],
    );
    // What starves is held against the rated flow, else against the flow there is.
    let asks = if point.starved { needs } else { Some(point.valve_requires_Pa) };
    if let Some(asks) = asks {
        let words = if point.starved { "; full capacity requires {}" } else { "; its flow there requires {}" };
        says = says.and(words, [pressure(asks)]);
    }
    // What starves with the pressure difference that it requires gets gas.
    let gas = point
        .state
        .valve_inlet
        .quality
        .filter(|gas| *gas > 0.0 && point.starved && needs.is_some_and(|needs| across >= needs));
    if let Some(gas) = gas {
        says = says.and(", of liquid without gas, and {} of the flow is gas", [Value::Of(Kind::Share, gas)]);
    }
    let held = !matches!(case.circuit.condenser.head_control, HeadControl::None);
    let cold = case.circuit.valve.kind == ValveKind::Thermostatic && !held && case.job.site.winter.kelvin() < COLD;
    let flooded = case.points().find(|point| point.flooded).filter(|_| starved.is_none());
    let (verdict, says) = if let Some(flooded) = flooded {
        let why = ". At {} the fixed restriction passes more than the compressors take: no superheat is left, and \
                   liquid comes back.";
        (Verdict::Caution, says.and(why, [Value::Point(flooded.id)]))
    } else if point.starved {
        says = says.and(
            ". Wide open it passes too little and the evaporator starves: evaporating {}",
            [Value::Of(Kind::Temperature, point.evaporating_K)],
        );
        if let Some(leaving) = point.leaving_K {
            says = says.and(", leaving fluid {}", [Value::Of(Kind::Temperature, leaving)]);
        }
        match needs {
            Some(_) => (Verdict::Fail, says.and(".", [])),
            None => (Verdict::Caution, says.and(". The size of the valve is an assumption (valve.minimum_drop).", [])),
        }
    } else if cold {
        let why = ". It feeds, but a thermostatic valve needs head control below 70 F outdoors.";
        (Verdict::Caution, says.and(why, []))
    } else {
        (Verdict::Pass, says.and(": it feeds.", []))
    };
    let finding = case.finding(RULE.id, verdict).at(point.id).place(Place::Valve);
    let finding = match gas {
        Some(gas) => finding.found(gas, Some(0.0), Kind::Share),
        None => finding.found(across, asks, Kind::PressureDifference),
    };
    Some(finding.says(says).by(Source::Job("valve.minimum_drop")))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, only, solved, verdict};
    use super::*;
    use crate::survey::PointId;

    #[test]
    fn a_valve_that_starves_the_evaporator_fails_and_is_a_caution_where_its_size_is_assumed() {
        let job = job();
        let at = |starved: bool| by_hand(&job, PointId::WinterMinimum, move |p| p.starved = starved);
        assert_eq!(verdict(RULE, &job, &at(false)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(true)), Verdict::Fail);
        let assumed = changed(|circuit| circuit.valve.minimum_drop = None);
        assert_eq!(verdict(RULE, &assumed, &at(true)), Verdict::Caution);
        assert_eq!(verdict(RULE, &assumed, &at(false)), Verdict::Pass);
    }

    #[test]
    fn a_fixed_restriction_floods_where_the_compressors_take_little() {
        let fixed = changed(|circuit| (circuit.valve.kind, circuit.valve.minimum_drop) = (ValveKind::Fixed, None));
        let survey = solved(&fixed);
        let superheat = |id: PointId| {
            let point = survey.circuits[0].point(id).unwrap();
            (point.state.suction.temperature_K - point.evaporating_K, point.flooded, point.starved)
        };
        let set = fixed.circuits[0].evaporator.superheat.value;
        // On the design day it passes more than the valve would, at one of two compressors more than they take at all.
        let (full, floods, starves) = superheat(PointId::SummerFull);
        assert!((full - set).abs() > 0.05 && !floods && full > 0.0, "{full} {starves}");
        let (minimum, floods, starves) = superheat(PointId::SummerMinimum);
        assert!(minimum.abs() < 1e-6 && floods && !starves, "{minimum}");
        let found = only(RULE.check(&fixed, &survey));
        assert_eq!(found.verdict, Verdict::Caution, "{found:#?}");
    }

    #[test]
    fn a_valve_that_asks_for_more_than_there_is_starves() {
        let asks = |psi: f64| {
            finding(RULE, &changed(|circuit| circuit.valve.minimum_drop = Some(crate::units::pascals(psi * 6894.757))))
        };
        let (enough, short) = (asks(60.0), asks(200.0));
        assert_eq!((enough.verdict, short.verdict), (Verdict::Pass, Verdict::Fail));
        assert!(short.words().contains("the evaporator starves: evaporating "), "{}", short.words());
    }

    #[test]
    fn a_starved_evaporator_takes_more_from_fluid_that_leaves_as_asked_than_from_what_it_cooled_no_further() {
        // It enters as at full capacity, so it leaves warmer than asked where it starves; colder fluid gives less heat.
        let job = changed(|circuit| circuit.valve.minimum_drop = Some(crate::units::pascals(200.0 * 6894.757)));
        let survey = solved(&job);
        let summer = survey.circuits[0].point(PointId::SummerFull).unwrap();
        let at_leaving = summer.capacity_at_leaving_W.unwrap();
        assert!(
            summer.starved && at_leaving > 0.5 * summer.capacity_W && at_leaving < summer.capacity_W,
            "{at_leaving}"
        );
    }

    #[test]
    fn a_thermostatic_valve_wants_the_head_held_in_the_cold() {
        let job = changed(|circuit| {
            circuit.valve.kind = ValveKind::Thermostatic;
            circuit.condenser.head_control = HeadControl::None;
        });
        let fed = |p: &mut Point| p.starved = false;
        assert_eq!(verdict(RULE, &job, &by_hand(&job, PointId::WinterMinimum, fed)), Verdict::Caution);
    }

    #[test]
    fn a_cold_day_fails_and_held_head_passes() {
        let held = |control: HeadControl| {
            let mut job = changed(|circuit| circuit.condenser.head_control = control);
            job.site.winter = fahrenheit(10.0);
            job
        };
        assert_eq!(finding(RULE, &held(HeadControl::None)).verdict, Verdict::Fail);
        assert_eq!(finding(RULE, &held(HeadControl::Flooding { setpoint: fahrenheit(85.0) })).verdict, Verdict::Pass);
    }
}
