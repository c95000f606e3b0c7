//! `recirculation`: how much warm air returns to the coils?

use super::limit::{limit, title};
use super::mend::{farthest, half_degree_up, plan};
use super::say::{capital, list};
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Return, RoofStudy, WarmAir};
use crate::survey::PointId;
use crate::units::{System, factor};
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
[site] recirculation). More than that by the first limit, or a least, is a caution; the second limit, a circuit that then reaches its \
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
            let says = format!("{} would draw hardly anything but warm air{caught}.", capital(&warm.name));
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
        (Verdict::Fail, warm.allowed_K, super::finding::Source::Job("condenser.cutout"))
    } else if worst.rise_K >= most.value {
        (Verdict::Fail, most.value, most.source)
    } else if worst.rise_K - warm.said_K > caution.value + 1e-9 || worst.at_least {
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
    // Rounded as they are shown, the last difference to its own outlet, so that they add up.
    let tenth = 0.1
        * match show {
            System::Ip => factor::FAHRENHEIT_DEGREE,
            System::Si => 1.0,
        };
    let shown = |kelvins: f64| (kelvins / tenth).round() * tenth;
    let (other, rest) = (shown(worst.other_K.unwrap_or(0.0)), shown(worst.rest_K));
    let own = (shown(worst.rise_K) - other - rest).max(0.0);
    let mut parts = vec![format!("{} from its own outlet", show.difference(own))];
    parts.extend(worst.other.as_ref().map(|name| format!("{} from {name}", show.difference(other))));
    if rest > 0.0 {
        parts.push(format!("{} from the others", show.difference(rest)));
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

/// What to write into the job for the circuits of a unit: for each the most of all units that hold it, where that is
/// more than is written. None for a circuit of which a coil would draw hardly anything but warm air: no value stands
/// for that.
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
        format!(
            "As long as it stands so, recirculation = \"{value}\" under [circuit.condenser] of {of} lets every check count with it."
        )
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
        .at(PointId::SummerFull)
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
mod tests;
