//! The eight lines that head an EPW file.

use super::calendar::{Weekday, leap_day};
use super::errors::{LineErrors, WeatherFault};
use super::items::{self, Header};
use super::reading::{shown, station, text};
use super::record::Location;

/// The names with which the lines begin. Some writers leave the last letter of HOLIDAYS/DAYLIGHT SAVINGS away.
pub(super) const NAMES: [&str; 8] = [
    "LOCATION",
    "DESIGN CONDITIONS",
    "TYPICAL/EXTREME PERIODS",
    "GROUND TEMPERATURES",
    "HOLIDAYS/DAYLIGHT SAVING",
    "COMMENTS 1",
    "COMMENTS 2",
    "DATA PERIODS",
];

/// What the head says that the reading of the hours needs.
#[derive(Debug)]
pub(super) struct Head {
    pub location: Location,
    pub header: Header,
    pub per_hour: u32,
    pub first_day: Option<Weekday>,
    /// The day of a leap year that `first_day` is, where the file says.
    pub starts: Option<u16>,
}

/// Reads the eight lines.
///
/// Source: `epw`.
///
/// # Errors
/// Where a line is missing or another, or the records are not those of one period with an even step.
pub(super) fn read<'a>(file: &str, lines: &mut impl Iterator<Item = &'a str>) -> Result<Head, WeatherFault> {
    let mut fields: [Vec<String>; 8] = Default::default();
    for (index, (name, into)) in NAMES.iter().zip(&mut fields).enumerate() {
        let fault = |what: String| fault(file, index + 1, what);
        let Some(line) = lines.next() else {
            return Err(fault(format!("the file ends in its head; expected {name}, one of its eight lines")));
        };
        let words = split(line);
        if !begins(words.first().map_or("", String::as_str), name) {
            return Err(fault(format!("found `{}`; expected {name}, one of the eight lines of the head", shown(line))));
        }
        *into = words;
    }
    let [location, design, periods, ground, holidays, first, second, data] = &fields;
    let mut header = Header::default();
    let location = self::location(location, &mut header);
    header.design_conditions = items::design_conditions(design, &mut header.unread);
    header.periods = items::typical(periods, &mut header.unread);
    header.ground = items::ground(ground, &mut header.unread);
    items::holidays(holidays, &mut header);
    header.comments = [first, second]
        .map(|words| words[1..].join(",").trim().to_owned())
        .into_iter()
        .filter(|c| !c.is_empty())
        .collect();
    let (per_hour, first_day, starts) =
        data_periods(data, &mut header).map_err(|what| fault(file, NAMES.len(), what))?;
    Ok(Head { location, header, per_hour, first_day, starts })
}

fn fault(file: &str, line: usize, what: String) -> WeatherFault {
    WeatherFault::Lines { name: file.to_owned(), errors: LineErrors::one(line, what) }
}

/// Whether a first field is a line's name.
pub(super) fn begins(field: &str, name: &str) -> bool {
    let field = field.trim();
    field.eq_ignore_ascii_case(name)
        || (name.ends_with("SAVING") && field.get(..name.len()).is_some_and(|start| start.eq_ignore_ascii_case(name)))
}

/// The fields of one line, quotes resolved.
pub(super) fn split(line: &str) -> Vec<String> {
    // Most lines have no quotes, and a reader is costly to make.
    if !line.is_empty() && !line.contains(['"', '\r', '\n']) {
        return line.split(',').map(|field| field.trim().to_owned()).collect();
    }
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(line.as_bytes());
    let fields = reader.records().next().and_then(Result::ok).unwrap_or_default();
    fields.iter().map(|field| field.trim().to_owned()).collect()
}

/// The place by its fields from `city` on.
fn location(fields: &[String], header: &mut Header) -> Location {
    Location {
        city: text(fields, 1),
        state: text(fields, 2),
        country: text(fields, 3),
        source: text(fields, 4),
        station: text(fields, 5),
        ..station(fields, [6, 7, 8, 9], &mut header.unread)
    }
}

/// Records an hour, the weekday of the first day, and that day.
fn data_periods(fields: &[String], header: &mut Header) -> Result<(u32, Option<Weekday>, Option<u16>), String> {
    let text = |at: usize| fields.get(at).map(String::as_str).unwrap_or_default();
    let periods = text(1);
    if periods != "1" {
        return Err(format!("`{}` data periods; a year is read from one", shown(periods)));
    }
    let per_hour = text(2).parse::<u32>().ok().filter(|count| (1..=60).contains(count) && 60 % count == 0);
    let Some(per_hour) = per_hour else {
        return Err(format!("`{}` records an hour; expected a number that parts 60 minutes evenly", shown(text(2))));
    };
    let first_day = Weekday::named(text(4));
    if first_day.is_none() {
        header.unread.push(format!("line 8: `{}` is no day of the week", shown(text(4))));
    }
    let starts = day_of(text(5));
    if starts.is_none() {
        header.unread.push(format!("line 8: `{}` is no date by month and day", shown(text(5))));
    }
    header.data_period = Some((shown(text(5)), shown(text(6))));
    Ok((per_hour, first_day, starts))
}

/// The day of a leap year that `1/ 1` or `1/1/2018` is.
fn day_of(text: &str) -> Option<u16> {
    let mut parts = text.split('/').map(|part| part.trim().parse::<u16>().ok());
    let (month, day) = (parts.next()??, parts.next()??);
    leap_day(u8::try_from(month).ok()?, u8::try_from(day).ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: &str = "LOCATION,Somewhere,-,XX,a source,012345,45.5,8.25,1,250\nDESIGN CONDITIONS,0\n\
        TYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,one, two\n\
        COMMENTS 2,\nDATA PERIODS,1,1,Data,Thursday, 1/ 1,12/31\n";

    fn head(text: &str) -> Result<Head, String> {
        read("hall.epw", &mut text.lines()).map_err(|fault| fault.to_string())
    }

    #[test]
    fn a_head_with_nothing_in_it() {
        let head = head(PLAIN).unwrap();
        assert_eq!((head.per_hour, head.first_day, head.starts), (1, Some(Weekday::Thursday), Some(0)));
        assert_eq!(head.location.elevation_m, Some(250.0));
        assert_eq!(head.header.comments, ["one,two"]);
        assert_eq!(head.header.unread, Vec::<String>::new());
        assert_eq!(head.header.design_conditions, None);
        assert!(!head.header.leap_year);
    }

    #[test]
    fn a_head_with_all_of_it() {
        let months = "1,2,3,4,5,6,7,8,9,10,11,12";
        let text = PLAIN
            .replace(
                "TYPICAL/EXTREME PERIODS,0",
                "TYPICAL/EXTREME PERIODS,2,Summer,Extreme,8/ 3,8/ 9,Winter,Typical,2/ 3,2/ 9",
            )
            .replace("GROUND TEMPERATURES,0", &format!("GROUND TEMPERATURES,2,.5,,,,{months},2,,,,{months}"))
            .replace("SAVINGS,No,0,0,0", "SAVINGS,Yes,4/29,10/28,1,New Year,1/ 1");
        let header = head(&text).unwrap().header;
        assert_eq!(header.unread, Vec::<String>::new());
        assert_eq!(header.periods[1].to, "2/ 9");
        assert_eq!((header.ground[0].depth_m, header.ground[1].monthly_K[11]), (0.5, 285.15));
        assert!(header.leap_year);
        assert_eq!(header.daylight_saving, Some(("4/29".into(), "10/28".into())));
        assert_eq!(header.holidays, [("New Year".into(), "1/ 1".into())]);
    }

    #[test]
    fn what_is_not_needed_and_cannot_be_read_is_said() {
        let text = PLAIN
            .replace("8.25,1,250", "8.25,1,-9999")
            .replace("DESIGN CONDITIONS,0", "DESIGN CONDITIONS,1,old,Heating,5,4,3,Cooling,1,1")
            .replace("TEMPERATURES,0", "TEMPERATURES,many")
            .replace("PERIODS,0", "PERIODS,2,Summer,Extreme,8/ 3,8/ 9")
            .replace("Thursday, 1/ 1", "Someday,1-Jan");
        let head = head(&text).unwrap();
        let expected = [
            "line 1, field 10: `-9999` for the elevation; it lies between -450 and 6000",
            "line 2: design conditions of another layout",
            "line 3: 1 of 2 periods can be read",
            "line 4: `many` is no count",
            "line 8: `Someday` is no day of the week",
            "line 8: `1-Jan` is no date by month and day",
        ];
        assert_eq!(head.header.unread, expected);
        assert_eq!((head.first_day, head.starts, head.location.elevation_m), (None, None, None));
    }

    #[test]
    fn a_head_that_will_not_do() {
        let said = |from: &str, to: &str| head(&PLAIN.replace(from, to)).unwrap_err();
        assert_eq!(
            said("TYPICAL/EXTREME PERIODS,0\n", ""),
            "hall.epw, line 3: found `GROUND TEMPERATURES,0`; expected TYPICAL/EXTREME PERIODS, one of the eight lines of the head"
        );
        let cut = said("COMMENTS 2,\nDATA PERIODS,1,1,Data,Thursday, 1/ 1,12/31\n", "");
        assert_eq!(cut, "hall.epw, line 7: the file ends in its head; expected COMMENTS 2, one of its eight lines");
        assert_eq!(said("S,1,1,D", "S,2,1,D"), "hall.epw, line 8: `2` data periods; a year is read from one");
        for count in ["0", "7", "61", "-1", "", "1.5"] {
            let said = said("S,1,1,D", &format!("S,1,{count},D"));
            let words = "records an hour; expected a number that parts 60 minutes evenly";
            assert_eq!(said, format!("hall.epw, line 8: `{count}` {words}"));
        }
    }
}
