//! `weather-file`: can the year of the weather file be true?

use super::finding::{Finding, Look, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::Job;
use crate::year::Year;

/// The rule.
pub const RULE: Rule = Rule {
    id: "weather-file",
    question: "Is the weather file a whole year, and a plausible one?",
    explanation: "\
A file is refused, with line and field, for a wrong number of fields, a value that is no number or outside the \
bounds of the format, or hours that repeat or are out of order. It is also refused with fewer than 8000 hours of \
temperature, or with a dew point more than 1 K above the dry-bulb in more than 24 hours.

Data that a file may hold but that are hardly plausible are cautions here: a month with more than 6 missing \
hours, or a dew point more than 1 K above the dry-bulb in single hours. So is a dry-bulb that changes by more than \
25 K between records, or stays the same to its last digit for more than 24 hours.

The design temperatures are percentiles of the file's hours. Where July is missing they are too low; where an \
instrument is stuck they are its reading.",
    limits: &[],
    look: Look::Year(look),
};

fn look(job: &Job, _: &Year) -> Vec<Finding> {
    let found = cautions(job);
    if job.weather.is_none() || !found.is_empty() {
        return found;
    }
    let says = "No month misses more than 6 hours, and the temperatures neither jump nor stick.";
    vec![finding(Verdict::Pass, say(says, []))]
}

/// What is hardly true of the weather file that a job takes its design temperatures from.
pub(super) fn cautions(job: &Job) -> Vec<Finding> {
    let doubts = job.weather.iter().flat_map(|weather| weather.doubts());
    doubts.map(|doubt| finding(Verdict::Caution, say("{}", [Value::Implausible(doubt)]))).collect()
}

fn finding(verdict: Verdict, says: Say) -> Finding {
    Finding::new(RULE.id, verdict, None).says(says).by(Source::Weather)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::check_all;
    use crate::rules::testing::{self, solved};
    use crate::rules::worst_hour::testing::{found, in_a_year, run};
    use std::sync::Arc;

    const REAL: &str = include_str!("../../tests/data/weather/typical_year_45N_8E.epw");

    #[test]
    fn a_whole_year_passes_and_a_job_without_one_is_not_asked() {
        let job = in_a_year(|_| {});
        let findings = found(RULE, &job, &run(&job));
        assert_eq!(findings.iter().map(|found| found.verdict).collect::<Vec<_>>(), [Verdict::Pass]);
    }

    /// July is hours 4344 to 5087. `check` takes its summer from the file, so it cautions too.
    #[test]
    fn a_year_without_july_is_cautioned_against() {
        let mut job = in_a_year(|_| {});
        let lines: Vec<&str> = REAL.lines().collect();
        let text = [&lines[..8 + 4344], &lines[8 + 5088..]].concat().join("\n");
        job.weather = Some(Arc::new(crate::weather::read("hall.epw", &text).unwrap()));
        for findings in [found(RULE, &job, &run(&job)), check_all(&job, &solved(&job))] {
            let of_the_file: Vec<&Finding> = findings.iter().filter(|found| found.rule == RULE.id).collect();
            assert_eq!((of_the_file.len(), of_the_file[0].verdict), (1, Verdict::Caution));
            let words = "does not tell the whole year: July is not in it.";
            assert!(of_the_file[0].words().contains(words), "{}", of_the_file[0].words());
        }
        let without = testing::job();
        assert!(check_all(&without, &solved(&without)).iter().all(|found| found.rule != RULE.id));
    }
}
