//! `tube-growth`: does a long hot run have room to grow?

use super::case::{Case, greatest};
use super::limit::title;
use super::mend;
use super::say::runs;
use super::{Finding, Look, Rule, Verdict};
use crate::survey::Straight;

/// The rule.
pub const RULE: Rule = Rule {
    id: "tube-growth",
    question: "Does every straight run have room to grow when it warms?",
    explanation: "\
Each straight length of both lines grows by alpha L dT from the temperature at which it was brazed to the hottest that it sees: \
its refrigerant at any operating point, or the air round it. Held at both ends it bows, tears its hangers out and cracks its \
joints. Tube at right angles to it gives way like a spring; the Copper Tube Handbook's formula, L = 1/12 sqrt(3 E/P) sqrt(d e), \
says how long that leg must be. A rise or fall next to a level run, or a level run next to a rise, is such a leg, as long as it \
is not clamped close to the bend.

Growth of up to 1/4 in is left to hangers and connections (`growth_free`). Where bends are drawn within a run but not where they \
sit, it is a caution that says how far off the bend the leg must reach; without any, a fail.

The mend is the leg of an L, the middle of a Z or the developed length of a loop that takes the growth up, and the shorter one \
that does when the run is anchored at its middle. The finding also tells how far apart supports may stand for that size.",
    limits: &["growth_free"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let findings: Vec<(Finding, f64)> =
        case.solved.straights.iter().map(|straight| (judge(case, straight), straight.growth_m)).collect();
    if findings.iter().any(|(finding, _)| finding.verdict > Verdict::Pass) {
        return findings.into_iter().map(|(f, _)| f).filter(|finding| finding.verdict > Verdict::Pass).collect();
    }
    greatest(findings.into_iter()).map(|(finding, _)| finding).into_iter().collect()
}

fn judge(case: &Case, straight: &Straight) -> Finding {
    let show = case.show();
    let free = case.limit("growth_free");
    let room = straight.room_m();
    let path = if straight.path == "level" { "level run" } else { straight.path };
    let name = format!("The {path} of {} ({} {})", show.length(straight.length_m), straight.line, runs(&straight.runs));
    let grows = format!(
        "{name} grows by {} from {} to {}",
        show.small_length(straight.growth_m),
        case.degrees(straight.installed_K),
        case.degrees(straight.hottest_K)
    );
    let leg = show.length(straight.leg_m);
    let (verdict, how) = if straight.growth_m <= free.value {
        (Verdict::Pass, format!("which hangers and connections take up (up to {})", show.small_length(free.value)))
    } else if room >= straight.leg_m {
        let has = show.length(room);
        (Verdict::Pass, format!("which asks for a leg of {leg}; the tube at right angles to it has {has}"))
    } else {
        let has = if room > 0.0 {
            format!("the tube at right angles to it has only {}", show.length(room))
        } else {
            "no rise, fall or level run at right angles to it gives way".to_owned()
        };
        match straight.bends {
            0 => (Verdict::Fail, format!("which asks for a leg of {leg}; {has}, and no bend is drawn in it")),
            1 => (Verdict::Caution, format!("which asks for a leg of {leg}; {has}; the bend drawn in it may give one")),
            n => (
                Verdict::Caution,
                format!("which asks for a leg of {leg}; {has}; the {n} bends drawn in it may give one"),
            ),
        }
    };
    let supports = format!(
        "Supports not more than {} apart ({}).",
        show.length(straight.supports_m),
        title(&straight.supports_source)
    );
    let source = if straight.growth_m <= free.value {
        free.source
    } else {
        super::finding::Source::Published("cda-tube-handbook")
    };
    case.finding(RULE.id, verdict)
        .place(format!("{} {}", straight.line, runs(&straight.runs)))
        .found(room, straight.leg_m, "m")
        .says(format!("{grows}, {how}. {supports}"))
        .by(source)
        .mended(case, |_| {
            let whole = show.length(mend::length_up(show, straight.leg_m));
            // Half the growth at either end: a leg shorter by the square root of two.
            let half = show.length(mend::length_up(show, straight.leg_m / 2.0_f64.sqrt()));
            let far = match straight.bends {
                0 => String::new(),
                _ => " Of the bends drawn, one with that much free tube beyond it does.".to_owned(),
            };
            Some(format!(
                "A leg of {whole} clear of supports at one end, a Z with a middle that long or a loop of that developed length; with an \
                 anchor at its middle, {half} at both ends.{far}"
            ))
        })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, feet, finding, findings, job, liquid, solved};
    use super::*;
    use crate::job::{Job, Path};
    use approx::assert_relative_eq;

    /// The job with one long level run in its discharge line and nothing else.
    fn straight_line(length: f64, elbows: u32) -> Job {
        changed(|circuit| {
            circuit.discharge.runs.truncate(1);
            let run = discharge(circuit, 1);
            run.path = Path::Level { length: feet(length), slope: None };
            if elbows > 0 {
                run.fittings = vec![("elbow".to_owned(), elbows)];
            }
        })
    }

    #[test]
    fn a_run_with_a_rise_beside_it_passes() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert!(found.says.contains("Supports not more than"), "{}", found.says);
    }

    #[test]
    fn growth_is_that_of_the_handbook_from_installed_to_hottest() {
        let mut job = straight_line(60.0, 0);
        let survey = solved(&job);
        let straight = &survey.circuits[0].straights[0];
        let hottest =
            survey.circuits[0].points.iter().skip(1).map(|p| p.state.discharge.temperature_K).fold(0.0, f64::max);
        assert_relative_eq!(straight.hottest_K, hottest, max_relative = 1e-12);
        let fahrenheit = (straight.hottest_K - straight.installed_K) * 1.8;
        let inches = 60.0 * 12.0 * 9.4e-6 * fahrenheit;
        assert_relative_eq!(straight.growth_m / 0.0254, inches, max_relative = 1e-12);
        let leg = (3.0 * 17e6 / 6000.0_f64).sqrt() / 12.0 * (2.625 * inches).sqrt();
        assert_relative_eq!(straight.leg_m / 0.3048, leg, max_relative = 1e-9);
        job.site.installed = crate::units::Temperature::from_kelvin(straight.hottest_K + 1.0);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
    }

    #[test]
    fn exactly_at_the_leg_it_passes() {
        // The level run before the rise is the leg of the rise, and what it grows itself stays under the free growth.
        let job = changed(|circuit| circuit.discharge.runs.truncate(2));
        let leg = solved(&job).circuits[0].straights.iter().find(|s| s.path == "rise").unwrap().leg_m;
        let verdict = |length: f64| {
            let job = changed(|circuit| {
                circuit.discharge.runs.truncate(2);
                discharge(circuit, 1).path = Path::Level { length: crate::units::metres(length), slope: None };
            });
            findings(RULE, &job).iter().map(|f| f.verdict).max()
        };
        // The state that enters the rise depends a little on the run before it.
        assert_eq!(verdict(leg * 1.001), Some(Verdict::Pass));
        assert_eq!(verdict(leg * 0.99), Some(Verdict::Fail));
    }

    #[test]
    fn a_free_growth_exactly_at_the_limit_passes() {
        let mut job = straight_line(60.0, 0);
        let grows = solved(&job).circuits[0].straights[0].growth_m;
        job.limits.insert("growth_free".to_owned(), grows);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
        job.limits.insert("growth_free".to_owned(), grows * (1.0 - 1e-9));
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
    }

    #[test]
    fn a_long_run_between_two_machines_fails_and_names_the_leg() {
        let found = finding(RULE, &straight_line(60.0, 0));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        let mend = found.mend.unwrap();
        assert!(mend.starts_with("A leg of ") && mend.contains("a loop of that developed length"), "{mend}");
        let bent = finding(RULE, &straight_line(60.0, 3));
        assert_eq!(bent.verdict, Verdict::Caution);
        assert!(bent.says.contains("3 bends") && bent.mend.unwrap().contains("Of the bends drawn"));
    }

    #[test]
    fn runs_in_one_direction_are_one_straight_length() {
        let one = solved(&straight_line(60.0, 0));
        let job = changed(|circuit| {
            circuit.discharge.runs.truncate(1);
            discharge(circuit, 1).path = Path::Level { length: feet(30.0), slope: None };
            let again = discharge(circuit, 1).clone();
            circuit.discharge.runs.push(again);
        });
        let two = solved(&job);
        let (one, two) = (&one.circuits[0].straights[0], &two.circuits[0].straights[0]);
        assert_eq!(two.runs, [1, 2]);
        assert_relative_eq!(one.growth_m, two.growth_m, max_relative = 1e-3);
        let mut bent = job.clone();
        discharge(&mut bent.circuits[0], 2).fittings = vec![("elbow".to_owned(), 1)];
        assert_eq!(solved(&bent).circuits[0].straights[0].runs, [1]);
    }

    #[test]
    fn warm_air_counts_where_it_is_hotter_than_the_refrigerant() {
        let job = changed(|circuit| {
            liquid(circuit, 4).around = Some(crate::job::Around::Air(crate::units::Temperature::from_kelvin(400.0)));
        });
        let survey = solved(&job);
        assert!(survey.circuits[0].straights.iter().any(|s| s.line == "liquid" && s.hottest_K > 399.9));
    }
}
