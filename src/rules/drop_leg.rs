//! `drop-leg`: do the legs of coils in parallel keep a shut or colder coil from filling?

use super::case::{Case, greatest};
use super::limit::title;
use super::mend::{self, Tries};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Legs;
use crate::job::LineId;
use crate::survey::DropLeg;
use crate::units::metres;

/// The rule.
pub const RULE: Rule = Rule {
    id: "drop-leg",
    question: "Do the drop legs of coils in parallel keep a shut or colder coil from filling?",
    explanation: "\
Coils in parallel stand at one pressure at their inlets. One that is shut or colder than the others loses nothing in its tubes, \
so at its outlet stands more pressure than at theirs, and it would push the common liquid back into the working coils until \
they fill and stop condensing. Each coil's outlet needs a leg that falls before it joins the others, high enough that the liquid \
standing in it makes up for what a coil loses and for what the leg itself loses at its full flow: h = (coil loss + leg loss) / \
(rho g), at the operating point where that is most. A leg that is too short is a fail, one that is not drawn a caution.

From the legs to the receiver the liquid must run free, not above 100 ft/min, or the receiver must have a vent of its own; \
`liquid-velocity` judges that.

The mend is the height that would do, with the tube as drawn or the next larger one, solved again with it.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let worst = greatest(case.solved.drop_legs.iter().map(|leg| (leg, leg.needed_m.unwrap_or(f64::MAX))));
    worst.map(|(leg, _)| judge(case, leg)).into_iter().collect()
}

fn judge(case: &Case, leg: &DropLeg) -> Finding {
    let show = case.show();
    let coils = case.circuit.condenser.coils;
    let finding = case.finding(RULE.id, Verdict::Caution).at(&leg.point).by(title("ashrae-halocarbon"));
    let loss = show.pressure_difference(leg.coil_loss_Pa);
    let Some(legs) = &case.circuit.condenser.legs else {
        let needed = leg.needed_m.unwrap_or(f64::NAN);
        let says = format!(
            "{coils} coils in parallel lose {loss} at {}; legs are not drawn, and a shut coil would push liquid back into the \
             others.",
            leg.point
        );
        return finding.found(0.0, needed, "m").says(says).mended(case, |tries| drawn(case, tries, needed));
    };
    let height = legs.height.value;
    let own =
        leg.leg_loss_Pa.map_or_else(|| "more than can be computed".to_owned(), |loss| show.pressure_difference(loss));
    let needs = leg.needed_m.map_or_else(
        || "which no height makes up for".to_owned(),
        |needed| format!("which asks for {}", show.length(needed)),
    );
    let speed = leg.velocity_m_s.map_or_else(String::new, |velocity| format!(", at {},", show.velocity(velocity)));
    let says = format!(
        "At {} each of {coils} coils loses {loss} and its leg of {}{speed} {own} of its own, {needs}; the leg falls {}.",
        leg.point,
        legs.tube.name,
        show.length(height)
    );
    let mut finding = finding.found(height, leg.needed_m, "m").says(says);
    let does = leg.needed_m.is_some_and(|needed| height >= needed);
    finding.verdict = if does { Verdict::Pass } else { Verdict::Fail };
    finding.mended(case, |tries| higher(case, tries, legs, leg.needed_m))
}

/// Sets the legs.
fn with_legs<'a>(tries: &mut Tries<'a>, legs: Legs) -> Option<mend::Trial<'a>> {
    tries.with(|circuit| circuit.condenser.legs = Some(legs))
}

/// Legs as high as they must be, in the tube as drawn or larger ones.
fn higher(case: &Case, tries: &mut Tries, legs: &Legs, needed: Option<f64>) -> Option<String> {
    let show = case.show();
    let larger = mend::larger(case, LineId::Liquid, &legs.tube).take(2);
    let mut ways = Vec::new();
    let mut least = f64::INFINITY;
    for tube in std::iter::once(legs.tube.clone()).chain(larger) {
        let same = tube == legs.tube;
        // Of a larger tube what it needs is known only once it is solved.
        let asks = if same { needed } else { None }.or_else(|| {
            let trial = with_legs(tries, Legs { tube: tube.clone(), ..legs.clone() })?;
            let solved = trial.case().solved;
            let needs = solved.drop_legs.iter().map(|leg| leg.needed_m);
            needs.collect::<Option<Vec<f64>>>()?.into_iter().reduce(f64::max)
        });
        let Some(asks) = asks else { continue };
        let height = mend::length_up(show, asks).max(legs.height.value);
        // A larger tube must save height.
        if height > least - 1e-9 {
            continue;
        }
        let trial = with_legs(tries, Legs { tube: tube.clone(), height: metres(height), ..legs.clone() })?;
        if trial.mends() {
            least = height;
            let name = if same { String::new() } else { format!(" in {}", tube.name) };
            ways.push(format!("Legs of {}{name} would do.{}", show.length(height), trial.but()));
        }
        if ways.len() == 2 {
            break;
        }
    }
    (!ways.is_empty()).then(|| ways.join(" Or: "))
}

/// Legs where none are drawn: of the liquid line's own tube.
fn drawn(case: &Case, tries: &mut Tries, least: f64) -> Option<String> {
    let tube = case.circuit.liquid.runs.first()?.tubes.last()?.clone();
    let mut height = mend::length_up(case.show(), least);
    for _ in 0..3 {
        let legs = Legs { height: metres(height), tube: tube.clone(), level: metres(0.0), fittings: Vec::new() };
        let trial = with_legs(tries, legs)?;
        if trial.mends() {
            let tall = case.show().length(height);
            return Some(format!(
                "Straight legs of {tall} in {} would do; level tube and elbows in them add to that.{}",
                tube.name,
                trial.but()
            ));
        }
        height = mend::length_up(case.show(), height * 1.1);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, feet, finding, findings, job, only, solved};
    use super::*;
    use crate::job::Job;
    use crate::physics::static_head::static_head;
    use crate::refdata;
    use crate::units::kilograms_per_cubic_metre;
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
    fn short_legs_fail_and_the_height_named_does() {
        let found = finding(RULE, &with(3.0, "1-3/8 ACR"));
        assert_eq!(found.verdict, Verdict::Fail);
        let mend = found.mend.unwrap();
        let feet: f64 = mend.split(' ').nth(2).unwrap().parse().unwrap();
        assert!(mend.starts_with("Legs of "), "{mend}");
        assert_eq!(finding(RULE, &with(feet, "1-3/8 ACR")).verdict, Verdict::Pass, "{mend}");
        assert_eq!(finding(RULE, &with(feet - 0.6, "1-3/8 ACR")).verdict, Verdict::Fail, "{mend}");
    }

    #[test]
    fn a_leg_far_too_small_fails_whatever_its_height() {
        let found = finding(RULE, &with(4.0, "3/8 ACR"));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.says.contains("no height"), "{found:#?}");
        assert!(found.mend.is_some());
    }

    #[test]
    fn legs_not_drawn_are_a_caution_that_says_how_high() {
        let found = finding(RULE, &changed(|circuit| circuit.condenser.coils = 3));
        assert_eq!(found.verdict, Verdict::Caution, "{found:#?}");
        assert!(found.mend.clone().unwrap().starts_with("Straight legs of "), "{found:#?}");
    }

    #[test]
    fn one_coil_has_no_finding() {
        assert!(findings(RULE, &job()).is_empty());
    }
}
