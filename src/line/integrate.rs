//! The integration along a route.

use super::outcome::{Integrated, LineFault, Reference, RunResult, Stop, TubeResult};
use super::parallel::{Split, minimum_flow, open_tubes};
use super::pipe::{Pipe, Segment, exchanges_heat};
use super::step::{Frame, Point, STEP_GAS, Slope};
use super::work::Work;
use crate::job::{Ambient, Line, Part, Path, ReceiverStyle, Resistance};
use crate::physics::valve_flow;
use crate::refrigerant::{OutOfRange, Phase, Refrigerant};
use crate::units::{kilograms_per_cubic_metre, kilograms_per_second};

/// How many times its pressure the rest of a run may lose at the slope that it has; it grows steeper as the pressure falls.
const SPENT: f64 = 1.5;
/// Most steps of a run: a flow that requires more is next to none, or has next to no pressure left.
const MAXIMUM_STEPS: f64 = 2000.0;

/// What flows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Medium {
    /// Discharge gas: rises must lift oil.
    Gas,
    /// Liquid, which may flash.
    Liquid,
}

/// What an integration needs beside the state that enters.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// Flow, kg/s.
    pub flow_kg_s: f64,
    /// Outdoor temperature, K.
    pub outdoor_K: f64,
    /// Whether tubes exchange heat with the air round them and receivers saturate the liquid.
    pub heat: bool,
    /// The rating, once known.
    pub reference: Option<&'a Reference>,
    /// Density of the oil film, kg/m3.
    pub film_kg_m3: f64,
    /// Partial pressure of a gas that does not condense, in a receiver through which the liquid passes, Pa.
    pub gas_Pa: f64,
    /// What stands in the receivers.
    pub receivers: Receivers,
}

/// What stands in receivers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Receivers {
    /// Liquid, and vapour over it.
    Hold,
    /// Nothing: gas passes through with the liquid.
    Empty,
    /// Liquid to the top: it passes as through a pipe.
    Full,
}

/// A line ready to be integrated.
#[derive(Clone, Debug)]
pub struct Integrator<'a> {
    fluid: &'a Refrigerant,
    line: &'a Line,
    medium: Medium,
    segments: Vec<Segment>,
    exchanges: bool,
    work: Work,
}

impl<'a> Integrator<'a> {
    /// Prepares a line.
    #[must_use]
    pub fn new(fluid: &'a Refrigerant, line: &'a Line, medium: Medium) -> Self {
        Self {
            fluid,
            line,
            medium,
            segments: line.runs.iter().map(Segment::new).collect(),
            exchanges: exchanges_heat(line),
            work: Work::default(),
        }
    }

    /// The same, its steps counted there.
    #[must_use]
    pub fn counted(self, work: &Work) -> Self {
        Self { work: work.clone(), ..self }
    }

    /// Whether the enthalpy may change along it.
    #[must_use]
    pub fn exchanges_heat(&self) -> bool {
        self.exchanges
    }

    /// Integrates from pressure `p` and enthalpy `h` (Pa, J/kg).
    ///
    /// # Errors
    /// [`LineFault`] names the run in which the refrigerant leaves its range, or which takes more than 2000 steps.
    pub fn run(&self, p: f64, h: f64, setting: &Setting) -> Result<Integrated, LineFault> {
        let at = |run: usize| move |cause: Stop| LineFault { run, cause };
        let mut here = Point { p, h, flow: self.fluid.charted(p, h).map_err(|cause| at(1)(cause.into()))? };
        let mut runs = Vec::with_capacity(self.segments.len());
        let mut heat = 0.0;
        let mut scratch = Split::default();
        for (i, segment) in self.segments.iter().enumerate() {
            let result = self.one(i, segment, &mut here, setting, &mut scratch).map_err(at(i + 1))?;
            heat += result.heat_W;
            runs.push(result);
        }
        Ok(Integrated { pressure_Pa: here.p, enthalpy_J_kg: here.h, heat_W: heat, runs })
    }

    fn one(
        &self,
        i: usize,
        segment: &Segment,
        here: &mut Point,
        setting: &Setting,
        scratch: &mut Split,
    ) -> Result<RunResult, Stop> {
        let entered = *here;
        let (open, mean) = self.tube(segment, here, setting, scratch)?;
        let mut part_loss = 0.0;
        let mut friction = mean.total.friction;
        if let Path::Part(part) = &self.line.runs[i].path {
            if matches!(part.resistance, Resistance::EquivalentLength(_)) {
                (part_loss, friction) = (friction, 0.0);
            }
            part_loss += self.part(i, part, here, setting)?;
        }
        part_loss += self.receiver(i, here, setting)?;
        let subcooled = self.subcool(i, here, setting)?;
        let tubes = segment
            .pipes
            .iter()
            .zip(&mean.flows)
            .zip(&open)
            .map(|((pipe, flow), open)| self.tube_result(pipe, *flow, *open, segment.rise_m, &mean, setting))
            .collect();
        Ok(RunResult {
            pressure_Pa: here.p,
            enthalpy_J_kg: here.h,
            out: here.flow,
            friction_Pa: friction,
            part_Pa: part_loss,
            static_Pa: -mean.total.p - mean.total.friction,
            heat_W: -mean.total.h * setting.flow_kg_s,
            subcooled_W: subcooled,
            density_in_kg_m3: match (self.medium, entered.flow.phase) {
                (Medium::Liquid, Phase::TwoPhase) => self.fluid.bubble_p(entered.p)?.density,
                _ => entered.flow.density,
            },
            charge_kg: segment.pipes.iter().map(|pipe| pipe.area_m2).sum::<f64>()
                * segment.length_m
                * mean.total.density,
            length_m: segment.length_m,
            equivalent_m: segment
                .pipes
                .iter()
                .zip(&open)
                .filter(|(_, open)| **open)
                .map(|(pipe, _)| pipe.equivalent_m)
                .next_back()
                .unwrap_or(0.0),
            warmest_K: entered.flow.temperature.max(here.flow.temperature),
            minimum_margin_K: match self.medium {
                Medium::Liquid => Some(self.margin(here).min(mean.minimum_margin_K)),
                Medium::Gas => None,
            },
            tubes,
        })
    }

    /// Integrates the tube of a run; answers which tubes are open and the means.
    fn tube(
        &self,
        segment: &Segment,
        here: &mut Point,
        setting: &Setting,
        scratch: &mut Split,
    ) -> Result<(Vec<bool>, Mean), Stop> {
        let lifts = self.medium == Medium::Gas && segment.rise_m > 0.0;
        let (density, viscosity) = (here.flow.density, here.flow.viscosity);
        let film = lifts.then_some(setting.film_kg_m3);
        let open = open_tubes(&segment.pipes, setting.flow_kg_s, density, viscosity, film, scratch);
        let conductance =
            segment.pipes.iter().zip(&open).filter(|(_, open)| **open).map(|(pipe, _)| pipe.conductance_W_K).sum();
        let air = |ambient: Ambient| match ambient {
            Ambient::Air(temperature) => temperature.kelvin(),
            Ambient::Outdoor(by) => setting.outdoor_K + by.value,
        };
        let frame = Frame {
            fluid: self.fluid,
            pipes: &segment.pipes,
            open,
            rise: segment.rise_m,
            heat: segment.ambient.filter(|_| setting.heat).map(|ambient| (conductance, air(ambient))),
            flow: setting.flow_kg_s,
            work: &self.work,
        };
        let mut mean =
            Mean { total: Slope::default(), flows: vec![0.0; segment.pipes.len()], minimum_margin_K: f64::INFINITY };
        // Warmth and height may pull the margin of liquid both ways: then it is looked at on the way, too.
        let both_ways = self.medium == Medium::Liquid && frame.heat.is_some() && segment.rise_m != 0.0;
        let (mut done, mut left) = (0.0, MAXIMUM_STEPS);
        let mut boundary_passed = false;
        while done < 1.0 {
            let k1 = frame.slope(&here.flow, scratch);
            if done == 0.0 && k1.p == 0.0 && k1.h == 0.0 {
                // Nothing happens in it (a part, or a run without length).
                mean.total.density = k1.density;
                mean.total.volume = k1.volume;
                mean.total.fluidity = k1.fluidity;
                mean.flows.clone_from(&scratch.flows);
                break;
            }
            if -k1.p * (1.0 - done) > SPENT * here.p {
                return Err(Stop::TooManySteps);
            }
            let steps = ((1.0 - done) / frame.longest(here, &k1)).ceil().max(1.0);
            if steps > left {
                return Err(Stop::TooManySteps);
            }
            left -= 1.0;
            let mut by = (1.0 - done) / steps;
            let mut step = frame.step(here, &k1, by, scratch)?;
            // Towards the line in short steps: none of its inner places is to lie far beyond.
            let short = STEP_GAS * here.p / k1.p.abs();
            if step.end.flow.phase != here.flow.phase && here.flow.phase == Phase::Liquid && short < by {
                by = short;
                step = frame.step(here, &k1, by, scratch)?;
            }
            if step.end.flow.phase != here.flow.phase && !boundary_passed {
                by = frame.to_boundary(here, &k1, by, step.end.flow.phase, scratch)?;
                step = frame.step(here, &k1, by, scratch)?;
                boundary_passed = true;
            } else {
                boundary_passed = false;
            }
            mean.total.add(by, &step.mean);
            for (sum, flow) in mean.flows.iter_mut().zip(&scratch.flows) {
                *sum += by * flow;
            }
            if both_ways {
                let margins = [&*here, &step.middle, &step.end].map(|point| self.margin(point));
                mean.minimum_margin_K = mean.minimum_margin_K.min(margins[2]).min(lowest(margins));
            }
            *here = step.end;
            done = if by >= 1.0 - done { 1.0 } else { done + by };
        }
        Ok((frame.open, mean))
    }

    /// Bubble temperature less temperature, K; infinite where the pressure is above the bubble line's range, so that the
    /// margin can't be the minimum.
    fn margin(&self, at: &Point) -> f64 {
        self.fluid.charted_bubble(at.p).map_or(f64::INFINITY, |bubble| bubble - at.flow.temperature)
    }

    fn part(&self, i: usize, part: &Part, here: &mut Point, setting: &Setting) -> Result<f64, OutOfRange> {
        let density = here.flow.density;
        let loss = match part.resistance {
            Resistance::EquivalentLength(_) => return Ok(0.0),
            Resistance::Loss(loss) => match setting.reference {
                Some(reference) if reference.flow_kg_s > 0.0 => {
                    let rated = reference.densities.get(i).copied().unwrap_or(density);
                    loss.value * (setting.flow_kg_s / reference.flow_kg_s).powi(2) * rated / density
                }
                _ => loss.value,
            },
            Resistance::Kv(kv) => {
                valve_flow::loss(kilograms_per_second(setting.flow_kg_s), kv, kilograms_per_cubic_metre(density)).value
            }
        };
        here.p -= loss;
        here.flow = self.fluid.charted(here.p, here.h)?;
        Ok(loss)
    }

    /// Vapour stands over the liquid of a receiver through which the liquid passes, and it takes no heat: its pressure is that at which
    /// liquid of the enthalpy that enters boils. What a drop leg before it gains is spent in the leg, where liquid stands only as
    /// high as its losses need. So it is in a surge receiver where gas comes with the liquid; one that is full passes it on as a
    /// pipe. Answers the pressure that is lost there, Pa.
    fn receiver(&self, i: usize, here: &mut Point, setting: &Setting) -> Result<f64, OutOfRange> {
        let Path::Part(Part { receiver: Some(receiver), .. }) = &self.line.runs[i].path else { return Ok(0.0) };
        let gas = here.flow.quality.is_some_and(|quality| quality > 0.0);
        let lets_go = match receiver.style {
            // Where no liquid stands gas passes with the liquid.
            _ if setting.receivers == Receivers::Empty && gas => false,
            ReceiverStyle::Through => gas || setting.receivers != Receivers::Full,
            // Gas that comes with the liquid rises into it.
            ReceiverStyle::Surge => gas,
        };
        if lets_go && setting.heat && self.medium == Medium::Liquid {
            let before = here.p;
            here.p = self.fluid.bubble_pressure_of(here.h, before)? + setting.gas_Pa;
            here.flow = self.fluid.charted(here.p, here.h)?;
            return Ok(before - here.p);
        }
        Ok(0.0)
    }

    /// A mechanical subcooler takes heat down to the temperature that it holds, and no more than its capacity; what gives heat gives all
    /// of it. Answers how much is taken, W.
    fn subcool(&self, i: usize, here: &mut Point, setting: &Setting) -> Result<f64, OutOfRange> {
        let Some(subcooler) = self.line.runs[i].subcooler().filter(|_| setting.heat) else { return Ok(0.0) };
        if subcooler.capacity.value < 0.0 {
            here.h -= subcooler.capacity.value / setting.flow_kg_s;
            here.flow = self.fluid.charted(here.p, here.h)?;
            return Ok(subcooler.capacity.value);
        }
        let held = subcooler.leaving.kelvin();
        if held >= here.flow.temperature || held >= self.fluid.charted_bubble(here.p)? {
            return Ok(0.0);
        }
        let warmer = here.h - self.fluid.state_pt(here.p, held)?.enthalpy;
        let heat = (setting.flow_kg_s * warmer).min(subcooler.capacity.value);
        here.h -= heat / setting.flow_kg_s;
        here.flow = self.fluid.charted(here.p, here.h)?;
        Ok(heat)
    }

    fn tube_result(&self, pipe: &Pipe, flow: f64, open: bool, rise: f64, mean: &Mean, setting: &Setting) -> TubeResult {
        let mass_velocity = flow / pipe.area_m2;
        let velocity = mass_velocity * mean.total.volume;
        let dynamic = pipe.equivalent_m / pipe.bore_m * mass_velocity * velocity / 2.0;
        TubeResult {
            flow_kg_s: flow,
            velocity_m_s: velocity,
            reynolds: mass_velocity * pipe.bore_m * mean.total.fluidity,
            friction_factor: if dynamic > 0.0 { mean.total.friction / dynamic } else { 0.0 },
            oil_minimum_kg_s: (self.medium == Medium::Gas && rise > 0.0)
                .then(|| minimum_flow(pipe, 1.0 / mean.total.volume, setting.film_kg_m3)),
            sealed: !open,
        }
    }
}

/// The lowest place of the parabola through values at the ends and in the middle; infinite where it has none between them.
fn lowest([start, middle, end]: [f64; 3]) -> f64 {
    let (slope, curvature) = (4.0 * middle - 3.0 * start - end, 2.0 * (start - 2.0 * middle + end));
    let place = -slope / (2.0 * curvature);
    if curvature > 0.0 && place > 0.0 && place < 1.0 { start + 0.5 * slope * place } else { f64::INFINITY }
}

/// Means over a run: the slopes integrated over it, and the flow of each tube.
struct Mean {
    total: Slope,
    flows: Vec<f64>,
    /// Least margin of liquid on the way, K; infinite where it was not looked at.
    minimum_margin_K: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_is_lowest_at_its_vertex_where_that_lies_between_its_ends() {
        // a (x - vertex)^2 + c at the ends and in the middle.
        let of = |a: f64, vertex: f64, c: f64| lowest([0.0_f64, 0.5, 1.0].map(|x| a * (x - vertex) * (x - vertex) + c));
        assert!((of(16.0, 0.25, -2.0) + 2.0).abs() < 1e-12);
        assert!((of(3.0, 0.9, 5.0) - 5.0).abs() < 1e-12);
        // Before it and behind it the ends are all that there is; a curve that bends down or none has no lowest place.
        for (a, vertex) in [(1.0, -1.0), (1.0, 2.0), (-16.0, 0.25)] {
            assert!(of(a, vertex, 0.0).is_infinite(), "{a} {vertex}");
        }
        assert!(lowest([1.0, 2.0, 3.0]).is_infinite());
    }
}
