//! Compressors in parallel: a scroll from one rated point, or ten-coefficient polynomials.

use crate::job::{Compressors, Map, Performance, RatedAt};
use crate::physics::polynomial;
use crate::refrigerant::{End, OutOfRange, Refrigerant, State};
use crate::solve::{NoRoot, bracketed};

/// Built-in volume ratio of the scroll; it puts the best efficiency near a pressure ratio of 2.5
/// (Cuevas, Lebrun, Lemort and Winandy 2010, abstract).
pub const BUILT_IN_VOLUME_RATIO: f64 = 2.3;

/// Compressors of a circuit, all together.
#[derive(Clone, Debug)]
pub struct Compressor {
    model: Model,
    rated: RatedPoint,
    /// Share of the displaced flow that returns to the suction.
    leak: f64,
    /// Displacement and efficiency over those of the rating.
    scale: [f64; 2],
}

/// The rating, solved.
#[derive(Clone, Copy, Debug)]
pub struct RatedPoint {
    /// Capacity, W.
    pub capacity_W: f64,
    /// Power, W.
    pub power_W: f64,
    /// Flow, kg/s.
    pub flow_kg_s: f64,
    /// Suction pressure, Pa.
    pub suction_Pa: f64,
    /// Discharge pressure, Pa.
    pub discharge_Pa: f64,
    /// Enthalpy of the liquid that belongs to the rating, J/kg.
    pub liquid_J_kg: f64,
    /// Evaporating temperature, K.
    pub evaporating_K: f64,
    /// Condensing temperature, K.
    pub condensing_K: f64,
    /// Superheat, K.
    pub superheat_K: f64,
    /// Isentropic work over power.
    pub efficiency: f64,
}

#[derive(Clone, Debug)]
enum Model {
    Scroll {
        /// Swept volume flow, m3/s.
        swept_m3_s: f64,
        /// Model work over real work.
        efficiency: f64,
        /// The gas inside at the rating.
        inside: Inside,
    },
    Map {
        map: Box<Map>,
        count: f64,
        superheat_K: f64,
        subcooling_K: f64,
    },
}

/// Compressors running.
#[derive(Clone, Copy, Debug)]
pub struct Running {
    /// Flow of all of them, kg/s.
    pub flow_kg_s: f64,
    /// Power of all of them, W.
    pub power_W: f64,
    /// Inlet.
    pub suction: State,
    /// Outlet pressure, Pa.
    pub discharge_Pa: f64,
    /// Outlet enthalpy, J/kg: inlet + power / flow (the shell loses no heat).
    pub discharge_J_kg: f64,
}

/// Why a rating is none.
#[derive(Clone, Debug, thiserror::Error)]
pub enum CompressorFault {
    /// A property out of range.
    #[error("at the compressor's rating: {0}")]
    Range(#[from] OutOfRange),
    /// The evaporator gives no capacity at the rating.
    #[error("at the rating the liquid has more heat than the suction gas: no capacity")]
    NoCapacity,
    /// A polynomial that answers nothing positive at the rating.
    #[error("the polynomial for {0} gives {1:.4} at the rating, not a positive number")]
    Polynomial(&'static str, f64),
    /// The power is less than compression without loss takes.
    #[error(
        "{power_W:.0} W for {capacity_W:.0} W of capacity is less than compression without any loss takes ({minimum_W:.0} W): capacity and power do not belong together"
    )]
    PowerBelowIsentropic {
        /// As rated, W.
        power_W: f64,
        /// As rated, W.
        capacity_W: f64,
        /// Isentropic, W.
        minimum_W: f64,
    },
}

/// Volumetric efficiency of a scroll, 1.026 - 0.0202 r with r the pressure ratio: the line through 1.0 at 1.3 and
/// 0.83 at 9.7 (Cuevas, Lebrun, Lemort and Winandy, Applied Thermal Engineering 30:605-615, 2010, abstract).
///
/// Source: `cuevas-2010`.
#[must_use]
pub fn volumetric_efficiency(pressure_ratio: f64) -> f64 {
    1.026 - 0.0202 * pressure_ratio
}

/// The gas at the scroll's built-in volume ratio, compressed without loss.
#[derive(Clone, Copy, Debug)]
struct Inside {
    pressure: f64,
    enthalpy: f64,
    density: f64,
    /// Mean slope of ln p in ln rho over that at the suction, rho w2 / p.
    stiffer: f64,
    /// Mean slope of ln T in ln rho.
    warmer: f64,
}

impl Inside {
    /// What is known of it before it was ever computed: next to nothing.
    const UNKNOWN: Self = Self { pressure: 0.0, enthalpy: 0.0, density: 0.0, stiffer: 1.0, warmer: 0.1 };

    /// `like` is the same of another suction.
    fn new(fluid: &Refrigerant, suction: &State, like: &Self) -> Result<Self, OutOfRange> {
        let target = BUILT_IN_VOLUME_RATIO * suction.density;
        let whole = BUILT_IN_VOLUME_RATIO.ln();
        let at_suction = suction.density * suction.speed_of_sound * suction.speed_of_sound / suction.pressure;
        let found = |ln_p: f64, (enthalpy, density, temperature): (f64, f64, f64)| Self {
            pressure: ln_p.exp(),
            enthalpy,
            density,
            stiffer: (ln_p - suction.pressure.ln()) / (at_suction * whole),
            warmer: (temperature / suction.temperature).ln() / whole,
        };
        let guess = suction.temperature * (like.warmer * whole).exp();
        let at = |ln_p: f64| fluid.isentrope(ln_p.exp(), suction.entropy, guess);
        // Secants of ln p over ln rho, which is nearly straight.
        let (mut ln_p, mut short, mut exponent) = (suction.pressure.ln(), whole, at_suction * like.stiffer);
        for _ in 0..12 {
            let next = ln_p + exponent * short;
            let Ok((enthalpy, density, temperature)) = at(next) else { break };
            let left = (target / density).ln();
            exponent = (next - ln_p) / (short - left);
            (ln_p, short) = (next, left);
            if short.abs() < 1e-6 {
                // The rest of the way is straight, and takes v dp.
                let last = ln_p + exponent * short;
                return Ok(found(last, (enthalpy + (last.exp() - ln_p.exp()) / density, target, temperature)));
            }
        }
        // It left the range or wandered: bracket.
        let (low, high) = (suction.pressure.ln(), fluid.range().pressure_max.ln());
        match bracketed(|ln_p| at(ln_p).map(|(_, density, _)| (density / target).ln()), low, high, 1e-13) {
            Ok(root) => Ok(found(root.x, at(root.x)?)),
            Err(NoRoot::Function(cause)) => Err(cause),
            // Signs that do not differ: the volume ratio lies beyond the range.
            Err(NoRoot::NotBracketed { .. } | NoRoot::NotConverged { .. }) => Err(OutOfRange {
                refrigerant: fluid.name(),
                quantity: "pressure",
                value: 1.01 * fluid.range().pressure_max,
                bound: fluid.range().pressure_max,
                end: End::Greatest,
                unit: "Pa",
                meaning: "up to which gas can be followed through the compressor",
            }),
        }
    }

    /// Work of a scroll without other losses, J/kg: isentropic to the built-in volume ratio, then at constant volume to the
    /// discharge pressure,
    ///
    /// w = h(s1, v1/2.3) - h1 + (v1/2.3)(p2 - p in)
    ///
    /// (form of H. Jin's parameter-estimation model, Oklahoma State University, 2002, from memory).
    ///
    /// Source: `jin-2002`.
    ///
    fn work(&self, suction: &State, discharge: f64) -> f64 {
        self.enthalpy - suction.enthalpy + (discharge - self.pressure) / self.density
    }
}

impl Compressor {
    /// The compressors of a circuit.
    ///
    /// # Errors
    /// [`CompressorFault`] where the rating can't be one.
    pub fn new(fluid: &Refrigerant, compressors: &Compressors) -> Result<Self, CompressorFault> {
        let RatedAt { suction: evaporating, condensing, superheat, subcooling } = compressors.rated_at;
        let suction_pressure = fluid.dew_pressure(evaporating.kelvin())?;
        let discharge = fluid.dew_pressure(condensing.kelvin())?;
        let suction = fluid.vapour_pt(suction_pressure, evaporating.kelvin() + superheat.value)?;
        let bubble = fluid.bubble_temperature(discharge)?;
        let liquid = fluid.liquid_pt(discharge, bubble - subcooling.value)?;
        let effect = suction.enthalpy - liquid.enthalpy;
        if effect <= 0.0 {
            return Err(CompressorFault::NoCapacity);
        }
        let isentropic = fluid.state_ps(discharge, suction.entropy)?.enthalpy - suction.enthalpy;
        let (model, capacity, power, flow) = match &compressors.performance {
            Performance::Rating { capacity, power } => {
                let flow = capacity.value / effect;
                let swept = flow / (suction.density * volumetric_efficiency(discharge / suction_pressure));
                let inside = Inside::new(fluid, &suction, &Inside::UNKNOWN)?;
                let efficiency = inside.work(&suction, discharge) * flow / power.value;
                (Model::Scroll { swept_m3_s: swept, efficiency, inside }, capacity.value, power.value, flow)
            }
            Performance::Map(map) => {
                let model = Model::Map {
                    map: Box::new(map.clone()),
                    count: f64::from(compressors.count),
                    superheat_K: superheat.value,
                    subcooling_K: subcooling.value,
                };
                let (flow, power) =
                    map_point(fluid, &model, &suction, &suction, evaporating.kelvin(), condensing.kelvin(), effect)?;
                for (what, value) in [("flow", flow), ("power", power)] {
                    if !(value > 0.0 && value.is_finite()) {
                        return Err(CompressorFault::Polynomial(what, value));
                    }
                }
                (model, flow * effect, power, flow)
            }
        };
        if power < isentropic * flow {
            return Err(CompressorFault::PowerBelowIsentropic {
                power_W: power,
                capacity_W: capacity,
                minimum_W: isentropic * flow,
            });
        }
        let rated = RatedPoint {
            capacity_W: capacity,
            power_W: power,
            flow_kg_s: flow,
            suction_Pa: suction_pressure,
            discharge_Pa: discharge,
            liquid_J_kg: liquid.enthalpy,
            evaporating_K: evaporating.kelvin(),
            condensing_K: condensing.kelvin(),
            superheat_K: superheat.value,
            efficiency: isentropic * flow / power,
        };
        Ok(Self { model, rated, leak: 0.0, scale: [1.0, 1.0] })
    }

    /// The rating, solved.
    #[must_use]
    pub fn rated(&self) -> &RatedPoint {
        &self.rated
    }

    /// The compressors at evaporating temperature `evaporating` (K, dew), suction superheat (K), discharge pressure (Pa)
    /// and share of their displacement.
    ///
    /// # Errors
    /// [`OutOfRange`] where a state leaves the refrigerant's range.
    pub fn run(
        &self,
        fluid: &Refrigerant,
        evaporating: f64,
        superheat: f64,
        discharge: f64,
        share: f64,
    ) -> Result<Running, OutOfRange> {
        let displaced = self.displaced(fluid, evaporating, superheat, discharge)?;
        let [displacement, efficiency] = self.scale;
        let [flow, power] = [share * displacement, share * displacement / efficiency];
        if self.leak <= 0.0 {
            let work = displaced.power_W / displaced.flow_kg_s / efficiency;
            let discharge_enthalpy = displaced.suction.enthalpy + work;
            return Ok(Running {
                flow_kg_s: displaced.flow_kg_s * flow,
                power_W: displaced.power_W * power,
                discharge_J_kg: discharge_enthalpy,
                ..displaced
            });
        }
        // What returns warms the gas at the inlet: h inlet = h suction + leak / (1 - leak) power / flow displaced.
        let suction = displaced.suction;
        let (mut inlet, mut warmer) = (displaced, 0.0);
        for _ in 0..60 {
            let work = inlet.power_W / inlet.flow_kg_s / efficiency;
            let mixed = suction.enthalpy + self.leak / (1.0 - self.leak) * work;
            let next = fluid.temperature_ph(suction.pressure, mixed)? - suction.temperature;
            let moved = (next - warmer).abs();
            warmer = next;
            inlet = self.displaced(fluid, evaporating, superheat + warmer, discharge)?;
            if moved < 1e-10 {
                break;
            }
        }
        let net = inlet.flow_kg_s * flow * (1.0 - self.leak);
        let power = inlet.power_W * power;
        let discharge_enthalpy = suction.enthalpy + power / net;
        Ok(Running {
            flow_kg_s: net,
            power_W: power,
            suction,
            discharge_Pa: discharge,
            discharge_J_kg: discharge_enthalpy,
        })
    }

    /// The same compressors where a share of the displaced flow returns at discharge enthalpy to the suction.
    #[must_use]
    pub fn leaking(self, leak: f64) -> Self {
        Self { leak, ..self }
    }

    /// The same with displacement and efficiency that are multiples of the rated ones.
    #[must_use]
    pub fn scaled(self, displacement: f64, efficiency: f64) -> Self {
        Self { scale: [displacement, efficiency], ..self }
    }

    /// All displacement, nothing returning.
    fn displaced(
        &self,
        fluid: &Refrigerant,
        evaporating: f64,
        superheat: f64,
        discharge: f64,
    ) -> Result<Running, OutOfRange> {
        let pressure = fluid.dew_pressure(evaporating)?;
        let suction = fluid.vapour_pt(pressure, evaporating + superheat)?;
        let (flow, power) = match &self.model {
            Model::Scroll { swept_m3_s: swept, efficiency, inside } => {
                let flow = swept * suction.density * volumetric_efficiency(discharge / pressure);
                (flow, Inside::new(fluid, &suction, inside)?.work(&suction, discharge) * flow / efficiency)
            }
            model @ Model::Map { superheat_K: superheat, subcooling_K: subcooling, .. } => {
                let as_mapped = fluid.vapour_pt(pressure, evaporating + superheat)?;
                let condensing = fluid.dew_temperature(discharge)?;
                let liquid = fluid.liquid_pt(discharge, fluid.bubble_temperature(discharge)? - subcooling)?;
                let effect = as_mapped.enthalpy - liquid.enthalpy;
                map_point(fluid, model, &as_mapped, &suction, evaporating, condensing, effect)?
            }
        };
        Ok(Running {
            flow_kg_s: flow,
            power_W: power,
            suction,
            discharge_Pa: discharge,
            discharge_J_kg: suction.enthalpy + power / flow,
        })
    }
}

/// Flow and power by the map, corrected from the map's superheat to the real one (Rice and Dabiri 1981).
/// `effect` is used where the map gives capacity only.
fn map_point(
    fluid: &Refrigerant,
    model: &Model,
    as_mapped: &State,
    actual: &State,
    evaporating: f64,
    condensing: f64,
    effect: f64,
) -> Result<(f64, f64), OutOfRange> {
    let Model::Map { map, count, .. } = model else { return Ok((0.0, 0.0)) };
    let degrees = |kelvin: f64| if map.fahrenheit { kelvin * 1.8 - 459.67 } else { kelvin - 273.15 };
    let (s, d) = (degrees(evaporating), degrees(condensing));
    let value = |polynomial: &crate::job::Polynomial| {
        polynomial::ten_coefficient(&polynomial.coefficients, s, d) * polynomial.to_si
    };
    let flow = match (&map.flow, &map.capacity) {
        (Some(flow), _) => value(flow),
        (None, Some(capacity)) => value(capacity) / effect,
        (None, None) => 0.0,
    };
    let power = value(&map.power);
    if (as_mapped.temperature - actual.temperature).abs() < 1e-9 {
        return Ok((flow * count, power * count));
    }
    let discharge = fluid.dew_pressure(condensing)?;
    let work = |from: &State| Ok::<_, OutOfRange>(fluid.state_ps(discharge, from.entropy)?.enthalpy - from.enthalpy);
    let (flow_ratio, power_ratio) =
        polynomial::superheat_correction(as_mapped.density, actual.density, work(as_mapped)?, work(actual)?);
    Ok((flow * flow_ratio * count, power * power_ratio * count))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// A tight compressor that draws the mixture, four parts of suction gas and one of discharge gas, and delivers four fifths of it.
    #[test]
    fn a_leak_of_a_fifth_is_a_compressor_that_draws_its_own_hot_gas() {
        let text = include_str!("../../examples/bottling-hall.toml");
        let job = crate::job::read("hall.toml", text, std::path::Path::new(".")).unwrap();
        let circuit = &job.circuits[0];
        let fluid = crate::refrigerant::named(&circuit.refrigerant).unwrap();
        let tight = Compressor::new(fluid, &circuit.compressors).unwrap();
        let discharge = tight.rated().discharge_Pa;
        let leaking = tight.clone().leaking(0.2).run(fluid, 278.0, 5.0, discharge, 1.0).unwrap();
        let mixed = 0.8 * leaking.suction.enthalpy + 0.2 * leaking.discharge_J_kg;
        let warm = fluid.temperature_ph(leaking.suction.pressure, mixed).unwrap() - 278.0;
        let drawn = tight.run(fluid, 278.0, warm, discharge, 1.0).unwrap();
        assert_relative_eq!(leaking.flow_kg_s, 0.8 * drawn.flow_kg_s, max_relative = 1e-8);
        assert_relative_eq!(leaking.power_W, drawn.power_W, max_relative = 1e-8);
        assert_relative_eq!(leaking.discharge_J_kg, drawn.discharge_J_kg, max_relative = 1e-8);
    }
}
