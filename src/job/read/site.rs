//! The place: its air pressure and its temperatures, given or from a weather file.

use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::{Table, plain_number};
use crate::job::{Code, Site};
use crate::physics::atmosphere;
use crate::units::{Kind, Length, Temperature, metres};
use crate::weather::{self, Weather, WeatherFault};
use std::path::Path;
use std::sync::Arc;

/// The place, and the year of weather where a file of it is named.
pub(super) fn site(notes: &mut Notes<'_>, root: &Table<'_>, folder: &Path) -> (Option<Site>, Option<Arc<Weather>>) {
    let Some(table) = notes.table(root, "site") else {
        if !root.has("site") {
            let fault = Fault::new(0..0, "missing table [site]");
            let label = "required: summer = \"96 F\" and winter = \"2 F\", or weather = \"hall.epw\"";
            notes.structural(fault.expected(label));
        }
        return (None, None);
    };
    let weather = weather_file(notes, &table, folder);
    (place(notes, &table, weather.as_ref()), weather.map(Arc::new))
}

fn place(notes: &mut Notes<'_>, table: &Table<'_>, weather: Option<&Weather>) -> Option<Site> {
    let altitude = altitude(notes, table, weather);
    let (summer, winter) = temperatures(notes, table, weather);
    let recirculation = notes.need(table, "recirculation");
    let installed = notes.need(table, "installed");
    let code = notes.choice(table, "code", &[Code::Us, Code::Eu]).unwrap_or_default();
    let altitude = altitude?;
    let atmosphere = match atmosphere::pressure(altitude) {
        Ok(pressure) => pressure,
        Err(out) => {
            notes.fault(Fault::new(table.span_of("altitude"), out.to_string()));
            return None;
        }
    };
    notes.atmosphere_Pa = atmosphere.pascals();
    let [summer, winter] = [summer?, winter?].map(Temperature::from_kelvin);
    Some(Site { altitude, atmosphere, summer, winter, recirculation, installed, code })
}

fn altitude(notes: &mut Notes<'_>, table: &Table<'_>, weather: Option<&Weather>) -> Option<Length> {
    let elevation = weather.map(|weather| weather.location.elevation_m);
    match elevation {
        Some(Some(elevation)) if !table.has("altitude") => {
            let why = "elevation of the weather station";
            notes.assume("site.altitude", (elevation, Kind::Length, ""), why, "user");
            Some(metres(elevation))
        }
        Some(None) if !table.has("altitude") => {
            let why = "the weather file gives no elevation either";
            notes.taken_as(table, "altitude", 0.0, "sea level", why);
            Some(metres(0.0))
        }
        _ => notes.get(table, "altitude"),
    }
}

/// Summer and winter, K.
fn temperatures(notes: &mut Notes<'_>, table: &Table<'_>, weather: Option<&Weather>) -> (Option<f64>, Option<f64>) {
    if table.has("weather") {
        for key in ["summer", "winter"] {
            if let Some(entry) = table.get(key) {
                let fault = Fault::new(entry.key_span.clone(), format!("`weather` and `{key}` are both given"));
                notes.fault(fault.expected("`summer` and `winter`, or `weather` instead of both"));
            }
        }
        let percents = (summer_percent(notes, table), winter_percent(notes, table));
        let (Some(weather), (Some(summer_percent), Some(winter_percent))) = (weather, percents) else {
            return (None, None);
        };
        let summer = weather.exceeded(summer_percent / 100.0);
        notes.assume("site.summer", (summer, Kind::Temperature, ""), weather::reached_in(summer_percent), "user");
        let (winter, why) = match winter_percent {
            Percent::Of(percent) => (weather.exceeded(percent / 100.0), weather::reached_in(percent)),
            Percent::Extreme => (weather.lowest(), weather::COLDEST.to_owned()),
        };
        notes.assume("site.winter", (winter, Kind::Temperature, ""), why, "user");
        return (Some(summer), Some(winter));
    }
    for key in ["summer_percent", "winter_percent"] {
        if let Some(entry) = table.get(key) {
            let fault = Fault::new(entry.key_span, format!("`{key}` without `weather`"));
            notes.fault(fault.expected("it chooses from a weather file"));
        }
    }
    notes.missing(table, &["summer", "winter"]);
    let [summer, winter] = ["summer", "winter"].map(|key| notes.get(table, key));
    if let (Some(summer), Some(winter)) = (summer, winter)
        && winter > summer
    {
        notes.fault(
            Fault::new(table.span_of("winter"), "`winter` is warmer than `summer`")
                .expected("the lowest outdoor temperature"),
        );
    }
    (summer, winter)
}

/// Which dry-bulb is taken from a weather file.
enum Percent {
    /// What is reached or exceeded in so many per cent of the hours.
    Of(f64),
    /// The extreme of the year.
    Extreme,
}

fn summer_percent(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<f64> {
    if !table.has("summer_percent") {
        return notes.get(table, "summer_percent");
    }
    percent(notes, table, "summer_percent", &[0.4, 1.0, 2.0], "0.4, 1 or 2")
}

fn winter_percent(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Percent> {
    if !table.has("winter_percent") {
        return Some(Percent::Extreme);
    }
    percent(notes, table, "winter_percent", &[99.0, 99.6], "99 or 99.6").map(Percent::Of)
}

/// One of the shares for which dry-bulbs are published.
fn percent(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, known: &[f64], words: &str) -> Option<f64> {
    let entry = table.get(key)?;
    // Exact: they are compared as typed.
    #[expect(clippy::float_cmp, reason = "one of a few literals as typed")]
    let found = plain_number(entry.value).filter(|number| known.iter().any(|one| one == number));
    if found.is_none() {
        let fault = Fault::new(entry.span, format!("`{key}` is {words}"));
        notes.fault(fault.expected("fraction of the year's hours, in per cent"));
    }
    found
}

fn weather_file(notes: &mut Notes<'_>, table: &Table<'_>, folder: &Path) -> Option<Weather> {
    let name = notes.text(table, "weather")?;
    match weather::open(&folder.join(name)) {
        Ok(weather) => Some(weather),
        Err(fault) => {
            let told = Fault::new(table.span_of("weather"), format!("`weather`: {fault}"));
            notes.fault(match fault {
                // What was expected of the file's content is in the message.
                WeatherFault::Other { .. } | WeatherFault::Lines { .. } | WeatherFault::Whole { .. } => told,
                _ => told.expected("an EPW or TMY3 CSV file beside the job file"),
            });
            None
        }
    }
}
