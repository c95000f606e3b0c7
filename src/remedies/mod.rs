//! What would mend a job: changes as data, each tried by solving again what it touches and letting the rules look.

mod change;

pub use change::{Change, differences, edits};
