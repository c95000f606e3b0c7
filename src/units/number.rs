//! Numbers as people write them: `38`, `-4.5`, `1/2`, `6-1/2`, `6 1/2`, `1e3`.

/// Typographic signs in plain ones: minus, primes, degree, fractions, powers, hard spaces.
pub(crate) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        let fraction = match c {
            '½' => "1/2",
            '¼' => "1/4",
            '¾' => "3/4",
            '⅛' => "1/8",
            '⅜' => "3/8",
            '⅝' => "5/8",
            '⅞' => "7/8",
            _ => "",
        };
        if !fraction.is_empty() {
            if out.ends_with(|c: char| c.is_ascii_digit()) {
                out.push(' ');
            }
            out.push_str(fraction);
            continue;
        }
        match c {
            '\u{2212}' | '\u{2010}'..='\u{2013}' => out.push('-'),
            '\u{2032}' | '\u{2018}' | '\u{2019}' => out.push('\''),
            '\u{2033}' | '\u{201c}' | '\u{201d}' => out.push('"'),
            '\u{a0}' | '\u{2009}' | '\u{202f}' | '\u{b7}' | '\t' => out.push(' '),
            '\u{ba}' | '\u{2da}' => out.push('°'),
            '\u{2044}' => out.push('/'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            'µ' | 'μ' => out.push('u'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            _ => out.push(c),
        }
    }
    out.trim().replace("''", "\"")
}

/// A number at the head of a text.
pub(crate) struct Head<'a> {
    /// Its value; may be infinite where the text has too many digits.
    pub value: f64,
    /// As typed.
    pub text: &'a str,
    /// What follows it, from the first sign that is not a space.
    pub rest: &'a str,
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// Splits the number off the head of a plain text; `None` where it does not begin with one.
pub(crate) fn head(text: &str) -> Option<Head<'_>> {
    let negative = text.starts_with('-');
    let signed = text.strip_prefix(['-', '+']).map_or(text, str::trim_start);
    let start = text.len() - signed.len();
    let whole = digits(signed);
    let mut end = whole;
    if signed[end..].starts_with('.') {
        end += 1 + digits(&signed[end + 1..]);
    }
    if whole == 0 && end < 2 {
        return None;
    }
    if let Some(exponent) = signed[end..].strip_prefix(['e', 'E']) {
        let sign = usize::from(exponent.starts_with(['-', '+']));
        let count = digits(&exponent[sign..]);
        if count > 0 {
            end += 1 + sign + count;
        }
    }
    let mut value: f64 = signed[..end].parse().ok()?;
    if end == whole
        && let Some((share, length)) = fraction(&signed[end..], value)
    {
        value = share;
        end += length;
    }
    let value = if negative { -value } else { value };
    Some(Head { value, text: &text[..start + end], rest: signed[end..].trim_start() })
}

/// The fraction after a whole number: `/2` after 1, or `-1/2` or ` 1/2` after 6. The value of both together and the
/// length of the text.
fn fraction(rest: &str, whole: f64) -> Option<(f64, usize)> {
    if let Some(below) = rest.strip_prefix('/') {
        let count = digits(below);
        let divisor: f64 = below[..count].parse().ok()?;
        return (divisor > 0.0).then(|| (whole / divisor, 1 + count));
    }
    let inner = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    let skipped = rest.len() - inner.len();
    let above = digits(inner);
    if skipped == 0 || above == 0 {
        return None;
    }
    let below = inner[above..].strip_prefix('/')?;
    let count = digits(below);
    let dividend: f64 = inner[..above].parse().ok()?;
    let divisor: f64 = below[..count].parse().ok()?;
    (divisor > 0.0).then(|| (whole + dividend / divisor, skipped + above + 1 + count))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(f64, String)> {
        let plain = plain(text);
        head(&plain).map(|h| (h.value, h.rest.to_owned()))
    }

    #[test]
    fn numbers_as_on_a_drawing() {
        assert_eq!(read("38 ft"), Some((38.0, "ft".into())));
        assert_eq!(read("-4.5 ft"), Some((-4.5, "ft".into())));
        assert_eq!(read("\u{2212}4.5 ft"), Some((-4.5, "ft".into())));
        assert_eq!(read("+2F"), Some((2.0, "F".into())));
        assert_eq!(read("1/2 in"), Some((0.5, "in".into())));
        assert_eq!(read("6-1/2\""), Some((6.5, "\"".into())));
        assert_eq!(read("6 1/2 in"), Some((6.5, "in".into())));
        assert_eq!(read("6½ in"), Some((6.5, "in".into())));
        assert_eq!(read(".5 in"), Some((0.5, "in".into())));
        assert_eq!(read("5. in"), Some((5.0, "in".into())));
        assert_eq!(read("1e3 W"), Some((1000.0, "W".into())));
        assert_eq!(read("12-6"), Some((12.0, "-6".into())));
        assert_eq!(read("1/0 in"), Some((1.0, "/0 in".into())));
        assert_eq!(read("ft"), None);
        assert_eq!(read("."), None);
        assert_eq!(read(""), None);
        assert_eq!(read("nan ft"), None);
        assert_eq!(read("-"), None);
    }
}
