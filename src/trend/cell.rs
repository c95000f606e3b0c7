//! What stands in a cell: a number, a state, nothing, or that there is nothing.

/// Numbers that controllers write where a sensor is broken or not there.
const NO_VALUE: &[f64] =
    &[-999.0, -9999.0, 9999.0, -999.9, 32767.0, -32767.0, 32768.0, -32768.0, 65535.0, 3276.7, -3276.8, 6553.5];

/// What stands in a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell {
    /// Nothing: what was logged before still holds.
    Empty,
    /// That there is no value.
    Missing,
    /// A word, or a number that no sensor gives.
    Fault,
    /// A number as written.
    Number(f64),
    /// A number in per cent.
    Percent(f64),
    /// On or off.
    State(bool),
}

/// How numbers are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// 1,234.5.
    Point,
    /// 1.234,5.
    Comma,
}

const MISSING: &[&str] =
    &["-", "--", "---", "----", "n/a", "na", "nan", "null", "none", "nil", "?", "*", "***", "no data"];
const ON: &[&str] =
    &["on", "run", "running", "true", "yes", "active", "open", "start", "started", "enabled", "bubbles"];
const OFF: &[&str] =
    &["off", "stop", "stopped", "false", "no", "inactive", "shut", "closed", "idle", "disabled", "clear"];

/// Reads a cell; what stands behind its number is given back with it: a unit, or nothing.
#[must_use]
pub fn read(text: &str, decimal: Decimal) -> (Cell, &str) {
    let text = text.trim();
    if text.is_empty() {
        return (Cell::Empty, "");
    }
    if decimal == Decimal::Point
        && let Ok(number) = text.parse::<f64>()
    {
        return (of_number(number), "");
    }
    let end = text
        .char_indices()
        .find(|(at, c)| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | ',' | '\u{a0}' | '\u{202f}')
                || (*at == 0 && matches!(c, '-' | '+' | '\u{2212}')))
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, unit) = (text[..end].trim(), text[end..].trim());
    if let Some(number) = number_of(number, decimal) {
        return match unit {
            "%" => (Cell::Percent(number), ""),
            _ if unit.len() <= 12 => (of_number(number), unit),
            _ => (Cell::Fault, ""),
        };
    }
    (of_word(text), "")
}

fn of_number(number: f64) -> Cell {
    if number.is_nan() {
        Cell::Missing
    } else if !number.is_finite() || NO_VALUE.contains(&number) {
        Cell::Fault
    } else {
        Cell::Number(number)
    }
}

fn of_word(text: &str) -> Cell {
    let is = |any: &[&str]| any.iter().any(|word| text.eq_ignore_ascii_case(word));
    if is(MISSING) {
        Cell::Missing
    } else if is(ON) {
        Cell::State(true)
    } else if is(OFF) {
        Cell::State(false)
    } else {
        Cell::Fault
    }
}

fn number_of(text: &str, decimal: Decimal) -> Option<f64> {
    if !text.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let (mark, group) = match decimal {
        Decimal::Point => ('.', ','),
        Decimal::Comma => (',', '.'),
    };
    let (whole, fraction) = text.split_once(mark).map_or((text, ""), |(whole, fraction)| (whole, fraction));
    let mut groups = whole.split([group, '\u{a0}', '\u{202f}']);
    let first = groups.next()?;
    let rest: Vec<&str> = groups.collect();
    // What is no group of three digits is no number as this file writes them.
    if rest.iter().any(|group| group.len() != 3) || fraction.contains(|c: char| !c.is_ascii_digit()) {
        return None;
    }
    let mut plain = first.replace('\u{2212}', "-");
    plain.extend(rest);
    plain.push('.');
    plain.push_str(if fraction.is_empty() { "0" } else { fraction });
    plain.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_point_or_comma() {
        let point = |text| read(text, Decimal::Point);
        let comma = |text| read(text, Decimal::Comma);
        assert_eq!(point("1,234.5"), (Cell::Number(1234.5), ""));
        assert_eq!(comma("1.234,5"), (Cell::Number(1234.5), ""));
        assert_eq!(comma("1\u{a0}234,5"), (Cell::Number(1234.5), ""));
        assert_eq!(comma("-7,25"), (Cell::Number(-7.25), ""));
        assert_eq!(comma("12"), (Cell::Number(12.0), ""));
        assert_eq!(point("72.5 °F"), (Cell::Number(72.5), "°F"));
        assert_eq!(point("45 %"), (Cell::Percent(45.0), ""));
        assert_eq!(point("12,5").0, Cell::Fault);
    }

    #[test]
    fn what_is_no_value_is_told_from_what_is_not_logged() {
        let is = |text| read(text, Decimal::Point).0;
        assert_eq!(is("  "), Cell::Empty);
        for text in ["--", "NaN", "n/a", "NULL"] {
            assert_eq!(is(text), Cell::Missing, "{text}");
        }
        for text in ["-999", "32767", "-999.0", "Sensor Fault", "#REF!", "inf"] {
            assert_eq!(is(text), Cell::Fault, "{text}");
        }
        assert_eq!(is("On"), Cell::State(true));
        assert_eq!(is("STOPPED"), Cell::State(false));
    }
}
