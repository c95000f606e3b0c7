//! What a coil and an evaporator hold: their volume shared out by heat between gas, two phases and liquid.

use super::answer::Point;
use crate::physics::void_fraction::{TwoPhases, mean_density, mean_density_with_slip};
use crate::refrigerant::{OutOfRange, Refrigerant, State};
use crate::units::kilograms_per_cubic_metre;
use schemars::JsonSchema;
use serde::Serialize;

/// Bore of the tubes of coil and evaporator, m: an assumption, told where a charge is.
pub const TUBE_BORE_M: f64 = 0.008;

/// Mass velocity in them at the rated flow, kg/(m2 s): the same.
pub const RATED_MASS_VELOCITY: f64 = 300.0;

/// A coil or an evaporator that is shared out.
#[derive(Clone, Copy)]
pub(super) struct Passage {
    pub of: &'static str,
    pub does: [&'static str; 3],
    /// m3.
    pub volume_m3: f64,
    /// kg/(m2 s).
    pub mass_velocity: f64,
}

/// A stretch of a coil in which the refrigerant does one thing.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Zone {
    /// `condenser` or `evaporator`.
    pub of: &'static str,
    /// What it does there.
    pub does: &'static str,
    /// Volume: its share of the heat times the coil's volume.
    pub volume_m3: f64,
    /// Mean density.
    pub density_kg_m3: f64,
    /// Refrigerant in it.
    pub charge_kg: f64,
}

/// The coil at a point; answers what flooding takes.
///
/// The flooded share is full of liquid that has cooled to the air, its greatest density; the rest is shared out by heat
/// between gas, condensing and subcooled liquid.
pub(super) fn coil(
    fluid: &Refrigerant,
    coil: Passage,
    point: &Point,
    zones: &mut Vec<Zone>,
) -> Result<f64, OutOfRange> {
    let (inlet, outlet) = (&point.state.condenser_inlet, &point.state.condenser_outlet);
    let gas = fluid.state_ph(inlet.pressure_Pa, inlet.enthalpy_J_kg)?;
    let liquid = fluid.state_ph(outlet.pressure_Pa, outlet.enthalpy_J_kg)?;
    let flooded = coil.volume_m3 * point.flooded_share;
    share_out(fluid, Passage { volume_m3: coil.volume_m3 - flooded, ..coil }, &gas, &liquid, zones)?;
    if flooded <= 0.0 {
        return Ok(0.0);
    }
    let coldest = fluid.range().temperature_min;
    let cold = fluid.liquid_pt(liquid.pressure, point.air_on_K.clamp(coldest, liquid.temperature.max(coldest)))?;
    zones.push(zone("condenser", "flooded", flooded, cold.density));
    let (dew, bubble) = (fluid.dew_p(gas.pressure)?, fluid.bubble_p(liquid.pressure)?);
    Ok(flooded * (cold.density - slipping(&bubble, &dew, [0.0, 1.0], coil.mass_velocity)))
}

/// The evaporator at a point: from what the valve and an open bypass bring to the suction state, at suction pressure.
pub(super) fn evaporator(
    fluid: &Refrigerant,
    passage: Passage,
    point: &Point,
    zones: &mut Vec<Zone>,
) -> Result<(), OutOfRange> {
    let suction = &point.state.suction;
    let bypass = point.bypass_share;
    let entering =
        (1.0 - bypass) * point.state.valve_inlet.enthalpy_J_kg + bypass * point.state.discharge.enthalpy_J_kg;
    let gas = fluid.state_ph(suction.pressure_Pa, suction.enthalpy_J_kg)?;
    let mixed = fluid.state_ph(suction.pressure_Pa, entering)?;
    share_out(fluid, passage, &gas, &mixed, zones)
}

fn zone(of: &'static str, does: &'static str, volume: f64, density: f64) -> Zone {
    Zone { of, does, volume_m3: volume, density_kg_m3: density, charge_kg: volume * density }
}

fn mean(one: f64, other: f64) -> f64 {
    mean_density(kilograms_per_cubic_metre(one), kilograms_per_cubic_metre(other)).value
}

/// Mean density between two qualities, vapour running ahead of the liquid, kg/m3.
fn slipping(bubble: &State, dew: &State, qualities: [f64; 2], mass_velocity: f64) -> f64 {
    let of = TwoPhases {
        liquid_density: bubble.density,
        vapour_density: dew.density,
        liquid_viscosity: bubble.viscosity,
        vapour_viscosity: dew.viscosity,
    };
    mean_density_with_slip(&of, qualities, mass_velocity, TUBE_BORE_M)
}

/// Shares a volume out by heat between gas, two phases and liquid, from its warmer to its colder end.
fn share_out(
    fluid: &Refrigerant,
    passage: Passage,
    rich: &State,
    poor: &State,
    zones: &mut Vec<Zone>,
) -> Result<(), OutOfRange> {
    let Passage { of, does, volume_m3: volume, mass_velocity } = passage;
    let whole = rich.enthalpy - poor.enthalpy;
    if whole <= 0.0 {
        zones.push(zone(of, does[1], volume, mean(rich.density, poor.density)));
        return Ok(());
    }
    let (dew, bubble) = (fluid.dew_p(rich.pressure)?, fluid.bubble_p(poor.pressure)?);
    // Where an end lies between the lines there is no stretch beyond it.
    let top = if rich.enthalpy > dew.enthalpy { dew } else { *rich };
    let bottom = if poor.enthalpy < bubble.enthalpy { bubble } else { *poor };
    // Gas at both ends (a bypass that boils all liquid away) has no stretch of two phases.
    let top = if poor.enthalpy > top.enthalpy { *poor } else { top };
    let quality = |state: &State| (state.enthalpy - bubble.enthalpy) / (dew.enthalpy - bubble.enthalpy);
    for (does, from, to, boils) in
        [(does[0], rich, &top, false), (does[1], &top, &bottom, true), (does[2], &bottom, poor, false)]
    {
        let share = (from.enthalpy - to.enthalpy) / whole;
        if share > 0.0 {
            let density = if boils {
                slipping(&bubble, &dew, [quality(to), quality(from)].map(|x| x.clamp(0.0, 1.0)), mass_velocity)
            } else {
                mean(from.density, to.density)
            };
            zones.push(zone(of, does, share * volume, density));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refrigerant;
    use approx::assert_relative_eq;

    /// Gas 25 K over dew and liquid 5 K under bubble at the pressure of dew at 45 °C.
    fn ends(fluid: &Refrigerant) -> (State, State) {
        let p = fluid.dew_pressure(318.15).unwrap();
        let (dew, bubble) = (fluid.dew_temperature(p).unwrap(), fluid.bubble_temperature(p).unwrap());
        (fluid.vapour_pt(p, dew + 25.0).unwrap(), fluid.liquid_pt(p, bubble - 5.0).unwrap())
    }

    fn shared(fluid: &Refrigerant, rich: &State, poor: &State) -> Vec<Zone> {
        let mut zones = Vec::new();
        let does = ["desuperheating", "condensing", "subcooling"];
        let passage = Passage { of: "condenser", does, volume_m3: 0.05, mass_velocity: 300.0 };
        share_out(fluid, passage, rich, poor, &mut zones).unwrap();
        zones
    }

    #[test]
    fn a_coil_holds_what_even_heat_along_its_volume_makes_of_it() {
        for name in refrigerant::names() {
            let fluid = refrigerant::named(name).unwrap();
            let (gas, liquid) = ends(fluid);
            let zones = shared(fluid, &gas, &liquid);
            assert_eq!(
                zones.iter().map(|zone| zone.does).collect::<Vec<_>>(),
                ["desuperheating", "condensing", "subcooling"]
            );
            assert_relative_eq!(zones.iter().map(|zone| zone.volume_m3).sum::<f64>(), 0.05, max_relative = 1e-12);
            let steps = 2000;
            let density = |i: u32| {
                let share = (f64::from(i) + 0.5) / f64::from(steps);
                fluid.state_ph(gas.pressure, gas.enthalpy + share * (liquid.enthalpy - gas.enthalpy)).unwrap().density
            };
            let at_one_speed = 0.05 * (0..steps).map(density).sum::<f64>() / f64::from(steps);
            let held: f64 = zones.iter().map(|zone| zone.charge_kg).sum();
            // The homogeneous mixture holds too little by 1.5 to 2.4 times where both phases are.
            let more = held / at_one_speed;
            assert!((1.25..2.4).contains(&more), "{name}: {more}");
            let single = |does: &str| zones.iter().find(|zone| zone.does == does).unwrap().density_kg_m3;
            let dew = fluid.dew_p(gas.pressure).unwrap().density;
            assert!((gas.density..dew).contains(&single("desuperheating")), "{name}");
        }
    }

    #[test]
    fn ends_between_the_lines_have_no_stretch_beyond_them() {
        let fluid = refrigerant::named("R-454B").unwrap();
        let (gas, liquid) = ends(fluid);
        let between = |quality: f64| {
            let (dew, bubble) = (fluid.dew_p(gas.pressure).unwrap(), fluid.bubble_p(gas.pressure).unwrap());
            fluid.state_ph(gas.pressure, quality * dew.enthalpy + (1.0 - quality) * bubble.enthalpy).unwrap()
        };
        let does =
            |rich: &State, poor: &State| shared(fluid, rich, poor).iter().map(|zone| zone.does).collect::<Vec<_>>();
        assert_eq!(does(&gas, &between(0.3)), ["desuperheating", "condensing"]);
        assert_eq!(does(&between(0.9), &between(0.2)), ["condensing"]);
        assert_eq!(does(&between(0.9), &liquid), ["condensing", "subcooling"]);
        // A bypass that boils all liquid away, and a coil in which nothing happens.
        let hot = fluid.vapour_pt(gas.pressure, gas.temperature + 20.0).unwrap();
        assert_eq!(does(&hot, &gas), ["desuperheating"]);
        assert_relative_eq!(shared(fluid, &gas, &gas)[0].charge_kg, 0.05 * gas.density);
    }
}
