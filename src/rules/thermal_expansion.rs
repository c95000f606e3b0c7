//! `thermal-expansion`: does a long hot run have room to grow?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict, wrong_or_greatest};
use super::say::{Say, Value, say};
use crate::job::Expansion;
use crate::survey::Straight;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "thermal-expansion",
    question: "Does every straight run have an offset or loop for its thermal expansion?",
    explanation: "\
Each straight length of both lines grows by alpha L dT, from the temperature at which it was brazed to its hottest: \
its refrigerant at any operating point, or the ambient air. Held at both ends it bows, tears out its hangers and \
cracks its joints.

Tube at right angles flexes like a spring. Its required length, the offset, is L = 1/12 sqrt(3 E/P) sqrt(d e) of the \
Copper Tube Handbook, with the E of its printed table. A riser or drop next to a level run, or a level run next to a \
riser, is such an offset if it is not clamped close to the bend.

Growth of up to 1/4 in is left to hangers and connections (`thermal_expansion_free`). Above that a run without a \
sufficient offset is a caution, and above twice that a fail (roofrun default, no published source). Where bends are \
drawn within a run but not their places, it is a caution that gives the offset required. `expansion` of the run resolves it. With a \"loop\" or an \"offset\" the finding gives its length. With an \
\"anchor\" at the middle, half of the growth goes to each end, and both need an offset.

An offset at one end, a Z with a middle that long or a loop of that developed length takes up the growth. The \
finding also gives the maximum distance between supports.",
    limits: &["thermal_expansion_free"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let straights = case.solved.straights.iter();
    wrong_or_greatest(straights.map(|straight| (judge(case, straight), straight.growth_m)))
}

fn judge(case: &Case, straight: &Straight) -> Finding {
    let free = case.limit("thermal_expansion_free");
    let room = straight.room_m();
    let length = |metres: f64| Value::Of(Kind::Length, metres);
    let path = if straight.path == "level" { "level run" } else { straight.path };
    let says = say(
        "The {} of {} ({} {}) grows {} from {} to {}, which ",
        [
            Value::name(path),
            length(straight.length_m),
            Value::name(straight.line.name()),
            Value::Runs(straight.runs.clone()),
            Value::Of(Kind::SmallLength, straight.growth_m),
            Value::Degrees(straight.installed_K),
            Value::Degrees(straight.hottest_K),
        ],
    );
    let small = straight.growth_m <= free.value;
    let (verdict, says) = if small {
        let free = Value::Of(Kind::SmallLength, free.value);
        (Verdict::Pass, says.and("hangers and connections take up (up to {}).", [free]))
    } else {
        taken_up(straight, says, MUCH * free.value)
    };
    let spaced = Source::Published(straight.supports_source).text();
    let says = says.and(" Supports no more than {} apart ({}).", [length(straight.supports_m), Value::name(spaced)]);
    case.finding(RULE.id, verdict)
        .place(Place::Runs(straight.line, straight.runs.clone()))
        .found(room, straight.leg_m, Kind::Length)
        .says(says)
        .by(if small { free.source } else { Source::Published("cda-tube-handbook") })
}

/// So many times what hangers take up a run may grow without an offset before it is a fail.
const MUCH: f64 = 2.0;

/// What takes up a growth that hangers do not, and that is a fail where nothing does and it is so `much`, m.
fn taken_up(straight: &Straight, says: Say, much: f64) -> (Verdict, Say) {
    let (room, leg) = (straight.room_m(), straight.leg_m);
    let length = |metres: f64| Value::Of(Kind::Length, metres);
    match straight.expansion {
        Some(Expansion::Loop) => {
            return (Verdict::Pass, says.and("the loop takes up with {} or more of developed length.", [length(leg)]));
        }
        Some(Expansion::Offset) => {
            return (Verdict::Pass, says.and("the offset takes up with {} or more.", [length(leg)]));
        }
        Some(Expansion::Anchor) | None => {}
    }
    let anchored = straight.expansion.is_some();
    let says = if anchored {
        says.and("with an anchor at its middle requires an offset of {} at each end", [length(leg)])
    } else {
        says.and("requires an offset of {}", [length(leg)])
    };
    if room >= leg {
        return (Verdict::Pass, says.and(". The tube at right angles to it has {}.", [length(room)]));
    }
    let says = match (anchored, room > 0.0) {
        (true, true) => says.and(". The tube at right angles to one end has only {}", [length(room)]),
        (true, false) => says.and(". One end has no tube at right angles to it", []),
        (false, true) => says.and(". The tube at right angles to it has only {}", [length(room)]),
        (false, false) => says.and(". No riser, drop or level run is at right angles to it", []),
    };
    let told = ". Give expansion.";
    match straight.bends {
        _ if anchored => (Verdict::Fail, says.and(".", [])),
        0 if straight.growth_m > much => (Verdict::Fail, says.and(", and no bend is drawn in it.", [])),
        0 => (Verdict::Caution, says.and(", and no bend is drawn in it", []).and(told, [])),
        1 => (Verdict::Caution, says.and("; the bend drawn in it may be one", []).and(told, [])),
        n => (Verdict::Caution, says.and("; the {} bends drawn in it may be one", [Value::whole(n)]).and(told, [])),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, feet, finding, findings, job, liquid, solved};
    use super::*;
    use crate::job::{Job, LineId, Path};
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
        let job = job();
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert!(found.text(&job).contains("Supports no more than"), "{}", found.text(&job));
    }

    #[test]
    fn growth_is_that_of_the_handbook_from_installed_to_hottest() {
        let mut job = straight_line(60.0, 0);
        let survey = solved(&job);
        let straight = &survey.circuits[0].straights[0];
        let hottest =
            survey.circuits[0].points.iter().skip(1).map(|p| p.state.discharge.temperature_K).fold(0.0, f64::max);
        // A line reads its temperatures off the chart, which is good to 1e-4 K.
        assert_relative_eq!(straight.hottest_K, hottest, epsilon = 1e-4);
        let fahrenheit = (straight.hottest_K - straight.installed_K) * 1.8;
        let inches = 60.0 * 12.0 * 9.4e-6 * fahrenheit;
        assert_relative_eq!(straight.growth_m / 0.0254, inches, max_relative = 1e-12);
        let leg = (3.0 * 15.75e6 / 6000.0_f64).sqrt() / 12.0 * (2.625 * inches).sqrt();
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
        assert_eq!(verdict(leg * 0.99), Some(Verdict::Caution));
    }

    #[test]
    fn a_free_growth_exactly_at_the_limit_passes() {
        let mut job = straight_line(60.0, 0);
        let grows = solved(&job).circuits[0].straights[0].growth_m;
        job.limits.insert("thermal_expansion_free".to_owned(), grows);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
        job.limits.insert("thermal_expansion_free".to_owned(), grows * (1.0 - 1e-9));
        assert_eq!(finding(RULE, &job).verdict, Verdict::Caution);
        job.limits.insert("thermal_expansion_free".to_owned(), grows / 2.0 * (1.0 - 1e-9));
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
    }

    #[test]
    fn a_long_run_between_two_machines_fails_and_bends_in_it_make_it_a_caution() {
        let found = finding(RULE, &straight_line(60.0, 0));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert_eq!(found.place, Some(Place::run(LineId::Discharge, 1)));
        let bent = straight_line(60.0, 3);
        let found = finding(RULE, &bent);
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.text(&bent).contains("3 bends"), "{}", found.text(&bent));
    }

    /// The verdict on 60 ft with that at its run, and what it says.
    fn with(expansion: Expansion) -> (Verdict, String) {
        let mut job = straight_line(60.0, 2);
        discharge(&mut job.circuits[0], 1).expansion = Some(expansion);
        let found = finding(RULE, &job);
        (found.verdict, found.text(&job))
    }

    #[test]
    fn what_is_done_about_it_clears_the_caution() {
        let free = finding(RULE, &straight_line(60.0, 2));
        assert_eq!(free.verdict, Verdict::Caution);
        for (expansion, says) in
            [(Expansion::Loop, "the loop takes up with"), (Expansion::Offset, "the offset takes up")]
        {
            let (verdict, text) = with(expansion);
            assert!(verdict == Verdict::Pass && text.contains(says), "{text}");
        }
    }

    #[test]
    fn an_anchor_leaves_half_of_the_growth_to_each_end_and_both_must_give_way() {
        let (verdict, text) = with(Expansion::Anchor);
        assert!(verdict == Verdict::Fail && text.contains("One end has no tube"), "{text}");
        let anchored = |after: f64| {
            let job = changed(|circuit| {
                circuit.discharge.runs.truncate(2);
                discharge(circuit, 1).path = Path::Rise { length: feet(10.0), traps: crate::job::Traps::default() };
                discharge(circuit, 2).path = Path::Level { length: feet(60.0), slope: None };
                discharge(circuit, 2).expansion = Some(Expansion::Anchor);
                let mut fall = discharge(circuit, 1).clone();
                fall.path = Path::Drop { length: feet(after) };
                circuit.discharge.runs.push(fall);
            });
            let solved = solved(&job);
            let straight = solved.circuits[0].straights.iter().find(|s| s.path == "level").unwrap().clone();
            let found = RULE.check(&job, &solved);
            let failed =
                found.iter().any(|f| f.place == Some(Place::run(LineId::Discharge, 2)) && f.verdict == Verdict::Fail);
            (straight, failed)
        };
        let (straight, failed) = anchored(10.0);
        let inches = straight.growth_m / 0.0254 / 2.0;
        assert_relative_eq!(
            straight.leg_m / 0.3048,
            (3.0 * 15.75e6 / 6000.0_f64).sqrt() / 12.0 * (2.625 * inches).sqrt(),
            max_relative = 1e-9
        );
        assert!(!failed && straight.leg_m < 10.0 * 0.3048, "{straight:?}");
        assert!(anchored(0.9 * straight.leg_m / 0.3048).1);
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
            liquid(circuit, 4).ambient = Some(crate::job::Ambient::Air(crate::units::Temperature::from_kelvin(400.0)));
        });
        let survey = solved(&job);
        assert!(survey.circuits[0].straights.iter().any(|s| s.line == LineId::Liquid && s.hottest_K > 399.9));
    }
}
