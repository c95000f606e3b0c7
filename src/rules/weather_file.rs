//! `weather-file`: can the year of the weather file be true?

use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::year::Year;

/// The rule.
pub const RULE: Rule = Rule {
    id: "weather-file",
    question: "Is the weather file a whole year, and a likely one?",
    explanation: "\
A file is refused, with the line and the field, where a record has a wrong number of fields, a value is no number or outside the \
bounds that the format's field list gives, hours stand twice or out of order, fewer than 8000 hours of the year have a temperature, or \
the dew point lies more than 1 K above the dry-bulb in more than 24 hours.

What a file may hold and is hardly true is cautioned against here: a month that lacks more than 6 of its hours, a dew point more than \
1 K above the dry-bulb in single hours, a dry-bulb that changes by more than 25 K from one record to the next, or that is the same to \
its last digit for more than 24 hours.

The design temperatures are percentiles of the file's hours. Where July is missing they are too low; where an instrument has stuck \
they are whatever it stood at. The mend is another file, or the same with its bad hours marked as missing.",
    limits: &[],
    look: Look::Year(look),
};

fn look(job: &Job, _: &Year) -> Vec<Finding> {
    let Some(weather) = &job.weather else { return Vec::new() };
    let found = |verdict: Verdict, says: String| {
        Finding::new(RULE.id, verdict, None).says(super::case::capital(&says)).by("the weather file's own hours")
    };
    let doubts = weather.doubts();
    if doubts.is_empty() {
        let says = "No month lacks more than 6 hours, and the temperatures neither jump nor stand still.";
        return vec![found(Verdict::Pass, says.to_owned())];
    }
    doubts.iter().map(|doubt| found(Verdict::Caution, doubt.says(job.units))).collect()
}
