//! The first screenful: the verdict, what fails with its first remedy, what is close, what was not judged.

use crate::job::{Code, Job};
use crate::layout::{Align, Grid, Hang, Sheet, style};
use crate::remedies::{Change, Remedy, Whole};
use crate::report::answer::Answer;
use crate::report::change::brief_steps;
use crate::report::first::{First, Row, Unjudged, charges};
use crate::report::remedy::left;
use crate::report::row::{brief_place, circuits_named, found, time};
use crate::rules::{Place, Verdict};
use crate::units::words::and;
use std::fmt::Write as _;

/// Lines of a screen of at least [`DESK`] columns, which what stands first keeps to where it can.
const LINES: usize = 24;
const DESK: usize = 80;

/// Places that what is changed there names itself.
const SELF_SAID: [&str; 3] = ["head control", "chillers", "new rail"];

/// What a first screenful has room for.
#[derive(Clone, Copy)]
pub(crate) struct Room {
    /// Rows of what fails; more stand among the findings.
    rows: usize,
    /// Steps of the whole remedy; more are told by `remedy`.
    steps: usize,
    /// Whether the circuits of a plant stand there, or below it.
    circuits: bool,
}

/// Rows and steps, from all there are to what always fits.
const SIZES: [(usize, usize); 11] =
    [(12, usize::MAX), (12, 8), (11, 8), (10, 8), (9, 8), (8, 8), (8, 6), (7, 6), (6, 6), (5, 4), (4, 3)];

/// Fewer rows than that are not shown for the circuits' sake.
const ROWS_BESIDE_CIRCUITS: usize = 9;

/// Circuits of more kinds stand below the first screen.
const KINDS: usize = 12;

/// So many of what was not judged are named; of more, one less and how many there are.
pub(super) const NAMED: usize = 6;

/// Columns from which a row is a line; below it is a block.
const TABLE: usize = 60;

/// Where the text after a label begins.
const LABEL: usize = 12;

/// Writes what stands first with as much as a screen has room for, and says how much; narrow, or not set here, all of it.
pub(crate) fn fitted(sheet: &mut Sheet, write: impl Fn(&mut Sheet, Room)) -> Room {
    let rooms = [true, false].into_iter().flat_map(|circuits| {
        let sizes = SIZES.into_iter().filter(move |(rows, _)| !circuits || *rows >= ROWS_BESIDE_CIRCUITS);
        sizes.map(move |(rows, steps)| Room { rows, steps, circuits })
    });
    let fits = |room: &Room| {
        let mut trial = sheet.like();
        write(&mut trial, *room);
        sheet.width() < DESK || trial.lines() <= LINES
    };
    let [.., (rows, steps)] = SIZES;
    let room = rooms.into_iter().find(fits).unwrap_or(Room { rows, steps, circuits: false });
    write(sheet, room);
    room
}

/// What stands first in the answer of `check`.
pub(super) fn screenful(sheet: &mut Sheet, answer: &Answer, first: &First) {
    let few = answer.job.circuits.len() <= KINDS;
    let room = fitted(sheet, |sheet, room| {
        title(sheet, answer);
        counts(sheet, "", first);
        failures(sheet, answer.job, first, answer.whole.as_ref(), room);
        if let Some(found) = &answer.whole {
            sheet.space();
            whole(sheet, answer.job, first, found, room);
        }
        if room.circuits && few {
            circuits(sheet, answer);
        }
        if answer.whole.is_none() || answer.job.circuits.len() > 1 {
            sheet.space();
        }
        close(sheet, answer.job, first);
        charge(sheet, answer);
        not_judged(sheet, first, &[]);
        deference(sheet, answer.job);
    });
    if !(room.circuits && few) {
        circuits(sheet, answer);
    }
}

/// The job's title, and what it runs with and in.
fn title(sheet: &mut Sheet, answer: &Answer) {
    let (job, show) = (answer.job, answer.job.units);
    let site =
        format!("{} and {}", show.temperature(job.site.summer.kelvin()), show.temperature(job.site.winter.kelvin()));
    let with = match (job.circuits.as_slice(), answer.survey.circuits.as_slice()) {
        ([circuit], [solved]) => {
            let count = circuit.compressors.count;
            let times = if count > 1 { format!("{count} x ") } else { String::new() };
            let each = |all: f64| format!("{times}{}, ", show.capacity(all / f64::from(count)));
            let rated = solved.points.first().map(|point| each(point.capacity_W));
            format!("{}, {}{site}", circuit.refrigerant, rated.unwrap_or_default())
        }
        _ => site,
    };
    sheet.ends((&job.title, style::STRONG), (&with, style::PLAIN));
}

/// The verdict: how many of what. `of` is what was judged, where it has to be said.
pub(crate) fn counts(sheet: &mut Sheet, of: &str, first: &First) {
    let look = if first.count(Verdict::Fail) > 0 { style::FAIL } else { style::PASS };
    sheet.styled(Hang::flush(0), look, &format!("{of}{}", counted(first)));
}

/// How many of what: `2 failures, 1 caution, 12 passed`, `No failures found (25 checks)`.
pub(super) fn counted(first: &First) -> String {
    let counted = |verdict, one: &str, many: &str| match first.count(verdict) {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let checks = match first.checks() {
        1 => "1 check".to_owned(),
        n => format!("{n} checks"),
    };
    let fails = counted(Verdict::Fail, "failure", "failures");
    let fails = fails.unwrap_or_else(|| format!("No failures found ({checks})"));
    let others = [counted(Verdict::Caution, "caution", "cautions"), counted(Verdict::Note, "note", "notes")];
    let passed = (first.count(Verdict::Fail) > 0 && first.passed_checks() > 0)
        .then(|| format!("{} passed", first.passed_checks()));
    std::iter::once(fails).chain(others.into_iter().flatten()).chain(passed).collect::<Vec<String>>().join(", ")
}

/// What fails, the gravest first; where nothing does, what is cautioned against.
pub(crate) fn failures(sheet: &mut Sheet, job: &Job, first: &First, whole: Option<&Whole>, room: Room) {
    let of = |verdict| first.rows.iter().filter(move |row| row.finding.verdict == verdict);
    let verdict = first.tabled();
    let none = if whole.is_some() { "none by itself" } else { "none found" };
    let rows: Vec<&Row> = of(verdict).take(room.rows).collect();
    if rows.is_empty() {
        return;
    }
    sheet.space();
    if sheet.width() < TABLE {
        for row in &rows {
            block(sheet, job, row, none);
        }
    } else {
        table(sheet, job, &rows, none);
    }
    let more = of(verdict).count() - rows.len();
    if more > 0 {
        sheet.paragraph(5, &format!("and {more} more, below"));
    }
    let legend = [
        rows.iter().find_map(|row| row.remain.first()).map(|n| format!("[{n}] failure {n} of the same runs remains")),
        rows.iter().any(|row| !row.newly_fails().is_empty()).then(|| "[+] a new failure: see --full".to_owned()),
    ];
    let legend: Vec<String> = legend.into_iter().flatten().collect();
    if !legend.is_empty() {
        sheet.styled(Hang::flush(5), style::QUIET, &legend.join("   "));
    }
}

fn table(sheet: &mut Sheet, job: &Job, rows: &[&Row], none: &str) {
    let mut grid = Grid::new()
        .right("")
        .whole("check")
        .column("where", Align::Left)
        .whole("found")
        .whole("limit")
        .column("first remedy", Align::Left);
    for row in rows {
        let [found, limit] = found(job, row.finding);
        grid.row(vec![
            row.number.to_string(),
            row.finding.rule.to_owned(),
            place_or_point(job, row),
            found,
            limit,
            remedy(job, row, none),
        ]);
    }
    sheet.table(0, &grid.without_empty_columns());
}

/// Where, or the operating point where there is no such place.
pub(super) fn place_or_point(job: &Job, row: &Row) -> String {
    let place = brief_place(job, row.finding, &row.circuits);
    let time = time(job, row.finding).map(|when| when.replace(" minimum", " min.").replace("the design wind", "wind"));
    [Some(place).filter(|place| !place.is_empty()), time].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn block(sheet: &mut Sheet, job: &Job, row: &Row, none: &str) {
    let place = place_or_point(job, row);
    let head = if place.is_empty() { row.finding.rule.to_owned() } else { format!("{}, {place}", row.finding.rule) };
    sheet.labelled(0, &format!("{:>2}", row.number), style::PLAIN, 3, &head);
    let [found, limit] = found(job, row.finding);
    let measured: Vec<String> = [found, limit].into_iter().filter(|words| !words.is_empty()).collect();
    if !measured.is_empty() {
        sheet.paragraph(3, &measured.join(", "));
    }
    let remedy = remedy(job, row, none);
    if !remedy.is_empty() {
        sheet.labelled(3, ">", style::STRONG, 5, &remedy);
    }
}

/// The first remedy, in few words; in brackets the failures that remain with it, and `+` for new ones.
fn remedy(job: &Job, row: &Row, none: &str) -> String {
    let Some(first) = row.remedies.first() else {
        return if row.finding.verdict == Verdict::Fail { none.to_owned() } else { String::new() };
    };
    let mut marks: Vec<String> = row.remain.iter().map(usize::to_string).collect();
    marks.extend((!row.newly_fails().is_empty()).then(|| "+".to_owned()));
    let marks = if marks.is_empty() { String::new() } else { format!(" [{}]", marks.join(", ")) };
    format!("{}{marks}", in_few_words(job, row, first))
}

fn in_few_words(job: &Job, row: &Row, remedy: &Remedy) -> String {
    let here = brief_place(job, row.finding, &[]);
    let steps = brief_steps(job, &remedy.changes, false);
    // What is done here, else the tube that is changed in the line, else what stands first.
    let line = here.split(' ').next().unwrap_or_default();
    let tube = || remedy.changes.iter().any(|change| matches!(change, Change::Tubes(..)));
    let in_the_line = |(place, what): &(String, String)| {
        tube() && place.starts_with(line) && what.starts_with(|c: char| c.is_ascii_digit())
    };
    let at =
        steps.iter().position(|(place, _)| *place == here).or_else(|| steps.iter().position(in_the_line)).unwrap_or(0);
    let Some((place, what)) = steps.get(at) else { return String::new() };
    // The line that a tube is changed in is that of the finding, and the condenser's control is the condenser.
    let named = match place.as_str() {
        place if SELF_SAID.contains(&place) => false,
        place if place.starts_with("liquid") || place.starts_with("disch.") => {
            !place.starts_with(line) || line.is_empty()
        }
        place => place != here && !here.is_empty(),
    };
    let place = place.trim_start_matches("unit ");
    let what = if named { format!("{place}: {what}") } else { what.clone() };
    if steps.len() == 1 { what } else { format!("{what}, {} more", steps.len() - 1) }
}

/// The whole remedy in a sentence.
pub(crate) fn whole(sheet: &mut Sheet, job: &Job, first: &First, found: &Whole, room: Room) {
    let all = brief_steps(job, &found.changes, true);
    let steps = all.get(..room.steps.min(all.len())).unwrap_or_default();
    let mut said = String::new();
    for (at, (place, what)) in steps.iter().enumerate() {
        // What is done at one place stands together.
        let same = at > 0 && steps.get(at - 1).is_some_and(|(before, _)| before == place);
        let join = if at == 0 {
            ""
        } else if same {
            ", "
        } else {
            "; "
        };
        let place = match SELF_SAID.iter().find_map(|bare| place.strip_suffix(bare)) {
            _ if same => String::new(),
            None => format!("{place} "),
            Some("") => String::new(),
            Some(circuit) => format!("{}: ", circuit.trim_end_matches(", ")),
        };
        said.extend([join, &place, what]);
    }
    if all.len() > steps.len() {
        let _ = write!(said, "; {} more", all.len() - steps.len());
    }
    let left = left(found);
    let then = if left.is_empty() { String::new() } else { format!(" Still fails: {}.", and(&left)) };
    let label = match (left.is_empty(), first.count(Verdict::Fail)) {
        (true, 1) => "Remedy".to_owned(),
        (true, n) => format!("All {n}"),
        (false, _) => "Best found".to_owned(),
    };
    sheet.labelled(0, &label, style::STRONG, LABEL, &format!("{said} (roofrun remedy).{then}"));
}

/// The circuits of a plant, those that are identical once.
fn circuits(sheet: &mut Sheet, answer: &Answer) {
    let (job, show) = (answer.job, answer.job.units);
    let several = job.circuits.len() > 1 || job.circuits.iter().any(|circuit| circuit.copies > 1);
    if !several {
        return;
    }
    sheet.space();
    let mut grid = Grid::new()
        .whole("circuit")
        .right("qty")
        .whole("refrigerant")
        .right(format!("{}\neach", show.capacity_unit()))
        .right("charge\neach")
        .right("cut-out\nat");
    for (circuit, solved) in answer.circuits() {
        let design = solved.derating.as_ref().map(|derating| show.capacity_value(derating.at_design_W));
        let trips = solved
            .derating
            .as_ref()
            .filter(|derating| derating.highest_is_cutout)
            .map(|derating| derating.highest_outdoor_K);
        grid.row(vec![
            circuit.name.clone(),
            circuit.copies.to_string(),
            circuit.refrigerant.clone(),
            design.unwrap_or_default(),
            solved.charge.as_ref().map(|charge| show.mass(charge.total_kg)).unwrap_or_default(),
            trips.map(|kelvin| show.temperature(kelvin)).unwrap_or_default(),
        ]);
    }
    sheet.table(0, &grid.without_empty_columns());
}

/// The closest margins of what passed.
pub(crate) fn close(sheet: &mut Sheet, job: &Job, first: &First) {
    let said = first.close.iter().map(|pass| {
        let [found, limit] = found(job, pass.finding);
        let place = match &pass.finding.place {
            // What a circuit has once needs no place.
            Some(Place::Condenser | Place::Receiver | Place::Valve | Place::ReliefValve) if job.circuits.len() > 1 => {
                circuits_named(job, &pass.circuits)
            }
            Some(Place::Condenser | Place::Receiver | Place::Valve | Place::ReliefValve) => String::new(),
            _ => brief_place(job, pass.finding, &pass.circuits),
        };
        let place = [
            Some(place).filter(|place| !place.is_empty()),
            time(job, pass.finding).filter(|_| pass.finding.place.is_some()),
        ];
        let place = place.into_iter().flatten().collect::<Vec<_>>().join(", ");
        let place = if place.is_empty() { place } else { format!(" ({place})") };
        format!("{} {found}, {limit}{place}", pass.finding.rule)
    });
    let said: Vec<String> = said.collect();
    if !said.is_empty() {
        sheet.labelled(0, "Close", style::STRONG, LABEL, &said.join("; "));
    }
}

fn charge(sheet: &mut Sheet, answer: &Answer) {
    let mut missing: Vec<&str> = Vec::new();
    let all: Vec<_> = charges(answer).collect();
    for (_, charge) in &all {
        missing.extend(charge.not_counted.iter().filter(|what| !missing.contains(what)).collect::<Vec<_>>());
    }
    // In a line: `evaporator, compressors, parts`.
    let missing: Vec<&str> =
        missing.iter().map(|what| what.trim_start_matches("the ").split(" with ").next().unwrap_or_default()).collect();
    let vessels = ["condenser", "evaporator", "receiver"];
    let without = if missing.is_empty() {
        String::new()
    } else if vessels.iter().all(|vessel| missing.contains(vessel)) {
        " in the lines alone: not the system charge".to_owned()
    } else {
        format!(" without {}: not the system charge", missing.join(", "))
    };
    match all.as_slice() {
        [] => {}
        [(_, charge)] if answer.job.circuits.len() == 1 => {
            let said = format!("{}{without}", answer.job.units.mass(charge.total_kg));
            sheet.labelled(0, "Charge", style::STRONG, LABEL, &said);
        }
        _ if missing.is_empty() => {}
        _ => sheet.labelled(0, "Charge", style::STRONG, LABEL, &format!("is{without}")),
    }
}

/// What no rule looked at, and the rules that could not look.
pub(crate) fn not_judged(sheet: &mut Sheet, first: &First, unstudied: &[&'static str]) {
    let areas = first.unjudged.iter().map(|area| match area {
        Unjudged::SuctionLine => "suction line",
        Unjudged::Evaporator => "evaporator, its oil",
        Unjudged::PlantLoad => "plant load",
        Unjudged::Roof { drawn: false } => "roof",
        Unjudged::Roof { drawn: true } => "roof (roofrun site)",
        Unjudged::Year { named: false } => "year",
        Unjudged::Year { named: true } => "year (roofrun site)",
        Unjudged::Remedies => "more remedies",
    });
    let mut said: Vec<&str> = areas.chain(unstudied.iter().copied()).collect();
    for (finding, _) in &first.blind {
        if !said.contains(&finding.rule) {
            said.push(finding.rule);
        }
    }
    // Many rules at once could not look at one point: the findings say which.
    let more = if said.len() > NAMED { format!(", {} more", said.split_off(NAMED - 1).len()) } else { String::new() };
    if !said.is_empty() {
        sheet.labelled(0, "Not judged", style::STRONG, LABEL, &format!("{}{more}", said.join(", ")));
    }
}

/// Who decides, in a line.
pub(crate) fn deference(sheet: &mut Sheet, job: &Job) {
    let code = match job.site.code {
        Code::Us => "ASHRAE 15, the code",
        Code::Eu => "EN 378, national rules",
    };
    let said = format!("A check, not an approval: {code} and its authority govern.");
    sheet.styled(Hang::flush(0), style::STRONG, &said);
}

/// What `--full` adds.
pub(crate) fn more(sheet: &mut Sheet) {
    sheet.space();
    let adds = "--full adds remedies, source titles, margins, tables, assumptions, cautions.";
    sheet.styled(Hang::flush(0), style::QUIET, adds);
}
