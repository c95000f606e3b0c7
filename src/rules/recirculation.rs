//! `recirculation`: how much warm air returns to the coils?

use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::limit::limit;
use super::say::{Say, Value, say};
use crate::job::Job;
use crate::roof::{FedBack, Return, RoofStudy, WarmAir};
use crate::survey::PointId;
use crate::units::Kind;

/// The rule.
pub const RULE: Rule = Rule {
    id: "recirculation",
    question: "How much of the warm air returns to the coils, and does the plant stand it?",
    explanation: "\
Air that has left one condenser, or another source of warm air, and is drawn in again makes the coil warmer than the design day. The \
fraction of it in an intake follows from the dilution factor, outdoor air over the outlet's air, of the separation formula for outlets and \
intakes, L = 0.09 sqrt(Q) (sqrt(DF) - U/400), over the straight distance from the outlet's rim to the middle of each intake side. Its own \
outlet counts in every wind; other sources count where they lie upwind, within 45 degrees, in each of sixteen winds. An outlet at the \
top blows away at its velocity. Without one given that is the air flow over fans that take a quarter of the top: where the limit is \
passed for that assumption alone it is a caution that names it. Of one that higher things surround a part is caught, whose velocity \
counts for nothing: a side is closed by a solid wall within the width of the unit and 4 ft over its top, less the farther off it is \
(to twice the width), the lower and the more open; a corner of two is left, and from there to three closed sides that part goes to \
all of it. One that blows at an intake, along the roof or \
up at one above it, counts against it. The rise of each source's own intake makes its outlet warmer; the heat is that of the design \
day as the job says it.

Where the dilution factor comes out below 1, less outdoor air than warm air, the formula is not good any more: it is taken as 1, and \
the rise is reported as a minimum. It is a screening formula made for the exhausts of buildings; that a coil gets between half and twice of \
it on a day is this tool's own judgement, not the standard's. The estimate stands against what the job says ([circuit.condenser] or \
[site] recirculation). More than that by the first limit, or a minimum, is a caution; the second limit, a circuit that then reaches its \
high-pressure switch, or a plant that then no longer carries its load is a fail. Each unit is judged by its own estimate; one that would \
draw hardly anything but warm air carries nothing.",
    limits: &["recirculation_caution", "recirculation", "screen_open", "clearance_wall", "clearance_pit"],
    look: Look::Roof(look),
};

/// What the estimate is worth.
const WORTH: &str =
    "A screening formula: between half and twice of it is to be expected, by this tool's own judgement.";

/// What it is worth where less outdoor air than warm air comes.
const BEYOND: &str = "The formula does not hold so close: it may be more, up to warm air alone.";

/// The standard that the formula is of.
const FORMULA: Source = Source::Published("ashrae-62-1");

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let units = study.warm_air.iter().enumerate();
    units.map(|(index, warm)| judge(job, study, index, warm)).chain(plant(study)).collect()
}

fn judge(job: &Job, study: &RoofStudy, index: usize, warm: &WarmAir) -> Finding {
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(Place::Unit(index));
    let Some(worst) = &warm.worst else { return without_estimate(warm, finding) };
    let (caution, maximum) = (limit(job, "recirculation_caution"), limit(job, "recirculation"));
    let trips = study.fed_back.iter().find(|fed| fed.trips && fed.unit == warm.name);
    // What its own outlet gives rests on a velocity that nobody gave.
    let assumed = is_assumed(warm) && worst.rise_K - worst.own_K < warm.allowed_K;
    let (verdict, against, source) = if trips.is_some() && worst.rise_K < maximum.value {
        (Verdict::Fail, warm.allowed_K, Source::Job("[circuit.condenser] cutout"))
    } else if worst.rise_K >= maximum.value {
        (Verdict::Fail, maximum.value, maximum.source)
    } else if worst.rise_K - warm.said_K > caution.value + 1e-9 || worst.at_least {
        (Verdict::Caution, warm.said_K + caution.value, caution.source)
    } else {
        (Verdict::Pass, warm.said_K + caution.value, caution.source)
    };
    let verdict = if assumed { verdict.min(Verdict::Caution) } else { verdict };
    let worth = (verdict > Verdict::Note).then(|| worth(worst.at_least));
    let velocity = (verdict > Verdict::Note).then(|| velocity(warm)).flatten();
    let says = Say::sentences([told(warm, worst)].into_iter().chain(trips.map(trip)).chain(velocity).chain(worth));
    finding(verdict).found(worst.rise_K, against, Kind::Difference).by(source).says(says)
}

/// Whether a unit's own air rests on a velocity that nobody gave.
fn is_assumed(warm: &WarmAir) -> bool {
    warm.outlet_assumed && !warm.caught
}

/// A velocity that nobody gave.
fn velocity(warm: &WarmAir) -> Option<Say> {
    let velocity = warm.outlet_m_s.filter(|_| warm.outlet_assumed)?;
    Some(say(
        "The velocity at the outlet of {}, {}, is assumed: give outlet_velocity.",
        [Value::name(&warm.name), Value::Of(Kind::Velocity, velocity)],
    ))
}

/// What the estimate is worth.
fn worth(at_least: bool) -> Say {
    say(if at_least { BEYOND } else { WORTH }, [])
}

/// A unit whose warm air is not known, or is all that it would draw: air that comes back without end is worse than any limit.
fn without_estimate(warm: &WarmAir, finding: impl Fn(Verdict) -> Finding) -> Finding {
    let name = Value::name(&warm.name);
    if warm.leaves_warmer_K.is_some() {
        let says = say("{} would draw hardly anything but warm air", [name]).and(caught(warm), []).and(".", []);
        let verdict = if is_assumed(warm) { Verdict::Caution } else { Verdict::Fail };
        return finding(verdict).says(Say::sentences([Some(says), velocity(warm)].into_iter().flatten())).by(FORMULA);
    }
    let why = Value::name(warm.unknown.as_deref().unwrap_or_default());
    finding(Verdict::NotJudged).says(say("What returns to {} can't be estimated: {}.", [name, why])).by(FORMULA)
}

fn caught(warm: &WarmAir) -> &'static str {
    match warm.caught_share {
        share if share >= 1.0 => "; its outlet is caught between higher things",
        share if share > 0.0 => "; its outlet is partly caught between higher things",
        _ => "",
    }
}

/// What becomes of a circuit with it.
fn trip(fed: &FedBack) -> Say {
    let circuit = Value::name(&fed.circuit);
    match fed.discharge_then_Pa {
        Some(pressure) => say(
            "With it circuit {} pushes against {} at {}, and its switch opens.",
            [circuit, Value::Of(Kind::Pressure, pressure), Value::Point(PointId::SummerFull)],
        ),
        None => say("With it circuit {} cannot reject its heat at {}.", [circuit, Value::Point(PointId::SummerFull)]),
    }
}

/// The estimate in words, its parts adding up.
fn told(warm: &WarmAir, worst: &Return) -> Say {
    let difference = |kelvins: f64| Value::Of(Kind::Difference, kelvins);
    let other = worst.other.as_ref().zip(worst.other_K);
    let rest = Some(worst.rest_K).filter(|rest| *rest > 0.0);
    let others = other.map(|(_, kelvins)| kelvins).into_iter().chain(rest).collect();
    let own = say("{} from its own outlet", [Value::Rest(worst.rise_K, others)]);
    let other = other.map(|(name, kelvins)| say("{} from {}", [difference(kelvins), Value::name(name)]));
    let rest = rest.map(|kelvins| say("{} from the others", [difference(kelvins)]));
    let parts = [own].into_iter().chain(other).chain(rest).map(Value::Say).collect();
    let wind = match worst.wind_from_deg {
        Some(from) => say("In the worst wind, from {},", [Value::Bearing(from)]),
        None => say("In every wind", []),
    };
    wind.and(" the air on {} is ", [Value::name(&warm.name)])
        .and(if worst.at_least { "at least " } else { "" }, [])
        .and("{} warmer than outdoors ({})", [difference(worst.rise_K), Value::List(parts)])
        .and(caught(warm), [])
        .and(". The job says {}.", [difference(warm.said_K)])
}

/// What is left of the plant.
fn plant(study: &RoofStudy) -> Option<Finding> {
    let then = study.plant_then.filter(|then| !study.fed_back.is_empty() && then.carries_W >= then.load_W)?;
    let assumed = study.warm_air.iter().find(|warm| is_assumed(warm));
    let verdict = match (then.carries_then_W < then.load_W, assumed) {
        (true, None) => Verdict::Fail,
        (true, Some(_)) => Verdict::Caution,
        (false, _) => Verdict::Pass,
    };
    let watts = |watts: f64| Value::Of(Kind::Capacity, watts);
    let carries = say(
        "With the warm air of the worst wind on every unit at once the plant carries {} at {}, {} as the job says; the load is {}.",
        [watts(then.carries_then_W), Value::Point(PointId::SummerFull), watts(then.carries_W), watts(then.load_W)],
    );
    let mut out: Vec<&str> = study.fed_back.iter().filter(|fed| fed.trips).map(|fed| fed.unit.as_str()).collect();
    out.dedup();
    let stops = match out.len() {
        0 => None,
        1 => Some(say("{} stops, and counts for nothing.", [Value::names(out)])),
        _ => Some(say("{} stop, and count for nothing.", [Value::names(out)])),
    };
    let at_least = || study.warm_air.iter().any(|warm| warm.worst.as_ref().is_none_or(|worst| worst.at_least));
    let worth = (verdict > Verdict::Note).then(|| worth(at_least()));
    let velocity = assumed.filter(|_| verdict > Verdict::Note).and_then(velocity);
    let finding = Finding::new(RULE.id, verdict, None).at(PointId::SummerFull).by(Source::Job("plant.load"));
    let finding = finding.found(then.carries_then_W, then.load_W, Kind::Capacity);
    Some(finding.says(Say::sentences([carries].into_iter().chain(stops).chain(velocity).chain(worth))))
}

#[cfg(test)]
mod tests;
