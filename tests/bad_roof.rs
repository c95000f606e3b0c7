//! What a roof with a mistake is told: each message whole, as it stands on an 80-column terminal, and each corrected line
//! put into the file and read again.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use roofrun::job::{self, Faults, Job, Side, SoundPower};
use std::path::Path;

/// A hall whose one circuit is drawn twice, and its roof.
fn hall() -> String {
    let hall = include_str!("data/hall.toml").replace("copies = 1 ", "copies = 2 ");
    hall + include_str!("data/roof.toml")
}

fn read(text: &str) -> Result<Job, Faults> {
    job::read("hall.toml", text, Path::new("tests/data"))
}

#[test]
fn the_roof_itself_reads() {
    let job = match read(&hall()) {
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
    assert_eq!(first.air_in, [Side::North, Side::South]);
    assert_eq!(first.clearance_m.map(|m| m.map(|m| (foot(m) * 10.0).round())), [Some(60.0), None, Some(60.0), None]);
    assert_eq!(first.controls, Some(Side::East));
    assert_eq!(first.sound, Some(SoundPower::A(94.0)));
    // What the second leaves out is taken and told: the air of its coil among it.
    assert_eq!(second.air_in, Side::ALL);
    assert!((second.air_flow_m3_s.unwrap() - 38_000.0 * 0.3048_f64.powi(3) / 60.0).abs() < 1e-9);
    assert_eq!((second.stands_m, second.air_out, second.weight.is_some()), (0.0, None, false));
    let told: Vec<&str> = job.assumptions.iter().map(|a| a.key.as_str()).filter(|k| k.starts_with("unit C2")).collect();
    let all = ["unit C2.stands", "unit C2.air_out", "unit C2.air_in", "unit C2.air_flow", "unit C2.outlet_velocity"];
    assert_eq!(told, all);
}
