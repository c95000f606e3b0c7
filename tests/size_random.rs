//! `size` on random jobs: what it proposes passes on the written file with the same numbers, and where it says that nothing
//! passes, brute force agrees. Seeds of failures are kept in `tests/size_random.proptest-regressions`.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use approx::assert_relative_eq;
use proptest::prelude::*;
use roofrun::job::{self, Job};
use roofrun::refdata::{self, Tube};
use roofrun::rules::{self, Verdict};
use roofrun::size::{self, Outcome};
use roofrun::survey::survey;
use std::path::Path;

const REFRIGERANTS: [&str; 6] = ["R-134a", "R-513A", "R-1234ze(E)", "R-22", "R-407C", "R-515B"];
const ACR: [&str; 3] = ["1-1/8 ACR", "1-5/8 ACR", "2-1/8 ACR"];

/// What a random job is made of.
#[derive(Clone, Debug)]
struct Draft {
    refrigerant: usize,
    tons: f64,
    minimum: f64,
    rise: f64,
    level: [f64; 2],
    elbows: u32,
    subcooling: f64,
    warm: bool,
    below: bool,
    fixed_liquid: bool,
}

fn draft() -> impl Strategy<Value = Draft> {
    let shape = (5.0..60.0_f64, [5.0..60.0_f64, 5.0..60.0_f64], 0..6_u32, any::<bool>());
    let machine = (0..REFRIGERANTS.len(), 4.0..28.0_f64, 0.25..1.0_f64, 4.0..9.0_f64);
    (shape, machine, any::<bool>(), prop::bool::weighted(0.2)).prop_map(
        |((rise, level, elbows, below), (refrigerant, tons, minimum, subcooling), warm, fixed_liquid)| Draft {
            refrigerant,
            tons,
            minimum,
            // A condenser below asks the liquid to climb: not far.
            rise: if below { rise / 10.0 } else { rise },
            level,
            elbows,
            subcooling,
            warm,
            below,
            fixed_liquid,
        },
    )
}

impl Draft {
    fn text(&self) -> String {
        let Self { tons, minimum, rise, level: [there, back], elbows, subcooling, .. } = self;
        let refrigerant = REFRIGERANTS[self.refrigerant];
        let (kilowatts, rejection, receiver) = (tons * 1.02, tons * 16.4, tons * 0.4 + 2.0);
        let around = if self.warm { r#", ambient = "outdoor + 10 F", insulation = "1/2 in""# } else { "" };
        let (up, down, above) = if self.below { ("drop", "rise", -rise) } else { ("rise", "drop", *rise) };
        let trap = if self.below { "" } else { r#", trap = "foot and top""# };
        let liquid = if self.fixed_liquid { "1-1/8 ACR" } else { "auto" };
        format!(
            r#"[job]
title = "random"
[site]
altitude = "300 ft"
summer = "94 F"
winter = "25 F"
[[circuit]]
name = "A"
refrigerant = "{refrigerant}"
[circuit.compressors]
count = 4
minimum_share = {minimum}
rating = {{ capacity = "{tons} ton", power = "{kilowatts} kW", suction = "41 F", condensing = "116 F", superheat = "10 F", subcooling = "10 F" }}
[circuit.evaporator]
leaving = "46 F"
approach = "5 F"
superheat = "10 F"
[circuit.condenser]
rejection = "{rejection} MBH"
td = "22 F"
pressure_drop = "1.5 psi"
subcooling = "{subcooling} F"
elevation = "{above} ft"
head_control = {{ by = "flooding", setpoint = "82 F" }}
[circuit.valve]
kind = "electronic"
subcooling = "3 F"
[circuit.discharge]
tube = "auto" # open
route = [
  {{ level = "{there} ft", fittings = {{ long-elbow = {elbows} }} }},
  {{ {up} = "{rise} ft"{trap}{around} }},
  {{ part = "check valve", pressure_drop = "0.3 psi" }},
]
[circuit.liquid]
tube = "{liquid}"
route = [
  {{ part = "head-pressure valve", pressure_drop = "0 psi", bypass = true }},
  {{ part = "receiver", style = "surge", volume = "{receiver} ft3" }},
  {{ {down} = "{rise} ft"{around} }},
  {{ level = "{back} ft", fittings = {{ elbow = {elbows} }} }},
  {{ part = "filter-drier", pressure_drop = "0.8 psi" }},
]
"#
        )
    }
}

fn read_open(text: &str) -> Job {
    job::read_open("random.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn tubes(names: &[&str]) -> Vec<Tube> {
    names.iter().map(|name| refdata::tube(name).unwrap().clone()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, max_global_rejects: 5000, ..ProptestConfig::default() })]

    #[test]
    fn what_it_proposes_passes_on_the_written_file(draft in draft()) {
        let text = draft.text();
        let open = read_open(&text);
        let acr = size::of_kinds(&open, &["ACR".to_owned()]).unwrap();
        let sizing = size::size(&open, &[acr.clone(), Vec::new()]).unwrap_or_else(|faults| panic!("{faults:?}"));
        prop_assume!(sizing.complete());
        let Outcome::Found { numbers, .. } = &sizing.circuits[0].outcome else { panic!("{sizing:?}") };
        let written = size::write(&text, &sizing.job).unwrap();
        let job = job::read("written.toml", &written, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"));
        let survey = survey(&job).unwrap_or_else(|faults| panic!("{faults:?}"));
        prop_assert_eq!(*numbers, size::numbers(&job.circuits[0], &survey.circuits[0]).unwrap());
        let fails: Vec<_> =
            rules::check_all(&job, &survey).into_iter().filter(|finding| finding.verdict == Verdict::Fail).collect();
        prop_assert!(fails.is_empty(), "{fails:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn brute_force_agrees(draft in draft()) {
        let (job, tubes) = (read_open(&draft.text()), tubes(&ACR));
        let sizing = size::size(&job, &[tubes.clone(), Vec::new()]).unwrap_or_else(|faults| panic!("{faults:?}"));
        let all = size::brute_force(&job, &job.circuits[0], &tubes).unwrap_or_else(|fault| panic!("{fault}"));
        match (&sizing.circuits[0].outcome, all) {
            // What fails whatever the tube is told beside the set.
            (Outcome::Found { fails, .. }, None) if !fails.is_empty() => {}
            // Of what fails in a line that is fixed the search takes it that no tube of the other mends it: by a hair, some does, which
            // nobody pipes for that (a tube of thrice the loss warms the coil, and the liquid gains a hundredth of a degree).
            (Outcome::Found { fails, .. }, Some(_)) if !fails.is_empty() => {
                let survey = survey(&sizing.job).unwrap_or_else(|faults| panic!("{faults:?}"));
                for finding in rules::check_all(&sizing.job, &survey).iter().filter(|of| of.verdict == Verdict::Fail) {
                    let measure = finding.measure.unwrap();
                    let limit = measure.limit.unwrap();
                    prop_assert!(draft.fixed_liquid && finding.rule == "liquid-flash", "{finding:?}");
                    prop_assert!((measure.value - limit).abs() < 0.005 * limit, "{finding:?}");
                }
            }
            (Outcome::Found { numbers, .. }, Some(best)) => {
                let mut circuit = job.circuits[0].clone();
                for (place, choice) in &best {
                    place.put(&mut circuit, &choice.tubes);
                }
                assert_relative_eq!(numbers.copper_kg, size::tube_mass(&circuit), max_relative = 1e-9);
            }
            (Outcome::Blocked { .. }, None) => {}
            (found, all) => prop_assert!(false, "search {found:?}, brute force {all:?}"),
        }
    }
}
