//! How a flow splits between parallel tubes so that all lose the same pressure.

use super::pipe::{Pipe, Segment};
use crate::job::Run;
use crate::physics::friction::{friction_factor, loss};
use crate::physics::oil_film;
use crate::units::{kilograms_per_cubic_metre, metres, metres_per_second};

/// The flow of each tube and the friction that all of them have, over the whole run.
#[derive(Clone, Debug, Default)]
pub(super) struct Split {
    /// Friction over the run at this density and viscosity, Pa.
    pub friction_Pa: f64,
    /// Flow of each tube, kg/s.
    pub flows: Vec<f64>,
}

/// Friction of one tube over its whole equivalent length, Pa: f (Le/D) G2/(2 rho).
pub(super) fn friction(pipe: &Pipe, flow: f64, density: f64, viscosity: f64) -> f64 {
    if flow <= 0.0 || pipe.equivalent_m <= 0.0 {
        return 0.0;
    }
    let mass_velocity = flow / pipe.area_m2;
    let factor = friction_factor(mass_velocity * pipe.bore_m / viscosity, pipe.roughness);
    let (velocity, density) = (metres_per_second(mass_velocity / density), kilograms_per_cubic_metre(density));
    loss(factor, metres(pipe.equivalent_m), metres(pipe.bore_m), density, velocity).value
}

/// Flow of one tube at a given friction, kg/s; the inverse of [`friction`], Colebrook being explicit in Re sqrt(f).
/// Within the jump from laminar to turbulent, the flow at which it jumps.
fn flow_at(pipe: &Pipe, friction: f64, density: f64, viscosity: f64) -> f64 {
    if pipe.equivalent_m <= 0.0 {
        return 0.0;
    }
    // G2 f = 2 rho D dp / Le
    let g_root_f = (2.0 * density * pipe.bore_m * friction / pipe.equivalent_m).sqrt();
    let re_root_f = g_root_f * pipe.bore_m / viscosity;
    let inverse_root_f = -2.0 * (pipe.roughness / 3.7 + 2.51 / re_root_f).log10();
    let turbulent = re_root_f * inverse_root_f;
    let reynolds = if turbulent >= 2300.0 { turbulent } else { (re_root_f * re_root_f / 64.0).min(2300.0) };
    reynolds * viscosity / pipe.bore_m * pipe.area_m2
}

/// Splits `flow` between the open tubes (`open[i]`), all with the same loss.
pub(super) fn split(pipes: &[Pipe], open: &[bool], flow: f64, density: f64, viscosity: f64, into: &mut Split) {
    into.flows.clear();
    into.flows.resize(pipes.len(), 0.0);
    let count = open.iter().filter(|o| **o).count();
    if count == 1 {
        if let Some(i) = open.iter().position(|o| *o) {
            into.flows[i] = flow;
            into.friction_Pa = friction(&pipes[i], flow, density, viscosity);
        }
        return;
    }
    let area: f64 = pipes.iter().zip(open).filter(|(_, o)| **o).map(|(p, _)| p.area_m2).sum();
    let mut common = if into.friction_Pa > 0.0 {
        into.friction_Pa
    } else {
        pipes
            .iter()
            .zip(open)
            .filter(|(_, o)| **o)
            .map(|(p, _)| friction(p, flow * p.area_m2 / area, density, viscosity))
            .fold(0.0, f64::max)
    };
    if common <= 0.0 {
        // No length, no loss: the flow divides by area.
        for ((slot, pipe), o) in into.flows.iter_mut().zip(pipes).zip(open) {
            *slot = if *o { flow * pipe.area_m2 / area } else { 0.0 };
        }
        into.friction_Pa = 0.0;
        return;
    }
    // The sum of the flows goes with the loss to the power 0.55 or so: a fixed point that gains two digits a turn.
    for _ in 0..60 {
        let mut sum = 0.0;
        for ((slot, pipe), o) in into.flows.iter_mut().zip(pipes).zip(open) {
            *slot = if *o { flow_at(pipe, common, density, viscosity) } else { 0.0 };
            sum += *slot;
        }
        let ratio = flow / sum;
        if (ratio - 1.0).abs() < 1e-13 {
            break;
        }
        common *= ratio.powf(1.8);
    }
    let sum: f64 = into.flows.iter().sum();
    for slot in &mut into.flows {
        *slot *= flow / sum;
    }
    into.friction_Pa = common;
}

/// Which tubes carry flow. In a rise of gas (`film` is then the density of the oil film) the largest that can't lift oil
/// seals, then the next; elsewhere all are open.
pub(super) fn open_tubes(
    pipes: &[Pipe],
    flow: f64,
    density: f64,
    viscosity: f64,
    film: Option<f64>,
    scratch: &mut Split,
) -> Vec<bool> {
    let mut open = vec![true; pipes.len()];
    let Some(film) = film else { return open };
    for largest in (1..pipes.len()).rev() {
        split(pipes, &open, flow, density, viscosity, scratch);
        if scratch.flows[largest] >= minimum_flow(&pipes[largest], density, film) {
            break;
        }
        open[largest] = false;
        scratch.friction_Pa = 0.0;
    }
    open
}

/// Least flow of gas that lifts oil up a tube, kg/s; 0 where the gas is as dense as the film.
pub(super) fn minimum_flow(pipe: &Pipe, density: f64, film: f64) -> f64 {
    oil_film::minimum_mass_velocity(
        kilograms_per_cubic_metre(density),
        kilograms_per_cubic_metre(film),
        metres(pipe.bore_m),
    )
    .map_or(0.0, |g| g * pipe.area_m2)
}

/// What a run would do at a flow, density and viscosity that do not change along it.
#[derive(Clone, Copy, Debug)]
pub struct Glance {
    /// Friction of tube and fittings, Pa.
    pub friction_Pa: f64,
    /// Greatest velocity, m/s.
    pub velocity_m_s: f64,
    /// Least flow over the flow that lifts oil, of its open tubes; infinite where there is none to lift.
    pub oil_ratio: f64,
}

/// A run as a search looks at it before it solves a circuit.
#[derive(Clone, Debug)]
pub struct Sight(Segment);

impl Sight {
    /// Of a run.
    #[must_use]
    pub fn new(run: &Run) -> Self {
        Self(Segment::new(run))
    }

    /// What it would do at one density and viscosity. `film` is the density of the oil film where it is a rise of gas.
    #[must_use]
    pub fn glance(&self, flow: f64, density: f64, viscosity: f64, film: Option<f64>) -> Glance {
        let pipes = &self.0.pipes;
        let mut scratch = Split::default();
        let open = open_tubes(pipes, flow, density, viscosity, film, &mut scratch);
        split(pipes, &open, flow, density, viscosity, &mut scratch);
        let mut glance = Glance { friction_Pa: scratch.friction_Pa, velocity_m_s: 0.0, oil_ratio: f64::INFINITY };
        for (pipe, flow) in pipes.iter().zip(&scratch.flows).filter(|(_, flow)| **flow > 0.0) {
            glance.velocity_m_s = glance.velocity_m_s.max(flow / (pipe.area_m2 * density));
            if let Some(minimum) = film.map(|film| minimum_flow(pipe, density, film)).filter(|minimum| *minimum > 0.0) {
                glance.oil_ratio = glance.oil_ratio.min(flow / minimum);
            }
        }
        glance
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn pipe(bore: f64, equivalent: f64) -> Pipe {
        let area = std::f64::consts::PI / 4.0 * bore * bore;
        Pipe { bore_m: bore, area_m2: area, roughness: 1.5e-6 / bore, equivalent_m: equivalent, conductance_W_K: 0.0 }
    }

    /// Gas of a discharge line.
    const GAS: (f64, f64) = (90.0, 1.5e-5);

    #[test]
    fn flow_at_a_loss_is_the_inverse_of_the_loss() {
        for flow in [0.01, 0.1, 1.0] {
            let pipe = pipe(0.032, 25.0);
            let loss = friction(&pipe, flow, GAS.0, GAS.1);
            assert_relative_eq!(flow_at(&pipe, loss, GAS.0, GAS.1), flow, max_relative = 1e-12);
        }
        let slow = pipe(0.032, 25.0);
        let laminar = 1000.0 * GAS.1 / slow.bore_m * slow.area_m2;
        let loss = friction(&slow, laminar, GAS.0, GAS.1);
        assert_relative_eq!(flow_at(&slow, loss, GAS.0, GAS.1), laminar, max_relative = 1e-12);
    }

    #[test]
    fn nothing_is_lost_without_flow_or_without_length() {
        for (flow, length) in [(0.0, 25.0), (0.5, 0.0)] {
            assert!(friction(&pipe(0.032, length), flow, GAS.0, GAS.1).abs() < 1e-12, "{flow} {length}");
        }
    }

    #[test]
    fn parallel_tubes_lose_the_same_and_carry_all() {
        let pipes = [pipe(0.02, 30.0), pipe(0.038, 42.0)];
        let mut answer = Split::default();
        split(&pipes, &[true, true], 0.8, GAS.0, GAS.1, &mut answer);
        assert_relative_eq!(answer.flows.iter().sum::<f64>(), 0.8, max_relative = 1e-12);
        for (pipe, flow) in pipes.iter().zip(&answer.flows) {
            assert_relative_eq!(friction(pipe, *flow, GAS.0, GAS.1), answer.friction_Pa, max_relative = 1e-10);
        }
    }

    #[test]
    fn two_equal_tubes_carry_half_each() {
        let pipes = [pipe(0.03, 10.0), pipe(0.03, 10.0)];
        let mut answer = Split::default();
        split(&pipes, &[true, true], 0.5, GAS.0, GAS.1, &mut answer);
        assert_relative_eq!(answer.flows[0], 0.25, max_relative = 1e-12);
    }

    #[test]
    fn tubes_without_length_share_by_area() {
        let pipes = [pipe(0.01, 0.0), pipe(0.02, 0.0)];
        let mut answer = Split::default();
        split(&pipes, &[true, true], 0.5, GAS.0, GAS.1, &mut answer);
        assert_relative_eq!(answer.flows[1] / answer.flows[0], 4.0, max_relative = 1e-12);
        assert_relative_eq!(answer.friction_Pa, 0.0);
    }

    #[test]
    fn the_larger_tube_seals_below_its_least_flow_and_not_at_it() {
        let pipes = [pipe(0.02, 12.0), pipe(0.038, 12.0)];
        let mut scratch = Split::default();
        let minimum = minimum_flow(&pipes[1], GAS.0, 980.0);
        // The flow of both at which the larger one carries just its minimum.
        let both = |flow: f64, scratch: &mut Split| {
            split(&pipes, &[true, true], flow, GAS.0, GAS.1, scratch);
            scratch.flows[1]
        };
        let root = crate::solve::bracketed(
            |flow| Ok::<_, ()>(both(flow, &mut Split::default()) - minimum),
            0.5 * minimum,
            4.0 * minimum,
            1e-12,
        )
        .unwrap();
        assert!(open_tubes(&pipes, root.x * 1.0001, GAS.0, GAS.1, Some(980.0), &mut scratch)[1]);
        assert!(!open_tubes(&pipes, root.x * 0.9999, GAS.0, GAS.1, Some(980.0), &mut scratch)[1]);
        assert_eq!(open_tubes(&pipes, 1e-6, GAS.0, GAS.1, Some(980.0), &mut scratch), [true, false]);
        assert_eq!(open_tubes(&pipes, 1e-6, GAS.0, GAS.1, None, &mut scratch), [true, true]);
    }
}
