//! Where the subcooling comes from and where it goes.

use crate::job::{Path, Run};
use crate::rules::case::Case;
use crate::rules::say::{Say, Value, say};
use crate::survey::{Point, StateAnswer, remains};
use crate::units::Kind;

/// A share of the subcooling that is worth telling, K.
const TOLD: f64 = 0.05;
/// Least difference of pressure from which a slope is read, Pa.
const MINIMUM_WAY: f64 = 1e3;

pub(super) fn kelvins(kelvins: f64) -> Value {
    Value::Of(Kind::Difference, kelvins)
}

/// Where the subcooling comes from and where it goes, up to that run.
pub(super) fn ledger(case: &Case, point: &Point, place: usize) -> Say {
    let line = &point.liquid_line;
    let drawn = &case.circuit.liquid.runs;
    // Kelvin of bubble temperature for each pascal: of the whole way, else of what the line loses.
    let lost = line.friction_Pa + line.parts_Pa;
    let enters = (point.state.condenser_outlet, line.inlet_subcooling_K);
    let leaves =
        place.checked_sub(1).and_then(|index| line.runs.get(index)).map(|run| (run.out.state, run.out.subcooling_K));
    let way = leaves.map(|(state, subcooling)| {
        let bubble = |state: &StateAnswer, subcooling: Option<f64>| state.temperature_K + subcooling.unwrap_or(0.0);
        [bubble(&state, subcooling) - bubble(&enters.0, enters.1), state.pressure_Pa - enters.0.pressure_Pa]
    });
    let per_pascal = match way {
        Some([kelvins, pascals]) if pascals.abs() > MINIMUM_WAY => kelvins / pascals,
        _ if lost > 0.0 => line.saturation_drop_K / lost,
        _ => 0.0,
    };
    // With a receiver that all liquid passes through, the coil drains and the liquid leaves it saturated too.
    let given_away = drawn.iter().any(Run::passes_through);
    let rated = case.circuit.condenser.subcooling.value;
    let gives = line.inlet_subcooling_K.filter(|_| !given_away).unwrap_or(rated);
    let through = drawn.iter().take(place).rposition(Run::passes_through);
    let (mut friction, mut fall, mut rise, mut parts, mut subcooler) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let (mut metres_down, mut metres_up, mut names) = (0.0, 0.0, Vec::new());
    for (run, answer) in drawn.iter().zip(&line.runs).take(place).skip(through.map_or(0, |index| index + 1)) {
        match &run.path {
            Path::Part(part) => {
                parts += answer.friction_Pa * per_pascal;
                names.push(part.name.clone());
                if part.subcooler.is_some() {
                    let before = answer.index.checked_sub(2).and_then(|before| line.runs.get(before));
                    let entered = before.map_or(point.state.condenser_outlet, |run| run.out.state);
                    subcooler += entered.temperature_K - answer.out.state.temperature_K;
                }
            }
            path => {
                friction += answer.friction_Pa * per_pascal;
                let climbs = path.rise_m();
                if climbs > 0.0 {
                    rise += answer.static_Pa * per_pascal;
                    metres_up += climbs;
                } else {
                    fall -= answer.static_Pa * per_pascal;
                    metres_down -= climbs;
                }
            }
        }
    }
    let given = if given_away { 0.0 } else { gives };
    let ends = place.checked_sub(1).and_then(|index| line.runs.get(index)).map(|run| remains(case.circuit, run));
    let warmed = drawn.iter().any(|run| run.ambient.is_some());
    // Liquid that falls in pressure changes a little in temperature too: without heat the pressure takes all that is gone.
    let by_pressure = fall - rise - friction - parts;
    let all = ends.filter(|_| !warmed).map(|ends| (ends - given - subcooler) / by_pressure);
    let share = all.filter(|share| (0.5..2.0).contains(share)).unwrap_or(1.0);
    let [friction, fall, rise, parts] = [friction, fall, rise, parts].map(|kelvins| share * kelvins);
    let (length, value) = (|metres| Value::Of(Kind::Length, metres), kelvins);
    let mut items = Vec::new();
    if subcooler >= TOLD {
        items.push(say("the mechanical subcooler adds {}", [value(subcooler)]));
    }
    if metres_down > 0.0 {
        items.push(say("a drop of {} adds {}", [length(metres_down), value(fall)]));
    }
    if metres_up > 0.0 {
        items.push(say("a rise of {} takes {}", [length(metres_up), value(rise)]));
    }
    if friction >= TOLD {
        items.push(say("friction takes {}", [value(friction)]));
    }
    if !names.is_empty() && parts >= TOLD {
        let words = if names.len() == 1 { "{} takes {}" } else { "{} take {}" };
        items.push(say(words, [Value::names(names), value(parts)]));
    }
    let heat = ends.map_or(0.0, |ends| given + subcooler + fall - rise - friction - parts - ends);
    let exchanged = match heat {
        heat if warmed && heat > TOLD => Some(say(" Heat from the ambient air takes {}.", [value(heat)])),
        heat if warmed && heat < -TOLD => Some(say(" Heat that the line loses to the air adds {}.", [value(-heat)])),
        _ => None,
    };
    let start = if given_away { " The receiver loses the condenser's {}" } else { " The condenser gives {}" };
    let start = say(start, [value(gives)]);
    let told = if items.is_empty() {
        start.and(".", [])
    } else {
        start.and("; {}.", [Value::List(items.into_iter().map(Value::Say).collect())])
    };
    exchanged.into_iter().fold(told, Say::then)
}
