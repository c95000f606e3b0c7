//! The limits of the rules: the defaults of `refdata`, or the job's own.

use super::Verdict;
use crate::job::Job;
use crate::refdata;

/// A limit in use.
#[derive(Clone, Debug)]
pub(super) struct Used {
    /// SI.
    pub value: f64,
    /// Where it comes from, printable; the job's own is called so.
    pub source: String,
}

/// The limit of that key: the job's own where it gives one, else the default.
///
/// A key that neither has would be NaN, which no comparison holds against; a test walks the keys of all rules.
pub(super) fn limit(job: &Job, key: &str) -> Used {
    if let Some(&value) = job.limits.get(key) {
        return Used { value, source: "the job file's own limit".to_owned() };
    }
    match refdata::limit(key) {
        Some(limit) => Used { value: limit.value, source: title(&limit.source) },
        None => Used { value: f64::NAN, source: String::new() },
    }
}

/// The printable title of a source.
pub(super) fn title(key: &str) -> String {
    refdata::source(key).map_or_else(|| key.to_owned(), |source| source.title.clone())
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

    /// The limit past which it is a fail.
    pub(super) fn fail(&self) -> &Used {
        &self.fail
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
