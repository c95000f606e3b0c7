//! Drop legs of coils in parallel: how high each must stand so that its liquid runs down against the others' pressure.

use super::answer::{Point, PointId};
use crate::job::{Circuit, Legs, Line, Path, Run};
use crate::line::{Integrator, Medium, Receivers, Setting};
use crate::physics::static_head::GRAVITY;
use crate::refrigerant;
use crate::units::Length;
use schemars::JsonSchema;
use serde::Serialize;

/// A drop leg at an operating point.
///
/// A coil that is shut or cold loses nothing, so at its outlet stands the pressure of its inlet; the others bring theirs
/// less what they lose. The liquid of a working coil must stand in its leg until it makes up for that:
///
/// rho g h = coil loss + the leg's own loss
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DropLeg {
    /// The operating point.
    #[serde(skip)]
    pub id: PointId,
    /// Its name.
    pub point: String,
    /// Flow of one leg: that of the line over the number of coils.
    pub flow_kg_s: f64,
    /// Density of the liquid.
    pub density_kg_m3: f64,
    /// What a coil loses.
    pub coil_loss_Pa: f64,
    /// What a leg as drawn loses by friction, where drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leg_loss_Pa: Option<f64>,
    /// Velocity in it, where drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub velocity_m_s: Option<f64>,
    /// Height that would do, with the tube, level length and fittings as drawn; where no leg is drawn, that of a leg
    /// without loss. None where no height does, because the leg loses more than it falls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_m: Option<f64>,
}

/// The leg of liquid to a receiver that is vented to the coil's inlet, at an operating point.
///
/// In the receiver stands the pressure of the coil's inlet, at the coil's outlet what the coil leaves of it:
///
/// rho g h = coil loss + loss of the drain
#[derive(Clone, Copy, Debug)]
pub struct VentLeg {
    /// What the coil loses.
    pub coil_loss_Pa: f64,
    /// What the drain loses by friction and parts.
    pub own_loss_Pa: f64,
    /// Height that makes up for both.
    pub needed_m: f64,
}

/// The leg to the first receiver of a circuit at an operating point; none without a receiver.
#[must_use]
pub fn vent_leg(circuit: &Circuit, point: &Point) -> Option<VentLeg> {
    let is_receiver = |run: &Run| matches!(&run.path, Path::Part(part) if part.receiver.is_some());
    let count = circuit.liquid.runs.iter().position(is_receiver)?;
    let (inlet, outlet) = (&point.state.condenser_inlet, &point.state.condenser_outlet);
    let coil_loss_Pa = inlet.pressure_Pa - outlet.pressure_Pa;
    let own_loss_Pa = point.liquid_line.runs.iter().take(count).map(|run| run.friction_Pa).sum::<f64>();
    Some(VentLeg {
        coil_loss_Pa,
        own_loss_Pa,
        needed_m: (coil_loss_Pa + own_loss_Pa) / (outlet.density_kg_m3 * GRAVITY),
    })
}

/// The drop legs of several coils at every operating point at which the plant runs; none for one coil.
pub(super) fn drop_legs(circuit: &Circuit, points: &[Point]) -> Vec<DropLeg> {
    let Some(fluid) = refrigerant::named(&circuit.refrigerant).filter(|_| circuit.condenser.coils > 1) else {
        return Vec::new();
    };
    let line = circuit.condenser.legs.as_ref().map(drawn);
    let integrator = line.as_ref().map(|line| Integrator::new(fluid, line, Medium::Liquid));
    let height = circuit.condenser.legs.as_ref().map_or(0.0, |legs| legs.height.value);
    let points = points.iter().filter(|point| point.id.is_running());
    points.map(|point| leg(circuit.condenser.coils, integrator.as_ref(), height, point)).collect()
}

/// A leg as a line: the fall, then the level length with the fittings.
fn drawn(legs: &Legs) -> Line {
    let run = |path: Path, fittings: &[(String, u32)]| Run {
        path,
        tubes: vec![legs.tube.clone()],
        fittings: fittings.to_vec(),
        ambient: None,
        insulation: Length::default(),
        expansion: None,
        room: None,
        turn_deg: None,
        open: false,
    };
    Line {
        runs: vec![
            run(Path::Drop { length: legs.height }, &[]),
            run(Path::Level { length: legs.level, slope: None }, &legs.fittings),
        ],
        stop_valves: false,
    }
}

fn leg(coils: u32, integrator: Option<&Integrator>, height: f64, point: &Point) -> DropLeg {
    let (inlet, outlet) = (&point.state.condenser_inlet, &point.state.condenser_outlet);
    let flow = point.liquid_line.flow_kg_s / f64::from(coils);
    let coil_loss = inlet.pressure_Pa - outlet.pressure_Pa;
    let setting = Setting {
        flow_kg_s: flow,
        outdoor_K: point.outdoor_K,
        heat: false,
        reference: None,
        film_kg_m3: 0.0,
        gas_Pa: 0.0,
        receivers: Receivers::Hold,
    };
    let integrated =
        integrator.and_then(|integrator| integrator.run(outlet.pressure_Pa, outlet.enthalpy_J_kg, &setting).ok());
    let head = outlet.density_kg_m3 * GRAVITY;
    let loss = integrated.as_ref().map(|integrated| integrated.runs.iter().map(|run| run.friction_Pa).sum::<f64>());
    let fall = integrated.as_ref().and_then(|integrated| integrated.runs.first()).map_or(0.0, |run| run.friction_Pa);
    let per_metre = if height > 0.0 { fall / height } else { 0.0 };
    let needed = match (integrator, loss) {
        // Drawn so small that its liquid leaves the refrigerant's range.
        (Some(_), None) => None,
        _ if head > per_metre => Some((coil_loss + loss.unwrap_or(0.0) - fall) / (head - per_metre)),
        _ => None,
    };
    DropLeg {
        id: point.id,
        point: point.name.clone(),
        flow_kg_s: flow,
        density_kg_m3: outlet.density_kg_m3,
        coil_loss_Pa: coil_loss,
        leg_loss_Pa: loss,
        velocity_m_s: integrated
            .as_ref()
            .and_then(|integrated| integrated.runs.first())
            .and_then(|run| run.tubes.first())
            .map(|tube| tube.velocity_m_s),
        needed_m: needed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::metres;

    #[test]
    fn a_leg_is_a_fall_and_then_level() {
        let tube = crate::refdata::tube("1-1/8 ACR").unwrap().clone();
        let legs = Legs { height: metres(1.2), tube, level: metres(2.0), fittings: vec![("elbow".into(), 2)] };
        let line = drawn(&legs);
        assert_eq!(line.runs.len(), 2);
        assert!((line.runs[0].path.rise_m() + 1.2).abs() < 1e-12 && line.runs[1].fittings.len() == 1);
    }
}
