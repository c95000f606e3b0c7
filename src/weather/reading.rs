//! One field of a record: a number, a missing value, or neither.

/// What a field holds.
pub(super) struct Quantity {
    /// Its name in messages.
    pub name: &'static str,
    /// Unit as the tool keeps it in messages.
    pub unit: &'static str,
    /// Least and greatest value that the published formats allow.
    pub range: (f64, f64),
    /// Whether a value out of range is refused; else it counts as missing. The tool computes by the dry-bulb, so a file
    /// with another one there is no file to go by.
    pub strict: bool,
}

pub(super) const DRY_BULB: Quantity =
    Quantity { name: "dry-bulb temperature", unit: "°C", range: (-90.0, 70.0), strict: true };
pub(super) const DEW_POINT: Quantity = Quantity { name: "dew point", unit: "°C", range: (-90.0, 70.0), strict: false };
pub(super) const HUMIDITY: Quantity =
    Quantity { name: "relative humidity", unit: "%", range: (0.0, 110.0), strict: false };
pub(super) const PRESSURE: Quantity =
    Quantity { name: "station pressure", unit: "Pa", range: (31_000.0, 120_000.0), strict: false };
pub(super) const WIND_FROM: Quantity =
    Quantity { name: "wind direction", unit: "degrees", range: (0.0, 360.0), strict: false };
pub(super) const WIND: Quantity = Quantity { name: "wind speed", unit: "m/s", range: (0.0, 75.0), strict: false };

/// The value of a field times `factor`; none where it is empty, missing, or out of a range that is not strict.
///
/// # Errors
/// In words, where it is no number or out of a strict range.
pub(super) fn reading(
    text: &str,
    quantity: &Quantity,
    factor: f64,
    missing: impl Fn(f64) -> bool,
) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let Some(number) = text.parse::<f64>().ok().filter(|number| number.is_finite()) else {
        return Err(format!("the {} is `{}`, which is no number", quantity.name, shown(text)));
    };
    if missing(number) {
        return Ok(None);
    }
    let value = number * factor;
    let (least, most) = quantity.range;
    if (least..=most).contains(&value) {
        Ok(Some(value))
    } else if quantity.strict {
        let unit = quantity.unit;
        Err(format!("a {} of {value} {unit}; it lies between {least:.0} and {most:.0} {unit}", quantity.name))
    } else {
        Ok(None)
    }
}

/// A whole number of a field.
///
/// # Errors
/// In words, where it is none.
pub(super) fn count(text: &str, name: &str) -> Result<u8, String> {
    let text = text.trim();
    text.parse().map_err(|_| format!("the {name} is `{}`, which is no such number", shown(text)))
}

/// A piece of the file for a message: short, and without what moves a terminal's cursor.
pub(super) fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let plain = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let mut shown: String = text.trim().chars().take(MOST).map(plain).collect();
    if text.trim().chars().nth(MOST).is_some() {
        shown.push_str("...");
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_and_just_outside() {
        let never = |_| false;
        for text in ["-90", " 70.0 "] {
            assert!(reading(text, &DRY_BULB, 1.0, never).unwrap().is_some());
        }
        for text in ["-90.1", "70.1", "NaN", "inf", "1e999", "?"] {
            assert!(reading(text, &DRY_BULB, 1.0, never).is_err(), "{text}");
        }
        for (text, value) in [("310", Some(31_000.0)), ("309.9", None), ("1200", Some(120_000.0)), ("1200.1", None)] {
            assert_eq!(reading(text, &PRESSURE, 100.0, never), Ok(value));
        }
        assert_eq!(reading("", &DRY_BULB, 1.0, never), Ok(None));
        assert_eq!(reading("99.9", &DRY_BULB, 1.0, |n| n >= 99.0), Ok(None));
    }

    #[test]
    fn messages_show_a_piece_of_the_file() {
        let said = reading(&"x\u{1b}".repeat(30), &WIND, 1.0, |_| false).unwrap_err();
        let piece = "x\u{fffd}".repeat(20);
        assert_eq!(said, format!("the wind speed is `{piece}...`, which is no number"));
        assert_eq!(count(" 7", "month"), Ok(7));
        assert_eq!(count("300", "month").unwrap_err(), "the month is `300`, which is no such number");
    }
}
