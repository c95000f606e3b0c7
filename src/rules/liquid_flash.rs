//! `liquid-flash`: does solid liquid reach the valve, and everywhere before it?

mod ledger;

use super::case::{Case, minimum};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::LineId;
use crate::survey::{HAIR, Point, feed, wanted_subcooling};
use crate::units::Kind;
use ledger::{kelvins, ledger};

/// Subcooling that no drawing knows, K.
pub(crate) const SLACK: f64 = 1e-3;

pub const RULE: Rule = Rule {
    id: "liquid-flash",
    question: "Does liquid without gas reach the expansion valve, and is it free of gas all along the line?",
    explanation: "\
Local pressure is compared with the bubble pressure at the local temperature, all along the liquid line and at every \
operating point. At the valve's inlet the liquid must have the subcooling that the valve requires. \
Upstream it may be saturated: 0.1 F short of that, under 0.1 % of gas, is let pass (a default of this tool).

At part load, liquid without gas is enough. A valve that passes half of its flow needs a quarter of its pressure \
difference, so gas that forms in its port costs nothing. `valve-pressure` judges whether it passes the flow. Less than \
the valve requires is a note there.

A riser, friction or heat uses up the condenser's subcooling; a drop regains some. A receiver that all liquid passes \
through loses all of it, because liquid and gas share the vessel. Where none is left the liquid flashes. Gas takes \
many times the room, the pressure drop grows, and the valve hunts or starves the evaporator.",
    limits: &["liquid_margin"],
    look: Look::Circuit(|case| judge(case).into_iter().collect()),
};

/// By how much the worse of the two demands is met.
pub(crate) fn margin(case: &Case, point: &Point) -> f64 {
    let least = case.limit("liquid_margin").value;
    feed(case.circuit, &point.liquid_line).margin(case.circuit, point.compressor_share, least)
}

/// The operating point that leaves minimum, and by how much both demands are met there.
pub(super) fn worst<'a>(case: &Case<'a>) -> Option<(&'a Point, f64)> {
    minimum(case.points().map(|point| (point, margin(case, point))))
}

fn judge(case: &Case) -> Option<Finding> {
    let (mut point, margin) = worst(case)?;
    if margin >= -SLACK {
        // What holds is told by what the valve gets where it asks for most.
        let full = case.points().filter(|point| wanted_subcooling(case.circuit, point.compressor_share) > 0.0);
        let tightest = minimum(full.map(|point| (point, feed(case.circuit, &point.liquid_line).valve_K)));
        point = tightest.map_or(point, |(point, _)| point);
    }
    let (needs, limit) = (wanted_subcooling(case.circuit, point.compressor_share), case.limit("liquid_margin"));
    let here = feed(case.circuit, &point.liquid_line);
    let asks = case.circuit.valve.subcooling.value;
    let little = minimum(case.points().map(|point| (point, feed(case.circuit, &point.liquid_line).valve_K)))
        .filter(|(_, left)| *left < asks - SLACK);
    let verdict = match (margin < -SLACK, little) {
        (true, _) => Verdict::Fail,
        (false, Some(_)) => Verdict::Note,
        (false, None) => Verdict::Pass,
    };
    let of_the_valve = here.valve_K - needs <= here.line_K - limit.value + HAIR || margin >= -SLACK && needs > 0.0;
    let place = if of_the_valve { point.liquid_line.runs.len() } else { here.run };
    let at = Value::Point(point.id);
    let mut says = match point.state.valve_inlet.quality.filter(|quality| *quality > 0.0) {
        Some(quality) => {
            let values = [Value::Of(Kind::Share, quality), at, kelvins(-here.valve_K)];
            let says = say("{} of the flow is gas at the valve at {}. It is {} short of saturation", values);
            if needs > 0.0 {
                says.and(", and the valve requires {} of subcooling.", [kelvins(needs)])
            } else {
                says.and(".", [])
            }
        }
        None if needs > 0.0 => {
            say("The valve gets {} of subcooling at {}; it requires {}.", [kelvins(here.valve_K), at, kelvins(needs)])
        }
        None => {
            say("The valve gets {} of subcooling at {}; at part load it requires none.", [kelvins(here.valve_K), at])
        }
    };
    if here.line_K < limit.value - HAIR - SLACK {
        let name = match here.run {
            0 => Value::name("the inlet of the line"),
            run => Value::Run(LineId::Liquid, run),
        };
        says = if here.line_K < 0.0 {
            says.and(" The liquid flashes in {}.", [name])
        } else {
            says.and(" Only {} is left in {}.", [kelvins(here.line_K), name])
        };
    }
    if verdict < Verdict::Fail && !of_the_valve {
        says = says.and(" The lowest in the line is {}.", [kelvins(here.line_K)]);
    }
    if let (Verdict::Note, Some((point, left))) = (verdict, little) {
        let values = [kelvins(left), Value::Point(point.id), kelvins(asks)];
        let little =
            say("The valve gets {} of subcooling at {}; at full load it requires {}, at part load none. ", values);
        says = little.then(says);
    }
    if verdict == Verdict::Fail {
        says = says.then(ledger(case, point, place));
    }
    let (value, limit, source) = if of_the_valve {
        (here.valve_K, needs, Source::Job("valve.subcooling"))
    } else {
        (here.line_K, limit.value, limit.source)
    };
    let place = match place {
        0 => Place::Inlet(LineId::Liquid),
        run => Place::run(LineId::Liquid, run),
    };
    let finding = case.finding(RULE.id, verdict).at(point.id).place(place);
    Some(finding.found(value, limit, Kind::Difference).says(says).by(source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, degrees, finding, job, liquid, only, solved, verdict, with_tubes};
    use super::*;
    use crate::job::{Ambient, Circuit, Path, ReceiverStyle};
    use crate::survey::PointId;
    use crate::units::{Temperature, metres};

    fn with_receiver_through(circuit: &mut Circuit) {
        if let Path::Part(part) = &mut liquid(circuit, 1).path
            && let Some(receiver) = &mut part.receiver
        {
            receiver.style = ReceiverStyle::Through;
        }
    }

    #[test]
    fn what_the_valve_asks_for_is_enough_exactly() {
        let job = job();
        let needs = job.circuits[0].valve.subcooling.value;
        let at = |subcooling: f64| {
            by_hand(&job, PointId::SummerFull, move |p| {
                p.liquid_line.runs.last_mut().unwrap().out.subcooling_K = Some(subcooling);
            })
        };
        assert_eq!(verdict(RULE, &job, &at(needs)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(needs - 0.01)), Verdict::Fail);
    }

    #[test]
    fn at_part_load_solid_liquid_is_enough() {
        let job = job();
        let at = |id: PointId, subcooling: f64| {
            by_hand(&job, id, move |p| {
                p.compressor_share = 0.5;
                p.liquid_line.runs.last_mut().unwrap().out.subcooling_K = Some(subcooling);
            })
        };
        for id in [PointId::WinterMinimum, PointId::SummerMinimum] {
            assert_eq!(verdict(RULE, &job, &at(id, 0.0)), Verdict::Note);
            assert_eq!(verdict(RULE, &job, &at(id, -0.5)), Verdict::Fail);
        }
    }

    #[test]
    fn what_holds_is_told_by_the_point_that_asks_for_most() {
        let job = job();
        let mut survey = by_hand(&job, PointId::SummerFull, |_| {});
        let points = &mut survey.circuits[0].points;
        let mut part = points[0].clone();
        (part.id, part.compressor_share) = (PointId::SummerMinimum, 0.5);
        // Nearer to its own limit, zero, than 5 K are to the 4 F of full load.
        part.liquid_line.runs.last_mut().unwrap().out.subcooling_K = Some(2.5);
        points.insert(0, part);
        let found = only(RULE.check(&job, &survey));
        assert_eq!((found.verdict, found.point()), (Verdict::Pass, Some(PointId::SummerFull)), "{found:#?}");
    }

    /// What is told of a valve 38 ft over the coil, whose liquid lacks so many kelvins: 200 kPa of head, 5 kPa of friction and 5 kPa
    /// in the solenoid valve; the bubble temperature falls by 21 K on the way, 0.1 K for each kilopascal.
    fn over_the_coil(lacks: f64, ambient: Option<Ambient>) -> String {
        let job = changed(|circuit| {
            let traps = crate::job::Traps::default();
            liquid(circuit, 3).path = Path::Rise { length: super::super::testing::feet(38.0), traps };
            liquid(circuit, 4).ambient = ambient;
        });
        let survey = by_hand(&job, PointId::SummerFull, |p| {
            p.state.valve_inlet.quality = Some(0.1);
            let line = &mut p.liquid_line;
            (line.inlet_subcooling_K, line.friction_Pa, line.parts_Pa) = (Some(6.0), 5e3, 5e3);
            for run in &mut line.runs {
                (run.friction_Pa, run.static_Pa) = match run.index {
                    3 => (5e3, 200e3),
                    6 => (5e3, 0.0),
                    _ => (0.0, 0.0),
                };
            }
            let end = &mut line.runs[5].out;
            end.state.pressure_Pa = p.state.condenser_outlet.pressure_Pa - 210e3;
            (end.state.temperature_K, end.subcooling_K) = (305.0 + lacks, Some(-lacks));
            (end.state.quality, end.state.enthalpy_J_kg) = (Some(0.1), bubble_at(end.state.pressure_Pa, lacks));
        });
        let found = only(RULE.check(&job, &survey));
        assert_eq!(found.verdict, Verdict::Fail);
        found.text(&job)
    }

    #[test]
    fn a_rise_takes_its_head_and_what_is_gone_is_shared_out() {
        // 6 K are given. 15 lack where 21 are taken: 20 by the rise, half a kelvin by friction.
        let told = over_the_coil(15.0, None);
        assert!(told.starts_with("10 % of the flow is gas at the valve at summer full. It is 27 F short"), "{told}");
        assert!(
            told.contains("The condenser gives 10.8 F; a rise of 38 ft takes 36 F, friction takes 0.9 F"),
            "{told}"
        );
        // 17.1 lack: a tenth more than the pressure accounts for, which is 22 K by the rise.
        let told = over_the_coil(17.1, None);
        assert!(told.contains("The condenser gives 10.8 F; a rise of 38 ft takes 39.6 F"), "{told}");
    }

    #[test]
    fn what_a_line_in_air_gains_over_its_pressure_is_heat_that_it_loses() {
        let around = job().site.summer;
        // Only 12 K lack of the 15 by pressure: 3 K, 5.4 F, went to the air; where 18 lack they came from it.
        let told = over_the_coil(12.0, Some(Ambient::Air(around)));
        assert!(told.contains("Heat that the line loses to the air adds 5.4 F."), "{told}");
        let told = over_the_coil(18.0, Some(Ambient::Air(around)));
        assert!(told.contains("Heat from the ambient air takes 5.4 F."), "{told}");
    }

    /// The enthalpy of R-134a that lacks so many kelvins of being liquid at a pressure, by the heat of liquid.
    fn bubble_at(pressure_Pa: f64, lacks: f64) -> f64 {
        let bubble = crate::refrigerant::named("R-134a").unwrap().bubble_p(pressure_Pa).unwrap();
        bubble.enthalpy + bubble.cp * lacks
    }

    #[test]
    fn saturated_liquid_on_the_way_is_no_flash_but_less_is() {
        let job = job();
        let bubble = crate::refrigerant::named("R-134a").unwrap().bubble_p(1.2e6).unwrap();
        let at = |lacks: f64| {
            by_hand(&job, PointId::SummerFull, move |p| {
                let out = &mut p.liquid_line.runs[2].out;
                out.subcooling_K = Some(0.0);
                out.state.enthalpy_J_kg = bubble.enthalpy + bubble.cp * lacks;
                out.state.quality = (lacks > 0.0).then_some(0.01);
            })
        };
        assert_eq!(verdict(RULE, &job, &at(0.0)), Verdict::Pass);
        let found = only(RULE.check(&job, &at(3.0)));
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::run(LineId::Liquid, 3))));
        assert!((found.value() + 3.0).abs() < 1e-9, "{found:#?}");
        assert!(!found.words().contains("The lowest in the line"), "told once: {}", found.words());
        assert!(
            found.words().contains("The liquid flashes in the drop of 38 ft in 1-5/8 ACR (run 3)."),
            "{}",
            found.words()
        );
    }

    #[test]
    fn what_flashes_before_a_receiver_that_all_passes_through_is_let_go_in_it() {
        let job = changed(|circuit| {
            circuit.liquid.runs.swap(0, 1);
            if let Path::Part(part) = &mut liquid(circuit, 2).path
                && let Some(receiver) = &mut part.receiver
            {
                receiver.style = ReceiverStyle::Through;
            }
        });
        let survey = by_hand(&job, PointId::SummerFull, |p| {
            p.liquid_line.runs[0].out.state.quality = Some(0.01);
            p.liquid_line.runs[1].out.subcooling_K = Some(0.0);
        });
        assert_eq!(verdict(RULE, &job, &survey), Verdict::Pass);
    }

    #[test]
    fn a_receiver_that_gives_the_subcooling_away_is_found_and_a_surge_receiver_passes() {
        let job = changed(|circuit| {
            with_receiver_through(circuit);
            circuit.valve.subcooling = degrees(12.0);
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(
            found.words().contains("The receiver loses the condenser's 10 F; a drop of 38 ft adds "),
            "{}",
            found.words()
        );
        let surged = changed(|circuit| circuit.valve.subcooling = degrees(12.0));
        assert_eq!(finding(RULE, &surged).verdict, Verdict::Pass);
    }

    #[test]
    fn the_ledger_adds_up_to_what_arrives() {
        let job = changed(|circuit| circuit.valve.subcooling = degrees(24.0));
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        let words = found.words();
        let (arrives, ledger) = words.split_once("it requires 24 F. ").unwrap();
        let number = |text: &str, after: &str| -> f64 {
            // What is next to nothing is not told.
            let Some((_, rest)) = text.split_once(after) else { return 0.0 };
            rest.split(' ').next().unwrap().parse().unwrap()
        };
        let sum = number(ledger, "condenser gives ") + number(ledger, "38 ft adds ")
            - number(ledger, "friction takes ")
            - number(ledger, "solenoid valve take ");
        assert!(number(ledger, "condenser gives ") > 0.0 && number(ledger, "38 ft adds ") > 0.0, "{words}");
        assert!((sum - number(arrives, "valve gets ")).abs() < 0.25, "{}", found.words());
    }

    #[test]
    fn narrow_tube_fails_and_so_does_heat_round_the_line() {
        // A hair less than what the clean job gives at full load.
        let clean = job();
        let survey = solved(&clean);
        let full = survey.circuits[0].points.iter().filter(|point| point.compressor_share >= 1.0);
        let gives =
            full.map(|point| feed(&clean.circuits[0], &point.liquid_line).valve_K).fold(f64::INFINITY, f64::min);
        let needs = crate::units::kelvins(gives - 0.01);
        let job = changed(|circuit| {
            circuit.valve.subcooling = needs;
            for number in 2..=4 {
                with_tubes(liquid(circuit, number), &["7/8 ACR"]);
            }
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(finding(RULE, &changed(|circuit| circuit.valve.subcooling = needs)).verdict < Verdict::Fail);
        let hot = changed(|circuit| {
            circuit.valve.subcooling = needs;
            for number in 2..=4 {
                liquid(circuit, number).ambient = Some(Ambient::Air(Temperature::from_kelvin(400.0)));
            }
        });
        let found = finding(RULE, &hot);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.words().contains("Heat from the ambient air takes"), "{}", found.words());
    }

    #[test]
    fn a_mechanical_subcooler_stands_in_the_ledger() {
        let with = |tons: f64| {
            changed(|circuit| {
                circuit.valve.subcooling = degrees(60.0);
                let Path::Part(part) = &mut liquid(circuit, 1).path else { panic!() };
                part.receiver = None;
                part.subcooler = Some(crate::job::Subcooler {
                    capacity: crate::units::watts(tons * 3_517.0),
                    leaving: Temperature::from_kelvin(280.0),
                });
            })
        };
        let found = finding(RULE, &with(0.5));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.words().contains("the mechanical subcooler adds"), "{}", found.words());
        let more = finding(RULE, &with(1.0)).measure.unwrap().value;
        assert!(more > found.measure.unwrap().value + 0.5);
    }

    #[test]
    fn what_is_nothing_is_not_in_the_ledger() {
        let job = changed(|circuit| {
            circuit.valve.subcooling = degrees(24.0);
            liquid(circuit, 3).path = Path::Level { length: metres(0.01), slope: None };
            circuit.liquid.runs.truncate(2);
        });
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(!found.words().contains(" 0 F"), "{}", found.words());
    }
}
