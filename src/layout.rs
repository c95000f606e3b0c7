//! The sheet that a report is set on: wrapped paragraphs and quiet tables within a width.
//!
//! The text may carry colour codes round whole words; the caller prints it through a stream that takes them away where
//! they do not belong.

use crate::visible::visible;
use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Row, Table, TableStyle};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};
use unicode_width::UnicodeWidthStr;

/// The colours. They only repeat what the words beside them say.
pub mod style {
    use anstyle::{AnsiColor, Style};

    /// Headings.
    pub const STRONG: Style = Style::new().bold();
    /// Heads of tables, sources, and what else may stand back.
    pub const QUIET: Style = Style::new().dimmed();
    /// A fail.
    pub const FAIL: Style = AnsiColor::Red.on_default().bold();
    /// A caution.
    pub const CAUTION: Style = AnsiColor::Yellow.on_default().bold();
    /// A note.
    pub const NOTE: Style = AnsiColor::Blue.on_default().bold();
    /// What holds.
    pub const PASS: Style = AnsiColor::Green.on_default().bold();
    /// No style at all.
    pub const PLAIN: Style = Style::new();
}

/// Columns of a sheet that is not set here: wide enough for every column.
const UNSET: usize = 200;

/// Sentences are not set wider than this: the eye loses the line.
const READABLE: usize = 110;

/// Text after a number that must not be parted from it.
const UNITS: &[&str] = &[
    "F", "K", "°C", "%", "x", "ft", "in", "m", "mm", "psi", "psig", "psia", "kPa", "bar", "barg", "bara", "MPa", "fpm",
    "ft/s", "m/s", "ton", "tons", "kW", "W", "MBH", "lb", "kg", "lb/min", "kg/s", "ft3", "m3", "L", "lb/ft3", "kg/m3",
    "dBA", "dB", "MWh", "mph", "h", "hours", "Btu/lb", "kJ/kg", "of", "times", "ACR", "OD", "Sch40", "Sch80",
];

/// A paragraph's place: where its first line and its other lines begin.
#[derive(Clone, Copy, Debug)]
pub struct Hang {
    /// Columns before the first line.
    pub first: usize,
    /// Columns before the others.
    pub rest: usize,
}

impl Hang {
    /// All lines begin at the same column.
    #[must_use]
    pub const fn flush(indent: usize) -> Self {
        Self { first: indent, rest: indent }
    }
}

/// On which side a column of a table stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words, which wrap where the table is too wide.
    Left,
    /// Words that are never broken.
    Whole,
    /// Numbers.
    Right,
}

/// A table: heads and rows of text. A cell may have several lines.
#[derive(Clone, Debug, Default)]
pub struct Grid {
    heads: Vec<(String, Option<Align>)>,
    rows: Vec<Vec<String>>,
}

impl Grid {
    /// A table with no columns yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// With one more column.
    #[must_use]
    pub fn column(mut self, head: impl Into<String>, align: Align) -> Self {
        self.heads.push((head.into(), Some(align)));
        self
    }

    /// With a column of words.
    #[must_use]
    pub fn left(self, head: impl Into<String>) -> Self {
        self.column(head, Align::Left)
    }

    /// With a column of words that are never broken.
    #[must_use]
    pub fn whole(self, head: impl Into<String>) -> Self {
        self.column(head, Align::Whole)
    }

    /// With a column of numbers.
    #[must_use]
    pub fn right(self, head: impl Into<String>) -> Self {
        self.column(head, Align::Right)
    }

    /// With a column of words and what stands in it, which may end before the last row.
    #[must_use]
    pub fn words(self, head: impl Into<String>, cells: Vec<String>) -> Self {
        self.filled(cells).left(head)
    }

    /// With a column of numbers and what stands in it, which may end before the last row.
    #[must_use]
    pub fn numbers(self, head: impl Into<String>, cells: Vec<String>) -> Self {
        self.filled(cells).right(head)
    }

    fn filled(mut self, cells: Vec<String>) -> Self {
        let before = vec![String::new(); self.heads.len()];
        self.rows.resize(self.rows.len().max(cells.len()), before);
        let mut cells = cells.into_iter();
        self.rows.iter_mut().for_each(|row| row.push(cells.next().unwrap_or_default()));
        self
    }

    /// Heads of its columns, and whether numbers stand below each.
    pub fn heads(&self) -> impl Iterator<Item = (&str, bool)> {
        self.heads.iter().map(|(head, align)| (head.as_str(), *align == Some(Align::Right)))
    }

    /// Its rows.
    #[must_use]
    pub fn rows(&self) -> &[Vec<String>] {
        &self.rows
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// The fewest columns in which no word of it is split.
    fn narrowest(&self) -> usize {
        let column = |i: usize, head: &str, align: Option<Align>| {
            let words = |text: &str| text.split_whitespace().map(UnicodeWidthStr::width).max().unwrap_or(0);
            let lines = |text: &str| text.lines().map(UnicodeWidthStr::width).max().unwrap_or(0);
            let widest = if align == Some(Align::Left) { words } else { lines };
            let cells = self.rows.iter().filter_map(|row| row.get(i));
            cells.map(|cell| widest(cell)).chain([widest(head)]).max().unwrap_or(0)
        };
        let columns = self.heads.iter().enumerate().map(|(i, (head, align))| column(i, head, *align));
        columns.sum::<usize>() + 2 * self.heads.len().saturating_sub(1)
    }

    /// Whether it has no rows.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The same without the columns that are empty in every row.
    #[must_use]
    pub fn without_empty_columns(mut self) -> Self {
        let keep: Vec<bool> = (0..self.heads.len())
            .map(|i| self.rows.iter().any(|row| row.get(i).is_some_and(|cell| !cell.trim().is_empty())))
            .collect();
        let mut column = keep.iter();
        self.heads.retain(|_| column.next().copied().unwrap_or(false));
        for row in &mut self.rows {
            let mut column = keep.iter();
            row.retain(|_| column.next().copied().unwrap_or(false));
        }
        self
    }
}

/// What stands on a sheet, before it is set in columns.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(anstyle::Style, String),
    /// A label and its paragraph.
    Labelled(String, String),
    /// Two texts, one at each end of a line.
    Ends([(anstyle::Style, String); 2]),
    /// A table.
    Table(Grid),
}

/// A sheet of that many columns, written from the top.
#[derive(Clone, Debug)]
pub struct Sheet {
    width: usize,
    text: String,
    /// What stands on it, where it is not set here.
    blocks: Option<Vec<Block>>,
}

impl Sheet {
    /// An empty sheet of `width` columns; below 40 it is taken as 40.
    #[must_use]
    pub fn new(width: usize) -> Self {
        Self { width: width.max(40), text: String::new(), blocks: None }
    }

    /// What is written on a wide sheet, for an exporter that sets it itself.
    #[must_use]
    pub fn blocks(write: impl FnOnce(&mut Self)) -> Vec<Block> {
        let mut sheet = Self { width: UNSET, text: String::new(), blocks: Some(Vec::new()) };
        write(&mut sheet);
        sheet.blocks.unwrap_or_default()
    }

    /// An empty sheet of the same kind.
    #[must_use]
    pub fn like(&self) -> Self {
        Self { width: self.width, text: String::new(), blocks: self.blocks.as_ref().map(|_| Vec::new()) }
    }

    /// Whether the block is kept as it is, not set here.
    fn keeps(&mut self, block: impl FnOnce() -> Block) -> bool {
        let Some(blocks) = &mut self.blocks else { return false };
        blocks.push(block());
        true
    }

    /// Its columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// What stands on another, after an empty line.
    pub fn append(&mut self, other: &Self) {
        if let (Some(blocks), Some(others)) = (&mut self.blocks, &other.blocks) {
            blocks.extend_from_slice(others);
            return;
        }
        self.space();
        self.text.push_str(&other.text);
    }

    /// An empty line, unless there is one or nothing stands above.
    pub fn space(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A paragraph.
    pub fn paragraph(&mut self, indent: usize, text: &str) {
        self.styled(Hang::flush(indent), style::PLAIN, text);
    }

    /// A paragraph in one style.
    pub fn styled(&mut self, hang: Hang, style: anstyle::Style, text: &str) {
        if self.keeps(|| Block::Text(style, text.to_owned())) {
            return;
        }
        for (i, line) in wrap(text, hang, self.width.min(READABLE)).iter().enumerate() {
            if !line.is_empty() {
                self.indent(if i == 0 { hang.first } else { hang.rest });
                self.put(style, line);
            }
            self.text.push('\n');
        }
    }

    /// A label, then a paragraph that begins after it and goes on under its own beginning.
    /// `column` is where the paragraph begins; a label that reaches it stands on a line of its own.
    pub fn labelled(&mut self, indent: usize, label: &str, label_style: anstyle::Style, column: usize, text: &str) {
        if self.keeps(|| Block::Labelled(label.to_owned(), text.to_owned())) {
            return;
        }
        let lines = wrap(text, Hang::flush(column), self.width.min(READABLE));
        let label = &visible(label);
        self.indent(indent);
        self.put(label_style, label);
        let used = indent + label.width();
        let mut lines = lines.iter();
        if used < column
            && let Some(first) = lines.next()
        {
            self.indent(column - used);
            self.text.push_str(first);
        }
        self.text.push('\n');
        for line in lines {
            self.indent(column);
            self.text.push_str(line);
            self.text.push('\n');
        }
    }

    /// A label with its paragraph on the same line; the other lines begin at `column`.
    pub fn run_in(&mut self, label: &str, label_style: anstyle::Style, column: usize, text: &str) {
        if self.keeps(|| Block::Labelled(label.to_owned(), text.to_owned())) {
            return;
        }
        let label = &*visible(label);
        let hang = Hang { first: label.width() + 1, rest: column };
        for (i, line) in wrap(text, hang, self.width.min(READABLE)).iter().enumerate() {
            if i == 0 {
                self.put(label_style, label);
            }
            self.indent(if i == 0 { 1 } else { column });
            self.text.push_str(line);
            self.text.push('\n');
        }
    }

    /// Two texts on one line, the second at its end; on two lines where both do not fit.
    pub fn ends(&mut self, left: (&str, anstyle::Style), right: (&str, anstyle::Style)) {
        if self.keeps(|| Block::Ends([left, right].map(|(text, style)| (style, text.to_owned())))) {
            return;
        }
        let (left, right) = ((&*visible(left.0), left.1), (&*visible(right.0), right.1));
        let taken = left.0.width() + right.0.width();
        if right.0.is_empty() {
            self.styled(Hang::flush(0), left.1, left.0);
        } else if taken + 3 <= self.width {
            self.put(left.1, left.0);
            self.indent(self.width - taken);
            self.put(right.1, right.0);
            self.text.push('\n');
        } else {
            self.styled(Hang::flush(0), left.1, left.0);
            self.styled(Hang::flush(0), right.1, right.0);
        }
    }

    /// A table, `indent` columns in. Its columns of words shrink to the width; no-break spaces hold words together. One that
    /// is too wide all the same is set row by row.
    pub fn table(&mut self, indent: usize, grid: &Grid) {
        if self.keeps(|| Block::Table(grid.clone())) {
            return;
        }
        if indent + grid.narrowest() > self.width {
            self.rows(indent, grid);
            return;
        }
        let mut table = Table::new();
        let style = TableStyle::new().header_separator(LineStyle::none().fill(RULE));
        table.load_style(style).set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(u16::try_from(self.width - indent.min(self.width)).unwrap_or(u16::MAX));
        let align = |i: usize| match grid.heads.get(i).and_then(|head| head.1) {
            Some(Align::Right) => CellAlignment::Right,
            _ => CellAlignment::Left,
        };
        let row = |cells: Vec<&str>| {
            let cells =
                cells.iter().enumerate().map(|(i, cell)| Cell::new(joined(&visible(cell))).set_alignment(align(i)));
            Row::from(cells.collect::<Vec<Cell>>())
        };
        table.set_header(row(grid.heads.iter().map(|head| head.0.as_str()).collect()));
        for cells in &grid.rows {
            table.add_row(row(cells.iter().map(String::as_str).collect()));
        }
        for (i, column) in table.column_iter_mut().enumerate() {
            column.set_padding((if i == 0 { 0 } else { 2 }, 0));
            if grid.heads.get(i).is_some_and(|head| head.1 != Some(Align::Left)) {
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
        let lines: Vec<String> = table.lines().map(|line| line.replace(NO_BREAK, " ").trim_end().to_owned()).collect();
        let rule = lines.iter().position(|line| !line.is_empty() && line.chars().all(|c| c == RULE)).unwrap_or(0);
        for (i, line) in lines.iter().enumerate().filter(|(i, line)| *i != rule && !line.is_empty()) {
            self.indent(indent);
            self.put(if i < rule { style::QUIET } else { style::PLAIN }, line);
            self.text.push('\n');
        }
    }

    /// The rows of a table, each with its heads before what stands in it.
    fn rows(&mut self, indent: usize, grid: &Grid) {
        for cells in &grid.rows {
            let filled = grid.heads.iter().zip(cells).filter(|(_, cell)| !cell.trim().is_empty());
            let told = filled.map(|((head, _), cell)| format!("{head} {cell}").replace('\n', " ").trim().to_owned());
            let told = told.collect::<Vec<_>>().join("; ");
            self.styled(Hang { first: indent, rest: indent + 2 }, style::PLAIN, &told);
        }
    }

    /// What has been written.
    #[must_use]
    pub fn finish(self) -> String {
        self.text
    }

    fn indent(&mut self, columns: usize) {
        self.text.extend(std::iter::repeat_n(' ', columns));
    }

    fn put(&mut self, style: anstyle::Style, text: &str) {
        if style == style::PLAIN || text.is_empty() {
            self.text.push_str(text);
        } else {
            self.text.extend([style.render().to_string().as_str(), text, style.render_reset().to_string().as_str()]);
        }
    }
}

/// Words that a column does not break.
#[must_use]
pub fn whole(words: &str) -> String {
    words.replace(' ', NO_BREAK)
}

/// A heading, after an empty line.
pub fn heading(sheet: &mut Sheet, words: &str) {
    if sheet.keeps(|| Block::Heading(words.to_owned())) {
        return;
    }
    sheet.space();
    sheet.styled(Hang::flush(0), style::STRONG, words);
}

/// Holds words together until the text is set.
const NO_BREAK: &str = "\u{a0}";

/// Marks where the head of a table ends; it is not printed.
const RULE: char = '\u{2500}';

/// Breaks a text into lines that fit `width` columns after their indents. A number stays with its unit; a word longer
/// than a line is cut. A line break in the text stays one.
#[must_use]
pub fn wrap(text: &str, hang: Hang, width: usize) -> Vec<String> {
    let (first, rest) = (" ".repeat(hang.first), " ".repeat(hang.rest));
    let options = Options::new(width.max(hang.first.max(hang.rest) + 8))
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .subsequent_indent(&rest);
    let lines = joined(&visible(text));
    let lines = lines.lines().enumerate().flat_map(|(i, line)| {
        textwrap::wrap(line, options.clone().initial_indent(if i == 0 { &first } else { &rest }))
    });
    lines.map(|line| line.trim_start_matches(' ').replace(NO_BREAK, " ")).collect()
}

/// A text whose numbers stay with their units.
#[must_use]
pub fn joined(cell: &str) -> String {
    let lines =
        cell.split('\n').map(|line| words(line).iter().map(|word| word.replace(' ', NO_BREAK)).collect::<Vec<_>>());
    lines.map(|words| words.join(" ")).collect::<Vec<String>>().join("\n")
}

/// The words of a text, numbers joined to the units that follow them. No-break spaces part no words.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split([' ', '\t']).filter(|word| !word.is_empty()) {
        let bare = word.trim_end_matches(['.', ',', ';', ':', ')']);
        match words.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&bare) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit() {
        let lines = wrap("The valve gets 0.6 F of subcooling", Hang::flush(0), 18);
        assert_eq!(lines, ["The valve gets", "0.6 F of", "subcooling"]);
    }

    #[test]
    fn a_long_word_is_cut_and_every_line_fits() {
        let text = "x".repeat(50);
        let lines = wrap(&text, Hang { first: 2, rest: 5 }, 20);
        assert_eq!(lines.iter().map(String::len).collect::<Vec<_>>(), [15, 15, 15, 5]);
        assert!(wrap("", Hang::flush(0), 20).is_empty());
    }

    #[test]
    fn a_label_that_reaches_the_text_stands_alone() {
        let mut sheet = Sheet::new(40);
        sheet.labelled(2, "label", style::PLAIN, 10, "one two");
        sheet.labelled(2, "long label", style::PLAIN, 10, "one two");
        assert_eq!(sheet.finish(), "  label   one two\n  long label\n          one two\n");
    }

    #[test]
    fn two_ends_share_a_line_only_where_they_fit() {
        let mut sheet = Sheet::new(40);
        sheet.ends(("left", style::PLAIN), ("right", style::PLAIN));
        sheet.ends(("left".repeat(9).as_str(), style::PLAIN), ("right", style::PLAIN));
        let text = sheet.finish();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0].len(), 40);
        assert_eq!(lines[2], "right");
    }

    #[test]
    fn a_table_has_no_frame_and_drops_its_empty_columns() {
        let mut grid =
            Grid::new().column("what", Align::Left).column("none", Align::Left).column("ft\nmin", Align::Right);
        grid.row(vec!["a".into(), String::new(), "1.5".into()]);
        grid.row(vec!["bbbb".into(), " ".into(), "12.5".into()]);
        let mut sheet = Sheet::new(60);
        sheet.table(2, &grid.without_empty_columns());
        let plain = anstream::adapter::strip_str(&sheet.finish()).to_string();
        assert_eq!(plain, "  what    ft\n         min\n  a      1.5\n  bbbb  12.5\n");
    }
}
