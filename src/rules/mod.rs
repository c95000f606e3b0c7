//! One rule, one file: it reads the survey and answers findings. No rule computes physics.

mod finding;

pub use finding::{Finding, Rule, Verdict};
