//! What a remedy says holds when it is written: the changed file is read, solved and looked at by itself, and agrees.
#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};
use roofrun::job::{self, Circuit, HeadControl, Job, LineId, Path as Way, ReceiverStyle};
use roofrun::refdata::{self, Tube};
use roofrun::remedies::{Change, Remedy, all_tube_mass, edits, remedies, whole};
use roofrun::rules::{Finding, Verdict, check_all};
use roofrun::survey::{PointId, Survey, survey, what_if};
use roofrun::units::{Temperature, metres};
use std::path::Path;

/// A drawing with faults.
#[derive(Clone, Debug)]
struct Draft {
    refrigerant: &'static str,
    tons: f64,
    rise: f64,
    level: f64,
    over: f64,
    discharge: &'static str,
    riser: &'static str,
    liquid: &'static str,
    air: f64,
    receiver: f64,
    subcooling: f64,
    bypass: f64,
    condenser: f64,
    through: bool,
    si: bool,
}

const TUBES: [&str; 9] =
    ["7/8 ACR", "1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "2-5/8 ACR", "1-3/8 K", "1-5/8 L", "1-1/2 Sch40"];

fn draft() -> impl Strategy<Value = Draft> {
    let refrigerants = prop::sample::select(vec!["R-134a", "R-410A", "R-407C", "R-22", "R-454B", "R-513A"]);
    let tubes = || prop::sample::select(TUBES.to_vec());
    (
        (refrigerants, 10.0..24.0_f64, 4.0..40.0_f64, 8.0..60.0_f64, 0.0..12.0_f64),
        (tubes(), tubes(), tubes()),
        (0.02..0.3_f64, 0.5..6.0_f64, 3.0..10.0_f64, 0.0..0.4_f64, 14.5..17.5_f64, any::<[bool; 2]>()),
    )
        .prop_map(|((refrigerant, tons, rise, level, over), (discharge, riser, liquid), rest)| {
            let (air, receiver, subcooling, bypass, condenser, [through, si]) = rest;
            let round = |value: f64| (value * 10.0).round() / 10.0;
            Draft {
                refrigerant,
                tons: tons.round(),
                rise: round(rise),
                level: round(level),
                over: round(over),
                discharge,
                riser,
                liquid,
                air: (air * 100.0).round() / 100.0,
                receiver: round(receiver),
                subcooling: round(subcooling),
                bypass: (bypass * 100.0).round() / 100.0,
                condenser,
                through,
                si,
            }
        })
}

impl Draft {
    fn text(&self) -> String {
        let Self { refrigerant, tons, rise, level, over, discharge, riser, liquid, air, receiver, .. } = self;
        let Self { subcooling, bypass, condenser, si, .. } = self;
        let (kilowatts, rejection, falls) = (tons * 1.03, tons * condenser, rise + over);
        let units = if *si { "si" } else { "ip" };
        let style = if self.through { "through" } else { "surge" };
        format!(
            r#"# A drawing.
[job]
title = "drawing"
units = "{units}"
[site]
altitude = "300 ft"
summer = "95 F"
winter = "10 F"
[[circuit]]
name = "A.1"
refrigerant = "{refrigerant}"
[circuit.compressors]
count = 2
minimum = 1
rating = {{ capacity = "{tons} ton", power = "{kilowatts} kW", suction = "40 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
hot_gas_bypass = {{ share = {bypass}, when = "minimum" }}
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
volume = "0.7 ft3"
[circuit.condenser]
rejection = "{rejection} MBH"
td = "23 F"
pressure_drop = "3 psi"
subcooling = "{subcooling} F"
elevation = "{rise} ft"
volume = "1.9 ft3"
head_control = {{ by = "fans", setpoint = "85 F", minimum_air = {air} }}
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
minimum_drop = "45 psi"
[circuit.discharge]
tube = "{discharge}"                     # as it was at hand
route = [
  {{ level = "{level} ft", fittings = {{ long-elbow = 2 }} }},
  {{ rise = "{rise} ft", tube = "{riser}" }},                # up the shaft
  {{ level = "10 ft", fittings = {{ elbow = 1 }}, slope = "with flow" }},
]
[circuit.liquid]
tube = "{liquid}"
route = [
  {{ part = "receiver", style = "{style}", volume = "{receiver} ft3" }},
  {{ level = "{level} ft", ambient = "outdoor + 10 F" }},
  {{ drop = "{falls} ft" }},
  {{ rise = "{over} ft" }},
  {{ level = "20 ft", fittings = {{ elbow = 3 }} }},
  {{ part = "filter-drier", pressure_drop = "2 psi" }},
  {{ part = "solenoid valve", pressure_drop = "1.5 psi" }},
]
"#
        )
        .replace("  { rise = \"0 ft\" },\n", "")
    }
}

/// A job with its survey and findings.
struct Solved {
    job: Job,
    survey: Survey,
    findings: Vec<Finding>,
}

fn solved(text: &str) -> Solved {
    let job = job::read("drawing.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    let survey = survey(&job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let findings = check_all(&job, &survey);
    Solved { job, survey, findings }
}

impl Solved {
    fn written(&self, changes: &[Change]) -> Solved {
        let mut meant = self.job.clone();
        for change in changes {
            change.apply(&mut meant);
        }
        let text = job::edit(&self.job.text, &edits(&self.job, &self.job.text, changes))
            .unwrap_or_else(|fault| panic!("{fault}\n{changes:#?}"));
        assert!(text.contains("# A drawing.") || !self.job.text.contains("# A drawing."));
        let written = solved(&text);
        for (meant, read) in meant.circuits.iter().zip(&written.job.circuits) {
            assert_eq!(meant.discharge, read.discharge, "as meant and as read\n{text}");
            assert_eq!(meant.liquid, read.liquid, "as meant and as read\n{text}");
            assert_eq!(
                format!("{:?}", meant.condenser),
                format!("{:?}", read.condenser),
                "as meant and as read\n{text}"
            );
        }
        written
    }

    fn failing(&self) -> Vec<&'static str> {
        let mut rules: Vec<&'static str> = self
            .findings
            .iter()
            .filter(|f| f.verdict == Verdict::Fail && f.circuit.is_some())
            .map(|f| f.rule)
            .collect();
        rules.sort_unstable();
        rules.dedup();
        rules
    }

    fn count(&self, rule: &str, verdict: Verdict) -> usize {
        self.findings.iter().filter(|f| f.rule == rule && f.verdict >= verdict).count()
    }

    fn charge(&self) -> Option<f64> {
        self.survey.circuits[0].charge.as_ref().map(|charge| charge.total_kg)
    }
}

/// The difference of two figures is the same to nine digits of the larger.
fn same(told: f64, before: f64, after: f64) -> bool {
    (told - (after - before)).abs() <= 1e-9 * before.abs().max(after.abs()) + 1e-12
}

/// The whole remedy of a drawing, written: nothing fails but what it says, it costs what it says, and nothing is left to mend.
fn whole_holds(text: &str) {
    let drawn = solved(text);
    if drawn.failing().is_empty() {
        return;
    }
    let Some(found) = whole(&drawn.job, &drawn.survey, &drawn.findings) else { return };
    let written = drawn.written(&found.changes);
    let mut left: Vec<&str> = found.left.iter().flat_map(|(_, rules)| rules.iter().copied()).collect();
    left.sort_unstable();
    left.dedup();
    assert_eq!(written.failing(), left, "{}\n{:#?}", written.job.text, found.changes);
    for rule in &found.effect.resolves {
        let fewer = |verdict| written.count(rule, verdict) < drawn.count(rule, verdict);
        assert!(fewer(Verdict::Fail) || fewer(Verdict::Caution), "{rule} is not resolved\n{text}");
    }
    let mass = |solved: &Solved| solved.job.circuits.iter().map(all_tube_mass).sum::<f64>();
    assert!(same(found.cost.copper_kg, mass(&drawn), mass(&written)));
    if let (Some(told), [Some(before), Some(after)]) = (found.cost.charge_kg, [drawn.charge(), written.charge()]) {
        assert!(same(told, before, after), "{told} kg, {before} -> {after}\n{}\n{:#?}", drawn.job.text, found.changes);
    }
    let power = |solved: &Solved| solved.survey.circuits[0].point(PointId::SummerFull).map(|point| point.power_W);
    if let (Some(told), [Some(before), Some(after)]) = (found.cost.power_W, [power(&drawn), power(&written)]) {
        assert!(same(told, before, after), "{told} W, {before} -> {after}");
    }
    if left.is_empty() {
        assert!(whole(&written.job, &written.survey, &written.findings).is_none(), "what was written is mended again");
    }
}

/// Each single remedy, written: the finding is gone, what is told to fail newly does, and nothing else does.
fn singles_hold(text: &str) {
    let drawn = solved(text);
    let all = remedies(&drawn.job, &drawn.survey, &drawn.findings);
    for (finding, remedies) in drawn.findings.iter().zip(&all) {
        for remedy in remedies {
            let Remedy { changes, effect, .. } = remedy;
            assert!(!changes.is_empty(), "{finding:#?}");
            let written = drawn.written(changes);
            let fewer = |verdict| written.count(finding.rule, verdict) < drawn.count(finding.rule, verdict);
            assert!(fewer(finding.verdict), "{} is not mended by {changes:#?}\n{text}", finding.rule);
            for rule in written.failing() {
                let known = drawn.count(rule, Verdict::Fail) > 0 || effect.newly_fails.contains(&rule);
                assert!(known, "{rule} fails newly with {changes:#?}\n{text}");
            }
            for rule in &effect.newly_fails {
                assert!(written.count(rule, Verdict::Fail) > 0, "{rule} was told to fail with {changes:#?}\n{text}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_written_remedy_does_what_it_says(draft in draft()) {
        whole_holds(&draft.text());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn every_single_remedy_does_what_it_says(draft in draft()) {
        singles_hold(&draft.text());
    }
}

/// A circuit's drawing: its lines and its condenser.
fn drawing(circuit: &Circuit) -> String {
    format!("{:?} {:?} {:?} {:?}", circuit.discharge, circuit.liquid, circuit.condenser, circuit.compressors.bypass)
}

/// No remedy of what a remedy made is its undoing.
fn never_in_a_circle(text: &str) {
    let drawn = solved(text);
    let first = drawing(&drawn.job.circuits[0]);
    let of = |solved: &Solved| -> Vec<Vec<Change>> {
        let all = remedies(&solved.job, &solved.survey, &solved.findings);
        let fails = solved.findings.iter().zip(all).filter(|(finding, _)| finding.verdict == Verdict::Fail);
        fails.flat_map(|(_, remedies)| remedies).map(|remedy| remedy.changes).collect()
    };
    for changes in of(&drawn) {
        let made = drawn.written(&changes);
        for back in of(&made) {
            let mut again = made.job.clone();
            for change in &back {
                change.apply(&mut again);
            }
            assert_ne!(drawing(&again.circuits[0]), first, "{changes:#?} is undone by {back:#?}\n{text}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn remedies_do_not_undo_each_other(draft in draft()) {
        never_in_a_circle(&draft.text());
    }
}

/// A change that somebody might try.
type Idea = (String, Box<dyn Fn(&mut Circuit) + Sync>);

fn idea(name: impl Into<String>, change: impl Fn(&mut Circuit) + Sync + 'static) -> Idea {
    (name.into(), Box::new(change))
}

/// The tubes of the runs of a line that are risers, or that are not.
fn tube_of(circuit: &mut Circuit, line: LineId, risers: bool, tubes: &[Tube]) {
    for run in &mut line.of_mut(circuit).runs {
        let is_riser = line == LineId::Discharge && matches!(run.path, Way::Rise { .. });
        if !matches!(run.path, Way::Part(_)) && is_riser == risers {
            run.tubes = tubes.to_vec();
        }
    }
}

/// What somebody might try who knows nothing of what is tried here.
fn ideas() -> Vec<Idea> {
    let mut ideas: Vec<Idea> = Vec::new();
    let tube = |name: &str| refdata::tube(name).unwrap().clone();
    for size in ["1-1/8 K", "1-3/8 ACR", "1-5/8 ACR", "1-5/8 K", "2-1/8 ACR", "2 Sch40"] {
        for (line, risers) in [(LineId::Discharge, false), (LineId::Discharge, true), (LineId::Liquid, false)] {
            let new = [tube(size)];
            ideas.push(idea(format!("{size} in {line:?} {risers}"), move |c| tube_of(c, line, risers, &new)));
        }
    }
    let pair = [tube("1-1/8 ACR"), tube("1-5/8 ACR")];
    ideas.push(idea("double riser", move |c| tube_of(c, LineId::Discharge, true, &pair)));
    for line in LineId::BOTH {
        ideas.push(idea(format!("insulation on {line:?}"), move |c| {
            line.of_mut(c).runs.iter_mut().for_each(|run| run.insulation = metres(0.0254));
        }));
    }
    ideas.push(idea("traps", |c| {
        for run in &mut c.discharge.runs {
            if let Way::Rise { traps, .. } = &mut run.path {
                (traps.foot, traps.top) = (true, true);
            }
        }
    }));
    for style in [ReceiverStyle::Surge, ReceiverStyle::Through] {
        ideas.push(idea(format!("{style:?}"), move |c| receivers(c, &|receiver| receiver.style = style)));
    }
    for times in [1.5, 3.0] {
        ideas.push(idea(format!("receiver x {times}"), move |c| {
            receivers(c, &|receiver| receiver.volume = receiver.volume.map(|volume| volume * times));
        }));
    }
    for kelvin in [302.6, 308.0, 314.0] {
        let setpoint = Temperature::from_kelvin(kelvin);
        for control in [HeadControl::Fans { setpoint, minimum_air: 0.05 }, HeadControl::Flooding { setpoint }] {
            ideas.push(idea(format!("{control:?}"), move |c| c.condenser.head_control = control));
        }
    }
    for times in [1.2, 1.5] {
        ideas.push(idea(format!("condenser x {times}"), move |c| c.condenser.rejection *= times));
    }
    ideas.push(idea("half the bypass", |c| c.compressors.bypass.share *= 0.5));
    ideas
}

fn receivers(circuit: &mut Circuit, change: &dyn Fn(&mut job::Receiver)) {
    for run in &mut circuit.liquid.runs {
        if let Way::Part(part) = &mut run.path {
            part.receiver.iter_mut().for_each(change);
        }
    }
}

/// Where the whole remedy leaves something failing, no two changes of a list that is not its own leave nothing failing.
fn brute_force_agrees(drawn: &Solved) {
    let ideas = ideas();
    ideas.par_iter().enumerate().for_each(|(at, (first, one))| {
        for (second, other) in &ideas[at..] {
            let mut circuit = drawn.job.circuits[0].clone();
            one(&mut circuit);
            other(&mut circuit);
            let Ok(solved) = what_if(&drawn.job, &circuit) else { continue };
            // Nobody lays a liquid line in which nothing moves, or fills half as much again.
            let rating = solved.point(PointId::Rating).into_iter().flat_map(|point| &point.liquid_line.runs);
            let slowest = rating.flat_map(|run| run.tubes.iter().map(|tube| tube.velocity_m_s)).fold(1.0, f64::min);
            let charge = solved.charge.as_ref().map_or(0.0, |charge| charge.total_kg);
            if slowest < 0.3 || drawn.charge().is_some_and(|before| charge > 1.5 * before) {
                continue;
            }
            let job = Job { circuits: vec![circuit], ..drawn.job.clone() };
            let findings = check_all(&job, &Survey { circuits: vec![solved] });
            let fails = findings.iter().any(|finding| finding.verdict == Verdict::Fail);
            assert!(fails, "nothing fails with {first} and {second}\n{}", drawn.job.text);
        }
    });
}

#[test]
fn where_no_whole_remedy_is_known_two_changes_are_none() {
    let mut runner = TestRunner::deterministic();
    let mut left = 30;
    while left > 0 {
        let drawn = solved(&draft().new_tree(&mut runner).unwrap().current().text());
        let known = whole(&drawn.job, &drawn.survey, &drawn.findings).is_some_and(|whole| whole.left.is_empty());
        if !drawn.failing().is_empty() && !known {
            brute_force_agrees(&drawn);
            left -= 1;
        }
    }
}

#[test]
fn the_remedies_of_every_example_do_what_they_say() {
    for entry in std::fs::read_dir("examples").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "toml") {
            let text = std::fs::read_to_string(&path).unwrap();
            // Weather stands beside the examples.
            if text.lines().any(|line| line.starts_with("weather")) {
                continue;
            }
            whole_holds(&text);
            singles_hold(&text);
        }
    }
}

/// What nobody pipes, and what is a fact and no remedy.
#[test]
fn the_hall_as_drawn_is_mended_by_what_people_buy() {
    let drawn = solved(&std::fs::read_to_string("examples/as-drawn.toml").unwrap());
    let found = whole(&drawn.job, &drawn.survey, &drawn.findings).unwrap();
    assert!(found.left.is_empty(), "{found:#?}");
    let mended = drawn.written(&found.changes);
    assert!(mended.failing().is_empty());
    for change in &found.changes {
        if let Change::Tubes(_, _, _, tubes) = change {
            assert!(tubes.len() <= 2, "{tubes:?}");
        }
    }
    let (before, after) = (&drawn.job, &mended.job);
    assert_eq!(before.site.summer, after.site.summer);
    assert_eq!(before.limits, after.limits);
    assert_eq!(before.circuits[0].condenser.cutout, after.circuits[0].condenser.cutout);
    assert_eq!(before.circuits[0].valve.minimum_drop, after.circuits[0].valve.minimum_drop);
    assert_eq!(before.circuits[0].condenser.subcooling, after.circuits[0].condenser.subcooling);
}

/// A circuit that nothing helps is told beside one that is mended, and so is a plant that carries too little.
#[test]
fn what_no_change_helps_is_not_left_out() {
    let drawn = std::fs::read_to_string("examples/as-drawn.toml").unwrap();
    let circuit = &drawn[drawn.find("[[circuit]]").unwrap()..];
    // Liquid that has to climb 300 ft is past what tube and subcoolers do.
    let second = circuit
        .replace("name = \"1A\"", "name = \"2A\"")
        .replace("chiller 1", "chiller 2")
        .replace("elevation = \"12 ft\"", "elevation = \"-300 ft\"")
        .replace("{ rise = \"12 ft\", tube", "{ drop = \"300 ft\", tube")
        .replace(", trap = \"foot\"", "")
        .replace("{ drop = \"18 ft\" }", "{ rise = \"294 ft\" }");
    let solved = solved(&format!("{drawn}\n{second}\n[plant]\nload = \"200 ton\"\n"));
    let found = whole(&solved.job, &solved.survey, &solved.findings).unwrap();
    let left =
        |circuit| found.left.iter().find(|(of, _)| *of == circuit).map_or(&[][..], |(_, rules)| rules.as_slice());
    assert!(left(Some(0)).is_empty(), "{found:#?}");
    assert!(left(Some(1)).contains(&"liquid-flash"), "{:#?}", found.left);
    assert_eq!(left(None), ["plant-load"]);
    let written = solved.written(&found.changes);
    let fails = |circuit| written.findings.iter().any(|f| f.circuit == circuit && f.verdict == Verdict::Fail);
    assert!(!fails(Some(0)) && fails(Some(1)) && fails(None));
}

/// A plant of R-134a without another fault than these: a switch too near under its relief valve, one valve on a large receiver, a
/// relief line that is too long, liquid shut in between a check valve and a solenoid valve, and in the coil.
const PRESSURE: &str = r#"
[site]
altitude = "0 ft"
summer = "95 F"
winter = "20 F"
[[circuit]]
name = "1A"
refrigerant = "R-134a"
relief_valve = { setting = "225 psig", capacity = "84.5 lb/min", tube = "1-1/4 Sch40", length = "50 ft" }
[circuit.compressors]
count = 2
minimum = 1
rating = { capacity = "40 ton", power = "42 kW", suction = "40 F", condensing = "120 F", superheat = "10 F", subcooling = "10 F" }
hot_gas_bypass = { share = 0.15, when = "minimum" }
[circuit.evaporator]
leaving = "45 F"
approach = "5 F"
superheat = "10 F"
volume = "0.8 ft3"
[circuit.condenser]
rejection = "660 MBH"
td = "22 F"
pressure_drop = "3 psi"
subcooling = "10 F"
elevation = "38 ft"
volume = "2 ft3"
cutout = "215 psig"
stop_valves = true
head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.05 }
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
minimum_drop = "40 psi"
[circuit.discharge]
tube = "2-5/8 ACR"
route = [
  { level = "8 ft", slope = "with flow" },
  { rise = "38 ft", trap = ["19 ft"] },
  { level = "10 ft", slope = "with flow" },
  { part = "check valve", pressure_drop = "0.1 psi" },
]
[circuit.liquid]
tube = "1-5/8 ACR"
route = [
  { part = "receiver", style = "surge", volume = "10.5 ft3", shell = { diameter = "16 in", length = "8 ft" }, stop_valves = true },
  { level = "16 ft" },
  { drop = "38 ft" },
  { part = "check valve", pressure_drop = "0.2 psi" },
  { level = "30 ft" },
  { part = "filter-drier", pressure_drop = "1 psi" },
  { part = "solenoid valve", pressure_drop = "1 psi" },
]
"#;

#[test]
fn faults_of_pressure_are_mended_by_a_lower_switch_a_relief_line_and_relief_valves() {
    let job = job::read("pressure.toml", PRESSURE, Path::new(".")).unwrap();
    let solved = survey(&job).unwrap();
    let told = check_all(&job, &solved);
    let mut fails: Vec<&str> = told.iter().filter(|f| f.verdict == Verdict::Fail).map(|f| f.rule).collect();
    fails.sort_unstable();
    assert_eq!(fails, ["design-pressure", "relief", "relief", "stop-valves", "stop-valves"]);
    let found = whole(&job, &solved, &told).unwrap();
    assert!(found.left.is_empty(), "{found:#?}");
    let switch = found.changes.iter().find_map(|change| match change {
        Change::Cutout(_, setting) => Some(setting.pascals()),
        _ => None,
    });
    // 200 psig is the highest step of 5 psi under 90 % of 225; nothing is set higher.
    assert!((switch.unwrap() / 6_894.757 - 214.696).abs() < 0.1);
    let mended = job::edit(PRESSURE, &edits(&job, PRESSURE, &found.changes)).unwrap();
    assert!(mended.contains("tube = \"2 Sch40\", length = \"50 ft\", count = 2"), "{mended}");
    let job = job::read("mended.toml", &mended, Path::new(".")).unwrap();
    let left = check_all(&job, &survey(&job).unwrap());
    assert!(left.iter().all(|finding| finding.verdict < Verdict::Fail), "{left:#?}");
}
