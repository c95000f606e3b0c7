//! The operating points, and the points without a solution.

use super::{degrees, heading};
use crate::job::Job;
use crate::report::answer::Answer;
use crate::sheet::{Align, Grid, Sheet, style};
use crate::survey::{CircuitSurvey, Why};
use crate::units::System;

/// From these widths on there is room for more columns.
const WIDE: usize = 84;

/// A table of the operating points.
pub(super) fn operating(sheet: &mut Sheet, units: System, solved: &CircuitSurvey) {
    if solved.points.is_empty() {
        return;
    }
    heading(sheet, "Operating points");
    let wide = sheet.width() >= WIDE;
    let unit = units.temperature_unit();
    let mut grid = Grid::new()
        .column("", Align::Left)
        .column(format!("outdoor\n{unit}"), Align::Right)
        .column(format!("{}\n{unit}", if wide { "evaporating" } else { "evap." }), Align::Right)
        .column(format!("{}\n{unit}", if wide { "condensing" } else { "cond." }), Align::Right);
    if wide {
        grid = grid.column(format!("discharge gas\n{unit}"), Align::Right);
    }
    grid = grid
        .column(format!("capacity\n{}", units.capacity_unit()), Align::Right)
        .column(format!("power\n{}", units.power_unit()), Align::Right);
    if wide {
        grid = grid.column(format!("flow to roof\n{}", units.mass_flow_unit()), Align::Right);
    }
    for point in &solved.points {
        let mut cells = vec![
            point.name.clone(),
            degrees(units, point.outdoor_K),
            degrees(units, point.evaporating_K),
            degrees(units, point.condensing_K),
        ];
        if wide {
            cells.push(degrees(units, point.state.discharge.temperature_K));
        }
        cells.push(units.capacity_value(point.capacity_W));
        cells.push(units.power_value(point.power_W));
        if wide {
            cells.push(units.mass_flow_value(point.discharge_line.flow_kg_s));
        }
        grid.row(cells);
    }
    sheet.table(1, &grid);
}

/// Says which points of a circuit have no solution, and why, where no finding says it.
pub(super) fn unsolved(sheet: &mut Sheet, answer: &Answer, solved: &CircuitSurvey) {
    for point in &solved.unsolved {
        let told = answer.findings.iter().any(|finding| {
            finding.circuit.as_ref() == Some(&solved.name)
                && (finding.point.as_ref() == Some(&point.name) || finding.says.contains(&point.name))
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
            "The condensing temperature falls to the evaporating temperature, {}: nothing holds the head up.",
            units.temperature(*evaporating_K)
        ),
        Why::LineTooSmall { line, run } => format!(
            "Run {run} of the {line} line is too small: its loss takes the pressure out of the refrigerant's range."
        ),
        Why::OutOfRange(words) => {
            let words = words.trim_end_matches('.');
            let mut first = words.chars();
            let sentence = first.next().map(|c| c.to_uppercase().chain(first).collect::<String>());
            format!("{}.", sentence.unwrap_or_default())
        }
    }
}
