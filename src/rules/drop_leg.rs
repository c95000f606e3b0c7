//! `drop-leg`: do the legs of coils in parallel keep a shut or colder coil from filling?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::survey::DropLeg;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "drop-leg",
    question: "Do the drop legs of parallel coils keep an idle or colder coil from flooding?",
    explanation: "\
Parallel coils share one inlet pressure. An idle or colder coil has no pressure drop, so the pressure at its outlet \
is higher than at the others. It pushes liquid back into the working coils until they flood and stop condensing.

Each coil's outlet needs a leg that drops before it joins the others. Its height of liquid must make up for the \
pressure drop of the coil and of the leg at full load: h = (coil drop + leg drop) / (rho g), at the operating point \
where that is greatest. A leg that is too short is a fail, one that is not drawn a caution.

From the legs to the receiver the liquid must drain freely, not above 100 fpm, or the receiver must have a vent: \
`drain` judges that.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let worst = greatest(case.solved.drop_legs.iter().map(|leg| (leg, leg.needed_m.unwrap_or(f64::MAX))));
    worst.map(|(leg, _)| judge(case, leg)).into_iter().collect()
}

fn judge(case: &Case, leg: &DropLeg) -> Finding {
    let condenser = &case.circuit.condenser;
    let coils = Value::whole(condenser.coils);
    let loss = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
    let finding = case.finding(RULE.id, Verdict::Caution).at(leg.id).place(Place::Condenser);
    let finding = finding.by(Source::Published("ashrae-halocarbon"));
    let Some(legs) = &condenser.legs else {
        let says = say(
            "{} parallel coils have a pressure drop of {} at {}. Their drop legs are not drawn: an idle coil would \
             push liquid back into the others.",
            [coils, loss(leg.coil_loss_Pa), Value::Point(leg.id)],
        );
        return finding.found(0.0, leg.needed_m, Kind::Length).says(says);
    };
    let height = legs.height.value;
    let mut says = say(
        "At {} each of {} coils has a pressure drop of {}, and its leg of {}",
        [Value::Point(leg.id), coils, loss(leg.coil_loss_Pa), Value::name(&legs.tube.name)],
    );
    if let Some(velocity) = leg.velocity_m_s {
        says = says.and(", at {},", [Value::Of(Kind::Velocity, velocity)]);
    }
    says = match leg.leg_loss_Pa {
        Some(own) => says.and(" {}, ", [loss(own)]),
        None => says.and(" more than can be computed, ", []),
    };
    says = match leg.needed_m {
        Some(needed) => says.and("which requires {}", [Value::Of(Kind::Length, needed)]),
        None => says.and("which no height makes up for", []),
    };
    says = says.and(" of drop; the leg has {}.", [Value::Of(Kind::Length, height)]);
    let mut finding = finding.found(height, leg.needed_m, Kind::Length).says(says);
    let does = leg.needed_m.is_some_and(|needed| height >= needed);
    finding.verdict = if does { Verdict::Pass } else { Verdict::Fail };
    finding
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, finding, findings, job, only, solved};
    use super::*;
    use crate::job::{Job, Legs};
    use crate::physics::static_head::static_head;
    use crate::refdata;
    use crate::units::{kilograms_per_cubic_metre, metres};
    use approx::assert_relative_eq;

    /// The job with two coils and legs of that height.
    fn with(height: f64, tube: &str) -> Job {
        changed(|circuit| {
            circuit.condenser.coils = 2;
            circuit.condenser.legs = Some(Legs {
                height: feet(height),
                tube: refdata::tube(tube).unwrap().clone(),
                level: feet(6.0),
                fittings: vec![("elbow".to_owned(), 2)],
            });
        })
    }

    fn needed(job: &Job) -> f64 {
        solved(job).circuits[0].drop_legs.iter().filter_map(|leg| leg.needed_m).fold(0.0, f64::max)
    }

    #[test]
    fn high_legs_pass() {
        let found = finding(RULE, &with(12.0, "1-5/8 ACR"));
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
    }

    #[test]
    fn at_the_height_needed_the_liquid_just_makes_up_for_both_losses() {
        let first = needed(&with(12.0, "1-3/8 ACR"));
        let job = with(first / 0.3048, "1-3/8 ACR");
        let survey = solved(&job);
        for leg in &survey.circuits[0].drop_legs {
            let head = static_head(kilograms_per_cubic_metre(leg.density_kg_m3), metres(leg.needed_m.unwrap()));
            if (leg.needed_m.unwrap() - first).abs() < 1e-9 {
                assert_relative_eq!(head.value, leg.coil_loss_Pa + leg.leg_loss_Pa.unwrap(), max_relative = 1e-6);
            }
        }
        assert_relative_eq!(needed(&job), first, max_relative = 1e-6);
    }

    #[test]
    fn exactly_at_the_height_needed_it_passes() {
        let job = with(12.0, "1-5/8 ACR");
        let needed = needed(&job);
        let at = |height: f64| {
            let mut survey = solved(&job);
            for leg in &mut survey.circuits[0].drop_legs {
                leg.needed_m = Some(height);
            }
            only(RULE.check(&job, &survey)).verdict
        };
        let height = job.circuits[0].condenser.legs.as_ref().unwrap().height.value;
        assert!(needed < height);
        assert_eq!(at(height), Verdict::Pass);
        assert_eq!(at(height * (1.0 + 1e-12)), Verdict::Fail);
    }

    #[test]
    fn short_legs_fail() {
        let found = finding(RULE, &with(3.0, "1-3/8 ACR"));
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::Condenser)));
        assert!(found.value() < found.limit(), "{found:#?}");
    }

    #[test]
    fn a_leg_far_too_small_fails_whatever_its_height() {
        let job = with(4.0, "3/8 ACR");
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.text(&job).contains("no height"), "{found:#?}");
    }

    #[test]
    fn legs_not_drawn_are_a_caution_that_says_how_high() {
        let found = finding(RULE, &changed(|circuit| circuit.condenser.coils = 3));
        assert_eq!(found.verdict, Verdict::Caution, "{found:#?}");
        assert!(found.limit() > 0.0);
    }

    #[test]
    fn one_coil_has_no_finding() {
        assert!(findings(RULE, &job()).is_empty());
    }
}
