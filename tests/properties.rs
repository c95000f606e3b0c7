//! What must hold of every job: more flow, more length and less bore never lose less; splitting a run changes nothing;
//! a job in IP and its twin in SI are the same job; every number is finite.

use approx::assert_relative_eq;
use proptest::prelude::*;
use roofrun::job::{self, Job};
use roofrun::remedies;
use roofrun::rules::{self, Finding};
use roofrun::survey::{LineAnswer, Point, PointId, Survey, survey};
use std::path::Path;

/// A circuit whose numbers a property moves.
#[derive(Clone, Debug)]
struct Draft {
    refrigerant: &'static str,
    tons: f64,
    rise: f64,
    level: f64,
    riser: &'static str,
    liquid: &'static str,
    discharge_route: Option<String>,
    around: &'static str,
}

impl Default for Draft {
    fn default() -> Self {
        Self {
            refrigerant: "R-410A",
            tons: 40.0,
            rise: 38.0,
            level: 30.0,
            riser: "1-3/8 ACR",
            liquid: "1-1/8 ACR",
            discharge_route: None,
            around: "",
        }
    }
}

impl Draft {
    fn text(&self) -> String {
        let Self { refrigerant, tons, rise, level, riser, liquid, around, .. } = self;
        let kilowatts = tons * 1.05;
        let rejection = tons * 16.5;
        let discharge = self.discharge_route.clone().unwrap_or_else(|| {
            format!(
                r#"{{ level = "{level} ft", fittings = {{ long-elbow = 2 }}{around} }},
                {{ rise = "{rise} ft", trap = "foot", tube = "{riser}"{around} }},"#
            )
        });
        format!(
            r#"
[job]
title = "property"
[site]
altitude = "890 ft"
summer = "95 F"
winter = "20 F"
[[circuit]]
name = "A"
refrigerant = "{refrigerant}"
[circuit.compressors]
count = 2
rating = {{ capacity = "{tons} ton", power = "{kilowatts} kW", suction = "40 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "{rejection} MBH"
td = "24 F"
pressure_drop = "2 psi"
subcooling = "9 F"
elevation = "{rise} ft"
head_control = {{ by = "fans", setpoint = "80 F", minimum_air = 0.05 }}
[circuit.valve]
kind = "electronic"
subcooling = "3 F"
[circuit.discharge]
tube = "1-5/8 ACR"
route = [
{discharge}
]
[circuit.liquid]
tube = "{liquid}"
route = [
  {{ drop = "{rise} ft", fittings = {{ elbow = 1 }}{around} }},
  {{ level = "{level} ft", fittings = {{ elbow = 4 }} }},
  {{ part = "filter-drier", pressure_drop = "1 psi" }},
]
"#
        )
    }

    fn read(&self) -> Job {
        read(&self.text())
    }
}

fn read(text: &str) -> Job {
    job::read("property.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn solved(job: &Job) -> Survey {
    survey(job).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn point<'a>(survey: &'a Survey, name: &str) -> &'a Point {
    survey.circuits[0]
        .points
        .iter()
        .find(|point| point.name == name)
        .unwrap_or_else(|| panic!("{name}: {:?}", survey.circuits[0].unsolved))
}

/// Friction of both lines at the rating, where flow and states are fixed.
fn rated_friction(draft: &Draft) -> [f64; 2] {
    let survey = solved(&draft.read());
    let rating = point(&survey, "rating");
    [rating.discharge_line.friction_Pa, rating.liquid_line.friction_Pa]
}

const REFRIGERANTS: [&str; 5] = ["R-410A", "R-134a", "R-454B", "R-407C", "R-22"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn more_flow_never_loses_less(tons in 25.0..42.0_f64, more in 1.001..1.1_f64, which in 0..5_usize) {
        let draft = Draft { tons, refrigerant: REFRIGERANTS[which], liquid: "1-3/8 ACR", ..Draft::default() };
        let [discharge, liquid] = rated_friction(&draft);
        let [more_discharge, more_liquid] = rated_friction(&Draft { tons: tons * more, ..draft });
        prop_assert!(more_discharge > discharge && more_liquid > liquid);
    }

    #[test]
    fn more_length_never_loses_less(level in 5.0..120.0_f64, more in 0.1..60.0_f64, which in 0..5_usize) {
        let draft = Draft { level, refrigerant: REFRIGERANTS[which], tons: 25.0, ..Draft::default() };
        let [discharge, liquid] = rated_friction(&draft);
        let [more_discharge, more_liquid] = rated_friction(&Draft { level: level + more, ..draft });
        prop_assert!(more_discharge > discharge && more_liquid > liquid);
    }

    #[test]
    fn a_smaller_bore_never_loses_less(size in 0..4_usize, which in 0..5_usize) {
        let sizes = ["1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "2-5/8 ACR"];
        let with = |i: usize| rated_friction(&Draft {
            riser: sizes[i],
            liquid: sizes[i],
            refrigerant: REFRIGERANTS[which],
            tons: 25.0,
            ..Draft::default()
        });
        let ([small, small_liquid], [large, large_liquid]) = (with(size), with(size + 1));
        prop_assert!(small > large && small_liquid > large_liquid);
    }

    #[test]
    fn splitting_a_run_changes_nothing(at in 0.1..0.9_f64, which in 0..5_usize, warm in any::<bool>()) {
        let around = if warm { r#", ambient = "outdoor""# } else { "" };
        let route = |pieces: &[f64]| pieces
            .iter()
            .map(|length| format!(r#"{{ rise = "{length} ft", tube = "1-1/8 ACR"{around} }},"#))
            .collect::<Vec<_>>()
            .join("\n");
        let draft = |pieces: &[f64]| Draft {
            refrigerant: REFRIGERANTS[which],
            tons: 25.0,
            discharge_route: Some(route(pieces)),
            ..Draft::default()
        };
        let whole = solved(&draft(&[38.0]).read());
        let split = solved(&draft(&[38.0 * at, 38.0 - 38.0 * at]).read());
        for (one, two) in whole.circuits[0].points.iter().zip(&split.circuits[0].points) {
            let (one, two) = (&one.state.condenser_inlet, &two.state.condenser_inlet);
            // Of a run in two other steps are made: 5 % of the pressure to the fifth power is 3e-7, of which Runge and Kutta's leave little.
            assert_relative_eq!(one.pressure_Pa, two.pressure_Pa, max_relative = 2e-8);
            assert_relative_eq!(one.temperature_K, two.temperature_K, max_relative = 2e-8);
            assert_relative_eq!(one.enthalpy_J_kg, two.enthalpy_J_kg, max_relative = 2e-8);
        }
    }

    /// A long bare line at a small flow, in which the gas nears the air: in pieces its steps are a tenth as long.
    #[test]
    fn gas_that_nears_the_air_is_as_warm_in_pieces(feet in 60.0..260.0_f64, which in 0..5_usize) {
        let route = |count: u32| format!(r#"{{ level = "{} ft", ambient = "outdoor" }},"#, feet / f64::from(count)).repeat(count as usize);
        let solved = |count: u32| {
            let route = Some(route(count));
            solved(&Draft { refrigerant: REFRIGERANTS[which], tons: 6.0, discharge_route: route, ..Draft::default() }.read())
        };
        let (whole, pieces) = (solved(1), solved(10));
        let summer = &point(&whole, "summer full").state;
        prop_assert!(summer.discharge.temperature_K - summer.condenser_inlet.temperature_K > 5.0, "the gas hardly cools");
        for (one, two) in whole.circuits[0].points.iter().zip(&pieces.circuits[0].points) {
            let (one, two) = (&one.state, &two.state);
            let (one, two) = (&one.condenser_inlet, &two.condenser_inlet);
            // The chart itself is good to 1e-4 K; the long steps leave less.
            prop_assert!((one.temperature_K - two.temperature_K).abs() < 5e-5, "{one:?} {two:?}");
            assert_relative_eq!(one.enthalpy_J_kg, two.enthalpy_J_kg, max_relative = 2e-7);
            assert_relative_eq!(one.pressure_Pa, two.pressure_Pa, max_relative = 2e-8);
        }
    }

    #[test]
    fn a_riser_in_pieces_is_one_riser_for_every_rule(
        cuts in proptest::collection::vec(0.2..1.0_f64, 1..6),
        size in 0..5_usize,
        foot in any::<bool>(),
    ) {
        let tube = ["7/8 ACR", "1-1/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "3-1/8 ACR"][size];
        let whole: f64 = cuts.iter().sum();
        let found = |pieces: &[f64]| {
            let rise = |(index, share): (usize, &f64)| {
                let trap = if foot && index == 0 { r#", trap = "foot""# } else { "" };
                format!(r#"{{ rise = "{} ft", tube = "{tube}"{trap} }},"#, 38.0 * share / whole)
            };
            let rises = pieces.iter().enumerate().map(rise).collect::<Vec<_>>().join("\n");
            let route = format!("{{ level = \"30 ft\" }},\n{rises}\n{{ level = \"20 ft\" }},");
            let job = Draft { tons: 25.0, discharge_route: Some(route), ..Draft::default() }.read();
            let survey = solved(&job);
            let findings = rules::check_all(&job, &survey);
            findings.iter().map(|f| (f.rule, f.verdict, f.point())).collect::<Vec<_>>()
        };
        prop_assert_eq!(found(&[whole]), found(&cuts));
    }

    #[test]
    fn splitting_a_flashing_run_changes_nothing(at in 0.1..0.9_f64) {
        let text = |pieces: &str| Draft { liquid: "7/8 ACR", tons: 38.0, ..Draft::default() }
            .text()
            .replace(r#"{ level = "30 ft", fittings = { elbow = 4 } },"#, pieces);
        let whole = solved(&read(&text(r#"{ level = "600 ft" },"#)));
        let first = 600.0 * at;
        let split = solved(&read(&text(&format!(
            r#"{{ level = "{first} ft" }}, {{ level = "{} ft" }},"#,
            600.0 - first
        ))));
        let (one, two) = (point(&whole, "summer full"), point(&split, "summer full"));
        let (one, two) = (&one.state.valve_inlet, &two.state.valve_inlet);
        prop_assert!(one.quality.is_some(), "the case no longer flashes: {one:?}");
        assert_relative_eq!(one.pressure_Pa, two.pressure_Pa, max_relative = 1e-9);
    }
}

/// Every number of a line, for the comparison of twins and for finiteness.
fn numbers(line: &LineAnswer) -> Vec<f64> {
    let mut all = vec![
        line.flow_kg_s,
        line.heat_W,
        line.equivalent_length_m,
        line.friction_Pa,
        line.parts_Pa,
        line.static_Pa,
        line.pressure_drop_Pa,
        line.saturation_drop_K,
    ];
    for run in &line.runs {
        all.extend([run.friction_Pa, run.static_Pa, run.out.state.pressure_Pa, run.out.state.temperature_K]);
        for pipe in &run.tubes {
            all.extend([pipe.velocity_m_s, pipe.reynolds, pipe.friction_factor]);
        }
    }
    all
}

fn verdicts(findings: &[Finding]) -> Vec<(&str, String, Option<PointId>)> {
    findings.iter().map(|f| (f.rule, format!("{:?}", f.verdict), f.point())).collect()
}

#[test]
fn a_job_in_ip_and_its_twin_in_si_give_the_same_findings() {
    let ip = Draft::default().text();
    let mut si = ip.clone();
    // Exact conversions: 1 ft = 0.3048 m, 1 ton = 3516.85284 W, 1 MBH = 293.07107 W, 1 psi = 6894.757293168 Pa.
    for (from, to) in [
        (r#"title = "property""#, "title = \"property\"\nunits = \"si\""),
        ("890 ft", "271.272 m"),
        ("95 F", "35 °C"),
        ("20 F", "-6.666666666666667 °C"),
        ("40 ton", "140.6741136841894 kW"),
        ("660 MBH", "193.42690631576042 kW"),
        ("40 F", "4.444444444444445 °C"),
        ("118 F", "47.77777777777778 °C"),
        ("45 F", "7.222222222222222 °C"),
        ("80 F", "26.666666666666668 °C"),
        (r#"superheat = "10 F""#, r#"superheat = "5.555555555555555 K""#),
        (r#"subcooling = "10 F""#, r#"subcooling = "5.555555555555555 K""#),
        (r#"approach = "5 F""#, r#"approach = "2.7777777777777777 K""#),
        (r#"td = "24 F""#, r#"td = "13.333333333333334 K""#),
        (r#"subcooling = "9 F""#, r#"subcooling = "5 K""#),
        (r#"subcooling = "3 F""#, r#"subcooling = "1.6666666666666667 K""#),
        ("2 psi", "13.789514586336 kPa"),
        ("1 psi", "6.894757293168 kPa"),
        ("38 ft", "11.5824 m"),
        ("30 ft", "9.144 m"),
    ] {
        assert!(si.contains(from), "{from}");
        si = si.replace(from, to);
    }
    let (ip, si) = (read(&ip), read(&si));
    let (one, two) = (solved(&ip), solved(&si));
    for (a, b) in one.circuits[0].points.iter().zip(&two.circuits[0].points) {
        for (x, y) in numbers(&a.discharge_line).iter().zip(numbers(&b.discharge_line)) {
            assert_relative_eq!(*x, y, max_relative = 1e-7, epsilon = 1e-7);
        }
    }
    assert_eq!(verdicts(&rules::check_all(&ip, &one)), verdicts(&rules::check_all(&si, &two)));
}

/// The mean specific volume of a run lies between those at its ends, where it neither climbs nor falls.
#[test]
fn a_velocity_is_the_flow_over_the_bore_at_a_density_between_the_ends() {
    let survey = solved(&Draft::default().read());
    let point = point(&survey, "summer full");
    for (line, enters) in
        [(&point.discharge_line, &point.state.discharge), (&point.liquid_line, &point.state.condenser_outlet)]
    {
        let mut before = enters.density_kg_m3;
        for run in &line.runs {
            let after = run.out.state.density_kg_m3;
            let (low, high) = (before.min(after), before.max(after));
            for tube in run.tubes.iter().filter(|_| run.path == "level") {
                let bore_m2 = std::f64::consts::FRAC_PI_4 * tube.bore_m * tube.bore_m;
                let density = tube.flow_kg_s / (bore_m2 * tube.velocity_m_s);
                assert!(density >= low * (1.0 - 1e-9) && density <= high * (1.0 + 1e-9), "{density}: {before} {after}");
                // The factor that is told makes the friction of the velocity that is told: f Le/D G v/2.
                let flux = tube.flow_kg_s / bore_m2;
                let friction_Pa =
                    tube.friction_factor * run.equivalent_length_m / tube.bore_m * flux * tube.velocity_m_s / 2.0;
                assert_relative_eq!(friction_Pa, run.friction_Pa, max_relative = 1e-9);
            }
            before = after;
        }
    }
}

/// The rating is held whatever the lines lose: here they take more than there is between the compressors' pressures.
#[test]
fn what_a_valve_requires_is_finite_where_no_pressure_is_left_for_it() {
    let route = r#"{ rise = "13 ft", tube = "1-3/8 ACR" }, { level = "264 ft", tube = "1-1/8 ACR" },"#;
    let draft = Draft {
        refrigerant: "R-1234ze(E)",
        tons: 19.0,
        rise: 13.0,
        level: 83.0,
        discharge_route: Some(route.into()),
        ..Draft::default()
    };
    let survey = solved(&read(&draft.text().replace("118 F", "115 F")));
    let rating = point(&survey, "rating");
    assert!(
        rating.state.valve_inlet.pressure_Pa < rating.state.suction.pressure_Pa,
        "there is pressure left: {rating:?}"
    );
    assert!(rating.valve_requires_Pa.is_finite() && rating.valve_requires_Pa > 0.0, "{}", rating.valve_requires_Pa);
}

/// No coil cools below the air on it: where a little of the heat is left, the glide of a blend and not the coil's size holds the head.
#[test]
fn liquid_never_leaves_the_coil_colder_than_the_air() {
    let mut held = 0;
    for name in roofrun::refrigerant::names() {
        let text = Draft { tons: 20.0, ..Draft::default() }.text().replace("R-410A", name);
        let text = text.replace("count = 2", "count = 4").replace("td = \"24 F\"", "td = \"14 F\"");
        let text = text.replace("subcooling = \"9 F\"", "subcooling = \"0 F\"");
        let survey = solved(&read(&text));
        let circuit = &survey.circuits[0];
        assert!(circuit.unsolved.is_empty(), "{name}: {:?}", circuit.unsolved);
        for point in circuit.points.iter().filter(|point| point.id != PointId::Rating) {
            let over = point.state.condenser_outlet.temperature_K - point.air_on_K;
            assert!(over > -1e-5, "{name} {}: {over} K", point.name);
            held += usize::from(over < 1e-5);
        }
    }
    assert!(held >= 2, "no glide was greater than the difference: {held}");
}

/// A narrow pipe to a condenser below, nothing that holds the head, liquid that boils at the temperature of the air: 98 % of the
/// evaporator is dry, and a point is found whatever the last digit of the weather.
#[test]
fn a_starved_point_is_found_whatever_the_last_digit() {
    let text = r#"[job]
title = "drawn"
units = "ip"
[site]
altitude = "500 ft"
summer = "79 F"
winter = "WINTER F"
[[circuit]]
name = "A"
refrigerant = "R-438A"
[circuit.compressors]
count = 2
minimum = 1
rating = { capacity = "15.07 ton", power = "16.57 kW", suction = "40 F", condensing = "115 F", superheat = "10 F", subcooling = "10 F" }
hot_gas_bypass = { share = 0.163, when = "minimum" }
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "208.8 MBH"
td = "20 F"
pressure_drop = "2 psi"
subcooling = "3.137 F"
elevation = "-12 ft"
[circuit.valve]
kind = "electronic"
subcooling = "3 F"
[circuit.discharge]
tube = "1-5/8 ACR"
route = [{ drop = "12 ft", tube = "1/2 ACR" }, { level = "77.2 ft" }]
[circuit.liquid]
tube = "1/2 ACR"
route = [{ rise = "12 ft" }, { level = "203.85 ft" }, { part = "filter-drier", pressure_drop = "1 psi" }]
"#;
    for step in 0..24 {
        let winter = -6.0 + 0.31 * f64::from(step);
        let survey = solved(&read(&text.replace("WINTER", &format!("{winter:.2}"))));
        let unsolved: Vec<_> = survey.circuits[0].unsolved.iter().map(|unsolved| unsolved.id).collect();
        assert!(!unsolved.contains(&PointId::WinterMinimum), "{winter:.2} F: {unsolved:?}");
    }
}

#[test]
fn every_refrigerant_gives_finite_numbers_at_every_point() {
    for name in roofrun::refrigerant::names() {
        let text = Draft { tons: 20.0, ..Draft::default() }.text().replace("R-410A", name);
        let survey = solved(&read(&text));
        let circuit = &survey.circuits[0];
        assert!(circuit.unsolved.is_empty(), "{name}: {:?}", circuit.unsolved);
        for point in &circuit.points {
            for line in [&point.discharge_line, &point.liquid_line] {
                assert!(numbers(line).iter().all(|n| n.is_finite()), "{name} {}: {line:?}", point.name);
            }
            let balance = point.capacity_W + point.power_W
                - point.rejection_W
                - point.discharge_line.heat_W
                - point.liquid_line.heat_W;
            assert!(balance.abs() < 1e-9 * point.rejection_W, "{name} {}: {balance} W", point.name);
        }
        let derating = circuit.derating.as_ref().unwrap_or_else(|| panic!("{name} has no derating"));
        let sum: f64 = derating.steps.iter().map(|step| step.change_W).sum();
        assert_relative_eq!(derating.rated_W + sum, derating.at_design_W, max_relative = 1e-12);
    }
}

/// Bores, volumes and setpoints of a circuit, SI, with what one step of the job's units is of each.
fn drawn(job: &Job) -> Vec<(f64, f64)> {
    let circuit = &job.circuits[0];
    let runs = circuit.discharge.runs.iter().chain(&circuit.liquid.runs);
    let bores = runs.flat_map(|run| &run.tubes).map(|tube| (tube.bore().value, 2e-4));
    let vessels = circuit.liquid.runs.iter().filter_map(|run| match &run.path {
        job::Path::Part(part) => Some((part.receiver?.volume?.value, 0.1 * 0.028_316_8)),
        _ => None,
    });
    let head = match circuit.condenser.head_control {
        job::HeadControl::None => None,
        job::HeadControl::Fans { setpoint, .. } | job::HeadControl::Flooding { setpoint } => {
            Some((setpoint.kelvin(), 0.56))
        }
    };
    bores.chain(vessels).chain(head).collect()
}

#[test]
fn twins_are_told_the_same_remedy_but_for_a_step_of_their_units() {
    // Lengths in metres, where a job in SI is asked for: what is written in other units stays as it is.
    let twin = |text: &str| {
        let metres = |part: &str| match part.strip_suffix(" ft").and_then(|feet| feet.parse::<f64>().ok()) {
            Some(feet) => format!("{} m", feet * 0.3048),
            None => part.to_owned(),
        };
        let text = text.split('"').map(metres).collect::<Vec<_>>().join("\"");
        text.replace("units = \"ip\"", "units = \"si\"")
    };
    for name in ["as-drawn", "as-found-r22"] {
        let ip = std::fs::read_to_string(format!("examples/{name}.toml")).unwrap_or_else(|why| panic!("{why}"));
        let si = twin(&ip);
        let whole = |text: &str| {
            let job = read(text);
            let survey = solved(&job);
            let whole = remedies::whole(&job, &survey, &rules::check_all(&job, &survey)).expect("something fails");
            let edits = remedies::edits(&job, text, &whole.changes);
            let written = read(&job::edit(text, &edits).unwrap_or_else(|why| panic!("{why}")));
            (job.units, whole.changes.iter().map(std::mem::discriminant).collect::<Vec<_>>(), drawn(&written))
        };
        let ((units, kinds, values), (others, same, twins)) = (whole(&ip), whole(&si));
        assert_ne!(units, others);
        assert_eq!(kinds, same, "{name}");
        assert_eq!(values.len(), twins.len());
        for ((value, step), (twin, _)) in values.iter().zip(&twins) {
            assert!((value - twin).abs() < *step, "{name}: {value}, {twin}");
        }
    }
}
