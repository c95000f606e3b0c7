//! The answer as text for people: the verdict and what fails first, then the tables.

pub mod assumptions;
mod capacity;
mod charge;
mod figure;
pub mod findings;
mod lines;
mod points;
pub(crate) mod screenful;
mod side_by_side;
mod unsurveyed;

use crate::survey::PointId;
pub(crate) use capacity::plant as plant_table;
pub use figure::figure;
pub use points::why_unsolved;
pub use side_by_side::{brief, compared};
pub use unsurveyed::why_unsurveyed;

use super::answer::Answer;
use super::first::First;
use crate::job::{Circuit, Concerns};
use crate::layout::{Sheet, heading, style};
use crate::rules::Look;
use crate::survey::CircuitSurvey;
use rayon::prelude::*;
use unicode_width::UnicodeWidthStr;

/// The answer as text of `width` columns, 40 and up: the first screenful and the findings; `full` adds every table. Words may carry colour codes; print it through a
/// stream that removes them where they do not belong.
#[must_use]
pub fn text(answer: &Answer, width: usize, full: bool) -> String {
    let mut sheet = Sheet::new(width);
    let first = First::of(answer);
    screenful::screenful(&mut sheet, answer, &first);
    for (index, (_, solved)) in answer.circuits().enumerate() {
        points::unsolved(&mut sheet, answer, index, solved);
    }
    findings::all(&mut sheet, answer.job, &first, full);
    if !full {
        assumptions::own_limits(&mut sheet, answer.job, of_the_circuits);
        assumptions::hazards(&mut sheet, answer.job);
        screenful::more(&mut sheet);
        return sheet.finish();
    }
    if let Some(whole) = &answer.whole {
        heading(&mut sheet, "The whole remedy");
        super::remedy::whole(&mut sheet, answer.job, whole);
    }
    let circuits: Vec<_> = answer.circuits().collect();
    let tables = |(circuit, solved): &(&Circuit, &CircuitSurvey)| {
        let mut sheet = sheet.like();
        let line = findings::circuit_line(answer.job.units, circuit, solved);
        sheet.labelled(0, &circuit.name, style::STRONG, circuit.name.width() + 2, &line);
        circuit_tables(&mut sheet, answer, circuit, solved);
        sheet
    };
    for tables in circuits.par_iter().map(tables).collect::<Vec<_>>() {
        sheet.append(&tables);
    }
    capacity::plant(&mut sheet, answer);
    assumptions::own_limits(&mut sheet, answer.job, of_the_circuits);
    assumptions::assumptions(&mut sheet, answer.job, |concerns| {
        matches!(concerns, Concerns::Circuits | Concerns::Plant)
    });
    assumptions::cautions(&mut sheet, answer.job);
    sheet.finish()
}

/// Whether a rule looks at the circuits or the plant, and not at the site.
#[must_use]
pub fn of_the_circuits(look: &Look) -> bool {
    matches!(look, Look::Circuit(_) | Look::Plant(_))
}

/// The tables of a circuit: its lines, its operating points, its capacity and its charge.
pub(crate) fn circuit_tables(sheet: &mut Sheet, answer: &Answer, circuit: &Circuit, solved: &CircuitSurvey) {
    let units = answer.job.units;
    if answer.job.circuits.len() > 1 {
        sheet.space();
        heading(sheet, &format!("Circuit {}", circuit.name));
    }
    lines::discharge(sheet, answer, circuit, solved);
    lines::liquid(sheet, answer, circuit, solved);
    points::operating(sheet, answer, solved);
    if let Some(derating) = &solved.derating {
        capacity::derating(sheet, answer.job, circuit, derating);
    } else if solved.point(PointId::SummerFull).is_some() {
        sheet.space();
        sheet.paragraph(
            0,
            "The loss of capacity on the design day can't be split into its causes: without one of them the circuit \
             has no operating point, since its lines are too small for that.",
        );
    }
    if let Some(charge) = &solved.charge {
        charge::charge(sheet, units, charge);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::testing;
    use crate::rules::Verdict;
    use crate::units::System;

    fn plain(width: usize, units: System) -> String {
        let mut job = testing::job();
        job.units = units;
        let survey = testing::survey(&job);
        let text = text(&Answer::new(&job, &survey, testing::findings()), width, true);
        anstream::adapter::strip_str(&text).to_string()
    }

    #[test]
    fn no_line_is_longer_than_the_sheet() {
        for units in [System::Ip, System::Si] {
            for width in [40, 45, 59, 60, 72, 83, 84, 100, 140, 200] {
                for line in plain(width, units).lines() {
                    assert!(line.width() <= width, "{width}: {line}");
                    assert_eq!(line, line.trim_end());
                }
            }
        }
    }

    #[test]
    fn the_verdict_and_what_fails_come_before_any_table() {
        let text = plain(100, System::Ip);
        let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words} in\n{text}"));
        let order = [
            "Bottling hall, two circuits to the roof",
            "1 failure, 1 caution, 1 note",
            "liquid-flash",
            "Close",
            "Not judged",
            "A check, not an approval: ASHRAE 15, the code and its authority govern.",
            " 1  FAILS  liquid-flash, 1A, liquid run 3\n    The valve gets 0.6 F",
            "Remedy  none known by itself",
            " 2  CAUTION  slope",
            "NOTE  oil-level, every circuit",
            "Discharge line, from the compressors",
            "Liquid line, from the condenser",
            "Operating points",
            "Capacity, from the rating",
            "The plant on the design day",
            "Assumed, because the job does not say",
            "Before work starts",
            "they are right",
        ];
        let places: Vec<usize> = order.iter().map(|words| at(words)).collect();
        assert!(places.is_sorted(), "{places:?}\n{text}");
    }

    #[test]
    fn a_point_without_an_answer_says_why() {
        let text = plain(100, System::Ip);
        assert!(text.contains("NO ANSWER  winter full\n    The condenser can't reject the heat"), "{text}");
    }

    #[test]
    fn the_lines_show_what_flows_where() {
        let text = plain(140, System::Ip).split_whitespace().collect::<Vec<&str>>().join(" ");
        for words in [
            "the bypass open for 20 %",
            "sealed",
            "0.4 % gas",
            "At summer minimum 1-3/8 ACR of run 2 is sealed with oil; all of the flow climbs in 7/8 ACR.",
        ] {
            assert!(text.contains(words), "{words} in\n{text}");
        }
    }

    #[test]
    fn tables_show_the_point_that_the_finding_tells_of() {
        let job = testing::job();
        let survey = testing::survey(&job);
        let mut findings = testing::findings();
        let shown = plain(100, System::Ip);
        assert!(shown.contains("Full load at summer full; minimum load at summer minimum, the bypass open"), "{shown}");
        assert_eq!(shown.matches("At summer full, by which subcooling is judged").count(), 2);
        for finding in findings.iter_mut().filter(|finding| finding.rule == "elevations") {
            finding.rule = "liquid-flash";
            finding.verdict = Verdict::Fail;
            finding.when = Some(crate::rules::When::Point(PointId::SummerMinimum));
        }
        let text = text(&Answer::new(&job, &survey, findings), 100, true);
        assert!(text.contains("At summer minimum, the bypass open for 20 %, by which"), "{text}");
    }

    #[test]
    fn the_rating_is_never_shown_as_a_point_at_which_the_plant_runs() {
        let job = testing::job();
        let mut survey = testing::survey(&job);
        for point in survey.circuits.iter_mut().flat_map(|circuit| &mut circuit.points) {
            if point.id == PointId::Rating {
                point.discharge_line.flow_kg_s = 0.01;
                point.discharge_line.saturation_drop_K = 9.0;
                point.liquid_line.minimum_subcooling_K = Some(-9.0);
            }
        }
        let text = text(&Answer::new(&job, &survey, Vec::new()), 100, true);
        assert!(!text.contains("At rating"), "{text}");
        assert!(!text.contains("at rating"), "{text}");
    }

    #[test]
    fn where_it_cannot_run_is_said_below_the_operating_points() {
        let text = plain(100, System::Ip);
        let table = text.rfind("Operating points").unwrap();
        let says = text.rfind("It cannot run at winter full.").unwrap();
        assert!(table < says && text[says..].contains("The condenser can't reject the heat"), "{text}");
    }

    #[test]
    fn assumptions_that_circuits_share_are_told_once() {
        let text = plain(100, System::Ip);
        let shared = testing::job().assumptions.iter().filter(|a| a.key.contains("filter-drier")).count();
        assert_eq!(shared, 2);
        assert_eq!(
            text.lines().filter(|line| line.contains("filter-drier") && line.contains("2.0 psi")).count(),
            1,
            "{text}"
        );
    }

    #[test]
    fn flammable_refrigerants_have_their_caution_and_the_others_do_not() {
        assert!(plain(100, System::Ip).contains("Flammable refrigerants:"));
        let mut job = testing::job();
        for circuit in &mut job.circuits {
            "R-410A".clone_into(&mut circuit.refrigerant);
            circuit.condenser.elevation = crate::units::metres(-3.0);
        }
        let survey = testing::survey(&job);
        let text = text(&Answer::new(&job, &survey, Vec::new()), 100, true);
        assert!(!text.contains("Flammable refrigerants:") && !text.contains("Roof edges"));
        assert!(text.contains("condenser 9.8 ft below the chiller"));
        assert!(text.contains("No failures found (0 checks)"));
    }
}
