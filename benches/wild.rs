//! How long `check` takes on jobs that fail in many ways at once: `cargo bench --bench wild -- 120` makes 120 jobs of twelve circuits at
//! random (refrigerants, tubes from 5/8 to 3-1/8, lines up to ten times as long, condensers from 40 ft below to 150 ft above, heads that
//! nothing holds, a third or three times the capacity) and tells the longest.
#![expect(clippy::expect_used, reason = "a bench may stop at what should not be")]
use std::fmt::Write;
use std::process::Command;
use std::time::Instant;

/// Name, cut-out and relief setting (psig).
const REFRIGERANTS: [(&str, u32, u32); 11] = [
    ("R-134a", 250, 278),
    ("R-410A", 610, 680),
    ("R-407C", 400, 450),
    ("R-448A", 440, 480),
    ("R-32", 620, 690),
    ("R-22", 380, 450),
    ("R-454B", 600, 680),
    ("R-513A", 260, 290),
    ("R-438A", 380, 450),
    ("R-404A", 430, 480),
    ("R-290", 330, 380),
];

const TUBES: [&str; 9] =
    ["1/2 ACR", "5/8 ACR", "7/8 ACR", "1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "2-5/8 ACR", "3-1/8 ACR"];

fn main() {
    let count: u64 = std::env::args().find_map(|argument| argument.parse().ok()).unwrap_or(40);
    let mut took: Vec<(f64, u64)> = (0..count).map(|seed| (seconds(&job(seed)), seed)).collect();
    took.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |tenths: usize| took.get((took.len() - 1) * tenths / 10).map_or((0.0, 0), |one| *one);
    let over = took.iter().filter(|(seconds, _)| *seconds > 0.3).count();
    println!(
        "{count} jobs of twelve circuits: median {:.3} s, nine of ten {:.3} s, longest {:.3} s (job {}), over 0.3 s: {over}",
        at(5).0,
        at(9).0,
        at(10).0,
        at(10).1
    );
}

/// How long the whole process takes, the quicker of two.
fn seconds(text: &str) -> f64 {
    let file = tempfile::NamedTempFile::new().expect("there is room");
    std::fs::write(file.path(), text).expect("there is room");
    let once = || {
        let start = Instant::now();
        let answer = Command::new(env!("CARGO_BIN_EXE_roofrun"))
            .arg("check")
            .arg(file.path())
            .output()
            .expect("the program runs");
        assert!(answer.status.code() < Some(2), "{}", String::from_utf8_lossy(&answer.stderr));
        start.elapsed().as_secs_f64()
    };
    once().min(once())
}

/// What a plant's circuits have in common, unless each is another.
struct Like {
    refrigerant: usize,
    size: f64,
    tubes: [usize; 2],
    height: f64,
}

fn like(rng: &mut fastrand::Rng) -> Like {
    let heights = [-40.0, -12.0, 3.0, 20.0, 38.0, 80.0, 150.0];
    Like {
        refrigerant: rng.usize(..REFRIGERANTS.len()),
        size: [1.0, 1.0, 1.0, 3.0, 0.33][rng.usize(..5)],
        tubes: [rng.usize(2..9), rng.usize(1..7)],
        height: heights[rng.usize(..heights.len())],
    }
}

fn job(seed: u64) -> String {
    let mut rng = fastrand::Rng::with_seed(seed);
    let longer = [1.0, 1.0, 3.0, 5.0, 10.0][rng.usize(..5)];
    let (all, mixed) = (like(&mut rng), rng.bool());
    let [altitude, summer, winter] =
        [rng.u32(..6000), [96, 105, 115, 125][rng.usize(..4)], [40, 30, 10, 2, 0][rng.usize(..5)]];
    let mut text = format!(
        r#"[job]
title = "Wild {seed}"
units = "ip"
[site]
altitude = "{altitude} ft"
summer = "{summer} F"
winter = "{winter} F"
recirculation = "3 F"
"#
    );
    for number in 0..12 {
        let own = like(&mut rng);
        circuit(&mut text, number, if mixed { &own } else { &all }, longer, &mut rng);
    }
    text
}

fn circuit(text: &mut String, number: u32, like: &Like, longer: f64, rng: &mut fastrand::Rng) {
    let (name, cutout, relief) = REFRIGERANTS[like.refrigerant];
    let [discharge, liquid] = like.tubes.map(|tube| TUBES[tube]);
    let tons = (24.0 + 0.3 * f64::from(number)) * like.size;
    let (power, rejection) = (1.05 * tons, tons * if rng.f64() < 0.8 { 16.15 } else { 9.7 });
    let times = longer * (0.7 + 0.6 * rng.f64());
    let [plant, roof] = [12.0 * times, 20.0 * times];
    let (up, down) = if like.height > 0.0 { ("rise", "drop") } else { ("drop", "rise") };
    let (height, elevation) = (like.height.abs(), like.height);
    let minimum = if cutout < 300 { 40 } else { 60 };
    let [indoors, below] = [80, 80].map(|least| least + rng.u32(..30));
    let control = [
        "head_control = { by = \"fans\", setpoint = \"80 F\", minimum_air = 0.05 }",
        "head_control = { by = \"flooding\", setpoint = \"80 F\" }",
        "",
    ][rng.usize(..3)];
    let receiver = [
        "{ part = \"receiver\", style = \"surge\", volume = \"3 ft3\" },",
        "{ part = \"receiver\", style = \"through\", volume = \"3 ft3\" },",
        "",
    ][rng.usize(..3)];
    let _ = write!(
        text,
        r#"
[[circuit]]
name = "{number}"
refrigerant = "{name}"
relief_valve = {{ setting = "{relief} psig", capacity = "15 lb/min" }}
[circuit.compressors]
count = 2
minimum = 1
rating = {{ capacity = "{tons:.3} ton", power = "{power:.3} kW", suction = "38 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "44 F"
approach = "6 F"
superheat = "10 F"
volume = "0.9 ft3"
[circuit.condenser]
rejection = "{rejection:.3} MBH"
td = "22 F"
pressure_drop = "2 psi"
subcooling = "10 F"
elevation = "{elevation} ft"
volume = "1.4 ft3"
cutout = "{cutout} psig"
{control}
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
minimum_drop = "{minimum} psi"
[circuit.discharge]
tube = "{discharge}"
route = [
  {{ level = "{plant:.2} ft", fittings = {{ long-elbow = 2 }}, slope = "with flow", ambient = "{indoors} F" }},
  {{ {up} = "{height} ft", fittings = {{ long-elbow = 1 }} }},
  {{ level = "{roof:.2} ft", fittings = {{ long-elbow = 3 }}, ambient = "outdoor" }},
  {{ part = "check valve", pressure_drop = "0.5 psi" }},
]
[circuit.liquid]
tube = "{liquid}"
route = [
  {receiver}
  {{ level = "{roof:.2} ft", fittings = {{ long-elbow = 3 }}, ambient = "outdoor" }},
  {{ {down} = "{height} ft", fittings = {{ long-elbow = 1 }} }},
  {{ level = "{plant:.2} ft", fittings = {{ long-elbow = 2 }}, ambient = "{below} F" }},
  {{ part = "filter-drier", pressure_drop = "1.5 psi" }},
  {{ part = "solenoid valve", kv = 9 }},
  {{ part = "sight glass" }},
]
"#
    );
}
