//! A chiller for the tests of the balance.

use super::Condition;
use crate::job::{self, Circuit};
use std::path::Path;

/// A circuit of the bottling hall, changed.
pub(super) fn circuit(change: impl FnOnce(&mut Circuit)) -> Circuit {
    let text = include_str!("../../examples/bottling-hall.toml");
    let mut circuit = job::read("hall.toml", text, Path::new(".")).unwrap().circuits.swap_remove(0);
    change(&mut circuit);
    circuit
}

/// All compressors with air of so many kelvin on the roof, 3 K warmer at the coil, the head not held.
pub(super) fn at(outdoor: f64) -> Condition {
    Condition {
        outdoor_K: outdoor,
        recirculation_K: 3.0,
        atmosphere_Pa: 98_000.0,
        share: 1.0,
        bypass: 0.0,
        lines: true,
        held_K: None,
        control: false,
        valve: true,
    }
}

/// Density of the oil film, kg/m3.
pub(super) const FILM: f64 = 900.0;
