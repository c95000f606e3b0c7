//! `size` finds the cheapest set of tubes that passes: brute force over every combination agrees.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use approx::assert_relative_eq;
use roofrun::job::{self, Job};
use roofrun::refdata::{self, Tube};
use roofrun::rules::{self, Verdict};
use roofrun::size::{self, Outcome, Sizing};
use roofrun::survey::{PointId, survey};
use std::path::Path;

/// A job with open lines.
struct Draft {
    refrigerant: &'static str,
    tons: f64,
    minimum: f64,
    rise: f64,
    level: f64,
    subcooling: f64,
    around: &'static str,
    discharge: &'static str,
}

const PLAIN: Draft = Draft {
    refrigerant: "R-134a",
    tons: 20.0,
    minimum: 0.5,
    rise: 30.0,
    level: 40.0,
    subcooling: 8.0,
    around: "",
    discharge: "auto",
};

impl Draft {
    fn text(&self) -> String {
        let Self { refrigerant, tons, minimum, rise, level, subcooling, around, discharge } = self;
        let kilowatts = tons * 1.02;
        let rejection = tons * 16.4;
        format!(
            r#"# A draft whose tubes are open.
[job]
title = "draft"
[site]
altitude = "890 ft"
summer = "95 F"
winter = "30 F"
[[circuit]]
name = "A"
refrigerant = "{refrigerant}"
[circuit.compressors]
count = 2
minimum_share = {minimum}
rating = {{ capacity = "{tons} ton", power = "{kilowatts} kW", suction = "40 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "{rejection} MBH"
td = "22 F"
pressure_drop = "2 psi"
subcooling = "{subcooling} F"
elevation = "{rise} ft"
head_control = {{ by = "flooding", setpoint = "80 F" }}
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
[circuit.discharge]
tube = "{discharge}"     # to be found
route = [
  {{ level = "{level} ft", fittings = {{ long-elbow = 2 }}, slope = "with flow" }},
  {{ rise = "{rise} ft", trap = ["12 ft"] }},  # up the shaft
  {{ part = "check valve", pressure_drop = "0.3 psi" }},
]
[circuit.liquid]
tube = "auto"
route = [
  {{ part = "head-pressure valve", pressure_drop = "0 psi", bypass = true }},
  {{ part = "receiver", style = "surge", pressure_drop = "0 psi" }},
  {{ drop = "{rise} ft", fittings = {{ elbow = 1 }}{around} }},
  {{ level = "{level} ft", fittings = {{ elbow = 3 }}{around} }},
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
    job::read_open("draft.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn tubes(names: &[&str]) -> Vec<Tube> {
    names.iter().map(|name| refdata::tube(name).unwrap().clone()).collect()
}

fn sized(job: &Job, tubes: &[Tube]) -> Sizing {
    size::size(job, &[tubes.to_vec(), Vec::new()]).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// The set found and the set that brute force finds have the same copper (several sets may weigh the same).
fn compare(draft: &Draft, names: &[&str]) {
    let (job, tubes) = (draft.read(), tubes(names));
    let sizing = sized(&job, &tubes);
    let all = size::brute_force(&job, &job.circuits[0], &tubes).unwrap();
    match (&sizing.circuits[0].outcome, all) {
        (Outcome::Found { numbers, .. }, Some(best)) => {
            let mut circuit = job.circuits[0].clone();
            for (place, choice) in &best {
                place.put(&mut circuit, &choice.tubes);
            }
            assert_relative_eq!(numbers.copper_kg, size::tube_mass(&circuit), max_relative = 1e-9);
        }
        (Outcome::Blocked { .. }, None) => {}
        (found, all) => panic!("{} {:?}: search {found:?}, brute force {all:?}", draft.refrigerant, names),
    }
}

const SIX: [&str; 6] = ["7/8 ACR", "1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "2-5/8 ACR"];

#[test]
fn agrees_with_brute_force_on_a_plain_job() {
    compare(&PLAIN, &SIX);
}

#[test]
fn agrees_with_brute_force_where_the_riser_must_be_split() {
    compare(&Draft { minimum: 0.1, ..PLAIN }, &SIX[..5]);
}

#[test]
fn agrees_with_brute_force_where_strength_decides() {
    compare(
        &Draft { refrigerant: "R-407C", tons: 25.0, ..PLAIN },
        &["7/8 ACR", "1-1/8 ACR", "1-1/8 K", "1-3/8 K", "1-5/8 K"],
    );
}

#[test]
fn agrees_with_brute_force_where_the_liquid_line_is_warm() {
    compare(&Draft { around: r#", ambient = "outdoor + 20 F""#, subcooling: 6.0, ..PLAIN }, &SIX[..5]);
}

#[test]
fn agrees_with_brute_force_where_nothing_passes() {
    compare(&Draft { refrigerant: "R-410A", tons: 40.0, ..PLAIN }, &["1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR"]);
}

#[test]
fn agrees_with_brute_force_where_only_the_liquid_line_is_open() {
    compare(&Draft { discharge: "1-5/8 ACR", tons: 14.0, ..PLAIN }, &SIX);
}

#[test]
fn what_it_proposes_passes_on_the_written_file_with_the_same_numbers() {
    let text = PLAIN.text();
    let job = read(&text);
    let sizing = size::size(&job, &size::catalogue(&job)).unwrap_or_else(|faults| panic!("{faults:?}"));
    let Outcome::Found { numbers, neighbours, .. } = &sizing.circuits[0].outcome else {
        panic!("{:?}", sizing.circuits[0].outcome)
    };
    let written = size::write(&text, &sizing.job).unwrap();
    assert!(written.contains("# to be found") && written.contains("# up the shaft"), "{written}");
    assert!(!written.contains("auto"), "{written}");
    let job = job::read("written.toml", &written, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"));
    let survey = survey(&job).unwrap();
    let again = size::numbers(&job.circuits[0], &survey.circuits[0]).unwrap();
    assert_eq!(*numbers, again);
    let findings = rules::check_all(&job, &survey);
    assert!(findings.iter().all(|finding| finding.verdict != Verdict::Fail), "{findings:?}");
    assert!(!neighbours.is_empty());
    let cheaper = neighbours.iter().find(|n| !n.larger && n.fails.is_empty() && n.misses.is_empty());
    assert!(cheaper.is_none(), "a smaller tube passes, and is cheaper: {cheaper:?}");
}

#[test]
fn says_what_stands_in_the_way() {
    let job = Draft { refrigerant: "R-410A", tons: 40.0, ..PLAIN }.read();
    let sizing = sized(&job, &tubes(&["2-1/8 ACR", "2-5/8 ACR"]));
    let Outcome::Blocked { fails, .. } = &sizing.circuits[0].outcome else { panic!("it passes") };
    assert!(fails.iter().any(|finding| finding.rule == "tube-strength"), "{fails:?}");
}

/// The handbook's rule for a double hot-gas riser (ASHRAE Handbook - Refrigeration, Halocarbon Refrigeration Systems, from
/// memory): the small riser carries the minimum load with oil, both together lose no more than a line may at full load,
/// and the large one, trapped at its foot, fills with oil at part load.
#[test]
fn a_double_riser_follows_the_handbooks_rule() {
    // Of these every tube that lifts oil at a tenth of the flow loses too much at full flow, so that it takes two.
    let job = Draft { minimum: 0.1, rise: 60.0, ..PLAIN }.read();
    let sizing = sized(&job, &size::of_kinds(&job, &["ACR".to_owned()]).unwrap());
    let Outcome::Found { set, sealed_at, .. } = &sizing.circuits[0].outcome else { panic!("nothing passes") };
    let (_, riser) = set.iter().find(|(place, _)| *place == size::Section::DischargeRise).unwrap();
    let [small, large] = &riser.tubes[..] else { panic!("one tube does: {:?}", riser.tubes) };
    assert_eq!(*sealed_at, ["summer minimum", "winter minimum"]);

    let solved = survey(&sizing.job).unwrap();
    let circuit = &solved.circuits[0];
    let rise = |point: &str| &circuit.points.iter().find(|known| known.name == point).unwrap().discharge_line.runs[1];
    for point in ["summer minimum", "winter minimum"] {
        let tubes = &rise(point).tubes;
        assert!(tubes[1].sealed && !tubes[0].sealed, "{point}");
        assert!(tubes[0].flow_kg_s >= tubes[0].oil_minimum_flow_kg_s.unwrap(), "{} at {point}", small.name);
    }
    let full = circuit.point(PointId::SummerFull).unwrap();
    assert!(full.discharge_line.saturation_drop_K <= roofrun::refdata::limit("discharge_drop").unwrap().value);
    assert!(rise("summer full").tubes.iter().all(|tube| tube.flow_kg_s >= tube.oil_minimum_flow_kg_s.unwrap()));

    // Neither of the two would do alone: the small one loses too much, the large one lifts no oil at the minimum load.
    for (tube, rule) in [(small, "discharge-drop"), (large, "oil-riser")] {
        let mut alone = sizing.job.clone();
        size::Section::DischargeRise.put(&mut alone.circuits[0], std::slice::from_ref(tube));
        let fails = rules::check_all(&alone, &survey(&alone).unwrap());
        assert!(fails.iter().any(|f| f.rule == rule && f.verdict == Verdict::Fail), "{} alone: {rule}", tube.name);
    }
}

/// A riser lifts oil by its velocity: nobody pipes it wider than the tube that leads to it (common practice, no source).
#[test]
fn a_riser_is_no_wider_than_the_tube_that_leads_to_it() {
    for tons in [12.0, 20.0, 28.0, 36.0] {
        let job = read(&Draft { tons, ..PLAIN }.text());
        let sizing = size::size(&job, &size::catalogue(&job)).unwrap_or_else(|faults| panic!("{faults:?}"));
        let bores = |is_rise: bool| {
            let runs = sizing.job.circuits[0].discharge.runs.iter();
            let of = runs.filter(move |run| !run.tubes.is_empty() && (run.path.rise_m() > 0.0) == is_rise);
            of.flat_map(|run| &run.tubes).map(|tube| tube.bore().value).fold(0.0, f64::max)
        };
        assert!(bores(true) > 0.0 && bores(true) <= bores(false), "{tons} tons: {} {}", bores(true), bores(false));
    }
}
