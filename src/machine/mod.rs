//! The chiller: compressors, condenser, head-pressure control, and the balance that solves an operating point.

mod balance;
mod bracket;
mod coil;
mod compressor;
mod condition;
mod control;
mod evaporator;
mod outcome;
mod rating;
mod search;
mod starve;
#[cfg(test)]
mod testing;
mod valve;
mod wrong;

pub use balance::Circuitry;
pub use coil::{Coil, CoilFault, Surroundings};
pub use compressor::{Compressor, CompressorFault, RatedPoint, Running, volumetric_efficiency};
pub use condition::Condition;
pub use outcome::{Balance, Near, Solution, Starved, Unbalanced};
pub use search::Slopes;
pub use wrong::Wrong;

use crate::refrigerant::OutOfRange;

/// What in a job can't be made a chiller of.
#[derive(Clone, Debug, thiserror::Error)]
pub enum MachineFault {
    /// The compressor.
    #[error(transparent)]
    Compressor(#[from] CompressorFault),
    /// The condenser.
    #[error(transparent)]
    Coil(#[from] CoilFault),
    /// A state of the rating is out of range.
    #[error("at the rating: {0}")]
    Range(#[from] OutOfRange),
    /// The refrigerant is not in the reference data.
    #[error("no properties for {0}")]
    Refrigerant(String),
}
