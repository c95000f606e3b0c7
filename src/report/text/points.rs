//! The operating points, and the points without a solution.

use super::figure::degrees;
use crate::job::Job;
use crate::layout::{Grid, Hang, Sheet, heading, style};
use crate::report::answer::Answer;
use crate::rules::say::{beyond, capital};
use crate::survey::{CircuitSurvey, Point, Why};
use crate::units::words::and;

/// From this width on there is room for more columns.
const WIDE: usize = 84;

/// A table of the operating points, and where it cannot run.
pub(super) fn operating(sheet: &mut Sheet, answer: &Answer, solved: &CircuitSurvey) {
    let units = answer.job.units;
    heading(sheet, "Operating points");
    let wide = sheet.width() >= WIDE;
    let unit = units.temperature_unit();
    let points = &solved.points;
    let warm = |of: fn(&Point) -> f64| points.iter().map(|point| degrees(units, of(point))).collect();
    let all = |of: fn(&Point) -> f64| points.iter().map(of).collect::<Vec<f64>>();
    let (gauge, atmosphere) = (units.pressure_gauge_unit(), answer.job.site.atmosphere.pascals());
    let pressures = |of: fn(&Point) -> f64| {
        points.iter().map(|point| units.pressure_gauge_value(of(point), atmosphere)).collect::<Vec<String>>()
    };
    let [evaporating, condensing, discharge] =
        if wide { ["evaporating", "condensing", "discharge"] } else { ["evap.", "cond.", "disch."] };
    let mut grid = Grid::new()
        .words("", points.iter().map(|point| point.name.clone()).collect())
        .numbers(format!("outdoor\n{unit}"), warm(|point| point.outdoor_K))
        .numbers(format!("{evaporating}\n{unit}"), warm(|point| point.evaporating_K))
        .numbers(format!("suction\n{gauge}"), pressures(|point| point.state.suction.pressure_Pa))
        .numbers(format!("{condensing}\n{unit}"), warm(|point| point.condensing_K))
        .numbers(format!("{discharge}\n{gauge}"), pressures(|point| point.state.discharge.pressure_Pa));
    if wide {
        grid = grid.numbers(format!("discharge gas\n{unit}"), warm(|point| point.state.discharge.temperature_K));
    }
    let (capacity, power) = (all(|point| point.capacity_W), all(|point| point.power_W));
    grid = grid
        .numbers(format!("capacity\n{}", units.capacity_unit()), units.capacity_column(&capacity))
        .numbers(format!("power\n{}", units.power_unit()), units.power_column(&power));
    if wide {
        let flow = units.mass_flow_column(&all(|point| point.discharge_line.flow_kg_s));
        grid = grid.numbers(format!("line flow\n{}", units.mass_flow_unit()), flow);
    }
    if !grid.is_empty() {
        sheet.table(1, &grid);
    }
    cannot_run(sheet, answer, solved);
}

/// Where it cannot run, and why; those together that have the same reason.
fn cannot_run(sheet: &mut Sheet, answer: &Answer, solved: &CircuitSurvey) {
    let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
    let without = solved.points.iter().filter(|point| point.capacity_W <= 0.0);
    let unsolved = solved.unsolved.iter().map(|point| (why_unsolved(&point.why, answer.job), point.name.clone()));
    let all = unsolved.chain(without.map(|point| ("It gives no cooling.".to_owned(), point.name.clone())));
    for (why, name) in all {
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, names)) => names.push(name),
            None => reasons.push((why, vec![name])),
        }
    }
    for (why, names) in reasons {
        sheet.styled(Hang::flush(1), style::FAIL, &format!("It cannot run at {}.", and(&names)));
        sheet.paragraph(1, &why);
    }
}

/// Says which points of a circuit have no solution, and why, where no finding says it.
pub(super) fn unsolved(sheet: &mut Sheet, answer: &Answer, index: usize, solved: &CircuitSurvey) {
    for point in &solved.unsolved {
        let told = answer.findings.iter().any(|finding| {
            finding.circuit == Some(index)
                && (finding.point() == Some(point.id) || finding.text(answer.job).contains(&point.name))
        });
        if !told {
            sheet.space();
            sheet.labelled(0, "NO ANSWER", style::FAIL, 11, &point.name);
            sheet.paragraph(4, &why_unsolved(&point.why, answer.job));
        }
    }
}

/// Why a point has no solution, in a sentence in the job's units.
#[must_use]
pub fn why_unsolved(why: &Why, job: &Job) -> String {
    let units = job.units;
    match why {
        Why::NeverCondenses { top_Pa } => format!(
            "The condenser can't reject the heat at any pressure up to {}.",
            units.pressure_gauge(*top_Pa, job.site.atmosphere.pascals())
        ),
        Why::FallsToSuction { evaporating_K } => format!(
            "The condensing temperature falls to the evaporating temperature, {}: the head pressure is lost.",
            units.temperature(*evaporating_K)
        ),
        Why::LineTooSmall { line, run } => format!(
            "Run {run} of the {} line is too small: its pressure drop leaves the refrigerant's range.",
            line.name()
        ),
        Why::OutOfRange(range) => format!("{}.", capital(&beyond(units, range))),
        Why::NoBalance(words) => format!("{}.", capital(words.trim_end_matches('.'))),
    }
}
