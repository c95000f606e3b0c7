//! What a set of tubes would lose, estimated from one solved circuit: it only spares the search sets that can't pass by a wide
//! margin. What passes is decided by the rules on the circuit solved with it.

use super::open_tube::{Choice, Section};
use crate::job::{Circuit, Job, Run};
use crate::line::Sight;
use crate::survey::{CircuitSurvey, LineAnswer, Point, wanted_subcooling};

/// A loss is out of the question from this many times its limit on (densities move by a few per cent with the tubes).
const LOSS_MARGIN: f64 = 1.12;
/// A velocity is out of the question from this many times its limit on.
const VELOCITY_MARGIN: f64 = 1.06;
/// An oil lift is out of the question below this many times its limit.
const LIFT_MARGIN: f64 = 0.92;
/// Share of the estimated change of subcooling, and K beside it, that an estimate may be wrong by.
const SUBCOOLING_MARGIN: (f64, f64) = (0.15, 0.4);

/// The flow of one run at one operating point of the solved circuit.
#[derive(Clone, Copy, Debug)]
struct Stream {
    flow_kg_s: f64,
    density_kg_m3: f64,
    viscosity_Pa_s: f64,
}

/// One operating point of the solved circuit.
#[derive(Debug)]
struct Snapshot {
    /// Whether it is on the design day, where the velocity of the gas counts.
    summer: bool,
    /// Whether there the coil alone sets the head, so that the discharge line's loss counts.
    free: bool,
    /// Subcooling that the valve must get, K.
    wanted_K: f64,
    /// Kelvin of dew temperature per Pa of loss, and of bubble temperature.
    per_pascal: [f64; 2],
    /// Losses of the parts and friction of the runs whose tube is fixed, by line, Pa.
    fixed: [f64; 2],
    /// Subcooling at the valve if nothing but the fixed were lost, K.
    subcooling_K: f64,
    /// Streams of the runs, by line.
    streams: [Vec<Option<Stream>>; 2],
}

/// A solved circuit to estimate from.
#[derive(Debug)]
pub(super) struct Estimate<'a> {
    job: &'a Job,
    circuit: &'a Circuit,
    snapshots: Vec<Snapshot>,
    /// Up to how many times the usual aims a set may come.
    aim: f64,
}

/// What one choice does in one section, at each operating point.
#[derive(Clone, Debug)]
pub(super) struct Worth {
    /// Friction of the section, Pa.
    pub friction: Vec<f64>,
    /// Whether it is out of the question by itself.
    pub out: bool,
    /// By how many times it misses the limit that it misses most.
    pub miss: f64,
}

impl<'a> Estimate<'a> {
    /// From a circuit solved with some tube in every open run, for sets that come up to so many times the usual aims.
    pub fn new(job: &'a Job, circuit: &'a Circuit, solved: &CircuitSurvey, aim: f64) -> Self {
        let snapshots = solved.points.iter().map(|point| snapshot(circuit, point)).collect();
        Self { job, circuit, snapshots, aim }
    }

    /// The limit of a rule of the discharge line, or what is aimed at where that is less.
    fn aimed(&self, limit: f64, caution: f64) -> f64 {
        limit.min(self.aim * caution)
    }

    /// What a choice does in a section.
    pub fn worth(&self, section: Section, choice: &Choice) -> Worth {
        let side = usize::from(!section.is_discharge());
        let film = (section == Section::DischargeRise).then(|| self.job.limit("oil_film_density"));
        let runs = section.runs(self.circuit).into_iter().filter_map(|at| {
            let run = section.line(self.circuit).runs.get(at)?;
            Some((at, Sight::new(&Run { tubes: choice.tubes.clone(), ..run.clone() }), run.path.length_m() > 0.0))
        });
        let runs: Vec<(usize, Sight, bool)> = runs.collect();
        let mut worth = Worth { friction: Vec::with_capacity(self.snapshots.len()), out: false, miss: 0.0 };
        let lift = self.job.limit("oil_riser");
        let fastest = self.aimed(self.job.limit("discharge_velocity"), self.job.limit("discharge_velocity_caution"));
        for snapshot in &self.snapshots {
            let mut friction = 0.0;
            for (at, sight, has_length) in &runs {
                let Some(Some(stream)) = snapshot.streams[side].get(*at) else { continue };
                let glance = sight.glance(stream.flow_kg_s, stream.density_kg_m3, stream.viscosity_Pa_s, film);
                friction += glance.friction_Pa;
                if snapshot.summer && section.is_discharge() && *has_length {
                    worth.out |= glance.velocity_m_s > fastest * VELOCITY_MARGIN;
                    worth.miss = worth.miss.max(glance.velocity_m_s / fastest);
                }
                worth.out |= glance.oil_ratio < lift * LIFT_MARGIN;
                worth.miss = worth.miss.max(lift / glance.oil_ratio);
            }
            worth.friction.push(friction);
        }
        let miss = self.loss(section.is_discharge(), &[&worth]);
        worth.out |= miss > 1.0;
        worth.miss = worth.miss.max(miss);
        worth
    }

    /// How many times a line with these choices in its sections loses what it may, margins included: above 1 it is out of the
    /// question.
    pub fn loss(&self, discharge: bool, worths: &[&Worth]) -> f64 {
        let side = usize::from(!discharge);
        let loss = self.aimed(self.job.limit("discharge_drop"), self.job.limit("discharge_drop_caution"));
        let mut maximum = 0.0_f64;
        for (i, snapshot) in self.snapshots.iter().enumerate() {
            let friction: f64 = worths.iter().filter_map(|worth| worth.friction.get(i)).sum();
            let drop = (friction + snapshot.fixed[side]) * snapshot.per_pascal[side];
            if discharge {
                if snapshot.free {
                    maximum = maximum.max(drop / (loss * LOSS_MARGIN));
                }
                continue;
            }
            let change = friction * snapshot.per_pascal[1];
            maximum = maximum.max(change / (self.aim * self.job.limit("liquid_drop") * LOSS_MARGIN));
            let (share, beside) = SUBCOOLING_MARGIN;
            let left = snapshot.subcooling_K + beside - snapshot.wanted_K;
            // Where nothing is left even without friction, no tube mends it: told by the rules, not here.
            if left > 0.0 {
                maximum = maximum.max((1.0 - share) * change / left);
            }
        }
        maximum
    }
}

fn snapshot(circuit: &Circuit, point: &Point) -> Snapshot {
    let lines = [(&circuit.discharge, &point.discharge_line), (&circuit.liquid, &point.liquid_line)];
    let per_pascal = lines.map(|(_, line)| {
        let lost = line.friction_Pa + line.parts_Pa;
        if lost > 0.0 { line.saturation_drop_K / lost } else { 0.0 }
    });
    let open = lines.map(|(drawn, line)| {
        drawn
            .runs
            .iter()
            .zip(&line.runs)
            .filter(|(run, _)| run.open && run.path.length_m() > 0.0)
            .map(|(_, a)| a.friction_Pa)
            .sum::<f64>()
    });
    let lost = |line: &LineAnswer| line.friction_Pa + line.parts_Pa;
    let arrives = point.liquid_line.runs.last().and_then(|run| run.out.subcooling_K).unwrap_or(0.0);
    Snapshot {
        summer: point.id.is_summer(),
        wanted_K: wanted_subcooling(circuit, point.compressor_share),
        free: point.id.is_summer() && point.air_share >= 1.0 && point.flooded_share <= 0.0,
        per_pascal,
        fixed: [lost(&point.discharge_line) - open[0], lost(&point.liquid_line) - open[1]],
        subcooling_K: arrives + open[1] * per_pascal[1],
        streams: lines.map(|(_, line)| {
            line.runs
                .iter()
                .map(|run| {
                    let tube = run.tubes.iter().find(|tube| tube.flow_kg_s > 0.0 && tube.velocity_m_s > 0.0)?;
                    let area = std::f64::consts::PI / 4.0 * tube.bore_m * tube.bore_m;
                    let mass_velocity = tube.flow_kg_s / area;
                    Some(Stream {
                        flow_kg_s: line.flow_kg_s,
                        density_kg_m3: mass_velocity / tube.velocity_m_s,
                        viscosity_Pa_s: mass_velocity * tube.bore_m / tube.reynolds,
                    })
                })
                .collect()
        }),
    }
}
