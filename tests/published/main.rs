//! Printed values from outside, computed again by the functions that `check` uses.

mod refrigerants;
