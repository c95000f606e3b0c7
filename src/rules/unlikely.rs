//! What is drawn so that a person should look again: coils that stand nowhere, walls off the roof, warm air from far away.

use super::finding::{Finding, Source, Verdict};
use super::say::{Value, say};
use super::{clearance, recirculation};
use crate::job::{Job, Roof, RoofUnit, Wall, Xy};
use crate::physics::plane::{SLACK_M, sides, to_sides, to_stretch, within};
use crate::units::Kind;

/// Warm air of a source farther off than that is none to be met, m: 1000 ft.
const FAR_M: f64 = 304.8;

/// So far a wall on the edge may overhang, m: 1 ft.
const PAST_M: f64 = 0.3048;

/// The notes on a roof as drawn.
pub(super) fn notes(job: &Job) -> Vec<Finding> {
    let Some(roof) = &job.roof else { return Vec::new() };
    [not_placed(job, roof), walls_off_the_roof(roof), far_heats(roof)].into_iter().flatten().collect()
}

/// The coils that stand in no unit: all that is said of the roof leaves them out.
fn not_placed(job: &Job, roof: &Roof) -> Option<Finding> {
    let missing: Vec<(u32, Value)> = job
        .circuits
        .iter()
        .enumerate()
        .filter_map(|(index, circuit)| {
            let coils = roof.units.iter().flat_map(|unit| &unit.circuits).filter(|(of, _)| *of == index);
            let placed: u32 = coils.map(|(_, count)| *count).sum();
            let rest = circuit.copies.checked_sub(placed).filter(|rest| *rest > 0)?;
            let (name, left, all) = (Value::name(&circuit.name), Value::whole(rest), Value::whole(circuit.copies));
            let words = match (rest == circuit.copies, rest) {
                (true, 1) => say("the condenser of circuit {}", [name]),
                (true, _) => say("all {} condensers of circuit {}", [left, name]),
                (false, _) => say("{} of the {} condensers of circuit {}", [left, all, name]),
            };
            Some((rest, Value::Say(words)))
        })
        .collect();
    let stands = match missing[..] {
        [] => return None,
        [(1, _)] => "{} is in no unit on the plan: clearance, warm air, sound and weight are without it.",
        _ => "{} are in no unit on the plan: clearance, warm air, sound and weight are without them.",
    };
    let says = say(stands, [Value::List(missing.into_iter().map(|(_, words)| words).collect())]);
    Some(note(clearance::RULE.id).says(says).by(Source::Job("[[roof.unit]] circuits")))
}

fn note(rule: &'static str) -> Finding {
    Finding::new(rule, Verdict::Note, None)
}

/// Walls that reach past the edge of the roof: their height is over the roof there too.
fn walls_off_the_roof(roof: &Roof) -> Option<Finding> {
    let past = |wall: &Wall| {
        let off = [wall.from, wall.to].into_iter().filter(|end| !within(&roof.outline, *end));
        off.map(|end| to_sides(&roof.outline, end)).fold(0.0, f64::max)
    };
    let walls = roof.walls.iter().filter(|_| !roof.outline.is_empty()).map(|wall| (wall, past(wall)));
    let reach: Vec<Value> = walls
        .filter(|(_, past)| *past > PAST_M + SLACK_M)
        .map(|(wall, past)| say("{} reaches {}", [Value::name(wall.in_a_sentence()), Value::Of(Kind::Length, past)]))
        .map(Value::Say)
        .collect();
    let says = |reach| {
        say(
            "{} past the edge of the roof ([roof] outline). A wall's height is above the roof there too.",
            [Value::List(reach)],
        )
    };
    let note = note(clearance::RULE.id).by(Source::Job("[[roof.wall]] from and to"));
    (!reach.is_empty()).then(|| note.says(says(reach)))
}

/// Sources of warm air that no unit can meet.
fn far_heats(roof: &Roof) -> Option<Finding> {
    let near = |at: Xy| {
        let corners = roof.units.iter().map(RoofUnit::corners);
        corners
            .flat_map(|corners| sides(&corners).map(|side| to_stretch(at, side)).collect::<Vec<_>>())
            .fold(f64::INFINITY, f64::min)
    };
    let far: Vec<Value> = roof
        .heats
        .iter()
        .map(|heat| (heat, near(heat.at)))
        .filter(|(_, off)| *off > FAR_M && off.is_finite())
        .map(|(heat, off)| {
            say("{} is {} from the nearest unit", [Value::name(&heat.name), Value::Of(Kind::Length, off)])
        })
        .map(Value::Say)
        .collect();
    let says = |far| say("{}: too far for its air to reach a unit. Check its coordinates.", [Value::List(far)]);
    let note = note(recirculation::RULE.id).by(Source::Job("[[roof.heat]] at"));
    (!far.is_empty()).then(|| note.says(says(far)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::HeatSource;
    use crate::roof::testing::{another, feet, planned, wall};

    fn says(change: impl FnOnce(&mut Job)) -> Vec<String> {
        let mut job = planned(|_| {});
        change(&mut job);
        let notes = notes(&job);
        assert!(notes.iter().all(|note| note.verdict == Verdict::Note));
        notes.into_iter().map(|note| note.text(&job)).collect()
    }

    #[test]
    fn a_coil_that_stands_nowhere_is_told() {
        let placed = |copies: u32, units: usize| {
            let said = says(|job| {
                job.circuits[0].copies = copies;
                let roof = job.roof.as_mut().unwrap();
                match units {
                    0 => roof.units[0].circuits.clear(),
                    1 => {}
                    _ => roof.units.push(another(roof, "C2", (30.0, 0.0))),
                }
            });
            said.first().map(|said| said.split(" in no unit").next().unwrap().to_owned())
        };
        assert_eq!(placed(1, 1), None);
        assert_eq!(placed(2, 2), None);
        assert_eq!(placed(2, 1).as_deref(), Some("1 of the 2 condensers of circuit 1A is"));
        assert_eq!(placed(4, 2).as_deref(), Some("2 of the 4 condensers of circuit 1A are"));
        assert_eq!(placed(1, 0).as_deref(), Some("The condenser of circuit 1A is"));
        assert_eq!(placed(2, 0).as_deref(), Some("All 2 condensers of circuit 1A are"));
    }

    #[test]
    fn a_wall_past_the_edge_is_told() {
        // The roof ends at x = 200 ft.
        let walled = |from: f64, to: f64| {
            says(|job| job.roof.as_mut().unwrap().walls.push(wall("silo", (from, 50.0), (to, 50.0), 10.0)))
        };
        assert!(walled(190.0, 200.0).is_empty() && walled(190.0, 201.0).is_empty());
        assert!(
            walled(190.0, 202.0)[0].contains("The wall silo reaches 2 ft past the edge"),
            "{:?}",
            walled(190.0, 202.0)
        );
        assert!(walled(210.0, 230.0)[0].contains("The wall silo reaches 30 ft past the edge"));
    }

    #[test]
    fn warm_air_from_far_away_is_told() {
        let heated = |x: f64| {
            says(|job| {
                let (name, at) = ("flue".to_owned(), feet(x, 48.0));
                let source = HeatSource {
                    name,
                    at,
                    height_m: 2.0,
                    air_flow_m3_s: 1.0,
                    temperature_rise_K: 60.0,
                    outlet_m_s: None,
                };
                job.roof.as_mut().unwrap().heats.push(source);
            })
        };
        // The unit ends at x = 110 ft.
        assert!(heated(1109.0).is_empty());
        assert!(heated(1111.0)[0].starts_with("Flue is 1001 ft from the nearest unit"), "{:?}", heated(1111.0));
    }
}
