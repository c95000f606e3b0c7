//! The sheet that a report is set on: wrapped paragraphs and quiet tables within a width.
//!
//! The text may carry colour codes round whole words; the caller prints it through a stream that takes them away where
//! they do not belong.

mod grid;
pub mod style;
mod wrap;

pub use grid::{Align, Grid};
pub use wrap::{Hang, joined, whole, wrap};

use crate::visible::visible;
use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Row, Table, TableStyle};
use unicode_width::UnicodeWidthStr;
use wrap::NO_BREAK;

/// Columns of a sheet that is not set here: wide enough for every column.
const UNSET: usize = 200;

/// Sentences are not set wider than this: the eye loses the line.
const READABLE: usize = 110;

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
        // Beside a label as wide as the sheet there is no room.
        let column = if column + LEAST_BESIDE > self.width { indent + 2 } else { column };
        let lines = wrap(text, Hang::flush(column), self.width.min(READABLE));
        let label = &visible(label);
        let used = indent + label.width();
        let mut lines = lines.iter();
        if used > self.width {
            self.styled(Hang::flush(indent), label_style, label);
        } else {
            self.indent(indent);
            self.put(label_style, label);
        }
        if used < column
            && let Some(first) = lines.next()
        {
            self.indent(column - used);
            self.text.push_str(first);
        }
        if used <= self.width {
            self.text.push('\n');
        }
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

    /// Whether a table has room side by side.
    #[must_use]
    pub fn holds(&self, grid: &Grid) -> bool {
        grid.narrowest() <= self.width
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
            let told = filled
                .map(|((head, _), cell)| format!("{head} {cell}").split_whitespace().collect::<Vec<_>>().join(" "));
            let told = told.collect::<Vec<_>>().join("; ");
            self.styled(Hang { first: indent, rest: indent + 2 }, style::PLAIN, &told);
        }
    }

    /// Lines that stand on it.
    #[must_use]
    pub fn lines(&self) -> usize {
        self.text.lines().count()
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

/// A heading, after an empty line.
pub fn heading(sheet: &mut Sheet, words: &str) {
    if sheet.keeps(|| Block::Heading(words.to_owned())) {
        return;
    }
    sheet.space();
    sheet.styled(Hang::flush(0), style::STRONG, words);
}

/// Columns that a paragraph has at least beside its label.
const LEAST_BESIDE: usize = 12;
/// Marks where the head of a table ends; it is not printed.
const RULE: char = '\u{2500}';

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
