//! What would mend a plan, in words.

use super::super::say::{capital, list};
use crate::roof::Mend;
use crate::units::System;

/// How far a unit is moved and how much higher it is set, at the most.
pub(in crate::rules) fn farthest(show: System) -> (&'static str, &'static str) {
    match show {
        System::Ip => ("15 ft", "5 ft"),
        System::Si => ("5 m", "1.5 m"),
    }
}

/// What was tried where nothing does.
fn nothing(show: System, name: &str) -> String {
    let (far, high) = farthest(show);
    format!(
        "No one change that was tried mends it and makes nothing else worse: moving one unit by up to {far}, setting {name} up to {high} \
         higher, lowering one wall. {} wants another place.",
        capital(name)
    )
}

/// What would mend it for the unit of that name, each by itself.
pub(in crate::rules) fn plan(show: System, mend: &Mend, name: &str, does: &str) -> String {
    if mend.is_nothing() {
        return nothing(show, name);
    }
    let mut ways = Vec::new();
    if !mend.moves.is_empty() {
        let legs =
            mend.moves.iter().map(|leg| format!("{} towards its {} side", show.length(leg.distance_m), leg.towards));
        let who = mend.other.as_ref().map_or_else(String::new, |other| format!("with {other} "));
        ways.push(format!("{who}moved {}", list(legs)));
    }
    if let Some(raise) = mend.raise_m {
        ways.push(format!("set {} higher on its frame", show.length(raise)));
    }
    if let Some(lower) = &mend.lower {
        ways.push(format!("with {} no higher than {}", walls(&lower.walls), show.length(lower.height_m)));
    }
    if let Some(open) = &mend.open {
        ways.push(format!("with {:.0} % of {} open", 100.0 * open.share, walls(&open.walls)));
    }
    format!("{}, {name} {does}.", capital(&ways.join(", or ")))
}

/// Walls by name: `the wall slats`, `the walls north and east`.
fn walls(names: &[String]) -> String {
    let word = if names.len() == 1 { "wall" } else { "walls" };
    format!("the {word} {}", list(names.iter().cloned()))
}

#[cfg(test)]
mod tests {
    use crate::job::{HeatSource, Job, Listener, Roof, Side, SoundPower, Weight};
    use crate::roof::testing::{FOOT, another, applied, feet, planned, studied, wall};
    use crate::roof::{Mend, RoofStudy};
    use crate::rules::{Finding, Verdict, check_site};
    use crate::units::kelvins;
    use proptest::prelude::*;

    /// What is found of a unit by a rule, or of anything by all rules: who it is of, and how bad.
    fn verdicts(job: &Job, study: &RoofStudy) -> Vec<(String, Verdict)> {
        let of = |finding: &Finding| {
            // The side at which a unit is tightest may be another.
            let place = finding.r#where.as_deref().unwrap_or_default().split(',').next().unwrap_or_default().to_owned();
            let about = if finding.says.contains("controls") { "controls" } else { "" };
            let point = finding.point.clone().unwrap_or_default();
            (format!("{} {place} {about} {point}", finding.rule), finding.verdict)
        };
        check_site(job, Some(study), None).iter().map(of).collect()
    }

    /// The worst of the findings whose name begins so.
    fn worst(all: &[(String, Verdict)], name: &str) -> Verdict {
        all.iter().filter(|(known, _)| known.starts_with(name)).map(|(_, v)| *v).max().unwrap_or(Verdict::Pass)
    }

    /// Three units, walls, an exhaust and a listener, all drawn at random near each other.
    #[derive(Clone, Debug)]
    struct Plan {
        gaps: (f64, f64),
        shift: f64,
        edge: f64,
        turned: f64,
        walls: [(f64, f64, f64); 3],
        exhaust: (f64, f64),
        velocity: f64,
        allowed: f64,
    }

    fn plan() -> impl Strategy<Value = Plan> {
        let wall = || (0.0..40.0_f64, 2.0..14.0_f64, prop_oneof![Just(0.0), Just(0.3)]);
        (
            (1.0..14.0_f64, 1.0..14.0_f64),
            -8.0..8.0_f64,
            4.0..40.0_f64,
            prop_oneof![Just(0.0), Just(90.0), -20.0..20.0_f64],
            [wall(), wall(), wall()],
            (60.0..130.0_f64, 30.0..90.0_f64),
            0.5..8.0_f64,
            48.0..70.0_f64,
        )
            .prop_map(|(gaps, shift, edge, turned, walls, exhaust, velocity, allowed)| Plan {
                gaps,
                shift,
                edge,
                turned,
                walls,
                exhaust,
                velocity,
                allowed,
            })
    }

    fn drawn(plan: &Plan) -> Job {
        let mut job = planned(|roof| {
            let first = &mut roof.units[0];
            (first.air_flow_m3_s, first.outlet_m_s) = (Some(18.0), Some(plan.velocity));
            first.weight = Some(Weight::Total { kg: 2000.0, supports: 4 });
            (first.sound, first.controls) = (Some(SoundPower::A(90.0)), Some(Side::East));
            // The wind lifts a unit of 2000 kg from 34 m/s on, and sooner on a frame.
            roof.wind_m_s = Some(26.0 + plan.velocity);
            let second = another(roof, "C2", (plan.shift, 7.5 + plan.gaps.0));
            let mut third = another(roof, "C3", (20.0 + plan.gaps.1, plan.shift));
            third.turned_deg = plan.turned;
            third.at = third.at.plus(feet(12.0, 0.0));
            roof.units.extend([second, third]);
            roof.outline.iter_mut().filter(|corner| corner.y_m < 1.0).for_each(|c| c.y_m = (45.0 - plan.edge) * FOOT);
            let [south, north, west] = plan.walls;
            let y = 45.0 - plan.edge.min(south.0);
            roof.walls.push(wall("south", (85.0, y), (112.0, y), south.1));
            let y = 62.0 + plan.gaps.0 + 7.5 + north.0;
            roof.walls.push(wall("north", (80.0, y), (130.0, y), north.1));
            roof.walls.push(wall("west", (80.0 - west.0, 40.0), (80.0 - west.0, 70.0), west.1));
            for (wall, (_, _, open)) in roof.walls.iter_mut().zip(plan.walls) {
                wall.open = open;
            }
            roof.heats.push(HeatSource {
                name: "exhaust".to_owned(),
                at: feet(plan.exhaust.0, plan.exhaust.1),
                height_m: 1.0,
                air_flow_m3_s: 3.0,
                warmer_k: 15.0,
                outlet_m_s: Some(5.0),
            });
            roof.listeners.push(Listener {
                name: "window".to_owned(),
                at: feet(100.0, -60.0),
                height_m: 12.0,
                limit_dba: Some(plan.allowed),
                night_limit_dba: None,
            });
        });
        job.site.recirculation = kelvins(0.0);
        job
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Each way of each mend, built: the finding is gone, and none is worse.
        #[test]
        fn what_a_mend_says_holds_when_it_is_built(plan in plan()) {
            let job = drawn(&plan);
            let roof = job.roof.clone().unwrap();
            let before = studied(&job);
            let found = verdicts(&job, &before);
            let mut mends: Vec<(String, usize, Mend, Verdict)> = Vec::new();
            let mut offered = |rule: &str, index: usize, mend: &Option<Mend>, most: Verdict| {
                let name = format!("{rule} unit {}", roof.units[index].name);
                mends.extend(mend.clone().map(|mend| (name, index, mend, most)));
            };
            for (index, clearance) in before.clearances.iter().enumerate() {
                offered("clearance", index, &clearance.mend, Verdict::Note);
            }
            for (index, edge) in before.edges.iter().enumerate() {
                offered("roof-edge", index, &edge.mend, Verdict::Note);
            }
            for (index, warm) in before.warm_air.iter().enumerate() {
                offered("recirculation", index, &warm.mend, Verdict::Caution);
            }
            for (name, index, mend, most) in mends {
                for changed in applied(&roof, index, &mend) {
                    let changed: Roof = changed;
                    let built = Job { roof: Some(changed), ..job.clone() };
                    let now = verdicts(&built, &studied(&built));
                    prop_assert!(worst(&now, &name) <= most, "{name} {mend:?} {now:?}");
                    for (other, _) in &now {
                        prop_assert!(worst(&now, other) <= worst(&found, other), "{name} {mend:?} {other} {found:?} {now:?}");
                    }
                }
            }
        }
    }
}
