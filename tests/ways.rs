//! Ways in which people write a quantity, a size, a fraction, a name: what is read, or what is told. What is read the schema
//! accepts.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use roofrun::job::{self, Job};
use roofrun::units::{Kind, System, quantity};
use std::fmt::Write;
use std::path::Path;

const HALL: &str = include_str!("data/hall.toml");

/// A quantity as read, in SI, or as told.
fn read(kind: Kind, text: &str) -> String {
    match quantity(text, kind, System::Ip, 101_325.0) {
        Ok(value) => format!("{value:.6} {}", kind.si_unit()),
        Err(misread) => {
            let instead = misread.instead.map(|instead| format!("; write {instead}")).unwrap_or_default();
            format!("told: {}{instead}", misread.says)
        }
    }
}

#[test]
fn quantities() {
    let ways: &[(Kind, &[&str])] = &[
        (
            Kind::Pressure,
            &[
                "42 bar(g)",
                "42 bar (g)",
                "42 bar g",
                "42 bar gauge",
                "42 bar(a)",
                "42 bar abs",
                "42 bar",
                "4200 kPa(g)",
                "4200 kPa",
                "4.2 MPa",
                "4.2 MPa (a)",
                "610 psi g",
                "610 PSIG",
                "610 psi",
                "610 lb/in2",
                "4200000 Pa",
                "42",
            ],
        ),
        (Kind::PressureDifference, &["0.2 bar", "20 kPa", "3 psi", "3 psid", "20 kPa(g)"]),
        (Kind::Rating, &["48 bar", "4.8 MPa", "48 bar(a)"]),
        (
            Kind::Length,
            &["38'", "38 ft.", "12' 6 1/2\"", "12 ft 6½ in", "11,6 m", "1160 cm", "-4 ft", "38 feet", "3 1/2 m"],
        ),
        (Kind::Temperature, &["96F", "96 deg F", "35.5 ° C", "96 degrees", "308 K"]),
        (Kind::Heat, &["640 MBH", "640 kBtu/hr", "640,000 Btu/h", "190 kw"]),
    ];
    let mut out = String::new();
    for (kind, texts) in ways {
        for text in *texts {
            writeln!(out, "{kind:?}  {text}  ->  {}", read(*kind, text)).unwrap();
        }
    }
    insta::assert_snapshot!("quantities", out);
}

/// What is read of a job in which one stretch is replaced, or the first that is told of it.
fn of_job(from: &str, to: &str, shown: fn(&Job) -> String) -> String {
    assert_eq!(HALL.matches(from).count(), 1, "`{from}` stands once");
    let text = HALL.replace(from, to);
    match job::read("hall.toml", &text, Path::new("tests/data")) {
        Ok(job) => {
            let value = serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap();
            assert!(jsonschema::is_valid(&job::job_schema(), &value), "the schema accepts {to}");
            shown(&job)
        }
        Err(faults) => {
            let fault = faults.iter().next().unwrap();
            let corrected =
                faults.corrected(fault).map(|line| format!("; corrected: {}", line.trim())).unwrap_or_default();
            let more = if faults.len() > 1 { format!("; and {} more", faults.len() - 1) } else { String::new() };
            format!("told: {}; {}{corrected}{more}", fault.message(), fault.label())
        }
    }
}

#[test]
fn sizes_names_and_places() {
    const RUN: &str = r#"{ drop = "38 ft","#;
    let mut out = String::new();
    let mut table =
        |title: &str, from: &str, to: &dyn Fn(&str) -> String, texts: &[&str], shown: fn(&Job) -> String| {
            for text in texts {
                writeln!(out, "{title}  {text}  ->  {}", of_job(from, &to(text), shown)).unwrap();
            }
        };
    table(
        "tube",
        r#"tube = "1-5/8 ACR""#,
        &|text| format!("tube = '{text}'"),
        &[
            "1 5/8 ACR",
            "1-5/8\" ACR",
            "1⅝ acr",
            "1.625 ACR",
            "1-5/8 in ACR",
            "1 5/8 type L",
            "1-5/8 OD K",
            "1-1/4 Sch 40",
            "1-1/4 L",
            "1 1/4\" type L",
            "2 ACR",
            "1-5/8",
            "54 mm",
            "54 mm K",
            "55 mm",
            "1-5/8 ARC",
            "1-3/8 High-Pressure",
        ],
        |job| job.circuits[0].discharge.runs[0].tubes[0].name.clone(),
    );
    table(
        "refrigerant",
        r#"refrigerant = "R-410A""#,
        &|text| format!("refrigerant = \"{text}\""),
        &["R410A", "R 410A", "r-410a", "410A", "R-410", "R134a"],
        |job| job.circuits[0].refrigerant.clone(),
    );
    table(
        "units",
        r#"units = "ip""#,
        &|text| format!("units = \"{text}\""),
        &["IP", "SI", "Si", "metric", "imperial"],
        |job| format!("{:?}", job.units),
    );
    table(
        "share",
        "share = 0.5 ",
        &|text| format!("share = {text} "),
        &["\"50 %\"", "\"50%\"", "\" 12.5 % \"", "\"150 %\"", "\"half\"", "\"0.5\"", "\"nan %\"", "50"],
        |job| job.points[0].share.to_string(),
    );
    table(
        "limit",
        r#"liquid_velocity = "300 fpm""#,
        &|text| text.to_owned(),
        &["screen_open = \"60 %\"", "screen_open = 0.6", "screen_open = \"160 %\"", "liquid_velocity = \"60 %\""],
        |job| format!("{:?}", job.limits),
    );
    table("table", "[circuit.valve]", &|text| text.to_owned(), &["[valve]", "[ valve ]", "[circuit. valve]"], |job| {
        format!("{:?}", job.circuits[0].valve.kind)
    });
    table("table", "[circuit.condenser]", &|text| text.to_owned(), &["[condenser]"], |_| "read".to_owned());
    table("table", "[plant]", &|text| format!("[{text}]\n[plant]"), &["discharge"], |_| "read".to_owned());
    table(
        "run",
        RUN,
        &|text| format!("{{ {text} = \"38 ft\","),
        &["down", "up", "vertical", "riser", "horizontal", "downcomer", "length"],
        |_| "read".to_owned(),
    );
    insta::assert_snapshot!("sizes_names_and_places", out);
}
