//! `sound`: is it quiet enough for those who hear it, by day and at night?

use super::limit::{limit, title};
use super::mend::{nothing_quieter, quieter};
use super::say::list;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{ACCURACY_DB, Heard, NightBy, Quieter, RoofStudy, Share};
use crate::units::System;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "sound",
    question: "Is it quiet enough for those who hear it, by day and at night?",
    explanation: "\
For each listener ([[roof.listener]]) the sound of all units is computed by the general method of ISO 9613-2, edition \
of 1996: the sound power, 3 dB for the roof as a reflecting plane, less the spreading (20 lg of the distance in \
metres, plus 11), less what the air absorbs, less what screens take, added by energy. It is done by octave where the \
sound power is given so; of a unit with one A-weighted level the terms of 500 Hz stand for all, as the standard has \
it. The sound comes from the middle of the unit's outlet, and a listener who is near hears several parts of it; so \
near to a unit that no part is a point, no level can be told, and that is a caution. Further than 30 times the \
heights of outlet and listener over the ground together, hard ground adds up to 3 dB more. Reflections at walls, \
tones and the direction in which a unit is louder are not counted.

Solid walls, the parapet and the roof's own edge screen: over the top by the one or two edges that take most (20 dB \
and 25 dB at the most), and round the ends of free-standing walls, without that bound. A wall that is open in part is \
taken for none, and other units do not screen. A screen must have no gaps and weigh 10 kg/m2 (2 lb/ft2) or more. By \
the formula of 1996 any edge just in the line of sight takes 4.8 dB, however far from unit and listener; the edition \
of 2024 grants less to one that only grazes a long way, so that a level that rests on such an edge may be some \
decibels higher. On the other side both the plane's 3 dB and the screen's own reflections at the ground (C_2 = 20) \
are counted, which tells a screened listener up to 3 dB more than the standard. A wall takes no less than a lower one \
in its place would: what the formula for two edges takes is not lost where the higher edge is raised until it hides \
the lower.

At night the units have the sound power that is given for it (night_sound_power); else it follows from the share of \
the full speed (night_speed) by the law of fans, 50 lg of it; else the night is as loud as the day. A unit that is \
given louder at night than by day is refused where both are one level, and a caution where they are given by octave: one of the two \
is wrong.

Over the limit that the job gives from the local ordinance (limit, night_limit) is a fail; less than 3 dB under it, \
which is what the standard says of its own accuracy in the open (of screened sound it says nothing), is a caution. \
Where one limit is missing the level is told and not judged. Too loud a roof ends in complaints, fines, and machines \
that may not run on warm nights. The mends are computed, each by itself: the speed of the fans at night, not below 40 \
% of full speed, since the air falls with it and the head pressure must carry the load of the night; the sound power \
that a unit may have, no more than 20 dB less than the loudest has; a wall that stands between, made solid or higher; \
a new solid screen before the units. Each aims at the limit less the margin, or where that cannot be had at the \
limit; where the limit is kept already, at 1 dB less at the least. A screen rises no more than 2 m over the units, \
for the wind's moment grows with the square of its height, leaves every unit its room and keeps 3 m from a wall that \
runs alike; whether it turns warm air back is seen when the plan is studied with it. The local ordinance decides what \
is measured, where and when; where it is close, have an acoustician look at it before anything is bought.",
    limits: &["sound_margin"],
    look: Look::Roof(look),
};

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study.heard.iter().flat_map(|heard| listener(job, heard)).collect();
    findings.extend(study.heard.first().and_then(unknown));
    findings.extend(louder_at_night(job, study));
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
    let times = [day, night];
    let mut findings: Vec<Finding> = times.iter().filter_map(|time| judge(job, heard, time)).collect();
    findings.extend(not_judged(job, heard, &times));
    findings.extend(too_near(heard));
    findings
}

/// A caution where a listener is too near to a unit for any level of it to be told: what is told is without the unit
/// that is loudest there.
fn too_near(heard: &Heard) -> Option<Finding> {
    let units = list(heard.too_near.iter().cloned());
    let says = format!(
        "The listener {} is so near to {units} that no level can be told: the sound of {units} is in none that is told here.",
        heard.name
    );
    let mend = "Draw the listener where the ordinance measures, or have it measured.".to_owned();
    (!heard.too_near.is_empty())
        .then(|| Finding { mend: Some(mend), ..about(heard, Verdict::Caution).says(says).by(title("iso-9613-2")) })
}

fn about(heard: &Heard, verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None).place(format!("listener {}", heard.name))
}

/// What a listener hears against a limit, where there is one and any unit's sound is known.
fn judge(job: &Job, heard: &Heard, time: &Time) -> Option<Finding> {
    let show = job.units;
    let (level, allowed) = (time.level?, time.limit?);
    let margin = limit(job, "sound_margin");
    let given = super::finding::Source::Told(format!("the job file ({})", time.key));
    let left_out = left_out(heard, time);
    let (verdict, against, source) = if level > allowed + 1e-9 {
        (Verdict::Fail, allowed, given.clone())
    } else if level > allowed - margin.value + 1e-9 {
        (Verdict::Caution, allowed - margin.value, margin.source)
    } else {
        (if left_out.is_empty() { Verdict::Pass } else { Verdict::Note }, allowed, given)
    };
    let spare = allowed - level;
    let stands = if verdict == Verdict::Fail {
        format!("{} over the {} that are allowed", decibels(show, -spare), show.level(allowed))
    } else {
        format!("{} under the {} that are allowed", decibels(show, spare), show.level(allowed))
    };
    let mut says = format!("The level at {} is {} {}, {stands}.", heard.name, show.level(level), time.words);
    if verdict > Verdict::Note {
        let _ = write!(says, " {}", shares(show, heard, time.of));
    }
    says += &without(&left_out);
    if verdict > Verdict::Note {
        let _ = write!(
            says,
            " The local ordinance decides what is measured, where and how. The method is good to about {} either way in the open.",
            decibels(show, ACCURACY_DB)
        );
        if spare.abs() <= ACCURACY_DB {
            says += " This close to the limit, have an acoustician look at it.";
        }
    }
    let mut finding = about(heard, verdict).at(time.words).found(level, against, "dB").says(says).by(source);
    if verdict > Verdict::Note {
        finding.mend = time.mend.and_then(|mend| quieter(show, mend, allowed - margin.value, time.words));
        if let Some(mend) = finding.mend.as_mut().filter(|_| !left_out.is_empty()) {
            let _ = write!(mend, " The levels told are without {}.", list(left_out.iter().cloned()));
        }
        if finding.mend.is_none() && verdict == Verdict::Fail {
            finding.mend = Some(if heard.too_near.is_empty() {
                nothing_quieter(show)
            } else {
                let bring = if heard.too_near.len() == 1 { "brings" } else { "bring" };
                format!(
                    "No change was tried, since what {} {bring} cannot be told. Draw the listener where the ordinance measures, or have \
                     it measured.",
                    list(heard.too_near.iter().cloned())
                )
            });
        }
    }
    Some(finding)
}

/// The units that are in no level at that time, each once.
fn left_out(heard: &Heard, time: &Time) -> Vec<String> {
    let near = heard.too_near.iter().filter(|unit| !time.unknown.contains(unit));
    time.unknown.iter().chain(near).cloned().collect()
}

/// A sentence on them.
fn without(left_out: &[String]) -> String {
    if left_out.is_empty() {
        return String::new();
    }
    format!(" This is without {}, of which nothing could be computed.", list(left_out.iter().cloned()))
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
            "unscreened".to_owned()
        } else {
            let take = if share.screens.len() == 1 { "takes" } else { "take" };
            format!("{} {take} {}", list(share.screens.iter().cloned()), decibels(show, share.screens_dB))
        };
        format!("{} {} ({screened})", share.name, show.level(*level))
    });
    let told: Vec<String> = told.collect();
    let more = loudest.len() - told.len();
    let others = match more {
        0 => String::new(),
        1 => "; 1 more brings less".to_owned(),
        _ => format!("; {more} more bring less"),
    };
    format!("Of that {}{others}.", told.join(", "))
}

/// A note on the levels for which the job gives no limit.
fn not_judged(job: &Job, heard: &Heard, times: &[Time]) -> Option<Finding> {
    let show = job.units;
    let open: Vec<&Time> = times.iter().filter(|time| time.limit.is_none() && time.level.is_some()).collect();
    let level = open.first()?.level?;
    let told = open.iter().filter_map(|time| Some(format!("{} {}", show.level(time.level?), time.words)));
    let keys: Vec<&str> = open.iter().map(|time| time.key).collect();
    let mut missing: Vec<String> = Vec::new();
    open.iter().flat_map(|time| left_out(heard, time)).for_each(|unit| {
        if !missing.contains(&unit) {
            missing.push(unit);
        }
    });
    let says = format!(
        "The level at {} is {}; the job gives no limit ({}) for it, so this was not judged.{} The local ordinance decides.",
        heard.name,
        list(told),
        keys.join(", "),
        without(&missing)
    );
    Some(about(heard, Verdict::Note).found(level, None, "dB").says(says).by(title("iso-9613-2")))
}

/// A caution for each unit whose own sound power at night is given louder than that by day.
fn louder_at_night(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let show = job.units;
    let mut told: Vec<&str> = Vec::new();
    let mut findings = Vec::new();
    for share in study.heard.iter().flat_map(|heard| &heard.units) {
        let Some((day, night)) = share.power_dBA.zip(share.night_power_dBA) else { continue };
        if share.night_by != Some(NightBy::Given) || night <= day + 1e-9 || told.contains(&share.name.as_str()) {
            continue;
        }
        told.push(&share.name);
        let says = format!(
            "{} is given louder at night ({}, night_sound_power) than by day ({}, sound_power): one of the two is wrong.",
            share.name,
            show.level(night),
            show.level(day)
        );
        let caution = Finding::new(RULE.id, Verdict::Caution, None).place(format!("unit {}", share.name));
        findings.push(caution.found(night, day, "dB").says(says).by("the job file (night_sound_power)"));
    }
    findings
}

/// A note on the units whose sound is not known; they are the same for every listener.
fn unknown(heard: &Heard) -> Option<Finding> {
    if heard.without_day.is_empty() {
        return None;
    }
    let names = list(heard.without_day.iter().cloned());
    let judged = if heard.day_dBA.is_none() && heard.night_dBA.is_none() {
        "so nothing was judged"
    } else if heard.without_day.len() == 1 {
        "so by day it is left out, and at night unless it has night_sound_power"
    } else {
        "so by day they are left out, and at night unless they have night_sound_power"
    };
    let says = format!("The job does not give the sound power (sound_power) of {names}, {judged}.");
    Some(Finding::new(RULE.id, Verdict::Note, None).says(says).by("the job file (sound_power)"))
}

#[cfg(test)]
mod tests;
