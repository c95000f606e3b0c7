//! A complaint's answer for a person: on a phone or on a desk.

use super::cause::Cause;
use super::group::{causes, named};
use super::show::Show;
use super::{Answer, Fitted, Group, Next, Row, Verdict};
use crate::job::{Job, Reading};
use crate::layout::{Align, Grid, Hang, Sheet, style};

/// What no reading of these says anything of.
pub(super) const NOT_LOOKED_AT: &str = "oil level, suction line, inside of the evaporator";
/// Who may do what with it.
pub(super) const CAUTION: &str = "Certified people only. A lead, not a reason to open the circuit. Never charge, recover or purge by this answer alone.";
/// Narrower than this the sheet is one of a phone.
pub(super) const DESK: usize = 72;

/// What was read, and what is expected with its band, each with its unit.
pub(crate) fn read_and_expected(job: &Job, row: &Row) -> [String; 2] {
    let show = Show::of(job);
    let band = show.band(row.reading, row.accuracy);
    let expected = if band.is_empty() {
        show.whole(row.reading, row.expected)
    } else {
        let unit = show.unit(row.reading);
        format!("{} ± {band} {unit}", show.value(row.reading, row.expected))
    };
    [show.with_unit(row.reading, show.read(row.reading, row.read)), expected]
}

/// The explanations that are held against what was read, the best first.
pub(crate) fn leading(answer: &Answer, most: usize) -> Vec<&Fitted> {
    let fits = answer.groups.iter().flat_map(|group| &group.fits);
    fits.filter(|fit| !fit.causes.is_empty()).take(most).collect()
}

/// The sizes of a group's causes in a sentence.
pub(super) fn sizes(group: &Group, answer: &Answer, job: &Job) -> String {
    let show = Show::of(job);
    let sensor = |fit: &Fitted, reading: Reading| {
        let row = answer.rows.iter().find(|row| row.reading == reading);
        let read = row.map(|row| row.read).or_else(|| (reading == Reading::Outdoor).then_some(answer.outdoor_K));
        let expected = fit.prediction.of(reading).or(row.map(|row| row.expected));
        let [read, expected] = [read, expected].map(|value| value.map(|value| show.whole(reading, value)));
        let (says, key) = (reading.says(), reading.key());
        match read.zip(expected) {
            Some((read, expected)) if read != expected => format!("{says} ({key}): reads {read}, {expected} expected"),
            _ => format!("{says} ({key})"),
        }
    };
    let of = |fit: &Fitted| match fit.sensor {
        Some(reading) => sensor(fit, reading),
        None if fit.causes.is_empty() => "nothing wrong".to_owned(),
        None => {
            let sizes: Vec<String> = fit.causes.iter().map(|(cause, size)| show.size(*cause, *size)).collect();
            sizes.join(" with ")
        }
    };
    group.fits.iter().map(of).collect::<Vec<_>>().join("; or ")
}

fn or(names: &[String]) -> String {
    let mut seen: Vec<&String> = Vec::new();
    for name in names {
        if !seen.contains(&name) {
            seen.push(name);
        }
    }
    let text = match seen.as_slice() {
        [] => String::new(),
        [one] => (*one).clone(),
        [one, other] => format!("{one} or {other}"),
        [first @ .., last] => {
            format!("{}, or {last}", first.iter().map(|name| name.as_str()).collect::<Vec<_>>().join(", "))
        }
    };
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

pub(crate) fn lead(answer: &Answer) -> String {
    if answer.verdict == Verdict::NotRunning {
        return "Compressors off: no diagnosis".to_owned();
    }
    if answer.verdict == Verdict::Contradictory {
        return "The readings contradict each other".to_owned();
    }
    if answer.running.0 <= 0.0 && answer.verdict == Verdict::Healthy {
        return "No gas that does not condense at the stop".to_owned();
    }
    if let (Some(layout), Some(group)) = (answer.layout.first(), answer.groups.first())
        && group.fits.iter().any(Fitted::is_healthy)
        && answer.verdict == Verdict::Suspects
        && layout.rule != "oil-riser"
    {
        return "The line as drawn, no fault".to_owned();
    }
    match answer.groups.first() {
        Some(group) if answer.verdict == Verdict::Healthy => {
            if others(group).is_empty() {
                "Nothing wrong seen".to_owned()
            } else {
                "Nothing proved wrong".to_owned()
            }
        }
        Some(group) => or(&group.fits.iter().map(named).collect::<Vec<_>>()),
        None => "No answer".to_owned(),
    }
}

/// What may be wrong beside a healthy chiller.
fn others(group: &Group) -> Vec<String> {
    group.fits.iter().filter(|fit| !fit.causes.is_empty()).map(named).collect()
}

pub(super) fn certainty(answer: &Answer) -> String {
    if answer.verdict == Verdict::Contradictory {
        return "What is left carries no answer. Read again.".to_owned();
    }
    let Some(group) = answer.groups.first().filter(|_| answer.verdict != Verdict::NotRunning) else {
        return String::new();
    };
    let percent = format!("{:.0} %", (100.0 * group.share).min(99.0));
    match (answer.verdict, group.fits.len()) {
        (Verdict::Healthy, _) if answer.running.0 <= 0.0 => {
            "The pressure at the stop is that of its refrigerant at that air; of what runs it says nothing".to_owned()
        }
        (_, 1) if answer.poor => "No single cause explains all of these readings; this is the nearest".to_owned(),
        (_, _) if answer.poor => "No single cause explains all of these readings; these are the nearest".to_owned(),
        (Verdict::Healthy, _) if others(group).is_empty() => {
            let within = |row: &Row| (row.read - row.expected).abs() <= row.accuracy;
            let all = if answer.rows.iter().all(within) { "are within what is expected" } else { "go together" };
            format!("Readings {all} ({percent})")
        }
        (Verdict::Healthy, _) => {
            let others = others(group);
            format!("A little of this is not excluded: {}", or(&others).to_lowercase())
        }
        (_, 1) => format!("{percent} likely; the rest is below"),
        _ => format!("One of these ({percent}); these readings cannot tell them apart"),
    }
}

/// A complaint's answer for a sheet so many columns wide.
#[must_use]
pub fn text(job: &Job, answer: &Answer, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    put(&mut sheet, job, answer);
    sheet.finish()
}

/// Writes it on a sheet.
pub(crate) fn put(sheet: &mut Sheet, job: &Job, answer: &Answer) {
    let show = Show::of(job);
    let desk = sheet.width() >= DESK;
    let (on, of) = answer.running;
    let on = if (on - on.round()).abs() < 1e-9 { format!("{on:.0}") } else { format!("{on:.1}") };
    let outdoors = show.units.temperature(answer.outdoor_K);
    let unit = if desk { "compressors" } else { "on" };
    let place = if answer.air_at_coil { "on the coil" } else { "outdoors" };
    let head = format!("Circuit {}, {outdoors} {place}, {on} of {of} {unit}", answer.circuit);
    if desk {
        sheet.paragraph(0, &head);
    }
    let paint = if answer.verdict == Verdict::Healthy { style::PASS } else { style::FAIL };
    sheet.styled(Hang { first: 0, rest: 0 }, paint, &lead(answer));
    let certain = certainty(answer);
    if !certain.is_empty() {
        sheet.paragraph(0, &certain);
    }
    next(sheet, &show, &answer.next, desk);
    let alike = answer.groups.first().is_some_and(|group| group.fits.len() > 1);
    if alike && answer.next.is_empty() && answer.verdict == Verdict::Suspects {
        sheet.paragraph(0, "No further reading here tells these apart.");
    }
    if desk {
        sheet.space();
    }
    sheet.paragraph(0, CAUTION);
    told(sheet, answer);
    sheet.space();
    // On a phone the answer stands first.
    if !desk {
        sheet.paragraph(0, &head);
    }
    if !answer.rows.is_empty() {
        rows(sheet, &show, answer, desk);
    }
    details(sheet, answer, job);
}

pub(super) fn next(sheet: &mut Sheet, show: &Show, next: &[Next], desk: bool) {
    for (turn, one) in next.iter().enumerate().take(if desk { 3 } else { 1 }) {
        if desk && turn == 0 {
            sheet.space();
        }
        let head = if turn == 0 { "NEXT " } else { "then " };
        sheet.styled(
            Hang { first: 0, rest: 5 },
            if turn == 0 { style::STRONG } else { style::PLAIN },
            &format!("{head}{}", one.says),
        );
        let value = |value: f64| match one.reading {
            Reading::Fans => of_the_fans(value).to_owned(),
            reading => show.whole(reading, value),
        };
        let values: Vec<String> = one.makes.iter().map(|(_, made)| value(*made)).collect();
        let widest = values.iter().map(|value| value.chars().count()).max().unwrap_or(0).max(8);
        for (names, value) in one.names.iter().zip(&values) {
            sheet.labelled(5, value, style::PLAIN, 5 + widest + 2, &names.join(" or "));
        }
    }
}

/// How many fans turn, as they are counted: their share to the nearest that is told from another by eye.
fn of_the_fans(share: f64) -> &'static str {
    const SHARES: [(f64, &str); 7] = [
        (0.0, "none"),
        (0.25, "about a quarter"),
        (1.0 / 3.0, "about a third"),
        (0.5, "about half"),
        (2.0 / 3.0, "about two thirds"),
        (0.75, "about three quarters"),
        (1.0, "all"),
    ];
    let off = |(of, _): &&(f64, &str)| (of - share).abs();
    SHARES.iter().min_by(|a, b| off(a).total_cmp(&off(b))).map_or("", |(_, words)| words)
}

/// What contradicts, what the layout does, how readings were taken.
pub(super) fn told(sheet: &mut Sheet, answer: &Answer) {
    if !answer.contradictions.is_empty() || !answer.layout.is_empty() {
        sheet.space();
    }
    for layout in &answer.layout {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("Layout: {} ({})", layout.says, layout.rule));
    }
    for one in &answer.contradictions {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("Contradiction: {}", one.says));
    }
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

pub(super) fn details(sheet: &mut Sheet, answer: &Answer, job: &Job) {
    sheet.space();
    if let Some(group) = answer.groups.first().filter(|_| answer.verdict == Verdict::Suspects) {
        sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("Sizes: {}.", sizes(group, answer, job)));
        let others = |as_likely: bool| -> Vec<String> {
            let groups = answer.groups.iter().skip(1).filter(|group| group.as_likely == as_likely);
            groups.take(2).flat_map(|group| group.fits.iter().map(named)).collect()
        };
        for (head, names) in [("As likely", others(true)), ("Less likely", others(false))] {
            if !names.is_empty() && (head == "As likely" || group.share < 0.97) {
                let says = format!("{head}: {}.", or(&names).to_lowercase());
                sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &says);
            }
        }
    }
    if answer.verdict == Verdict::NotRunning {
        sheet.paragraph(
            0,
            "Readings at a stop say nothing of what runs. Start the circuit, wait 15 minutes, read again.",
        );
    }
    if !answer.missing.is_empty() {
        let missing: Vec<&str> = answer.missing.iter().map(|reading| reading.says()).collect();
        sheet.styled(
            Hang { first: 0, rest: 2 },
            style::PLAIN,
            &format!("Not read, would narrow it: {}.", missing.join(", ")),
        );
    }
    for taken in &answer.taken {
        sheet.paragraph(0, &format!("Taken: {taken}."));
    }
    sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("Not looked at: {NOT_LOOKED_AT}."));
}

#[cfg(test)]
mod tests {
    use super::of_the_fans;

    #[test]
    fn fans_are_counted_in_shares_that_one_can_count() {
        let told = [0.0, 0.3, 0.36, 0.528, 0.64, 0.8, 0.95, 1.0].map(of_the_fans);
        assert_eq!(
            told,
            [
                "none",
                "about a third",
                "about a third",
                "about half",
                "about two thirds",
                "about three quarters",
                "all",
                "all"
            ]
        );
    }
}
