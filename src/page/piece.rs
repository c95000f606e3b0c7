//! The blocks of a text as pieces of HTML.

use crate::layout::{Block, Grid, Sheet, joined, style};

/// A piece of a page.
pub(super) enum Piece {
    Heading(String),
    Strong(String),
    Words(String),
    Soft(String),
    List(Vec<(String, String)>),
    Table(Table),
}

/// A table.
pub(super) struct Table {
    pub class: &'static str,
    pub heads: Vec<Head>,
    pub rows: Vec<Row>,
}

/// A row of a table.
pub(super) struct Row {
    pub cells: Vec<Cell>,
    /// Whether it heads the rows below it: nothing but its name stands in it.
    pub is_group: bool,
}

/// The head of a column.
pub(super) struct Head {
    pub lines: Vec<String>,
    pub number: bool,
}

/// A cell.
pub(super) struct Cell {
    pub tag: &'static str,
    pub role: &'static str,
    pub head: String,
    pub lines: Vec<String>,
    pub number: bool,
    /// Whether it takes a row of its own on a phone.
    pub is_long: bool,
    /// Whether it is a box to write in.
    pub to_write: bool,
}

/// A cell of more letters takes a row of its own on a phone.
const LONG: usize = 22;
/// Columns and letters that a row of a phone holds.
const NARROW: (usize, usize) = (4, 34);

/// What a text writes, in pieces.
pub(super) fn pieces(write: impl FnOnce(&mut Sheet)) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    for block in Sheet::blocks(write) {
        match block {
            Block::Heading(words) => pieces.push(Piece::Heading(words)),
            Block::Text(look, words) => pieces.extend(text(look, words)),
            Block::Ends([left, right]) => {
                pieces.extend(text(left.0, left.1));
                pieces.extend(text(right.0, right.1));
            }
            Block::Labelled(label, words) => match pieces.last_mut() {
                Some(Piece::List(items)) => items.push((label, joined(&words))),
                _ => pieces.push(Piece::List(vec![(label, joined(&words))])),
            },
            Block::Table(grid) => pieces.push(Piece::Table(table(&grid))),
        }
    }
    pieces
}

/// The pieces of a list below a heading of its own: without the title of the job.
pub(super) fn without_title(mut pieces: Vec<Piece>) -> Vec<Piece> {
    pieces.drain(..pieces.len().min(2));
    pieces
}

fn text(look: anstyle::Style, words: String) -> Option<Piece> {
    if words.trim().is_empty() {
        None
    } else if look == style::PLAIN {
        Some(Piece::Words(joined(&words)))
    } else if look == style::QUIET {
        Some(Piece::Soft(words))
    } else {
        Some(Piece::Strong(joined(&words)))
    }
}

fn table(grid: &Grid) -> Table {
    let mut heads: Vec<(String, bool)> = grid.heads().map(|(head, number)| (head.trim().to_owned(), number)).collect();
    let filled = |row: &&Vec<String>| row.iter().any(|cell| !cell.trim().is_empty());
    let mut rows: Vec<Vec<String>> = grid.rows().iter().filter(filled).cloned().collect();
    // Numbers of runs stand with their names.
    if heads.len() > 2 && heads.first().is_some_and(|(head, number)| head.is_empty() && *number) {
        heads.remove(0);
        for row in &mut rows {
            let number = row.remove(0);
            if let Some(name) = row.first_mut().filter(|_| !number.is_empty()) {
                *name = format!("{number}\u{a0}{name}");
            }
        }
    }
    let widest = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column)).flat_map(|cell| cell.lines());
        cells.chain(heads.get(column).iter().flat_map(|(head, _)| head.lines())).map(|line| line.chars().count()).max()
    };
    let letters: usize = (0..heads.len()).filter_map(widest).sum();
    let narrow = heads.len() <= 2 || (heads.len() <= NARROW.0 && letters <= NARROW.1);
    let cell = |column: usize, text: &str| {
        let (head, number) = heads.get(column).map_or(("", false), |(head, number)| (head.as_str(), *number));
        let (tag, role) = if column == 0 && !text.trim().is_empty() { ("th", "rowheader") } else { ("td", "cell") };
        let bare = text.trim();
        let inside = bare.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
        Cell {
            tag,
            role,
            head: if narrow || column == 0 { String::new() } else { head.lines().collect::<Vec<_>>().join(" ") },
            lines: joined(text).lines().map(|line| line.trim_end().replace("+-", "±")).collect(),
            is_long: bare.chars().count() > LONG,
            number,
            to_write: inside.is_some_and(|inside| inside.trim().is_empty()),
        }
    };
    let row = |row: &Vec<String>| {
        let is_group = heads.len() > 2
            && row.iter().skip(1).all(|cell| cell.trim().is_empty())
            && row.first().is_some_and(|name| !name.starts_with(char::is_whitespace));
        let columns = if is_group { 1 } else { row.len() };
        let cells = row.iter().take(columns).enumerate().map(|(column, text)| cell(column, text)).collect();
        Row { cells, is_group }
    };
    Table {
        class: if narrow { "figures" } else { "stack" },
        rows: rows.iter().map(row).collect(),
        heads: heads
            .iter()
            .map(|(head, number)| Head { lines: head.lines().map(str::to_owned).collect(), number: *number })
            .collect(),
    }
}
