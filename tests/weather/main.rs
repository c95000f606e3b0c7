//! Weather files: all hours against another reader, and files with gaps, leap years and several records an hour.
//!
//! `values.csv` is what pvlib, an open library in another language, reads from the same files: `reference.py` writes it.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

mod any_text;
mod built;
mod faults;
mod plausibility;
#[path = "../common/rows.rs"]
mod table;

use roofrun::weather::{Record, Weather, open};
use serde::Deserialize;
use std::fmt::Write;
use std::path::Path;

const FOLDER: &str = "tests/data/weather";

#[derive(Debug, Deserialize)]
struct Row {
    file: String,
    quantity: String,
    of: String,
    which: String,
    value: f64,
}

fn rows() -> Vec<Row> {
    table::rows(include_str!("values.csv"))
}

/// A column in the unit of the reference.
fn value(record: &Record, column: &str) -> Option<f64> {
    match column {
        "dry_bulb_C" => record.dry_bulb_K.map(|kelvin| kelvin - 273.15),
        "dew_point_C" => record.dew_point_K.map(|kelvin| kelvin - 273.15),
        "humidity_percent" => record.humidity.map(|share| share * 100.0),
        "pressure_Pa" => record.pressure_Pa,
        "wind_from_deg" => record.wind_from_deg,
        "wind_m_s" => record.wind_m_s,
        other => panic!("{other}"),
    }
}

fn of_column(weather: &Weather, row: &Row) -> f64 {
    let month: u8 = row.of.parse().unwrap();
    let values: Vec<(f64, f64)> = weather
        .records
        .iter()
        .enumerate()
        .filter(|(_, record)| record.month == month)
        .filter_map(|(index, record)| {
            Some((f64::from(u32::try_from(index + 1).unwrap()), value(record, &row.quantity)?))
        })
        .collect();
    match row.which.as_str() {
        "count" => f64::from(u32::try_from(values.len()).unwrap()),
        "sum" => values.iter().map(|(_, value)| value).sum(),
        "least" => values.iter().map(|(_, value)| *value).fold(f64::INFINITY, f64::min),
        "greatest" => values.iter().map(|(_, value)| *value).fold(f64::NEG_INFINITY, f64::max),
        "sum by place" => values.iter().map(|(place, value)| place * value).sum(),
        other => panic!("{other}"),
    }
}

fn computed(weather: &Weather, row: &Row) -> f64 {
    let wind = weather.wind();
    let rose = if row.of == "year" { &wind.year } else { &wind.warm_season };
    match row.quantity.as_str() {
        "exceeded_C" => weather.exceeded(row.which.parse::<f64>().unwrap() / 100.0) - 273.15,
        "hours_above_C" => weather.hours_above(row.which.parse::<f64>().unwrap() + 273.15),
        "wind_hours" if row.which == "calm" => wind.year.calm_hours,
        "wind_hours" => rose.sectors[row.which.parse::<usize>().unwrap()].hours,
        "wind_mean_m_s" => rose.sectors[row.which.parse::<usize>().unwrap()].mean_m_s.unwrap(),
        "pressure_mean_Pa" => weather.climate(roofrun::physics::atmosphere::SEA_LEVEL).pressure.mean_Pa.unwrap(),
        _ => of_column(weather, row),
    }
}

/// Every column of all hours, percentiles, hours above temperatures and the wind rose of both files.
#[test]
fn all_hours_as_another_library_reads_them() {
    let rows = rows();
    assert!(rows.len() > 700);
    let mut misses = String::new();
    for name in ["typical_year_45N_8E.epw", "tmy3_723170_greensboro.csv"] {
        let weather = open(&Path::new(FOLDER).join(name)).unwrap();
        assert_eq!(weather.records.len(), 8760);
        let of_file: Vec<&Row> = rows.iter().filter(|row| row.file == name).collect();
        assert!(of_file.len() > 350, "{name}");
        for row in of_file {
            let here = computed(&weather, row);
            // Sums of up to 744 numbers of two digits, in two units.
            let tolerance = 1e-9 * row.value.abs().max(1.0);
            if here.is_nan() || (here - row.value).abs() > tolerance {
                writeln!(misses, "{row:?}: {here} here").unwrap();
            }
        }
    }
    assert!(misses.is_empty(), "\n{misses}");
}
