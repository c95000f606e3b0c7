//! The cautions that every report ends with, out of SAFETY.md.

use crate::job::Job;
use crate::refdata;

/// The text that a person can read as a whole.
const SAFETY: &str = include_str!("../../SAFETY.md");

/// When a caution fits.
#[derive(Clone, Copy)]
enum Fits {
    Always,
    OnTheRoof,
    Flammable,
}

/// The sections in their order.
const SECTIONS: &[(&str, Fits)] = &[
    ("Pressure", Fits::Always),
    ("Hot surfaces", Fits::Always),
    ("Brazing and nitrogen", Fits::Always),
    ("Electrical and rotating parts", Fits::Always),
    ("Roof edges and rigging", Fits::OnTheRoof),
    ("Flammable refrigerants", Fits::Flammable),
    ("Recovery of refrigerant", Fits::Always),
];

/// The first paragraph of a section of SAFETY.md on one line; empty where there is no such section.
fn first_paragraph(heading: &str) -> String {
    let lines = SAFETY.lines().skip_while(|line| *line != heading).skip(1).skip_while(|line| line.trim().is_empty());
    lines.take_while(|line| !line.trim().is_empty()).collect::<Vec<&str>>().join(" ")
}

/// The cautions that fit the job: what each is about, and its text.
pub(super) fn cautions(job: &Job) -> Vec<(&'static str, String)> {
    let on_the_roof = job.circuits.iter().any(|circuit| circuit.condenser.above.value > 0.0);
    let burns = |name: &str| refdata::facts(name).is_some_and(|facts| !facts.safety_group.ends_with('1'));
    let flammable = job.circuits.iter().any(|circuit| burns(&circuit.refrigerant));
    SECTIONS
        .iter()
        .filter(|(_, fits)| match fits {
            Fits::Always => true,
            Fits::OnTheRoof => on_the_roof,
            Fits::Flammable => flammable,
        })
        .map(|(section, _)| (*section, first_paragraph(&format!("## {section}"))))
        .collect()
}

/// Who decides.
pub(super) fn who_decides() -> String {
    first_paragraph("# Safety")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_section_is_quoted() {
        let quoted: Vec<&str> = SECTIONS.iter().map(|(section, _)| *section).collect();
        let written: Vec<&str> = SAFETY.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        assert_eq!(quoted, written);
        for section in quoted {
            assert!(first_paragraph(&format!("## {section}")).ends_with('.'), "{section}");
        }
        assert!(who_decides().contains("decide"));
        assert_eq!(first_paragraph("## No such section"), "");
    }
}
