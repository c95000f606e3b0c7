//! A table before it is set.

use super::wrap::{NO_BREAK, joined};
use crate::visible::visible;
use unicode_width::UnicodeWidthStr;

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
    pub(super) heads: Vec<(String, Option<Align>)>,
    pub(super) rows: Vec<Vec<String>>,
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

    /// The fewest columns in which no word of it is split, and no number from its unit.
    pub(super) fn narrowest(&self) -> usize {
        let shown = |cell: &str| joined(&visible(cell));
        let column = |i: usize, head: &str, align: Option<Align>| {
            let words = |text: &str| {
                text.split(|c: char| c.is_whitespace() && !NO_BREAK.contains(c))
                    .map(UnicodeWidthStr::width)
                    .max()
                    .unwrap_or(0)
            };
            let lines = |text: &str| text.lines().map(UnicodeWidthStr::width).max().unwrap_or(0);
            let widest = if align == Some(Align::Left) { words } else { lines };
            let cells = self.rows.iter().filter_map(|row| row.get(i));
            cells.map(String::as_str).chain([head]).map(|cell| widest(&shown(cell))).max().unwrap_or(0)
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
