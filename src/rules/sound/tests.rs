//! Each verdict at its limit, and mends that hold when they are built.

use super::*;
use crate::job::{Listener, Roof, SoundPower};
use crate::roof::testing::{FOOT, another, feet, planned, studied, wall};

fn listener(limit: Option<f64>, night: Option<f64>) -> Listener {
    Listener {
        name: "flat across the lane".to_owned(),
        at: feet(100.0, -251.25),
        height_m: 44.0 * FOOT,
        limit_dba: limit,
        night_limit_dba: night,
    }
}

fn found(listener: Listener, change: impl FnOnce(&mut Roof)) -> Vec<Finding> {
    let job = planned(|roof| {
        roof.units[0].sound = Some(SoundPower::A(90.0));
        roof.listeners.push(listener);
        change(roof);
    });
    look(&job, &studied(&job))
}

/// What is heard, 90 dBA of sound power, 300 ft off, in the open.
fn heard() -> f64 {
    // The night is judged, and the day, for which there is no limit, is told.
    let findings = found(listener(None, Some(99.0)), |_| {});
    assert_eq!(findings.iter().map(|f| f.verdict).collect::<Vec<_>>(), [Verdict::Pass, Verdict::Note]);
    findings[0].value.unwrap()
}

#[test]
fn three_decibels_under_the_limit_exactly_pass_and_the_limit_exactly_is_a_caution() {
    let level = heard();
    assert!((40.0..43.0).contains(&level), "{level}");
    let at = |limit: f64| found(listener(None, Some(limit)), |_| {}).remove(0);
    assert_eq!(at(level + 3.0).verdict, Verdict::Pass);
    assert_eq!(at(level + 2.99).verdict, Verdict::Caution);
    assert_eq!(at(level).verdict, Verdict::Caution);
    let fail = at(level - 0.01);
    assert_eq!((fail.verdict, fail.point.as_deref()), (Verdict::Fail, Some("at night")));
    assert_eq!(fail.r#where.as_deref(), Some("listener flat across the lane"));
    assert!(fail.says.contains("The local ordinance decides") && fail.says.contains("acoustician"), "{}", fail.says);
    // Far over it an acoustician need not be asked whether it is too loud.
    let far = at(level - 10.0);
    assert!(far.says.contains("3 dB either way") && !far.says.contains("acoustician"), "{}", far.says);
    assert_eq!(fail.source, "the job file (night_limit)");
    assert!(at(level + 3.0).mend.is_none() && at(level).mend.is_some());
}

#[test]
fn day_and_night_are_judged_each_by_its_own_limit() {
    let findings = found(listener(Some(55.0), Some(45.0)), |roof| {
        roof.units[0].sound = Some(SoundPower::A(100.0));
        roof.units[0].night_speed = Some(0.5);
    });
    let told: Vec<_> = findings.iter().map(|f| (f.point.as_deref().unwrap(), f.verdict)).collect();
    assert_eq!(told, [("by day", Verdict::Caution), ("at night", Verdict::Pass)]);
    // By day no slower fans are proposed.
    assert!(!findings[0].mend.as_ref().unwrap().contains("fans"), "{findings:#?}");
}

#[test]
fn each_mend_named_would_do() {
    let loud = |roof: &mut Roof| {
        roof.units[0].sound = Some(SoundPower::A(100.0));
        roof.walls.push(wall("screen", (40.0, 25.0), (160.0, 25.0), 8.5));
    };
    let fail = found(listener(None, Some(45.0)), loud).remove(0);
    assert_eq!(fail.verdict, Verdict::Fail, "{}", fail.says);
    let mend = fail.mend.unwrap();
    let number = |after: &str, before: &str| -> f64 {
        let (_, rest) = mend.split_once(after).unwrap_or_else(|| panic!("{after}: {mend}"));
        rest.split_once(before).unwrap().0.parse().unwrap()
    };
    let night = |change: &dyn Fn(&mut Roof)| {
        found(listener(None, Some(45.0)), |roof| {
            loud(roof);
            change(roof);
        })
        .remove(0)
        .verdict
    };
    let share = number("fans at ", " % of full speed") / 100.0;
    assert_eq!(night(&|roof| roof.units[0].night_speed = Some(share)), Verdict::Pass, "{mend}");
    assert!(night(&|roof| roof.units[0].night_speed = Some(share + 0.01)) > Verdict::Pass, "{mend}");
    let most = number("no unit with more than ", " dBA of sound power");
    assert_eq!(night(&|roof| roof.units[0].sound = Some(SoundPower::A(most))), Verdict::Pass, "{mend}");
    let high = number("the wall screen raised to ", " ft over the roof");
    // 2 m over the unit it is not enough for the margin; the limit is kept, and so much is said.
    let (_, raised) = mend.split_once("raised to ").unwrap();
    assert!(raised.split_once(')').unwrap().0.ends_with("dBA, still within the margin"), "{mend}");
    assert_eq!(night(&|roof| roof.walls[0].height_m = high * FOOT), Verdict::Caution, "{mend}");
    assert_eq!(night(&|roof| roof.walls[0].height_m = (high - 0.5) * FOOT), Verdict::Fail, "{mend}");
    let off = number("a new solid screen ", " ft off the south side of C1");
    let high = number("C1, ", " ft high over the roof");
    let long = number("high over the roof and ", " ft long, from [");
    let build = |high: f64| {
        move |roof: &mut Roof| {
            let y = 45.0 - off;
            roof.walls.push(wall("new", (100.0 - long / 2.0, y), (100.0 + long / 2.0, y), high));
        }
    };
    assert_eq!(night(&build(high)), Verdict::Pass, "{mend}");
    assert!(night(&build(high - 0.5)) > Verdict::Pass, "{mend}");
}

#[test]
fn without_a_limit_the_level_is_told() {
    let findings = found(listener(None, None), |_| {});
    assert_eq!(findings.len(), 1);
    assert_eq!((findings[0].verdict, findings[0].limit), (Verdict::Note, None));
    assert!(findings[0].says.contains("by day and") && findings[0].says.contains("gives no limit"));
    // With one of the two limits the other level is told too.
    for (at, words) in [
        (listener(Some(80.0), None), "dBA at night; the job gives no limit (night_limit)"),
        (listener(None, Some(80.0)), "dBA by day; the job gives no limit (limit)"),
    ] {
        let findings = found(at, |_| {});
        assert_eq!(findings.iter().map(|f| f.verdict).collect::<Vec<_>>(), [Verdict::Pass, Verdict::Note]);
        assert!(findings[1].says.contains(words), "{}", findings[1].says);
    }
    assert_eq!(found(listener(Some(80.0), Some(80.0)), |_| {}).len(), 2);
}

#[test]
fn a_unit_that_is_given_louder_at_night_than_by_day_is_a_caution() {
    let given = |night: f64| {
        let two = |roof: &mut Roof| {
            roof.units[0].night_sound = Some(SoundPower::A(night));
            // The same for every listener is told once.
            let twin = Listener { name: "yard".to_owned(), ..roof.listeners[0].clone() };
            roof.listeners.push(twin);
        };
        found(listener(Some(80.0), Some(80.0)), two)
    };
    let findings = given(110.0);
    let cautions: Vec<_> = findings.iter().filter(|f| f.verdict == Verdict::Caution).collect();
    assert_eq!(cautions.len(), 1, "{findings:#?}");
    assert_eq!(cautions[0].r#where.as_deref(), Some("unit C1"));
    assert!(cautions[0].says.contains("at night (110 dBA, night_sound_power) than by day (90 dBA, sound_power)"));
    assert!(given(90.0).iter().all(|f| f.verdict == Verdict::Pass));
}

#[test]
fn units_of_unknown_sound_are_named_and_nothing_passes_without_them() {
    let findings = found(listener(Some(80.0), Some(99.0)), |roof| {
        let twin = another(roof, "C2", (0.0, 20.0));
        roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
    });
    let told: Vec<_> = findings.iter().map(|f| f.verdict).collect();
    assert_eq!(told, [Verdict::Note; 3]);
    assert!(
        findings[0].says.ends_with("This is without C2, of which nothing could be computed."),
        "{}",
        findings[0].says
    );
    assert!(findings[2].says.contains("(sound_power) of C2, so by day it is left out"));
    // It fails all the same where the others are too loud by themselves.
    let findings = found(listener(Some(30.0), None), |roof| {
        let twin = another(roof, "C2", (0.0, 20.0));
        roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
    });
    assert_eq!(findings[0].verdict, Verdict::Fail);
    assert!(findings[0].mend.as_ref().unwrap().ends_with("The levels told are without C2."), "{findings:#?}");
    let none = found(listener(Some(80.0), Some(80.0)), |roof| roof.units[0].sound = None);
    assert_eq!(none.len(), 1);
    assert!(none[0].verdict == Verdict::Note && none[0].says.ends_with("of C1, so nothing was judged."));
}

#[test]
fn no_listener_no_word() {
    let job = planned(|roof| roof.units[0].sound = Some(SoundPower::A(90.0)));
    assert!(look(&job, &studied(&job)).is_empty());
}

#[test]
fn one_who_stands_at_the_outlet_is_told_that_no_level_can_be() {
    let near = |limit: Option<f64>| Listener { at: feet(100.0, 48.75), ..listener(limit, None) };
    for limit in [Some(80.0), None] {
        let findings = found(near(limit), |_| {});
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].verdict, Verdict::Caution);
        assert!(findings[0].says.contains("so near to C1"), "{}", findings[0].says);
        // What the others bring doesn't read as if it were whole, with a limit or without one.
        let findings = found(near(limit), |roof| roof.units.push(another(roof, "C2", (40.0, 0.0))));
        let told: Vec<_> = findings.iter().filter(|f| f.value.is_some()).collect();
        assert!(!told.is_empty());
        for finding in told {
            assert_eq!(finding.verdict, Verdict::Note, "{finding:#?}");
            assert!(finding.says.contains("without C1, of which nothing could be computed"), "{}", finding.says);
        }
        assert!(findings.iter().any(|f| f.verdict == Verdict::Caution && f.says.contains("so near to C1")));
    }
    // Too loud even without it: nothing is said to mend what can't be told.
    let fail = found(near(Some(30.0)), |roof| roof.units.push(another(roof, "C2", (40.0, 0.0)))).remove(0);
    assert_eq!(fail.verdict, Verdict::Fail);
    assert!(fail.mend.as_ref().unwrap().starts_with("No change was tried, since what C1 brings"), "{fail:#?}");
    // One that is both near and of unknown sound is named once.
    let both = found(near(Some(80.0)), |roof| {
        roof.units.push(another(roof, "C2", (40.0, 0.0)));
        roof.units[0].sound = None;
    });
    assert!(both[0].says.contains("This is without C1, of which"), "{}", both[0].says);
}

#[test]
fn where_nothing_helps_that_is_said() {
    // No unit that can be bought, no screen and no fan that turns brings it to nothing.
    let at = Listener { at: feet(100.0, 30.0), height_m: 42.0 * FOOT, ..listener(Some(0.0), Some(0.0)) };
    let fails = found(at, |roof| roof.units[0].sound = Some(SoundPower::A(110.0)));
    assert_eq!(fails.len(), 2);
    for fail in fails {
        assert_eq!(fail.verdict, Verdict::Fail);
        assert!(fail.mend.as_ref().unwrap().starts_with("No one change that was tried mends it"), "{fail:#?}");
    }
}

#[test]
fn a_margin_of_the_jobs_own_is_used_and_named() {
    let level = heard();
    let mut job = planned(|roof| {
        roof.units[0].sound = Some(SoundPower::A(90.0));
        roof.listeners.push(listener(None, Some(level + 4.0)));
    });
    assert_eq!(look(&job, &studied(&job)).remove(0).verdict, Verdict::Pass);
    job.limits.insert("sound_margin".to_owned(), 5.0);
    let caution = look(&job, &studied(&job)).remove(0);
    assert_eq!((caution.verdict, caution.source.as_str()), (Verdict::Caution, "the job file's own limit"));
}
