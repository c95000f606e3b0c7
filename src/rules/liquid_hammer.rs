//! `liquid-hammer`: what does the solenoid valve do when it shuts?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::LineId;
use crate::survey::{Closing, Design};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "liquid-hammer",
    question: "What surge pressure does the liquid line see when a solenoid valve shuts?",
    explanation: "\
A valve that shuts at once stops the liquid ahead of it. The surge pressure is rho a dv (Joukowsky): density times \
speed of sound times the velocity taken away. The coldest liquid gives the highest surge, and every operating point \
counts. Added to it is the pressure with the flow stopped: that of the condenser's outlet and the static head above \
the valve.

The sum must stay below the annealed rating of the tube ahead of the valve. It is a short excursion: 20 % above a \
rating is allowed for it (the smaller of two allowances of ASME B31.3; that of B31.5 was not seen). Hammer beyond \
that breaks brazed joints, hangers and the valve's seat, one stop at a time.

A job gives no rating for driers, sight glasses and the valve itself. They are taken as rated for the high-side \
design pressure. Here that is not the setting of the high-pressure cut-out: a higher setting makes no part stronger. \
Liquid no faster than the published limit ahead of a fast valve is not held against parts. Faster liquid is a \
caution above the design pressure, and a fail above it and the allowance.

The elasticity of the tube wall is neglected, which is on the safe side. A valve that takes longer to shut than \
sound needs to the receiver and back gives a lower surge, in proportion.",
    limits: &["design_above_summer", "design_minimum", "surge_allowance", "liquid_velocity"],
    look: Look::Circuit(look),
};

/// A closing valve and what the line ahead of it may bear, Pa over the atmosphere.
struct Hit<'a> {
    closing: &'a Closing,
    verdict: Verdict,
    /// Pressure before the surge and that on top.
    peak: f64,
    /// None where nothing is held against it.
    limit: Option<f64>,
    /// What sets the limit, for a sentence.
    of: Say,
    source: Source,
}

fn look(case: &Case) -> Vec<Finding> {
    let design = case.solved.design.as_ref();
    let hits = case.solved.closings.iter().flat_map(|closing| hits(case, design, closing));
    let hits: Vec<Hit> = hits.collect();
    let worst = hits.iter().map(|hit| hit.verdict).max();
    let worst =
        hits.iter().filter(|hit| Some(hit.verdict) == worst).map(|hit| (hit, hit.peak - hit.limit.unwrap_or(f64::MAX)));
    if let Some((worst, _)) = greatest(worst) {
        return vec![judge(case, worst)];
    }
    let unknown = "Neither the design pressure nor the rating of the tube is known: not judged.";
    let finding = case.finding(RULE.id, Verdict::NotJudged).by(Source::Published("ashrae-15")).says(unknown);
    if case.solved.closings.is_empty() { Vec::new() } else { vec![finding] }
}

/// A closing valve against the weakest tube ahead of it, and against parts of no rating of their own.
fn hits<'a>(case: &Case<'a>, design: Option<&Design>, closing: &'a Closing) -> Vec<Hit<'a>> {
    let allowance = case.limit("surge_allowance").value.max(1.0);
    let peak = closing.static_Pa - case.job.site.atmosphere.pascals() + closing.surge_Pa;
    let over = |limit: f64| if peak > limit { Verdict::Fail } else { Verdict::Pass };
    let more = Value::Of(Kind::Share, allowance - 1.0);
    let tube = closing.holds.as_ref().map(|(tube, rated)| {
        let of = say("the rating of {} and {} for a short surge", [Value::name(tube), more.clone()]);
        let limit = rated * allowance;
        Hit {
            closing,
            verdict: over(limit),
            peak,
            limit: Some(limit),
            of,
            source: Source::Published("cda-tube-handbook"),
        }
    });
    let part = design.and_then(|design| Some((design, design.without_switch?))).map(|(design, (made_for, basis))| {
        let used = case.limit("liquid_velocity");
        if peak > made_for && closing.velocity_m_s <= used.value {
            let of = say("{}", [Value::Of(Kind::Velocity, used.value)]);
            return Hit { closing, verdict: Verdict::Pass, peak, limit: None, of, source: used.source };
        }
        let (verdict, limit) = match over(made_for * allowance) {
            Verdict::Fail => (Verdict::Fail, made_for * allowance),
            _ if peak > made_for => (Verdict::Caution, made_for),
            _ => (Verdict::Pass, made_for * allowance),
        };
        let bare = Value::Of(Kind::Rating, made_for);
        let of = if limit > made_for {
            say("{} above the design pressure, {}, for parts without a rating", [more, bare])
        } else {
            say("the design pressure, for parts without a rating", [])
        };
        Hit { closing, verdict, peak, limit: Some(limit), of, source: case.design_source(design, basis) }
    });
    tube.into_iter().chain(part).collect()
}

fn judge(case: &Case, hit: &Hit) -> Finding {
    let closing = hit.closing;
    let pressure = |pascals: f64| Value::Of(Kind::Rating, pascals);
    let says = say(
        "Stopping {} of liquid at {} raises the pressure to {}",
        [Value::Of(Kind::Velocity, closing.velocity_m_s), Value::Point(closing.id), pressure(hit.peak)],
    );
    let of = Value::Say(hit.of.clone());
    let says = match hit.limit {
        Some(limit) => says.and(". {} is allowed: {}.", [pressure(limit), of]),
        None => says.and(". Liquid up to {} is not held against parts without a rating.", [of]),
    };
    let place = Place::run(LineId::Liquid, closing.run);
    let finding = case.finding(RULE.id, hit.verdict).at(closing.id).place(place).by(&hit.source);
    finding.found(hit.peak, hit.limit, Kind::Rating).says(says)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, fahrenheit, feet, finding, findings, job, liquid, only, solved, with_tubes};
    use super::*;
    use crate::job::{Path, Relief};
    use crate::physics::water_hammer::joukowsky;
    use crate::refrigerant;
    use crate::survey::{Basis, PointId};
    use crate::units::factor::{self, PSI};
    use crate::units::{kilograms_per_cubic_metre, metres_per_second};
    use approx::assert_relative_eq;

    /// A narrow run ahead of the valve.
    fn narrow() -> crate::job::Job {
        changed(|circuit| with_tubes(liquid(circuit, 4), &["7/8 ACR"]))
    }

    #[test]
    fn slow_liquid_passes() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert_eq!(found.place, Some(Place::run(LineId::Liquid, 6)));
    }

    #[test]
    fn the_surge_is_that_of_the_run_ahead_at_the_valves_own_state() {
        let survey = solved(&job());
        let circuit = &survey.circuits[0];
        for closing in &circuit.closings {
            let point = circuit.point(closing.id).unwrap();
            let runs = &point.liquid_line.runs;
            assert_relative_eq!(closing.velocity_m_s, runs[3].tubes[0].velocity_m_s);
            let ahead = runs[4].out.state;
            assert_relative_eq!(closing.density_kg_m3, ahead.density_kg_m3, max_relative = 1e-6);
            let by_hand = joukowsky(
                kilograms_per_cubic_metre(closing.density_kg_m3),
                metres_per_second(closing.speed_of_sound_m_s),
                metres_per_second(closing.velocity_m_s),
            );
            assert_relative_eq!(closing.surge_Pa, by_hand.value);
            // Still, the line stands at the condenser's pressure and 38 ft of liquid.
            let head = closing.static_Pa - point.state.condenser_outlet.pressure_Pa;
            assert_relative_eq!(head, closing.density_kg_m3 * 9.806_65 * 38.0 * 0.3048, max_relative = 0.02);
            assert_relative_eq!(closing.length_m, 84.0 * 0.3048, max_relative = 1e-12);
        }
        assert_eq!(circuit.closings.len(), 4);
    }

    /// The verdict on one valve: the tube ahead of it holds so many psi, parts are made for 200 psi, the liquid is so fast (fpm),
    /// and stands and surges to so many psi.
    fn verdict_of(holds: f64, fpm: f64, peak: f64) -> Verdict {
        let job = job();
        let mut survey = solved(&job);
        let circuit = &mut survey.circuits[0];
        circuit.design.as_mut().unwrap().without_switch = Some((200.0 * PSI, Basis::Saturation));
        circuit.closings.truncate(1);
        let closing = &mut circuit.closings[0];
        closing.static_Pa = job.site.atmosphere.pascals();
        closing.surge_Pa = peak * PSI;
        closing.velocity_m_s = fpm * factor::FOOT / 60.0;
        closing.holds = Some(("7/8 ACR".to_owned(), holds * PSI));
        only(RULE.check(&job, &survey)).verdict
    }

    #[test]
    fn a_fifth_over_what_a_tube_holds_is_allowed_to_a_short_surge() {
        assert_eq!(verdict_of(100.0, 100.0, 119.99), Verdict::Pass);
        assert_eq!(verdict_of(100.0, 100.0, 120.01), Verdict::Fail);
    }

    #[test]
    fn parts_of_no_rating_bear_the_published_velocity_and_the_design_pressure() {
        assert_eq!(verdict_of(1000.0, 299.0, 300.0), Verdict::Pass);
        let fast = [199.99, 200.01, 239.99, 240.01].map(|peak| verdict_of(1000.0, 301.0, peak));
        assert_eq!(fast, [Verdict::Pass, Verdict::Caution, Verdict::Caution, Verdict::Fail]);
    }

    /// Liquid of 105 F stopped from 300 fpm: 75 psi in R-410A, 106 in R-134a, 117 in R-22, by density and speed of sound of another
    /// library; from 600 fpm twice as much. Condensing at 115 F, R-134a at 120 F, the condenser 30 ft above the valve.
    #[test]
    fn a_solenoid_that_shuts_at_300_passes_and_at_600_fails() {
        for (refrigerant, condensing, rise) in
            [("R-410A", 115.0, 75.0), ("R-134a", 120.0, 106.0), ("R-22", 115.0, 117.0)]
        {
            let mut job = changed(|circuit| {
                circuit.refrigerant = refrigerant.to_owned();
                circuit.condenser.cutout = None;
                circuit.relief = Relief::NotGiven;
            });
            job.site.summer = fahrenheit(95.0);
            let fluid = refrigerant::named(refrigerant).unwrap();
            let pressure = fluid.bubble_pressure(fahrenheit(condensing).kelvin()).unwrap();
            let liquid = fluid.bubble_t(fahrenheit(105.0).kelvin()).unwrap();
            let mut survey = solved(&super::super::testing::job());
            let circuit = &mut survey.circuits[0];
            circuit.design = crate::survey::design(&job, &job.circuits[0], &[]);
            circuit.closings.truncate(1);
            let mut at = |fpm: f64| {
                let closing = &mut survey.circuits[0].closings[0];
                closing.static_Pa = pressure + liquid.density * 9.806_65 * feet(30.0).value;
                closing.velocity_m_s = fpm * factor::FOOT / 60.0;
                closing.surge_Pa = liquid.density * liquid.speed_of_sound * closing.velocity_m_s;
                closing.holds = None;
                let surge = closing.surge_Pa / PSI;
                (only(RULE.check(&job, &survey)).verdict, surge)
            };
            let (verdict, surge) = at(300.0);
            assert!((surge / rise - 1.0).abs() < 0.04, "{refrigerant}: {surge}");
            assert_eq!(verdict, Verdict::Pass, "{refrigerant}");
            assert_eq!(at(600.0).0, Verdict::Fail, "{refrigerant}");
        }
    }

    #[test]
    fn the_coldest_liquid_surges_maximum_and_no_switch_makes_a_part_stronger() {
        let survey = solved(&job());
        let circuit = &survey.circuits[0];
        let per_velocity = |id: PointId| {
            let closing = circuit.closings.iter().find(|closing| closing.id == id).unwrap();
            closing.surge_Pa / closing.velocity_m_s
        };
        assert!(per_velocity(PointId::WinterFull) > 1.05 * per_velocity(PointId::SummerFull));
        let limit = |psi: f64| {
            let job = changed(|circuit| {
                circuit.relief = Relief::NotGiven;
                let gauge = psi * PSI + job().site.atmosphere.pascals();
                circuit.condenser.cutout = Some(crate::units::Pressure::from_pascals(gauge));
                with_tubes(liquid(circuit, 4), &["7/8 ACR"]);
            });
            finding(RULE, &job).limit()
        };
        assert_relative_eq!(limit(250.0), limit(300.0));
    }

    #[test]
    fn fast_liquid_fails_and_in_a_wider_tube_it_passes() {
        let found = finding(RULE, &narrow());
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        let wide = changed(|circuit| with_tubes(liquid(circuit, 4), &["1-3/8 ACR"]));
        assert_eq!(finding(RULE, &wide).verdict, Verdict::Pass);
    }

    #[test]
    fn where_the_tube_is_the_limit_it_is_told() {
        let with = |names: &[&str]| {
            changed(|circuit| {
                circuit.refrigerant = "R-410A".to_owned();
                circuit.condenser.cutout = Some(crate::units::Pressure::from_pascals(3.4e6));
                for number in 2..=4 {
                    with_tubes(liquid(circuit, number), names);
                }
            })
        };
        let found = finding(RULE, &with(&["1-5/8 ACR"]));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert!(found.words().contains("the rating of 1-5/8 ACR"), "{}", found.words());
    }

    #[test]
    fn without_a_closing_valve_there_is_nothing_to_say() {
        let job = changed(|circuit| {
            for run in &mut circuit.liquid.runs {
                if let Path::Part(part) = &mut run.path {
                    part.closes = false;
                }
            }
        });
        assert!(findings(RULE, &job).is_empty());
    }
}
