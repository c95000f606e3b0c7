//! `year-oil`: in how many hours of the year does a riser not carry its oil up?

use super::limit::{Ladder, limit};
use super::worst_hour::{at_share, each, hours, idle, mend, running, when};
use super::{Finding, Look, Rule, Verdict, oil_lift};
use crate::job::{BypassWhen, Circuit, Job};
use crate::year::{CircuitYear, Worst, Year};

/// Shares that are tried between the least and the full of a circuit of variable speed.
const STEP: f64 = 0.05;

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-oil",
    question: "In how many hours of the year does a riser not carry its oil up?",
    explanation: "\
Every hour of the weather file at the stages that carry the load that the plant then has: the flow of every rise of the discharge \
line against the least flow that lifts oil at the density that the gas has in that hour, measured as `oil-lift` does. Hours \
below it are counted; a year that comes within 15 % of it is a caution.

A few hours do no harm where the next full load follows the same day and sweeps the riser; weeks of small load fill it. How many \
hours are too many the compressor's maker knows: `year_oil` in `[limits]` is the place for that.

The mends are the tube of `oil-lift`, found by solving the worst hour again with it, and the least share of the compressors that \
lifts the oil in that hour, on the hottest and on the coldest.",
    limits: &["year_oil", "oil_lift", "oil_lift_caution"],
    look: Look::Year(look),
};

fn look(job: &Job, year: &Year) -> Vec<Finding> {
    let of_one = |(circuit, of)| idle(job, RULE.id, circuit, of).or_else(|| judge(job, circuit, of));
    each(job, year).filter_map(of_one).collect()
}

fn judge(job: &Job, circuit: &Circuit, year: &CircuitYear) -> Option<Finding> {
    let show = job.units;
    let allowed = limit(job, "year_oil");
    let worst = year.oil.worst?;
    let ladder = Ladder::new(job, "oil_lift_caution", "oil_lift");
    let (lifts, barely) = ladder.below(worst.value);
    let verdict = match lifts {
        _ if year.oil.hours > allowed.value => Verdict::Fail,
        Verdict::Caution => Verdict::Caution,
        _ => Verdict::Pass,
    };
    let at = format!("{}{}", when(job, &worst), running(job, &worst));
    let flow = format!("{} times the least flow that lifts oil", show.ratio(worst.value));
    let says = if year.oil.hours > 0.0 {
        format!(
            "In {} of the {} in which it runs, a riser is below the least flow that lifts oil. The worst is {at}: {flow}.",
            hours(year.oil.hours),
            hours(year.running_hours)
        )
    } else {
        format!("The riser with least to spare carries {flow}, {at}.")
    };
    let mut finding =
        Finding::new(RULE.id, verdict, super::worst_hour::index_of(job, circuit)).at(worst.moment.says()).says(says);
    finding = match verdict {
        Verdict::Caution => finding.found(worst.value, barely.value, "-").by(&barely.source),
        _ => finding.found(year.oil.hours, allowed.value, "h").by(allowed.source),
    };
    if let Some(run) = worst.run {
        finding = finding.place(format!("discharge run {run}"));
    }
    if verdict > Verdict::Note {
        let ways = [mend(job, circuit, &worst, &oil_lift::RULE), more_running(job, circuit, &worst)];
        finding.mend = Some(ways.into_iter().flatten().collect::<Vec<_>>().join(" Or: ")).filter(|way| !way.is_empty());
    }
    Some(finding)
}

/// The least share of the compressors that lifts the oil of every rise, with as much to spare as is no caution.
fn more_running(job: &Job, circuit: &Circuit, worst: &Worst) -> Option<String> {
    let compressors = &circuit.compressors;
    let enough = job.limit("oil_lift_caution").max(job.limit("oil_lift"));
    let one = 1.0 / f64::from(compressors.count);
    let variable = compressors.least_share < one * (1.0 - 1e-9);
    let steps = if variable { (1.0 / STEP).ceil() } else { f64::from(compressors.count) };
    let shares = (1..).map(f64::from).take_while(|k| *k <= steps).map(|k| k / steps);
    let bypass = compressors.bypass.when != BypassWhen::Never && compressors.bypass.share > 0.0;
    let (share, ratio) = shares.filter(|share| *share > worst.share + 1e-9).find_map(|share| {
        let points = at_share(job, circuit, worst, share, bypass)?;
        let rises = points.iter().flat_map(|point| &point.discharge_line.runs);
        let ratio = rises.filter_map(|run| run.oil_lift.map(|lift| lift.ratio)).fold(f64::INFINITY, f64::min);
        (ratio >= enough).then_some((share, ratio))
    })?;
    let show = job.units;
    let what = if variable {
        format!("A least share of {}", show.ratio(share))
    } else {
        let running = (share * f64::from(compressors.count)).round();
        format!("No fewer than {running:.0} of the {} compressors running", compressors.count)
    };
    Some(format!("{what} would do: {} times the least flow at the worst.", show.ratio(ratio)))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{discharge, only, with_tubes};
    use super::super::worst_hour::testing::{by_hand, found, in_a_year, run, worst};
    use super::*;
    use crate::job::{Plant, Profile, Running};
    use crate::units::watts;
    use crate::year::Spell;

    #[test]
    fn the_hours_that_are_allowed_pass_and_one_more_fails() {
        let mut job = in_a_year(|_| {});
        let at = |job: &Job, hours: f64| only(found(RULE, job, &by_hand(job, |year| year.oil.hours = hours)));
        assert_eq!((at(&job, 0.0).verdict, at(&job, 1.0).verdict), (Verdict::Pass, Verdict::Fail));
        job.limits.insert("year_oil".to_owned(), 20.0);
        assert_eq!((at(&job, 20.0).verdict, at(&job, 21.0).verdict), (Verdict::Pass, Verdict::Fail));
    }

    #[test]
    fn little_to_spare_is_a_caution_and_the_limit_itself_is_not() {
        let job = in_a_year(|_| {});
        let at = |ratio: f64| {
            only(found(RULE, &job, &by_hand(&job, |year| year.oil = Spell { hours: 0.0, worst: Some(worst(ratio)) })))
        };
        assert_eq!(
            (at(1.15).verdict, at(1.149).verdict, at(1.0).verdict),
            (Verdict::Pass, Verdict::Caution, Verdict::Caution)
        );
    }

    #[test]
    fn a_circuit_without_a_rise_is_not_asked() {
        let job = in_a_year(|_| {});
        assert!(found(RULE, &job, &by_hand(&job, |year| year.oil = Spell::default())).is_empty());
    }

    /// The job at a small load with that tube in its riser, so many compressors at least.
    fn small_load(tube: &str, least_share: f64) -> Job {
        let mut job = in_a_year(|circuit| {
            with_tubes(discharge(circuit, 2), &[tube]);
            circuit.compressors.least_share = least_share;
            circuit.compressors.bypass.when = BypassWhen::Never;
        });
        job.plant = Some(Plant { load: watts(40e3), spare: 0, profile: Profile::Constant, running: Running::Few });
        job
    }

    #[test]
    fn a_riser_too_wide_for_the_small_load_fails_and_both_ways_named_mend_the_whole_year() {
        let job = small_load("3-1/8 ACR", 0.5);
        let year = run(&job);
        let finding = only(found(RULE, &job, &year));
        assert_eq!((finding.verdict, finding.r#where.as_deref()), (Verdict::Fail, Some("discharge run 2")));
        assert!(
            finding.value.unwrap() > 100.0 && finding.says.contains("of its displacement running"),
            "{}",
            finding.says
        );
        let mend = finding.mend.unwrap();
        let (tube, running) = mend.split_once(" Or: No fewer than ").unwrap_or_else(|| panic!("{mend}"));
        let tube = tube.split_once(" in the rise (run 2) would do").unwrap().0;
        let narrow = small_load(tube, 0.5);
        assert_eq!(only(found(RULE, &narrow, &run(&narrow))).verdict, Verdict::Pass, "{mend}");
        let running: f64 = running.split_once(" of the 2 compressors running would do").unwrap().0.parse().unwrap();
        let more = small_load("3-1/8 ACR", running / 2.0);
        assert_eq!(only(found(RULE, &more, &run(&more))).verdict, Verdict::Pass, "{mend}");
    }
}
