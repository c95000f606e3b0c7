//! `year-oil`: in how many hours of the year does a riser not carry its oil up?

use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::{Ladder, limit};
use super::say::{Value, say};
use super::worst_hour::{Of, at, each, hours, when_running};
use crate::job::{Job, LineId};
use crate::units::Kind;
use crate::year::Year;

/// The rule.
pub const RULE: Rule = Rule {
    id: "year-oil",
    question: "In how many hours of the year does a riser not return its oil?",
    explanation: "\
Every hour of the weather file, at the stages that carry the load of that hour. The flow in every riser of the \
discharge line is compared with the minimum flow for oil return at the gas density of that hour, as in `oil-riser`. \
Hours below it are counted; a year that comes within 15 % of it is a caution.

A few hours do no harm where full load follows the same day and returns the oil; weeks of small load fill the riser. \
The compressor's manufacturer knows how many hours are too many: set `year_oil` in `[limits]`.",
    limits: &["year_oil", "oil_riser", "oil_riser_caution"],
    look: Look::Year(look),
};

fn look(job: &Job, year: &Year) -> Vec<Finding> {
    each(job, year).filter_map(|of| of.idle(job, RULE.id).or_else(|| judge(job, &of))).collect()
}

fn judge(job: &Job, of: &Of) -> Option<Finding> {
    let (allowed, oil) = (limit(job, "year_oil"), of.year.oil);
    let worst = oil.worst?;
    let ladder = Ladder::new(job, "oil_riser_caution", "oil_riser");
    let (lifts, barely) = ladder.below(worst.value);
    let verdict = match lifts {
        _ if oil.hours > allowed.value => Verdict::Fail,
        Verdict::Caution => Verdict::Caution,
        _ => Verdict::Pass,
    };
    let (ratio, when) = (Value::Of(Kind::Ratio, worst.value), when_running(&worst));
    let says = if oil.hours > 0.0 {
        say(
            "In {} of {} of operation the flow in a riser is below the minimum for oil return. The worst is {}: {} of \
             the minimum.",
            [hours(oil.hours), hours(of.year.running_hours), when, ratio],
        )
    } else {
        say("The lowest flow in a riser is {} of the minimum for oil return. That is {}.", [ratio, when])
    };
    let finding = of.finding(RULE.id, verdict).at(at(&worst)).says(says);
    let finding = match verdict {
        Verdict::Caution => finding.found(worst.value, barely.value, Kind::Ratio).by(barely.source.clone()),
        _ => finding.found(oil.hours, allowed.value, Kind::Hours).by(allowed.source),
    };
    Some(match worst.run {
        Some(run) => finding.place(Place::Runs(LineId::Discharge, vec![run])),
        None => finding,
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{discharge, only, with_tubes};
    use super::super::worst_hour::testing::{by_hand, found, in_a_year, run, worst};
    use super::*;
    use crate::job::{BypassWhen, Plant, Profile, Running};
    use crate::units::watts;
    use crate::year::Spell;

    #[test]
    fn the_hours_that_are_allowed_pass_and_one_more_fails() {
        let mut job = in_a_year(|_| {});
        let at = |job: &Job, hours: f64| only(found(RULE, job, &by_hand(job, |year| year.oil.hours = hours)));
        assert_eq!((at(&job, 0.0).verdict, at(&job, 1.0).verdict), (Verdict::Pass, Verdict::Fail));
        assert!(at(&job, 0.0).words().starts_with("The lowest flow in a riser is "), "{}", at(&job, 0.0).words());
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
    fn small_load(tube: &str, minimum_share: f64) -> Job {
        let mut job = in_a_year(|circuit| {
            with_tubes(discharge(circuit, 2), &[tube]);
            circuit.compressors.minimum_share = minimum_share;
            circuit.compressors.bypass.when = BypassWhen::Never;
        });
        job.plant = Some(Plant { load: watts(40e3), spare: 0, profile: Profile::Constant, running: Running::Few });
        job
    }

    #[test]
    fn a_riser_too_wide_for_the_small_load_fails() {
        let job = small_load("3-1/8 ACR", 0.5);
        let year = run(&job);
        let finding = only(found(RULE, &job, &year));
        assert_eq!((finding.verdict, &finding.place), (Verdict::Fail, &Some(Place::Runs(LineId::Discharge, vec![2]))));
        assert!(finding.value() > 100.0 && finding.words().contains("of its displacement"), "{}", finding.words());
    }
}
