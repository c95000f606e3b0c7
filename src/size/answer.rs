//! What `size` answers.

use crate::job::{Circuit, Job};
use crate::remedies::{Choice, Section, tube_mass};
use crate::rules::Finding;
use crate::survey::{CircuitSurvey, PointId};

/// A job with every tube that was open found, or what stands in the way.
#[derive(Clone, Debug)]
pub struct Sizing {
    /// One for each circuit, in the job's order.
    pub circuits: Vec<CircuitSizing>,
    /// The job with the tubes in place; circuits of which none passes have their nearest miss.
    pub job: Job,
    /// What fails of the plant with these tubes, with what would have to change.
    pub plant: Vec<Finding>,
}

impl Sizing {
    /// Whether every circuit has its tube and nothing fails with it, and the plant carries its load.
    #[must_use]
    pub fn complete(&self) -> bool {
        let fails =
            |circuit: &CircuitSizing| matches!(&circuit.outcome, Outcome::Found { fails, .. } if !fails.is_empty());
        self.plant.is_empty() && self.sized() && !self.circuits.iter().any(fails)
    }

    /// Whether any run is open.
    #[must_use]
    pub fn is_open(&self) -> bool {
        !self.circuits.iter().all(|circuit| matches!(circuit.outcome, Outcome::NothingOpen))
    }

    /// Whether every circuit has its tube.
    #[must_use]
    pub fn sized(&self) -> bool {
        self.circuits.iter().all(|circuit| matches!(circuit.outcome, Outcome::Found { .. } | Outcome::NothingOpen))
    }
}

/// What was found for a circuit.
#[derive(Clone, Debug)]
pub struct CircuitSizing {
    /// Its name.
    pub name: String,
    /// How many identical circuits it stands for.
    pub copies: u32,
    /// What was found.
    pub outcome: Outcome,
    /// How many circuits were solved on the way.
    pub solved: u32,
}

/// What was found for a circuit.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// No tube is open in it.
    NothingOpen,
    /// The lightest set that passes.
    Found {
        /// The tubes by section.
        set: Vec<(Section, Choice)>,
        /// What it costs.
        numbers: Numbers,
        /// One size up and down in each section.
        neighbours: Vec<Neighbour>,
        /// The rules that have a caution for it.
        cautions: Vec<&'static str>,
        /// The operating points at which oil seals the larger tube of a double riser.
        sealed_at: Vec<String>,
        /// What fails whatever the tube.
        fails: Vec<Finding>,
    },
    /// Nothing passes.
    Blocked {
        /// The set that comes nearest.
        nearest: Vec<(Section, Choice)>,
        /// What fails with it, with what would have to change.
        fails: Vec<Finding>,
        /// Whether the search had done all the work that it may before it had looked at every set.
        stopped: bool,
    },
}

/// What a set of tubes costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numbers {
    /// Loss of the discharge line at `summer full`, as dew temperature, K.
    pub discharge_drop_K: f64,
    /// Capacity at `summer full`, W.
    pub capacity_W: f64,
    /// Least ratio of flow to the flow that lifts oil, of all rises at all points; none without a rise.
    pub oil_ratio: Option<f64>,
    /// Least subcooling at the valve, K.
    pub subcooling_K: f64,
    /// Tube in both lines, kg: copper, unless steel was required.
    pub copper_kg: f64,
    /// Refrigerant in both lines at `summer full`, kg.
    pub refrigerant_kg: f64,
}

/// One size up or down in one section.
#[derive(Clone, Debug)]
pub struct Neighbour {
    /// Where.
    pub section: Section,
    /// Whether it is larger than what was chosen.
    pub larger: bool,
    /// The tubes.
    pub choice: Choice,
    /// What the set then costs; none where the circuit can't be solved with it.
    pub numbers: Option<Numbers>,
    /// The rules that fail with it.
    pub fails: Vec<&'static str>,
    /// Rules whose usual aim it misses: cautions of the lines' pressure drop and of the gas velocity.
    pub misses: Vec<&'static str>,
}

/// What a circuit as drawn costs, once solved; none where a point that it needs has no solution.
#[must_use]
pub fn numbers(circuit: &Circuit, solved: &CircuitSurvey) -> Option<Numbers> {
    let summer = solved.point(PointId::SummerFull)?;
    let running = || solved.points.iter().filter(|point| point.id.is_running());
    let ratios = running().flat_map(|point| &point.discharge_line.runs).filter_map(|run| run.oil_lift.map(|l| l.ratio));
    let subcooling = running()
        .filter_map(|point| point.liquid_line.runs.last().and_then(|run| run.out.subcooling_K))
        .fold(f64::INFINITY, f64::min);
    let refrigerant = summer.discharge_line.runs.iter().chain(&summer.liquid_line.runs).map(|run| run.charge_kg).sum();
    let oil_ratio = ratios.fold(f64::INFINITY, f64::min);
    Some(Numbers {
        discharge_drop_K: summer.discharge_line.saturation_drop_K,
        capacity_W: summer.capacity_W,
        oil_ratio: oil_ratio.is_finite().then_some(oil_ratio),
        subcooling_K: subcooling,
        copper_kg: tube_mass(circuit),
        refrigerant_kg: refrigerant,
    })
}
