//! Plane geometry of a plan: distances, what lies ahead of a face, overlaps. Lengths in m; exact but for rounding.
//!
//! All of it is elementary; no source is needed.

mod place;
mod polygon;
mod stretch;

pub use place::{SLACK_M, Xy};
pub use polygon::{apart, crossing, hull, length_within, reaches_past, sides, to_sides, way_out, within};
pub use stretch::{ahead, between, to_stretch};
