//! The gaps of a row of things, an array or an inline table, in which its layout is.

use toml_edit::{Array, Decor, InlineTable, Key, RawString, Value};

/// What stands in a row between brackets, with the gaps before each and after the last.
pub(super) trait Row {
    fn count(&self) -> usize;
    fn before(&self, at: usize) -> String;
    fn set_before(&mut self, at: usize, gap: &str);
    /// What follows the last, unless a comma stands between.
    fn last(&mut self) -> Option<&mut Decor>;
    fn trailing(&self) -> (bool, &RawString);
    fn set_trailing(&mut self, gap: &str);

    fn end(&mut self) -> String {
        let (comma, trailing) = self.trailing();
        let trailing = text(trailing).to_owned();
        match self.last() {
            Some(last) if !comma => last.suffix().map(text).unwrap_or_default().to_owned() + &trailing,
            _ => trailing,
        }
    }

    fn set_end(&mut self, gap: &str) {
        let (comma, _) = self.trailing();
        match self.last() {
            Some(last) if !comma => {
                last.set_suffix(gap);
                self.set_trailing("");
            }
            _ => self.set_trailing(gap),
        }
    }

    fn gap(&mut self, at: usize) -> String {
        if at < self.count() { self.before(at) } else { self.end() }
    }

    fn set_gap(&mut self, at: usize, gap: &str) {
        if at < self.count() { self.set_before(at, gap) } else { self.set_end(gap) }
    }
}

impl Row for Array {
    fn count(&self) -> usize {
        self.len()
    }

    fn before(&self, at: usize) -> String {
        self.get(at).map(|value| prefix(value.decor()).to_owned()).unwrap_or_default()
    }

    fn set_before(&mut self, at: usize, gap: &str) {
        if let Some(value) = self.get_mut(at) {
            value.decor_mut().set_prefix(gap);
        }
    }

    fn last(&mut self) -> Option<&mut Decor> {
        self.iter_mut().last().map(Value::decor_mut)
    }

    fn trailing(&self) -> (bool, &RawString) {
        (self.trailing_comma(), Array::trailing(self))
    }

    fn set_trailing(&mut self, gap: &str) {
        Array::set_trailing(self, gap);
    }
}

impl Row for InlineTable {
    fn count(&self) -> usize {
        self.len()
    }

    fn before(&self, at: usize) -> String {
        let gap = self.iter().nth(at).and_then(|(key, _)| Some(prefix(self.key(key)?.leaf_decor()).to_owned()));
        gap.unwrap_or_default()
    }

    fn set_before(&mut self, at: usize, gap: &str) {
        if let Some((mut key, _)) = self.iter_mut().nth(at) {
            key.leaf_decor_mut().set_prefix(gap);
        }
    }

    fn last(&mut self) -> Option<&mut Decor> {
        self.iter_mut().last().map(|(_, value)| value.decor_mut())
    }

    fn trailing(&self) -> (bool, &RawString) {
        (self.trailing_comma(), InlineTable::trailing(self))
    }

    fn set_trailing(&mut self, gap: &str) {
        InlineTable::set_trailing(self, gap);
    }
}

/// Puts something into a row: on a line of its own where its neighbours have theirs. `put` gets what stands before and
/// after it.
pub(super) fn insert<R: Row>(row: &mut R, at: usize, put: impl FnOnce(&mut R, &str, &str)) {
    let count = row.count();
    let gap = row.gap(at);
    let neighbour = if at < count { gap.clone() } else { row.gap(count.saturating_sub(1)) };
    let (of_before, rest) = parted(&gap);
    if at == count {
        row.set_end("");
    }
    match neighbour.rfind('\n').filter(|_| count > 0) {
        Some(line) => {
            put(row, &[of_before, "\n", &neighbour[line + 1..]].concat(), "");
            row.set_gap(at + 1, if rest.is_empty() { &neighbour[line..] } else { rest });
        }
        None if at < count && at == 0 => {
            put(row, rest, "");
            row.set_gap(1, " ");
        }
        None if at < count => put(row, " ", ""),
        None => {
            put(row, if at == 0 && !gap.contains('\n') { "" } else { " " }, "");
            row.set_gap(at + 1, &gap);
        }
    }
}

/// Takes something out of a row, with the comments above it and behind it.
pub(super) fn remove<R: Row>(row: &mut R, at: usize, take: impl FnOnce(&mut R)) {
    let before = row.gap(at);
    let after = row.gap(at + 1);
    take(row);
    let (of_before, own) = parted(&before);
    let (_, rest) = parted(&after);
    let rest = if at == 0 && !after.contains('\n') { own } else { rest };
    row.set_gap(at, &[of_before, rest].concat());
}

/// A gap in what belongs to the line before it, and the rest from the line's end on.
pub(super) fn parted(gap: &str) -> (&str, &str) {
    gap.split_at(gap.find('\n').unwrap_or(0))
}

pub(super) fn insert_key(table: &mut InlineTable, key: &str, mut value: Value) {
    let at = table.len();
    insert(table, at, |table, prefix, suffix| {
        value.decor_mut().set_prefix(" ");
        value.decor_mut().set_suffix(suffix);
        let prefix = if table.is_empty() { " " } else { prefix };
        table.insert_formatted(&Key::new(key).with_leaf_decor(Decor::new(prefix, " ")), value);
    });
    if at == 0 && table.decor().suffix().is_none() {
        table.set_end(" ");
    }
}

pub(super) fn remove_key(table: &mut InlineTable, key: &str) {
    let at = table.iter().position(|(known, _)| known == key);
    if let Some(at) = at {
        remove(table, at, |table| drop(table.remove(key)));
    }
}

pub(super) fn text(raw: &RawString) -> &str {
    raw.as_str().unwrap_or_default()
}

pub(super) fn prefix(decor: &Decor) -> &str {
    decor.prefix().map(text).unwrap_or_default()
}

pub(super) fn last_line(gap: &str) -> &str {
    gap.rsplit('\n').next().unwrap_or_default()
}
