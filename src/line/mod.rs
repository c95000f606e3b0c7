//! A line: the integrate along its route, and what each run of it is worth.
//!
//! Each run is integrated in the order of flow for pressure and enthalpy:
//!
//! dp = -(f G2 / (2 rho D)) dLe - rho g dz,  dh = -U (T - T air) dL / m
//!
//! with Colebrook-White friction, the static head of the fluid as it is there, and heat to the air round the tube.
//! Velocity head and potential energy in the enthalpy are left out (38 ft of lift is 0.11 kJ/kg).

mod integrate;
mod outcome;
mod parallel;
mod pipe;
mod step;
mod work;

pub use integrate::{Integrator, Medium, Receivers, Setting};
pub use outcome::{Integrated, LineFault, Reference, RunResult, Stop, TubeResult};
pub use parallel::{Glance, Sight};
pub use pipe::{equivalent_length, exchanges_heat, has_through_receiver};
pub use work::Work;
