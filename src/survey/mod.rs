//! A job solved: every circuit at every operating point. The one thing that rules and reports see.

mod answer;

pub use answer::*;
