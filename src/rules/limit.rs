//! The limits of the rules: the defaults of `refdata`, or the job's own.

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::Job;
use crate::refdata::{self, Limit};
use crate::units::Kind;
use schemars::JsonSchema;
use serde::Serialize;

/// A limit that the job has changed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OwnLimit {
    /// Its key.
    pub key: &'static str,
    /// The job's, SI, in `unit`.
    pub value: f64,
    /// What stands for it otherwise, SI, in `unit`.
    pub default: f64,
    /// SI unit, `-` for a ratio.
    pub unit: &'static str,
    /// Of what kind both are.
    #[serde(skip)]
    pub kind: Kind,
    /// What it means, in words.
    pub says: &'static str,
    /// Source key of the default.
    pub source: &'static str,
}

/// The limits that the job has changed, of the rules that look at that; those of no rule always.
#[must_use]
pub fn own_limits(job: &Job, rules: &[Rule], looks: impl Fn(&Look) -> bool) -> Vec<OwnLimit> {
    let counts = |key: &str| {
        let mut rules = rules.iter().filter(|rule| rule.limits.contains(&key)).peekable();
        rules.peek().is_none() || rules.any(|rule| looks(&rule.look))
    };
    let own = changed(job).filter(|(limit, _)| counts(&limit.key));
    own.map(|(limit, value)| OwnLimit {
        key: &limit.key,
        value,
        default: limit.value,
        unit: limit.kind.si_unit(),
        kind: limit.kind,
        says: &limit.says,
        source: &limit.source,
    })
    .collect()
}

fn changed(job: &Job) -> impl Iterator<Item = (&'static Limit, f64)> {
    refdata::limits().iter().filter_map(|limit| {
        let value = *job.limits.get(&limit.key)?;
        ((value - limit.value).abs() > 1e-9 * limit.value.abs()).then_some((limit, value))
    })
}

/// A caution for each limit that keeps from harm and requires less in this job than where it was published.
pub(super) fn weakened(job: &Job, rules: &'static [Rule], looks: impl Fn(&Look) -> bool) -> Vec<Finding> {
    let of = |limit: &Limit| rules.iter().find(|rule| looks(&rule.look) && rule.limits.contains(&limit.key.as_str()));
    let weaker = changed(job).filter(|(limit, value)| limit.is_weakened_by(*value));
    weaker.filter_map(|(limit, value)| Some(weaker_than_published(of(limit)?, limit, value))).collect()
}

fn weaker_than_published(rule: &Rule, limit: &'static Limit, value: f64) -> Finding {
    let kind = limit.kind;
    let says = say(
        "The job sets the limit {} to {} in place of {} ({}). The code and safety do not change with it; every result \
         that uses this limit does.",
        [Value::name(&limit.key), Value::Of(kind, value), Value::Of(kind, limit.value), Value::name(&limit.says)],
    );
    Finding::new(rule.id, Verdict::Caution, None)
        .place(Place::Limit(&limit.key))
        .found(value, limit.value, kind)
        .says(says)
        .by(Source::of(limit))
}

/// A limit in use.
#[derive(Clone, Debug)]
pub(crate) struct Used {
    /// SI.
    pub value: f64,
    /// Where it comes from.
    pub source: Source,
}

impl Case<'_> {
    /// A limit in use.
    pub(crate) fn limit(&self, key: &str) -> Used {
        limit(self.job, key)
    }
}

/// The limit of that key: the job's own where it gives one, else the default. A test holds every key that is required
/// against the table.
pub(super) fn limit(job: &Job, key: &str) -> Used {
    let value = job.limit(key);
    let own = job.limits.contains_key(key).then_some(Source::OwnLimit);
    Used { value, source: own.or_else(|| refdata::limit(key).map(Source::of)).unwrap_or(Source::OwnLimit) }
}

/// Two limits: past the first a caution, past the second a fail.
#[derive(Clone, Debug)]
pub(super) struct Ladder {
    caution: Used,
    fail: Used,
}

impl Ladder {
    /// From their keys.
    pub(super) fn new(job: &Job, caution: &str, fail: &str) -> Self {
        Self { caution: limit(job, caution), fail: limit(job, fail) }
    }

    /// For a value that should not be above: the verdict, and the limit that it stands for.
    pub(super) fn above(&self, value: f64) -> (Verdict, &Used) {
        self.grade(value > self.fail.value, value > self.caution.value, self.caution.value <= self.fail.value)
    }

    /// For a value that should not be below: the verdict, and the limit that it stands for.
    pub(super) fn below(&self, value: f64) -> (Verdict, &Used) {
        self.grade(value < self.fail.value, value < self.caution.value, self.caution.value >= self.fail.value)
    }

    /// The limit up to which nothing is said, even where the job puts its own fail before the default caution.
    pub(super) fn pass(&self) -> &Used {
        self.grade(false, false, self.caution.value <= self.fail.value).1
    }

    fn grade(&self, fail: bool, caution: bool, in_order: bool) -> (Verdict, &Used) {
        match (fail, caution) {
            (true, _) => (Verdict::Fail, &self.fail),
            (false, true) => (Verdict::Caution, &self.caution),
            (false, false) if in_order => (Verdict::Pass, &self.caution),
            (false, false) => (Verdict::Pass, &self.fail),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::finding::Measure;
    use super::*;
    use crate::roof::testing::{planned, studied};
    use crate::rules::{RULES, check_site};
    use crate::units::Kind;

    #[test]
    fn every_limit_that_keeps_from_harm_is_one_of_a_rule() {
        for key in refdata::limits().iter().filter(|limit| limit.safety.is_some()).map(|limit| limit.key.as_str()) {
            assert!(RULES.iter().any(|rule| rule.limits.contains(&key)), "{key}");
        }
    }

    #[test]
    fn a_limit_that_is_switched_off_is_a_caution_and_a_stricter_one_none() {
        let cautions = |key: &str, value: f64| {
            let mut job = planned(|_| {});
            job.limits.insert(key.to_owned(), value);
            let mut found = check_site(&job, Some(&studied(&job)), None);
            found.retain(|finding| matches!(finding.place, Some(Place::Limit(_))));
            assert!(found.iter().all(|finding| finding.verdict == Verdict::Caution));
            found
        };
        let found = cautions("guard_height", 0.0);
        let [caution] = &found[..] else { panic!("{found:#?}") };
        assert_eq!((caution.rule, &caution.place), ("roof-edge", &Some(Place::Limit("guard_height"))));
        assert!(
            caution
                .text(&planned(|_| {}))
                .starts_with("The job sets the limit guard_height to 0 ft in place of 3.5 ft (42 in: ")
        );
        let measure = Measure { kind: Kind::Length, value: 0.0, limit: Some(1.0668) };
        assert_eq!(caution.measure, Some(measure));
        assert!(cautions("guard_height", 1.2).is_empty());
        assert!(cautions("guard_height", 1.0668).is_empty(), "the published one itself");
        // A drop from which a guard is required requires less where it is greater.
        assert_eq!(cautions("guard_drop", 3.0).len(), 1);
        assert!(cautions("guard_drop", 0.5).is_empty());
        // Common practice is the job's own to choose.
        assert!(cautions("clearance_end", 0.1).is_empty());
    }

    #[test]
    fn the_limits_that_a_job_changes_are_those_of_its_rules() {
        let mut job = planned(|_| {});
        for (key, value) in
            [("guard_height", 1.0), ("liquid_velocity", 1.0), ("slope", refdata::limit("slope").unwrap().value)]
        {
            job.limits.insert(key.to_owned(), value);
        }
        let keys =
            |looks: fn(&Look) -> bool| own_limits(&job, RULES, looks).iter().map(|own| own.key).collect::<Vec<_>>();
        assert_eq!(keys(|look| matches!(look, Look::Roof(_))), ["guard_height"]);
        assert_eq!(keys(|look| matches!(look, Look::Circuit(_))), ["liquid_velocity"]);
    }
}
