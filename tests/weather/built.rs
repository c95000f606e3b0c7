//! Files built from the real one: gaps, missing values, a leap year, several records an hour, a year from July on.
#![expect(clippy::float_cmp, reason = "hours are counted, and the same values come out the same")]

use roofrun::physics::atmosphere::SEA_LEVEL;
use roofrun::weather::{Weather, Weekday, read};
use std::fmt::Write;

pub const REAL: &str = include_str!("../data/weather/typical_year_45N_8E.epw");
pub const TMY3: &str = include_str!("../data/weather/tmy3_723170_greensboro.csv");

/// The head and the hours of the real file.
pub fn parts() -> (String, Vec<&'static str>) {
    let lines: Vec<&str> = REAL.lines().collect();
    (lines[..8].join("\n") + "\n", lines[8..].to_vec())
}

pub fn built(head: &str, hours: &[impl AsRef<str>]) -> String {
    let hours: Vec<&str> = hours.iter().map(AsRef::as_ref).collect();
    format!("{head}{}\n", hours.join("\n"))
}

pub fn good(text: &str) -> Weather {
    read("hall.epw", text).unwrap_or_else(|fault| panic!("{fault}"))
}

pub fn said(text: &str) -> String {
    read("hall.epw", text).unwrap_err().to_string()
}

/// An hour with another value in the field of that number, from 1.
pub fn with(hour: &str, field: usize, value: &str) -> String {
    let mut fields: Vec<&str> = hour.split(',').collect();
    fields[field - 1] = value;
    fields.join(",")
}

#[test]
fn the_real_file() {
    let weather = good(REAL);
    assert_eq!((weather.first_day, weather.per_hour, weather.leap), (Some(Weekday::Thursday), 1, false));
    assert_eq!((weather.missing_hours(), weather.absent_hours(), weather.missing_dry_bulbs()), (0.0, 0.0, 0));
    assert_eq!(weather.header.comments[1], "Irradiance Time Offset (h):-0.8239");
    assert_eq!(weather.header.unread, Vec::<String>::new());
    let week: Vec<usize> = [0, 23, 24, 96, 8759].iter().map(|i| weather.hour_of_week(&weather.records[*i])).collect();
    // Thursday at midnight, and the last hour of a Thursday, 364 days later.
    assert_eq!(week, [72, 95, 96, 0, 95]);
}

#[test]
fn gaps_and_missing_codes() {
    let (head, hours) = parts();
    // 48 hours are cut out, among them none of the extremes.
    let mut hours: Vec<String> = hours.iter().map(|hour| (*hour).to_owned()).collect();
    hours.drain(2000..2048);
    for (index, code) in ["99", "99.9", "99.90", "999", ""].iter().enumerate() {
        hours[100 + index] = with(&hours[100 + index], 7, code);
    }
    hours[200] = with(&hours[200], 22, "999");
    hours[201] = with(&hours[201], 21, "999");
    hours[202] = with(&hours[202], 10, "999999");
    let weather = good(&built(&head, &hours));
    assert_eq!((weather.missing_hours(), weather.absent_hours(), weather.missing_dry_bulbs()), (53.0, 48.0, 5));
    assert_eq!(weather.hours(), 8707.0);
    // What stands after the gap keeps its day.
    assert_eq!(weather.records.last().map(|record| record.day_of_year), Some(364));
    let climate = weather.climate(SEA_LEVEL);
    assert_eq!((climate.wind.year.missing_hours, climate.pressure.hours), (2.0, 8711.0));
    assert_eq!(weather.records[202].pressure_Pa, None);
    // Of 8707 hours in falling order the one numbered int(34.8).
    let mut falling: Vec<f64> = weather.records.iter().filter_map(|record| record.dry_bulb_K).collect();
    falling.sort_by(|a, b| b.total_cmp(a));
    assert_eq!(weather.exceeded(0.004).to_bits(), falling[34].to_bits());
}

/// The same with 29 February, a copy of the day before.
fn leap() -> (String, Vec<String>) {
    let (head, hours) = parts();
    let leap_day = hours[58 * 24..59 * 24].iter().map(|hour| with(hour, 3, "29"));
    let before = hours[..59 * 24].iter().map(|hour| (*hour).to_owned());
    let after = hours[59 * 24..].iter().map(|hour| (*hour).to_owned());
    (head, before.chain(leap_day).chain(after).collect())
}

#[test]
fn a_leap_year() {
    let (head, hours) = leap();
    for flag in ["No", "Yes"] {
        let weather = good(&built(&head.replace("SAVING,No", &format!("SAVING,{flag}")), &hours));
        assert_eq!((weather.records.len(), weather.leap, weather.year_hours()), (8784, true, 8784.0));
        assert_eq!(weather.missing_hours(), 0.0);
        let day = |index: usize| weather.records[index].day_of_year;
        assert_eq!((day(59 * 24), day(60 * 24), day(8783)), (59, 60, 365));
        // A leap year ends a day later in the week.
        assert_eq!(weather.hour_of_week(&weather.records[8783]), 4 * 24 + 23);
    }
    let without = good(&REAL.replace("SAVING,No", "SAVING,Yes"));
    assert_eq!((without.leap, without.absent_hours()), (true, 24.0));
}

/// The same with each hour as four records.
fn quarters() -> (String, Vec<String>) {
    let (head, hours) = parts();
    let four = hours.iter().flat_map(|hour| ["15", "30", "45", "60"].map(|minute| with(hour, 5, minute)));
    (head.replace("DATA PERIODS,1,1", "DATA PERIODS,1,4"), four.collect())
}

#[test]
fn four_records_an_hour() {
    let (head, mut records) = quarters();
    let (plain, weather) = (good(REAL), good(&built(&head, &records)));
    assert_eq!((weather.records.len(), weather.per_hour), (4 * 8760, 4));
    assert_eq!((weather.hours(), weather.missing_hours()), (8760.0, 0.0));
    for share in [0.0, 0.004, 0.01, 0.02, 0.99, 0.996, 1.0] {
        assert_eq!(weather.exceeded(share).to_bits(), plain.exceeded(share).to_bits(), "{share}");
    }
    assert_eq!(weather.hours_above(293.15), plain.hours_above(293.15));
    assert_eq!(weather.wind().year.calm_hours, plain.wind().year.calm_hours);
    let (here, there) = (weather.wind().warm_season, plain.wind().warm_season);
    assert_eq!(here.prevailing.map(|p| p.from), there.prevailing.map(|p| p.from));
    records.remove(10);
    assert_eq!(good(&built(&head, &records)).absent_hours(), 0.25);
}

#[test]
fn a_file_that_contradicts_its_head() {
    let (head, records) = quarters();
    let one = head.replace("DATA PERIODS,1,4", "DATA PERIODS,1,1");
    // Three of four records of 8760 hours are more than one, and two of them more than two.
    let expected =
        "hall.epw has 26280 errors:\nline 10: 1 January, hour 1 is here again; the file has one record an hour\n";
    assert!(said(&built(&one, &records)).starts_with(expected));
    let two = head.replace("DATA PERIODS,1,4", "DATA PERIODS,1,2");
    let expected =
        "hall.epw has 17520 errors:\nline 11: record 3 of 1 January, hour 1, where the head says 2 an hour\nline 12: ";
    assert!(said(&built(&two, &records)).starts_with(expected));
    let (_, hours) = parts();
    assert_eq!(
        said(&built(&head, &hours)),
        "hall.epw says 4 records an hour in its head, and has no more than 1 in any"
    );
}

#[test]
fn a_year_from_july_on() {
    let (head, mut hours) = parts();
    hours.rotate_left(181 * 24);
    let head = head.replace("Thursday, 1/ 1,12/31", "Sunday,7/1/2017,6/30/2018");
    let weather = good(&built(&head, &hours));
    assert_eq!((weather.missing_hours(), weather.records[0].day_of_year), (0.0, 181));
    let week: Vec<usize> = [0, 24, 8759].iter().map(|i| weather.hour_of_week(&weather.records[*i])).collect();
    assert_eq!(week, [6 * 24, 0, 6 * 24 + 23]);
    assert_eq!(weather.exceeded(0.004).to_bits(), good(REAL).exceeded(0.004).to_bits());
}

#[test]
fn a_file_that_will_not_do() {
    let (head, hours) = parts();
    let few = |hours: &str| {
        format!("hall.epw holds {hours} with a temperature; a year has 8760, and 8000 is the minimum accepted")
    };
    assert_eq!(said(&built(&head, &hours[..12])), few("12 hours"));
    assert_eq!(said(&built(&head, &hours[..1])), few("1 hour"));
    assert_eq!(said(&head), few("0 hours"));
    assert_eq!(said(&built(&head, &hours[..7999])), few("7999 hours"));
    assert_eq!(good(&built(&head, &hours[..8000])).absent_hours(), 760.0);
    let twice: Vec<&str> = hours.iter().chain(&hours).copied().collect();
    let second = "hall.epw, line 8769: a second year begins at 1 January, hour 1; a weather file holds one";
    assert_eq!(said(&built(&head, &twice)), second);
    let mut swapped = hours.clone();
    swapped.swap(5, 6);
    let order = "hall.epw, line 15: 1 January, hour 6 after 1 January, hour 7: the hours are in order";
    // The seventh hour leaves a gap, and the sixth is noticed when it comes.
    assert_eq!(said(&built(&head, &swapped)), order);
    let whole = built(&head, &hours);
    let cut = &whole[..whole.len() - 100];
    let left = cut.lines().last().unwrap().split(',').count();
    let expected = format!("hall.epw, line 8768: the file breaks off in its last line, after {left} of 35 fields");
    assert_eq!(said(cut), expected);
    let fahrenheit: Vec<String> = hours.iter().map(|hour| with(hour, 7, "88.5")).collect();
    let warm = "hall.epw has 8760 errors:\n\
                line 9, field 7: a dry-bulb temperature of 88.5 °C; it lies between -70 and 70 °C\nline 10, field 7: ";
    let fahrenheit = said(&built(&head, &fahrenheit));
    assert!(fahrenheit.starts_with(warm) && fahrenheit.ends_with("\nand 8750 more"), "{fahrenheit}");
}

#[test]
fn tmy3_with_columns_in_another_order_and_gaps() {
    let plain = read("hall.csv", TMY3).unwrap();
    assert_eq!((plain.location.station.as_str(), plain.location.state.as_str()), ("723170", "NC"));
    assert_eq!((plain.first_day, plain.leap, plain.missing_hours()), (None, false, 0.0));
    let mut lines: Vec<String> = TMY3.lines().map(str::to_owned).collect();
    for line in lines.iter_mut().skip(1) {
        let mut fields: Vec<&str> = line.split(',').collect();
        fields.reverse();
        *line = fields.join(",x,");
    }
    // The date must lead, as the format has it, so the first column is repeated there.
    let dated: Vec<String> = lines
        .iter()
        .enumerate()
        .map(|(index, line)| match index {
            0 => line.clone(),
            _ => format!("{},{line}", line.rsplit(',').next().unwrap()),
        })
        .collect();
    let other = read("hall.csv", &dated.join("\r\n")).unwrap();
    assert_eq!(other.records, plain.records);
    let mut gaps: Vec<String> = TMY3.lines().map(str::to_owned).collect();
    gaps.remove(50);
    gaps[60] = with(&gaps[60], 3, "-9900");
    gaps[61] = with(&gaps[61], 6, "-9900.0");
    // A humidity or a dew point that is a word is missing.
    gaps[62] = with(&with(&gaps[62], 5, "NA"), 4, "NA");
    let gaps = read("hall.csv", &gaps.join("\n")).unwrap();
    assert_eq!((gaps.missing_hours(), gaps.absent_hours(), gaps.missing_dry_bulbs()), (2.0, 1.0, 1));
    assert_eq!((gaps.records[59].pressure_Pa, gaps.records[60].dew_point_K), (None, None));
    let short: Vec<&str> = TMY3.lines().take(14).collect();
    let said = read("hall.csv", &short.join("\n")).unwrap_err().to_string();
    assert_eq!(said, "hall.csv holds 12 hours with a temperature; a year has 8760, and 8000 is the minimum accepted");
}

/// A TMY3 with another time and date of each hour.
fn retimed(lines: &[String], time: impl Fn(usize, &str, u8) -> (String, String)) -> String {
    let mut text = lines[..2].join("\n") + "\n";
    for (index, line) in lines.iter().enumerate().skip(2) {
        let fields: Vec<&str> = line.splitn(3, ',').collect();
        let (date, time) = time(index, fields[0], fields[1][..2].parse().unwrap());
        writeln!(text, "{date},{time},{}", fields[2]).unwrap();
    }
    text
}

/// The real TMY3 as that of a leap year, 29 February a copy of the day before.
fn leap_tmy3() -> Vec<String> {
    let mut lines: Vec<String> = TMY3.lines().map(str::to_owned).collect();
    let (from, to) = (2 + 58 * 24, 2 + 59 * 24);
    let day: Vec<String> = lines[from..to].iter().map(|line| line.replace("02/28/", "02/29/")).collect();
    lines.splice(to..to, day);
    lines
}

/// Midnight as 00:00 of the next day, as some writers have it, in a common year and in a leap year.
#[test]
fn tmy3_with_midnight_on_the_next_day() {
    for lines in [TMY3.lines().map(str::to_owned).collect(), leap_tmy3()] {
        let plain = read("hall.csv", &lines.join("\n")).unwrap();
        let date = |index: usize| lines.get(index).map_or("01/01/1989", |line| &line[..10]).to_owned();
        let text = retimed(&lines, |index, day, hour| match hour {
            24 => (date(index + 1), "00:00".to_owned()),
            _ => (day.to_owned(), format!("{hour:02}:00")),
        });
        let read = read("hall.csv", &text).unwrap();
        assert_eq!(plain.absent_hours(), 0.0);
        assert_eq!((read.records, read.leap), (plain.records, plain.leap));
    }
}

/// A file whose first time is 00:00 gives those at which the hours begin: 13:00 is 13 to 14 h.
#[test]
fn tmy3_with_the_times_at_which_the_hours_begin() {
    let lines: Vec<String> = TMY3.lines().map(str::to_owned).collect();
    let plain = read("hall.csv", TMY3).unwrap();
    let text = retimed(&lines, |_, day, hour| (day.to_owned(), format!("{:02}:00", hour - 1)));
    let weather = read("hall.csv", &text).unwrap();
    assert_eq!(weather.records, plain.records);
    assert!(weather.times_begin_hours && !plain.times_begin_hours);
    let both = text.replacen("01/02/1988,00:00", "01/01/1988,24:00", 1);
    let said = read("hall.csv", &both).unwrap_err().to_string();
    let expected =
        "hall.csv, line 27, field 2: 24:00 in a file that begins at 00:00, so that its times begin the hours";
    assert_eq!(said, expected);
}

/// South of the equator the warm season is December to February; without a latitude it is the warmer one.
#[test]
fn the_warm_season() {
    let south = good(&REAL.replace(",45.000000,", ",-45.000000,"));
    assert_eq!(south.wind().warm_months, [12, 1, 2]);
    assert_eq!(good(&REAL.replace(",45.000000,", ",,")).wind().warm_months, [6, 7, 8]);
    let season = south.wind().warm_season;
    assert_eq!(season.hours + season.calm_hours + season.missing_hours, 24.0 * 90.0);
}

/// Every record of the year is in the rose once, and the prevailing direction is the largest of it.
#[test]
fn the_rose_holds_all_hours() {
    for weather in [good(REAL), read("hall.csv", TMY3).unwrap()] {
        let rose = weather.wind().year;
        let sum: f64 = rose.sectors.iter().map(|sector| sector.hours).sum();
        assert_eq!(sum, rose.hours);
        assert_eq!(rose.hours + rose.calm_hours + rose.missing_hours, 8760.0);
        let maximum = rose.sectors.iter().map(|sector| sector.hours).fold(0.0, f64::max);
        assert_eq!(rose.prevailing.unwrap().share, maximum / rose.hours);
    }
}

/// The summer wind of Greensboro, reported in tens of degrees. Of 1938 hours with wind 252 lie in the sixteenth of S and 252 in
/// that of SW as reported, but S takes three reports of 360 degrees and SW two. Spread over ten degrees each, in exact fractions by
/// a script of its own (reference.py has the same way with numpy): S 193.5, SSW 223, SW 276.625.
#[test]
fn a_wind_in_tens_of_degrees() {
    let wind = read("hall.csv", TMY3).unwrap().wind();
    assert!(wind.in_tens && !good(REAL).wind().in_tens);
    let hours: Vec<f64> = wind.warm_season.sectors[8..11].iter().map(|sector| sector.hours).collect();
    assert_eq!(hours, [193.5, 223.0, 276.625]);
    let prevailing = wind.warm_season.prevailing.unwrap();
    assert_eq!((prevailing.from, prevailing.share), ("SW", 276.625 / 1938.0));
    assert_eq!(prevailing.equals, Vec::<&str>::new());
}

/// All winds of the year from N, every second one turned to E: a tie of both.
#[test]
fn a_tie_of_the_wind() {
    let (head, hours) = parts();
    let turned =
        |(index, hour): (usize, &&str)| with(&with(hour, 21, if index % 2 == 0 { "0" } else { "90" }), 22, "2");
    let hours: Vec<String> = hours.iter().enumerate().map(turned).collect();
    let prevailing = good(&built(&head, &hours)).wind().year.prevailing.unwrap();
    assert_eq!((prevailing.from, prevailing.equals, prevailing.share), ("N", vec!["E"], 0.5));
}
