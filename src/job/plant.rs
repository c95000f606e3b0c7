//! What the circuits together must carry, and how the load goes over the year.

use crate::units::{Power, Temperature};

/// What the circuits together must carry.
#[derive(Clone, Debug)]
pub struct Plant {
    /// The load on the design day.
    pub load: Power,
    /// Modules that may be out of service on the design day.
    pub spare: u32,
    /// The load over the year.
    pub profile: Profile,
    /// Which modules run.
    pub running: Running,
}

/// The load over the year, as a share of the load on the design day.
#[derive(Clone, Debug, PartialEq)]
pub enum Profile {
    /// The same at every hour.
    Constant,
    /// By hour of the week: 168 shares, the first from midnight to one o'clock on Monday.
    Week(Vec<f64>),
    /// In proportion to the outdoor temperature: 0 at `none`, 1 at `full`, straight between, never less than `minimum`.
    Outdoor {
        /// Where the load begins.
        none: Temperature,
        /// Where it is the whole.
        full: Temperature,
        /// It is never less than this share.
        minimum: f64,
    },
}

/// Which modules run when the load does not require all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// As few as carry the load, in the order of the file, loaded alike.
    Few,
    /// All of them, loaded alike.
    All,
}
