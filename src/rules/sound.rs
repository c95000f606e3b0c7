//! `sound`: is it quiet enough for those who hear it, by day and at night?

use super::case::{capital, list};
use super::limit::{limit, title};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Heard, Quieter, RoofStudy, Share};
use crate::units::System;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "sound",
    question: "Is it quiet enough for those who hear it, by day and at night?",
    explanation: "\
For each listener ([[roof.listener]]) the sound of all units is computed by the general method of ISO 9613-2: the sound power, 3 dB \
for the roof as a reflecting plane, less the spreading (20 lg of the distance in metres, plus 11), less what the air absorbs, less what \
screens take, added by energy. It is done by octave where the sound power is given so; of a unit with one A-weighted level the \
terms of 500 Hz stand for all, as the standard has it. The sound comes from the middle of the unit's outlet, and a \
listener who is near hears several parts of it. Solid walls, the parapet and the roof's own edge screen: over the top by the \
one or two edges that take most (20 dB and 25 dB at the most), and round the ends of free-standing walls. A wall that is open in \
part is taken for none, and other units do not screen. Reflections at walls, the ground beyond the roof, tones and the \
direction in which a unit is louder are not counted.

At night the units have the sound power that is given for it (night_sound_power); else it follows from the share of the full \
speed (night_speed) by the law of fans, 50 lg of it; else the night is as loud as the day.

Over the limit that the job gives from the local ordinance (limit, night_limit) is a fail; less than 3 dB under it, which is \
what the standard says of its own accuracy, is a caution. Too loud a roof ends in complaints, fines, and machines that may not run on \
warm nights. The mends are computed, each by itself: the speed of the fans at night, the sound power that a unit may have, the \
height of a wall that stands between, or a new solid screen beside the units. Each aims at the limit less the margin, or where that \
cannot be had at the limit. A screen must leave the units their room. The local ordinance decides what is measured, where \
and when; where it is close, an acoustician should look at it before anything is bought.",
    limits: &["sound_margin"],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The local ordinance decides, and how and where it is measured";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study.heard.iter().flat_map(|heard| listener(job, heard)).collect();
    findings.extend(study.heard.first().and_then(unknown));
    findings
}

/// By day or at night.
struct Time<'a> {
    words: &'static str,
    key: &'static str,
    level: Option<f64>,
    limit: Option<f64>,
    mend: Option<&'a Quieter>,
    unknown: &'a [String],
    of: fn(&Share) -> Option<f64>,
}

fn listener(job: &Job, heard: &Heard) -> Vec<Finding> {
    let day = Time {
        words: "by day",
        key: "limit",
        level: heard.day_dBA,
        limit: heard.limit_dBA,
        mend: heard.day_mend.as_ref(),
        unknown: &heard.without_day,
        of: |share| share.day_dBA,
    };
    let night = Time {
        words: "at night",
        key: "night_limit",
        level: heard.night_dBA,
        limit: heard.night_limit_dBA,
        mend: heard.night_mend.as_ref(),
        unknown: &heard.without_night,
        of: |share| share.night_dBA,
    };
    if heard.limit_dBA.is_none() && heard.night_limit_dBA.is_none() {
        return without_limit(job, heard).into_iter().collect();
    }
    let mut findings: Vec<Finding> = [day, night].iter().filter_map(|time| judge(job, heard, time)).collect();
    if !heard.too_near.is_empty() {
        let says = format!(
            "{} is so near to {} that no level can be told.",
            capital(&heard.name),
            list(heard.too_near.iter().cloned())
        );
        findings.push(about(heard, Verdict::Note).says(says).by(title("iso-9613-2")));
    }
    findings
}

fn about(heard: &Heard, verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None).place(format!("listener {}", heard.name))
}

/// What a listener hears against a limit, where there is one and any unit's sound is known.
fn judge(job: &Job, heard: &Heard, time: &Time) -> Option<Finding> {
    let show = job.units;
    let (level, allowed) = (time.level?, time.limit?);
    let margin = limit(job, "sound_margin");
    let given = format!("the job file ({})", time.key);
    let whole = time.unknown.is_empty() && heard.too_near.is_empty();
    let (verdict, against, source) = if level > allowed + 1e-9 {
        (Verdict::Fail, allowed, given)
    } else if level > allowed - margin.value + 1e-9 {
        (Verdict::Caution, allowed - margin.value, margin.source)
    } else {
        (if whole { Verdict::Pass } else { Verdict::Note }, allowed, given)
    };
    let spare = allowed - level;
    let stands = if verdict == Verdict::Fail {
        format!("{} over the {} that are allowed", decibels(show, -spare), show.level(allowed))
    } else {
        format!("{} under the {} that are allowed", decibels(show, spare), show.level(allowed))
    };
    let mut says = format!("{} hears {} {}, {stands}.", capital(&heard.name), show.level(level), time.words);
    if verdict > Verdict::Note {
        let _ = write!(says, " {}", shares(show, heard, time.of));
    }
    if !whole {
        let left_out = list(time.unknown.iter().chain(&heard.too_near).cloned());
        let _ = write!(says, " Without {left_out}, of which nothing could be computed.");
    }
    if verdict > Verdict::Note {
        let accuracy = decibels(show, heard.accuracy_dB);
        let _ = write!(
            says,
            " {DECIDES}; so close to it an acoustician should, for the method is good to about {accuracy} either way."
        );
    }
    let mut finding = about(heard, verdict).at(time.words).found(level, against, "dB").says(says).by(source);
    if verdict > Verdict::Note {
        finding.mend = time.mend.and_then(|mend| mended(show, mend));
        if finding.mend.is_none() && verdict == Verdict::Fail {
            finding.mend = Some(
                "No one change that was tried mends it: slower fans at night, quieter units, a wall up to 20 ft (6 m) higher, a new \
                 screen."
                    .to_owned(),
            );
        }
    }
    Some(finding)
}

/// A difference of levels: `2.6 dB`.
fn decibels(show: System, difference: f64) -> String {
    format!("{} dB", show.level(difference).trim_end_matches(" dBA"))
}

/// What the loudest units bring, and what screens take of it.
fn shares(show: System, heard: &Heard, of: fn(&Share) -> Option<f64>) -> String {
    let mut loudest: Vec<(&Share, f64)> = heard.units.iter().filter_map(|share| Some((share, of(share)?))).collect();
    loudest.sort_by(|a, b| b.1.total_cmp(&a.1));
    let told = loudest.iter().take(3).map(|(share, level)| {
        let screened = if share.screens.is_empty() {
            "nothing between".to_owned()
        } else {
            let take = if share.screens.len() == 1 { "takes" } else { "take" };
            format!("{} {take} {}", list(share.screens.iter().cloned()), decibels(show, share.screens_dB))
        };
        format!("{} {} ({screened})", share.name, show.level(*level))
    });
    let told: Vec<String> = told.collect();
    let more = loudest.len() - told.len();
    let others = if more > 0 { format!("; {more} more bring less") } else { String::new() };
    format!("Of that {}{others}.", told.join(", "))
}

/// What would mend it, in words.
fn mended(show: System, mend: &Quieter) -> Option<String> {
    let mut ways = Vec::new();
    let hears = |level: f64| format!("({})", show.level(level));
    if let Some(slower) = &mend.slower {
        let share = format!("{:.0} %", 100.0 * slower.share);
        let of = if slower.of_full { "full speed" } else { "the speed that each has at night now" };
        let reaches = hears(slower.reaches_dBA);
        ways.push(format!("fans at {share} of {of} at night {reaches}, the air falling with the speed"));
    }
    if let Some((most, reaches)) = mend.power_dBA.zip(mend.power_reaches_dBA) {
        ways.push(format!("no unit with more than {} of sound power {}", show.level(most), hears(reaches)));
    }
    if let Some(raised) = &mend.raised {
        ways.push(format!(
            "{} raised to {} over the roof {}",
            raised.name,
            show.length(raised.height_m),
            hears(raised.reaches_dBA)
        ));
    }
    if let Some(screen) = &mend.screen {
        let beside = if let [one] = &screen.units[..] {
            format!("{} off the {} side of {one}", show.length(screen.distance_m), screen.side)
        } else {
            format!(
                "{} off the {} sides of {}",
                show.length(screen.distance_m),
                screen.side,
                list(screen.units.iter().cloned())
            )
        };
        ways.push(format!(
            "a new solid screen {beside}, {} high over the roof and {} long {}",
            show.length(screen.height_m),
            show.length(screen.length_m),
            hears(screen.reaches_dBA)
        ));
    }
    let (first, rest) = ways.split_first()?;
    let others = rest.iter().fold(String::new(), |others, way| others + "; or " + way);
    let engineer = if mend.raised.is_some() || mend.screen.is_some() {
        " The structural engineer decides what a wall in the wind asks of the roof."
    } else {
        ""
    };
    Some(format!("Each by itself would do: {first}{others}.{engineer}"))
}

/// A note where no limit is given.
fn without_limit(job: &Job, heard: &Heard) -> Option<Finding> {
    let show = job.units;
    let told: Vec<String> = [(heard.day_dBA, "by day"), (heard.night_dBA, "at night")]
        .into_iter()
        .filter_map(|(level, words)| Some(format!("{} {words}", show.level(level?))))
        .collect();
    if told.is_empty() {
        return None;
    }
    let says = format!(
        "{} hears {}; the job gives no limit (limit, night_limit), so this was not judged. The local ordinance decides.",
        capital(&heard.name),
        list(told)
    );
    let level = heard.day_dBA.or(heard.night_dBA).unwrap_or(f64::NAN);
    Some(about(heard, Verdict::Note).found(level, None, "dB").says(says).by(title("iso-9613-2")))
}

/// A note on the units whose sound is not known; they are the same for every listener.
fn unknown(heard: &Heard) -> Option<Finding> {
    if heard.without_day.is_empty() {
        return None;
    }
    let names = list(heard.without_day.iter().cloned());
    let judged = if heard.day_dBA.is_none() && heard.night_dBA.is_none() {
        "so nothing was judged"
    } else {
        "so by day they are left out, and at night unless they have night_sound_power"
    };
    let says = format!("The job does not give the sound power (sound_power) of {names}, {judged}.");
    Some(Finding::new(RULE.id, Verdict::Note, None).says(says).by("the job file (sound_power)"))
}

#[cfg(test)]
mod tests {
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
        let findings = found(listener(None, Some(99.0)), |_| {});
        assert_eq!(findings.len(), 1);
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
        assert!(
            fail.says.contains("The local ordinance decides") && fail.says.contains("acoustician"),
            "{}",
            fail.says
        );
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
            roof.walls.push(wall("screen", (40.0, 30.0), (160.0, 30.0), 8.5));
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
        assert_eq!(night(&|roof| roof.walls[0].height_m = high * FOOT), Verdict::Pass, "{mend}");
        assert!(night(&|roof| roof.walls[0].height_m = (high - 0.5) * FOOT) > Verdict::Pass, "{mend}");
        let off = number("a new solid screen ", " ft off the south side of C1");
        let high = number("C1, ", " ft high over the roof");
        let long = number("high over the roof and ", " ft long");
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
    }

    #[test]
    fn units_of_unknown_sound_are_named_and_nothing_passes_without_them() {
        let findings = found(listener(Some(80.0), None), |roof| {
            let twin = another(roof, "C2", (0.0, 20.0));
            roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
        });
        let told: Vec<_> = findings.iter().map(|f| f.verdict).collect();
        assert_eq!(told, [Verdict::Note, Verdict::Note]);
        assert!(findings[0].says.ends_with("Without C2, of which nothing could be computed."), "{}", findings[0].says);
        assert!(findings[1].says.contains("(sound_power) of C2, so by day they are left out"));
        // It fails all the same where the others are too loud by themselves.
        let findings = found(listener(Some(30.0), None), |roof| {
            let twin = another(roof, "C2", (0.0, 20.0));
            roof.units.push(crate::job::RoofUnit { sound: None, ..twin });
        });
        assert_eq!(findings[0].verdict, Verdict::Fail);
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
        let at = Listener { at: feet(100.0, 48.75), ..listener(Some(80.0), None) };
        let findings = found(at, |_| {});
        assert_eq!(findings.len(), 1);
        assert!(findings[0].says.contains("so near to C1"), "{}", findings[0].says);
    }

    #[test]
    fn where_nothing_helps_that_is_said() {
        // So near, and so loud, that no screen takes enough.
        let at = Listener { at: feet(100.0, 30.0), height_m: 42.0 * FOOT, ..listener(Some(30.0), None) };
        let fail = found(at, |roof| roof.units[0].sound = Some(SoundPower::A(110.0))).remove(0);
        assert_eq!(fail.verdict, Verdict::Fail);
        let mend = fail.mend.unwrap();
        assert!(!mend.contains("screen beside") && !mend.contains("raised"), "{mend}");
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
}
