//! Pure formulas, each with its symbols, range and source. No tables, no refrigerants, no job.

pub mod air_absorption;
pub mod atmosphere;
pub mod barrier;
pub mod flooding;
pub mod friction;
pub mod heat;
pub mod machinery_room;
pub mod oil_film;
pub mod plane;
pub mod polynomial;
pub mod relief;
pub mod separation;
pub mod sound;
pub mod static_head;
pub mod strength;
pub mod thermal_expansion;
pub mod tube_metal;
pub mod valve_flow;
pub mod void_fraction;
pub mod water_hammer;
pub mod wind_load;

/// A number outside the range in which a formula holds.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{what} is {value} {unit}, {} {bound} {unit}", if *.below { "below" } else { "above" })]
pub struct OutOfBounds {
    /// What it is.
    pub what: &'static str,
    /// Its value, in `unit`.
    pub value: f64,
    /// The bound that it passes, in `unit`.
    pub bound: f64,
    /// SI unit, or empty for a ratio.
    pub unit: &'static str,
    /// Whether it lies below the bound.
    pub below: bool,
}
