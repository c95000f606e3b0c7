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
speed of sound times the velocity taken away, with the speed of sound of the liquid as it is there. To that comes the pressure \
with the flow stopped: the condenser's outlet and the static head above the valve. The sum must stay below what the tube ahead \
of the valve holds, brazed, and below the high-side design pressure, for which driers, sight glasses and the valve itself are \
rated. A line that is hammered beyond it loses its brazed joints, its hangers and the valve's seat, one stop at a time.

The give of the tube wall is neglected, which errs to the safe side. A valve that takes longer to shut than sound runs to the \
receiver and back surges less in proportion.",
    limits: &["design_above_summer", "design_least"],
    look: Look::Circuit(look),
};

/// A closing valve and what the line ahead of it may bear, Pa over the atmosphere.
struct Hit<'a> {
    closing: &'a Closing,
    /// Pressure before the surge.
    still: f64,
    limit: f64,
    /// What sets the limit, for a sentence.
    of: Say,
    source: Source,
}

impl Hit<'_> {
    fn peak(&self) -> f64 {
        self.still + self.closing.surge_Pa
    }
}

fn look(case: &Case) -> Vec<Finding> {
    let design = case.solved.design.as_ref();
    let hits = case.solved.closings.iter().filter_map(|closing| hit(case, design, closing));
    let over = |hit: &Hit| hit.peak() - hit.limit;
    if let Some((worst, _)) = greatest(hits.map(|hit| (over(&hit), hit)).map(|(over, hit)| (hit, over))) {
        return vec![judge(case, &worst)];
    }
    let unknown = "Neither the design pressure nor what the tube holds is known, so the surge was not judged.";
    let finding = case.finding(RULE.id, Verdict::NotJudged).by(Source::Published("ashrae-15")).says(unknown);
    if case.solved.closings.is_empty() { Vec::new() } else { vec![finding] }
}

fn hit<'a>(case: &Case<'a>, design: Option<&Design>, closing: &'a Closing) -> Option<Hit<'a>> {
    let rated = closing.holds.as_ref().map(|(tube, rated)| {
        (*rated, say("what {} holds", [Value::name(tube)]), Source::Published("cda-tube-handbook"))
    });
    let designed = design.map(|design| {
        let of = say("the design pressure, {}", [Value::Say(case.design_basis(design))]);
        (design.pressure_Pa, of, case.limit(design.limit).source)
    });
    let (limit, of, source) = match (rated, designed) {
        (Some(rated), Some(designed)) if rated.0 < designed.0 => rated,
        (_, Some(designed)) => designed,
        (Some(rated), None) => rated,
        (None, None) => return None,
    };
    let still = closing.static_Pa - case.job.site.atmosphere.pascals();
    Some(Hit { closing, still, limit, of, source })
}

fn judge(case: &Case, hit: &Hit) -> Finding {
    let closing = hit.closing;
    let pressure = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
    let says = say(
        "When {} shuts at {}, {} of liquid stop, and the pressure ahead of it rises by {} to {} over the atmosphere; it may \
         rise to {}, {}.",
        [
            Value::Run(LineId::Liquid, closing.run),
            Value::Point(closing.id),
            Value::Of(Kind::Velocity, closing.velocity_m_s),
            pressure(closing.surge_Pa),
            pressure(hit.peak()),
            pressure(hit.limit),
            Value::Say(hit.of.clone()),
        ],
    );
    let verdict = if hit.peak() > hit.limit { Verdict::Fail } else { Verdict::Pass };
    let place = Place::run(LineId::Liquid, closing.run);
    let finding = case.finding(RULE.id, verdict).at(closing.id).place(place).by(&hit.source);
    finding.found(hit.peak(), hit.limit, Kind::Rating).says(says)
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
