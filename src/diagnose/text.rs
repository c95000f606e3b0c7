//! A complaint's answer for a person: on a phone or on a desk.

use super::accuracy::{ASSUMED, Accuracy};
use super::cause::Cause;
use super::group::{causes, named};
use super::show::{Show, capital, or};
use super::table::rows;
use super::{Answer, Fitted, Group, Next, Row, Verdict};
use crate::job::{Job, Reading};
use crate::layout::{Hang, Sheet, style};

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

/// The lead in a line so wide: what has no room is counted.
fn in_a_line(answer: &Answer, width: usize) -> String {
    let whole = lead(answer);
    let names: Vec<String> = match answer.groups.first() {
        Some(group) if answer.verdict == Verdict::Suspects => group.fits.iter().map(named).collect(),
        _ => return whole,
    };
    if whole.chars().count() <= width || or(&names) != whole {
        return whole;
    }
    let cut = |count: usize| format!("{}, {} more", names[..count].join(", "), names.len() - count);
    let fits = (1..names.len()).rev().map(cut).find(|line| line.chars().count() <= width);
    capital(&fits.unwrap_or_else(|| if names.len() > 1 { cut(1) } else { whole }))
}

/// How sure that is, on a phone.
fn briefly(answer: &Answer) -> String {
    let Some(group) = answer.groups.first().filter(|_| answer.verdict != Verdict::NotRunning) else {
        return certainty(answer);
    };
    match (answer.verdict, group.fits.len()) {
        (Verdict::Suspects, 1) if answer.poor => "No one cause fits; this is the nearest".to_owned(),
        (Verdict::Suspects, _) if answer.poor => "No one cause fits; these are nearest".to_owned(),
        (Verdict::Suspects, 2..) => format!("One of these ({}), not told apart yet", percent(group)),
        _ => certainty(answer),
    }
}

/// What may be wrong beside a healthy chiller.
fn others(group: &Group) -> Vec<String> {
    group.fits.iter().filter(|fit| !fit.causes.is_empty()).map(named).collect()
}

/// Its share of belief; nothing is certain.
fn percent(group: &Group) -> String {
    format!("{:.0} %", (100.0 * group.share).min(99.0))
}

pub(super) fn certainty(answer: &Answer) -> String {
    if answer.verdict == Verdict::Contradictory {
        return "What is left carries no answer. Read again.".to_owned();
    }
    let Some(group) = answer.groups.first().filter(|_| answer.verdict != Verdict::NotRunning) else {
        return String::new();
    };
    let percent = percent(group);
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
    let first = if desk { lead(answer) } else { in_a_line(answer, sheet.width()) };
    sheet.styled(Hang { first: 0, rest: 0 }, paint, &first);
    let certain = if desk { certainty(answer) } else { briefly(answer) };
    if !certain.is_empty() {
        sheet.paragraph(0, &certain);
    }
    next(sheet, &show, &answer.next, desk);
    let alike = answer.groups.first().is_some_and(|group| group.fits.len() > 1);
    if alike && answer.next.is_empty() && answer.verdict == Verdict::Suspects {
        sheet.paragraph(0, "No further reading here tells these apart.");
    }
    acts(sheet, answer, desk);
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
    let mut before = None;
    for (turn, one) in next.iter().enumerate() {
        // Who is there takes all of it; on a phone nothing else stands.
        let there = before.replace(one.place) == Some(one.place);
        if turn > 0 && !there && !desk {
            break;
        }
        if desk && turn == 0 {
            sheet.space();
        }
        let head = match (turn, there) {
            (0, _) => "NEXT ",
            (_, true) => "also ",
            (_, false) => "then ",
        };
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

/// What is done about a cause that stands alone, or about those that nothing else parts.
fn acts(sheet: &mut Sheet, answer: &Answer, desk: bool) {
    let first = answer.groups.first().filter(|_| answer.verdict == Verdict::Suspects);
    let last = first.filter(|group| group.fits.len() == 1 || answer.next.is_empty());
    let mut acts: Vec<&str> = Vec::new();
    for act in last.iter().flat_map(|group| &group.fits).flat_map(causes).filter_map(Cause::act) {
        if !acts.contains(&act) {
            acts.push(act);
        }
    }
    for (turn, act) in acts.into_iter().enumerate() {
        let first = turn == 0 && answer.next.is_empty();
        if first && desk {
            sheet.space();
        }
        let (head, paint) = if first { ("NEXT ", style::STRONG) } else { ("then ", style::PLAIN) };
        sheet.styled(Hang { first: 0, rest: 5 }, paint, &format!("{head}{act}"));
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
    instruments(sheet, &Show::of(job), &answer.instruments);
}

/// How exact readings are by an instrument, of which readings.
struct Alike {
    source: &'static str,
    band: String,
    readings: Vec<&'static str>,
}

/// Readings that are alike in their instrument and in how exact it is, together.
fn alike(show: &Show, all: &[Accuracy]) -> Vec<Alike> {
    let mut alike: Vec<Alike> = Vec::new();
    for one in all {
        let band = show.band(one.reading, one.value);
        if band.is_empty() {
            continue;
        }
        let band = format!("{band} {}", show.band_unit(one.reading));
        match alike.iter_mut().find(|other| other.source == one.source && other.band == band) {
            Some(other) => other.readings.push(one.reading.says()),
            None => alike.push(Alike { source: one.source, band, readings: vec![one.reading.says()] }),
        }
    }
    alike
}

/// How exact readings are by their instruments, a line for each.
pub(super) fn instruments(sheet: &mut Sheet, show: &Show, all: &[Accuracy]) {
    let alike = alike(show, all);
    if alike.is_empty() {
        return;
    }
    sheet.space();
    sheet.paragraph(0, "Instruments, 95 %");
    let widest = alike.iter().map(|one| one.band.chars().count()).max().unwrap_or(0);
    for one in alike {
        let says = format!("{} ({})", one.source, one.readings.join(", "));
        sheet.labelled(2, &one.band, style::PLAIN, 4 + widest, &says);
    }
}

/// The same in a paragraph, as a form has room for.
pub(super) fn instruments_briefly(sheet: &mut Sheet, show: &Show, all: &[Accuracy]) {
    let alike = alike(show, all);
    let of = |assumed: bool| -> Vec<String> {
        let sources = alike.iter().map(|one| (one.source.strip_suffix(ASSUMED), one));
        let wanted = sources.filter(|(bare, _)| bare.is_some() == assumed);
        wanted.map(|(bare, one)| format!("{} {}", one.band, bare.unwrap_or(one.source))).collect()
    };
    let [assumed, sourced] = [true, false].map(of);
    if !assumed.is_empty() {
        sheet.paragraph(0, &format!("Instruments, 95 %, by assumption: {}.", assumed.join("; ")));
    }
    if !sourced.is_empty() {
        sheet.paragraph(0, &format!("Instruments, 95 %: {}.", sourced.join("; ")));
    }
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
