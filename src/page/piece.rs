//! The blocks of a text as pieces of HTML.

use crate::layout::{Block, Grid, Sheet, style};

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

/// A text whose numbers stay with their units, and whose sizes do not break at their hyphen: `2-1/8 ACR` read as `1/8` is another tube.
pub(super) fn held(text: &str) -> String {
    let mut held = String::with_capacity(text.len());
    let joined = crate::layout::joined(text);
    let mut rest = joined.as_str();
    while let Some(at) = rest.find('-') {
        let (before, after) = rest.split_at(at);
        held.push_str(before);
        let numbers = after[1..].split_once('/').is_some_and(|(of, by)| {
            !of.is_empty() && of.bytes().all(|c| c.is_ascii_digit()) && by.starts_with(|c: char| c.is_ascii_digit())
        });
        held.push(if numbers && before.ends_with(|c: char| c.is_ascii_digit()) { '\u{2011}' } else { '-' });
        rest = &after[1..];
    }
    held.push_str(rest);
    held
}

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
                Some(Piece::List(items)) => items.push((label, held(&words))),
                _ => pieces.push(Piece::List(vec![(label, held(&words))])),
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
        Some(Piece::Words(held(&words)))
    } else if look == style::QUIET {
        Some(Piece::Soft(words))
    } else {
        Some(Piece::Strong(held(&words)))
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
            head: if narrow { String::new() } else { head.lines().collect::<Vec<_>>().join(" ") },
            lines: held(text).lines().map(|line| line.trim_end().replace("+-", "±")).collect(),
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

#[cfg(test)]
mod tests {
    use super::held;

    #[test]
    fn a_size_does_not_break_at_its_hyphen_and_other_hyphens_stay() {
        assert_eq!(held("2-1/8 ACR and 1-3/8"), "2\u{2011}1/8\u{a0}ACR and 1\u{2011}3/8");
        for other in ["liquid-flash", "runs 2-6", "A-1/8", "-12 to 3", "1-/8", "1-"] {
            assert_eq!(held(other), other);
        }
    }
}
