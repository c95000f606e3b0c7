//! The fields of a line: a number, a missing value, or a fault.

use super::errors::LineError;
use super::record::Location;
use std::ops::RangeInclusive;

/// What a field holds.
pub(super) struct Quantity {
    /// Its name in messages.
    pub name: &'static str,
    /// The unit in which the field counts.
    pub unit: &'static str,
    /// Least and greatest value by the field list of the EPW, in that unit. The TMY3 manual gives none; the same hold.
    pub range: (f64, f64),
    /// What makes SI base units of it: value = number * factor + zero.
    pub factor: f64,
    /// Zero of its scale in SI base units.
    pub zero: f64,
}

const fn quantity(name: &'static str, unit: &'static str, range: (f64, f64)) -> Quantity {
    Quantity { name, unit, range, factor: 1.0, zero: 0.0 }
}

pub(super) const DRY_BULB: Quantity =
    Quantity { zero: 273.15, ..quantity("dry-bulb temperature", "°C", (-70.0, 70.0)) };
pub(super) const DEW_POINT: Quantity = Quantity { zero: 273.15, ..quantity("dew point", "°C", (-70.0, 70.0)) };
pub(super) const HUMIDITY: Quantity = Quantity { factor: 0.01, ..quantity("relative humidity", "%", (0.0, 110.0)) };
pub(super) const PRESSURE: Quantity = quantity("station pressure", "Pa", (31_000.0, 120_000.0));
pub(super) const PRESSURE_MBAR: Quantity =
    Quantity { factor: 100.0, ..quantity("station pressure", "mbar", (310.0, 1_200.0)) };
pub(super) const WIND_FROM: Quantity = quantity("wind direction", "degrees", (0.0, 360.0));
pub(super) const WIND: Quantity = quantity("wind speed", "m/s", (0.0, 40.0));

/// The fields of a record, and what is wrong with them.
pub(super) struct Fields<'a> {
    of: &'a [&'a str],
    pub errors: Vec<LineError>,
}

impl<'a> Fields<'a> {
    pub fn new(of: &'a [&'a str]) -> Self {
        Self { of, errors: Vec::new() }
    }

    /// The text of a field, counted from 0.
    pub fn text(&self, at: usize) -> &'a str {
        self.of.get(at).copied().unwrap_or_default().trim()
    }

    pub fn error(&mut self, at: usize, what: String) {
        self.errors.push(LineError { line: 0, field: Some(at + 1), what });
    }

    /// The value of a field in SI base units; none where it is empty or missing, and where it is noted as no number or out of
    /// range.
    pub fn value(&mut self, at: usize, quantity: &Quantity, missing: impl Fn(f64, &str) -> bool) -> Option<f64> {
        reading(self.text(at), quantity, missing).unwrap_or_else(|what| {
            self.error(at, what);
            None
        })
    }

    /// A value of which no figure is computed, so that a word in its place (`NA`) is a missing one.
    pub fn aside(&mut self, at: usize, quantity: &Quantity, missing: impl Fn(f64, &str) -> bool) -> Option<f64> {
        let says = self.text(at).bytes().any(|b| b.is_ascii_digit());
        says.then(|| self.value(at, quantity, missing)).flatten()
    }

    /// A whole number of a field; none where it is noted as none within the range.
    pub fn count(&mut self, at: usize, name: &str, range: RangeInclusive<u8>) -> Option<u8> {
        let text = self.text(at);
        match text.parse::<u8>() {
            Ok(number) if range.contains(&number) => return Some(number),
            Ok(number) => self.error(at, format!("{name} {number}; expected {} to {}", range.start(), range.end())),
            Err(_) => self.error(at, format!("the {name} is `{}`, which is no such number", shown(text))),
        }
        None
    }
}

/// The value of a field in SI base units; none where it is empty or missing.
///
/// # Errors
/// In words, where it is no number or out of range.
fn reading(text: &str, quantity: &Quantity, missing: impl Fn(f64, &str) -> bool) -> Result<Option<f64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let Some(number) = text.parse::<f64>().ok().filter(|number| number.is_finite()) else {
        return Err(format!("the {} is `{}`, which is no number", quantity.name, shown(text)));
    };
    if missing(number, text) {
        return Ok(None);
    }
    let Quantity { name, unit, range: (minimum, maximum), factor, zero } = quantity;
    if (*minimum..=*maximum).contains(&number) {
        Ok(Some(number * factor + zero))
    } else {
        Err(format!("a {name} of {number} {unit}; it lies between {minimum:.0} and {maximum:.0} {unit}"))
    }
}

/// A whole number of a text.
///
/// # Errors
/// In words, where it is none.
pub(super) fn count(text: &str, name: &str) -> Result<u8, String> {
    text.trim().parse().map_err(|_| format!("the {name} is `{}`, which is no such number", shown(text)))
}

/// The text of a field of the head.
pub(super) fn text(fields: &[String], at: usize) -> String {
    fields.get(at).map(|field| shown(field)).unwrap_or_default()
}

/// Latitude, longitude, time zone and elevation by their fields in the first line; what cannot be used is noted.
pub(super) fn station(fields: &[String], places: [usize; 4], unread: &mut Vec<String>) -> Location {
    let mut within = |at: usize, what: &str, minimum: f64, maximum: f64| {
        let text = text(fields, at);
        let value = text.parse::<f64>().ok().filter(|value| (minimum..=maximum).contains(value));
        if value.is_none() {
            let field = at + 1;
            unread.push(match text.as_str() {
                "" => format!("line 1, field {field}: no {what}"),
                text => {
                    format!("line 1, field {field}: `{text}` for the {what}; it lies between {minimum} and {maximum}")
                }
            });
        }
        value
    };
    let [latitude, longitude, time_zone, elevation] = places;
    Location {
        latitude: within(latitude, "latitude", -90.0, 90.0),
        longitude: within(longitude, "longitude", -180.0, 180.0),
        time_zone: within(time_zone, "time zone", -12.0, 14.0),
        elevation_m: within(elevation, "elevation", -450.0, 6_000.0),
        ..Location::default()
    }
}

/// A piece of the file for a message: short, and without what moves a terminal's cursor.
pub(super) fn shown(text: &str) -> String {
    const MAXIMUM: usize = 40;
    let plain = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let mut shown: String = text.trim().chars().take(MAXIMUM).map(plain).collect();
    if text.trim().chars().nth(MAXIMUM).is_some() {
        shown.push_str("...");
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, quantity: &Quantity) -> Result<Option<f64>, String> {
        reading(text, quantity, |_, text| text == "999")
    }

    /// The bounds of the EPW's field list, both ends and just outside.
    #[test]
    fn both_ends_and_just_outside() {
        let cases = [
            (&DRY_BULB, ["-70", "70.0"], ["-70.1", "70.1"]),
            (&DEW_POINT, ["-70", "70"], ["-71", "70.01"]),
            (&HUMIDITY, ["0", "110"], ["-1", "110.1"]),
            (&PRESSURE, ["31000", "120000"], ["30999", "120001"]),
            (&PRESSURE_MBAR, ["310", "1200"], ["309.9", "1200.1"]),
            (&WIND_FROM, ["0", "360"], ["-1", "361"]),
            (&WIND, ["0", "40.0"], ["-0.1", "40.1"]),
        ];
        for (quantity, within, outside) in cases {
            for text in within {
                assert!(read(text, quantity).unwrap().is_some(), "{text}");
            }
            for text in outside.into_iter().chain(["NaN", "inf", "1e999", "?"]) {
                assert!(read(text, quantity).is_err(), "{text}");
            }
            assert_eq!((read("", quantity), read("999", quantity)), (Ok(None), Ok(None)));
        }
        assert_eq!(read("980", &PRESSURE_MBAR), Ok(Some(98_000.0)));
    }

    #[test]
    fn a_value_out_of_bounds_is_told_as_one() {
        let said = |text: &str, quantity: &Quantity| read(text, quantity).unwrap_err();
        assert_eq!(said("998.7", &PRESSURE), "a station pressure of 998.7 Pa; it lies between 31000 and 120000 Pa");
        assert_eq!(said("-4", &WIND), "a wind speed of -4 m/s; it lies between 0 and 40 m/s");
        assert_eq!(said("370", &WIND_FROM), "a wind direction of 370 degrees; it lies between 0 and 360 degrees");
    }

    #[test]
    fn a_dew_point_that_is_a_word_is_missing() {
        let dew = |text: &str| {
            let of = [text];
            let mut fields = Fields::new(&of);
            (fields.aside(0, &DEW_POINT, |_, _| false), fields.errors.len())
        };
        assert_eq!((dew("NA"), dew("-"), dew("18")), ((None, 0), (None, 0), (Some(291.15), 0)));
        assert_eq!((dew("18x"), dew("88")), ((None, 1), (None, 1)));
    }

    #[test]
    fn messages_show_a_piece_of_the_file() {
        let said = read(&"x\u{1b}".repeat(30), &WIND).unwrap_err();
        let piece = "x\u{fffd}".repeat(20);
        assert_eq!(said, format!("the wind speed is `{piece}...`, which is no number"));
        assert_eq!(count(" 7", "month"), Ok(7));
        assert_eq!(count("300", "month").unwrap_err(), "the month is `300`, which is no such number");
    }

    #[test]
    fn a_station_says_what_it_has() {
        let fields = ["LOCATION", "95", "", "1", "250"].map(str::to_owned);
        let mut unread = Vec::new();
        let station = station(&fields, [1, 2, 3, 4], &mut unread);
        assert_eq!((station.latitude, station.longitude, station.elevation_m), (None, None, Some(250.0)));
        assert_eq!(
            unread,
            ["line 1, field 2: `95` for the latitude; it lies between -90 and 90", "line 1, field 3: no longitude"]
        );
    }
}
