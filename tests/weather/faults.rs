//! What is refused in a weather file: all faults at once, in the order of the lines, with the field.

use crate::built::{REAL, TMY3, built, good, parts, said, with};
use roofrun::weather::read;

/// The hours of the real file, each with fields changed.
fn all(change: impl Fn(&str) -> String) -> String {
    let (head, hours) = parts();
    let hours: Vec<String> = hours.iter().map(|hour| change(hour)).collect();
    built(&head, &hours)
}

const COMMA: &str = "36 fields; expected 35 or 32; a decimal comma makes two fields of one number";

#[test]
fn a_decimal_comma_shifts_the_fields() {
    let (head, hours) = parts();
    let mut one: Vec<String> = hours.iter().map(|hour| (*hour).to_owned()).collect();
    one[700] = with(&one[700], 7, "12,5");
    let expected = "36 fields; expected 35, as in the lines before; a decimal comma makes two fields of one number";
    assert_eq!(said(&built(&head, &one)), format!("hall.epw, line 709: {expected}"));
    let every = said(&all(|hour| with(hour, 7, "12,5")));
    assert!(every.starts_with(&format!("hall.epw has 8760 errors:\nline 9: {COMMA}\nline 10: ")), "{every}");
}

#[test]
fn a_field_that_is_missing_is_no_decimal_comma() {
    let without_the_last = |hour: &str| hour.rsplit_once(',').unwrap().0.to_owned();
    let every = said(&all(without_the_last));
    assert!(every.contains("line 9: 34 fields; expected 35 or 32\n"), "{every}");
}

/// Older files end after the snow's days; with a comma they have 33, and with three 35 again, but then a humidity stands where the
/// pressure should.
#[test]
fn files_of_32_fields() {
    let short = |hour: &str| hour.split(',').take(32).collect::<Vec<_>>().join(",");
    assert_eq!(good(&all(short)).records, good(REAL).records);
    let one = said(&all(|hour| with(&short(hour), 22, "0,7")));
    assert!(one.contains("line 9: 33 fields; expected 35 or 32; a decimal comma"), "{one}");
    let three = said(&all(|hour| with(&with(&with(&short(hour), 7, "12,5"), 8, "7,5"), 22, "0,7")));
    let words = "line 9, field 10: a station pressure of 5 Pa; it lies between 31000 and 120000 Pa";
    assert!(three.contains(words) || three.contains("field 10: a station pressure of"), "{three}");
    let (head, hours) = parts();
    let mixed: Vec<String> =
        hours.iter().enumerate().map(|(i, hour)| if i == 9 { short(hour) } else { (*hour).to_owned() }).collect();
    assert_eq!(said(&built(&head, &mixed)), "hall.epw, line 18: 32 fields; expected 35, as in the lines before");
}

#[test]
fn a_tmy3_has_as_many_fields_as_columns() {
    let lines: Vec<&str> = TMY3.lines().collect();
    let said = |line: String| {
        let mut lines: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
        lines[99] = line;
        read("hall.csv", &lines.join("\n")).unwrap_err().to_string()
    };
    let comma = said(with(lines[99], 3, "12,5"));
    assert_eq!(
        comma,
        "hall.csv, line 100: 9 fields; expected 8, as in the lines before; a decimal comma makes two fields of one number"
    );
    assert_eq!(said("01/05/1988".into()), "hall.csv, line 100: 1 field; expected 8, as in the lines before");
}

/// A pressure in hPa is told as what it is, not as a missing one; so is a wind out of bounds.
#[test]
fn bounds_of_the_field_list() {
    let cases = [
        (10, "998.7", "a station pressure of 998.7 Pa; it lies between 31000 and 120000 Pa"),
        (21, "370", "a wind direction of 370 degrees; it lies between 0 and 360 degrees"),
        (22, "-4", "a wind speed of -4 m/s; it lies between 0 and 40 m/s"),
        (22, "257", "a wind speed of 257 m/s; it lies between 0 and 40 m/s"),
        (8, "71", "a dew point of 71 °C; it lies between -70 and 70 °C"),
        (7, "120", "a dry-bulb temperature of 120 °C; it lies between -70 and 70 °C"),
    ];
    for (field, value, expected) in cases {
        let said = said(&all(|hour| with(hour, field, value)));
        assert!(said.starts_with(&format!("hall.epw has 8760 errors:\nline 9, field {field}: {expected}\n")), "{said}");
    }
}

#[test]
fn all_faults_of_a_file_in_the_order_of_its_lines() {
    let (head, hours) = parts();
    let mut hours: Vec<String> = hours.iter().map(|hour| (*hour).to_owned()).collect();
    for (index, field, value) in [
        (10, 7, "xx"),
        (200, 4, "25"),
        (300, 2, "13"),
        (400, 7, "85"),
        (500, 21, "-5"),
        (600, 10, "abc"),
        (650, 3, "31"),
        (700, 22, "0,7"),
    ] {
        hours[index] = with(&hours[index], field, value);
    }
    hours[500] = with(&hours[500], 22, "41");
    hours.remove(900);
    hours.insert(1000, hours[999].clone());
    let expected = "hall.epw has 10 errors:\n\
        line 19, field 7: the dry-bulb temperature is `xx`, which is no number\n\
        line 209, field 4: hour 25; expected 1 to 24\n\
        line 309, field 2: month 13; expected 1 to 12\n\
        line 409, field 7: a dry-bulb temperature of 85 °C; it lies between -70 and 70 °C\n\
        line 509, field 21: a wind direction of -5 degrees; it lies between 0 and 360 degrees\n\
        line 509, field 22: a wind speed of 41 m/s; it lies between 0 and 40 m/s\n\
        line 609, field 10: the station pressure is `abc`, which is no number\n\
        line 660: 28 January, hour 4 after 31 January, hour 3: the hours are in order\n\
        line 709: 36 fields; expected 35, as in the lines before; a decimal comma makes two fields of one number\n";
    let said = said(&built(&head, &hours));
    let (told, last) = said.split_at(expected.len().min(said.len()));
    assert_eq!(told, expected);
    assert!(last.starts_with("line 1009: 11 February, hour 17 is here again"), "{last}");
}

/// 25 March lacks its third hour and 28 October has it twice.
#[test]
fn daylight_saving_time_is_named() {
    let (head, hours) = parts();
    let mut hours = hours;
    hours.insert(7202, hours[7202]);
    hours.remove(1994);
    let expected = "hall.epw, line 7211: 28 October, hour 3 is here again; the file has one record an hour. 25 March, hour 3 is \
                    left out: the file keeps daylight-saving time, and a weather file keeps standard time all the year";
    assert_eq!(said(&built(&head, &hours)), expected);
}

/// An hour written over the next one is no daylight saving.
#[test]
fn an_hour_that_stands_for_its_neighbour_is_told_as_twice() {
    let (head, mut hours) = parts();
    hours[500] = hours[499];
    let expected = "hall.epw, line 509: 21 January, hour 20 is here again; the file has one record an hour";
    assert_eq!(said(&built(&head, &hours)), expected);
}

#[test]
fn columns_that_have_changed_places() {
    let swapped = |hour: &str| {
        let fields: Vec<&str> = hour.split(',').collect();
        with(&with(hour, 7, fields[7]), 8, fields[6])
    };
    let said = said(&all(swapped));
    assert!(said.starts_with("hall.epw has a dew point more than 1 K above the dry-bulb in "), "{said}");
    assert!(said.ends_with("no air has that; the two columns may have changed places"), "{said}");
}
