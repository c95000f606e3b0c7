//! Each verdict at its limit.

use super::*;
use crate::job::{Listener, Roof, SoundPower};
use crate::roof::testing::{FOOT, another, feet, planned, studied};

fn listener(limit: Option<f64>, night: Option<f64>) -> Listener {
    Listener {
        name: "flat across the lane".to_owned(),
        at: feet(100.0, -251.25),
        height_m: 44.0 * FOOT,
        limit_dBA: limit,
        night_limit_dBA: night,
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
    assert_eq!(findings.iter().map(|f| f.verdict).collect::<Vec<_>>(), [Verdict::Pass, Verdict::NotJudged]);
    findings[0].value()
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
    assert_eq!((fail.verdict, &fail.when), (Verdict::Fail, &Some(When::Night)));
    assert_eq!(fail.place, Some(Place::Listener(0)));
    assert!(
        fail.words().contains("The local ordinance governs") && fail.words().contains("acoustician"),
        "{}",
        fail.words()
    );
    // Far over it an acoustician need not be asked whether it is too loud.
    let far = at(level - 10.0);
    assert!(far.words().contains("about 3 dB in the open") && !far.words().contains("acoustician"), "{}", far.words());
    assert_eq!(fail.source, Source::Job("night_limit"));
}

#[test]
fn day_and_night_are_judged_each_by_its_own_limit() {
    let findings = found(listener(Some(55.0), Some(45.0)), |roof| {
        roof.units[0].sound = Some(SoundPower::A(100.0));
        roof.units[0].night_speed = Some(0.5);
    });
    let told: Vec<_> = findings.iter().map(|f| (f.when.clone().unwrap(), f.verdict)).collect();
    assert_eq!(told, [(When::Day, Verdict::Caution), (When::Night, Verdict::Pass)]);
}

#[test]
fn without_a_limit_the_level_is_told() {
    let findings = found(listener(None, None), |_| {});
    assert_eq!(findings.len(), 1);
    assert_eq!((findings[0].verdict, findings[0].measure.unwrap().limit), (Verdict::NotJudged, None));
    assert!(findings[0].words().contains("by day and") && findings[0].words().contains("gives no limit"));
    // With one of the two limits the other level is told too.
    for (at, words) in [
        (listener(Some(80.0), None), "dBA at night. Not judged: the job gives no limit (night_limit)"),
        (listener(None, Some(80.0)), "dBA by day. Not judged: the job gives no limit (limit)"),
    ] {
        let findings = found(at, |_| {});
        assert_eq!(findings.iter().map(|f| f.verdict).collect::<Vec<_>>(), [Verdict::Pass, Verdict::NotJudged]);
        assert!(findings[1].words().contains(words), "{}", findings[1].words());
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
    assert_eq!(cautions[0].place, Some(Place::Unit(0)));
    assert!(cautions[0].words().contains("at night (110 dBA, night_sound_power) than by day (90 dBA, sound_power)"));
    assert!(given(90.0).iter().all(|f| f.verdict == Verdict::Pass));
}

#[test]
fn units_of_unknown_sound_are_named_and_nothing_passes_without_them() {
    let findings = found(listener(Some(80.0), Some(99.0)), |roof| {
        let twin = another(roof, "C2", (0.0, 20.0));
        roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
    });
    let told: Vec<_> = findings.iter().map(|f| f.verdict).collect();
    assert_eq!(told, [Verdict::NotJudged; 3]);
    assert!(
        findings[0].words().ends_with("This is without C2, which could not be computed."),
        "{}",
        findings[0].words()
    );
    assert!(findings[2].words().contains("(sound_power) of C2. By day it is left out"));
    // It fails all the same where the others are too loud by themselves.
    let findings = found(listener(Some(30.0), None), |roof| {
        let twin = another(roof, "C2", (0.0, 20.0));
        roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
    });
    assert_eq!(findings[0].verdict, Verdict::Fail);
    let none = found(listener(Some(80.0), Some(80.0)), |roof| roof.units[0].sound = None);
    assert_eq!(none.len(), 1);
    assert!(
        none[0].verdict == Verdict::NotJudged
            && none[0].words().starts_with("Not judged: the job gives no sound power")
    );
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
        assert!(findings[0].words().contains("too near to C1"), "{}", findings[0].words());
        // What the others bring doesn't read as if it were whole, with a limit or without one.
        let findings = found(near(limit), |roof| roof.units.push(another(roof, "C2", (40.0, 0.0))));
        let told: Vec<_> = findings.iter().filter(|f| f.measure.is_some()).collect();
        assert!(!told.is_empty());
        for finding in told {
            assert_eq!(finding.verdict, Verdict::NotJudged, "{finding:#?}");
            assert!(finding.words().contains("without C1, which could not be computed"), "{}", finding.words());
        }
        assert!(findings.iter().any(|f| f.verdict == Verdict::Caution && f.words().contains("too near to C1")));
    }
    // Too loud even without it.
    let fail = found(near(Some(30.0)), |roof| roof.units.push(another(roof, "C2", (40.0, 0.0)))).remove(0);
    assert_eq!(fail.verdict, Verdict::Fail);
    // One that is both near and of unknown sound is named once.
    let both = found(near(Some(80.0)), |roof| {
        roof.units.push(another(roof, "C2", (40.0, 0.0)));
        roof.units[0].sound = None;
    });
    assert!(both[0].words().contains("This is without C1, which could not be computed"), "{}", both[0].words());
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
    assert_eq!((caution.verdict, caution.source), (Verdict::Caution, Source::OwnLimit));
}
