//! How much refrigerant a circuit holds: line by line, in the coil, the evaporator and the receiver.
//!
//! The charge does not change from one operating point to another, but what lines, coil and evaporator ask for does: in the
//! cold a flooded coil takes much, in the heat little. The receiver stands between them. The charge is what the most
//! demanding point requires with the minimum level in the receiver; at every other point the receiver holds the rest.

use super::answer::{Point, PointId};
use super::zones::{Passage, RATED_MASS_VELOCITY, Zone, coil, evaporator};
use crate::job::{Circuit, Code, Job, Path, Receiver};
use crate::physics::tube_metal::inside_volume;
use crate::refrigerant::{self, OutOfRange, Refrigerant};
use schemars::JsonSchema;
use serde::Serialize;

/// Who decides about a charge. Stands wherever one is shown.
#[must_use]
pub const fn deferral(code: Code) -> &'static str {
    match code {
        Code::Us => "ASHRAE Standard 15 and the local code govern the charge that is allowed.",
        Code::Eu => "EN 378 and national rules govern the charge that is allowed.",
    }
}

/// The charge of a circuit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Charge {
    /// The charge for the nameplate, as far as it could be counted: the greatest of what the operating points require, with
    /// the receiver's minimum level on top.
    pub total_kg: f64,
    /// The operating point that requires the most.
    pub greatest: String,
    /// Which that is.
    #[serde(skip)]
    pub greatest_id: PointId,
    /// The most that flooding the coil for head pressure takes, over the same coil unflooded; 0 without flooding.
    pub flooding_kg: f64,
    /// Where it is at each operating point at which the plant runs.
    pub points: Vec<ChargePoint>,
    /// The receiver, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub receiver: Option<ReceiverCharge>,
    /// What is not counted: condenser, evaporator and receiver where the job does not give their volume; always the compressors
    /// with their oil, and the parts.
    pub not_counted: Vec<&'static str>,
    /// Keys that would count more of it.
    #[serde(skip)]
    pub missing: Vec<&'static str>,
    /// Who decides about it: [`deferral`].
    pub decides: &'static str,
}

/// Where the charge is at an operating point.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ChargePoint {
    /// Which operating point.
    #[serde(skip)]
    pub id: PointId,
    /// Its name.
    pub name: String,
    /// In the discharge line.
    pub discharge_line_kg: f64,
    /// In the condenser's coil, where its volume is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub condenser_kg: Option<f64>,
    /// In the liquid line, with the drop legs before it, which stand full of liquid.
    pub liquid_line_kg: f64,
    /// In the evaporator, where its volume is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub evaporator_kg: Option<f64>,
    /// What is left of the total: in the receiver, or without one backed up in the coil.
    pub rest_kg: f64,
    /// Share of the receiver's volume that is liquid, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub receiver_level: Option<f64>,
    /// What flooding takes at this point.
    pub flooding_kg: f64,
    /// The coil and the evaporator, stretch by stretch.
    pub zones: Vec<Zone>,
    /// Densities of liquid and vapour in the receiver.
    #[serde(skip)]
    receiver: Option<[f64; 2]>,
}

impl Charge {
    /// What is in the evaporator at the point that requires the most, kg, where its volume is known.
    pub(crate) fn in_the_evaporator(&self) -> Option<f64> {
        self.points.iter().find(|point| point.id == self.greatest_id)?.evaporator_kg
    }
}

impl ReceiverCharge {
    /// Whether it holds less than it must.
    pub(crate) fn is_short(&self) -> bool {
        self.volume_m3.zip(self.needed_m3).is_some_and(|(volume, needed)| volume < needed * (1.0 - 1e-9))
    }
}

impl ChargePoint {
    /// All that is not in a receiver.
    #[must_use]
    pub fn outside_kg(&self) -> f64 {
        self.discharge_line_kg
            + self.liquid_line_kg
            + self.condenser_kg.unwrap_or(0.0)
            + self.evaporator_kg.unwrap_or(0.0)
    }
}

/// The receiver and what it must hold.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct ReceiverCharge {
    /// Its volume, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
    /// Least share of it that is liquid.
    pub minimum_level: f64,
    /// Greatest share of it that may be liquid.
    pub greatest_level: f64,
    /// Temperature at which it holds the pumped-down charge.
    pub pumped_down_K: f64,
    /// Density of the liquid at that temperature.
    pub pumped_down_density_kg_m3: f64,
    /// Share of it that the whole charge fills when pumped down, where its volume is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pumped_down_level: Option<f64>,
    /// The minimum volume that holds the pumped-down charge, and at every operating point what is left, with a margin kept
    /// clear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_m3: Option<f64>,
}

/// What the levels of a receiver must keep.
#[derive(Clone, Copy)]
struct Levels {
    minimum: f64,
    greatest: f64,
    pumped_down: f64,
}

/// The charge of a circuit as solved; nothing where no operating point but the rating has a solution, or where a property
/// of the receiver lies outside the refrigerant's range.
pub(super) fn charge(job: &Job, circuit: &Circuit, rated_flow: f64, points: &[Point]) -> Option<Charge> {
    let fluid = refrigerant::named(&circuit.refrigerant)?;
    let receiver = receiver(circuit);
    let levels = Levels {
        minimum: job.limit("receiver_minimum"),
        greatest: job.limit("receiver_fill"),
        pumped_down: job.limit("receiver_temperature"),
    };
    let clear = 1.0 - job.limit("receiver_margin");
    let points: Vec<ChargePoint> = points
        .iter()
        .filter(|point| point.id.is_running())
        .map(|point| at(fluid, circuit, receiver.map(|(run, _)| run), rated_flow, point))
        .collect::<Result<_, _>>()
        .ok()?;
    let volume = receiver.and_then(|(_, receiver)| receiver.volume).map(|volume| volume.value);
    let asks = |point: &ChargePoint| {
        point.outside_kg()
            + volume.zip(point.receiver).map_or(0.0, |(v, densities)| v * filled(densities, levels.minimum))
    };
    let greatest = points.iter().reduce(|maximum, point| if asks(point) > asks(maximum) { point } else { maximum })?;
    let (total, greatest) = (asks(greatest), (greatest.name.clone(), greatest.id));
    let liquid = match receiver {
        Some(_) => Some(fluid.bubble_t(levels.pumped_down).ok()?.density),
        None => None,
    };
    let gaps = gaps(circuit, receiver.is_some() && volume.is_none());
    let receiver_charge = liquid.map(|liquid| ReceiverCharge {
        volume_m3: volume,
        minimum_level: levels.minimum,
        greatest_level: levels.greatest,
        pumped_down_K: levels.pumped_down,
        pumped_down_density_kg_m3: liquid,
        pumped_down_level: volume.map(|v| total / (v * liquid)),
        needed_m3: needed(&points, Levels { greatest: levels.greatest * clear, ..levels }, liquid),
    });
    let points: Vec<ChargePoint> = points
        .into_iter()
        .map(|point| {
            let rest = total - point.outside_kg();
            let level = volume.zip(point.receiver).map(|(v, [liquid, vapour])| (rest / v - vapour) / (liquid - vapour));
            ChargePoint { rest_kg: rest, receiver_level: level, ..point }
        })
        .collect();
    Some(Charge {
        total_kg: total,
        greatest: greatest.0,
        greatest_id: greatest.1,
        flooding_kg: points.iter().map(|point| point.flooding_kg).fold(0.0, f64::max),
        points,
        receiver: receiver_charge,
        not_counted: not_counted(&gaps),
        missing: gaps.iter().map(|(_, key)| *key).collect(),
        decides: deferral(job.site.code),
    })
}

/// The receiver of the liquid line and the index of its run.
fn receiver(circuit: &Circuit) -> Option<(usize, Receiver)> {
    circuit.liquid.runs.iter().enumerate().find_map(|(index, run)| match &run.path {
        Path::Part(part) => part.receiver.map(|receiver| (index, receiver)),
        Path::Level { .. } | Path::Rise { .. } | Path::Drop { .. } => None,
    })
}

/// What the job gives no volume for, and the key that would give it.
fn gaps(circuit: &Circuit, receiver: bool) -> Vec<(&'static str, &'static str)> {
    let gaps = [
        (circuit.condenser.volume.is_none(), ("the condenser", "[circuit.condenser] volume")),
        (circuit.evaporator.volume.is_none(), ("the evaporator", "[circuit.evaporator] volume")),
        (receiver, ("the receiver", "the receiver's volume")),
    ];
    gaps.into_iter().filter(|(missing, _)| *missing).map(|(_, gap)| gap).collect()
}

fn not_counted(gaps: &[(&'static str, &'static str)]) -> Vec<&'static str> {
    gaps.iter().map(|(what, _)| *what).chain(["the compressors with their oil", "the parts"]).collect()
}

/// Refrigerant in a cubic metre of a receiver that is liquid to that level.
fn filled([liquid, vapour]: [f64; 2], level: f64) -> f64 {
    level * liquid + (1.0 - level) * vapour
}

/// The minimum volume of a receiver: never below its minimum level, never above its greatest, and pumped down not above it.
///
/// With the total m(V) = max over j of (o_j + V low_j), o being what is outside the receiver:
/// m(V) - o_i <= V high_i at every point i, and m(V) <= V greatest rho pumped down.
fn needed(points: &[ChargePoint], levels: Levels, pumped_down: f64) -> Option<f64> {
    let mut needed: f64 = 0.0;
    for asks in points {
        let low = filled(asks.receiver?, levels.minimum);
        let mut hold = |mass: f64, room: f64| {
            if mass > 0.0 {
                needed = if room > 0.0 { needed.max(mass / room) } else { f64::INFINITY };
            }
        };
        hold(asks.outside_kg(), levels.greatest * pumped_down - low);
        for leaves in points {
            hold(asks.outside_kg() - leaves.outside_kg(), filled(leaves.receiver?, levels.greatest) - low);
        }
    }
    needed.is_finite().then_some(needed)
}

/// What lines, coil and evaporator hold at a point; the rest is not known yet.
fn at(
    fluid: &Refrigerant,
    circuit: &Circuit,
    receiver: Option<usize>,
    rated_flow: f64,
    point: &Point,
) -> Result<ChargePoint, OutOfRange> {
    let line = |line: &super::LineAnswer| -> f64 { line.runs.iter().map(|run| run.charge_kg).sum() };
    let legs = circuit.condenser.legs.as_ref().map_or(0.0, |legs| {
        let inside = inside_volume(legs.tube.outside, legs.tube.wall, legs.height + legs.level).value;
        f64::from(circuit.condenser.coils.max(1)) * inside * point.state.condenser_outlet.density_kg_m3
    });
    let mut zones = Vec::new();
    let mut flooding = 0.0;
    let mass_velocity = RATED_MASS_VELOCITY * (1.0 - point.bypass_share) * point.mass_flow_kg_s / rated_flow;
    if let Some(volume) = circuit.condenser.volume {
        let does = ["desuperheating", "condensing", "subcooling"];
        let passage = Passage { of: "condenser", does, volume_m3: volume.value, mass_velocity };
        flooding = coil(fluid, passage, point, &mut zones)?;
    }
    let condenser = zones.len();
    if let Some(volume) = circuit.evaporator.volume {
        let does = ["superheating", "evaporating", "heating"];
        let passage = Passage { of: "evaporator", does, volume_m3: volume.value, mass_velocity };
        evaporator(fluid, passage, point, &mut zones)?;
    }
    let sum = |zones: &[Zone]| zones.iter().map(|zone| zone.charge_kg).sum();
    let (in_condenser, in_evaporator) = zones.split_at(condenser);
    let receiver = match receiver.and_then(|run| point.liquid_line.runs.get(run)) {
        Some(run) => {
            let p = run.out.state.pressure_Pa;
            Some([fluid.bubble_p(p)?.density, fluid.dew_p(p)?.density])
        }
        None => None,
    };
    Ok(ChargePoint {
        id: point.id,
        name: point.name.clone(),
        discharge_line_kg: line(&point.discharge_line),
        condenser_kg: circuit.condenser.volume.map(|_| sum(in_condenser)),
        liquid_line_kg: line(&point.liquid_line) + legs,
        evaporator_kg: circuit.evaporator.volume.map(|_| sum(in_evaporator)),
        rest_kg: 0.0,
        receiver_level: None,
        flooding_kg: flooding,
        zones,
        receiver,
    })
}

#[cfg(test)]
mod tests {
    use super::super::zones::TUBE_BORE_M;
    use super::*;
    use approx::assert_relative_eq;

    fn point(outside: f64, receiver: [f64; 2]) -> ChargePoint {
        ChargePoint {
            id: PointId::SummerFull,
            name: String::new(),
            discharge_line_kg: 0.0,
            condenser_kg: Some(outside),
            liquid_line_kg: 0.0,
            evaporator_kg: None,
            rest_kg: 0.0,
            receiver_level: None,
            flooding_kg: 0.0,
            zones: Vec::new(),
            receiver: Some(receiver),
        }
    }

    #[test]
    fn the_volume_needed_just_holds_it() {
        let levels = Levels { minimum: 0.15, greatest: 0.8, pumped_down: 305.0 };
        // The pump-down rules, then the swing between two points.
        for (points, pumped_down) in [
            ([point(30.0, [1000.0, 80.0]), point(28.0, [900.0, 120.0])], 1020.0),
            ([point(60.0, [1000.0, 80.0]), point(10.0, [900.0, 120.0])], 5000.0),
        ] {
            let volume = needed(&points, levels, pumped_down).unwrap();
            let low = |point: &ChargePoint| point.outside_kg() + volume * filled(point.receiver.unwrap(), 0.15);
            let total = points.iter().map(low).fold(0.0, f64::max);
            let mut fullest = total / (volume * pumped_down);
            for point in &points {
                let [liquid, vapour] = point.receiver.unwrap();
                fullest = fullest.max(((total - point.outside_kg()) / volume - vapour) / (liquid - vapour));
            }
            assert_relative_eq!(fullest, 0.8, max_relative = 1e-12);
        }
        let never = Levels { minimum: 0.9, ..levels };
        assert_eq!(needed(&[point(30.0, [1000.0, 80.0])], never, 1020.0), None);
    }

    /// By hand: two legs of 1.5 m and 0.5 m in 2-1/8 ACR (1.985 in inside: 1.9965e-3 m2) hold 7.986 L.
    #[test]
    fn drop_legs_hold_liquid() {
        use crate::job::Legs;
        use crate::units::metres;
        let held = |with_legs: bool| {
            let mut job = crate::job::open(std::path::Path::new("examples/bottling-hall.toml")).unwrap();
            if with_legs {
                let tube = crate::refdata::tube("2-1/8 ACR").unwrap().clone();
                job.circuits[0].condenser.coils = 2;
                job.circuits[0].condenser.legs =
                    Some(Legs { tube, height: metres(1.5), level: metres(0.5), fittings: Vec::new() });
            }
            let solved = crate::survey::survey(&job).unwrap().circuits.swap_remove(0);
            let full = solved.point(PointId::SummerFull).unwrap().state.condenser_outlet.density_kg_m3;
            let charge = solved.charge.unwrap();
            (charge.points.iter().find(|point| point.id == PointId::SummerFull).unwrap().liquid_line_kg, full)
        };
        let ((without, _), (with, density)) = (held(false), held(true));
        assert_relative_eq!(with - without, 7.986e-3 * density, max_relative = 1e-3);
    }

    #[test]
    fn what_is_told_as_assumed_is_what_is_used() {
        let text = include_str!("../../examples/bottling-hall.toml");
        let job = crate::job::read("hall.toml", text, std::path::Path::new(".")).unwrap();
        let told = |key: &str| job.assumptions.iter().find(|a| a.key.ends_with(key)).unwrap();
        assert!((told("coil tubes").value - TUBE_BORE_M).abs() < 1e-12);
        assert!(told("coil tubes").why.contains(&format!("{RATED_MASS_VELOCITY} kg/(m2 s)")));
        let elbows = f64::from(crate::refdata::fitting("trap").unwrap().pieces);
        assert!((told("length of traps").value - elbows).abs() < 1e-12);
    }
}
