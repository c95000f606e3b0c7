//! `roofrun state`: the pressure-temperature card and single states.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use serde_json::Value;

fn state(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).arg("state").args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn json(arguments: &[&str]) -> Value {
    let (status, out, err) = state(&[arguments, &["--format", "json"]].concat());
    assert_eq!((status, err.as_str()), (0, ""));
    serde_json::from_str(&out).unwrap()
}

fn squeezed(text: &str) -> String {
    text.lines().map(|line| line.split_whitespace().collect::<Vec<&str>>().join(" ") + "\n").collect()
}

/// Saturation pressures of pressure-temperature charts: R-134a at 100 F 138.9 psia, R-22 at 100 F 210.6 psia.
#[test]
fn saturation_pressures_are_those_of_the_charts() {
    for (refrigerant, psia) in [("R-134a", 138.9), ("R-22", 210.6)] {
        let answer = json(&[refrigerant, "--temperature", "100 F"]);
        for line in ["bubble", "dew"] {
            let pressure = answer[line]["pressure_Pa"].as_f64().unwrap() / 6_894.757;
            assert!((pressure - psia).abs() < 0.06, "{refrigerant} {line}: {pressure} psia");
        }
        assert_eq!(answer["refrigerant"], refrigerant);
    }
}

#[test]
fn bubble_and_dew_stand_side_by_side_with_the_glide() {
    let (status, out, err) = state(&["R-454B", "--pressure", "28 barg", "--units", "si"]);
    assert_eq!((status, err.as_str()), (0, ""));
    let answer = json(&["R-454B", "--pressure", "28 barg"]);
    let glide = answer["dew"]["temperature_K"].as_f64().unwrap() - answer["bubble"]["temperature_K"].as_f64().unwrap();
    assert!(glide > 0.5 && glide < 2.0, "{glide}");
    let text = squeezed(&out);
    assert!(text.contains("R-454B at 28.0 barg"), "{out}");
    assert!(text.contains("bubble liquid dew vapor"), "{out}");
    assert!(text.contains(&format!("Glide {glide:.1} K.")), "{out}");
    assert!(text.contains("pressure 28.0 28.0 barg"), "{out}");
}

#[test]
fn both_give_one_state_with_superheat_or_subcooling() {
    let vapour = json(&["R-410A", "--temperature", "170 F", "--pressure", "412 psig"]);
    assert_eq!(vapour["phase"], "vapour");
    let dew = json(&["R-410A", "--pressure", "412 psig"])["dew"]["temperature_K"].as_f64().unwrap();
    let superheat = vapour["superheat_K"].as_f64().unwrap();
    assert!((superheat - (349.8167 - dew)).abs() < 1e-3, "{superheat}");
    assert!(vapour.get("subcooling_K").is_none());
    for key in [
        "pressure_Pa",
        "temperature_K",
        "density_kg_m3",
        "enthalpy_J_kg",
        "viscosity_Pa_s",
        "entropy_J_kg_K",
        "cp_J_kg_K",
        "speed_of_sound_m_s",
    ] {
        assert!(vapour["state"][key].as_f64().unwrap() > 0.0, "{key}");
    }

    let liquid = json(&["R-410A", "--temperature", "80 F", "--pressure", "412 psig"]);
    assert_eq!(liquid["phase"], "liquid");
    assert!(liquid["subcooling_K"].as_f64().unwrap() > 15.0);
    assert!(liquid.get("superheat_K").is_none());
    let text = state(&["R-410A", "--temperature", "80 F", "--pressure", "412 psig"]).1;
    assert!(text.contains("Liquid, ") && text.contains(" subcooled."), "{text}");
}

#[test]
fn without_a_point_there_is_the_card() {
    let (status, out, _) = state(&["R-410A"]);
    assert_eq!(status, 0);
    let text = squeezed(&out);
    // 100 F: bubble 333.2 psia, dew 332.3 psia.
    assert!(text.contains("\n100 319 318 0.2\n"), "{out}");
    let (status, out, err) = state(&["R-410A", "--format", "json"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("--temperature"), "{err}");
}

#[test]
fn a_gauge_reads_more_in_thin_air() {
    let sea = json(&["R-410A", "--pressure", "400 psig"])["dew"]["pressure_Pa"].as_f64().unwrap();
    let high =
        json(&["R-410A", "--pressure", "400 psig", "--altitude", "5280 ft"])["dew"]["pressure_Pa"].as_f64().unwrap();
    // ISO 2533 at 5280 ft: 83.4 kPa against 101.3 kPa.
    assert!((sea - high - 17_880.0).abs() < 50.0, "{}", sea - high);
}

#[test]
fn names_are_read_as_people_write_them() {
    for name in ["R-410A", "r410a", "R410A", "r-410a"] {
        assert_eq!(json(&[name, "--temperature", "100 F"])["refrigerant"], "R-410A");
    }
}

#[test]
fn what_cant_be_answered_goes_to_standard_error() {
    for (call, words) in [
        (&["R-410B"][..], "R-410A"),
        (&["R-410A", "--temperature", "100"], "100 F"),
        (&["R-410A", "--temperature", "100 psig"], "--temperature"),
        (&["R-410A", "--temperature", "200 F"], "above"),
        (&["R-410A", "--pressure", "5000 psig"], "psig"),
        (&["R-410A", "--pressure", "412"], "psig"),
        (&["R-410A", "--temperature", "-200 F"], "below"),
        (&["R-410A", "--altitude", "99 mi"], "--altitude"),
        (&["R-410A", "--altitude", "300000 ft"], "altitude"),
    ] {
        let (status, out, err) = state(call);
        assert_eq!((status, out.as_str()), (2, ""), "{call:?}");
        assert!(err.contains(words), "{call:?}: {err}");
    }
}

#[test]
fn a_mixture_of_liquid_and_vapour_has_no_specific_heat_and_no_speed_of_sound() {
    let at = ["R-407C", "--temperature", "40 F", "--pressure", "70 psig"];
    let (status, out, err) = state(&at);
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(out.contains("Liquid and vapor, 58.7 % vapor by mass.") && out.contains("viscosity"), "{out}");
    assert!(!out.contains("specific heat") && !out.contains("speed of sound"), "{out}");
    let answer = json(&at);
    assert!(answer["state"]["quality"].is_f64() && answer["state"]["cp_J_kg_K"].is_null(), "{answer}");
}

#[test]
fn the_range_stands_on_the_card_and_a_state_beyond_it_says_so() {
    let (_, out, _) = state(&["R-134a"]);
    assert!(squeezed(&out).contains("Valid from -58 F: saturated up to 207.5 F, vapor from 21.7 inHg"), "{out}");
    let (status, _, err) = state(&["R-134a", "--temperature", "-60 F", "--pressure", "2 psia"]);
    assert!(status == 2 && err.contains("is below -10.6 psig") && err.contains("`roofrun state R-134a`"), "{err}");
}
