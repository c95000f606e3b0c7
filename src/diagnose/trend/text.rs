//! A trend's answer for a person: first what was taken for what, then what is wrong, then what moved.

use super::events::lasting;
use super::{Event, Moments, Trend};
use crate::diagnose::Verdict;
use crate::diagnose::show::Show;
use crate::diagnose::table::rows;
use crate::diagnose::text::{CAUTION, certainty, details, lead, next, sizes, told};
use crate::job::{Job, Measured, Point};
use crate::layout::{Grid, Hang, Sheet, style};
use crate::rules::say::capital;
use crate::trend::{Column, shown};

/// Narrower than this the sheet is one of a phone.
const DESK: usize = 72;

/// A column's range in the units of the job.
fn range(show: &Show, column: &Column, job: &Job) -> String {
    let (Some(point), Some([least, most])) = (column.point, column.range) else { return String::new() };
    let both = |of: &dyn Fn(f64) -> String, unit: &str| {
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        format!("{} to {}{unit}", of(least), of(most))
    };
    match point {
        Point::Of(reading) => both(&|value| show.value(reading, value), &show.unit(reading)),
        Point::DischargeSaturated | Point::SuctionSaturated => {
            both(&|value| show.value(crate::job::Reading::Outdoor, value), &show.unit(crate::job::Reading::Outdoor))
        }
        Point::Superheat | Point::Subcooling => {
            both(&|value| job.units.difference_value(value), job.units.difference_unit())
        }
        Point::WindSpeed => both(&|value| job.units.wind_value(value), job.units.wind_unit()),
        _ => match point.measured() {
            Measured::Share => both(&|value| format!("{:.0}", 100.0 * value), "%"),
            Measured::Current => both(&|value| format!("{value:.0}"), "A"),
            Measured::Voltage => both(&|value| format!("{value:.0}"), "V"),
            Measured::Compass => both(&|value| format!("{value:.0}"), "deg"),
            _ => both(&|value| format!("{value:.0}"), ""),
        },
    }
}

fn columns(sheet: &mut Sheet, trend: &Trend, job: &Job, show: &Show, desk: bool) {
    let mut grid = Grid::new().left("column").left("taken for").whole("range").whole("written in").right("not read");
    for column in trend.columns.iter().filter(|column| column.point.is_some()) {
        let says = column.point.map_or("", Point::says);
        let range = range(show, column, job);
        if !desk {
            let says = format!("{}: {says}, {range}", column.name);
            sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &says);
            continue;
        }
        let [_, faults, missing] = column.counts;
        let lacks = if faults + missing > 0 { (faults + missing).to_string() } else { String::new() };
        grid.row(vec![column.name.clone(), says.to_owned(), range, column.unit.clone(), lacks]);
    }
    if desk {
        sheet.table(0, &grid);
    }
    let free: Vec<String> = trend
        .columns
        .iter()
        .filter(|column| column.point.is_none())
        .map(|column| format!("`{}`", column.name))
        .collect();
    if !free.is_empty() {
        let more = free.len().saturating_sub(12);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let says = format!("Columns left out: {}{more}.", free[..free.len().min(12)].join(", "));
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &says);
    }
    for told in &trend.told {
        sheet.styled(Hang { first: 0, rest: 2 }, style::CAUTION, &format!("Taken: {told}."));
    }
}

/// When it was, and what ran.
fn when(show: &Show, moment: &Moments) -> String {
    let (on, of) = moment.answer.running;
    let on = if (on - on.round()).abs() < 1e-6 { format!("{on:.0}") } else { format!("{on:.1}") };
    format!(
        "{}, {} outdoors, {on} of {of} compressors",
        shown(moment.span[0], false),
        show.temperature(moment.answer.outdoor_K)
    )
}

/// What it is of, and how it is written.
pub(crate) fn titles(trend: &Trend) -> [String; 2] {
    [
        format!("Trend of circuit {}, {}", trend.circuit, trend.file),
        format!(
            "{} rows, one each {}, {} to {}; {}.",
            trend.rows,
            lasting(trend.interval),
            shown(trend.span[0], true),
            shown(trend.span[1], true),
            trend.written
        ),
    ]
}

/// What each column was taken for.
pub(crate) fn put_columns(sheet: &mut Sheet, job: &Job, trend: &Trend) {
    let desk = sheet.width() >= DESK;
    columns(sheet, trend, job, &Show::of(job), desk);
}

/// What is wrong, and how long it ran.
pub(crate) fn put_lead(sheet: &mut Sheet, job: &Job, trend: &Trend) {
    let desk = sheet.width() >= DESK;
    if trend.verdict == Verdict::NotRunning {
        sheet.styled(Hang::flush(0), style::FAIL, "Compressors off in the whole trend: no diagnosis");
        return;
    }
    // Where the steady stretches are as they should be, what was found between them leads.
    let find = trend.events.iter().find(|event| event.is_a_find());
    let find = find.filter(|_| trend.worst.iter().all(|moment| moment.answer.verdict == Verdict::Healthy));
    let paint = if trend.verdict == Verdict::Healthy && !trend.worst.is_empty() { style::PASS } else { style::FAIL };
    let worst = trend.worst.first();
    let (head, certain) = match (find, worst) {
        (Some(event), Some(_)) => (capital(&event.says), "Nothing proved wrong in its steady stretches".to_owned()),
        (Some(event), None) => (capital(&event.says), "No steady stretch to explain".to_owned()),
        (None, Some(worst)) => (lead(&worst.answer), certainty(&worst.answer)),
        (None, None) => ("No steady stretch: no diagnosis".to_owned(), String::new()),
    };
    sheet.styled(Hang { first: 0, rest: 0 }, paint, &head);
    if !certain.is_empty() {
        sheet.paragraph(0, &certain);
    }
    if let Some(worst) = worst {
        next(sheet, &Show::of(job), &worst.answer.next, desk);
        if desk {
            sheet.space();
        }
        sheet.paragraph(0, CAUTION);
    }
    sheet.space();
    let [logged, running, steady] = trend.times;
    let ran = format!("Ran {} of {} logged, {} of it steady.", lasting(running), lasting(logged), lasting(steady));
    sheet.paragraph(0, &ran);
}

/// An event in a sentence of its own.
pub(crate) fn said(event: &Event) -> String {
    format!("{}.", capital(&event.says))
}

/// The worst moments.
pub(crate) fn put_worst(sheet: &mut Sheet, job: &Job, trend: &Trend) {
    let Some((first, others)) = trend.worst.split_first() else { return };
    let (show, desk) = (Show::of(job), sheet.width() >= DESK);
    sheet.styled(Hang { first: 0, rest: 2 }, style::STRONG, &format!("Worst: {}", when(&show, first)));
    told(sheet, &first.answer);
    rows(sheet, &show, &first.answer, desk);
    details(sheet, &first.answer, job);
    for moment in others {
        let says = lead(&moment.answer);
        let head = format!("Then: {}", when(&show, moment));
        let sizes = moment.answer.groups.first().map(|group| sizes(group, &moment.answer, job)).unwrap_or_default();
        let says = match sizes {
            _ if says == lead(&first.answer) => "the same".to_owned(),
            sizes if sizes.is_empty() => says,
            sizes => format!("{says}: {sizes}"),
        };
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("{head}: {says}."));
    }
}

/// A trend's answer for a sheet so many columns wide.
#[must_use]
pub fn trend_text(job: &Job, trend: &Trend, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let [title, head] = titles(trend);
    sheet.styled(Hang::flush(0), style::STRONG, &title);
    sheet.paragraph(0, &head);
    sheet.space();
    put_columns(&mut sheet, job, trend);
    sheet.space();
    put_lead(&mut sheet, job, trend);
    if trend.verdict == Verdict::NotRunning {
        return sheet.finish();
    }
    for event in &trend.events {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &said(event));
    }
    if !trend.worst.is_empty() {
        sheet.space();
    }
    put_worst(&mut sheet, job, trend);
    sheet.finish()
}
