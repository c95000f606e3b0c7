//! `year-load`: does the plant carry its load all the year, with the spare out?

use super::finding::{Finding, Look, Rule, Verdict};
use super::limit::limit;
use super::say::{Say, Value, say};
use super::worst_hour::hours;
use crate::job::Job;
use crate::units::Kind;
use crate::year::{PlantYear, Shortfall, Year};

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-load",
    question: "Does the plant carry its load in every hour of the year, with the spare modules out of service?",
    explanation: "\
The capacity of all chillers in every hour of the weather file, derated by the outdoor temperature, is compared with \
the load of that hour ([plant] profile). A chiller counts with as many of its compressors as stay below the \
high-pressure cut-out. The same is done with the spare modules out of service, those with the greatest capacity in \
the hottest hour. Where the job names no spare, one module out of service is reported and is no fail.

Where the plan of the roof returns more warm air than the job says, the hours short of the load with that air all \
the year are reported, and are a caution where there are too many.

A typical year exceeds the design day by several degrees in some hours, and the load is often greatest then. Short \
of it the fluid leaves warmer, and a process that needs it cold stops.",
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
    let used = limit(job, "year_load");
    let short = counted(plant);
    let graded = if short.worst.is_none() {
        Verdict::NotJudged
    } else if short.hours > used.value {
        Verdict::Fail
    } else if plant.spare == 0 && plant.short_without.hours > used.value {
        Verdict::Note
    } else {
        Verdict::Pass
    };
    let warm = plant.warm_air.filter(|_| graded != Verdict::Fail && short.worst.is_some());
    let warm = warm.map(|warm| if plant.spare > 0 { warm.short_without_hours } else { warm.short_hours });
    let told = warm.map(|short| {
        say(
            "That is with as much returning warm air as the job says. With that of the worst wind all the year it is \
             short {} in {}.",
            [counted_machines(plant), hours(short)],
        )
    });
    let says = [Some(carries(job, plant, short)), the_other_way(plant), told];
    let warm = warm.filter(|hours| *hours > used.value);
    let verdict = if warm.is_some() { Verdict::Caution } else { graded };
    let finding = Finding::new(RULE.id, verdict, None).says(Say::sentences(says.into_iter().flatten())).by(used.source);
    match short.worst {
        Some(_) => finding.found(warm.unwrap_or(short.hours), used.value, Kind::Hours),
        None => finding,
    }
}

/// The chillers that are left without those that are out.
fn without(plant: &PlantYear) -> Value {
    Value::Say(say("with {} out of service", [Value::name(plant.out_in_words())]))
}

/// The chillers that are counted.
fn counted_machines(plant: &PlantYear) -> Value {
    if plant.spare > 0 { without(plant) } else { Value::name("with every chiller") }
}

/// Whether the plant carries its load, and when it has minimum to spare.
fn carries(job: &Job, plant: &PlantYear, short: &Shortfall) -> Say {
    let machines = counted_machines(plant);
    let Some(worst) = &short.worst else {
        return say("{} the plant has no hour with a load.", [machines]);
    };
    let gaps = job.weather.as_ref().is_some_and(|weather| !weather.gaps().is_empty());
    let of_the_file = if gaps { " that the weather file has" } else { "" };
    let says = if short.hours > 0.0 {
        say("{} the plant is short of its load in {} of the year, by the maximum on ", [machines, hours(short.hours)])
    } else {
        say("{} the plant carries its load in every hour", [machines])
            .and(of_the_file, [])
            .and(". The smallest margin is on ", [])
    };
    let watts = |watts: f64| Value::Of(Kind::Capacity, watts);
    let carries = if short.capacity_W > 0.0 { watts(short.capacity_W) } else { Value::name("nothing") };
    let says = says.and("{} at {}: {}", [Value::name(worst.says()), Value::Temperature(worst.outdoor_K), carries]);
    match worst.load_W {
        Some(load) => says.and(" against {}.", [watts(load)]),
        None => says.and(".", []),
    }
}

/// How it is with the chillers that are not counted: without one more where there is no spare, with every one where there is.
fn the_other_way(plant: &PlantYear) -> Option<Say> {
    let lacking = plant.short_without.hours;
    if plant.spare == 0 && plant.out > 0 {
        return Some(if lacking > 0.0 {
            say("{} it is short in {}.", [without(plant), hours(lacking)])
        } else {
            say("{} it carries it too.", [without(plant)])
        });
    }
    (plant.short.hours > 0.0).then(|| say("With every chiller it is short in {}.", [hours(plant.short.hours)]))
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
        let file = Path::new("tests/data/weather/typical_year_45N_8E.epw");
        job.weather = Some(Arc::new(crate::weather::open(file).unwrap()));
        job.circuits[0].copies = copies;
        job.plant = Some(Plant { load: watts(load), spare, profile: Profile::Constant, running: Running::Few });
        job
    }

    fn found(job: &Job) -> Finding {
        let year = crate::year::year(job, &|_| {}).unwrap().unwrap();
        look(job, &year).remove(0)
    }

    /// Capacity of one chiller in the hottest hour, W.
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
        assert_eq!((over.verdict, over.measure.unwrap().kind), (Verdict::Fail, Kind::Hours));
        assert!(over.value() >= 1.0 && over.words().contains("30 June, 15 to 16 h"), "{}", over.words());
    }

    /// The file of `with` without July, hours 4344 to 5087.
    #[test]
    fn of_a_file_with_gaps_it_is_said_that_it_is_its_hours() {
        let whole = with(hottest() * 0.9, 0, 1);
        assert!(found(&whole).words().contains("carries its load in every hour. "));
        let text = include_str!("../../tests/data/weather/typical_year_45N_8E.epw");
        let lines: Vec<&str> = text.lines().collect();
        let text = [&lines[..8 + 4344], &lines[8 + 5088..]].concat().join("\n");
        let weather = Some(Arc::new(crate::weather::read("hall.epw", &text).unwrap()));
        let says = found(&Job { weather, ..whole }).words();
        assert!(says.contains("carries its load in every hour that the weather file has. "), "{says}");
    }

    #[test]
    fn a_limit_in_hours_is_kept_to_the_hour() {
        let mut job = with(hottest() * 1.02, 0, 1);
        let hours = found(&job).value();
        assert!(hours > 5.0, "{hours}");
        job.limits.insert("year_load".to_owned(), hours);
        assert!(found(&job).verdict < Verdict::Fail);
        job.limits.insert("year_load".to_owned(), hours - 1.0);
        assert_eq!(found(&job).verdict, Verdict::Fail);
    }

    #[test]
    fn a_module_more_carries_what_a_spare_leaves_short() {
        let load = 2.3 * hottest();
        assert_eq!(found(&with(load, 1, 3)).verdict, Verdict::Fail);
        assert_eq!(found(&with(load, 1, 4)).verdict, Verdict::Pass);
        assert_eq!(found(&with(1.999 * hottest(), 1, 3)).verdict, Verdict::Pass);
    }

    #[test]
    fn what_is_missing_is_the_load_less_the_capacity_of_those_that_run() {
        let hottest = hottest();
        let job = with(2.5 * hottest, 2, 4);
        let year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
        let worst = &year.plant.as_ref().unwrap().short_without;
        // Two of four run; interpolated capacities are good to 0.1 %.
        assert!((worst.spare_W / hottest + 0.5).abs() < 2e-3, "{worst:?}");
        let finding = look(&job, &year).remove(0);
        assert!(finding.verdict == Verdict::Fail && finding.words().contains("2 of 1A"), "{}", finding.words());
    }

    /// One chiller of two: the worst hour with the other out is any hour, but what a third gives is judged in each.
    #[test]
    fn modules_are_counted_over_every_hour() {
        let hottest = hottest();
        for (load, spare, copies) in [(2.2, 0, 1), (1.5, 1, 1), (4.7, 2, 3)] {
            let job = with(load * hottest, spare, copies);
            let year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
            let more = counted(&year.plant.unwrap()).more.unwrap();
            assert!(found(&with(load * hottest, spare, copies + more)).verdict <= Verdict::Note);
            assert_eq!(found(&with(load * hottest, spare, copies + more - 1)).verdict, Verdict::Fail, "{more}");
        }
    }

    #[test]
    fn the_load_that_is_told_is_carried_and_a_little_more_is_not() {
        let load = 2.3 * hottest();
        let year = |load: f64| crate::year::year(&with(load, 0, 2), &|_| {}).unwrap().unwrap().plant.unwrap();
        let carried = year(load).short.carried_W.unwrap();
        assert!(carried < load && year(carried * (1.0 - 1e-6)).short.hours == 0.0);
        assert!(year(carried * (1.0 + 1e-6)).short.hours > 0.0);
    }

    #[test]
    fn warm_air_that_the_plan_returns_is_a_caution_where_the_plant_is_short_with_it() {
        let job = with(1.9 * hottest(), 0, 2);
        let mut year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
        crate::year::with_warm_air(&job, &mut year, &[Some(0.5)]).unwrap();
        let told = look(&job, &year).remove(0);
        assert!(told.verdict == Verdict::Note && told.words().ends_with("is short with every chiller in 0 hours."));
        crate::year::with_warm_air(&job, &mut year, &[Some(10.0)]).unwrap();
        let told = look(&job, &year).remove(0);
        // As if the job said so itself.
        let mut said = job.clone();
        said.circuits[0].condenser.recirculation = Some(crate::units::kelvins(10.0));
        let short = found(&said);
        assert_eq!((told.verdict, short.verdict), (Verdict::Caution, Verdict::Fail));
        assert!(told.value() > 0.0 && told.measure == short.measure, "{}", told.words());
    }

    #[test]
    fn without_a_load_there_is_nothing_to_say() {
        let job = Job { plant: None, ..with(1.0, 0, 1) };
        let year = crate::year::year(&job, &|_| {}).unwrap().unwrap();
        assert!(look(&job, &year).is_empty());
    }
}
