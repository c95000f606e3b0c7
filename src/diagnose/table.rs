//! Readings beside what is expected, and beside what the leading explanations make of them.

use super::cause::Cause;
use super::group::{causes, named};
use super::show::{Show, or};
use super::{Answer, Fitted, Row, Verdict};
use crate::job::Reading;
use crate::layout::{Align, Grid, Sheet};

/// The explanations that are held against what was read, the best first.
pub(crate) fn leading(answer: &Answer, most: usize) -> Vec<&Fitted> {
    let fits = answer.groups.iter().flat_map(|group| &group.fits);
    fits.filter(|fit| !fit.causes.is_empty()).take(most).collect()
}

pub(super) fn rows(sheet: &mut Sheet, show: &Show, answer: &Answer, desk: bool) {
    let suspects = answer.groups.first().map_or(0, |group| group.fits.len());
    let fits = if answer.verdict == Verdict::Contradictory { Vec::new() } else { leading(answer, suspects.max(2)) };
    let table = |fits: Option<&[&Fitted]>, brief: bool| {
        let first = if desk { Align::Whole } else { Align::Left };
        let mut grid = Grid::new().column("reading", first).right("read").right("expected");
        grid = if desk { grid.whole("") } else { grid };
        grid = grid.whole("within");
        for fit in fits.into_iter().flatten() {
            grid = grid.right(headed(fit));
        }
        for row in &answer.rows {
            grid.row(cells(show, row, fits, brief));
        }
        grid
    };
    // As many causes as there is room for, where need be with the readings in short.
    let counts = (0..=fits.len()).rev().filter(|_| desk);
    let wide = counts.flat_map(|count| [(count, false), (count, true)]);
    let grid = |(count, brief)| (count, table(fits.get(..count), brief));
    let fitting = wide.map(grid).find(|(_, grid)| sheet.holds(grid));
    let (count, grid) = fitting.unwrap_or_else(|| (fits.len(), table(desk.then_some(&[]), false)));
    sheet.table(0, &grid);
    let hidden: Vec<String> = fits.iter().take(suspects).skip(count).map(|fit| named(fit)).collect();
    if !hidden.is_empty() {
        sheet.paragraph(
            0,
            &format!("No room for {}: a wider screen or --format page has it.", or(&hidden).to_lowercase()),
        );
    }
}

/// The head of the column of an explanation.
fn headed(fit: &Fitted) -> String {
    causes(fit).into_iter().map(Cause::head).collect::<Vec<_>>().join("\n+ ")
}

fn cells(show: &Show, row: &Row, fits: Option<&[&Fitted]>, brief: bool) -> Vec<String> {
    let reading = row.reading;
    let unit = show.unit(reading);
    let within = if row.left_out {
        "left out"
    } else if row.within() {
        "yes"
    } else {
        "no"
    };
    let [read, expected] = [show.read(reading, row.read), show.value(reading, row.expected)];
    let Some(fits) = fits else {
        return vec![in_short(reading, &unit), read, expected, within.to_owned()];
    };
    let band = show.band(reading, row.accuracy);
    let (says, unit) =
        if brief { (in_short(reading, &unit), String::new()) } else { (reading.says().to_owned(), unit) };
    let band = if band.is_empty() { unit } else { format!("+- {band} {unit}").trim_end().to_owned() };
    let mut cells = vec![says, read, expected, band, within.to_owned()];
    cells.extend(fits.iter().map(|fit| {
        let value = fit.prediction.of(reading);
        value.map_or(String::new(), |value| show.value(reading, value))
    }));
    cells
}

/// A reading with its unit, which says what is left out: `discharge psig`, `liquid °C`.
pub(super) fn in_short(reading: Reading, unit: &str) -> String {
    let says = reading.says().replace("compressor ", "");
    let name = if unit.is_empty() || unit == "%" { says } else { format!("{says} {unit}") };
    let plain = name.replace(" pressure psi", " psi").replace(" pressure bar", " bar");
    let plain = plain.replace(" temperature F", " F").replace(" temperature °C", " °C");
    plain.replace("temperature", "temp.")
}
