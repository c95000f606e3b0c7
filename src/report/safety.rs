//! The cautions that every report ends with, out of SAFETY.md.

use crate::job::Job;
use crate::refdata;

/// The text that a person can read as a whole.
const SAFETY: &str = include_str!("../../SAFETY.md");

/// Whether a caution fits a job.
type Fits = fn(&Job) -> bool;

/// The sections in their order, what burns first, each with its line.
const SECTIONS: &[(&str, &str, Fits)] = &[
    ("Flammable refrigerants", "no flame or spark; trained people, listed tools.", |job| {
        job.circuits.iter().any(|circuit| burns(&circuit.refrigerant))
    }),
    ("Pressure", "all parts rated for it; tests by licensed people; never oxygen.", |_| true),
    ("Hot surfaces", "discharge lines burn skin; guard or insulate them within reach.", |_| true),
    ("Brazing and nitrogen", "a trickle of nitrogen, fresh air, a fire watch.", |_| true),
    ("Electrical and rotating parts", "lock out; fans start by themselves.", |_| true),
    ("Roof edges and rigging", "fall protection, a lift plan, the structural engineer.", |job| {
        job.circuits.iter().any(|circuit| circuit.condenser.elevation.value > 0.0)
    }),
    ("Recovery of refrigerant", "certified people only; recover, never vent.", |_| true),
];

fn burns(refrigerant: &str) -> bool {
    refdata::facts(refrigerant).is_some_and(|facts| !facts.safety_group.ends_with('1'))
}

/// The first paragraph of a section of SAFETY.md on one line; empty where there is no such section.
fn first_paragraph(heading: &str) -> String {
    let lines = SAFETY.lines().skip_while(|line| *line != heading).skip(1).skip_while(|line| line.trim().is_empty());
    lines.take_while(|line| !line.trim().is_empty()).collect::<Vec<&str>>().join(" ")
}

/// The cautions that fit the job: what each is about, and its text.
pub(crate) fn cautions(job: &Job) -> Vec<(&'static str, String)> {
    let fitting = SECTIONS.iter().filter(|(.., fits)| fits(job));
    fitting.map(|(section, ..)| (*section, first_paragraph(&format!("## {section}")))).collect()
}

/// The same in a line each.
pub(crate) fn lines(job: &Job) -> Vec<(&'static str, &'static str)> {
    SECTIONS.iter().filter(|(.., fits)| fits(job)).map(|(section, line, _)| (*section, *line)).collect()
}

/// Who decides.
pub(crate) fn who_decides() -> String {
    first_paragraph("# Safety")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_section_is_quoted() {
        let quoted: Vec<&str> = SECTIONS.iter().map(|(section, ..)| *section).collect();
        let written: Vec<&str> = SAFETY.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        assert_eq!(quoted, written);
        for section in quoted {
            assert!(first_paragraph(&format!("## {section}")).ends_with('.'), "{section}");
        }
        assert!(who_decides().contains("govern"));
        assert_eq!(first_paragraph("## No such section"), "");
    }
}
