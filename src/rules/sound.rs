//! `sound`: does every listener hear less than the local ordinance allows?

use super::case::{capital, list};
use super::limit::{limit, title};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Heard, Quieter, RoofStudy};
use crate::units::System;

/// The rule.
pub const RULE: Rule = Rule {
    id: "sound",
    question: "Does every listener hear less than the local ordinance allows, by day and at night?",
    explanation: "\
The general method of ISO 9613-2 from the outlet of every unit to every listener: the sound power, spreading over the roof as a \
reflecting plane (L_p = L_W - 20 lg r - 8), what the air absorbs at 10 °C and 70 %, and screens: the walls, the parapet and the edge of the \
roof itself, over their tops and round their ends. By octave where the sound power is given so; a single A-weighted level is carried with the terms of \
500 Hz, as the standard has it. Units are added by their energy. At night by night_sound_power, or by night_speed and the law of \
fans, 50 lg of the speed.

Open screens, the bodies of other units, the ground beyond the roof and reflections at walls are not counted; a wall behind a unit can \
add up to 3 dB. The standard gives its accuracy as 3 dB: a level closer than that under the limit is a caution. Over it is a fail. Without \
a limit ([[roof.listener]] limit, night_limit) the level is told and the ordinance decides.

The mends are computed and the level computed again with each: slower fans at night, the sound power that the units may have, a wall or the \
parapet made higher, a new screen beside the units.",
    limits: &["sound_margin"],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The local ordinance decides; where it is close, an acoustician measures.";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study.heard.iter().flat_map(|heard| judge(job, heard)).collect();
    if findings.is_empty() && job.roof.as_ref().is_some_and(|roof| !roof.listeners.is_empty()) {
        let says = "The height of the roof ([roof] height) is not given, so no level was computed.";
        findings.push(Finding::new(RULE.id, Verdict::Note, None).says(says).by(title("iso-9613-2")));
    }
    findings
}

/// By day or at night.
struct Time<'a> {
    when: &'static str,
    level: Option<f64>,
    limit: Option<f64>,
    without: &'a [String],
    mend: Option<&'a Quieter>,
    key: &'static str,
}

fn judge(job: &Job, heard: &Heard) -> Vec<Finding> {
    let times = [
        Time {
            when: "by day",
            level: heard.day_dBA,
            limit: heard.limit_dBA,
            without: &heard.without_day,
            mend: heard.day_mend.as_ref(),
            key: "limit",
        },
        Time {
            when: "at night",
            level: heard.night_dBA,
            limit: heard.night_limit_dBA,
            without: &heard.without_night,
            mend: heard.night_mend.as_ref(),
            key: "night_limit",
        },
    ];
    let mut findings: Vec<Finding> = times.iter().filter_map(|time| at(job, heard, time)).collect();
    if findings.is_empty() {
        let why = if heard.too_near.is_empty() {
            format!("no unit's sound power is given ({})", list(heard.without_day.iter().cloned()))
        } else {
            format!("{} stands too near for the formula", list(heard.too_near.iter().cloned()))
        };
        let says = format!("What {} hears was not computed: {why}.", heard.name);
        findings.push(finding(heard, Verdict::Note).says(says).by(title("iso-9613-2")));
    }
    findings
}

fn finding(heard: &Heard, verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None).place(format!("listener {}", heard.name))
}

fn at(job: &Job, heard: &Heard, time: &Time) -> Option<Finding> {
    let show = job.units;
    let level = time.level?;
    let margin = limit(job, "sound_margin");
    let mut says = format!("{} it is {} for {}", capital(time.when), show.level(level), heard.name);
    let left_out = if time.without.is_empty() && heard.too_near.is_empty() {
        String::new()
    } else {
        let names = list(time.without.iter().chain(&heard.too_near).cloned());
        format!(" Without {names}, whose sound power is not given or to which it is too near for the formula.")
    };
    let Some(allowed) = time.limit else {
        says = format!("{says}; no limit is given ({}).{left_out} {DECIDES}", time.key);
        return Some(finding(heard, Verdict::Note).found(level, None, "dB").says(says).by(title("iso-9613-2")));
    };
    let (verdict, used) = if level > allowed + 1e-9 {
        (Verdict::Fail, allowed)
    } else if level > allowed - margin.value + 1e-9 {
        (Verdict::Caution, allowed - margin.value)
    } else {
        (Verdict::Pass, allowed - margin.value)
    };
    says = format!("{says}; {} is allowed.{left_out}", show.level(allowed));
    let source =
        if verdict == Verdict::Fail { format!("the job file ([[roof.listener]] {})", time.key) } else { margin.source };
    let mut found = finding(heard, verdict).found(level, used, "dB").by(source);
    if verdict > Verdict::Note {
        says = format!("{says} The method is good to 3 dB. {DECIDES}");
        found.mend = time.mend.and_then(|mend| ways(show, mend));
        if found.mend.is_none() && verdict == Verdict::Fail {
            found.mend = Some(
                "No one change that was tried mends it: slower fans, a quieter unit, a higher wall, a new screen."
                    .to_owned(),
            );
        }
    }
    Some(found.says(says))
}

/// What would make it quiet enough, three ways at most.
fn ways(show: System, mend: &Quieter) -> Option<String> {
    let mut ways = Vec::new();
    if let Some(slower) = mend.slower {
        let of = if slower.of_full { "of their full speed" } else { "of the speed that they have then" };
        ways.push(format!("Fans at {} {of} would do: {}.", show.percent(slower.share), show.level(slower.reaches_dBA)));
    }
    if let (Some(power), Some(reaches)) = (mend.power_dBA, mend.power_reaches_dBA) {
        ways.push(format!(
            "Units of no more than {} of sound power would do: {}.",
            show.level(power),
            show.level(reaches)
        ));
    }
    if let Some(raised) = &mend.raised {
        ways.push(format!(
            "{}, made {} high, would do: {}.",
            capital(&raised.name),
            show.length(raised.height_m),
            show.level(raised.reaches_dBA)
        ));
    }
    if let Some(screen) = &mend.screen {
        ways.push(format!(
            "A solid screen {} high and {} long, {} from the {} side of {}, would do: {}.",
            show.length(screen.height_m),
            show.length(screen.length_m),
            show.length(screen.distance_m),
            screen.side,
            list(screen.units.iter().cloned()),
            show.level(screen.reaches_dBA)
        ));
    }
    (!ways.is_empty()).then(|| ways.into_iter().take(3).collect::<Vec<_>>().join(" Or: "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Listener, Roof, SoundPower};
    use crate::roof::testing::{feet, planned, studied};

    fn with(change: impl FnOnce(&mut Roof)) -> Job {
        planned(|roof| {
            roof.units[0].sound = Some(SoundPower::A(92.0));
            roof.units[0].night_speed = Some(0.8);
            roof.listeners.push(Listener {
                name: "office across the yard".to_owned(),
                at: feet(100.0, -80.0),
                height_m: 6.0,
                limit_dba: Some(90.0),
                night_limit_dba: Some(90.0),
            });
            change(roof);
        })
    }

    fn found(job: &Job) -> Vec<Finding> {
        look(job, &studied(job))
    }

    fn levels() -> (f64, f64) {
        let heard = studied(&with(|_| {})).heard.remove(0);
        (heard.day_dBA.unwrap(), heard.night_dBA.unwrap())
    }

    #[test]
    fn the_limit_less_the_margin_itself_is_clear_and_the_limit_itself_is_a_caution() {
        let (day, night) = levels();
        assert!((day - night - 50.0 * f64::log10(1.0 / 0.8)).abs() < 1e-9, "{day} {night}");
        let at = |by_day: f64, by_night: f64| {
            found(&with(|roof| {
                roof.listeners[0].limit_dba = Some(by_day);
                roof.listeners[0].night_limit_dba = Some(by_night);
            }))
        };
        let verdicts = |found: Vec<Finding>| found.iter().map(|f| f.verdict).collect::<Vec<_>>();
        assert_eq!(verdicts(at(day + 3.0, night + 2.99)), [Verdict::Pass, Verdict::Caution]);
        assert_eq!(verdicts(at(day, night - 0.01)), [Verdict::Caution, Verdict::Fail]);
    }

    #[test]
    fn the_night_speed_that_is_named_would_do() {
        let (_, night) = levels();
        let loud = with(|roof| roof.listeners[0].night_limit_dba = Some(night - 2.0));
        let study = studied(&loud);
        let finding = look(&loud, &study).remove(1);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!(finding.mend.as_ref().unwrap().starts_with("Fans at "), "{finding:?}");
        assert_eq!(finding.r#where.as_deref(), Some("listener office across the yard"));
        let slower = study.heard[0].night_mend.as_ref().unwrap().slower.unwrap();
        let share = if slower.of_full { slower.share } else { slower.share * 0.8 };
        let mended = with(|roof| {
            roof.listeners[0].night_limit_dba = Some(night - 2.0);
            roof.units[0].night_speed = Some(share);
        });
        assert!(found(&mended)[1].verdict < Verdict::Fail);
    }

    #[test]
    fn without_a_limit_the_level_is_told_and_without_sound_power_the_units_are() {
        let open = found(&with(|roof| roof.listeners[0].limit_dba = None));
        assert_eq!((open[0].verdict, open[0].limit), (Verdict::Note, None));
        assert!(open[0].says.ends_with(DECIDES));
        let silent = found(&with(|roof| roof.units[0].sound = None));
        assert_eq!((silent.len(), silent[0].verdict), (1, Verdict::Note));
        assert!(silent[0].says.contains("C1"), "{}", silent[0].says);
    }

    #[test]
    fn without_the_roof_s_height_or_a_listener_nothing_is_judged() {
        let flat = found(&with(|roof| roof.height_m = None));
        assert_eq!((flat.len(), flat[0].verdict), (1, Verdict::Note));
        assert!(found(&with(|roof| roof.listeners.clear())).is_empty());
    }
}
