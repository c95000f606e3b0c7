//! What a roof with a mistake is told: each message whole, as it stands on an 80-column terminal, and each corrected line
//! put into the file and read again.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "common/mistakes.rs"]
mod mistakes;

use mistakes::{faults, mistakes, told};
use roofrun::job::{self, Face, SoundPower};
use std::path::Path;

/// A hall whose one circuit is drawn twice, and its roof.
fn hall() -> String {
    let hall = include_str!("data/hall.toml").replace("copies = 1 ", "copies = 2 ");
    hall + include_str!("data/roof.toml")
}

#[test]
fn the_roof_itself_reads() {
    let job = match job::read("hall.toml", &hall(), Path::new("tests/data")) {
        Ok(job) => job,
        Err(faults) => panic!("{faults}"),
    };
    let foot = |si: f64| si / 0.3048;
    let near = |si: f64, feet: f64| assert!((foot(si) - feet).abs() < 1e-9, "{} ft", foot(si));
    let roof = job.roof.unwrap();
    assert_eq!((roof.north_deg, roof.outline.len(), roof.units.len()), (15.0, 4, 2));
    near(roof.height_m.unwrap(), 36.0);
    near(roof.parapet_m, 1.5);
    near(roof.guard_m, 3.5);
    near(roof.listeners[0].at.y_m, -80.0);
    near(roof.crossings[0].height_m, 7.5);
    let [first, second] = &roof.units[..] else { panic!("two units") };
    assert_eq!(first.circuits, [(0, 1)]);
    near(first.at.x_m, 20.0);
    near(first.width_m, 7.5);
    assert_eq!(first.air_in, [Face::North, Face::South]);
    assert_eq!(first.clearance_m.map(|m| m.map(|m| (foot(m) * 10.0).round())), [Some(60.0), None, Some(60.0), None]);
    assert_eq!(first.controls, Some(Face::East));
    assert_eq!(first.sound, Some(SoundPower::A(94.0)));
    // What the second leaves out is taken and told: the air of its coil among it.
    assert_eq!(second.air_in, Face::ALL);
    assert!((second.air_flow_m3_s.unwrap() - 38_000.0 * 0.3048_f64.powi(3) / 60.0).abs() < 1e-9);
    assert_eq!((second.base_height_m, second.air_out, second.weight.is_some()), (0.0, None, false));
    let told: Vec<&str> =
        job.assumptions.iter().map(|a| a.key.as_str()).filter(|k| k.starts_with("roof.unit C2")).collect();
    let all = [
        "roof.unit C2.base_height",
        "roof.unit C2.air_out",
        "roof.unit C2.air_in",
        "roof.unit C2.air_flow",
        "roof.unit C2.outlet_velocity",
    ];
    assert_eq!(told, all);
}

mistakes! {
    &hall();
    unknown_key_of_the_roof: "guard = \"42 in\"" => "gaurd = \"42 in\"";
    key_of_a_unit_in_the_roof: "guard = \"42 in\"" => "controls = \"east\"";
    unknown_key_of_a_unit: "supports = 6" => "suports = 6";
    unknown_key_of_a_wall: "free_area = 0.5" => "free_aera = 0.5";
    unknown_key_of_a_listener: "night_limit = \"45 dBA\"" => "night_limt = \"45 dBA\"";
    unit_without_its_place: "at = [\"20 ft\", \"12 ft\"]\n" => "";
    coordinates_without_units: "at = [\"20 ft\", \"12 ft\"]" => "at = [20, 12]";
    coordinates_of_another_unit: "at = [\"20 ft\", \"12 ft\"]" => "at = [\"20 ft\", \"12 F\"]";
    one_coordinate: "at = [\"20 ft\", \"12 ft\"]" => "at = [\"20 ft\"]";
    three_coordinates: "at = [\"20 ft\", \"12 ft\"]" => "at = [\"20 ft\", \"12 ft\", \"2 ft\"]";
    coordinates_as_one_text: "at = [\"20 ft\", \"12 ft\"]" => "at = \"20 ft, 12 ft\"";
    size_of_nothing: "size = [\"20 ft\", \"7 ft 6 in\"]\nrotation" => "size = [\"20 ft\", \"0 ft\"]\nrotation";
    units_that_overlap: "at = [\"20 ft\", \"32 ft\"]" => "at = [\"20 ft\", \"17 ft\"]";
    units_that_overlap_when_turned: "rotation = 0" => "rotation = 80";
    unit_past_the_edge: "at = [\"20 ft\", \"32 ft\"]" => "at = [\"102 ft\", \"32 ft\"]";
    unit_past_the_edge_and_over_another: "at = [\"20 ft\", \"32 ft\"]" => "at = [\"20 ft\", \"-1 ft\"]\nrotation = 40";
    stands_above_its_top: "base_height = \"2 ft\"" => "base_height = \"8 ft\"";
    unknown_circuit: "circuits = [\"1A\"]\nat = [\"20 ft\", \"12 ft\"]" => "circuits = [\"1B\"]\nat = [\"20 ft\", \"12 ft\"]";
    circuit_more_often_than_drawn: "circuits = [\"1A\"]\nat = [\"20 ft\", \"12 ft\"]" => "circuits = [\"1A\", \"1A\"]\nat = [\"20 ft\", \"12 ft\"]";
    unit_of_no_circuit: "circuits = [\"1A\"]\nat = [\"20 ft\", \"12 ft\"]" => "circuits = []\nat = [\"20 ft\", \"12 ft\"]";
    two_units_of_one_name: "name = \"C2\"" => "name = \"C1\"";
    weight_and_weights: "supports = 6" => "weights = [\"900 lb\", \"800 lb\"]";
    weight_without_supports: "supports = 6\n" => "";
    weights_and_another_count: "weight = \"5200 lb\"" => "weights = [\"900 lb\", \"800 lb\"]";
    octaves_that_are_seven: "sound_power = \"94 dBA\"" => "sound_power = [\"96 dB\", \"95 dB\", \"93 dB\", \"90 dB\", \"88 dB\", \"84 dB\", \"79 dB\"]";
    night_both_ways: "night_sound_power = \"86 dBA\"" => "night_sound_power = \"86 dBA\"\nnight_speed = 0.6";
    night_speed_of_no_sound: "height = \"8 ft\"\n\n[[roof.wall]]" => "height = \"8 ft\"\nnight_speed = 0.6\n\n[[roof.wall]]";
    night_speed_in_per_cent: "night_sound_power = \"86 dBA\"" => "night_speed = 60";
    air_out_where_it_enters: "air_out = \"up\"" => "air_out = \"north\"";
    unknown_side: "air_in = [\"north\", \"south\"]" => "air_in = [\"north\", \"soth\"]";
    one_side_twice: "air_in = [\"north\", \"south\"]" => "air_in = [\"north\", \"north\"]";
    louder_at_night: "night_sound_power = \"86 dBA\"" => "night_sound_power = \"110 dBA\"";
    size_thinner_than_a_sheet: "size = [\"20 ft\", \"7 ft 6 in\"]\nrotation" => "size = [\"20 ft\", \"0.1 in\"]\nrotation";
    wind_of_another_planet: "wind = \"115 mph\"" => "wind = \"900 mph\"";
    table_misspelt_beside_one_that_is_right: "[[roof.wall]]" => "[[roof.listner]]\nname = \"porch\"\n\n[[roof.wall]]";
    volts_between_phases: "guard = \"42 in\"" => "guard = \"42 in\"\nvolts_to_ground = 4160";
    unknown_side_of_the_controls: "controls = \"east\"" => "controls = \"front\"";
    no_air_at_all: "air_in = [\"north\", \"south\"]" => "air_in = []";
    air_below_a_unit_that_lies: "base_height = \"2 ft\"\nair_in = [\"north\", \"south\"]" => "base_height = \"0 ft\"\nair_in = [\"below\"]";
    clearance_of_no_side: "clearance = \"6 ft\"" => "clearance = { north = \"6 ft\", over = \"10 ft\" }";
    one_clearance_for_no_side: "air_in = [\"north\", \"south\"]" => "air_in = [\"below\"]";
    wall_of_no_length: "to = [\"50 ft\", \"20 ft\"]" => "to = [\"50 ft\", \"0 ft\"]";
    wall_through_a_unit: "from = [\"50 ft\", \"0 ft\"]" => "from = [\"20 ft\", \"10 ft\"]";
    wall_open_in_per_cent: "free_area = 0.5" => "free_area = 50";
    wall_open_beyond_its_face: "free_area = 0.5" => "free_area = 1.5";
    warm_air_out_of_a_unit: "at = [\"70 ft\", \"30 ft\"]" => "at = [\"30 ft\", \"35 ft\"]";
    listener_inside_a_unit: "at = [\"60 ft\", \"-80 ft\"]\nheight = \"15 ft\"" => "at = [\"30 ft\", \"15 ft\"]\nheight = \"41 ft\"";
    listener_under_a_unit: "at = [\"60 ft\", \"-80 ft\"]" => "at = [\"30 ft\", \"15 ft\"]";
    listener_under_the_roof: "at = [\"60 ft\", \"-80 ft\"]" => "at = [\"90 ft\", \"30 ft\"]";
    listener_in_a_wall: "at = [\"60 ft\", \"-80 ft\"]\nheight = \"15 ft\"" => "at = [\"50 ft\", \"10 ft\"]\nheight = \"41 ft\"";
    listener_without_a_roof_height: "height = \"36 ft\"\n" => "";
    limit_of_another_kind: "limit = \"55 dBA\"" => "limit = \"55 F\"";
    outline_of_two_corners: ", [\"120 ft\", \"60 ft\"], [\"0 ft\", \"60 ft\"]]" => "]";
    outline_that_crosses_itself: "[\"120 ft\", \"60 ft\"], [\"0 ft\", \"60 ft\"]]" => "[\"0 ft\", \"60 ft\"], [\"120 ft\", \"60 ft\"]]";
    outline_closed_by_hand: "[\"0 ft\", \"60 ft\"]]" => "[\"0 ft\", \"60 ft\"], [\"0 ft\", \"0 ft\"]]";
    outline_with_a_bare_number: "[\"0 ft\", \"60 ft\"]]" => "[0, \"60 ft\"]]";
    parapet_of_no_outline: "outline = [[\"0 ft\", \"0 ft\"], [\"120 ft\", \"0 ft\"], [\"120 ft\", \"60 ft\"], [\"0 ft\", \"60 ft\"]]\n" => "";
    north_in_words: "north = 15 " => "north = \"15 deg\" ";
    unit_in_single_brackets: "[[roof.crossing]]" => "[roof.crossing]";
    roof_twice: "[roof]" => "[[roof]]";
}

/// One unit in the way of two: told of that one.
#[test]
fn one_unit_over_two_others() {
    let third = "[[roof.unit]]\nname = \"C3\"\ncircuits = [\"1A\"]\nat = [\"20 ft\", \"21 ft\"]\nsize = [\"20 ft\", \"10 ft\"]\nheight = \"8 ft\"\n\n";
    let text = hall()
        .replace("copies = 2 ", "copies = 3 ")
        .replace("at = [\"20 ft\", \"32 ft\"]", "at = [\"20 ft\", \"18 ft\"]")
        .replacen("[[roof.unit]]\nname = \"C2\"", &format!("{third}[[roof.unit]]\nname = \"C2\""), 1);
    let faults = faults(&text);
    insta::assert_snapshot!(faults);
}

/// A roof with nothing on it.
#[test]
fn roof_without_a_unit() {
    let whole = hall();
    let (start, end) = (whole.find("[[roof.unit]]").unwrap(), whole.find("[[roof.wall]]").unwrap());
    let faults = faults(&format!("{}{}", &whole[..start], &whole[end..]));
    insta::assert_snapshot!(faults);
}

/// Everything at once, in the order of the file, and nothing twice.
#[test]
fn all_mistakes_of_a_roof_at_once() {
    let text = hall()
        .replace("north = 15 ", "north = 400 ")
        .replace("at = [\"20 ft\", \"32 ft\"]", "at = [\"1 ft\", \"16 ft\"]")
        .replace("free_area = 0.5", "free_area = \"50 ft\"")
        .replace("air_out = \"up\"", "air_out = \"upward\"")
        .replace("height = \"15 ft\"", "height = 15")
        .replace("temperature_rise = \"25 F\"", "temperature_rise = \"25 psi\"")
        .replace("height = \"7 ft 6 in\"", "height = \"7 ft 6\"");
    let faults = faults(&text);
    let lines: Vec<usize> = faults.iter().map(job::Fault::line).collect();
    assert!(lines.is_sorted() && lines.len() == 7, "{lines:?}");
    insta::assert_snapshot!(faults);
}
