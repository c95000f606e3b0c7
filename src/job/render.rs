//! Faults as text: where each is, what is wrong and what was expected, the line as typed with the place underlined, and
//! the line to write instead. Faults of one line stand together over it.

use super::fault::{Correction, Fault, line_bounds};
use crate::layout::{Hang, style, wrap};
use crate::visible::{is_hidden, visible};
use anstyle::Style;
use std::ops::Range;
use unicode_width::UnicodeWidthChar;

/// So many faults are told one by one; of more, only the number.
const TOLD: usize = 100;
/// The minimum columns that a text is set in.
const NARROWEST: usize = 40;
/// So many rows the line to write takes in full.
const LONGEST: usize = 6;
/// What stands before a line of the file, all of one width.
const TYPED: &str = "  typed  ";
const WRITE: &str = "  write  ";
const BELOW: &str = "         ";
/// Where a part of a line is left out.
const CUT: &str = "...";
/// Drawn under a place.
const UNDER: &str = "\u{af}";

/// The text being set.
struct Rendered<'a> {
    file: &'a str,
    text: &'a str,
    coloured: bool,
    width: usize,
    out: String,
}

/// A character of a line, and whether it is marked: underlined, or put in.
struct Cell {
    shown: char,
    columns: usize,
    marked: bool,
}

/// All faults of a file, for a terminal that many columns wide.
pub(super) fn all(file: &str, text: &str, faults: &[Fault], coloured: bool, width: usize) -> String {
    let mut told = Rendered { file, text, coloured, width: width.max(NARROWEST), out: String::new() };
    let mut left = &faults[..faults.len().min(TOLD)];
    while let Some(first) = left.first() {
        let of_line = left.iter().take_while(|f| f.line() == first.line()).count();
        let together = if told.fits(first) { of_line } else { 1 };
        told.block(&left[..together]);
        told.out.push('\n');
        left = &left[together..];
    }
    let more = faults.len().saturating_sub(TOLD);
    match (faults.len(), more) {
        (1, _) => {}
        (all, 0) => told.out.extend([&all.to_string(), " errors in ", file]),
        (all, _) => {
            let (all, more) = (all.to_string(), more.to_string());
            told.out.extend([&all, " errors in ", file, "; the last ", &more, " are not shown"]);
        }
    }
    let mut out = told.out;
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

impl Rendered<'_> {
    fn put(&mut self, style: Style, words: &str) {
        if self.coloured && !words.is_empty() {
            self.out.extend([&style.render().to_string(), words, &style.render_reset().to_string()]);
        } else {
            self.out.push_str(words);
        }
    }

    fn room(&self) -> usize {
        self.width - TYPED.len()
    }

    /// Whether the whole line of a fault fits.
    fn fits(&self, fault: &Fault) -> bool {
        let (start, end) = line_bounds(self.text, fault.span().start);
        columns(without_remark(&self.cells(start..end, &[fault.span()]))) <= self.room()
    }

    /// Faults of one line.
    fn block(&mut self, faults: &[Fault]) {
        for fault in faults {
            self.message(fault);
        }
        let Some(first) = faults.first().filter(|fault| fault.line() > 0) else { return };
        let (start, end) = line_bounds(self.text, first.span().start);
        let places: Vec<Range<usize>> = faults.iter().map(Fault::span).collect();
        let typed = self.cells(start..end, &places);
        if typed.iter().any(|cell| cell.shown != ' ') {
            self.row(TYPED, &typed, style::FAIL, true);
        }
        let lines = self.mended(start..end, faults);
        let mut head = WRITE;
        for line in &lines {
            // It stands there in full, over several lines where it needs them; one beyond all measure, about what is new.
            let blank = line.iter().take_while(|cell| cell.shown == ' ').count();
            let line = &line[blank..];
            let bare = if columns(line) > self.room() { without_remark(line) } else { line };
            let new = line.iter().filter(|cell| cell.marked).map(|cell| cell.columns).sum::<usize>();
            let whole = columns(bare) <= LONGEST * self.room() || new + 2 * CUT.len() > self.room();
            let rows = if whole { rows(bare, self.room()) } else { vec![line] };
            for row in rows {
                self.row(head, row, style::PASS, false);
                head = BELOW;
            }
        }
    }

    /// `hall.toml, line 12, column 8: what is wrong; what was expected`.
    fn message(&mut self, fault: &Fault) {
        let place = match fault.line() {
            0 => format!("{}:", self.file),
            line => format!("{}, line {line}, column {}:", self.file, fault.column()),
        };
        let joint = if fault.label().starts_with("such as") { "," } else { ";" };
        let label = if fault.label().is_empty() { String::new() } else { format!("{joint} {}", fault.label()) };
        let place = visible(&place);
        let says = [&*place, " ", &unbroken(&visible(fault.message())), &unbroken(&visible(&label))].concat();
        let mut left = place.len();
        for (i, line) in wrap(&says, Hang { first: 0, rest: 2 }, self.width).iter().enumerate() {
            if i > 0 {
                self.out.push_str("  ");
            }
            // The place stands out, over two lines where it needs them.
            let bold = left.min(line.len());
            let bold = (0..=bold).rev().find(|at| line.is_char_boundary(*at)).unwrap_or(0);
            left = (left - bold).saturating_sub(1);
            self.put(style::STRONG, &line[..bold]);
            self.out.push_str(&line[bold..]);
            self.out.push('\n');
        }
    }

    /// The line as it should read, with what its faults know to mend; several lines where lines are to be added.
    fn mended(&self, line: Range<usize>, faults: &[Fault]) -> Vec<Vec<Cell>> {
        let mut mends: Vec<&Correction> = faults.iter().filter_map(|fault| fault.mend.as_ref()).collect();
        mends.sort_by_key(|mend| mend.span.start);
        let within = |mend: &&&Correction| mend.span.start >= line.start && mend.span.end <= line.end;
        let mut pieces: Vec<(&str, bool)> = Vec::new();
        let mut at = line.start;
        for mend in mends.iter().filter(within) {
            if let Some(before) = self.text.get(at..mend.span.start) {
                pieces.extend([(before, false), (mend.text.as_str(), true)]);
                at = mend.span.end;
            }
        }
        match (pieces.is_empty(), mends.first()) {
            (true, None) => return Vec::new(),
            // What spans several lines is shown without its surroundings.
            (true, Some(mend)) => pieces.push((&mend.text, true)),
            (false, _) => pieces.push((self.text.get(at..line.end).unwrap_or_default(), false)),
        }
        let mut lines = vec![Vec::new()];
        for (piece, new) in pieces {
            for (i, part) in piece.split('\n').enumerate() {
                if i > 0 {
                    lines.push(Vec::new());
                }
                if let Some(last) = lines.last_mut() {
                    last.extend(cells(part, |_| new));
                }
            }
        }
        lines
    }

    fn cells(&self, span: Range<usize>, marks: &[Range<usize>]) -> Vec<Cell> {
        let start = span.start;
        let text = self.text.get(span).unwrap_or_default();
        cells(text, |i| marks.iter().any(|mark| mark.contains(&(start + i))))
    }

    /// A line of the file after its head, in part where it is too long; what is marked in colour and underlined.
    fn row(&mut self, head: &str, line: &[Cell], mark: Style, underline: bool) {
        self.put(style::QUIET, head.trim_end());
        self.out.push_str(&head[head.trim_end().len()..]);
        let (before, line, after) = part(line, self.room());
        self.out.push_str(before);
        for run in line.chunk_by(|a, b| a.marked == b.marked) {
            let words: String = run.iter().map(|cell| cell.shown).collect();
            self.put(if run[0].marked { mark } else { style::PLAIN }, &words);
        }
        self.out.push_str(after);
        self.out.truncate(self.out.trim_end_matches(' ').len());
        self.out.push('\n');
        if underline && line.iter().any(|cell| cell.marked) {
            self.out.push_str(BELOW);
            let mut gap = before.len();
            for run in line.chunk_by(|a, b| a.marked == b.marked) {
                if run[0].marked {
                    self.out.push_str(&" ".repeat(std::mem::take(&mut gap)));
                    self.put(mark, &UNDER.repeat(columns(run).max(1)));
                } else {
                    gap += columns(run);
                }
            }
            self.out.push('\n');
        }
    }
}

/// A text whose short quotations are not broken over lines.
fn unbroken(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut left = text;
    while let Some(start) = left.find(['"', '`']) {
        let quote = &left[start..=start];
        let Some(length) = left[start + 1..].find(quote).filter(|length| *length <= 24) else {
            out.push_str(&left[..=start]);
            left = &left[start + 1..];
            continue;
        };
        let end = start + length + 2;
        out.push_str(&left[..start]);
        out.push_str(&left[start..end].replace(' ', "\u{a0}"));
        left = &left[end..];
    }
    out + left
}

/// A text in cells, without the blanks before it. What a terminal would obey is shown as a stranger.
fn cells(text: &str, marked: impl Fn(usize) -> bool) -> Vec<Cell> {
    let cell = |(i, c): (usize, char)| {
        let shown = match c {
            '\t' => ' ',
            c if is_hidden(c) || c == '\n' => '\u{fffd}',
            c => c,
        };
        Cell { shown, columns: shown.width().unwrap_or(0), marked: marked(i) }
    };
    text.char_indices().map(cell).collect()
}

fn columns(cells: &[Cell]) -> usize {
    cells.iter().map(|cell| cell.columns).sum()
}

/// A line over several rows, broken between words where it can be.
fn rows(line: &[Cell], room: usize) -> Vec<&[Cell]> {
    let mut rows = Vec::new();
    let mut left = line;
    while columns(left) > room {
        let mut maximum = 0;
        let mut used = 0;
        while maximum < left.len() && used + left[maximum].columns <= room {
            used += left[maximum].columns;
            maximum += 1;
        }
        let maximum = maximum.max(1);
        let blank = left[..maximum].iter().rposition(|cell| cell.shown == ' ').filter(|at| *at > 0);
        rows.push(&left[..blank.unwrap_or(maximum)]);
        left = &left[blank.map_or(maximum, |at| at + 1)..];
    }
    rows.push(left);
    rows
}

/// A line without the remark at its end, unless that is what is marked.
fn without_remark(line: &[Cell]) -> &[Cell] {
    let (mut quoted, mut escaped) = (false, false);
    let remark = line.iter().position(|cell| {
        quoted ^= cell.shown == '"' && !escaped;
        escaped = cell.shown == '\\' && !escaped;
        cell.shown == '#' && !quoted
    });
    let bare = &line[..remark.unwrap_or(line.len())];
    let end = bare.iter().rposition(|cell| cell.shown != ' ').map_or(0, |last| last + 1);
    if line[end..].iter().any(|cell| cell.marked) { line } else { &bare[..end] }
}

/// The part of a line to show: all of it without the blanks before it, or without its remark, or the surroundings of its
/// first mark; with what stands where it is cut.
fn part(line: &[Cell], room: usize) -> (&'static str, &[Cell], &'static str) {
    let blank = line.iter().take_while(|cell| cell.shown == ' ' && !cell.marked).count();
    let line = &line[blank..];
    if columns(line) <= room {
        return ("", line, "");
    }
    let line = without_remark(line);
    if columns(line) <= room {
        return ("", line, "");
    }
    let room = room - 2 * CUT.len();
    let from = line.iter().position(|cell| cell.marked).unwrap_or(0);
    let long = line[from..].iter().take_while(|cell| cell.marked).count();
    // A third of the room before the mark, more where the mark leaves it.
    let before = (room / 3).max(room.saturating_sub(columns(&line[from..from + long]) + room / 3));
    let mut start = from;
    let mut used = 0;
    while start > 0 && used + line[start - 1].columns <= before {
        start -= 1;
        used += line[start].columns;
    }
    let mut end = start;
    used = 0;
    while end < line.len() && used + line[end].columns <= room {
        used += line[end].columns;
        end += 1;
    }
    (if start > 0 { CUT } else { "" }, &line[start..end], if end < line.len() { CUT } else { "" })
}
