//! `sound`: is it quiet enough for those who hear it, by day and at night?

use super::finding::{Finding, Look, Place, Rule, Source, Verdict, When};
use super::limit::limit;
use super::say::{Say, Value, say};
use crate::job::Job;
use crate::roof::{ACCURACY_DB, Heard, NightBy, RoofStudy, Share};
use crate::units::Kind;

/// The rule.
pub const RULE: Rule = Rule {
    id: "sound",
    question: "Is the plant quiet enough for each listener, by day and at night?",
    explanation: "\
For each listener ([[roof.listener]]) the sound of all units is computed by the general method of ISO 9613-2, \
edition of 1996. From the sound power and 3 dB for the roof as a reflecting plane it takes divergence (20 lg of the \
distance in metres, plus 11), air absorption and barriers, and adds by energy. It works by octave where the sound \
power is given so. For a unit with one A-weighted level the terms of 500 Hz count for all, as the standard has it.

The source is the middle of the unit's outlet, in several parts for a listener nearby. Where a unit is too near for \
any part to be a point, no level is given, and that is a caution. Farther than 30 times the heights of outlet and \
listener above the ground together, hard ground adds up to 3 dB more. Reflections at walls, tones and directivity \
are not counted.

Solid walls, the parapet and the roof's own edge are barriers. Over the top the one or two edges with the greatest effect count (20 dB and 25 dB maximum), and around the ends of \
free-standing walls there is no such bound. A wall \
that is partly open does not count, and other units are no barriers. A barrier must have no gaps and weigh 10 kg/m2 \
(2 psf) or more.

By the formula of 1996 any edge just in the line of sight gives 4.8 dB, however far from unit and listener. The \
edition of 2024 grants less to an edge that only grazes a long way, so a level that rests on such an edge may be \
some decibels higher. On the other side, both the 3 dB of the plane and the barrier's ground reflections (C_2 = 20) \
are counted, which gives a shielded listener up to 3 dB more than the standard. A wall never gives less than a lower \
one in its place: the two-edge result is kept when the higher edge is raised until it hides the lower.

At night the units have the sound power given for it (night_sound_power), else the fraction of full speed \
(night_speed) by the fan laws, 50 lg of it. Without either, the night is as loud as the day. A unit that is louder \
at night than by day is an error where both are one level, and a caution by octave.

Above the limit that the job gives from the local ordinance (limit, night_limit) is a fail. Less than 3 dB below it \
is a caution: that is the standard's stated accuracy in the open (for shielded sound it states none). Without a \
limit the level is reported and not judged. Too loud a roof ends in complaints, fines and chillers that may not run \
on warm nights. The local ordinance governs what is measured, where and when. Where it is close, have an acoustician \
check it before anything is bought.",
    limits: &["sound_margin"],
    look: Look::Roof(look),
};

/// The method.
const METHOD: Source = Source::Published("iso-9613-2");

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let heard = study.heard.iter().enumerate();
    let mut findings: Vec<Finding> = heard.flat_map(|(index, heard)| listener(job, index, heard)).collect();
    findings.extend(study.heard.first().and_then(unknown));
    findings.extend(louder_at_night(study));
    findings
}

/// By day or at night.
struct Time<'a> {
    when: When,
    key: &'static str,
    level: Option<f64>,
    limit: Option<f64>,
    unknown: &'a [String],
    of: fn(&Share) -> Option<f64>,
}

impl Time<'_> {
    /// A level at that time, in a sentence.
    fn says(&self, level: f64) -> Say {
        let words = if self.when == When::Day { "{} by day" } else { "{} at night" };
        say(words, [dba(level)])
    }
}

fn listener(job: &Job, index: usize, heard: &Heard) -> Vec<Finding> {
    let day = Time {
        when: When::Day,
        key: "limit",
        level: heard.day_dBA,
        limit: heard.limit_dBA,
        unknown: &heard.without_day,
        of: |share| share.day_dBA,
    };
    let night = Time {
        when: When::Night,
        key: "night_limit",
        level: heard.night_dBA,
        limit: heard.night_limit_dBA,
        unknown: &heard.without_night,
        of: |share| share.night_dBA,
    };
    let times = [day, night];
    let judged = times.iter().filter_map(|time| judge(job, heard, time));
    let found = judged.chain(not_judged(heard, &times)).chain(too_near(heard));
    found.map(|finding| finding.place(Place::Listener(index))).collect()
}

fn finding(verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None)
}

fn dba(level: f64) -> Value {
    Value::Of(Kind::Level, level)
}

/// A caution where a listener is too near to a unit for any level of it to be told: what is told is without the unit
/// that is loudest there.
fn too_near(heard: &Heard) -> Option<Finding> {
    let units = || Value::names(&heard.too_near);
    let says = || {
        say(
            "The listener {} is too near to {} for the method. The levels here do not include {}.",
            [Value::name(&heard.name), units(), units()],
        )
    };
    (!heard.too_near.is_empty()).then(|| finding(Verdict::Caution).says(says()).by(METHOD))
}

/// What a listener hears against a limit, where there is one and any unit's sound is known.
fn judge(job: &Job, heard: &Heard, time: &Time) -> Option<Finding> {
    let (level, allowed) = (time.level?, time.limit?);
    let margin = limit(job, "sound_margin");
    let given = Source::Job(time.key);
    let left_out = left_out(heard, time);
    let (verdict, against, source) = if level > allowed + 1e-9 {
        (Verdict::Fail, allowed, given)
    } else if level > allowed - margin.value + 1e-9 {
        (Verdict::Caution, allowed - margin.value, margin.source)
    } else {
        (if left_out.is_empty() { Verdict::Pass } else { Verdict::NotJudged }, allowed, given)
    };
    let stands = if verdict == Verdict::Fail {
        "The level at {} is {}, {} above the limit of {}."
    } else {
        "The level at {} is {}, {} below the limit of {}."
    };
    let spare = allowed - level;
    let (name, at) = (Value::name(&heard.name), Value::Say(time.says(level)));
    let stands = say(stands, [name, at, Value::Decibels(spare.abs()), dba(allowed)]);
    let wrong = verdict > Verdict::Note;
    let of_that = wrong.then(|| shares(heard, time.of));
    let close = if spare.abs() <= ACCURACY_DB { " This close to the limit, have an acoustician check it." } else { "" };
    let closing = wrong.then(|| {
        say(
            "The local ordinance governs what is measured, where and how. The method is accurate to about {} in the \
             open.",
            [Value::Decibels(ACCURACY_DB)],
        )
        .and(close, [])
    });
    let says = Say::sentences([Some(stands), of_that, without(left_out), closing].into_iter().flatten());
    Some(finding(verdict).at(time.when.clone()).found(level, against, Kind::Level).says(says).by(source))
}

/// The units that are in no level at that time, each once.
fn left_out<'a>(heard: &'a Heard, time: &Time<'a>) -> Vec<&'a str> {
    let near = heard.too_near.iter().filter(|unit| !time.unknown.contains(unit));
    time.unknown.iter().chain(near).map(String::as_str).collect()
}

/// A sentence on them.
fn without(left_out: Vec<&str>) -> Option<Say> {
    let says = |names| say("This is without {}, which could not be computed.", [names]);
    (!left_out.is_empty()).then(|| says(Value::names(left_out)))
}

/// What the loudest units bring, and what screens take of it.
fn shares(heard: &Heard, of: fn(&Share) -> Option<f64>) -> Say {
    let mut loudest: Vec<(&Share, f64)> = heard.units.iter().filter_map(|share| Some((share, of(share)?))).collect();
    loudest.sort_by(|a, b| b.1.total_cmp(&a.1));
    let one = |(share, level): &(&Share, f64)| {
        let brings = say("{} {} ", [Value::name(&share.name), dba(*level)]);
        if share.screens.is_empty() {
            return Value::Say(brings.and("(unscreened)", []));
        }
        Value::Say(brings.and("({}: {} less)", [Value::names(&share.screens), Value::Decibels(share.screens_dB)]))
    };
    let told = Value::Row(loudest.iter().take(3).map(one).collect());
    match loudest.len().saturating_sub(3) {
        0 => say("By unit: {}.", [told]),
        1 => say("By unit: {}; 1 more is quieter.", [told]),
        more => say("By unit: {}; {} more are quieter.", [told, Value::Count(more)]),
    }
}

/// The levels for which the job gives no limit.
fn not_judged(heard: &Heard, times: &[Time]) -> Option<Finding> {
    let open: Vec<(&Time, f64)> =
        times.iter().filter(|time| time.limit.is_none()).filter_map(|time| Some((time, time.level?))).collect();
    let (first, level) = open.first()?;
    let told = open.iter().map(|(time, level)| Value::Say(time.says(*level))).collect();
    let keys = open.iter().map(|(time, _)| Value::name(time.key)).collect();
    let mut missing: Vec<&str> = Vec::new();
    for unit in open.iter().flat_map(|(time, _)| left_out(heard, time)) {
        if !missing.contains(&unit) {
            missing.push(unit);
        }
    }
    let levels = say(
        "The level at {} is {}. Not judged: the job gives no limit ({}).",
        [Value::name(&heard.name), Value::List(told), Value::Row(keys)],
    );
    let decides = say("The local ordinance governs.", []);
    let says = Say::sentences([levels].into_iter().chain(without(missing)).chain([decides]));
    let finding = finding(Verdict::NotJudged).found(*level, None, Kind::Level).says(says).by(METHOD);
    Some(if open.len() == 1 { finding.at(first.when.clone()) } else { finding })
}

/// A caution for each unit whose own sound power at night is given louder than that by day.
fn louder_at_night(study: &RoofStudy) -> Vec<Finding> {
    let mut told: Vec<usize> = Vec::new();
    let mut findings = Vec::new();
    for share in study.heard.iter().flat_map(|heard| &heard.units) {
        let Some((day, night)) = share.power_dBA.zip(share.night_power_dBA) else { continue };
        if share.night_by != Some(NightBy::Given) || night <= day + 1e-9 || told.contains(&share.unit) {
            continue;
        }
        told.push(share.unit);
        let says = say(
            "{} is louder at night ({}, night_sound_power) than by day ({}, sound_power): one of the two is wrong.",
            [Value::name(&share.name), dba(night), dba(day)],
        );
        let caution = finding(Verdict::Caution).place(Place::Unit(share.unit)).found(night, day, Kind::Level);
        findings.push(caution.says(says).by(Source::Job("night_sound_power")));
    }
    findings
}

/// The units whose sound is not known; they are the same for every listener.
fn unknown(heard: &Heard) -> Option<Finding> {
    if heard.without_day.is_empty() {
        return None;
    }
    let words = if heard.day_dBA.is_none() && heard.night_dBA.is_none() {
        "Not judged: the job gives no sound power (sound_power) of {}."
    } else if heard.without_day.len() == 1 {
        "The job gives no sound power (sound_power) of {}. By day it is left out, and at night unless it has \
         night_sound_power."
    } else {
        "The job gives no sound power (sound_power) of {}. By day they are left out, and at night unless they have \
         night_sound_power."
    };
    let says = say(words, [Value::names(&heard.without_day)]);
    Some(finding(Verdict::NotJudged).says(says).by(Source::Job("sound_power")))
}

#[cfg(test)]
mod tests;
