//! The fits against every row of the reference tables, and what must hold of any property function.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

#[path = "refrigerants/limits.rs"]
mod limits;
#[path = "refrigerants/properties.rs"]
mod properties;
#[path = "refrigerants/tables.rs"]
mod tables;
