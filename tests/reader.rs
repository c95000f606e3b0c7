//! The job file read: every key it knows, what is taken where it says nothing, and units as they come.

use approx::assert_relative_eq;
use roofrun::job::{self, Ambient, BypassWhen, Evaporating, HeadControl, Job, Path as Way, Performance, Resistance};
use roofrun::units::System;
use std::path::Path;

const HALL: &str = include_str!("data/hall.toml");
const PSI: f64 = 6_894.757_293_168;

fn read(text: &str) -> Job {
    job::read("hall.toml", text, Path::new("tests/data/weather")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn replaced(from: &str, to: &str) -> Job {
    assert_eq!(HALL.matches(from).count(), 1, "`{from}` stands once in the file");
    read(&HALL.replace(from, to))
}

fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit + 459.67) / 1.8
}

/// Every key arrives where it belongs.
#[test]
fn every_key_arrives() {
    let job = read(HALL);
    assert_eq!((job.title.as_str(), job.units), ("Bottling hall, two circuits to the roof", System::Ip));
    assert_relative_eq!(job.site.altitude.value, 890.0 * 0.3048, max_relative = 1e-12);
    assert_relative_eq!(job.site.summer.kelvin(), kelvin(96.0), max_relative = 1e-12);
    assert_relative_eq!(job.site.winter.kelvin(), kelvin(2.0), max_relative = 1e-12);
    let plant = job.plant.as_ref().unwrap();
    assert_relative_eq!(plant.load.value, 110.0 * 3_516.852_842, max_relative = 1e-9);
    assert_eq!(plant.spare, 1);
    assert_relative_eq!(job.limits["liquid_velocity"], 1.524, max_relative = 1e-12);
    assert_eq!((job.rooms[0].name.as_str(), job.rooms[0].occupied), ("corridor", true));
    let point = &job.points[0];
    assert_eq!((point.name.as_str(), point.share, point.bypass), ("spring night", 0.5, false));

    let circuit = &job.circuits[0];
    assert_eq!((circuit.name.as_str(), circuit.module.as_str(), circuit.copies), ("1A", "1", 1));
    assert_eq!(circuit.refrigerant, "R-410A");
    let compressors = &circuit.compressors;
    assert_eq!((compressors.count, compressors.oil.as_deref()), (2, Some("POE 32")));
    assert_relative_eq!(compressors.minimum_share, 0.5);
    assert_relative_eq!(compressors.rated_at.condensing.kelvin(), kelvin(120.0), max_relative = 1e-12);
    assert_relative_eq!(compressors.rated_at.superheat.value, 10.0 / 1.8, max_relative = 1e-12);
    let Performance::Rating { capacity, power } = &compressors.performance else { panic!("a rating") };
    assert_relative_eq!(capacity.value, 40.0 * 3_516.852_842, max_relative = 1e-9);
    assert_relative_eq!(power.value, 42_000.0);
    assert_eq!((compressors.bypass.share, compressors.bypass.when), (0.2, BypassWhen::Minimum));
    let Evaporating::Approach { leaving, approach, .. } = circuit.evaporator.evaporating else { panic!("an approach") };
    assert_relative_eq!(leaving.kelvin(), kelvin(45.0), max_relative = 1e-12);
    assert_relative_eq!(approach.value, 5.0 / 1.8, max_relative = 1e-12);
    let condenser = &circuit.condenser;
    assert_relative_eq!(condenser.elevation.value, 38.0 * 0.3048, max_relative = 1e-12);
    assert_relative_eq!(condenser.pressure_drop.value, 3.0 * PSI, max_relative = 1e-9);
    // Gauge against the atmosphere at 890 ft, not at the sea.
    assert!(job.site.atmosphere.pascals() < 98_200.0);
    let cutout = condenser.cutout.unwrap().pascals();
    assert_relative_eq!(cutout, 610.0 * PSI + job.site.atmosphere.pascals(), max_relative = 1e-9);
    let HeadControl::Fans { setpoint, minimum_air } = condenser.head_control else { panic!("fans") };
    assert_relative_eq!(setpoint.kelvin(), kelvin(85.0), max_relative = 1e-12);
    assert_relative_eq!(minimum_air, 0.15);

    let discharge = &circuit.discharge.runs;
    assert_eq!(
        discharge.iter().map(|r| r.tubes[0].name.as_str()).collect::<Vec<_>>(),
        ["1-5/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "1-5/8 ACR"]
    );
    assert_eq!(discharge[0].fittings, [("long-elbow".to_owned(), 2)]);
    let Way::Rise { traps, .. } = &discharge[1].path else { panic!("a rise") };
    assert!(traps.foot && !traps.top && traps.between.is_empty());
    let Way::Part(valve) = &discharge[3].path else { panic!("a part") };
    assert!(valve.checks && !valve.closes);
    let liquid = &circuit.liquid.runs;
    assert!(matches!(liquid[1].ambient, Some(Ambient::Air(air)) if (air.kelvin() - kelvin(105.0)).abs() < 1e-9));
    assert_eq!(liquid[2].room.as_deref(), Some("corridor"));
    assert_relative_eq!(liquid[2].insulation.value, 0.0127, max_relative = 1e-12);
    let Way::Part(solenoid) = &liquid[4].path else { panic!("a part") };
    assert!(solenoid.closes && matches!(solenoid.resistance, Resistance::Kv(kv) if (kv - 5.2).abs() < 1e-12));
}

/// What the file leaves out is taken and told, with its value and source.
#[test]
fn defaults_are_told() {
    let text = r#"
        [site]
        summer = "96 F"
        winter = "2 F"
        [[circuit]]
        name = "A"
        refrigerant = "R-134a"
        compressors.rating = { capacity = "40 ton", power = "42 kW", suction = "40 F", condensing = "120 F", superheat = "12 F", subcooling = "10 F" }
        evaporator = { suction = "40 F" }
        condenser = { rejection = "640 MBH", td = "25 F", elevation = "-8 ft", head_control = { by = "fans", setpoint = "85 F" } }
        discharge = { tube = "2-1/8 ACR", route = [{ level = "14 ft" }, { part = "swing check valve" }, { drop = "8 ft", ambient = "outdoor" }] }
        liquid = { tube = "1-3/8 ACR", route = [{ rise = "8 ft", trap = ["4 ft"] }, { part = "receiver" }, { level = "9 ft" }] }
    "#;
    let job = read(text);
    let told: Vec<String> = job
        .assumptions
        .iter()
        .map(|a| format!("{} = {:.4} {} | {} | {}", a.key, a.value, a.unit, a.why, a.source))
        .collect();
    insta::assert_snapshot!(told.join("\n"));
    for assumption in &job.assumptions {
        assert!(roofrun::refdata::source(&assumption.source).is_some(), "{}", assumption.source);
    }
    assert_eq!(job.title, "hall");
    let circuit = &job.circuits[0];
    assert_eq!(circuit.module, "A");
    assert_relative_eq!(circuit.evaporator.superheat.value, 12.0 / 1.8, max_relative = 1e-12);
    assert_relative_eq!(circuit.condenser.subcooling.value, 10.0 / 1.8, max_relative = 1e-12);
    assert!(circuit.condenser.cutout.is_none() && circuit.condenser.volume.is_none());
    assert!(circuit.valve.minimum_drop.is_none());
    let Way::Rise { traps, .. } = &circuit.liquid.runs[0].path else { panic!("a rise") };
    assert!(traps.foot && traps.top && traps.between.len() == 1);
}

/// The same installation in SI units is the same job.
#[test]
fn units_mix_freely() {
    let ip = read(HALL);
    let si = read(
        &HALL
            .replace("\"890 ft\"", "\"271.272 m\"")
            .replace("\"96 F\"", "\"35.5555555555556 °C\"")
            .replace("\"38 ft\"", "\"11.5824 m\"")
            .replace("\"640 MBH\"", "\"187.5654849102222 kW\"")
            .replace("\"610 psig\"", "\"42.05801948832 barg\"")
            .replace("\"10 F\"", "\"5.55555555555556 K\""),
    );
    assert_relative_eq!(ip.site.summer.kelvin(), si.site.summer.kelvin(), max_relative = 1e-12);
    let (ip, si) = (&ip.circuits[0], &si.circuits[0]);
    let cutout = |c: &job::Circuit| c.condenser.cutout.unwrap().pascals();
    assert_relative_eq!(cutout(ip), cutout(si), max_relative = 1e-9);
    assert_relative_eq!(ip.condenser.rejection.value, si.condenser.rejection.value, max_relative = 1e-9);
    for (a, b) in ip.discharge.runs.iter().zip(&si.discharge.runs) {
        assert_relative_eq!(a.path.length_m(), b.path.length_m(), max_relative = 1e-12);
    }
}

#[test]
fn parallel_tubes_stand_smallest_first() {
    let job = replaced(r#"tube = "1-3/8 ACR", trap"#, r#"tube = ["1-3/8 ACR", "7/8 ACR"], trap"#);
    let tubes: Vec<&str> = job.circuits[0].discharge.runs[1].tubes.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(tubes, ["7/8 ACR", "1-3/8 ACR"]);
}

#[test]
fn tubes_of_the_users_own() {
    let job = replaced(r#"tube = "1-5/8 ACR""#, r#"tube = "1-3/8 high-pressure""#);
    let tube = &job.circuits[0].discharge.runs[0].tubes[0];
    assert_relative_eq!(tube.bore().value, 1.245 * 0.0254, max_relative = 1e-12);
    assert_relative_eq!(tube.rated.unwrap().value, 700.0 * PSI, max_relative = 1e-9);
    assert_eq!(tube.source, "user");
}

#[test]
fn tubes_left_open_are_for_sizing_only() {
    let text = HALL.replace(r#"tube = "1-5/8 ACR""#, r#"tube = "auto""#);
    assert!(job::read("hall.toml", &text, Path::new(".")).is_err());
    let job = job::read_open("hall.toml", &text, Path::new(".")).unwrap();
    let runs = &job.circuits[0].discharge.runs;
    assert_eq!(runs.iter().map(|r| r.open).collect::<Vec<_>>(), [true, false, true, true]);
    assert_eq!(runs[0].tubes[0].name, "4-1/8 ACR");
    assert_eq!(runs[1].tubes[0].name, "1-3/8 ACR");
    assert!(job.circuits[0].liquid.runs.iter().all(|r| !r.open));
}

#[test]
fn air_round_a_run() {
    let around = |text: &str| {
        replaced(r#"ambient = "105 F""#, &format!("ambient = \"{text}\"")).circuits[0].liquid.runs[1].ambient
    };
    let outdoor = |text: &str| match around(text) {
        Some(Ambient::Outdoor(more)) => more.value,
        other => panic!("{other:?}"),
    };
    assert_relative_eq!(outdoor("outdoor"), 0.0);
    assert_relative_eq!(outdoor("outdoor + 35 F"), 35.0 / 1.8, max_relative = 1e-12);
    assert_relative_eq!(outdoor("Outdoor+20 K"), 20.0, max_relative = 1e-12);
    assert_relative_eq!(outdoor("outdoor - 5 F"), -5.0 / 1.8, max_relative = 1e-12);
    assert_relative_eq!(outdoor("outdoor − 5 F"), -5.0 / 1.8, max_relative = 1e-12);
}

#[test]
fn resistances_of_a_part() {
    let resistance = |text: &str| {
        let job = replaced(r#"{ part = "solenoid valve", kv = 5.2 }"#, &format!("{{ part = \"ball valve\"{text} }}"));
        match &job.circuits[0].liquid.runs[4].path {
            Way::Part(part) => part.resistance,
            other => panic!("{other:?}"),
        }
    };
    // IEC 60534: Kv = 0.865 Cv.
    assert!(matches!(resistance(", cv = 6"), Resistance::Kv(kv) if (kv - 6.0 * 0.865).abs() < 5e-3));
    assert!(
        matches!(resistance(r#", length = "3 ft""#), Resistance::EquivalentLength(l) if (l.value - 0.9144).abs() < 1e-9)
    );
    // 3 bores of the line's 1.025 in.
    assert!(matches!(resistance(""), Resistance::EquivalentLength(l) if (l.value - 3.0 * 1.025 * 0.0254).abs() < 1e-9));
}

#[test]
fn compressors_by_map() {
    let at = HALL.find("rating = {").unwrap();
    let end = at + HALL[at..].find('\n').unwrap();
    let map = r#"map = { temperature = "F", suction = "45 F", condensing = "120 F", superheat = "20 F", subcooling = "15 F",
        flow = [217.3163128, 5.094492028, -0.593170311, 4.38e-2, -2.14e-2, 1.04e-2, 7.90e-5, -5.73e-5, 1.79e-4, -8.08e-5],
        flow_unit = "lb/h", power = [900, 1, 8, 0, 0, 0, 0, 0, 0, 0], power_unit = "W" }"#;
    let job = read(&format!("{}{map}{}", &HALL[..at], &HALL[end..]));
    let compressors = &job.circuits[0].compressors;
    assert_relative_eq!(compressors.rated_at.superheat.value, 20.0 / 1.8, max_relative = 1e-12);
    let Performance::Map(map) = &compressors.performance else { panic!("a map") };
    assert!(map.fahrenheit && map.capacity.is_none());
    let flow = map.flow.unwrap();
    assert_relative_eq!(flow.to_si, 0.453_592_37 / 3_600.0, max_relative = 1e-12);
    assert_relative_eq!(flow.coefficients[3], 4.38e-2);
}

/// Published percentiles of a typical year at 45 N 8 E, 250 m (PVGIS, European Commission JRC): temperature in °C
/// reached or exceeded in 0.4, 1 and 2 % of the hours, and the extremes.
#[test]
fn a_years_weather() {
    let weather = roofrun::weather::open(Path::new("tests/data/weather/typical_year_45N_8E.epw")).unwrap();
    assert_eq!((weather.records.len(), weather.location.elevation_m), (8760, Some(250.0)));
    for (share, celsius) in [(0.0, 34.33), (0.004, 31.71), (0.01, 30.21), (0.02, 28.97), (0.99, -0.72), (0.996, -1.26)]
    {
        assert_relative_eq!(weather.exceeded(share) - 273.15, celsius, epsilon = 1e-9);
    }
    assert_relative_eq!(weather.lowest() - 273.15, -2.34, epsilon = 1e-9);
}

#[test]
fn summer_and_winter_from_weather() {
    let given = "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"";
    let weather = "weather = \"typical_year_45N_8E.epw\"\nsummer_percent = 1";
    let job = read(&HALL.replace(given, weather).replace("altitude = \"890 ft\"", ""));
    assert_relative_eq!(job.site.summer.kelvin() - 273.15, 30.21, epsilon = 1e-9);
    assert_relative_eq!(job.site.winter.kelvin() - 273.15, -2.34, epsilon = 1e-9);
    assert_relative_eq!(job.site.altitude.value, 250.0);
    let told = |key: &str| job.assumptions.iter().find(|a| a.key == key).unwrap();
    assert_eq!(told("site.altitude").why, "elevation of the weather station");
    assert_eq!(told("site.summer").why, "reached or exceeded in 1 % of the hours of the weather file");
}

#[test]
fn a_winter_that_is_not_the_coldest_hour() {
    let given = "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"";
    for (percent, celsius) in [("99", -0.72), ("99.6", -1.26)] {
        let weather = format!("weather = \"typical_year_45N_8E.epw\"\nwinter_percent = {percent}");
        let job = read(&HALL.replace(given, &weather));
        assert_relative_eq!(job.site.summer.kelvin() - 273.15, 31.71, epsilon = 1e-9);
        assert_relative_eq!(job.site.winter.kelvin() - 273.15, celsius, epsilon = 1e-9);
        let told = job.assumptions.iter().find(|a| a.key == "site.winter").unwrap();
        assert_eq!(told.why, format!("reached or exceeded in {percent} % of the hours of the weather file"));
    }
}

#[test]
fn summer_and_winter_from_a_tmy3() {
    let given = "summer = \"96 F\"                  # design outdoor dry-bulb\nwinter = \"2 F\"";
    let job = read(&HALL.replace(given, "weather = \"tmy3_723170_greensboro.csv\""));
    assert_relative_eq!(job.site.summer.kelvin() - 273.15, 33.3, epsilon = 1e-9);
    assert_relative_eq!(job.site.winter.kelvin() - 273.15, -16.7, epsilon = 1e-9);
}

/// Every job among the examples reads.
#[test]
fn examples_read() {
    let mut count = 0;
    for entry in std::fs::read_dir("examples").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "toml") {
            job::open_unsized(&path).unwrap_or_else(|faults| panic!("{faults}"));
            count += 1;
        }
    }
    assert!(count >= 6, "{count} examples");
}

#[test]
fn pressure_relief_and_stop_valves() {
    use roofrun::job::{Code, Relief};
    let bare = read(HALL);
    assert!(bare.site.code == Code::Us && bare.circuits[0].relief == Relief::NotGiven);
    assert!(bare.circuits[0].design_pressure.is_none() && !bare.circuits[0].liquid.stop_valves);
    let first = HALL.lines().find(|line| line.starts_with("refrigerant = ")).unwrap();
    let with = |keys: &str| read(&HALL.replacen(first, &format!("{first}\n{keys}"), 1));
    assert_eq!(with("relief_valve = \"none\"").circuits[0].relief, Relief::None);
    let job = with(
        "design_pressure = \"700 psig\"\nrelief_valve = { setting = \"680 psig\", capacity = \"30 lb/min\", count = 2, \
         tube = \"2 Sch40\", length = \"20 ft\", fittings = { elbow = 2 } }",
    );
    let circuit = &job.circuits[0];
    let gauge = |pressure: roofrun::units::Pressure| (pressure.pascals() - job.site.atmosphere.pascals()) / PSI;
    assert_relative_eq!(gauge(circuit.design_pressure.unwrap()), 700.0, max_relative = 1e-9);
    let valve = circuit.relief.valve().unwrap();
    assert_relative_eq!(gauge(valve.setting), 680.0, max_relative = 1e-9);
    assert_relative_eq!(valve.capacity.unwrap().value, 30.0 * 0.453_592_37 / 60.0, max_relative = 1e-9);
    assert_eq!((valve.count, valve.tube.as_ref().unwrap().name.as_str()), (2, "2 Sch40"));
    assert_relative_eq!(valve.length.unwrap().value, 6.096, max_relative = 1e-12);
    assert_eq!(valve.fittings, [("elbow".to_owned(), 2)]);
}
