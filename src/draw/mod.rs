//! Drawings from the data of the reports, as SVG: nothing is computed here but where a line goes.
//!
//! [`canvas`] writes the SVG and knows what is covered; [`style`] is the look, [`measure`] how wide a text is; `marks` are the
//! numbers of the findings, `symbols` the parts of a line. Each kind of drawing is a file or a folder of its own.

pub mod block;
pub mod canvas;
mod capacity;
pub mod chart;
mod diagnosis;
pub mod isometric;
mod liquid;
pub mod marks;
pub mod measure;
mod oil;
mod ph;
pub mod plan;
pub mod plane;
#[cfg(feature = "png")]
pub mod png;
pub mod route;
pub mod style;
pub mod symbols;
mod trend;
mod year;

pub use canvas::{Breadth, Drawing, Seen, Setting};
pub use capacity::capacity;
pub use diagnosis::diagnosis;
pub use liquid::liquid;
pub use oil::oil;
pub use ph::ph;
pub use trend::trend;
pub(crate) use year::has_hours_on_map;
pub use year::{duration, map};
