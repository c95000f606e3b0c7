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
    question: "How much warm air returns to the coils, and does the plant still work with it?",
    explanation: "\
Warm air from a condenser or another source that is drawn in again makes the air on the coil warmer than the design \
day. Its fraction in an intake follows from the dilution factor, outdoor air divided by outlet air, of the \
separation formula for outlets and intakes: L = 0.09 sqrt(Q) (sqrt(DF) - U/400). L is the straight distance from the \
outlet's rim to the middle of each intake side. A unit's own outlet counts in every wind. Other sources count where \
they are upwind, within 45 degrees, in each of sixteen winds. Each source's own rise makes its outlet warmer; the \
heat is that of the design day.

An outlet at the top discharges at its velocity. Without one given, the fans are taken to cover a quarter of the \
top: where that assumption alone passes the limit, the finding is a caution that names it. Where higher objects \
surround an outlet, part of its air is caught and its velocity does not count. A side is closed by a solid wall \
within the width of the unit and 4 ft above its top. It counts less the farther it is (to twice the width), the \
lower and the more open. A corner of two sides does not catch: the part is as large as the third side is closed. An outlet that blows at an intake, along the roof or up at one above it, counts against it.

With a dilution factor below 1, less outdoor air than warm air, the formula is out of range. The factor is then \
taken as 1, and the rise is reported as a minimum. It is a screening formula for the exhausts of buildings. That a \
coil gets between half and twice of the result is a roofrun judgement, not the standard's.

The estimate is compared with what the job says ([circuit.condenser] or [site] recirculation). More than that by the \
first limit, or a minimum, is a caution. The second limit is a fail, as is a circuit that then trips its \
high-pressure cut-out, or a plant that no longer carries its load. Each unit is judged by its own estimate; one that \
would draw almost only warm air carries no load.",
    limits: &["recirculation_caution", "recirculation", "screen_open", "clearance_wall", "clearance_pit"],
    look: Look::Roof(look),
};

/// What the estimate is worth.
const WORTH: &str = "A screening formula: expect half to twice of it (roofrun judgement).";

/// What it is worth where less outdoor air than warm air comes.
const BEYOND: &str = "The formula is out of range so close: it may be more, up to warm air alone.";

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
    let says = Say::sentences([told(warm, worst, verdict)].into_iter().chain(trips.map(trip)).chain(worth));
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
        "The outlet velocity of {}, {}, is assumed: give outlet_velocity.",
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
        let says = say("{} would draw almost only warm air", [name]).and(caught(warm), []).and(".", []);
        let verdict = if is_assumed(warm) { Verdict::Caution } else { Verdict::Fail };
        return finding(verdict).says(Say::sentences([Some(says), velocity(warm)].into_iter().flatten())).by(FORMULA);
    }
    let why = Value::name(warm.unknown.as_deref().unwrap_or_default());
    finding(Verdict::NotJudged)
        .says(say("The warm air that returns to {} can't be estimated: {}.", [name, why]))
        .by(FORMULA)
}

fn caught(warm: &WarmAir) -> &'static str {
    match warm.caught_share {
        share if share >= 1.0 => "; its outlet is between higher objects",
        share if share > 0.0 => "; its outlet is partly between higher objects",
        _ => "",
    }
}

/// What becomes of a circuit with it.
fn trip(fed: &FedBack) -> Say {
    let circuit = Value::name(&fed.circuit);
    match fed.discharge_then_Pa {
        Some(pressure) => say(
            "With it the discharge pressure of circuit {} is {} at {}, and its cut-out trips.",
            [circuit, Value::Of(Kind::Pressure, pressure), Value::Point(PointId::SummerFull)],
        ),
        None => say("With it circuit {} cannot reject its heat at {}.", [circuit, Value::Point(PointId::SummerFull)]),
    }
}

/// The estimate in words, its parts adding up.
fn told(warm: &WarmAir, worst: &Return, verdict: Verdict) -> Say {
    let difference = |kelvins: f64| Value::Of(Kind::Difference, kelvins);
    let other = worst.other.as_ref().zip(worst.other_K);
    let rest = Some(worst.rest_K).filter(|rest| *rest > 0.0);
    let others = other.map(|(_, kelvins)| kelvins).into_iter().chain(rest).collect();
    let own = say("{} from its own outlet", [Value::Rest(worst.rise_K, others)]);
    let assumed = warm.outlet_m_s.filter(|_| verdict > Verdict::Note && warm.outlet_assumed);
    let own = match assumed {
        Some(velocity) => own.and(" at an assumed {}", [Value::Of(Kind::Velocity, velocity)]),
        None => own,
    };
    let other = other.map(|(name, kelvins)| say("{} from {}", [difference(kelvins), Value::name(name)]));
    let rest = rest.map(|kelvins| say("{} from the others", [difference(kelvins)]));
    let parts = [own].into_iter().chain(other).chain(rest).map(Value::Say).collect();
    let wind = match worst.wind_from_deg {
        Some(from) => say("In the worst wind, from {},", [Value::Bearing(from)]),
        None => say("In every wind", []),
    };
    wind.and(" the air on {} is ", [Value::name(&warm.name)])
        .and(if worst.at_least { "a minimum of " } else { "" }, [])
        .and("{} warmer than outdoors ({})", [difference(worst.rise_K), Value::List(parts)])
        .and(caught(warm), [])
        .and(". The job says {}.", [difference(warm.said_K)])
        .and(if assumed.is_some() { " Give outlet_velocity." } else { "" }, [])
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
        "With the warm air of the worst wind on every unit the plant gives {} at {}, and {} as the job says. The load \
         is {}.",
        [watts(then.carries_then_W), Value::Point(PointId::SummerFull), watts(then.carries_W), watts(then.load_W)],
    );
    let mut out: Vec<&str> = study.fed_back.iter().filter(|fed| fed.trips).map(|fed| fed.unit.as_str()).collect();
    out.dedup();
    let stops = match out.len() {
        0 => None,
        1 => Some(say("{} trips and does not count.", [Value::names(out)])),
        _ => Some(say("{} trip and do not count.", [Value::names(out)])),
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
