//! Jobs with extreme routes, as text: many runs and few, high and low, crooked, with long and foreign names.

use std::fmt::Write;

/// Names as people give them.
const NAMES: &[&str] = &[
    "1A",
    "Συμπυκνωτής βόρειας ταράτσας",
    "北側屋上の空冷凝縮器",
    "circuit of the northern bottling hall with the very long name",
    "<script>alert(1)</script> ]]> & \\\"quoted\\\"",
];

/// A job by its number: circuits, runs, heights and lengths follow from it.
pub fn job(number: u64) -> String {
    let mut random = fastrand::Rng::with_seed(number);
    let circuits = if number % 10 == 3 { 5 } else { 1 };
    let si = number % 4 == 1;
    let mut text = format!(
        "[job]\ntitle = \"{}\"\nunits = \"{}\"\n[site]\naltitude = \"890 ft\"\nsummer = \"96 F\"\nwinter = \"2 F\"\n\
         [[room]]\nname = \"corridor of the third floor with a long name\"\nvolume = \"9500 ft3\"\noccupied = true\n",
        NAMES[number as usize % NAMES.len()],
        if si { "si" } else { "ip" }
    );
    for index in 0..circuits {
        circuit(&mut text, &mut random, number, index);
    }
    text
}

fn circuit(text: &mut String, random: &mut fastrand::Rng, number: u64, index: usize) {
    let runs = match number % 5 {
        0 => 2,
        1 => 30,
        _ => random.usize(3..14),
    };
    let height = [3.0, 12.0, 38.0, 300.0, -25.0, 0.0][number as usize % 6];
    let length = [6.0, 40.0, 180.0][number as usize % 3];
    let legs = match number % 3 {
        1 => "coils = 2\nlegs = { height = \"3 ft\", tube = \"1-1/8 ACR\" }\n",
        2 => "coils = 5\nlegs = { height = \"6 ft\", tube = \"7/8 ACR\", level = \"4 ft\" }\n",
        _ => "",
    };
    let name = format!("{} {index}", NAMES[(number as usize + index) % NAMES.len()]);
    let _ = write!(
        text,
        r#"
[[circuit]]
name = "{name}"
refrigerant = "R-134a"
[circuit.compressors]
count = 2
minimum = 1
rating = {{ capacity = "20 ton", power = "18 kW", suction = "40 F", condensing = "120 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "330 kBtu/h"
td = "22 F"
pressure_drop = "3 psi"
subcooling = "10 F"
elevation = "{height} ft"
cutout = "250 psig"
head_control = {{ by = "fans", setpoint = "85 F", minimum_air = 0.1 }}
{legs}[circuit.valve]
kind = "thermostatic"
subcooling = "4 F"
minimum_drop = "40 psi"
[circuit.discharge]
tube = "2-1/8 ACR"
route = [
{}]
[circuit.liquid]
tube = "1-1/8 ACR"
route = [
{}]
"#,
        line(random, runs, height, length, true),
        line(random, runs, -height, length, false)
    );
}

/// Runs that climb so much in all.
fn line(random: &mut fastrand::Rng, runs: usize, climb: f64, length: f64, gas: bool) -> String {
    let mut lines = String::new();
    let mut at = 0.0;
    let mut held = false;
    for number in 0..runs {
        let last = number + 1 == runs;
        let left = climb - at;
        let run = match random.u8(0..10) {
            _ if last && left > 0.05 => vertical(random, left, gas),
            _ if last && left < -0.05 => vertical(random, left, gas),
            0..=2 => {
                let by = (random.f64() * climb.abs().max(8.0) * 0.6 * 10.0).round() / 10.0 + 0.5;
                let by = if random.bool() { by } else { -by };
                at += by;
                vertical(random, by, gas)
            }
            3 => {
                let parts = if gas {
                    ["check valve", "muffler", "oil separator", "vibration absorber", "ball valve"]
                } else {
                    ["sight glass", "filter-drier", "solenoid valve", "subcooler", "ball valve"]
                };
                format!("part = \"{}\"", random.choice(parts).unwrap_or("ball valve"))
            }
            4 if !gas && !held => {
                held = true;
                let style = if random.bool() { "surge" } else { "through" };
                format!(
                    "part = \"receiver\", style = \"{style}\", volume = \"2.4 ft3\"{}",
                    if runs.is_multiple_of(2) { ", vented = true" } else { "" }
                )
            }
            kind => {
                let slope = random.choice(["with flow", "none", "against flow"]).unwrap_or("none");
                let more = match kind {
                    5 => format!(", slope = \"{slope}\""),
                    6 => ", insulation = \"1/2 in\", ambient = \"95 F\", room = \"corridor of the third floor with a long name\""
                        .to_owned(),
                    7 => ", ambient = \"outdoor\"".to_owned(),
                    _ => String::new(),
                };
                format!("level = \"{:.1} ft\"{more}", 0.5 + random.f64() * length)
            }
        };
        let _ = writeln!(lines, "  {{ {run} }},");
    }
    lines
}

fn vertical(random: &mut fastrand::Rng, by: f64, gas: bool) -> String {
    if by < 0.0 {
        return format!("drop = \"{:.1} ft\"", -by);
    }
    let trap = match random.u8(0..4) {
        0 if gas => ", trap = \"foot\"".to_owned(),
        1 if gas => ", trap = \"foot and top\"".to_owned(),
        2 if gas && by > 4.0 => format!(", trap = [\"{:.1} ft\"]", by / 2.0),
        _ => String::new(),
    };
    let tube = if random.u8(0..4) == 0 { ", tube = [\"7/8 ACR\", \"1-3/8 ACR\"]" } else { "" };
    format!("rise = \"{by:.1} ft\"{tube}{trap}")
}
