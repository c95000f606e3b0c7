//! `roof-edge`: is there a guard where someone could fall, and headroom under the piping?

use super::limit::{limit, title};
use super::mend::{length_up, plan};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Edge, RoofStudy, Walkway};
use crate::units::{System, factor};

/// The rule.
pub const RULE: Rule = Rule {
    id: "roof-edge",
    question: "Is there a guard where someone could fall, and headroom under the piping?",
    explanation: "\
Equipment that needs service and stands within 10 ft of a roof edge, where the edge lies more than 30 in over what is below, asks \
for a guard: 42 in high, running 30 in past each end of the equipment, as the mechanical code is published. A parapet of that height \
stands for one. The distance is the least between the unit and the outline of the roof ([roof] outline), the drop is the height \
of the roof ([roof] height); without that height a unit near the edge is a caution. Refrigerant piping over a walkway must leave 7 ft \
3 in below it.

Someone who services a condenser steps back from it, carries panels in the wind and looks at gauges: a missing guard is how \
people are killed. It is a fail. The figures are those of the published code; the code in force and the authority that enforces it \
decide, and some accept permanent anchors instead.

The mend is the length of guard along the edge, or the least move, up to 15 ft or 5 m, after which none is asked for, found \
by studying the changed plan: no finding of room, working space, guards, warm air or sound may be worse than before.",
    limits: &["guard_distance", "guard_drop", "guard_height", "guard_past", "passage_height"],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The code in force and the authority that enforces it decide.";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study.edges.iter().map(|edge| guard(job, edge)).collect();
    if findings.is_empty() && !study.clearances.is_empty() {
        let says = "The job does not draw the edge of the roof ([roof] outline), so guards were not judged.";
        findings.push(Finding::new(RULE.id, Verdict::Note, None).says(says).by(title("imc-304")));
    }
    findings.extend(study.walkways.iter().map(|walkway| headroom(job, walkway)));
    findings
}

fn guard(job: &Job, edge: &Edge) -> Finding {
    let show = job.units;
    let (distance, height) = (limit(job, "guard_distance"), limit(job, "guard_height"));
    let stands = format!("{} stands {} from the edge of the roof", edge.name, show.length(edge.edge_m));
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(format!("unit {}", edge.name));
    if edge.edge_m >= distance.value - 1e-6 {
        let says = format!("{stands}; from {} on no guard is asked for.", show.length(distance.value));
        return finding(Verdict::Pass).found(edge.edge_m, distance.value, "m").says(says).by(distance.source);
    }
    if edge.guard_asked == Some(false) {
        let drop = limit(job, "guard_drop");
        let value = edge.drop_m.unwrap_or(f64::NAN);
        let says = format!(
            "{stands}, which lies only {} up; up to {} no guard is asked for.",
            show.length(value),
            show.length(drop.value)
        );
        return finding(Verdict::Pass).found(value, drop.value, "m").says(says).by(drop.source);
    }
    let (asked, there) = (rule_length(show, height.value), rule_length(show, edge.barrier_m));
    if edge.short_m <= 0.0 {
        let says = format!("{stands}, behind a parapet or guard of {there}; {asked} is asked for.");
        return finding(Verdict::Pass).found(edge.barrier_m, height.value, "m").says(says).by(height.source);
    }
    let barrier = if edge.barrier_m > 0.0 {
        format!("the parapet or guard there is {there} high")
    } else {
        "there is no guard".to_owned()
    };
    let (verdict, why) = if let Some(drop) = edge.drop_m {
        (Verdict::Fail, format!("which lies {} up, and {barrier}; {asked} is asked for.", show.length(drop)))
    } else {
        let drop = rule_length(show, limit(job, "guard_drop").value);
        let why = format!(
            "and {barrier}; unless the edge lies no more than {drop} up (give [roof] height), {asked} is asked for."
        );
        (Verdict::Caution, why)
    };
    let mut mend = edge.guard_length_m.map_or_else(String::new, |length| {
        let past = rule_length(show, limit(job, "guard_past").value);
        let length = show.length(length_up(show, length));
        format!("A guard {asked} high along {length} of the edge, {past} past each end of the unit, would do.")
    });
    if let Some(moved) = edge.mend.as_ref().filter(|mend| !mend.moves.is_empty()) {
        mend += " ";
        mend += &plan(show, moved, &edge.name, "needs none, and nothing else gets worse");
    }
    let mut finding = finding(verdict).found(edge.barrier_m, height.value, "m").by(height.source);
    finding.mend = Some(mend).filter(|mend| !mend.is_empty());
    finding.says(format!("{stands}, {why} {DECIDES}"))
}

/// A length that is read off a rule: inches, or whole millimetres.
fn rule_length(show: System, metres: f64) -> String {
    match show {
        System::Ip => show.tube_size(metres),
        System::Si => format!("{:.0} mm", metres * 1e3),
    }
}

/// The same, no shorter.
fn rule_length_up(show: System, metres: f64) -> String {
    let step = match show {
        System::Ip => factor::INCH / 2.0,
        System::Si => 1e-3,
    };
    rule_length(show, (metres / step - 1e-6).ceil() * step)
}

fn headroom(job: &Job, walkway: &Walkway) -> Finding {
    let show = job.units;
    let used = limit(job, "passage_height");
    let (height, asked) = (rule_length(show, walkway.height_m), rule_length(show, walkway.asked_m));
    let says = format!("The piping over the {} leaves {height} below it; {asked} is asked for.", walkway.name);
    let finding = |verdict| {
        let finding = Finding::new(RULE.id, verdict, None).place(format!("crossing {}", walkway.name));
        finding.found(walkway.height_m, walkway.asked_m, "m").by(used.source.clone())
    };
    if walkway.short_m <= 0.0 {
        return finding(Verdict::Pass).says(says);
    }
    let mut finding = finding(Verdict::Fail).says(format!("{says} {DECIDES}"));
    finding.mend =
        Some(format!("Hung {} higher, or led round the walkway, it would do.", rule_length_up(show, walkway.short_m)));
    finding
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Crossing, Roof};
    use crate::roof::testing::{FOOT, feet, planned, studied};

    fn found(change: impl FnOnce(&mut Roof)) -> Vec<Finding> {
        let job = planned(change);
        look(&job, &studied(&job))
    }

    fn at(x: f64, y: f64) -> Finding {
        found(|roof| roof.units[0].at = feet(x, y)).remove(0)
    }

    #[test]
    fn ten_feet_from_the_edge_is_far_enough() {
        assert_eq!(at(90.0, 10.0).verdict, Verdict::Pass);
        let finding = at(90.0, 9.9);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert_eq!(finding.r#where.as_deref(), Some("unit C1"));
        assert_eq!(
            finding.says,
            "C1 stands 9.9 ft from the edge of the roof, which lies 36 ft up, and there is no guard; 42 in is asked for. The code \
             in force and the authority that enforces it decide."
        );
        let mend = finding.mend.unwrap();
        assert_eq!(
            mend,
            "A guard 42 in high along 25 ft of the edge, 30 in past each end of the unit, would do. Moved 0.5 ft towards its \
             north side, C1 needs none, and nothing else gets worse."
        );
    }

    #[test]
    fn the_guard_goes_round_a_corner_of_the_roof() {
        // 4 ft from the south edge and 1 ft from the west one: 1 + 20 + 2.5 ft along the one, 4 + 7.5 + 2.5 ft along the other.
        let finding = at(1.0, 4.0);
        assert!(finding.mend.unwrap().contains("along 37.5 ft of the edge"));
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
        assert!(unknown.says.contains("give [roof] height") && unknown.mend.is_some(), "{}", unknown.says);
    }

    #[test]
    fn without_an_outline_guards_are_not_judged() {
        let findings = found(|roof| roof.outline.clear());
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].verdict, Verdict::Note);
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
        assert_eq!(finding.mend.as_deref(), Some("Hung 1.5 in higher, or led round the walkway, it would do."));
        assert!((finding.limit.unwrap() / FOOT - 7.25).abs() < 1e-9);
    }
}
