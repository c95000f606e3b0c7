//! Files that hold no job: each with what is told.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use roofrun::job;
use std::fs;
use std::path::Path;

/// The message about a file in a folder of its own, without the folder's name.
fn told(prepare: impl Fn(&Path), name: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    prepare(folder.path());
    let path = if name.is_empty() { folder.path().to_owned() } else { folder.path().join(name) };
    match job::open(&path) {
        Ok(_) => panic!("it reads"),
        Err(faults) => faults.render(false, 200).replace(&folder.path().display().to_string(), "DIR"),
    }
}

#[test]
fn not_there() {
    insta::assert_snapshot!(told(|_| {}, "hall.toml"));
}

#[test]
fn not_there_but_one_of_a_like_name() {
    insta::assert_snapshot!(told(|dir| fs::write(dir.join("hall.toml"), "").unwrap(), "haul.toml"));
}

#[test]
fn a_folder() {
    insta::assert_snapshot!(told(|dir| fs::write(dir.join("hall.toml"), "").unwrap(), ""));
}

#[test]
fn not_utf_8() {
    let latin = b"[site]\nwinter = \"2 F\"\nsummer = \"35.5 \xb0C\"\n";
    insta::assert_snapshot!(told(|dir| fs::write(dir.join("hall.toml"), latin).unwrap(), "hall.toml"));
}

#[test]
fn utf_16() {
    let wide = b"\xff\xfe[\0s\0i\0t\0e\0]\0";
    insta::assert_snapshot!(told(|dir| fs::write(dir.join("hall.toml"), wide).unwrap(), "hall.toml"));
}

#[test]
fn fifty_megabytes() {
    let sparse = |dir: &Path| fs::File::create(dir.join("hall.toml")).unwrap().set_len(50 * 1024 * 1024).unwrap();
    insta::assert_snapshot!(told(sparse, "hall.toml"));
}

/// What has no size beforehand is not read to its end either.
#[cfg(unix)]
#[test]
fn without_end() {
    insta::assert_snapshot!(job::open(Path::new("/dev/zero")).unwrap_err().render(false, 200));
}

#[test]
fn empty() {
    insta::assert_snapshot!(told(|dir| fs::write(dir.join("hall.toml"), "").unwrap(), "hall.toml"));
}

/// The weather file that the hall's `weather` names.
fn with_weather(weather: &[u8]) -> String {
    const HALL: &str = include_str!("data/hall.toml");
    let given = "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"";
    assert_eq!(HALL.matches(given).count(), 1);
    let hall = HALL.replace(given, "weather = \"hall.epw\"");
    let prepare = |dir: &Path| {
        fs::write(dir.join("hall.toml"), &hall).unwrap();
        fs::write(dir.join("hall.epw"), weather).unwrap();
    };
    told(prepare, "hall.toml")
}

#[test]
fn weather_of_another_format() {
    insta::assert_snapshot!(with_weather(b"date,temperature\n2018-01-01,3.4\n"));
}

/// The head of a weather file.
const HEAD: &str = "LOCATION,unknown,-,unknown,ECMWF/ERA,unknown,45.0,8.0,1,250\nDESIGN CONDITIONS,0\n\
    TYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS 2,\n\
    DATA PERIODS,1,1,Data,Thursday, 1/ 1,12/31\n";

/// An hour of 1 January.
fn hour(hour: u32, dry_bulb: &str) -> String {
    format!("2018,1,1,{hour},0,?,{dry_bulb},1.21,94,99870{},257,0.7{}\n", ",0".repeat(10), ",0".repeat(13))
}

#[test]
fn weather_of_twelve_hours() {
    let hours: String = (1..=12).map(|number| hour(number, "2.04")).collect();
    insta::assert_snapshot!(with_weather(format!("{HEAD}{hours}").as_bytes()));
}

#[test]
fn weather_with_a_broken_hour() {
    insta::assert_snapshot!(with_weather(format!("{HEAD}{}{}", hour(1, "2.04"), hour(2, "?")).as_bytes()));
}

#[test]
fn weather_with_an_hour_twice() {
    insta::assert_snapshot!(with_weather(format!("{HEAD}{}{}", hour(1, "2.04"), hour(1, "2.04")).as_bytes()));
}

#[test]
fn weather_cut_in_its_head() {
    insta::assert_snapshot!(with_weather(&HEAD.as_bytes()[..150]));
}

#[test]
fn weather_in_fahrenheit() {
    insta::assert_snapshot!(with_weather(format!("{HEAD}{}", hour(1, "82.4")).as_bytes()));
}

#[test]
fn weather_as_json() {
    insta::assert_snapshot!(with_weather(br#"{"outputs": {"tmy_hourly": []}}"#));
}

#[test]
fn weather_without_its_columns() {
    let text = "723170,\"SOMEWHERE\",NC,-5.0,36.1,-79.95,273\nDate (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2)\n";
    insta::assert_snapshot!(with_weather(text.as_bytes()));
}
