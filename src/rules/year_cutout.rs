//! `year-cutout`: in how many hours of the year does the high-pressure switch open?

use super::finding::{Finding, Look, Rule, Source, Verdict};
use super::limit::limit;
use super::say::{Say, Value, say};
use super::worst_hour::{Of, at, each, hours, when};
use crate::job::Job;
use crate::units::{Kind, Pressure};
use crate::year::{WithWarmAir, Worst, Year};

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-cutout",
    question: "In how many hours of the year does the high-pressure cut-out trip?",
    explanation: "\
The discharge pressure in every hour of the weather file, all compressors running, is compared with the \
high-pressure cut-out. Hours at or above its setting are counted, with those in which the condenser cannot reject \
the heat at any pressure. Hours within 5 % of it, as absolute pressure, are a caution. The design day of `check` is \
reached or exceeded in 35 hours or more: this rule gives those hours.

Where the plan of the roof returns more warm air than the job says, the hours with that air all the year are \
reported, and are a caution where the cut-out trips or is near. The worst wind does not blow all the year, but it \
may on the hottest day.

A chiller that trips stays off until someone resets it, and it trips in the hours of the greatest load. Dirt on the \
coil and returning air add hours.",
    limits: &["year_cutout", "cutout_margin"],
    look: Look::Year(look),
};

fn look(job: &Job, year: &Year) -> Vec<Finding> {
    each(job, year).filter_map(|of| judge(job, &of)).collect()
}

fn judge(job: &Job, of: &Of) -> Option<Finding> {
    let (allowed, year) = (limit(job, "year_cutout"), of.year);
    let (opens, near) = (year.trips.hours + year.unsolved.hours, year.near_cutout.hours);
    // Of hours without a balance the hottest is worse than any that has one.
    let worst = year.unsolved.worst.or(year.trips.worst)?;
    let unsolved = year.unsolved.worst.filter(|_| year.unsolved.hours > 0.0).map(|hottest| {
        say(
            "With all compressors running, {} of the year have no operating point at any pressure. The hottest is {}.",
            [hours(year.unsolved.hours), when(&hottest)],
        )
    });
    let cutout = of.circuit.condenser.cutout.map(Pressure::pascals);
    let graded = match cutout {
        _ if opens > allowed.value => Verdict::Fail,
        None => Verdict::NotJudged,
        Some(_) if near > allowed.value => Verdict::Caution,
        Some(_) => Verdict::Pass,
    };
    let margin = Value::Of(Kind::Share, job.limit("cutout_margin"));
    let pressures = year.trips.worst.map(|highest| match cutout {
        Some(cutout) => against_the_switch(of, &highest, cutout, margin.clone()),
        None => say(
            "The highest pressure of the year is {}, {}. Not judged: the job gives no high-pressure cut-out \
             (condenser.cutout).",
            [Value::Of(Kind::Pressure, highest.value), when(&highest)],
        ),
    });
    let warm = year.warm_air.filter(|_| cutout.is_some() && graded < Verdict::Fail);
    let told = warm.map(|warm| with_warm_air(job, of, &warm, margin));
    let warm = warm.map_or(0.0, |warm| warm.trip_hours.max(warm.near_hours));
    let verdict = if warm > allowed.value { Verdict::Caution } else { graded };
    let value = match verdict {
        Verdict::Caution if near > allowed.value => near,
        Verdict::Caution => warm,
        _ => opens,
    };
    let source = if verdict == Verdict::NotJudged { Source::Job("condenser.cutout") } else { allowed.source };
    let says = Say::sentences([unsolved, pressures, told].into_iter().flatten());
    let finding = of.finding(RULE.id, verdict).at(at(&worst)).found(value, allowed.value, Kind::Hours);
    Some(finding.says(says).by(source))
}

/// The highest pressure of the year against the switch.
fn against_the_switch(of: &Of, highest: &Worst, cutout: f64, margin: Value) -> Say {
    let (opens, near) = (of.year.trips.hours, of.year.near_cutout.hours);
    let pressure = |pascals: f64| Value::Of(Kind::Pressure, pascals);
    let values = [pressure(highest.value), when(highest), pressure(cutout)];
    if opens > 0.0 {
        let opens =
            say("With all compressors running the high-pressure cut-out trips in {} of the year", [hours(opens)]);
        let opens =
            if near > 0.0 { opens.and(", and {} more are within {} of it", [hours(near), margin]) } else { opens };
        opens.and(". The worst is {}, {}; the cut-out trips at {}.", values)
    } else if near > 0.0 {
        let near = [hours(near), margin];
        say("With all compressors running {} of the year are within {} of the high-pressure cut-out.", near)
            .and(" The worst is {}, {}; the cut-out trips at {}.", values)
    } else {
        say("With all compressors running the highest pressure of the year is {}, {}; the cut-out trips at {}.", values)
    }
}

/// What the warm air that the plan returns makes of the hours.
fn with_warm_air(job: &Job, of: &Of, warm: &WithWarmAir, margin: Value) -> Say {
    let said = of.circuit.condenser.recirculation.unwrap_or(job.site.recirculation).value;
    let difference = |kelvins: f64| Value::Of(Kind::Difference, kelvins);
    say(
        "That is with {} of returning warm air, as the job says. With the {} of the worst wind all the year it trips \
         in {} and is within {} of it in {}.",
        [difference(said), difference(warm.recirculation_K), hours(warm.trip_hours), margin, hours(warm.near_hours)],
    )
}

#[cfg(test)]
mod tests {
    use super::super::testing::only;
    use super::super::worst_hour::testing::{by_hand, found, in_a_year, run};
    use super::*;

    /// The job with its switch so far above the highest pressure of its year.
    fn switch_at(times: f64, rejection: f64) -> Job {
        let job = in_a_year(|circuit| circuit.condenser.cutout = None);
        let highest = run(&job).circuits[0].trips.worst.unwrap().value;
        in_a_year(|circuit| {
            circuit.condenser.cutout = Some(Pressure::from_pascals(times * highest));
            circuit.condenser.rejection *= rejection;
        })
    }

    #[test]
    fn warm_air_that_the_plan_returns_is_a_caution_where_the_switch_opens_with_it() {
        let job = in_a_year(|_| {});
        let at = |trip_hours: f64, near_hours: f64| {
            let warm = WithWarmAir { recirculation_K: 5.0, trip_hours, near_hours };
            only(found(RULE, &job, &by_hand(&job, |year| year.warm_air = Some(warm))))
        };
        assert_eq!(at(0.0, 0.0).verdict, Verdict::Pass);
        for (opens, near) in [(27.0, 108.0), (0.0, 3.0)] {
            let finding = at(opens, near);
            assert_eq!((finding.verdict, finding.value()), (Verdict::Caution, f64::max(opens, near)));
            // 5 K are 9 F.
            assert!(finding.words().contains("With the 9 F of the worst wind"), "{}", finding.words());
        }
    }

    #[test]
    fn the_hours_that_are_allowed_pass_and_one_more_fails() {
        let mut job = in_a_year(|_| {});
        job.limits.insert("year_cutout".to_owned(), 3.0);
        let at = |hours: f64| only(found(RULE, &job, &by_hand(&job, |year| year.trips.hours = hours)));
        assert_eq!((at(3.0).verdict, at(4.0).verdict), (Verdict::Pass, Verdict::Fail));
        assert_eq!(at(4.0).source, Source::OwnLimit);
        let near = |hours: f64| only(found(RULE, &job, &by_hand(&job, |year| year.near_cutout.hours = hours)));
        assert_eq!((near(3.0).verdict, near(3.5).verdict), (Verdict::Pass, Verdict::Caution));
    }

    #[test]
    fn a_year_below_the_switch_passes_and_tells_its_highest_pressure() {
        let job = switch_at(1.2, 1.0);
        let finding = only(found(RULE, &job, &run(&job)));
        assert_eq!((finding.verdict, finding.value()), (Verdict::Pass, 0.0));
        assert!(finding.words().contains("highest pressure of the year is ") && finding.words().contains(" h, "));
    }

    #[test]
    fn without_a_switch_it_is_not_judged() {
        let job = in_a_year(|circuit| circuit.condenser.cutout = None);
        let finding = only(found(RULE, &job, &run(&job)));
        assert_eq!((finding.verdict, &finding.source), (Verdict::NotJudged, &Source::Job("condenser.cutout")));
        assert!(finding.words().contains("Not judged: "), "{}", finding.words());
    }

    #[test]
    fn a_switch_that_opens_fails() {
        let job = switch_at(0.97, 1.0);
        let finding = only(found(RULE, &job, &run(&job)));
        assert_eq!((finding.verdict, finding.measure.unwrap().kind), (Verdict::Fail, Kind::Hours));
        assert!(finding.words().contains("cut-out trips in ") && finding.words().contains("more are within 5 %"));
    }

    #[test]
    fn a_condenser_that_cannot_reject_the_heat_in_summer_fails() {
        let job = in_a_year(|circuit| circuit.condenser.rejection *= 0.12);
        let year = run(&job);
        assert!(year.circuits[0].unsolved.hours > 0.0);
        let finding = only(found(RULE, &job, &year));
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!(finding.words().starts_with("With all compressors running, "));
    }
}
