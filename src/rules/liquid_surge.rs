//! `liquid-surge`: what does the solenoid valve do when it shuts?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::LineId;
use crate::survey::{Closing, Design};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "liquid-surge",
    question: "What does the liquid do to the line when a solenoid valve shuts?",
    explanation: "\
A valve that shuts at once stops the liquid ahead of it, and the pressure there rises by rho a dv (Joukowsky): density times \
speed of sound times the velocity taken away, with the speed of sound of the liquid as it is there. The coldest liquid surges \
most, and every operating point counts. To that comes the pressure with the flow stopped: the condenser's outlet and the static \
head above the valve. The sum must stay below what the tube ahead of the valve holds, brazed. It is a short excursion: 20 % over \
a rating are allowed for it (the smaller of two allowances of ASME B31.3; that of B31.5 was not seen). A line that is hammered \
beyond it loses its brazed joints, its hangers and the valve's seat, one stop at a time.

Driers, sight glasses and the valve itself have no rating in a job. They are made for no less than the high-side design pressure, \
which for this is not the setting of the high-pressure switch: a switch set higher makes no part stronger. Liquid that is no \
faster than the published limit ahead of a valve that shuts is not held against it, for parts of the trade are made for more; \
faster liquid is a caution over the design pressure, and a fail over it and the allowance.

The give of the tube wall is neglected, which errs to the safe side. A valve that takes longer to shut than sound runs to the \
receiver and back surges less in proportion.",
    limits: &["design_above_summer", "design_least", "surge_allowance", "liquid_velocity"],
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
    let worst = hits.iter().filter(|hit| Some(hit.verdict) == worst).map(|hit| (hit, hit.peak - hit.limit.unwrap_or(0.0)));
    if let Some((worst, _)) = greatest(worst) {
        return vec![judge(case, worst)];
    }
    let unknown = "Neither the design pressure nor what the tube holds is known, so the surge was not judged.";
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
        let of = say("what {} holds and {} for a short surge", [Value::name(tube), more.clone()]);
        let limit = rated * allowance;
        Hit { closing, verdict: over(limit), peak, limit: Some(limit), of, source: Source::Published("cda-tube-handbook") }
    });
    let part = design.and_then(|design| design.without_switch).map(|(made_for, basis)| {
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
        let design = Value::Of(Kind::PressureDifference, made_for);
        let of = if limit > made_for {
            say("the design pressure of {} and {} for a short surge, for parts of no known rating", [design, more])
        } else {
            say("the design pressure, for parts of no known rating", [])
        };
        Hit { closing, verdict, peak, limit: Some(limit), of, source: case.design_source(basis) }
    });
    tube.into_iter().chain(part).collect()
}

fn judge(case: &Case, hit: &Hit) -> Finding {
    let closing = hit.closing;
    let pressure = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
    let says = say(
        "When {} shuts at {}, {} of liquid stop, and the pressure ahead of it rises by {} to {} over the atmosphere",
        [
            Value::Run(LineId::Liquid, closing.run),
            Value::Point(closing.id),
            Value::Of(Kind::Velocity, closing.velocity_m_s),
            pressure(closing.surge_Pa),
            pressure(hit.peak),
        ],
    );
    let of = Value::Say(hit.of.clone());
    let says = match hit.limit {
        Some(limit) => says.and("; it may rise to {}, {}.", [pressure(limit), of]),
        None => says.and("; liquid of no more than {} is not held against parts of no known rating.", [of]),
    };
    let place = Place::run(LineId::Liquid, closing.run);
    let finding = case.finding(RULE.id, hit.verdict).at(closing.id).place(place).by(&hit.source);
    finding.found(hit.peak, hit.limit, Kind::Rating).says(says)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, finding, findings, job, liquid, only, solved, with_tubes};
    use super::*;
    use crate::job::Path;
    use crate::physics::water_hammer::joukowsky;
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

    #[test]
    fn exactly_at_the_limit_it_passes() {
        let job = job();
        let mut survey = solved(&job);
        let found = only(RULE.check(&job, &survey));
        let room = found.limit() - found.value();
        let at = |survey: &mut crate::survey::Survey, by: f64| {
            for closing in &mut survey.circuits[0].closings {
                if Some(closing.id) == found.point() {
                    closing.surge_Pa += by;
                }
            }
            only(RULE.check(&job, survey)).verdict
        };
        assert_eq!(at(&mut survey, room - 1e-3), Verdict::Pass);
        assert_eq!(at(&mut survey, 2e-3), Verdict::Fail);
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
        assert!(found.words().contains("what 1-5/8 ACR holds"), "{}", found.words());
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
