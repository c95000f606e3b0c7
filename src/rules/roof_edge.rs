//! `roof-edge`: is there a guard where someone could fall, and headroom under the piping?

use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::limit::limit;
use super::say::{Say, Value, say};
use crate::job::{Job, Roof};
use crate::roof::{Edge, Idle, RoofStudy, Walkway, idle_rails};
use crate::units::Kind;

/// The rule.
pub const RULE: Rule = Rule {
    id: "roof-edge",
    question: "Is there a guard where someone could fall, and headroom under the piping?",
    explanation: "\
Equipment that needs service, within 10 ft of a roof edge (10 ft included) and more than 30 in above the surface \
below, requires a guard. The mechanical code, as published, requires 42 in of height, running 30 in past each end of \
the equipment.

A parapet or guard of that height around the whole roof ([roof] parapet, guard) counts as one. So does a rail \
([[roof.rail]]) or a wall ([[roof.wall]], less than half open) of that height that runs along the edge, within 1 ft \
of it. The distance is the minimum between the unit and the outline of the roof ([roof] outline). The drop is the \
height of the roof ([roof] height); without it a unit near the edge is a caution.

Farther away the mechanical code requires nothing, but work is another matter. Up to 15 ft from an edge 4 ft or more \
above the surface below, OSHA 1910.28(b)(13) requires fall protection during the work. Within 6 ft it requires a \
guard, a net or a personal fall arrest system. Units between the two distances without a guard get a note.

Refrigerant piping over a walkway must leave 7 ft 3 in below it.

People who service a condenser step back from it, carry panels in the wind and look at gauges: a missing guard is \
how people are killed. It is a fail. The figures are those of the published code. The code in force and the \
authority having jurisdiction govern, and some accept permanent anchors instead.",
    limits: &[
        "guard_distance",
        "guard_drop",
        "guard_height",
        "guard_past",
        "work_distance",
        "work_drop",
        "passage_height",
    ],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The code in force and the authority having jurisdiction govern.";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let edges = study.edges.iter().enumerate();
    let mut findings: Vec<Finding> = edges.map(|(index, edge)| guard(job, edge).place(Place::Unit(index))).collect();
    // Plant that stands on the ground has no edge to fall over.
    let on_the_ground = job.roof.as_ref().is_some_and(|roof| roof.height_m.is_some_and(|height| height <= 0.0));
    if findings.is_empty() && !study.clearances.is_empty() && !on_the_ground {
        let says = "Guards were not judged: the job gives no edge of the roof ([roof] outline).";
        findings.push(finding(Verdict::NotJudged).says(says).by(Source::Published("imc-304")));
    }
    findings.extend(job.roof.iter().flat_map(|roof| idle(job, roof)));
    let walkways = study.walkways.iter().enumerate();
    findings.extend(walkways.map(|(index, walkway)| headroom(job, index, walkway)));
    findings
}

fn finding(verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None)
}

fn length(metres: f64) -> Value {
    Value::Of(Kind::Length, metres)
}

fn guard(job: &Job, edge: &Edge) -> Finding {
    let (distance, height) = (limit(job, "guard_distance"), limit(job, "guard_height"));
    let stands = say("{} is {} from the edge of the roof", [Value::name(&edge.name), length(edge.edge_m)]);
    if edge.edge_m > distance.value + 1e-6 {
        let says = stands.and("; the mechanical code requires a guard within {}.", [length(distance.value)]);
        if edge.work_short_m(job) <= 0.0 {
            let passes = finding(Verdict::Pass).found(edge.edge_m, distance.value, Kind::Length);
            return passes.says(says).by(distance.source);
        }
        let work = limit(job, "work_distance");
        let says = says.and(
            " Within {} of the edge OSHA 1910.28(b)(13) requires fall protection during the work.",
            [length(work.value)],
        );
        return finding(Verdict::Note).found(edge.edge_m, work.value, Kind::Length).says(says).by(work.source);
    }
    if let Some(value) = edge.drop_m.filter(|_| edge.guard_asked == Some(false)) {
        let drop = limit(job, "guard_drop");
        let says =
            stands.and(", which is only {} high; up to {} no guard is required.", [length(value), length(drop.value)]);
        return finding(Verdict::Pass).found(value, drop.value, Kind::Length).says(says).by(drop.source);
    }
    let barrier = |verdict| finding(verdict).found(edge.barrier_m, height.value, Kind::SmallLength);
    let (asked, there) = (Value::Rule(height.value), Value::Rule(edge.barrier_m));
    if edge.short_m <= 0.0 {
        let says = stands.and(", behind a parapet, a guard or a wall of {}; {} is required.", [there, asked]);
        return barrier(Verdict::Pass).says(says).by(height.source);
    }
    let missing = if let Some(open) = edge.guard_length_m.filter(|_| edge.guarded_in_part) {
        say("{} of it has no guard of that height", [length(open)])
    } else if edge.barrier_m > 0.0 {
        say("the parapet or guard there is {} high", [there])
    } else {
        say("there is no guard", [])
    };
    let missing = Value::Say(missing);
    let (verdict, stands) = match edge.drop_m {
        Some(drop) => {
            (Verdict::Fail, stands.and(", which is {} high, and {}. {} is required.", [length(drop), missing, asked]))
        }
        None => (
            Verdict::Caution,
            stands.and(
                ", and {}. Unless the edge is no more than {} high (give [roof] height), {} is required.",
                [missing, Value::Rule(limit(job, "guard_drop").value), asked],
            ),
        ),
    };
    let own = (distance.source == Source::OwnLimit)
        .then(|| say("The job requires a guard within {} (guard_distance).", [length(distance.value)]));
    let source = if own.is_some() { distance.source } else { height.source };
    let says = Say::sentences([Some(stands), own, Some(say(DECIDES, []))].into_iter().flatten());
    barrier(verdict).says(says).by(source)
}

/// A note for each rail that guards nothing.
fn idle(job: &Job, roof: &Roof) -> Vec<Finding> {
    let height = limit(job, "guard_height");
    let note = |(number, why): (usize, Idle)| {
        let rail = roof.rails.get(number)?;
        let says = match why {
            Idle::OffTheEdge => say(
                "This [[roof.rail]] does not run along the edge of the roof ([roof] outline): it does not count as a \
                 guard.",
                [],
            ),
            Idle::Low => say(
                "This [[roof.rail]] is {} high; {} is required. It does not count as a guard.",
                [Value::Rule(rail.height_m), Value::Rule(height.value)],
            ),
        };
        Some(finding(Verdict::Note).place(Place::Rail(number)).says(says).by(height.source.clone()))
    };
    idle_rails(job, roof).into_iter().filter_map(note).collect()
}

fn headroom(job: &Job, index: usize, walkway: &Walkway) -> Finding {
    let (height, asked) = (Value::Rule(walkway.height_m), Value::Rule(walkway.asked_m));
    let leaves =
        say("The piping over the {} leaves {} below it; {} is required.", [Value::name(&walkway.name), height, asked]);
    let (verdict, decides) =
        if walkway.short_m <= 0.0 { (Verdict::Pass, None) } else { (Verdict::Fail, Some(say(DECIDES, []))) };
    finding(verdict)
        .place(Place::Crossing(index))
        .found(walkway.height_m, walkway.asked_m, Kind::SmallLength)
        .says(Say::sentences([leaves].into_iter().chain(decides)))
        .by(limit(job, "passage_height").source)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Crossing, Rail};
    use crate::roof::testing::{FOOT, feet, planned, studied};

    fn found(change: impl FnOnce(&mut Roof)) -> Vec<Finding> {
        let job = planned(change);
        look(&job, &studied(&job))
    }

    fn at(x: f64, y: f64) -> Finding {
        found(|roof| roof.units[0].at = feet(x, y)).remove(0)
    }

    #[test]
    fn a_rail_that_guards_nothing_is_told() {
        let notes = |from: (f64, f64), to: (f64, f64), inches: f64| {
            let rail = Rail { from: feet(from.0, from.1), to: feet(to.0, to.1), height_m: inches * FOOT / 12.0 };
            let found = found(|roof| roof.rails.push(rail));
            let of_rails = found.into_iter().filter(|found| found.place == Some(Place::Rail(0)));
            of_rails.map(|found| (found.verdict, found.words())).collect::<Vec<_>>()
        };
        // The south side of the edge is y = 0.
        assert!(notes((80.0, 0.0), (120.0, 0.0), 42.0).is_empty());
        assert!(notes((80.0, 1.0), (120.0, 1.0), 42.0).is_empty());
        for (from, to) in [((80.0, 2.0), (120.0, 2.0)), ((100.0, 0.0), (100.0, 50.0)), ((80.0, 0.0), (80.0, 0.0))] {
            let [(verdict, says)] = &notes(from, to, 42.0)[..] else { panic!("{from:?}") };
            assert!(*verdict == Verdict::Note && says.contains("does not run along the edge"), "{says}");
        }
        let [(_, says)] = &notes((80.0, 0.0), (120.0, 0.0), 41.0)[..] else { panic!("a low one") };
        assert!(says.contains("is 41 in high; 42 in is required"), "{says}");
    }

    #[test]
    fn a_distance_of_the_job_s_own_is_named() {
        let mut job = planned(|roof| roof.units[0].at = feet(90.0, 11.0));
        job.limits.insert("guard_distance".to_owned(), 12.0 * FOOT);
        let finding = look(&job, &studied(&job)).remove(0);
        assert_eq!((finding.verdict, &finding.source), (Verdict::Fail, &Source::OwnLimit));
        assert!(
            finding.words().contains("The job requires a guard within 12 ft (guard_distance)."),
            "{}",
            finding.words()
        );
    }

    #[test]
    fn within_ten_feet_of_the_edge_a_guard_is_asked_for() {
        // "Within 10 feet": at 10 ft too.
        assert_eq!(at(90.0, 10.1).verdict, Verdict::Note);
        assert_eq!(at(90.0, 10.0).verdict, Verdict::Fail);
        let finding = at(90.0, 9.9);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert_eq!(finding.place, Some(Place::Unit(0)));
        assert_eq!(
            finding.words(),
            "C1 is 9.9 ft from the edge of the roof, which is 36 ft high, and there is no guard. 42 in is required. \
             The code in force and the authority having jurisdiction govern."
        );
    }

    #[test]
    fn up_to_fifteen_feet_the_work_is_to_be_protected() {
        // OSHA 1910.28(b)(13): less than 15 ft from the edge; (b)(1): 4 ft or more over a lower level.
        assert_eq!(at(90.0, 15.0).verdict, Verdict::Pass);
        let finding = at(90.0, 14.9);
        assert_eq!(finding.verdict, Verdict::Note);
        assert!(
            finding
                .words()
                .ends_with("Within 15 ft of the edge OSHA 1910.28(b)(13) requires fall protection during the work.")
        );
        assert!(finding.source.text().starts_with("OSHA"), "{:?}", finding.source);
        let changed = |change: fn(&mut Roof)| {
            let findings = found(|roof| {
                roof.units[0].at = feet(90.0, 12.0);
                change(roof);
            });
            findings[0].verdict
        };
        assert_eq!(changed(|roof| roof.height_m = Some(3.9 * FOOT)), Verdict::Pass);
        assert_eq!(changed(|roof| roof.height_m = Some(4.0 * FOOT)), Verdict::Note);
        assert_eq!(changed(|roof| roof.guard_m = 3.5 * FOOT), Verdict::Pass);
    }

    #[test]
    fn a_rail_or_a_wall_along_the_edge_is_a_guard_where_it_runs() {
        // 4 ft from the south edge, x from 90 to 110 ft: with 30 in past each end the guard runs from 87.5 to 112.5 ft.
        let railed = |from: f64, to: f64, y: f64, inches: f64| {
            let findings = found(|roof| {
                roof.units[0].at = feet(90.0, 4.0);
                roof.rails.push(Rail { from: feet(from, y), to: feet(to, y), height_m: inches * 0.0254 });
            });
            findings[0].clone()
        };
        assert_eq!(railed(87.5, 112.5, 0.0, 42.0).verdict, Verdict::Pass);
        assert_eq!(railed(112.5, 87.5, 1.0, 42.0).verdict, Verdict::Pass);
        assert_eq!(railed(87.5, 112.5, 0.0, 41.0).verdict, Verdict::Fail);
        assert_eq!(railed(87.5, 112.5, 2.0, 42.0).verdict, Verdict::Fail, "2 ft in it does not run along the edge");
        let short = railed(87.5, 100.5, 0.0, 42.0);
        assert_eq!(short.verdict, Verdict::Fail);
        assert!(short.words().contains("12 ft of it has no guard of that height"), "{}", short.words());
        let walled = |open: f64| {
            let findings = found(|roof| {
                roof.units[0].at = feet(90.0, 4.0);
                let parapet = crate::roof::testing::wall("parapet", (80.0, 0.0), (120.0, 0.0), 3.5);
                roof.walls.push(crate::job::Wall { open, ..parapet });
            });
            findings[0].verdict
        };
        assert_eq!((walled(0.0), walled(0.5)), (Verdict::Pass, Verdict::Fail));
    }

    #[test]
    fn rails_meet_at_a_corner_of_the_roof() {
        // Near the south and the west edge: rails half a foot in, along both from their common corner.
        let corner = |past: f64| {
            let findings = found(|roof| {
                roof.units[0].at = feet(1.0, 4.0);
                let rail = |from, to| Rail { from, to, height_m: 3.5 * FOOT };
                roof.rails.push(rail(feet(0.5, 0.5), feet(21.0 + past, 0.5)));
                roof.rails.push(rail(feet(0.5, 0.5), feet(0.5, 11.5 + past)));
            });
            findings[0].verdict
        };
        assert_eq!((corner(2.5), corner(2.4)), (Verdict::Pass, Verdict::Fail));
    }

    #[test]
    fn a_parapet_of_a_guard_s_height_stands_for_one() {
        let behind = |parapet: f64, guard: f64| {
            let near = found(|roof| {
                roof.units[0].at = feet(90.0, 5.0);
                (roof.parapet_m, roof.guard_m) = (parapet * 0.0254, guard * 0.0254);
            });
            near[0].verdict
        };
        assert_eq!(behind(42.0, 0.0), Verdict::Pass);
        assert_eq!(behind(18.0, 42.0), Verdict::Pass);
        assert_eq!(behind(41.0, 0.0), Verdict::Fail);
    }

    #[test]
    fn thirty_inches_up_no_guard_is_asked_for_and_an_unknown_height_is_a_caution() {
        let up = |height: Option<f64>| {
            let near = found(|roof| {
                roof.units[0].at = feet(90.0, 5.0);
                roof.height_m = height.map(|inches| inches * 0.0254);
            });
            near[0].clone()
        };
        assert_eq!(up(Some(30.0)).verdict, Verdict::Pass);
        assert_eq!(up(Some(31.0)).verdict, Verdict::Fail);
        let unknown = up(None);
        assert_eq!(unknown.verdict, Verdict::Caution);
        assert!(unknown.words().contains("give [roof] height"), "{}", unknown.words());
    }

    #[test]
    fn without_an_outline_guards_are_not_judged() {
        let findings = found(|roof| roof.outline.clear());
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].verdict, Verdict::NotJudged);
        // On the ground there is nothing to fall from.
        let yard = found(|roof| {
            roof.outline.clear();
            roof.height_m = Some(0.0);
        });
        assert!(yard.is_empty(), "{yard:#?}");
    }

    #[test]
    fn piping_over_a_walkway_leaves_seven_feet_three() {
        let over = |inches: f64| {
            found(|roof| roof.crossings.push(Crossing { name: "north walk".to_owned(), height_m: inches * 0.0254 }))
                .remove(1)
        };
        assert_eq!(over(87.0).verdict, Verdict::Pass);
        let finding = over(85.5);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert_eq!(finding.place, Some(Place::Crossing(0)));
        assert!((finding.limit() / FOOT - 7.25).abs() < 1e-9);
    }
}
