//! What a healthy installation shows, for a person: on a phone or on a desk, with boxes to write in.

use super::Expected;
use super::show::Show;
use super::table::in_short;
use super::text::{DESK, instruments_briefly};
use crate::job::{Job, Reading};
use crate::layout::{Align, Grid, Hang, Sheet, style, whole};

/// It as a sheet of that many columns.
#[must_use]
pub fn expected_text(job: &Job, expected: &Expected, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    put_expected(&mut sheet, job, expected);
    sheet.finish()
}

/// Writes it on a sheet.
pub(crate) fn put_expected(sheet: &mut Sheet, job: &Job, expected: &Expected) {
    let show = Show::of(job);
    let desk = sheet.width() >= DESK;
    let Some(first) = expected.points.first() else { return };
    let (on, of) = expected.running;
    let right = format!("{} outdoors, {on:.0} of {of} on", show.units.temperature(first.outdoor_K));
    let left = format!("Expect  circuit {}, healthy", expected.circuit);
    sheet.ends((&left, style::STRONG), (&right, style::PLAIN));
    let boxes = if desk { 3 } else { 1 };
    let mut grid =
        Grid::new().column("", if desk { Align::Whole } else { Align::Left }).right("expected").whole("band");
    for turn in 1..=boxes {
        grid = grid.whole(format!("read {turn}"));
    }
    let empty = &whole(if desk { "[        ]" } else { "[     ]" });
    for value in &first.values {
        let unit = show.unit(value.reading);
        let band = show.band(value.reading, value.accuracy);
        let mut row = vec![
            if desk { format!("{}, {unit}", value.reading.says()) } else { in_short(value.reading, &unit) },
            show.value(value.reading, value.expected),
            if band.is_empty() { String::new() } else { format!("+-{band}") },
        ];
        row.extend((0..boxes).map(|_| empty.clone()));
        grid.row(row);
        // A hand in a glove writes in every other line.
        if desk {
            grid.row(vec![" ".to_owned(); 3 + boxes]);
        }
    }
    let mut row = vec![
        format!("subcooling at valve, {}", show.units.difference_unit()),
        show.units.difference_value(first.subcooling_K),
        String::new(),
    ];
    row.extend((0..boxes).map(|_| empty.clone()));
    grid.row(row);
    sheet.space();
    sheet.table(0, &grid);
    if expected.points.len() > 1 {
        sheet.space();
        over_outdoor(sheet, &show, expected);
    }
    let mut told: Vec<&str> = Vec::new();
    for point in &expected.points {
        for layout in &point.layout {
            if !told.contains(&layout.rule) {
                if told.is_empty() {
                    sheet.space();
                }
                told.push(layout.rule);
                let at = show.units.temperature(point.outdoor_K);
                let says = format!("Layout, {at} outdoors: {} ({})", layout.says, layout.rule);
                sheet.styled(Hang { first: 0, rest: 2 }, style::FAIL, &says);
            }
        }
    }
    sheet.space();
    sheet.paragraph(0, "Gauge pressures. Bands (95 %): instruments and model. Wait 15 minutes after a compressor or a fan has stepped. Certified people only.");
    for taken in &expected.taken {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("Taken: {taken}."));
    }
    instruments_briefly(sheet, &show, &expected.instruments);
}

fn over_outdoor(sheet: &mut Sheet, show: &Show, expected: &Expected) {
    let temperature = |kelvin: f64| show.value(Reading::Outdoor, kelvin);
    let mut grid = Grid::new().whole(format!("outdoors, {}", show.unit(Reading::Outdoor)));
    for point in &expected.points {
        grid = grid.right(temperature(point.outdoor_K));
    }
    let wanted = [
        Reading::DischargePressure,
        Reading::DischargeTemperature,
        Reading::SuctionPressure,
        Reading::LiquidTemperature,
        Reading::Power,
    ];
    for reading in wanted {
        let mut row = vec![format!("{}, {}", reading.says(), show.unit(reading))];
        row.extend(expected.points.iter().map(|point| {
            let found = point.values.iter().find(|value| value.reading == reading);
            found.map_or(String::new(), |value| show.value(reading, value.expected))
        }));
        grid.row(row);
    }
    sheet.table(0, &grid);
}
