//! `year-load`: does the plant carry its load all the year, with the spare out?

use super::limit::limit;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::year::{PlantYear, Shortfall, Year};
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-load",
    question: "Does the plant carry its load in every hour of the year, with the spare modules out of service?",
    explanation: "\
Every hour of the weather file through the balance: the capacity of all machines as the outdoor temperature derates them, against the \
load that the plant has in that hour ([plant] profile). A machine counts with as many of its compressors as stay below their high-pressure \
switch. The same with the spare modules out, those that give most in the hottest hour; where the job names no spare the plant is \
looked at with one module out as well, which is then told and is no fail.

Where the roof is drawn and its plan returns more warm air than the job says, the hours short with that air all the year are told, \
and are a caution where there are too many.

The design day is exceeded in some hours of a typical year by several degrees, and the load is often greatest just then. Short of it the \
fluid leaves warmer, and a process that needs it cold stops.

The mend is the number of modules like the largest with which no more hours are short than are allowed, tried in every hour, and \
the load that the plant carries all the year.",
    limits: &["year_load"],
    look: Look::Year(look),
};

fn look(job: &Job, year: &Year) -> Vec<Finding> {
    year.plant.as_ref().map(|plant| vec![judge(job, plant)]).unwrap_or_default()
}

/// The shortfall that counts: with the spare out where there is a spare.
fn counted(plant: &PlantYear) -> &Shortfall {
    if plant.spare > 0 { &plant.short_without } else { &plant.short }
}

fn judge(job: &Job, plant: &PlantYear) -> Finding {
    let show = job.units;
    let used = limit(job, "year_load");
    let short = counted(plant);
    let verdict = if short.hours > used.value {
        Verdict::Fail
    } else if plant.spare == 0 && plant.short_without.hours > used.value {
        Verdict::Note
    } else {
        Verdict::Pass
    };
    let out = format!("with {} out", plant.out_in_words());
    let names = if plant.spare > 0 { out.clone() } else { "with every machine".to_owned() };
    let gaps = job.weather.as_ref().is_some_and(|weather| !weather.gaps().is_empty());
    let of_the_file = if gaps { " that the weather file has" } else { "" };
    let mut says = match &short.worst {
        Some(worst) if short.hours > 0.0 => format!(
            "{names} the plant is short of its load in {} of the year, most on {} at {}: {} against {}.",
            show.hours(short.hours),
            worst.says(),
            show.temperature(worst.outdoor_K),
            some(show, short.capacity_W),
            show.capacity(worst.load_W.unwrap_or(plant.load_W))
        ),
        Some(worst) => format!(
            "{names} the plant carries its load in every hour{of_the_file}; least is to spare on {} at {}: {} against {}.",
            worst.says(),
            show.temperature(worst.outdoor_K),
            some(show, short.capacity_W),
            show.capacity(worst.load_W.unwrap_or(plant.load_W))
        ),
        None => format!("{names} the plant has no hour to carry a load in."),
    };
    says = super::say::capital(&says);
    if plant.spare == 0 && plant.out > 0 {
        let without = &plant.short_without;
        let told = if without.hours > 0.0 {
            format!(" {} it would be short in {}.", super::say::capital(&out), show.hours(without.hours))
        } else {
            format!(" {} it still carries it.", super::say::capital(&out))
        };
        says += &told;
    } else if plant.short.hours > 0.0 {
        let _ = write!(says, " With every machine it is short in {}.", show.hours(plant.short.hours));
    }
    let warm = plant.warm_air.filter(|_| verdict < Verdict::Fail);
    let warm = warm.map(|warm| if plant.spare > 0 { warm.short_without_hours } else { warm.short_hours });
    if let Some(warm) = warm {
        let _ = write!(
            says,
            " That is with as much warm air returning as the job says; with what the plan returns in the worst wind, all the year, it \
             would be short {names} in {}.",
            show.hours(warm)
        );
    }
    let warm = warm.filter(|hours| *hours > used.value);
    let verdict = if warm.is_some() { Verdict::Caution } else { verdict };
    let value = warm.unwrap_or(short.hours);
    let mut found = Finding::new(RULE.id, verdict, None).found(value, used.value, "h").says(says).by(used.source);
    if verdict == Verdict::Fail {
        found.mend = Some(mend(job, plant, short));
    } else if warm.is_some() {
        found.mend = Some("What keeps the warm air off the units, as `recirculation` has it, would do.".to_owned());
    }
    found
}

/// A capacity that may be none.
fn some(show: crate::units::System, watts: f64) -> String {
    if watts > 0.0 { show.capacity(watts) } else { "nothing".to_owned() }
}

fn mend(job: &Job, plant: &PlantYear, short: &Shortfall) -> String {
    let show = job.units;
    let carried = if short.carried_W > 0.0 {
        format!(
            " As it is, a load of {} on the design day, with the same course over the year, is carried in every hour.",
            show.capacity(short.carried_W)
        )
    } else {
        String::new()
    };
    match short.more {
        Some(more) => format!(
            "{} like {} ({} in that hour) would do.{carried}",
            if more > 1 { format!("{more} more modules") } else { "One more module".to_owned() },
            plant.largest,
            some(show, short.largest_W)
        ),
        None => "Mend first what keeps the circuits from a balance in the hottest hours.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Plant, Profile, Running};
    use crate::rules::testing;
    use crate::units::watts;
    use std::path::Path;
    use std::sync::Arc;

    fn with(load: f64, spare: u32, copies: u32) -> Job {
        let mut job = testing::job();
        let file = Path::new("tests/data/weather/pvgis_tmy_45N_8E_2005_2023.epw");
        job.weather = Some(Arc::new(crate::weather::open(file).unwrap()));
        job.circuits[0].copies = copies;
        job.plant = Some(Plant { load: watts(load), spare, profile: Profile::Constant, running: Running::Few });
        job
    }

    fn found(job: &Job) -> Finding {
        let year = crate::year::year(job, &|_| {}).unwrap().unwrap();
        look(job, &year).remove(0)
    }

    /// Capacity of one machine in the hottest hour, W.
    fn hottest() -> f64 {
        let job = with(1.0, 0, 1);
        crate::year::year(&job, &|_| {}).unwrap().unwrap().circuits[0].hottest_capacity_W.unwrap()
    }

    #[test]
    fn the_load_itself_is_carried_and_a_hair_more_is_not() {
        let hottest = hottest();
        assert_eq!(
            found(&with(hottest * (1.0 - 1e-7), 0, 1)).verdict,
            Verdict::Note,
            "with the one out nothing is left"
        );
        let over = found(&with(hottest * 1.001, 0, 1));
        assert_eq!((over.verdict, over.unit), (Verdict::Fail, Some("h")));
        assert!(over.value.unwrap() >= 1.0 && over.says.contains("30 June, 15 to 16 h"), "{}", over.says);
    }

    /// The file of `with` without July, hours 4344 to 5087.
    #[test]
    fn of_a_file_with_gaps_it_is_said_that_it_is_its_hours() {
        let whole = with(hottest() * 0.9, 0, 1);
        assert!(found(&whole).says.contains("carries its load in every hour; "));
        let text = include_str!("../../tests/data/weather/pvgis_tmy_45N_8E_2005_2023.epw");
        let lines: Vec<&str> = text.lines().collect();
        let text = [&lines[..8 + 4344], &lines[8 + 5088..]].concat().join("\n");
        let weather = Some(Arc::new(crate::weather::read("hall.epw", &text).unwrap()));
        let says = found(&Job { weather, ..whole }).says;
        assert!(says.contains("carries its load in every hour that the weather file has; "), "{says}");
    }

    #[test]
    fn a_limit_in_hours_is_kept_to_the_hour() {
        let mut job = with(hottest() * 1.02, 0, 1);
        let hours = found(&job).value.unwrap();
        assert!(hours > 5.0, "{hours}");
        job.limits.insert("year_load".to_owned(), hours);
        assert!(found(&job).verdict < Verdict::Fail);
        job.limits.insert("year_load".to_owned(), hours - 1.0);
        assert_eq!(found(&job).verdict, Verdict::Fail);
    }

    #[test]
    fn the_modules_and_the_load_that_are_named_would_do() {
        let load = 2.3 * hottest();
        let finding = found(&with(load, 1, 3));
        assert_eq!(finding.verdict, Verdict::Fail, "{}", finding.says);
        let mend = finding.mend.unwrap();
        assert!(mend.starts_with("One more module like "), "{mend}");
        assert_eq!(found(&with(load, 1, 4)).verdict, Verdict::Pass);
        assert_eq!(found(&with(1.999 * hottest(), 1, 3)).verdict, Verdict::Pass);
    }

    /// One machine of two: the worst hour with the other out is any hour, but what a third gives is judged in each.
    #[test]
    fn modules_are_counted_over_every_hour() {
        let hottest = hottest();
        for (load, spare, copies) in [(2.2, 0, 1), (1.5, 1, 1), (4.7, 2, 3)] {
            let mend = found(&with(load * hottest, spare, copies)).mend.unwrap();
            let more = match mend.split_once(" more module").unwrap().0 {
                "One" => 1,
                number => number.parse().unwrap(),
            };
            assert_eq!(found(&with(load * hottest, spare, copies + more)).verdict.max(Verdict::Note), Verdict::Note);
            assert_eq!(found(&with(load * hottest, spare, copies + more - 1)).verdict, Verdict::Fail, "{mend}");
        }
    }

    #[test]
    fn the_load_that_is_told_is_carried_and_a_little_more_is_not() {
        let load = 2.3 * hottest();
        let year = |load: f64| crate::year::year(&with(load, 0, 2), &|_| {}).unwrap().unwrap().plant.unwrap();
        let carried = year(load).short.carried_W;
        assert!(carried < load && year(carried * (1.0 - 1e-6)).short.hours == 0.0);
        assert!(year(carried * (1.0 + 1e-6)).short.hours > 0.0);
    }

    #[test]
    fn warm_air_that_the_plan_returns_is_a_caution_where_the_plant_is_short_with_it() {
        let job = with(1.9 * hottest(), 0, 2);
        let mut year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
        crate::year::with_warm_air(&job, &mut year, &[Some(0.5)]).unwrap();
        let told = look(&job, &year).remove(0);
        assert!(told.verdict == Verdict::Note && told.says.ends_with("would be short with every machine in 0 hours."));
        crate::year::with_warm_air(&job, &mut year, &[Some(10.0)]).unwrap();
        let told = look(&job, &year).remove(0);
        // As if the job said so itself.
        let mut said = job.clone();
        said.circuits[0].condenser.recirculation = Some(crate::units::kelvins(10.0));
        let short = found(&said);
        assert_eq!((told.verdict, short.verdict), (Verdict::Caution, Verdict::Fail));
        assert!(told.value.unwrap() > 0.0 && told.value == short.value, "{}", told.says);
    }

    #[test]
    fn without_a_load_there_is_nothing_to_say() {
        let job = Job { plant: None, ..with(1.0, 0, 1) };
        let year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
        assert!(look(&job, &year).is_empty());
    }
}
