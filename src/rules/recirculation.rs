//! `recirculation`: how much warm air returns to the coils?

use super::case::{capital, list};
use super::limit::{limit, title};
use super::mend::{farthest, half_degree_up, plan};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Return, RoofStudy, WarmAir};
use crate::units::System;
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "recirculation",
    question: "How much of the warm air returns to the coils, and does the plant stand it?",
    explanation: "\
Air that has left one condenser, or another source of warm air, and is drawn in again makes the coil warmer than the design day. The \
share of it in an intake follows from the dilution factor, outdoor air over the outlet's air, of the separation formula for outlets and \
intakes, L = 0.09 sqrt(Q) (sqrt(DF) - U/400), over the straight distance from the outlet's rim to the middle of each intake side. Its own \
outlet counts in every wind; other sources count where they lie upwind, within 45 degrees, in each of sixteen winds. An outlet at the \
top blows away at its velocity (without one given, the air flow over fans that take 0.4 of the top), but one with something higher on \
two sides or more within its own width is caught, and its velocity counts for nothing; one that blows at an intake, along the roof or \
up at one above it, counts against it. The rise of each source's own intake makes its outlet warmer; the heat is that of the design \
day as the job says it.

Where the dilution factor comes out below 1, less outdoor air than warm air, the formula is not good any more: it is taken as 1, and \
the rise is told as a least. It is a screening formula made for the exhausts of buildings; that a coil gets between half and twice of \
it on a day is this tool's own judgement, not the standard's. The estimate stands against what the job says ([circuit.condenser] or \
[site] recirculation). More than that by the first limit is a caution; the second limit, a circuit that then reaches its \
high-pressure switch, or a plant that then no longer carries its load is a fail. Each unit is judged by its own estimate; one that would \
draw hardly anything but warm air carries nothing.

The mend is the line to write into the job, the largest of all units that hold the circuit, so that every check counts with it; and \
where there is too much, what brings it under the limit: the unit or the one that warms it moved by up to 15 ft or 5 m, the unit set \
higher, the walls that catch its air lowered or opened, or a faster outlet where that makes a real difference. Each is found by \
studying the changed plan, and no finding of room, working space, guards, warm air or sound may be worse than before.",
    limits: &["recirculation_caution", "recirculation", "screen_open"],
    look: Look::Roof(look),
};

/// What the estimate is worth.
const WORTH: &str =
    "A screening formula: between half and twice of it is to be expected, by this tool's own judgement.";

/// What it is worth where less outdoor air than warm air comes.
const BEYOND: &str = "The formula does not hold so close: it may be more, up to warm air alone.";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study.warm_air.iter().map(|warm| judge(job, study, warm)).collect();
    findings.extend(plant(job, study));
    findings
}

fn judge(job: &Job, study: &RoofStudy, warm: &WarmAir) -> Finding {
    let show = job.units;
    let (caution, most) = (limit(job, "recirculation_caution"), limit(job, "recirculation"));
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(format!("unit {}", warm.name));
    let Some(worst) = &warm.worst else {
        // Air that comes back without end is worse than any limit.
        if warm.leaves_warmer_K.is_some() {
            let caught = if warm.caught { "; its outlet is caught between higher things" } else { "" };
            let says = format!("{} would draw hardly anything but warm air{caught}.", warm.name);
            let mut found = finding(Verdict::Fail).says(says).by(title("ashrae-62-1"));
            found.mend = Some(placed(job, warm));
            return found;
        }
        let why = warm.unknown.clone().unwrap_or_default();
        let says = format!("What returns to {} can't be estimated: {why}.", warm.name);
        return finding(Verdict::Note).says(says).by(title("ashrae-62-1"));
    };
    let trips = study.fed_back.iter().find(|fed| fed.trips && fed.unit == warm.name);
    let (verdict, against, source) = if trips.is_some() && worst.rise_K < most.value {
        (Verdict::Fail, warm.allowed_K, "the job file ([circuit.condenser] cutout)".to_owned())
    } else if worst.rise_K >= warm.allowed_K {
        (Verdict::Fail, warm.allowed_K, most.source)
    } else if worst.rise_K - warm.said_K > caution.value + 1e-9 {
        (Verdict::Caution, warm.said_K + caution.value, caution.source)
    } else {
        (Verdict::Pass, warm.said_K + caution.value, caution.source)
    };
    let mut says = told(show, warm, worst);
    if let Some(fed) = trips {
        let then = match fed.discharge_then_Pa {
            Some(pressure) => {
                let pressure = show.pressure_gauge(pressure, job.site.atmosphere.pascals());
                format!("pushes against {pressure} at summer full, and its switch opens")
            }
            None => "cannot reject its heat at summer full".to_owned(),
        };
        let _ = write!(says, " With it circuit {} {then}.", fed.circuit);
    }
    let mut found = finding(verdict).found(worst.rise_K, against, "K").by(source);
    if verdict > Verdict::Note {
        let _ = write!(says, " {}", if worst.at_least { BEYOND } else { WORTH });
        let placed = (verdict == Verdict::Fail).then(|| placed(job, warm));
        let mend: Vec<String> = placed.into_iter().chain(keys(job, study, warm)).collect();
        found.mend = Some(mend.join(" ")).filter(|mend| !mend.is_empty());
    }
    found.says(says)
}

/// The estimate in words, its parts adding up.
fn told(show: System, warm: &WarmAir, worst: &Return) -> String {
    let wind = match worst.wind_from_deg {
        Some(from) => format!("In the worst wind, from {from:.0}°,"),
        None => "In every wind".to_owned(),
    };
    let least = if worst.at_least { "at least " } else { "" };
    let mut parts = vec![format!("{} from its own outlet", show.difference(worst.own_K))];
    if let (Some(other), Some(gives)) = (&worst.other, worst.other_K) {
        parts.push(format!("{} from {other}", show.difference(gives)));
    }
    let rest = show.difference(worst.rest_K);
    if rest != show.difference(0.0) {
        parts.push(format!("{rest} from the others"));
    }
    let caught = if warm.caught { "; its outlet is caught between higher things" } else { "" };
    format!(
        "{wind} the air on {} is {least}{} warmer than outdoors ({}){caught}. The job says {}.",
        warm.name,
        show.difference(worst.rise_K),
        list(parts),
        show.difference(warm.said_K)
    )
}

/// What to write into the job for the circuits of a unit: for each the most of all units that hold it, where that is more than is
/// written. None for a circuit of which a coil would draw hardly anything but warm air: no value stands for that.
fn keys(job: &Job, study: &RoofStudy, warm: &WarmAir) -> Vec<String> {
    let show = job.units;
    let mut by_value: Vec<(String, Vec<String>)> = Vec::new();
    for circuit in &warm.circuits {
        let coils = || study.fed_back.iter().filter(|fed| fed.circuit == *circuit);
        let estimates: Option<Vec<f64>> = coils().map(|fed| fed.estimate_K).collect();
        let Some(most) = estimates.and_then(|estimates| estimates.into_iter().reduce(f64::max)) else { continue };
        let value = half_degree_up(show, most);
        if coils().any(|fed| value <= fed.said_K + 1e-9) {
            continue;
        }
        let value = show.difference(value);
        match by_value.iter_mut().find(|(known, _)| *known == value) {
            Some((_, circuits)) => circuits.push(circuit.clone()),
            None => by_value.push((value, vec![circuit.clone()])),
        }
    }
    let line = |(value, circuits): (String, Vec<String>)| {
        let of = list(circuits);
        format!("With recirculation = \"{value}\" under [circuit.condenser] of {of} every check counts with it.")
    };
    by_value.into_iter().map(line).collect()
}

/// What would bring it under the limit.
fn placed(job: &Job, warm: &WarmAir) -> String {
    let show = job.units;
    let does = format!("gets less than {}, and nothing else gets worse", show.difference(warm.allowed_K));
    let mend = warm.mend.as_ref().filter(|mend| !mend.is_nothing()).map(|mend| plan(show, mend, &warm.name, &does));
    let faster = warm.faster.as_ref().map(|faster| {
        let velocity = show.velocity(faster.velocity_m_s);
        let too = if mend.is_some() { " too" } else { "" };
        format!("{} that blows at {velocity} would do{too}.", capital(&format!("an outlet of {}", faster.outlet)))
    });
    let ways: Vec<String> = mend.into_iter().chain(faster).collect();
    if !ways.is_empty() {
        return ways.join(" ");
    }
    let (far, high) = farthest(show);
    format!(
        "No one change that was tried brings it under {} and makes nothing else worse: moving a unit by up to {far}, setting it up to {high} \
         higher, lowering or opening the walls that catch its air, a faster outlet. The units want another place, more room, or \
         stacks that end above what stands round them.",
        show.difference(warm.allowed_K)
    )
}

/// What is left of the plant.
fn plant(job: &Job, study: &RoofStudy) -> Option<Finding> {
    let show = job.units;
    let then = study.plant_then.filter(|then| !study.fed_back.is_empty() && then.carries_W >= then.load_W)?;
    let verdict = if then.carries_then_W < then.load_W { Verdict::Fail } else { Verdict::Pass };
    let mut says = format!(
        "With the warm air of the worst wind on every unit at once the plant carries {} at summer full, {} as the job says; the load is {}.",
        show.capacity(then.carries_then_W),
        show.capacity(then.carries_W),
        show.capacity(then.load_W)
    );
    let mut out: Vec<String> = study.fed_back.iter().filter(|fed| fed.trips).map(|fed| fed.unit.clone()).collect();
    out.dedup();
    if !out.is_empty() {
        let stops = if out.len() == 1 { "stops, and counts" } else { "stop, and count" };
        let _ = write!(says, " {} {stops} for nothing.", list(out.iter().cloned()));
    }
    let mut found = Finding::new(RULE.id, verdict, None)
        .at("summer full")
        .found(then.carries_then_W, then.load_W, "W")
        .by("the job file (plant.load)");
    if verdict == Verdict::Fail {
        let at_least = study.warm_air.iter().any(|warm| warm.worst.as_ref().is_none_or(|worst| worst.at_least));
        let _ = write!(says, " {}", if at_least { BEYOND } else { WORTH });
        let first = if out.is_empty() { String::new() } else { format!("Mend first what stops {}. ", list(out)) };
        found.mend = Some(format!(
            "{first}Write the estimates into the job ([circuit.condenser] recirculation), and plant-load then says how many more \
             modules it takes: {} are missing.",
            show.capacity(then.load_W - then.carries_then_W)
        ));
    }
    Some(found.says(says))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{HeatSource, Plant, Profile, Roof, Running, Side};
    use crate::roof::testing::{FOOT, another, feet, planned, studied, wall};
    use crate::units::{kelvins, watts};

    fn with(change: impl FnOnce(&mut Roof)) -> Job {
        let mut job = planned(|roof| {
            roof.units[0].air_flow_m3_s = Some(18.0);
            roof.units[0].outlet_m_s = Some(8.0);
            change(roof);
        });
        job.site.recirculation = kelvins(0.0);
        job
    }

    fn found(job: &Job) -> Vec<Finding> {
        look(job, &studied(job))
    }

    #[test]
    fn a_fast_outlet_alone_on_the_roof_returns_little() {
        let job = with(|_| {});
        let finding = found(&job).remove(0);
        assert_eq!((finding.verdict, finding.r#where.as_deref()), (Verdict::Pass, Some("unit C1")));
        assert!(finding.value.unwrap() > 0.0 && finding.mend.is_none());
    }

    #[test]
    fn what_the_job_says_counts_to_the_limit_itself() {
        let mut job = with(|roof| roof.units[0].outlet_m_s = Some(4.0));
        let rise = found(&job)[0].value.unwrap();
        assert!(rise > 1.0, "{rise}");
        let caution = job.limit("recirculation_caution");
        job.site.recirculation = kelvins(rise - caution);
        assert_eq!(found(&job)[0].verdict, Verdict::Pass, "at the limit itself");
        job.site.recirculation = kelvins(rise - caution - 1e-3);
        let finding = found(&job).remove(0);
        assert_eq!(finding.verdict, Verdict::Caution);
        let mend = finding.mend.unwrap();
        assert!(mend.contains("recirculation = \"") && mend.contains("under [circuit.condenser] of 1A"), "{mend}");
        // What it says to write passes.
        job.circuits[0].condenser.recirculation = Some(kelvins(half_degree_up(job.units, rise)));
        assert_eq!(found(&job)[0].verdict, Verdict::Pass);
    }

    #[test]
    fn an_outlet_in_a_pit_is_caught_and_a_move_that_is_named_gets_it_out() {
        let pit = |roof: &mut Roof| {
            for (from, to) in
                [((88.0, 40.0), (88.0, 57.5)), ((112.0, 40.0), (112.0, 57.5)), ((88.0, 40.0), (112.0, 40.0))]
            {
                roof.walls.push(wall("court", from, to, 12.0));
            }
            roof.units[0].outlet_m_s = Some(12.0);
        };
        let job = with(pit);
        let study = studied(&job);
        assert!(study.warm_air[0].caught);
        let finding = look(&job, &study).remove(0);
        assert_eq!(finding.verdict, Verdict::Fail, "{}", finding.says);
        assert!(finding.says.contains("caught between higher things"), "{}", finding.says);
        let moves = &study.warm_air[0].moves;
        assert!(!moves.is_empty(), "{finding:?}");
        assert!(finding.mend.unwrap().starts_with("Moved "));
        let mut moved = job.clone();
        let unit = &mut moved.roof.as_mut().unwrap().units[0];
        for leg in moves {
            let way = match Side::ALL.into_iter().find(|side| side.name() == leg.towards).unwrap() {
                Side::North => (0.0, 1.0),
                Side::East => (1.0, 0.0),
                Side::South => (0.0, -1.0),
                Side::West => (-1.0, 0.0),
            };
            unit.at = unit.at.plus(crate::job::Place::new(way.0, way.1).times(leg.distance_m));
        }
        assert!(studied(&moved).warm_air[0].worst.as_ref().unwrap().rise_K < job.limit("recirculation"));
    }

    #[test]
    fn the_velocity_that_is_named_would_do() {
        // A side outlet that blows at the intake of a second unit, slowly.
        let job = with(|roof| roof.units[0].outlet_m_s = Some(0.5));
        let study = studied(&job);
        let faster = study.warm_air[0].faster.clone().unwrap();
        assert_eq!(look(&job, &study)[0].verdict, Verdict::Fail);
        let mended = with(|roof| roof.units[0].outlet_m_s = Some(faster.velocity_m_s));
        assert!(studied(&mended).warm_air[0].worst.as_ref().unwrap().rise_K < mended.limit("recirculation"));
    }

    #[test]
    fn a_source_counts_only_from_upwind() {
        let with_exhaust = with(|roof| {
            roof.heats.push(HeatSource {
                name: "kitchen exhaust".to_owned(),
                at: feet(70.0, 48.0),
                height_m: 4.0 * FOOT,
                air_flow_m3_s: 6.0,
                warmer_k: 20.0,
                outlet_m_s: None,
            });
        });
        let study = studied(&with_exhaust);
        let worst = study.warm_air[0].worst.as_ref().unwrap();
        assert_eq!(worst.other.as_deref(), Some("kitchen exhaust"));
        // It stands to the west.
        assert!((225.0..=315.0).contains(&worst.wind_from_deg), "{}", worst.wind_from_deg);
        assert!(worst.rise_K > studied(&with(|_| {})).warm_air[0].worst.as_ref().unwrap().rise_K);
    }

    #[test]
    fn units_warm_each_other_and_no_unit_gets_more_than_is_blown() {
        let pair = with(|roof| {
            roof.units.push(another(roof, "C2", (0.0, 10.0)));
            roof.units[1].circuits.clear();
        });
        let study = studied(&pair);
        // C2 holds no circuit, so that it has no heat: a note, and no warm air from it.
        assert_eq!(look(&pair, &study)[1].verdict, Verdict::Note);
        assert!(study.warm_air[0].worst.as_ref().unwrap().other.is_none());
    }

    #[test]
    fn without_an_air_flow_there_is_a_note() {
        let mut job = with(|roof| roof.units[0].air_flow_m3_s = None);
        job.circuits[0].condenser.air_flow = None;
        let finding = found(&job).remove(0);
        assert_eq!(finding.verdict, Verdict::Note);
        assert!(finding.says.contains("its air flow is not known"), "{}", finding.says);
    }

    #[test]
    fn a_plant_that_no_longer_carries_its_load_fails() {
        let mut job = with(|roof| roof.units[0].outlet_m_s = Some(2.0));
        let load = |job: &mut Job, load: f64| {
            let plant = Plant { load: watts(load), spare: 0, profile: Profile::Constant, running: Running::Few };
            job.plant = Some(plant);
        };
        load(&mut job, 1.0);
        let then = studied(&job).plant_then.unwrap();
        assert!(then.carries_then_W < then.carries_W);
        load(&mut job, f64::midpoint(then.carries_then_W, then.carries_W));
        let last = found(&job).pop().unwrap();
        assert_eq!((last.verdict, last.point.as_deref()), (Verdict::Fail, Some("summer full")));
        assert!(last.mend.unwrap().contains("are missing"));
        load(&mut job, then.carries_then_W);
        assert_eq!(found(&job).pop().unwrap().verdict, Verdict::Pass, "exactly the load");
    }
}
