//! What the design day leaves of the capacity, and what the plant carries.

use super::{degrees, heading};
use crate::report::answer::Answer;
use crate::rules::Verdict;
use crate::sheet::{Align, Grid, Sheet};
use crate::survey::Derating;
use crate::units::System;

/// Rows of the curve at most, its ends among them.
const CURVE_ROWS: usize = 14;

/// Derating: the causes that add up, the curve, the highest outdoor temperature.
pub(super) fn derating(sheet: &mut Sheet, units: System, derating: &Derating) {
    heading(sheet, "Capacity, from the rating to the design day");
    let mut grid =
        Grid::new().column("cause", Align::Left).column(format!("change, {}", units.capacity_unit()), Align::Right);
    for step in &derating.steps {
        let change = signed(&units.capacity_value(step.change_W));
        if !is_zero(&change) {
            grid.row(vec![step.cause.clone(), change]);
        }
    }
    let total = derating.at_design_W - derating.rated_W;
    grid.row(vec![
        format!("in all, to {} of the rating", units.percent(derating.share)),
        signed(&units.capacity_value(total)),
    ]);
    sheet.table(1, &grid);

    if derating.curve.len() > 1 {
        sheet.space();
        let unit = units.temperature_unit();
        let mut grid = Grid::new()
            .column(format!("outdoor\n{unit}"), Align::Right)
            .column(format!("capacity\n{}", units.capacity_unit()), Align::Right)
            .column(format!("power\n{}", units.power_unit()), Align::Right)
            .column(format!("condensing\n{unit}"), Align::Right);
        for at in spread(derating.curve.len(), CURVE_ROWS) {
            let point = derating.curve[at];
            grid.row(vec![
                degrees(units, point.outdoor_K),
                units.capacity_value(point.capacity_W),
                units.power_value(point.power_W),
                degrees(units, point.condensing_K),
            ]);
        }
        sheet.table(1, &grid);
    }
    sheet.space();
    sheet.paragraph(
        1,
        &format!(
            "With all compressors on it runs up to {} {} outdoors.",
            degrees(units, derating.highest_outdoor_K),
            units.temperature_unit()
        ),
    );
}

/// What the circuits carry together, against the load.
pub(super) fn plant(sheet: &mut Sheet, answer: &Answer) {
    let Some(plant) = &answer.plant else { return };
    let units = answer.job.units;
    heading(sheet, "The plant on the design day");
    let mut grid = Grid::new()
        .column("module", Align::Left)
        .column("machines", Align::Right)
        .column(format!("each, {}", units.capacity_unit()), Align::Right);
    for module in &plant.modules {
        grid.row(vec![module.name.clone(), module.copies.to_string(), units.capacity_value(module.capacity_W)]);
    }
    sheet.table(1, &grid);
    if answer.findings.iter().any(|finding| finding.rule == "plant-load" && finding.verdict > Verdict::Pass) {
        // The finding has told the sums.
        return;
    }
    sheet.space();
    let together =
        format!("Together {} against a load of {}.", units.capacity(plant.capacity_W), units.capacity(plant.load_W));
    let spare = match plant.spare {
        0 => String::new(),
        1 => format!(" With the largest machine out, {}.", units.capacity(plant.capacity_without_spare_W)),
        n => format!(" With the {n} largest out, {}.", units.capacity(plant.capacity_without_spare_W)),
    };
    sheet.paragraph(1, &format!("{together}{spare}"));
}

/// A change with its sign.
fn signed(text: &str) -> String {
    if text.starts_with('-') || text.bytes().all(|b| matches!(b, b'0' | b'.')) {
        text.to_owned()
    } else {
        format!("+{text}")
    }
}

fn is_zero(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'0' | b'.'))
}

/// At most `most` places out of `count`, evenly spread, both ends among them.
fn spread(count: usize, most: usize) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    (0..most).map(|i| (i * (count - 1) + (most - 1) / 2) / (most - 1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_curve_keeps_its_ends() {
        assert_eq!(spread(5, 7), [0, 1, 2, 3, 4]);
        assert_eq!(spread(13, 7), [0, 2, 4, 6, 8, 10, 12]);
        assert_eq!(spread(15, 7), [0, 2, 5, 7, 9, 12, 14]);
    }

    #[test]
    fn a_gain_has_its_sign_and_nothing_has_none() {
        assert_eq!(["-1.2", "1.2", "0.00"].map(signed), ["-1.2", "+1.2", "0.00"]);
    }
}
