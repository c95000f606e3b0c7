//! The machine: compressors, condenser, head-pressure control, and the balance that solves an operating point.

mod balance;
mod coil;
mod compressor;
mod control;
mod search;

pub use balance::{Balance, Circuitry, Condition, Near, Solution, Unbalanced};
pub use coil::{Coil, CoilFault, Surroundings};
pub use compressor::{Compressor, CompressorFault, RatedPoint, Running, volumetric_efficiency};
pub use control::{Acting, Regime};
pub use search::Slopes;

/// What in a job can't be made a machine of.
#[derive(Clone, Debug, thiserror::Error)]
pub enum MachineFault {
    /// The compressor.
    #[error(transparent)]
    Compressor(#[from] CompressorFault),
    /// The condenser.
    #[error(transparent)]
    Coil(#[from] CoilFault),
    /// The refrigerant is not in the reference data.
    #[error("no properties for {0}")]
    Refrigerant(String),
}
