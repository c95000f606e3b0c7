//! The weather: what the file holds, its temperatures beside those of the job, wind and pressure.

use crate::report::heading;
use crate::sheet::{Align, Grid, Sheet};
use crate::site::Site;
use crate::units::{System, factor};
use crate::weather::{COLDEST, Climate, Extreme, Location, Rose, reached_in, when};

/// From this difference of pressure on, station and site are said to stand at different heights.
const APART: f64 = 0.01;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(climate) = &site.climate else { return };
    let units = site.job.units;
    heading(sheet, &format!("Weather: {}", place(&climate.location)));
    sheet.paragraph(0, &told(climate));
    temperatures(sheet, site, climate);
    sheet.paragraph(0, &wind(units, climate));
    if let Some(words) = pressure(units, climate) {
        sheet.paragraph(0, &words);
    }
    if let Some(header) = climate.header.as_ref().filter(|header| !header.unread.is_empty()) {
        sheet.paragraph(0, &format!("Of the file's head could not be read: {}.", header.unread.join("; ")));
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
fn told(climate: &Climate) -> String {
    let told = &climate.told;
    let format = climate.format.name();
    let records = match told.records_per_hour {
        1 => String::new(),
        several => format!(" in {several} records an hour"),
    };
    let leap = if told.leap_year { ", a leap year" } else { "" };
    let holds = format!("{} ({format}) holds a year of {} hours{leap}{records}", climate.file, hours(told.year_hours));
    let absent = (told.absent_hours > 0.0).then(|| format!("{} are not in it", hours(told.absent_hours)));
    let without = told.without_dry_bulb_hours;
    let without = (without > 0.0).then(|| format!("{} have no temperature", hours(without)));
    match (absent, without) {
        (None, None) => format!("{holds}, each with its temperature."),
        (Some(one), None) | (None, Some(one)) => format!("{holds}; {one}, and are left out of every figure."),
        (Some(absent), Some(without)) => format!("{holds}; {absent} and {without}; both are left out of every figure."),
    }
}

/// Hours without decimals, but for parts of one.
fn hours(hours: f64) -> String {
    if hours.fract() == 0.0 { format!("{hours:.0}") } else { format!("{hours:.2}") }
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
        sheet.paragraph(0, &format!("It is hotter than the job's summer in {} hours.", hours(above)));
    }
}

fn wind(units: System, climate: &Climate) -> String {
    let wind = &climate.wind;
    let [first, last] = wind.warm_season_names();
    let season = format!("From {first} to {last}");
    let Some(prevailing) = &wind.warm_season.prevailing else {
        return match wind.year.prevailing {
            None => "The file tells nothing of the wind.".into(),
            Some(_) => format!("{season} the file tells nothing of the wind."),
        };
    };
    let year = wind.year.prevailing.as_ref().filter(|year| year.from != prevailing.from);
    let year = year.map_or_else(String::new, |year| format!(" Over the year it is {}.", year.from));
    format!(
        "{season} the wind comes most often from {}: {} of the hours with wind, {} on average.{}{year}",
        prevailing.from,
        units.percent((prevailing.share * 100.0).round() / 100.0),
        units.wind(prevailing.mean_m_s),
        still(&wind.warm_season),
    )
}

/// The hours of the season without wind, and those of which nothing is known.
fn still(rose: &Rose) -> String {
    let all = hours(rose.hours + rose.calm_hours + rose.missing_hours);
    let calm = (rose.calm_hours > 0.0).then(|| format!("{} are calm", hours(rose.calm_hours)));
    let missing = (rose.missing_hours > 0.0).then(|| format!("{} lack speed or direction", hours(rose.missing_hours)));
    match (calm, missing) {
        (None, None) => String::new(),
        (Some(one), None) | (None, Some(one)) => format!(" Of its {all} hours {one}."),
        (Some(calm), Some(missing)) => format!(" Of its {all} hours {calm} and {missing}."),
    }
}

fn pressure(units: System, climate: &Climate) -> Option<String> {
    let pressure = &climate.pressure;
    let station =
        climate.location.elevation_m.map(|elevation| format!("The station stands at {}", altitude(units, elevation)));
    let mean = pressure.mean_Pa.map(|mean| {
        let at =
            pressure.answers_to_m.map(|m| format!(", as the standard atmosphere has it at {}", altitude(units, m)));
        format!("{}{}", units.pressure_absolute(mean), at.unwrap_or_default())
    });
    let mut words = vec![match (station, mean) {
        (Some(station), Some(mean)) => format!("{station}; its pressure is {mean}."),
        (Some(station), None) => format!("{station}; the file has no pressure."),
        (None, Some(mean)) => format!("The file doesn't say how high the station stands; its pressure is {mean}."),
        (None, None) => return None,
    }];
    let far = |over: Option<f64>| over.filter(|over| over.abs() > APART);
    let more = |over: f64| format!("{} {}", units.percent(over.abs()), if over > 0.0 { "more" } else { "less" });
    if let Some(over) = far(pressure.over_station) {
        words.push(format!(
            "That is {} than the height of the station gives: the data may be those of a coarse grid, or of another height.",
            more(over),
        ));
    }
    if let (Some(over), Some(warmer)) = (far(pressure.over_site), pressure.warmer_than_site_K) {
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
    use crate::{job, survey, weather};
    use std::path::Path;
    use std::sync::Arc;
    use unicode_width::UnicodeWidthStr;

    const REAL: &str = include_str!("../../../tests/data/weather/pvgis_tmy_45N_8E_2005_2023.epw");

    fn written(text: &str, units: System, width: usize) -> String {
        let hall = include_str!("../../../tests/data/hall.toml");
        let mut job = job::read("hall.toml", hall, Path::new("tests/data")).unwrap();
        job.units = units;
        let weather = Arc::new(weather::read("hall.epw", text).unwrap());
        job.weather = Some(weather.clone());
        let survey = survey::survey(&job).unwrap();
        let site = Site {
            job: &job,
            survey: &survey,
            roof: None,
            climate: Some(weather.climate(job.site.atmosphere)),
            year: None,
            findings: Vec::new(),
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
            "hall.epw (EPW) holds a year of 8760 hours, each with its temperature.",
            "the hottest hour 34.3 30 June, 15 to 16 h",
            "0.4 % of the hours 31.7",
            "99.6 % of the hours -1.3",
            "every hour -2.3 31 December, 7 to 8 h",
            "From June to August the wind comes most often from SSE: 14 % of the hours with wind, 1.8 m/s on average.",
            "The station stands at 250 m; its pressure is 1.00 bara, as the standard atmosphere has it at 123 m.",
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
        let text = format!("{}{kept}", head.replace(",1,250", ",1,1250")).replacen(",2.04,", ",99.9,", 1);
        let text = flat(&written(&text, System::Ip, 60));
        assert!(text.contains("8760 hours; 24 are not in it, and are left out of every figure."), "{text}");
        assert!(text.contains("The station stands at 4101 ft"), "{text}");
        assert!(text.contains("% less at the station than at the job's altitude"), "{text}");
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
