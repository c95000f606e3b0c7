//! What happens in the liquid line when a valve shuts.

use super::answer::{LineAnswer, Point, PointId};
use super::strength::{Design, rated};
use crate::job::{Circuit, Line, Path};
use crate::physics::water_hammer;
use crate::refrigerant::{self, Refrigerant};
use crate::units::{kilograms_per_cubic_metre, metres, metres_per_second};
use schemars::JsonSchema;
use serde::Serialize;

/// A valve that shuts at an operating point.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Closing {
    /// The operating point.
    #[serde(skip)]
    pub id: PointId,
    /// Its name.
    pub point: String,
    /// Number of the valve's run in the liquid line.
    pub run: usize,
    /// Number of the run of tube ahead of it, whose liquid it stops; the valve's own where there is none.
    pub stops_run: usize,
    /// Velocity that it stops.
    pub velocity_m_s: f64,
    /// Density of the liquid ahead of it.
    pub density_kg_m3: f64,
    /// Speed of sound there.
    pub speed_of_sound_m_s: f64,
    /// Absolute pressure ahead of it with the flow stopped and no surge: that of the condenser's outlet and the static head.
    pub static_Pa: f64,
    /// What the surge adds.
    pub surge_Pa: f64,
    /// The weakest tube of the run ahead of it at this point or at the design temperature, and its rating over the atmosphere.
    #[serde(skip)]
    pub holds: Option<(String, f64)>,
    /// Length of tube back to the receiver, or without one ahead of the valve to the condenser.
    pub length_m: f64,
    /// Time in which sound runs there and back; a valve that takes longer to shut surges less in proportion.
    pub period_s: f64,
}

/// Every closing valve of the liquid line at every operating point at which the plant runs.
pub(super) fn closings(circuit: &Circuit, design: Option<&Design>, points: &[Point]) -> Vec<Closing> {
    let Some(fluid) = refrigerant::named(&circuit.refrigerant) else { return Vec::new() };
    let drawn = &circuit.liquid;
    let valves: Vec<usize> = drawn
        .runs
        .iter()
        .enumerate()
        .filter(|(_, run)| matches!(&run.path, Path::Part(part) if part.closes))
        .map(|(index, _)| index)
        .collect();
    let coldest = design.map_or(0.0, |design| design.temperature_K);
    let points = points.iter().filter(|point| point.id.is_running());
    points
        .flat_map(|point| valves.iter().filter_map(move |valve| closing(fluid, drawn, *valve, point, coldest)))
        .collect()
}

fn closing(fluid: &Refrigerant, drawn: &Line, valve: usize, point: &Point, coldest: f64) -> Option<Closing> {
    let line: &LineAnswer = &point.liquid_line;
    let ahead = line.runs.get(..valve)?;
    let inlet = ahead.last().map_or(point.state.condenser_outlet, |run| run.out.state);
    let state = fluid.state_ph(inlet.pressure_Pa, inlet.enthalpy_J_kg).ok()?;
    let stopped = ahead.iter().rev().find(|run| run.path != "part").or_else(|| line.runs.get(valve))?;
    let tubes = stopped.index.checked_sub(1).and_then(|index| drawn.runs.get(index)).map(|run| &run.tubes);
    let warmest = stopped.warmest_K.max(coldest);
    let held = tubes.into_iter().flatten().filter_map(|tube| Some((tube, rated(tube, warmest)?)));
    let weakest = held.reduce(|minimum, other| if other.1 < minimum.1 { other } else { minimum });
    let velocity = stopped.tubes.iter().map(|tube| tube.velocity_m_s).fold(0.0, f64::max);
    let receiver = drawn
        .runs
        .get(..valve)?
        .iter()
        .rposition(|run| matches!(&run.path, Path::Part(part) if part.receiver.is_some()));
    let length = ahead.get(receiver.unwrap_or(0)..)?.iter().map(|run| run.length_m).sum();
    let sound = metres_per_second(state.speed_of_sound);
    Some(Closing {
        id: point.id,
        point: point.name.clone(),
        run: valve + 1,
        stops_run: stopped.index,
        velocity_m_s: velocity,
        density_kg_m3: state.density,
        speed_of_sound_m_s: state.speed_of_sound,
        static_Pa: point.state.condenser_outlet.pressure_Pa - ahead.iter().map(|run| run.static_Pa).sum::<f64>(),
        surge_Pa: water_hammer::joukowsky(kilograms_per_cubic_metre(state.density), sound, metres_per_second(velocity))
            .value,
        holds: weakest.map(|(tube, rated)| (tube.name.clone(), rated)),
        length_m: length,
        period_s: water_hammer::period(metres(length), sound).value,
    })
}
