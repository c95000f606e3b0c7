//! The take-off of small jobs against a count by hand, and what every take-off keeps.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use approx::assert_relative_eq;
use roofrun::job::{self, Job};
use roofrun::survey::survey;
use roofrun::takeoff::{FittingRow, TakeOff, TakeOffFault};
use std::path::Path;
use unicode_width::UnicodeWidthStr;

const FOOT: f64 = 0.3048;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;

/// What stands before and after the two lines of a job.
fn text_of(tubes: &str, copies: u32, condenser: &str, discharge: &str, liquid: &str) -> String {
    format!(
        r#"
[job]
title = "Counted by hand"
[site]
altitude = "0 ft"
summer = "95 F"
winter = "20 F"
{tubes}
[[circuit]]
name = "A"
refrigerant = "R-410A"
copies = {copies}
[circuit.compressors]
count = 2
rating = {{ capacity = "10 ton", power = "10.5 kW", suction = "40 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "165 MBH"
td = "24 F"
subcooling = "8 F"
elevation = "24 ft"
cutout = "600 psig"
{condenser}
[circuit.valve]
kind = "electronic"
subcooling = "2 F"
[circuit.discharge]
{discharge}
[circuit.liquid]
{liquid}
"#
    )
}

fn read(text: &str) -> Job {
    job::read("hand.toml", text, Path::new(".")).map_err(|faults| faults.to_string()).unwrap()
}

/// A job with everything that is counted, twice.
fn by_hand(copies: u32) -> Job {
    read(&text_of(
        "",
        copies,
        "",
        r#"tube = "1-3/8 ACR"
route = [
  { level = "25 ft", fittings = { long-elbow = 2 } },
  { rise = "24 ft", tube = ["7/8 ACR", "1-1/8 ACR"], trap = "foot and top", fittings = { elbow = 1, tee-branch = 1 } },
  { level = "10 ft", fittings = { long-elbow = 1, reducer = 1 } },
  { part = "check valve" },
]"#,
        r#"tube = "7/8 ACR"
route = [
  { part = "receiver", style = "surge", volume = "1 ft3" },
  { drop = "24 ft", fittings = { elbow = 1 } },
  { level = "41 ft", fittings = { street-elbow = 2 }, insulation = "1/2 in" },
  { level = "19 ft", tube = "5/8 ACR" },
  { part = "solenoid valve", kv = 3 },
]"#,
    ))
}

/// The simplest liquid line.
const LIQUID: &str = "tube = \"7/8 ACR\"\nroute = [{ drop = \"24 ft\" }]";

fn fitting<'a>(list: &'a TakeOff, kind: &str, size: &str) -> &'a FittingRow {
    list.fittings.iter().find(|row| row.kind == kind && row.size == size).unwrap()
}

/// Kind, size and count of every row.
fn fittings(list: &TakeOff) -> Vec<(&str, &str, u64)> {
    list.fittings.iter().map(|row| (row.kind.as_str(), row.size.as_str(), row.count)).collect()
}

#[test]
fn tube_by_hand() {
    let list = TakeOff::new(&by_hand(2), None, None).unwrap();
    assert_eq!(list.circuits, 2);
    assert_relative_eq!(list.allowance.share, 0.1);
    // Each of two copies has, in ft: 5/8: 19. 7/8: 24 of the double riser, 24 down, 41 level: 89. 1-1/8: 24 of the
    // double riser. 1-3/8: 25 and 10.
    // To order a tenth more: 41.8, 195.8, 52.8, 77 ft, in lengths of 20 ft: 3, 10, 3, 4.
    let expected = [("5/8 ACR", 38.0, 3), ("7/8 ACR", 178.0, 10), ("1-1/8 ACR", 48.0, 3), ("1-3/8 ACR", 70.0, 4)];
    assert_eq!(list.tube.len(), expected.len());
    for (row, (size, drawn, lengths)) in list.tube.iter().zip(expected) {
        assert_eq!((row.size.as_str(), row.material, row.straight_lengths), (size, "copper", lengths));
        assert_relative_eq!(row.drawn_m, drawn * FOOT, max_relative = 1e-12);
        assert_relative_eq!(row.to_order_m, 1.1 * drawn * FOOT, max_relative = 1e-12);
    }
    // By the weights that the trade's tables print, lb/ft: 0.285, 0.455, 0.655, 0.884.
    let pounds = 0.285 * 38.0 + 0.455 * 178.0 + 0.655 * 48.0 + 0.884 * 70.0;
    assert_relative_eq!(list.metal.copper_drawn_kg, pounds * 0.453_592_37, max_relative = 2e-3);
    assert_relative_eq!(list.metal.copper_to_order_kg, 1.1 * list.metal.copper_drawn_kg, max_relative = 1e-12);
    assert!(list.metal.steel_drawn_kg == 0.0 && list.metal.own_drawn_kg == 0.0);
}

#[test]
fn fittings_by_hand() {
    let list = TakeOff::new(&by_hand(2), None, None).unwrap();
    // Each copy:
    // 7/8: an elbow in the riser and one in the fall; a trap and a loop of three each in the riser: 8.
    // 1-1/8: an elbow, and six of trap and loop: 7.
    // 1-3/8: long elbows 2 + 1.
    // 7/8: two street elbows.
    // Tees: the riser parts at the tee that is drawn on it, in its larger tube; where it meets again none is left: one
    // more in the single tube.
    // Reducers: where the riser parts, one to each of its tubes; where it meets, the same, of which one is drawn. In
    // the liquid line from 7/8 to 5/8, and back to the solenoid valve, which has the line's tube.
    // Couplings: 25 ft of 1-3/8: 1. 24 ft of riser: 1 in each tube. 24 + 41 ft of 7/8 without a change: 4 lengths, 3.
    let expected = [
        ("90 degree elbow, standard", "7/8 ACR", 16),
        ("90 degree elbow, standard", "1-1/8 ACR", 14),
        ("90 degree elbow, long radius", "1-3/8 ACR", 6),
        ("90 degree elbow, street", "7/8 ACR", 4),
        ("tee", "1-1/8 ACR", 2),
        ("tee", "1-3/8 ACR", 2),
        ("reducer", "7/8 ACR to 5/8 ACR", 4),
        ("reducer", "1-3/8 ACR to 7/8 ACR", 4),
        ("reducer", "1-3/8 ACR to 1-1/8 ACR", 4),
        ("coupling", "7/8 ACR", 8),
        ("coupling", "1-1/8 ACR", 2),
        ("coupling", "1-3/8 ACR", 2),
    ];
    assert_eq!(fittings(&list), expected);
    let elbows = fitting(&list, "90 degree elbow, standard", "7/8 ACR");
    assert_eq!((elbows.drawn, elbows.of_traps, elbows.added), (4, 12, 0));
    let reducers = fitting(&list, "reducer", "1-3/8 ACR to 7/8 ACR");
    assert_eq!((reducers.drawn, reducers.of_traps, reducers.added), (2, 0, 2));
    assert_eq!(fitting(&list, "tee", "1-1/8 ACR").drawn, 2);
    assert_eq!(fitting(&list, "tee", "1-3/8 ACR").added, 2);
    let traps: Vec<_> = list.traps.iter().map(|row| (row.kind, row.size.as_str(), row.count, row.elbows)).collect();
    let both = ["7/8 ACR", "1-1/8 ACR"].map(|size| [("trap", size, 2, 6), ("loop", size, 2, 6)]);
    assert_eq!(traps, both.concat());
}

#[test]
fn parts_insulation_and_hangers_by_hand() {
    let list = TakeOff::new(&by_hand(2), None, None).unwrap();
    let parts: Vec<_> = list.parts.iter().map(|row| (row.kind.as_str(), row.size.as_str(), row.count)).collect();
    let expected = [("check valve", "1-3/8 ACR", 2), ("receiver", "7/8 ACR", 2), ("solenoid valve", "7/8 ACR", 2)];
    assert_eq!(parts, expected);
    assert_eq!(list.parts[1].style, Some("surge"));
    assert_relative_eq!(list.parts[1].volume_m3.unwrap(), CUBIC_FOOT, max_relative = 1e-12);
    assert_eq!(list.parts[2].kv, Some(3.0));

    // 41 ft of 7/8, twice.
    assert_eq!(list.insulation.len(), 1);
    assert_eq!(list.insulation[0].size, "7/8 ACR");
    assert_relative_eq!(list.insulation[0].thickness_m, 0.0127, max_relative = 1e-12);
    assert_relative_eq!(list.insulation[0].drawn_m, 82.0 * FOOT, max_relative = 1e-12);
    assert_relative_eq!(list.insulation[0].to_order_m, 90.2 * FOOT, max_relative = 1e-12);

    // To 1-1/4 in nominal (1-3/8 outside) 6 ft level and 10 ft upright. Each copy:
    // 5/8: 19/6, so 4. 7/8: level 41/6, so 7; upright 24/10, so 3, in the riser and in the fall.
    // 1-1/8: upright 3. 1-3/8: 25/6, so 5, and 10/6, so 2.
    let hangers: Vec<_> = list.hangers.iter().map(|row| (row.size.as_str(), row.tube, row.count)).collect();
    let expected = [
        ("5/8 ACR", "level", 8),
        ("7/8 ACR", "level", 14),
        ("7/8 ACR", "vertical", 12),
        ("1-1/8 ACR", "vertical", 6),
        ("1-3/8 ACR", "level", 14),
    ];
    assert_eq!(hangers, expected);
}

#[test]
fn joints_and_nitrogen_by_hand() {
    let list = TakeOff::new(&by_hand(2), None, None).unwrap();
    // Each copy (at fittings, between lengths, at parts, at ends):
    // 5/8: the small sides of two reducers: 2, 0, 0, 0.
    // 7/8: 8 elbows 16, 2 street elbows 2, reducers: 2 small sides and 2 large: 22; 4 couplings 8; receiver and
    // solenoid valve 4; the liquid line begins and ends in this size: 2.
    // 1-1/8: 7 elbows 14, a tee 3, 2 small sides of reducers: 19; a coupling 2.
    // 1-3/8: 3 elbows 6, a tee 3, 4 large sides of reducers: 13; a coupling 2; the check valve 2; both ends 2.
    let joints: Vec<_> = list
        .joints
        .iter()
        .map(|row| (row.size.as_str(), [row.at_fittings, row.between_lengths, row.at_parts, row.at_ends], row.count))
        .collect();
    let expected = [
        ("5/8 ACR", [4, 0, 0, 0], 4),
        ("7/8 ACR", [44, 16, 8, 4], 72),
        ("1-1/8 ACR", [38, 4, 0, 0], 42),
        ("1-3/8 ACR", [26, 4, 4, 4], 38),
    ];
    assert_eq!(joints, expected);
    assert!(list.joints.iter().all(|row| row.kind == "brazed"));

    // Bores 0.545, 0.785, 1.025, 1.265 in: pi/4 (0.297025 x 38 + 0.616225 x 178 + 1.050625 x 48 + 1.600225 x 70) / 144
    // = pi/4 x 283.42075 / 144 = 1.54582 ft3.
    assert_relative_eq!(list.nitrogen.inside_m3 / CUBIC_FOOT, 1.545_82, max_relative = 1e-5);
    assert_relative_eq!(list.nitrogen.sweep_m3 / CUBIC_FOOT, 5.0 * 1.545_82, max_relative = 1e-5);
    // 156 joints of 5 min at 5 ft3/h.
    assert_relative_eq!(list.nitrogen.brazing_m3 / CUBIC_FOOT, 65.0, max_relative = 1e-6);
    // The strength test, less than 1.1 times 600 psig for the weakest tube, in gas of 14.696 psi.
    let tested = list.tests[0].strength_test_gauge_Pa / 6_894.757_293;
    assert!(
        tested < 660.0
            && Some(tested) == list.tests[0].weakest.as_ref().map(|tube| tube.rated_gauge_Pa / 6_894.757_293)
    );
    assert_relative_eq!(list.nitrogen.test_m3.unwrap() / CUBIC_FOOT, 1.545_82 * tested / 14.696, max_relative = 1e-4);
}

#[test]
fn copies_count_as_often_as_they_are_there() {
    let (one, three) = (TakeOff::new(&by_hand(1), None, None).unwrap(), TakeOff::new(&by_hand(3), None, None).unwrap());
    assert_eq!(three.circuits, 3);
    for (a, b) in one.tube.iter().zip(&three.tube) {
        assert_relative_eq!(3.0 * a.drawn_m, b.drawn_m, max_relative = 1e-12);
    }
    let times = |rows: Vec<u64>| rows.into_iter().map(|count| 3 * count).collect::<Vec<_>>();
    let counts = |list: &TakeOff| {
        let mut counts: Vec<u64> = list.fittings.iter().map(|row| row.count).collect();
        counts.extend(list.parts.iter().map(|row| row.count));
        counts.extend(list.hangers.iter().map(|row| row.count));
        counts.extend(list.joints.iter().map(|row| row.count));
        counts
    };
    assert_eq!(times(counts(&one)), counts(&three));
}

#[test]
fn couplings_do_not_care_how_a_length_is_written() {
    let couplings = |route: &str| {
        let discharge = format!("tube = \"7/8 ACR\"\nroute = [{{ rise = \"24 ft\" }}, {route}]");
        let list = TakeOff::new(&read(&text_of("", 1, "", &discharge, LIQUID)), None, None).unwrap();
        fitting(&list, "coupling", "7/8 ACR").count
    };
    // 24 + 36 = 60 ft: 3 lengths exactly, 2 couplings; one more in the 24 ft of the liquid line.
    assert_eq!(couplings("{ level = \"36 ft\" }"), 3);
    assert_eq!(couplings("{ level = \"12 ft\" }, { level = \"24 ft\" }"), 3);
    // A part ends a length: 24 ft and 36 ft, 1 + 1, and the one of the liquid line.
    assert_eq!(couplings("{ part = \"check valve\" }, { level = \"36 ft\" }"), 3);
    assert_eq!(couplings("{ level = \"36.1 ft\" }"), 4);
}

#[test]
fn steel_is_welded_and_takes_no_couplings() {
    let discharge = r#"tube = "2 Sch40"
route = [
  { rise = "24 ft", fittings = { long-elbow = 1 } },
  { level = "42 ft", tube = "2-1/8 ACR" },
]"#;
    let list = TakeOff::new(&read(&text_of("", 1, "", discharge, LIQUID)), None, None).unwrap();
    let steel = list.joints.iter().find(|row| row.size == "2 Sch40").unwrap();
    // An elbow 2, the transition to copper 1; 24 ft are two lengths of 21 ft: 1; one end.
    let counts = (steel.kind, steel.at_fittings, steel.between_lengths, steel.at_ends);
    assert_eq!(counts, ("welded", 3, 1, 1));
    assert_eq!(fitting(&list, "transition", "2 Sch40 to 2-1/8 ACR").added, 1);
    assert!(!list.fittings.iter().any(|row| row.kind == "coupling" && row.size == "2 Sch40"));
    assert_eq!(list.tube.last().unwrap().material, "steel");
    // 3.66 lb/ft is the printed mass of 2 in schedule 40.
    assert_relative_eq!(list.metal.steel_drawn_kg, 24.0 * 3.66 * 0.453_592_37, max_relative = 2e-3);
    // To 2 in and over 12 ft level, 15 ft upright: 24/15 is 2.
    let hangers = list.hangers.iter().find(|row| row.size == "2 Sch40").unwrap();
    assert_eq!((hangers.tube, hangers.count), ("vertical", 2));
}

#[test]
fn a_change_of_wall_alone_takes_a_coupling() {
    let discharge = r#"tube = "7/8 ACR"
route = [{ rise = "24 ft" }, { level = "10 ft", tube = "7/8 K" }]"#;
    let list = TakeOff::new(&read(&text_of("", 1, "", discharge, LIQUID)), None, None).unwrap();
    assert_eq!(fitting(&list, "coupling", "7/8 ACR to 7/8 OD K").added, 1);
    assert!(list.fittings.iter().all(|row| row.kind == "coupling"));
}

#[test]
fn reducers_that_nothing_needs_stay_as_drawn() {
    let discharge = r#"tube = "7/8 ACR"
route = [{ rise = "24 ft", fittings = { reducer = 2 } }]"#;
    let list = TakeOff::new(&read(&text_of("", 1, "", discharge, LIQUID)), None, None).unwrap();
    let reducers = fitting(&list, "reducer", "7/8 ACR");
    assert_eq!((reducers.drawn, reducers.added), (2, 0));
    // Two joints each, and none else at fittings.
    assert_eq!(list.joints[0].at_fittings, 4);
}

#[test]
fn drop_legs_are_tube_too() {
    let condenser = r#"coils = 3
legs = { height = "4 ft", tube = "5/8 ACR", level = "2 ft", fittings = { elbow = 1 } }"#;
    let discharge = "tube = \"7/8 ACR\"\nroute = [{ rise = \"24 ft\" }]";
    let list = TakeOff::new(&read(&text_of("", 1, condenser, discharge, LIQUID)), None, None).unwrap();
    // Three legs of 4 + 2 ft, each with an elbow; two tees in the liquid line's tube and a reducer to each leg.
    assert_relative_eq!(list.tube[0].drawn_m, 18.0 * FOOT, max_relative = 1e-12);
    assert_eq!(fitting(&list, "90 degree elbow, standard", "5/8 ACR").drawn, 3);
    assert_eq!(fitting(&list, "tee", "7/8 ACR").added, 2);
    assert_eq!(fitting(&list, "reducer", "7/8 ACR to 5/8 ACR").added, 3);
    // An end at each coil.
    assert_eq!(list.joints[0].at_ends, 3);
    assert!(list.notes.iter().any(|note| note.contains("parts to its coils")), "{:?}", list.notes);
}

#[test]
fn the_allowance_can_be_set_within_its_range() {
    let job = by_hand(1);
    let list = TakeOff::new(&job, None, Some(0.0)).unwrap();
    assert_relative_eq!(list.tube[0].to_order_m, list.tube[0].drawn_m);
    // 19 ft are one length, not two by rounding.
    assert_eq!(list.tube[0].straight_lengths, 1);
    assert_eq!(list.allowance.source, "user");
    assert_relative_eq!(TakeOff::new(&job, None, Some(1.0)).unwrap().tube[0].to_order_m, 38.0 * FOOT);
    for share in [-0.01, 1.01, f64::NAN, f64::INFINITY] {
        assert!(matches!(TakeOff::new(&job, None, Some(share)), Err(TakeOffFault::Allowance { .. })), "{share}");
    }
    let fault = TakeOff::new(&job, None, Some(1.1)).unwrap_err();
    assert_eq!(fault.to_string(), "an allowance of 110 % over the drawn length: it is from 0 to 100 %");
}

#[test]
fn open_tube_is_sent_to_size() {
    let text = text_of(
        "",
        1,
        "",
        "tube = \"auto\"\nroute = [{ rise = \"24 ft\" }, { level = \"9 ft\", tube = \"7/8 ACR\" }]",
        "tube = \"auto\"\nroute = [{ drop = \"24 ft\" }]",
    );
    let job = job::read_open("hand.toml", &text, Path::new(".")).unwrap();
    assert_eq!(
        TakeOff::new(&job, None, None).unwrap_err().to_string(),
        "hand.toml: a take-off needs every size, and the tube is left open in circuit A discharge run 1, circuit A \
         liquid run 1; run `roofrun size hand.toml` first"
    );
}

#[test]
fn own_tube_is_counted_as_copper_and_said_so() {
    let tube = "[[tube]]\nname = \"=1+1\"\noutside = \"1 in\"\nwall = \"0.1 in\"\n";
    let discharge = "tube = \"=1+1\"\nroute = [{ rise = \"24 ft\" }]";
    let list = TakeOff::new(&read(&text_of(tube, 1, "", discharge, LIQUID)), None, None).unwrap();
    let own = list.tube.iter().find(|row| row.size == "=1+1").unwrap();
    assert_eq!(own.material, "own");
    // pi x 0.9 x 0.1 in2 x 24 ft at 0.323 lb/in3.
    let pounds = std::f64::consts::PI * 0.09 * 24.0 * 12.0 * 0.323;
    assert_relative_eq!(list.metal.own_drawn_kg, pounds * 0.453_592_37, max_relative = 1e-6);
    assert!(list.notes.iter().any(|note| note.starts_with("=1+1 is the job's own tube")));
    // No cell may become a formula.
    let csv = list.csv().unwrap();
    assert!(csv.contains(",'=1+1,"), "{csv}");
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    for record in reader.records() {
        assert!(record.unwrap().iter().all(|cell| !cell.starts_with(['=', '+', '-', '@'])));
    }
}

#[test]
fn the_spreadsheet_holds_what_the_list_holds() {
    let job = by_hand(2);
    let solved = survey(&job).unwrap();
    let list = TakeOff::new(&job, Some(&solved), None).unwrap();
    let csv = list.csv().unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let expected = "category item size count drawn_ft to_order_ft outside_in thickness_in spacing_ft mass_lb volume_ft3 \
                    remark";
    assert_eq!(heads, expected.split_whitespace().collect::<Vec<_>>());
    let column = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let rows = [
        ("tube", list.tube.len()),
        ("fitting", list.fittings.len()),
        ("part", list.parts.len()),
        ("insulation", list.insulation.len()),
        ("hanger", list.hangers.len()),
        ("joint", list.joints.len()),
        ("gas", 3),
        ("refrigerant", 1),
    ];
    for (category, count) in rows {
        assert_eq!(records.iter().filter(|record| &record[0] == category).count(), count, "{category}");
    }
    assert_eq!(records.len(), rows.iter().map(|row| row.1).sum::<usize>());
    let number = |record: &csv::StringRecord, name: &str| record[column(name)].parse::<f64>().unwrap();
    for (record, row) in records.iter().zip(&list.tube) {
        assert_eq!(&record[column("size")], row.size);
        assert_relative_eq!(number(record, "drawn_ft"), row.drawn_m / FOOT, epsilon = 0.05);
        assert_relative_eq!(number(record, "to_order_ft"), row.to_order_m / FOOT, epsilon = 0.050_001);
        assert_relative_eq!(number(record, "mass_lb"), row.to_order_kg / 0.453_592_37, max_relative = 5e-3);
    }
    // Every cell of a numeric column is empty or a plain number, with a point and no thousands.
    for record in &records {
        for cell in record.iter().take(11).skip(3) {
            assert!(cell.is_empty() || cell.parse::<f64>().is_ok_and(f64::is_finite), "{cell}");
        }
    }
    assert!(csv.is_ascii() && !csv.contains("nan"));
}

/// No number of an answer is missing: JSON writes null for what is not finite.
fn all_finite(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::Null => false,
        serde_json::Value::Array(items) => items.iter().all(all_finite),
        serde_json::Value::Object(fields) => fields.values().all(all_finite),
        _ => true,
    }
}

#[test]
fn json_is_format_one_in_si() {
    let job = by_hand(2);
    let solved = survey(&job).unwrap();
    let list = TakeOff::new(&job, Some(&solved), None).unwrap();
    let answer: serde_json::Value = serde_json::from_str(&list.json().unwrap()).unwrap();
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["tool"], concat!("roofrun ", env!("CARGO_PKG_VERSION")));
    assert_eq!(answer["job"]["title"], "Counted by hand");
    assert_relative_eq!(answer["tube"][0]["drawn_m"].as_f64().unwrap(), 38.0 * FOOT, max_relative = 1e-12);
    assert_eq!(answer["fittings"].as_array().unwrap().len(), list.fittings.len());
    // The charge of the circuit as solved, twice.
    let charge = solved.circuits[0].charge.as_ref().unwrap().total_kg;
    assert_relative_eq!(answer["refrigerant"][0]["charge_kg"].as_f64().unwrap(), 2.0 * charge, max_relative = 1e-12);
    assert!(answer["refrigerant"][0]["decides"].as_str().unwrap().contains("ASHRAE Standard 15"));
    for rule in answer["counted_by"].as_array().unwrap() {
        assert!(!answer[rule["what"].as_str().unwrap()].is_null(), "{rule}");
        assert!(roofrun::refdata::source(rule["source"].as_str().unwrap()).is_some(), "{rule}");
    }
    assert!(all_finite(&answer));
}

#[test]
fn without_a_solution_the_refrigerant_is_left_out_and_said_so() {
    let list = TakeOff::new(&by_hand(1), None, None).unwrap();
    assert!(list.refrigerant.is_empty());
    assert!(list.notes.iter().any(|note| note == "Refrigerant is not counted: the job was not solved."));
    assert!(!list.csv().unwrap().contains("refrigerant"));
}

/// The example jobs, in order.
fn examples() -> Vec<(String, Job)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    assert!(files.len() >= 6);
    files
        .iter()
        .map(|file| {
            let stem = file.file_stem().unwrap().to_str().unwrap().to_owned();
            let text = std::fs::read_to_string(file).unwrap();
            let job = job::read(&format!("examples/{stem}.toml"), &text, file.parent().unwrap());
            (stem, job.map_err(|faults| faults.to_string()).unwrap())
        })
        .collect()
}

#[test]
fn every_example_has_its_list() {
    for (stem, job) in examples() {
        let solved = survey(&job).unwrap();
        let list = TakeOff::new(&job, Some(&solved), None).unwrap();
        let text = list.text(100);
        insta::assert_snapshot!(format!("{stem}_text"), anstream::adapter::strip_str(&text).to_string());
        insta::assert_snapshot!(format!("{stem}_csv"), list.csv().unwrap());
    }
}

#[test]
fn no_line_is_longer_than_the_width() {
    let mut jobs = examples();
    jobs.push(("by hand".to_owned(), by_hand(2)));
    for (stem, job) in jobs {
        let list = TakeOff::new(&job, None, None).unwrap();
        for width in [60, 72, 80, 100, 140] {
            let text = anstream::adapter::strip_str(&list.text(width)).to_string();
            for line in text.lines() {
                assert!(line.width() <= width, "{stem} at {width}: {line}");
                assert_eq!(line, line.trim_end(), "{stem} at {width}: blanks at the end");
            }
        }
    }
}

#[test]
fn on_the_command_line() {
    let run = |arguments: &[&str]| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_roofrun"));
        let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("take-off").args(arguments).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
    };
    let job = "examples/plant-of-twelve.toml";
    let (status, text, _) = run(&[job]);
    assert!(status == 0 && text.starts_with("Bottling hall, cooling plant of twelve circuits"), "{text}");
    let (status, csv, _) = run(&[job, "--format", "csv", "--allowance", "15 %"]);
    assert!(status == 0 && csv.starts_with("category,item,size,count,drawn_ft,to_order_ft,"), "{csv}");
    // 156 ft of 7/8 and 15 %.
    assert!(csv.contains("tube,copper tube,7/8 ACR,9,156.0,179.4,"), "{csv}");
    let (status, json, _) = run(&[job, "--format", "json"]);
    assert!(status == 0 && json.starts_with("{\n  \"format\": 1,"), "{json}");

    let (status, out, err) = run(&[job, "--allowance=-3"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert_eq!(err, "roofrun: an allowance of -3 % over the drawn length: it is from 0 to 100 %\n");
    let (status, out, err) = run(&[job, "--allowance", "much"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("a percentage, such as 10"), "{err}");

    let folder = tempfile::tempdir().unwrap();
    let open = folder.path().join("open.toml");
    let text = text_of("", 1, "", "tube = \"auto\"\nroute = [{ rise = \"24 ft\" }]", LIQUID);
    std::fs::write(&open, text).unwrap();
    let (status, out, err) = run(&[open.to_str().unwrap()]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("the tube is left open") && err.contains("roofrun size"), "{err}");
}

/// Two tubes all the way, with a part between.
fn in_parallel(condenser: &str) -> Job {
    read(&text_of(
        "",
        1,
        condenser,
        r#"tube = "1-1/8 ACR"
route = [
  { level = "10 ft", tube = ["1-1/8 ACR", "1-1/8 ACR"] },
  { part = "check valve" },
  { rise = "24 ft", tube = ["1-1/8 ACR", "1-1/8 ACR"] },
]"#,
        LIQUID,
    ))
}

#[test]
fn parallel_tubes_meet_in_headers_and_their_check_valve_has_the_headers_size() {
    let list = TakeOff::new(&in_parallel(""), None, None).unwrap();
    // Two bores of 1.025 in have the section of one of 1.450 in: 1-5/8 ACR, 1.505 in.
    let valve: Vec<(&str, &str)> = list.parts.iter().map(|row| (row.kind.as_str(), row.size.as_str())).collect();
    assert_eq!(valve, [("check valve", "1-5/8 ACR")]);
    // At both ends and on both sides of the valve a tee of the header's size, with a reducer to each tube.
    assert_eq!(fitting(&list, "tee", "1-5/8 ACR").count, 4);
    assert_eq!(fitting(&list, "reducer", "1-5/8 ACR to 1-1/8 ACR").count, 8);
    let ends: u64 = list.joints.iter().filter(|row| row.size == "1-5/8 ACR").map(|row| row.at_ends).sum();
    assert_eq!(ends, 2);
    // Two coils take a tube each.
    let coils =
        TakeOff::new(&in_parallel("coils = 2\nlegs = { height = \"4 ft\", tube = \"5/8 ACR\" }"), None, None).unwrap();
    assert_eq!(fitting(&coils, "tee", "1-5/8 ACR").count, 3);
}

#[test]
fn test_pressures_are_never_over_the_weakest_tube() {
    // R-410A with a switch at 600 psig; 1-3/8 ACR of 0.050 in less a tenth, 1.375 in and 0.002: 401 psi at 6000 psi.
    let list = TakeOff::new(&by_hand(1), None, None).unwrap();
    let [row] = &list.tests[..] else { panic!("{:?}", list.tests) };
    let weakest = row.weakest.as_ref().unwrap();
    assert_eq!(weakest.size, "1-3/8 ACR");
    assert_relative_eq!(row.design_gauge_Pa, 600.0 * 6_894.757_293_168_361, max_relative = 1e-9);
    assert!(row.strength_test_gauge_Pa <= weakest.rated_gauge_Pa && row.leak_test_gauge_Pa <= weakest.rated_gauge_Pa);
    assert!(weakest.rated_gauge_Pa < row.design_gauge_Pa);
    // One that holds: 1.1 times the design pressure, and the design pressure.
    let strong = by_hand(1);
    let mut strong = strong;
    strong.circuits[0].design_pressure =
        Some(roofrun::units::Pressure::from_pascals(300.0 * 6_894.757_293 + 101_325.0));
    let list = TakeOff::new(&strong, None, None).unwrap();
    let row = &list.tests[0];
    assert_relative_eq!(row.strength_test_gauge_Pa, 330.0 * 6_894.757_293, max_relative = 1e-6);
    assert_relative_eq!(row.leak_test_gauge_Pa, 300.0 * 6_894.757_293, max_relative = 1e-6);
    let text = list.text(100);
    assert!(text.contains("strength test at 330 psig. Leak test at 300 psig"), "{text}");
    assert!(text.contains("compressors; relief valves") && text.contains("300 micron (40 Pa)"), "{text}");
}
