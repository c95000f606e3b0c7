//! The weather: what the file holds, its temperatures beside those of the job, wind and pressure.

use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::site::Site;
use crate::units::{System, factor};
use crate::weather::{COLDEST, Climate, Extreme, Location, Prevailing, Rose, Weather, date, reached_in, when};

/// From this difference of pressure on, station and site are said to stand at different heights.
const APART: f64 = 0.01;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(climate) = &site.climate else { return };
    let units = site.job.units;
    heading(sheet, &format!("Weather: {}", place(&climate.location)));
    sheet.paragraph(0, &told(units, climate, site.job.weather.as_deref()));
    temperatures(sheet, site, climate);
    sheet.paragraph(0, &wind(units, climate));
    if let Some(words) = pressure(site, climate) {
        sheet.paragraph(0, &words);
    }
    if let Some(header) = climate.header.as_ref().filter(|header| !header.unread.is_empty()) {
        sheet.paragraph(0, &format!("Not used from the file's header: {}.", header.unread.join("; ")));
    }
}

/// The station's name, or where it stands where it has none.
fn place(location: &Location) -> String {
    let said = |part: &&String| !matches!(part.to_ascii_lowercase().as_str(), "" | "-" | "unknown");
    let names: Vec<&str> =
        [&location.city, &location.state, &location.country].into_iter().filter(said).map(String::as_str).collect();
    if !names.is_empty() {
        return names.join(", ");
    }
    let degrees = |value: f64, ahead: &str, behind: &str| {
        format!("{:.2}\u{b0} {}", value.abs(), if value < 0.0 { behind } else { ahead })
    };
    match (location.latitude, location.longitude) {
        (Some(north), Some(east)) => format!("{}, {}", degrees(north, "N", "S"), degrees(east, "E", "W")),
        _ => "a station without a name".into(),
    }
}

/// What of the year the file tells.
fn told(units: System, climate: &Climate, weather: Option<&Weather>) -> String {
    let told = &climate.told;
    let format = climate.format.name();
    let records = match told.records_per_hour {
        1 => String::new(),
        several => format!(" in {several} records an hour"),
    };
    let leap = if told.leap_year { ", a leap year" } else { "" };
    let (absent, without) = (told.absent_hours, told.without_dry_bulb_hours);
    let year = units.hours(told.year_hours);
    let holds = if absent > 0.0 {
        let held = units.hours(told.year_hours - absent);
        let held = held.split(' ').next().unwrap_or_default();
        format!("{} ({format}) holds {held} of the {year} of a year{leap}{records}", climate.file)
    } else {
        format!("{} ({format}) holds a year of {year}{leap}{records}", climate.file)
    };
    let absent = (absent > 0.0).then(|| counted(units, absent, "is missing", "are missing"));
    let without = (without > 0.0)
        .then(|| counted(units, without, "has no temperature and is left out", "have no temperature and are left out"));
    let what = match (absent, without) {
        (None, None) => ", each with its temperature.".to_owned(),
        (Some(absent), None) => format!("; {absent} and left out of every figure."),
        (None, Some(without)) => format!("; {without} of every figure."),
        (Some(absent), Some(without)) => format!("; {absent} and {without} of every figure."),
    };
    let begin = if told.times_begin_hours {
        " Its times are taken for those at which the hours begin, because it begins at 00:00."
    } else {
        ""
    };
    let day = weather.and_then(Weather::first_date).map(|(month, day)| {
        let day = date(month, day);
        match climate.first_day {
            Some(name) => format!(" Its {day} is a {name}."),
            None => format!(" It does not say which day of the week {day} is; a Monday is taken."),
        }
    });
    format!("{holds}{what}{begin}{}", day.unwrap_or_default())
}

/// `1 hour is missing`, `24 hours are missing`.
fn counted(units: System, hours: f64, one: &str, several: &str) -> String {
    let hours = units.hours(hours);
    let verb = if hours == "1 hour" { one } else { several };
    format!("{hours} {verb}")
}

fn temperatures(sheet: &mut Sheet, site: &Site, climate: &Climate) {
    let units = site.job.units;
    let unit = units.temperature_unit();
    let because = |key: &str| site.job.assumptions.iter().find(|a| a.key == key).map(|a| a.why.as_str());
    let (summer, winter) = (because("site.summer"), because("site.winter"));
    let design = climate.header.as_ref().and_then(|header| header.design_conditions.as_ref());
    let mut grid = Grid::new()
        .column("reached or exceeded in", Align::Whole)
        .column(unit, Align::Right)
        .column(format!("the file's own\ndesign, {unit}"), Align::Right)
        .column("", Align::Left);
    let extreme = |words: &str, extreme: Option<Extreme>, more: &str| {
        extreme.map(|e| {
            let at = format!("{}{more}", when(e.month, e.day, e.hour));
            vec![words.to_owned(), units.temperature_value(e.dry_bulb_K), String::new(), at]
        })
    };
    let mut rows: Vec<Vec<String>> = extreme("the hottest hour", climate.dry_bulb.highest, "").into_iter().collect();
    for exceeded in &climate.dry_bulb.exceeded {
        let percent = exceeded.percent;
        let given = design.and_then(|design| {
            let all = [
                (0.4, design.cooling_0_4_K),
                (1.0, design.cooling_1_K),
                (2.0, design.cooling_2_K),
                (99.0, design.heating_99_K),
                (99.6, design.heating_99_6_K),
            ];
            all.into_iter().find(|(of, _)| (of - percent).abs() < 1e-9).and_then(|(_, kelvin)| kelvin)
        });
        let why = reached_in(percent);
        let used = match (summer == Some(&why), winter == Some(&why)) {
            (true, _) => "the job's summer",
            (_, true) => "the job's winter",
            _ => "",
        };
        rows.push(vec![
            format!("{percent} % of the hours"),
            units.temperature_value(exceeded.dry_bulb_K),
            given.map(|kelvin| units.temperature_value(kelvin)).unwrap_or_default(),
            used.to_owned(),
        ]);
    }
    let used = if winter == Some(COLDEST) { "; the job's winter" } else { "" };
    rows.extend(extreme("every hour", climate.dry_bulb.lowest, used));
    for row in rows {
        grid.row(row);
    }
    sheet.table(1, &grid.without_empty_columns());
    if let Some(weather) = &site.job.weather {
        let above = weather.hours_above(site.job.site.summer.kelvin());
        sheet.paragraph(0, &format!("It is hotter than the job's summer in {}.", units.hours(above)));
    }
}

fn wind(units: System, climate: &Climate) -> String {
    let wind = &climate.wind;
    let [first, last] = wind.warm_season_names();
    let season = format!("From {first} to {last}");
    let Some(prevailing) = &wind.warm_season.prevailing else {
        return match (&wind.year.prevailing, wind.warm_season.calm_hours > 0.0) {
            (_, true) if wind.warm_season.missing_hours > 0.0 => format!(
                "{season} the file has no hour with a wind direction; {} are calm.",
                units.hours(wind.warm_season.calm_hours)
            ),
            (_, true) => format!("{season} every hour with wind data is calm."),
            (None, false) => "The file has no wind data.".into(),
            (Some(_), false) => format!("{season} the file has no wind data."),
        };
    };
    let year = wind.year.prevailing.as_ref().filter(|year| origins(year) != origins(prevailing));
    let year = year.map_or_else(String::new, |year| format!(" Over the year it is {}.", origins(year)));
    let each = if prevailing.equals.is_empty() { "" } else { " from each" };
    format!(
        "{season} the wind comes most often from {}: {} of the hours with wind{each}, {} on average{}.{}{year}",
        origins(prevailing),
        units.percent((prevailing.share * 100.0).round() / 100.0),
        units.wind(prevailing.mean_m_s),
        if each.is_empty() { String::new() } else { format!(" from {}", prevailing.from) },
        still(units, &wind.warm_season),
    )
}

/// `SSE`, or `S and SW alike` where it blows from several as often.
fn origins(prevailing: &Prevailing) -> String {
    match prevailing.equals.as_slice() {
        [] => prevailing.from.to_owned(),
        [other] => format!("{} and {other} equally", prevailing.from),
        [others @ .., last] => format!("{}, {} and {last} equally", prevailing.from, others.join(", ")),
    }
}

/// The hours of the season without wind, and those of which nothing is known.
fn still(units: System, rose: &Rose) -> String {
    let all = units.hours(rose.hours + rose.calm_hours + rose.missing_hours);
    let bare = |hours: f64, one: &str, several: &str| {
        (hours > 0.0).then(|| counted(units, hours, one, several).replacen(" hours", "", 1).replacen(" hour", "", 1))
    };
    let calm = bare(rose.calm_hours, "is calm", "are calm");
    let missing = bare(rose.missing_hours, "lacks speed or direction", "lack speed or direction");
    match (calm, missing) {
        (None, None) => String::new(),
        (Some(one), None) | (None, Some(one)) => format!(" Of its {all} {one}."),
        (Some(calm), Some(missing)) => format!(" Of its {all} {calm} and {missing}."),
    }
}

fn pressure(site: &Site, climate: &Climate) -> Option<String> {
    let units = site.job.units;
    let pressure = &climate.pressure;
    let station =
        climate.location.elevation_m.map(|elevation| format!("The station is at {}", altitude(units, elevation)));
    let mean = pressure.mean_Pa.map(|mean| {
        let at =
            pressure.answers_to_m.map(|m| format!(", as the standard atmosphere has it at {}", altitude(units, m)));
        format!("{}{}", units.pressure_absolute(mean), at.unwrap_or_default())
    });
    let mut words = vec![match (station, mean) {
        (Some(station), Some(mean)) => format!("{station}; its pressure is {mean}."),
        (Some(station), None) => format!("{station}; the file has no pressure."),
        (None, Some(mean)) => format!("The file gives no elevation of the station; its pressure is {mean}."),
        (None, None) => return None,
    }];
    let far = |over: Option<f64>| over.filter(|over| over.abs() > APART);
    let more = |over: f64| format!("{} {}", units.percent(over.abs()), if over > 0.0 { "more" } else { "less" });
    if let Some(over) = far(pressure.over_station) {
        words.push(format!(
            "That is {} than the height of the station gives: the data may be those of a coarse grid, or of another \
             height.",
            more(over),
        ));
    }
    let unsaid = site.job.assumptions.iter().any(|taken| taken.key == "site.altitude");
    if unsaid && climate.location.elevation_m.is_none() {
        let own = pressure.answers_to_m.map(|own| altitude(units, own));
        words.extend(own.map(|own| {
            format!(
                "The job gives no altitude either, and sea level was taken; by that pressure it is altitude = \
                     \"{own}\"."
            )
        }));
    } else if let (Some(over), Some(warmer)) = (far(pressure.over_site), pressure.warmer_than_site_K) {
        words.push(format!(
            "Note: the standard pressure is {} at the station than at the job's altitude, and its air {} {}. The \
             temperatures here are the station's as they are.",
            more(over),
            units.difference(warmer.abs()),
            if warmer > 0.0 { "warmer" } else { "cooler" },
        ));
    }
    Some(words.join(" "))
}

/// A height over the sea, without decimals.
fn altitude(units: System, metres: f64) -> String {
    let unit = match units {
        System::Ip => factor::FOOT,
        System::Si => 1.0,
    };
    units.length((metres / unit).round() * unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{job, weather};
    use std::path::Path;
    use std::sync::Arc;
    use unicode_width::UnicodeWidthStr;

    const REAL: &str = include_str!("../../../tests/data/weather/typical_year_45N_8E.epw");

    fn written(text: &str, units: System, width: usize) -> String {
        let hall = include_str!("../../../tests/data/hall.toml");
        let mut job = job::read("hall.toml", hall, Path::new("tests/data")).unwrap();
        job.units = units;
        let weather = Arc::new(weather::read("hall.epw", text).unwrap());
        job.weather = Some(weather.clone());
        let site = Site {
            job: &job,
            roof: None,
            climate: Some(weather.climate(job.site.atmosphere)),
            year: None,
            findings: Vec::new(),
            remedies: Vec::new(),
            whole: None,
            verdict: crate::rules::Verdict::Pass,
        };
        let mut sheet = Sheet::new(width);
        section(&mut sheet, &site);
        anstream::adapter::strip_str(&sheet.finish()).to_string()
    }

    /// Words across the ends of lines.
    fn flat(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_section_of_a_whole_year() {
        let text = written(REAL, System::Si, 100);
        for words in [
            "Weather: 45.00° N, 8.00° E",
            "hall.epw (EPW) holds a year of 8760 hours, each with its temperature. Its 1 January is a Thursday.",
            "the hottest hour 34.3 30 June, 15 to 16 h",
            "0.4 % of the hours 31.7",
            "99.6 % of the hours -1.3",
            "every hour -2.3 31 December, 7 to 8 h",
            "From June to August the wind comes most often from SSE: 14 % of the hours with wind, 1.8 m/s on average.",
            "The station is at 250 m; its pressure is 1.00 bara, as the standard atmosphere has it at 123 m.",
            "That is 1.5 % more than the height of the station gives",
        ] {
            assert!(flat(&text).contains(words), "{words} in\n{text}");
        }
        assert!(!text.contains("the file's own"), "no design conditions are in the file");
    }

    #[test]
    fn gaps_and_a_station_at_another_height_are_said() {
        let (head, hours) = REAL.split_at(REAL.find("\n2018,").unwrap() + 1);
        let kept = hours.lines().skip(24).collect::<Vec<&str>>().join("\n");
        let text = format!("{}{kept}", head.replace(",1,250", ",1,1250"));
        let text = flat(&written(&text, System::Ip, 60));
        assert!(
            text.contains("holds 8736 of the 8760 hours of a year; 24 hours are missing and left out of every figure."),
            "{text}"
        );
        assert!(text.contains("The station is at 4101 ft"), "{text}");
        assert!(text.contains("% less at the station than at the job's altitude"), "{text}");
    }

    /// The real year less its first hours, then some without a temperature, and what is said of it.
    fn said_of(missing: usize, bare: usize, change: impl Fn(String) -> String) -> String {
        let lines: Vec<&str> = REAL.lines().collect();
        let hours = lines[8 + missing..].iter().enumerate().map(|(index, line)| {
            let mut fields: Vec<&str> = line.split(',').collect();
            if index < bare {
                fields[6] = "99.9";
            }
            fields.join(",")
        });
        let text = format!("{}\n{}", lines[..8].join("\n"), hours.collect::<Vec<_>>().join("\n"));
        flat(&written(&change(text), System::Si, 100))
    }

    #[test]
    fn verbs_agree_with_their_counts() {
        let cases = [
            (1, 0, "holds 8759 of the 8760 hours of a year; 1 hour is missing and left out of every figure."),
            (2, 0, "holds 8758 of the 8760 hours of a year; 2 hours are missing and left out of every figure."),
            (0, 1, "holds a year of 8760 hours; 1 hour has no temperature and is left out of every figure."),
            (0, 2, "holds a year of 8760 hours; 2 hours have no temperature and are left out of every figure."),
            (1, 2, "; 1 hour is missing and 2 hours have no temperature and are left out of every figure."),
        ];
        for (missing, bare, words) in cases {
            let said = said_of(missing, bare, |text| text);
            assert!(said.contains(words), "{words} in\n{said}");
        }
    }

    /// The mean pressure of the file is that of 123 m in the standard atmosphere, as above.
    #[test]
    fn what_neither_the_job_nor_the_file_says_is_told() {
        let said = said_of(0, 0, |text| text.replace(",8.000000,1,250", ",8.000000,1,").replace("Thursday", ""));
        for words in [
            "It does not say which day of the week 1 January is; a Monday is taken.",
            "The file gives no elevation of the station; its pressure is 1.00 bara",
            "Not used from the file's header: line 1, field 10: no elevation; line 8: `` is no day",
        ] {
            assert!(said.contains(words), "{words} in\n{said}");
        }
        // The job has an altitude of its own.
        assert!(!said.contains("gives no altitude"), "{said}");
    }

    #[test]
    fn winds_that_blow_alike_are_told() {
        let rose = |from: &'static str, equals: Vec<&'static str>| Prevailing {
            from,
            from_deg: 0.0,
            share: 0.13,
            mean_m_s: 3.0,
            equals,
        };
        assert_eq!(origins(&rose("S", vec![])), "S");
        assert_eq!(origins(&rose("S", vec!["SW"])), "S and SW equally");
        assert_eq!(origins(&rose("S", vec!["SW", "W"])), "S, SW and W equally");
        let still = said_of(0, 0, |text| {
            let calm = |line: &str| match line.split(',').collect::<Vec<_>>() {
                mut fields if fields.len() == 35 => {
                    fields[21] = "0";
                    fields.join(",")
                }
                _ => line.to_owned(),
            };
            text.lines().map(calm).collect::<Vec<_>>().join("\n")
        });
        assert!(still.contains("From June to August every hour with wind data is calm."), "{still}");
        // The real file has 3 calm hours in those months.
        let nowhere = said_of(0, 0, |text| {
            let from_nowhere = |line: &str| match line.split(',').collect::<Vec<_>>() {
                mut fields if fields.len() == 35 => {
                    fields[20] = "999";
                    fields.join(",")
                }
                _ => line.to_owned(),
            };
            text.lines().map(from_nowhere).collect::<Vec<_>>().join("\n")
        });
        let words = "From June to August the file has no hour with a wind direction; 3 hours are calm.";
        assert!(nowhere.contains(words), "{nowhere}");
    }

    #[test]
    fn no_line_is_longer_than_the_sheet() {
        for width in [60, 80, 100] {
            for line in written(REAL, System::Ip, width).lines() {
                assert!(line.width() <= width && line == line.trim_end(), "{width}: {line}");
            }
        }
    }
}
