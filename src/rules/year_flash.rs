//! `year-flash`: in how many hours of the year is the expansion valve not fed with all liquid?

use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::limit;
use super::say::{Value, say};
use super::worst_hour::{Of, at, each, hours, when, when_running};
use crate::job::{Job, LineId};
use crate::units::Kind;
use crate::year::Year;

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-flash",
    question: "In how many hours of the year does gas reach the expansion valve?",
    explanation: "\
Every hour of the weather file, at the stages that carry the load of that hour. The subcooling at the valve's inlet \
is compared with what the valve requires (none at part load), and the liquid ahead of it with its bubble pressure, as \
in `liquid-flash`. Hours in which condensing falls to the evaporating temperature are reported separately. So are \
those in which the wide-open valve passes too little and starves the evaporator.

The operating points of `check` are two outdoor temperatures at two loads. Liquid may be free of gas at all of them \
and flash between: a line that takes heat at a small flow, or a head without control on a mild day.",
    limits: &["year_flash", "liquid_margin"],
    look: Look::Year(look),
};

fn look(job: &Job, year: &Year) -> Vec<Finding> {
    let of_one = |of: Of| {
        let ran = of.idle(job, RULE.id).or_else(|| judge(job, &of));
        falls(job, &of).into_iter().chain(starves(job, &of)).chain(ran)
    };
    each(job, year).flat_map(of_one).collect()
}

/// Hours in which nothing keeps the head up.
fn falls(job: &Job, of: &Of) -> Option<Finding> {
    let (allowed, falls) = (limit(job, "year_flash"), of.year.falls);
    let worst = falls.worst.filter(|_| falls.hours > allowed.value)?;
    let says = say(
        "With all compressors running, condensing falls to the evaporating temperature in {} of the year, and the \
         valve gets no liquid. The coldest is {}.",
        [hours(falls.hours), when(&worst)],
    );
    let finding = of.finding(RULE.id, Verdict::Fail).at(at(&worst)).place(Place::Condenser);
    Some(finding.found(falls.hours, allowed.value, Kind::Hours).says(says).by(allowed.source))
}

/// Hours in which the valve does not feed, though wide open.
fn starves(job: &Job, of: &Of) -> Option<Finding> {
    let (allowed, starves) = (limit(job, "year_flash"), of.year.starves);
    let worst = starves.worst.filter(|_| starves.hours > allowed.value)?;
    let says = say(
        "With all compressors running the wide-open expansion valve feeds too little in {} of the year, and the \
         evaporator starves. The coldest is {}.",
        [hours(starves.hours), when(&worst)],
    );
    let finding = of.finding(RULE.id, Verdict::Fail).at(at(&worst)).place(Place::Valve);
    Some(finding.found(starves.hours, allowed.value, Kind::Hours).says(says).by(allowed.source))
}

fn judge(job: &Job, of: &Of) -> Option<Finding> {
    let (allowed, flash) = (limit(job, "year_flash"), of.year.flash);
    let worst = flash.worst?;
    let verdict = if flash.hours > allowed.value { Verdict::Fail } else { Verdict::Pass };
    let (runs, when) = (hours(of.year.running_hours), when_running(&worst));
    let difference = |kelvins: f64| Value::Of(Kind::Difference, kelvins);
    let says = if flash.hours > 0.0 {
        say(
            "In {} of {} of operation the liquid flashes ahead of the valve or has less subcooling than required. The \
             worst is {}: {} short.",
            [hours(flash.hours), runs, when, difference(-worst.value)],
        )
    } else {
        say(
            "The valve gets liquid in all {} of operation. The smallest margin is {}, {}.",
            [runs, difference(worst.value), when],
        )
    };
    let finding = of.finding(RULE.id, verdict).at(at(&worst)).found(flash.hours, allowed.value, Kind::Hours);
    let finding = finding.says(says).by(allowed.source);
    Some(match worst.run.filter(|run| *run > 0 && worst.value < 0.0) {
        Some(run) => finding.place(Place::Runs(LineId::Liquid, vec![run])),
        None => finding,
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{degrees, only};
    use super::super::worst_hour::testing::{by_hand, found, in_a_year, run};
    use super::*;
    use crate::job::{HeadControl, Plant, Profile, Running};
    use crate::year::Spell;

    #[test]
    fn the_hours_that_are_allowed_pass_and_one_more_fails() {
        let mut job = in_a_year(|_| {});
        let at = |job: &Job, hours: f64| only(found(RULE, job, &by_hand(job, |year| year.flash.hours = hours)));
        assert_eq!((at(&job, 0.0).verdict, at(&job, 1.0).verdict), (Verdict::Pass, Verdict::Fail));
        job.limits.insert("year_flash".to_owned(), 20.0);
        assert_eq!((at(&job, 20.0).verdict, at(&job, 20.5).verdict), (Verdict::Pass, Verdict::Fail));
    }

    #[test]
    fn a_circuit_that_never_runs_is_told_and_not_judged() {
        let mut job = in_a_year(|_| {});
        let year = by_hand(&job, |year| {
            year.running_hours = 0.0;
            year.flash = Spell::default();
        });
        job.plant = None;
        assert!(found(RULE, &job, &year).is_empty());
        let load = crate::units::watts(1.0);
        job.plant = Some(Plant { load, spare: 0, profile: Profile::Constant, running: Running::Few });
        let told = only(found(RULE, &job, &year));
        assert_eq!((told.verdict, told.measure), (Verdict::NotJudged, None));
        assert!(
            told.words().starts_with("The chillers ahead of it in the file carry the load in every hour,"),
            "{}",
            told.words()
        );
    }

    #[test]
    fn a_year_in_which_no_hour_has_a_solution_says_so() {
        let mut job = in_a_year(|circuit| circuit.condenser.rejection *= 0.001);
        let load = crate::units::watts(1e5);
        job.plant = Some(Plant { load, spare: 0, profile: Profile::Constant, running: Running::Few });
        let told = only(found(RULE, &job, &run(&job)));
        assert_eq!((told.verdict, told.measure), (Verdict::NotJudged, None));
        assert!(told.words().contains("no hour of the year has a solution"), "{}", told.words());
        job.plant = None;
        assert_eq!(only(found(RULE, &job, &run(&job))).verdict, Verdict::NotJudged);
    }

    #[test]
    fn a_clean_job_is_fed_all_year() {
        let job = in_a_year(|_| {});
        let finding = only(found(RULE, &job, &run(&job)));
        assert_eq!((finding.verdict, finding.value()), (Verdict::Pass, 0.0));
        assert!(finding.words().starts_with("The valve gets liquid in all 8760 hours of operation."));
    }

    #[test]
    fn a_valve_that_asks_for_more_fails() {
        let job = in_a_year(|circuit| circuit.valve.subcooling = degrees(24.0));
        let finding = only(found(RULE, &job, &run(&job)));
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!(finding.words().contains(" short."), "{}", finding.words());
    }

    #[test]
    fn a_head_that_nothing_holds_starves_the_evaporator() {
        let job = in_a_year(|circuit| {
            circuit.condenser.head_control = HeadControl::None;
            circuit.condenser.rejection *= 4.0;
        });
        let year = run(&job);
        assert!(year.circuits[0].starves.hours > 0.0, "{:?}", year.circuits[0].starves);
        let findings = found(RULE, &job, &year);
        let fall = findings.iter().find(|finding| finding.words().contains("the evaporator starves")).unwrap();
        assert_eq!(fall.verdict, Verdict::Fail);
    }
}
