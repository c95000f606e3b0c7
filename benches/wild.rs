//! How long `check` takes on jobs that fail in many ways at once: `cargo bench --bench wild -- 120` makes 120 jobs of twelve circuits at
//! random (refrigerants, tubes from 5/8 to 3-1/8, lines up to ten times as long, condensers from 40 ft below to 150 ft above, heads that
//! nothing holds, a third or three times the capacity) and tells the longest.
#![expect(clippy::expect_used, reason = "a bench may stop at what should not be")]
use std::process::Command;
use std::time::Instant;

mod jobs;

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
    capacity: f64,
    tubes: [usize; 2],
    height: f64,
}

fn one_of<T: Copy>(rng: &mut fastrand::Rng, all: &[T]) -> T {
    all[rng.usize(..all.len())]
}

fn like(rng: &mut fastrand::Rng) -> Like {
    Like {
        refrigerant: rng.usize(..REFRIGERANTS.len()),
        capacity: one_of(rng, &[1.0, 1.0, 1.0, 3.0, 0.33]),
        tubes: [rng.usize(2..9), rng.usize(1..7)],
        height: one_of(rng, &[-1.2, -0.4, 0.1, 0.6, 1.0, 2.4, 4.5]),
    }
}

fn job(seed: u64) -> String {
    let mut rng = fastrand::Rng::with_seed(seed);
    let longer = one_of(&mut rng, &[1.0, 1.0, 3.0, 5.0, 10.0]);
    let (all, mixed) = (like(&mut rng), rng.bool());
    let site = [rng.u32(..6000), one_of(&mut rng, &[96, 105, 115, 125]), one_of(&mut rng, &[40, 30, 10, 2, 0])];
    let site = site.map(|number| number.to_string());
    let mut text = jobs::passing(0);
    for (written, other) in [("890 ft", " ft"), ("96 F", " F"), ("2 F", " F")].into_iter().zip(&site) {
        text = text.replace(&format!("\"{}\"", written.0), &format!("\"{other}{}\"", written.1));
    }
    for number in 0..12 {
        let own = like(&mut rng);
        text += &circuit(number, if mixed { &own } else { &all }, longer, &mut rng);
    }
    text
}

/// A circuit that passes, drawn otherwise.
fn circuit(number: u32, like: &Like, longer: f64, rng: &mut fastrand::Rng) -> String {
    let (name, cutout, relief) = REFRIGERANTS[like.refrigerant];
    let [discharge, liquid] = like.tubes.map(|tube| TUBES[tube]);
    let length = longer * (0.7 + 0.6 * rng.f64());
    let scale = jobs::Scale { capacity: like.capacity, length, height: like.height };
    let control = one_of(
        rng,
        &[
            r#"by = "fans", setpoint = "80 F", minimum_air = 0.05"#,
            r#"by = "flooding", setpoint = "80 F""#,
            r#"by = "none""#,
        ],
    );
    let receiver = one_of(rng, &["surge", "through", ""]);
    let text = jobs::circuit(number, &scale)
        .replace("R-134a", name)
        .replace("250 psig", &format!("{cutout} psig"))
        .replace("278 psig", &format!("{relief} psig"))
        .replace("2-1/8 ACR", discharge)
        .replace("1-3/8 ACR", liquid)
        .replace(r#"by = "fans", setpoint = "80 F", minimum_air = 0.05"#, control);
    let drawn = |line: &&str| !(receiver.is_empty() && line.contains("\"receiver\""));
    text.replace("surge", receiver).lines().filter(drawn).flat_map(|line| [line, "\n"]).collect()
}
