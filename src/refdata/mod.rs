//! Embedded tables, each row with its source.

mod tubes;

pub use tubes::{Material, Tube};
