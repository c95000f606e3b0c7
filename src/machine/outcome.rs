//! What comes of an operating point: its balance, the solution that it belongs to, or why there is none.

use super::compressor::Running;
use crate::job::LineId;
use crate::line::{Integrated, LineFault, Stop};
use crate::refrigerant::OutOfRange;

/// Share of the rated flow below which a line stops for want of flow, not of width.
const NEXT_TO_NOTHING: f64 = 1e-3;

/// A balance: all states round the circuit.
#[derive(Clone, Debug)]
pub struct Balance {
    /// Evaporating temperature, dew, K.
    pub evaporating_K: f64,
    /// Condensing temperature, dew at the condenser's inlet, K.
    pub condensing_K: f64,
    /// The compressors.
    pub running: Running,
    /// Flow in the lines, kg/s.
    pub line_flow_kg_s: f64,
    /// Discharge line.
    pub discharge_line: Integrated,
    /// Condenser outlet pressure, Pa.
    pub leaving_Pa: f64,
    /// Condenser outlet enthalpy, J/kg.
    pub leaving_J_kg: f64,
    /// Liquid line, where it was integrated (it need not be to balance unless it exchanges heat).
    pub liquid_line: Option<Integrated>,
    /// Cooling capacity, W.
    pub capacity_W: f64,
    /// Condenser heat, W.
    pub rejection_W: f64,
}

/// Where the search for a balance begins: near one that was solved before.
#[derive(Clone, Copy, Debug)]
pub struct Near {
    /// Evaporating temperature, K.
    pub evaporating_K: f64,
    /// Condensing temperature, K.
    pub condensing_K: f64,
    /// The compressors' discharge pressure, Pa.
    pub discharge_Pa: f64,
    /// Share of the evaporator's surface that only heats gas, where that starved.
    pub dry_share: Option<f64>,
}

impl From<&Balance> for Near {
    fn from(balance: &Balance) -> Self {
        let Balance { evaporating_K: evaporating, condensing_K: condensing, running, .. } = balance;
        Self {
            evaporating_K: *evaporating,
            condensing_K: *condensing,
            discharge_Pa: running.discharge_Pa,
            dry_share: None,
        }
    }
}

/// A solved condition.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The balance.
    pub balance: Balance,
    /// Share of the air that the control leaves.
    pub air_share: f64,
    /// Share of the coil that the control floods.
    pub flooded_share: f64,
    /// Where the valve does not feed, though wide open.
    pub starved: Option<Starved>,
    /// Whether a fixed restriction passes more than the compressors take, even without superheat.
    pub flooded: bool,
    /// Largest residual left, relative.
    pub residual: f64,
    /// Evaluations that it took.
    pub evaluations: u32,
}

/// An evaporator whose valve passes less than the compressors would take.
#[derive(Clone, Copy, Debug)]
pub struct Starved {
    /// The fluid that enters and that leaves, K, where the fluid gives the evaporating temperature.
    pub fluid_K: Option<[f64; 2]>,
    /// Share of the evaporator's surface that only heats gas.
    pub dry_share: f64,
}

/// Why a condition has no balance.
#[derive(Clone, Debug)]
pub enum Unbalanced {
    /// Even at the top of the range the condenser can't reject the heat.
    NeverCondenses {
        /// Highest discharge pressure tried, Pa.
        top_Pa: f64,
    },
    /// The condensing temperature falls to the evaporating temperature.
    FallsToSuction {
        /// Evaporating temperature, K.
        evaporating_K: f64,
    },
    /// A line leaves the refrigerant's range.
    Line {
        /// `discharge` or `liquid`.
        line: LineId,
        /// Where and why.
        fault: LineFault,
    },
    /// A property out of range.
    Range(OutOfRange),
    /// No refrigeration: why, in a sentence.
    NoRefrigeration(&'static str),
    /// The search did not converge, or did all the work that it may.
    NotConverged,
}

impl Unbalanced {
    /// A line in which a share of the rated flow stops.
    pub(super) fn of_line(line: LineId, fault: LineFault, share: f64) -> Self {
        match fault.cause {
            Stop::TooManySteps if share < NEXT_TO_NOTHING => {
                Self::NoRefrigeration("next to nothing flows in a line there")
            }
            Stop::TooManySteps | Stop::Range(_) => Self::Line { line, fault },
        }
    }
}

impl From<OutOfRange> for Unbalanced {
    fn from(cause: OutOfRange) -> Self {
        Self::Range(cause)
    }
}
