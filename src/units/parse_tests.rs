//! Texts as typed against their SI values, and what mistakes are told.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

const ATMOSPHERE: f64 = 101_325.0;

fn read(text: &str, kind: Kind) -> Result<f64, Misread> {
    quantity(text, kind, System::Ip, ATMOSPHERE)
}

#[track_caller]
fn reads(text: &str, kind: Kind, si: f64) {
    let value = read(text, kind).unwrap_or_else(|misread| panic!("{text}: {misread}"));
    assert_relative_eq!(value, si, max_relative = 1e-12, epsilon = 1e-12);
}

#[track_caller]
fn misreads(text: &str, kind: Kind, says: &str, instead: Option<&str>) {
    let misread = read(text, kind).expect_err(text);
    assert_eq!((misread.says.as_str(), misread.instead.as_deref()), (says, instead), "{text}");
}

#[test]
fn lengths_as_on_a_drawing() {
    for text in [
        "12 ft 6 in",
        "12'6\"",
        "12' 6\"",
        "12'-6\"",
        "12 ft-6 in",
        "12ft6in",
        "12.5 ft",
        "150 in",
        "12\u{2032}6\u{2033}",
        "12.5'",
        "12'6''",
        "12 feet 6 inches",
    ] {
        reads(text, Kind::Length, 3.81);
    }
    reads("12' 6-1/2\"", Kind::Length, 150.5 * 0.0254);
    reads("12' 6 1/2\"", Kind::Length, 150.5 * 0.0254);
    reads("-4 ft 6 in", Kind::Length, -54.0 * 0.0254);
    reads("\u{2212}4 ft", Kind::Length, -48.0 * 0.0254);
    reads("1/2 in", Kind::SmallLength, 0.0127);
    reads("0'6\"", Kind::Length, 0.1524);
    reads("11.6 m", Kind::Length, 11.6);
    reads("13 mm", Kind::SmallLength, 0.013);
    reads("4 cm", Kind::SmallLength, 0.04);
}

#[test]
fn temperatures_and_differences_share_units() {
    for text in ["96 F", "96F", "96 °F", "96 degF", "96 deg F", "96 ºF", "96 ℉"] {
        reads(text, Kind::Temperature, (96.0 + 459.67) / 1.8);
        reads(text, Kind::Difference, 96.0 / 1.8);
    }
    for text in ["35.5 °C", "35.5 C", "35.5 degC", "35.5℃"] {
        reads(text, Kind::Temperature, 308.65);
        reads(text, Kind::Difference, 35.5);
    }
    reads("308.65 K", Kind::Temperature, 308.65);
    reads("-40 F", Kind::Temperature, 233.15);
    reads("10 K", Kind::Difference, 10.0);
    reads("18 R", Kind::Difference, 10.0);
}

#[test]
fn pressures_know_what_they_are_measured_from() {
    let psi = 6_894.757_293_168;
    reads("610 psig", Kind::Pressure, 610.0 * psi + ATMOSPHERE);
    reads("610 psia", Kind::Pressure, 610.0 * psi);
    reads("42 barg", Kind::Pressure, 42e5 + ATMOSPHERE);
    reads("42 bara", Kind::Pressure, 42e5);
    for text in ["42 bar(g)", "42 bar (g)", "42 bar g", "42 bar gauge", "42barg", "42 BARG"] {
        reads(text, Kind::Pressure, 42e5 + ATMOSPHERE);
    }
    for text in ["4.1 MPa(a)", "4.1 MPa (a)", "4.1 MPa abs", "4.1 MPa abs.", "4100000 Pa"] {
        reads(text, Kind::Pressure, 4.1e6);
    }
    assert_eq!(as_gauge("42 bar").as_deref(), Some("42 barg"));
    assert_eq!(as_gauge("410 PSI").as_deref(), Some("410 psig"));
    assert_eq!((as_gauge("42 barg"), as_gauge("42 ft"), as_gauge("bar")), (None, None, None));
    reads("4.1 MPag", Kind::Pressure, 4.1e6 + ATMOSPHERE);
    reads("4100 kPaa", Kind::Pressure, 4.1e6);
    reads("2 psi", Kind::PressureDifference, 2.0 * psi);
    reads("14 kPa", Kind::PressureDifference, 14e3);
    reads("0.14 bar", Kind::PressureDifference, 14e3);
    reads("700 psig", Kind::Rating, 700.0 * psi);
    reads("700 psi", Kind::Rating, 700.0 * psi);
    reads("6000 psi", Kind::Stress, 6000.0 * psi);
}

#[test]
fn powers_flows_and_volumes() {
    reads("40 ton", Kind::Capacity, 40.0 * 12_000.0 * 1_055.055_852_62 / 3_600.0);
    reads("40 tons", Kind::Capacity, 40.0 * 12_000.0 * 1_055.055_852_62 / 3_600.0);
    reads("480 MBH", Kind::Heat, 480e3 * 1_055.055_852_62 / 3_600.0);
    reads("480 kBtu/h", Kind::Heat, 480e3 * 1_055.055_852_62 / 3_600.0);
    reads("480000 BTU/hr", Kind::Heat, 480e3 * 1_055.055_852_62 / 3_600.0);
    reads("42 kw", Kind::Power, 42e3);
    reads("38000 ft3/min", Kind::VolumeRate, 38_000.0 * 0.3048_f64.powi(3) / 60.0);
    reads("38000 CFM", Kind::VolumeRate, 38_000.0 * 0.3048_f64.powi(3) / 60.0);
    reads("38000 ft³/min", Kind::VolumeRate, 38_000.0 * 0.3048_f64.powi(3) / 60.0);
    reads("3600 m3/h", Kind::VolumeRate, 1.0);
    reads("1.9 ft3", Kind::Volume, 1.9 * 0.3048_f64.powi(3));
    reads("1.9 ft^3", Kind::Volume, 1.9 * 0.3048_f64.powi(3));
    reads("54 L", Kind::Volume, 0.054);
    reads("231 in3", Kind::Volume, 3.785_411_784e-3);
    reads("1 gal", Kind::Volume, 3.785_411_784e-3);
    reads("300 ft/min", Kind::Velocity, 1.524);
    reads("300 fpm", Kind::Velocity, 1.524);
    reads("90 knots", Kind::Wind, 46.3);
    reads("115 mph", Kind::Wind, 51.4096);
    reads("980 kg/m3", Kind::Density, 980.0);
    reads("3600 kg/h", Kind::MassRate, 1.0);
    reads("60 kg/min", Kind::MassRate, 1.0);
    reads("1000 g/s", Kind::MassRate, 1.0);
    reads("10 lb/s", Kind::MassRate, 4.535_923_7);
}

#[test]
fn mistakes_are_named_and_mended() {
    misreads("38", Kind::Length, "a number without a unit", Some("38 ft"));
    misreads("ft", Kind::Length, "a unit, ft, without its number", None);
    misreads("", Kind::Length, "nothing in the quotes", None);
    misreads("tall", Kind::Length, "`tall` does not begin with a number", None);
    misreads("38 fet", Kind::Length, "`fet` is no unit of length", Some("38 ft"));
    misreads("38 furlong", Kind::Length, "`furlong` is no unit of length; write ft, for instance", None);
    misreads("38 psi", Kind::Length, "\"38 psi\" is a pressure, not a length", None);
    misreads("12'6\"", Kind::Power, "\"12'6\"\" is a length, not a power", None);
    misreads("610 psi", Kind::Pressure, "\"610 psi\" does not say gauge or absolute: psig or psia", Some("610 psig"));
    for (bare, gauge) in [("42 bar", "42 barg"), ("4200 kPa", "4200 kPag"), ("4.2 MPa", "4.2 MPag")] {
        let unit = bare.split_once(' ').unwrap().1;
        let says = format!("\"{bare}\" does not say gauge or absolute: {unit}g or {unit}a");
        misreads(bare, Kind::Pressure, &says, Some(gauge));
    }
    misreads(
        "3 psig",
        Kind::PressureDifference,
        "\"3 psig\" is a gauge pressure, not a difference of two pressures",
        Some("3 psi"),
    );
    misreads(
        "3 kPag",
        Kind::PressureDifference,
        "\"3 kPag\" is a gauge pressure, not a difference of two pressures",
        Some("3 kPa"),
    );
    misreads(
        "700 psia",
        Kind::Rating,
        "\"700 psia\" is an absolute pressure; a tube is rated in gauge pressure",
        Some("700 psig"),
    );
    misreads("11,6 m", Kind::Length, "a decimal comma; write a point", Some("11.6 m"));
    misreads(
        "38,000 ft3/min",
        Kind::VolumeRate,
        "a comma within a number: write 38000 ft3/min, or 38.000 ft3/min where a decimal point is meant",
        None,
    );
    misreads("1,038,000 ft3/min", Kind::VolumeRate, "commas within a number", Some("1038000 ft3/min"));
    misreads("38 000 ft3/min", Kind::VolumeRate, "a space within a number", Some("38000 ft3/min"));
    misreads("12 ft 14 in", Kind::Length, "14 inches after feet; they stay under 12", None);
    misreads("12'6", Kind::Length, "inches without their unit", Some("12 ft 6 in"));
    misreads("1e999 ft", Kind::Length, "1e999 is beyond all numbers", None);
    misreads("1e307 ton", Kind::Capacity, "1e307 is beyond all numbers", None);
    misreads("nan ft", Kind::Length, "`nan ft` does not begin with a number", None);
    misreads("40 R", Kind::Temperature, "\"40 R\" is a temperature difference; write F", None);
}

#[test]
fn units_alone() {
    assert_relative_eq!(unit_factor("lb/h", Kind::MassRate).unwrap(), 0.453_592_37 / 3_600.0);
    assert_relative_eq!(unit_factor("kW", Kind::Power).unwrap(), 1e3);
    let misread = unit_factor("lbh", Kind::MassRate).unwrap_err();
    assert_eq!(misread.says, "`lbh` is no unit of mass flow: lb/h, lb/min, lb/s, kg/s, kg/h, kg/min, g/s");
    assert_eq!(misread.instead.as_deref(), Some("lb/h"));
}

#[test]
fn every_example_reads_as_its_own_kind() {
    for &kind in Kind::ALL {
        for system in [System::Ip, System::Si] {
            assert!(read(kind.example(system), kind).is_ok(), "{kind:?}");
        }
    }
}

proptest! {
    /// What is shown reads back, to the digits shown.
    #[test]
    fn shown_quantities_read_back(kind in prop::sample::select(Kind::ALL), size in 1e-1_f64..1e4, ip in any::<bool>()) {
        let system = if ip { System::Ip } else { System::Si };
        let unit = match kind {
            Kind::Temperature => 100.0,
            Kind::Pressure => 1e6,
            _ => read(&format!("1 {}", kind.usual_unit(system)), kind).unwrap(),
        };
        let value = size * unit;
        let text = kind.show(system, value, ATMOSPHERE);
        let back = read(&text, kind).unwrap();
        // Three digits, or half of the last decimal shown.
        let coarse = match kind { Kind::Stress | Kind::VolumeRate | Kind::MassRate | Kind::Wind => 0.5 * unit, Kind::RoomVolume | Kind::Velocity => 0.5 * unit.max(0.005), Kind::Pressure => 4e3, _ => 0.06 * unit };
        prop_assert!((back - value).abs() <= (0.006 * value).max(coarse), "{text}: {back} for {value}");
        // And is shown the same again.
        prop_assert_eq!(kind.show(system, back, ATMOSPHERE), text);
    }

    /// Any text ends in a value that is finite or in a message.
    #[test]
    fn any_text_ends_in_a_value_or_a_message(text in ".{0,40}", kind in prop::sample::select(Kind::ALL)) {
        if let Ok(value) = read(&text, kind) {
            prop_assert!(value.is_finite());
        }
    }

    /// Texts made of the pieces of quantities do too.
    #[test]
    fn near_quantities_end_in_a_value_or_a_message(
        pieces in prop::collection::vec(prop::sample::select(&["1", "12", "ft", "'", "\"", " ", "-", "/", "in", ".", ",", "e", "½", "−", "°", "F", "psi", "g", "3"]), 0..9),
        kind in prop::sample::select(Kind::ALL),
    ) {
        if let Ok(value) = read(&pieces.concat(), kind) {
            prop_assert!(value.is_finite());
        }
    }
}
