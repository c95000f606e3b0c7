//! What a job file with a mistake is told: each message whole, as it stands on an 80-column terminal, and each
//! corrected line put into the file and read again.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "common/mistakes.rs"]
mod mistakes;

use mistakes::{faults, mistakes, told};
use roofrun::job;
use std::path::Path;

/// The job that the mistakes are made in; it reads as it stands.
const HALL: &str = include_str!("data/hall.toml");

#[test]
fn the_job_itself_reads() {
    if let Err(faults) = job::read("hall.toml", HALL, Path::new("tests/data")) {
        panic!("{faults}");
    }
}

mistakes! {
    HALL;
    missing_unit: r#"elevation = "38 ft""# => r#"elevation = "38""#;
    bare_number: r#"elevation = "38 ft""# => "elevation = 38";
    unquoted_quantity: r#"elevation = "38 ft""# => "elevation = 38 ft";
    wrong_kind_of_unit: r#"elevation = "38 ft""# => r#"elevation = "38 psi""#;
    misspelt_unit: r#"elevation = "38 ft""# => r#"elevation = "38 fet""#;
    decimal_comma: r#"altitude = "890 ft""# => r#"altitude = "271,3 m""#;
    pressure_neither_gauge_nor_absolute: r#"cutout = "610 psig""# => r#"cutout = "610 psi""#;
    gauge_pressure_for_a_loss: r#"pressure_drop = "3 psi""# => r#"pressure_drop = "3 psig""#;
    unknown_tube: r#"tube = "1-5/8 ACR""# => r#"tube = "1-5/8 ARC""#;
    metric_tube_without_its_wall: r#"tube = "1-5/8 ACR""# => r#"tube = "42 mm""#;
    metric_tube_of_a_wall_that_is_not_sold: r#"tube = "1-5/8 ACR""# => r#"tube = "22x2,5""#;
    tube_by_its_nominal_size: r#"tube = "1-5/8 ACR""# => r#"tube = "1-1/4 L""#;
    tube_by_its_outside_alone: r#"tube = "1-5/8 ACR""# => r#"tube = "54 mm""#;
    unknown_refrigerant: r#"refrigerant = "R-410A""# => r#"refrigerant = "R410""#;
    refrigerant_of_no_kind: r#"refrigerant = "R-410A""# => r#"refrigerant = "ammonia""#;
    unknown_key: r#"td = "25 F""# => r#"diference = "25 F""#;
    unknown_key_of_a_part: "kv = 5.2 }" => r#"kv = 5.2, closes = "324 ms" }"#;
    misspelt_key_with_a_fault_in_its_value: "fittings = { long-elbow = 3 }" => "fitings = { longelbow = 3 }";
    misspelt_key_of_a_value_that_is_another: r#"td = "25 F""# => r#"diference = "25 psi""#;
    air_round_a_receiver: r#"volume = "2.4 ft3" }"# => r#"volume = "2.4 ft3", ambient = "95 F" }"#;
    pressure_in_bare_bar: r#"cutout = "610 psig""# => r#"cutout = "42 bar""#;
    table_without_its_circuit: "[circuit.valve]" => "[valve]";
    vertical_run: r#"{ drop = "38 ft","# => r#"{ vertical = "38 ft","#;
    misplaced_key: "kind = \"electronic\"" => "kind = \"electronic\"\ncutout = \"600 psig\"";
    unknown_table: "[plant]" => "[plants]";
    missing_key: r#"td = "25 F""# => "# difference";
    condenser_without_its_rating: "rejection = \"640 MBH\"         # total" => "# total";
    missing_keys_within_braces: r#"rating = { capacity = "40 ton", power = "42 kW","# => "rating = {";
    missing_table: "[circuit.evaporator]" => "[circuit.valve.evaporator]";
    negative_rise: r#"{ rise = "38 ft","# => r#"{ rise = "-38 ft","#;
    negative_level: r#"{ level = "14 ft", "# => r#"{ level = "−14 ft", "#;
    length_of_nothing: r#"{ level = "14 ft", "# => r#"{ level = "0 ft", "#;
    absurd_length: r#"{ rise = "38 ft","# => r#"{ rise = "1e9 ft","#;
    two_directions_on_one_run: r#"{ level = "14 ft", fittings = { long-elbow = 2 } }"# => r#"{ level = "14 ft", rise = "38 ft" }"#;
    two_directions_and_more: r#"{ level = "14 ft", "# => r#"{ level = "14 ft", drop = "2 ft", "#;
    no_direction: r#"{ level = "14 ft", "# => r#"{ length = "14 ft", "#;
    trap_on_a_level: r#"{ level = "14 ft", "# => r#"{ level = "14 ft", trap = "foot", "#;
    slope_on_a_rise: r#"{ rise = "38 ft","# => r#"{ rise = "38 ft", slope = "with flow","#;
    slope_of_no_kind: r#"slope = "with flow""# => r#"slope = "with the flow""#;
    trap_above_its_rise: r#"trap = "foot""# => r#"trap = ["20 ft", "40 ft"]"#;
    unknown_trap: r#"trap = "foot""# => r#"trap = "bottom""#;
    unknown_fitting: "{ long-elbow = 3 }" => "{ long_elbow = 3 }";
    fittings_by_halves: "{ long-elbow = 3 }" => "{ long-elbow = 3.5 }";
    unknown_part: r#"part = "filter-drier""# => r#"part = "filter drier""#;
    part_in_the_wrong_line: r#"{ part = "check valve", pressure_drop = "1 psi" }"# => r#"{ part = "filter-drier", pressure_drop = "1 psi" }"#;
    loss_and_flow_coefficient: r#"{ part = "filter-drier", pressure_drop = "2 psi" }"# => r#"{ part = "filter-drier", pressure_drop = "2 psi", cv = 6 }"#;
    volume_on_a_valve: r#"{ part = "solenoid valve", kv = 5.2 }"# => r#"{ part = "solenoid valve", kv = 5.2, volume = "1 ft3" }"#;
    unknown_room: r#"room = "corridor""# => r#"room = "coridor""#;
    air_round_a_run_of_no_kind: r#"ambient = "105 F""# => r#"ambient = "outdoor + 35""#;
    parallel_tubes_for_a_line: r#"tube = "1-5/8 ACR""# => r#"tube = ["1-1/8 ACR", "1-3/8 ACR"]"#;
    parallel_tubes_one_unknown: r#"tube = "1-3/8 ACR", trap"# => r#"tube = ["7/8 ACR", "1-3/4 ACR"], trap"#;
    parallel_tubes_none: r#"tube = "1-3/8 ACR", trap"# => "tube = [], trap";
    tube_left_open: r#"tube = "1-5/8 ACR""# => r#"tube = "auto""#;
    condensing_above_the_range: r#"condensing = "120 F""# => r#"condensing = "160 F""#;
    suction_above_condensing: r#"suction = "40 F", condensing"# => r#"suction = "140 F", condensing"#;
    suction_below_the_range: r#"suction = "40 F", condensing"# => r#"suction = "-90 F", condensing"#;
    hold_above_the_cutout: r#"setpoint = "85 F""# => r#"setpoint = "150 F""#;
    no_hold: r#", setpoint = "85 F""# => "";
    head_control_of_no_kind: r#"by = "fans""# => r#"by = "fan""#;
    bypass_share_of_everything: "share = 0.2, when" => "share = 1.2, when";
    bypass_share_in_per_cent: "share = 0.2, when" => "share = 20, when";
    bypass_share_as_a_text: "share = 0.2, when" => "share = \"0.2\", when";
    share_above_one: "share = 0.5 " => "share = 1.5 ";
    share_that_is_no_number: "share = 0.5 " => "share = nan ";
    share_without_end: "share = 0.5 " => "share = inf ";
    share_next_to_none: "share = 0.5 " => "share = 1e-9 ";
    minimum_share_next_to_none: "minimum = 1 " => "minimum_share = 1e-15 ";
    bypass_share_of_nearly_everything: "share = 0.2, when" => "share = 0.999, when";
    spare_more_than_there_are: "spare = 1" => "spare = 9";
    share_of_a_face_above_one: "liquid_velocity = \"300 fpm\"" => "screen_open = 3";
    profile_of_no_load: "spare = 1" => "spare = 0\nprofile = { by = \"week\", workday = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0] } # spare = 1";
    profile_without_workdays: "spare = 1" => "spare = 0\nprofile = { by = \"week\" } # spare = 1";
    spare_by_halves: "spare = 1 " => "spare = 1.5 ";
    spare_in_words: "spare = 1 " => "spare = \"one\" ";
    flag_in_quotes: "occupied = true" => "occupied = \"yes\"";
    minimum_beyond_count: "minimum = 1 " => "minimum = 3 ";
    minimum_and_minimum_share: "# minimum_share = 0.3" => "minimum_share = 0.3";
    rating_and_map: "# map = { ... }" => "map = {} # ";
    leaving_and_suction: r#"leaving = "45 F""# => r#"suction = "40 F" # "#;
    weather_and_summer: "# weather = \"hall.epw\"" => "weather = \"hall.epw\"";
    weather_not_there: "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"" => "weather = \"hall.epw\"";
    percents_of_no_table: "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"" => "weather = \"weather/typical_year_45N_8E.epw\"\nsummer_percent = 5\nwinter_percent = \"99 %\"";
    percents_without_weather: "winter = \"2 F\"" => "winter = \"2 F\"\nsummer_percent = 1\nwinter_percent = 99.6";
    winter_above_summer: "winter = \"2 F\"" => "winter = \"102 F\"";
    outdoor_of_another_planet: "winter = \"2 F\"" => "winter = \"-200 F\"";
    units_of_no_kind: "units = \"ip\"" => "units = \"metric\"";
    unknown_limit: "liquid_velocity = \"300 fpm\"" => "liquid_velocty = \"300 fpm\"";
    limit_of_the_wrong_kind: "liquid_velocity = \"300 fpm\"" => "liquid_velocity = \"300 ft\"";
    own_tube_without_a_bore: "wall = \"0.065 in\"" => "wall = \"0.7 in\"";
    own_tube_by_a_taken_name: "name = \"1-3/8 high-pressure\"" => "name = \"1-3/8 ACR\"";
    own_tube_rated_absolute: "rated = \"700 psig\"" => "rated = \"700 psia\"";
    condenser_without_volume: "volume = \"1.9 ft3\"" => "volume = \"0 ft3\"";
    point_by_a_taken_name: "name = \"spring night\"" => "name = \"summer full\"";
    legs_on_one_coil: "cutout = \"610 psig\"" => "legs = { height = \"4 ft\", tube = \"7/8 ACR\" }\ncutout = \"610 psig\"";
    circuit_in_single_brackets: "[[circuit]]" => "[circuit]";
    circuit_named_by_a_number: "name = \"1A\"" => "name = 1";
    name_of_nothing: "name = \"1A\"" => "name = \"\"";
    date_for_a_length: r#"elevation = "38 ft""# => "elevation = 2025-01-01";
    quote_not_closed: r#"elevation = "38 ft""# => r#"elevation = "38 ft"#;
    inch_mark_within_quotes: r#"elevation = "38 ft""# => r#"elevation = "12'6"""#;
    feet_and_inches_unquoted: r#"elevation = "38 ft""# => r#"elevation = 12'6""#;
    key_without_value: r#"elevation = "38 ft""# => "above";
    colon_for_equals: r#"elevation = "38 ft""# => r#"above: "38 ft""#;
    comma_between_runs_forgotten: r#"{ level = "14 ft", fittings = { long-elbow = 2 } },"# => r#"{ level = "14 ft", fittings = { long-elbow = 2 } }"#;
    key_given_twice: r#"elevation = "38 ft""# => "elevation = \"38 ft\"\nabove = \"39 ft\"";
}

/// The discharge route of the hall, from its bracket to its bracket.
fn with_route(route: &str) -> String {
    let start = HALL.find("route = [").unwrap();
    let end = start + HALL[start..].find("\n]").unwrap() + 2;
    format!("{}route = {route}{}", &HALL[..start], &HALL[end..])
}

#[test]
fn empty_route() {
    insta::assert_snapshot!(faults(&with_route("[]")));
}

#[test]
fn route_of_parts_alone() {
    insta::assert_snapshot!(faults(&with_route(r#"[ { part = "check valve" } ]"#)));
}

#[test]
fn route_of_words() {
    insta::assert_snapshot!(faults(&with_route(r#"[ "up", 38 ]"#)));
}

#[test]
fn two_circuits_of_one_name() {
    let start = HALL.find("[[circuit]]").unwrap();
    insta::assert_snapshot!(faults(&format!("{HALL}\n{}", &HALL[start..])));
}

/// A job whose compressors are given by these entries of a map.
fn with_map(entries: &str) -> String {
    let at = HALL.find("rating = {").unwrap();
    let end = at + HALL[at..].find('\n').unwrap();
    format!("{}map = {{ {entries} }}{}", &HALL[..at], &HALL[end..])
}

const POINT: &str =
    r#"temperature = "F", suction = "45 F", condensing = "120 F", superheat = "20 F", subcooling = "15 F""#;

#[test]
fn polynomial_with_nine_coefficients() {
    let text = with_map(&format!(
        r#"{POINT}, flow = [217, 5.1, -0.59, 4.4e-2, -2.1e-2, 1.0e-2, 7.9e-5, -5.7e-5, 1.8e-4], flow_unit = "lb/h", power = [900, 1, 8, 0, 0, 0, 0, 0, 0, 0], power_unit = "W""#
    ));
    insta::assert_snapshot!(faults(&text));
}

#[test]
fn polynomial_without_its_units() {
    let text = with_map(&format!(
        r#"{POINT}, flow = [-500, 1, 1, 0, 0, 0, 0, 0, 0, 0], flow_unit = "lbs", power = [900, 1, 8, 0, 0, 0, 0, 0, 0, 0]"#
    ));
    insta::assert_snapshot!(faults(&text));
}

#[test]
fn polynomial_that_gives_no_flow() {
    let text = with_map(&format!(
        r#"{POINT}, flow = [-500, 1, 1, 0, 0, 0, 0, 0, 0, 0], flow_unit = "lb/h", power = [900, 1, 8, 0, 0, 0, 0, 0, 0, 0], power_unit = "W""#
    ));
    insta::assert_snapshot!(faults(&text));
}

#[test]
fn nothing_at_all() {
    insta::assert_snapshot!(faults(""));
}

#[test]
fn another_format() {
    insta::assert_snapshot!(faults("{ \"site\": { \"summer\": 96 } }\n"));
}

/// A job in SI units is told of SI units.
#[test]
fn bare_numbers_in_si() {
    let text = HALL.replace("units = \"ip\"", "units = \"si\"").replace(r#"elevation = "38 ft""#, "elevation = 11.6");
    insta::assert_snapshot!(faults(&text.replace(r#"cutout = "610 psig""#, r#"cutout = "42""#)));
}

/// All that a map needs in one go, in full.
#[test]
fn map_of_nothing() {
    insta::assert_snapshot!(faults(&with_map("")));
}

/// Where the name leaves no doubt, the temperatures are held against the range of the refrigerant that is meant.
#[test]
fn refrigerant_misspelt_and_out_of_its_range() {
    let text = HALL.replace("refrigerant = \"R-410A\"", "refrigerant = \"R-410\"");
    insta::assert_snapshot!(faults(&text.replace("condensing = \"120 F\"", "condensing = \"190 F\"")));
}

/// Everything at once, in the order of the file.
#[test]
fn all_mistakes_at_once() {
    let text = HALL
        .replace(r#"altitude = "890 ft""#, "altitude = 890")
        .replace(r#"refrigerant = "R-410A""#, r#"refrigerant = "R-401A""#)
        .replace(r#"td = "25 F""#, r#"td = "25 psi""#)
        .replace("long-elbow = 3", "elbo = 3")
        .replace(r#"room = "corridor""#, r#"room = "hallway""#);
    let faults = faults(&text);
    let lines: Vec<usize> = faults.iter().map(job::Fault::line).collect();
    assert!(lines.is_sorted(), "{lines:?}");
    insta::assert_snapshot!(faults);
}

/// A narrow terminal and a line longer than it.
#[test]
fn at_sixty_columns() {
    let text = HALL.replace(r#"subcooling = "10 F" }"#, r#"subcooling = "10 psi" }"#);
    insta::assert_snapshot!(faults(&text).render(false, 60));
}

/// Colour repeats what the words say.
#[test]
fn coloured_and_plain_say_the_same() {
    let faults = faults(&HALL.replace(r#"elevation = "38 ft""#, "elevation = 38"));
    let coloured = faults.render(true, 80);
    assert_ne!(coloured, faults.render(false, 80));
    assert_eq!(without_colours(&coloured), faults.render(false, 80));
}

fn without_colours(text: &str) -> String {
    let mut parts = text.split('\u{1b}');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |out, part| out + part.split_once('m').map_or("", |(_, rest)| rest))
}

/// Every name that a key, a word or a limit had in files of earlier versions, and the line with its name of today.
#[test]
fn names_of_earlier_files() {
    let earlier = [
        ("minimum = 1", "least = 1"),
        ("when = \"minimum\"", "when = \"least\""),
        ("td = \"25 F\"", "difference = \"25 F\""),
        ("pressure_drop = \"3 psi\"", "loss = \"3 psi\""),
        ("elevation = \"38 ft\"", "above = \"38 ft\""),
        ("setpoint = \"85 F\"", "hold = \"85 F\""),
        ("minimum_drop = \"60 psi\"", "least_drop = \"60 psi\""),
        ("drop = \"38 ft\"", "fall = \"38 ft\""),
        ("ambient = \"105 F\"", "around = \"105 F\""),
        ("pressure_drop = \"2 psi\"", "loss = \"2 psi\""),
        ("slope = \"with flow\"", "slope = \"level\""),
        ("rise = \"38 ft\"", "up = \"38 ft\""),
    ];
    let mut text = HALL.to_owned();
    for (today, then) in earlier {
        assert_eq!(HALL.matches(today).count(), 1, "{today}");
        text = text.replace(today, then);
    }
    let limits = "[limits]\noil_lift = 1.1\noil_sweep = \"500 fpm\"\nliquid_velocity_least = \"100 fpm\"";
    text = text.replace("[limits]", limits);
    let told = faults(&text);
    for fault in &told {
        assert!(told.corrected(fault).is_some(), "{}", fault.message());
    }
    insta::assert_snapshot!("names_of_earlier_files", told.to_string());
}

/// What a circuit lacks is told at its head: a key, and the tables, each.
#[test]
fn all_that_a_circuit_lacks_is_told_at_once() {
    let text = "[job]\ntitle = \"x\"\n[site]\nsummer = \"95 F\"\nwinter = \"0 F\"\n[[circuit]]\nname = \"A\"\n";
    let told = faults(text).to_string();
    for lacks in ["missing key `refrigerant`", "[circuit.compressors]", "[circuit.liquid]"] {
        assert!(told.contains(lacks), "{lacks}: {told}");
    }
}
