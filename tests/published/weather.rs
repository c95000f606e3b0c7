//! What stands in published weather files, and the design temperatures that follow from them.

use crate::evidence::{Table, number, reproduce};
use roofrun::weather::{self, Record, Weather, date, open};
use std::path::Path;
use std::sync::OnceLock;

pub const TABLES: &[Table] = &[
    Table("station of a weather file", "-", |at| {
        let location = &file(at[0]).location;
        match at[1] {
            "latitude" => location.latitude,
            "longitude" => location.longitude,
            "time zone" => location.time_zone,
            "elevation" => location.elevation_m,
            other => panic!("{other}"),
        }
        .unwrap()
    }),
    Table("reading of a weather file", "-", |at| {
        let hour: u8 = at[2].parse().unwrap();
        let found = |record: &&Record| date(record.month, record.day) == at[1] && record.hour == hour;
        let record = file(at[0]).records.iter().find(found).unwrap();
        match at[3] {
            "dry-bulb, C" => record.dry_bulb_K.map(|kelvin| kelvin - 273.15),
            "dew point, C" => record.dew_point_K.map(|kelvin| kelvin - 273.15),
            "relative humidity, %" => record.humidity.map(|share| share * 100.0),
            "pressure, hPa" => record.pressure_Pa.map(|pascals| pascals / 100.0),
            "wind from, degrees" => record.wind_from_deg,
            "wind, m/s" => record.wind_m_s,
            other => panic!("{other}"),
        }
        .unwrap()
    }),
    Table("dry-bulb reached or exceeded", "°C", |at| file(at[0]).exceeded(number(at[1]) / 100.0) - 273.15),
    Table("design dry-bulb in the head of an EPW", "°C", |at| {
        let design = head().header.design_conditions.clone().unwrap();
        let kelvin = match at[0] {
            "99.6 %" => design.heating_99_6_K,
            "99 %" => design.heating_99_K,
            "0.4 %" => design.cooling_0_4_K,
            "1 %" => design.cooling_1_K,
            "2 %" => design.cooling_2_K,
            other => panic!("{other}"),
        };
        kelvin.unwrap() - 273.15
    }),
];

const FOLDER: &str = "tests/data/weather";

fn file(name: &str) -> &'static Weather {
    static EPW: OnceLock<Weather> = OnceLock::new();
    static TMY3: OnceLock<Weather> = OnceLock::new();
    let cell = if name.starts_with("typical") { &EPW } else { &TMY3 };
    let weather = cell.get_or_init(|| open(&Path::new(FOLDER).join(name)).unwrap());
    assert_eq!(weather.file, name);
    weather
}

/// The year of 45 N 8 E under a head with design conditions of the layout in use since 2009.
fn head() -> Weather {
    let text = std::fs::read_to_string(Path::new(FOLDER).join("typical_year_45N_8E.epw")).unwrap();
    let design = "DESIGN CONDITIONS,1,Climate Design Data 2009,,Heating,1,-7.3,-4.9,-11.1,1.4,-6.2,-8.4,1.8,-3.7,17.6,9.5,\
                  15.7,9.3,4.6,80,Cooling,7,8,27.8,19.7,25.6,19,23.7,18,20.7,25.8,19.7,24.1,18.8,22.6,4.2,50";
    weather::read("head.epw", &text.replace("DESIGN CONDITIONS,0", design)).unwrap()
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
