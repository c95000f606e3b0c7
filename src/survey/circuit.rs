//! A circuit solved, and the job of such circuits.

use super::answer::{Derating, Point, PointId, Unsolved, Why};
use super::charge::Charge;
use super::drop_leg::DropLeg;
use super::expansion::Straight;
use super::relief::ReliefNeed;
use super::strength::{Design, Strength, rated, warmest};
use super::trapped::{Trapped, coil_shut_in, receiver_stops, trapped};
use super::valve_closure::Closing;
use crate::job::{Circuit, LineId};
use crate::refdata::Tube;

/// A job solved.
#[derive(Clone, Debug)]
pub struct Survey {
    /// One for each circuit of the job, in its order.
    pub circuits: Vec<CircuitSurvey>,
}

/// A circuit solved at every operating point.
#[derive(Clone, Debug)]
pub struct CircuitSurvey {
    /// The circuit's name.
    pub name: String,
    /// The points that have a solution: `rating`, `summer full`, `summer minimum`, `winter full`, `winter minimum`, then the user's own.
    pub points: Vec<Point>,
    /// The points that have none.
    pub unsolved: Vec<Unsolved>,
    /// What the design day leaves of the capacity; absent where `summer full` is unsolved or was not required.
    pub derating: Option<Derating>,
    /// Overall isentropic efficiency of the compressor at its rating.
    pub rated_efficiency: f64,
    /// How much refrigerant it holds; absent where no operating point but the rating has a solution.
    pub charge: Option<Charge>,
    /// What the high side is designed for; absent where neither saturation nor a cut-out gives it.
    pub design: Option<Design>,
    /// What its relief valve must let out.
    pub relief: ReliefNeed,
    /// What its valves can shut in, and those that are drawn.
    pub stops: Stops,
    /// Every tube of both lines at its warmest.
    pub strengths: Vec<Strength>,
    /// Every closing valve of the liquid line at every operating point at which the plant runs.
    pub closings: Vec<Closing>,
    /// The straight lengths of both lines.
    pub straights: Vec<Straight>,
    /// The drop legs of several coils in parallel at every operating point at which the plant runs.
    pub drop_legs: Vec<DropLeg>,
    /// What was done to solve it, in steps along its lines.
    pub work: u64,
    /// Whether the search for a point ended because it had done all that it may.
    pub cut: bool,
}

/// What the valves of a circuit can shut in, and stop valves that are drawn.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stops {
    /// Liquid between two valves.
    pub trapped: Vec<Trapped>,
    /// Whether the coil can be shut off at both ends, with no relief of its own.
    pub coil_shut_in: bool,
    /// Whether the receiver has a stop valve at its inlet and at its outlet; none without a receiver.
    pub receiver: Option<[bool; 2]>,
}

impl Stops {
    /// Of a circuit as drawn.
    pub(crate) fn of(circuit: &Circuit) -> Self {
        Self { trapped: trapped(circuit), coil_shut_in: coil_shut_in(circuit), receiver: receiver_stops(circuit) }
    }
}

impl CircuitSurvey {
    /// That operating point, where it has a solution.
    #[must_use]
    pub fn point(&self, id: PointId) -> Option<&Point> {
        self.points.iter().find(|point| point.id == id)
    }

    /// The first line on the way that does not carry the flow, where points without a solution have none for that: beside them one
    /// may be of which no more is known than that no balance was found.
    pub(crate) fn stopped_line(&self) -> Option<LineId> {
        let stops = |unsolved: &&Unsolved| !matches!(unsolved.why, Why::NoBalance(_));
        let line = |unsolved: &Unsolved| match unsolved.why {
            Why::LineTooSmall { line, .. } => Some(line),
            _ => None,
        };
        self.unsolved.iter().filter(stops).map(line).collect::<Option<Vec<LineId>>>()?.into_iter().min()
    }
}

/// Whether a tube would hold the design pressure, with a relief valve over the switch, anywhere in a line; true where nothing is known of either.
pub(crate) fn holds_in(circuit: &CircuitSurvey, line: LineId, tube: &Tube) -> bool {
    let Some(design) = &circuit.design else { return true };
    let warmest = warmest(&circuit.points, line, |_| true).max(design.temperature_K);
    rated(tube, warmest).is_none_or(|rated| rated >= design.with_relief_Pa)
}
