//! Readings that contradict each other, whatever the chiller is.

use super::accuracy::BAND;
use super::fit::Weighed;
use crate::job::Reading;
use crate::refrigerant::{OutOfRange, Refrigerant};
use crate::units::System;

/// Readings that contradict each other.
#[derive(Clone, Debug)]
pub struct Contradiction {
    /// Which.
    pub readings: Vec<Reading>,
    /// In a sentence.
    pub says: String,
    /// By how much the last of them is off, SI.
    pub by: f64,
    /// How well what contradicts is known, 95 %, in the same unit.
    pub accuracy: f64,
}

/// Of a heat balance so much is nobody's error: heat of the shell, flow and specific heat of the fluid (assumption; measured machines were
/// off by more).
const UNBALANCED: f64 = 0.3;
/// Discharge over suction, absolute, that compressors which run exceed even where nothing holds the head (assumption).
const LEAST_RATIO: f64 = 1.03;

/// A balance names no reading that is wrong: it widens the fluid's by this at most, in accuracies.
const SMALL_BALANCE: f64 = 3.0;

/// What tells of the compression.
const COMPRESSION: [Reading; 3] = [Reading::SuctionPressure, Reading::DischargePressure, Reading::DischargeTemperature];

/// What contradictions are told in.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The refrigerant.
    pub fluid: &'static Refrigerant,
    /// Readings with their weights.
    pub readings: &'a [Weighed],
    /// Outdoor temperature, K.
    pub outdoor_K: f64,
    /// Leaving fluid and the heat that a kelvin of the fluid carries, K and W/K, where its flow was read.
    pub fluid_side: Option<(f64, f64)>,
    /// Share of the flow that a bypass which is commanded open takes past the condenser.
    pub bypass: f64,
    /// Units of the job.
    pub units: System,
    /// Atmospheric pressure, Pa.
    pub atmosphere_Pa: f64,
}

/// Of two readings one that is over the other by more than both accuracies.
fn one_over(readings: [Reading; 2], by: f64, [one, other]: [f64; 2], says: String) -> Option<Contradiction> {
    let accuracy = one.hypot(other);
    (by > accuracy).then_some(Contradiction { readings: readings.to_vec(), says, by, accuracy })
}

impl Scene<'_> {
    fn find(&self, reading: Reading) -> Option<(f64, f64)> {
        let found = self.readings.iter().find(|one| one.taken.reading == reading)?;
        Some((found.taken.value, BAND * found.deviation))
    }

    /// Those that leave nothing to explain: a discharge that is no higher than the suction, and fluid that leaves warmer than it enters.
    pub fn hopeless(&self) -> Option<Contradiction> {
        self.low_discharge().or_else(|| self.warmed_fluid())
    }

    fn low_discharge(&self) -> Option<Contradiction> {
        let readings = [Reading::DischargePressure, Reading::SuctionPressure];
        let [(discharge, _), (suction, accuracy)] = self.found(readings)?;
        let show = |pascals: f64| self.units.pressure_gauge(pascals, self.atmosphere_Pa);
        let says = format!(
            "discharge {} is hardly above suction {}: do the compressors run, are the two exchanged, or is one in another unit?",
            show(discharge),
            show(suction)
        );
        let by = LEAST_RATIO * suction - discharge;
        (by > 0.0).then_some(Contradiction { readings: readings.to_vec(), says, by, accuracy })
    }

    fn warmed_fluid(&self) -> Option<Contradiction> {
        let readings = [Reading::EnteringFluid, Reading::LeavingFluid];
        let [(entering, of_entering), (leaving, of_leaving)] = self.found(readings)?;
        let by = leaving - entering;
        let says = format!(
            "fluid leaves {} warmer than it enters, while compressors run: are the two exchanged?",
            self.difference(by)
        );
        one_over(readings, by, [of_entering, of_leaving], says)
    }

    /// Fluid that leaves colder than the refrigerant evaporates anywhere.
    pub fn cold_fluid(&self) -> Option<Contradiction> {
        let readings = [Reading::SuctionPressure, Reading::LeavingFluid];
        let [(p, of_p), (leaving, of_leaving)] = self.found(readings)?;
        let coldest = self.fluid.bubble_temperature(p).ok()?;
        let by = coldest - leaving;
        let says = format!(
            "fluid leaves {} colder than the refrigerant evaporates by the suction pressure: one of the two reads wrong",
            self.difference(by)
        );
        let of_coldest = self.fluid.bubble_temperature(p + of_p).ok()? - coldest;
        one_over(readings, by, [of_leaving, of_coldest], says)
    }

    /// Air on the coil that is colder than the outdoor air.
    pub fn cold_air(&self) -> Option<Contradiction> {
        let readings = [Reading::AirOn, Reading::Outdoor];
        let [(on, of_on), (outdoor, of_outdoor)] = self.found(readings)?;
        let by = outdoor - on;
        let says = format!(
            "air on the coil reads {} colder than outdoors: the outdoor thermometer is in the sun or reads wrong, and is left out",
            self.difference(by)
        );
        one_over(readings, by, [of_on, of_outdoor], says)
    }

    /// All the others, small ones too.
    pub fn all(&self) -> Vec<Contradiction> {
        let checks = [
            self.wet_suction(),
            Ok(self.warm_suction()),
            self.cold_discharge(),
            self.warm_liquid(),
            Ok(self.cold_liquid()),
            self.high_liquid(),
            self.cold_condensing(),
            self.heat_balance(),
        ];
        checks.into_iter().filter_map(|check| check.ok().flatten()).collect()
    }

    /// Several readings at once, each with its band; nothing where one of them was not taken.
    fn found<const N: usize>(&self, readings: [Reading; N]) -> Option<[(f64, f64); N]> {
        let found = readings.map(|reading| self.find(reading));
        found.iter().all(Option::is_some).then(|| found.map(Option::unwrap_or_default))
    }

    fn difference(&self, kelvin: f64) -> String {
        self.units.difference(kelvin)
    }

    fn wet_suction(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let readings = [Reading::SuctionPressure, Reading::SuctionTemperature];
        let Some([(p, of_p), (t, band)]) = self.found(readings) else { return Ok(None) };
        let dew = self.fluid.dew_temperature(p)?;
        let (by, of_dew) = (dew - t, self.fluid.dew_temperature(p + of_p)? - dew);
        let readings = readings.to_vec();
        let says = format!("suction reads {} below its own dew temperature: wet gas, or a sensor", self.difference(by));
        let accuracy = band.hypot(of_dew);
        Ok((by > band).then_some(Contradiction { readings, says, by, accuracy }))
    }

    fn warm_suction(&self) -> Option<Contradiction> {
        let readings = [Reading::EnteringFluid, Reading::SuctionTemperature];
        let [(fluid, _), (t, band)] = self.found(readings)?;
        let by = t - fluid;
        let readings = readings.to_vec();
        let says = format!("suction reads {} warmer than the fluid that enters", self.difference(by));
        (by > 1.5 * band).then_some(Contradiction { readings, says, by, accuracy: band })
    }

    /// Two thermometers tell of liquid that reaches the compressors: suction reads no superheat, and discharge cooler than compression
    /// without loss would leave it. The model has no wet gas, so that this discharge is none of its.
    pub fn floodback(&self) -> Option<Contradiction> {
        let cold = self.cold_discharge().ok().flatten()?;
        let [(p1, _), (t1, band)] = self.found([Reading::SuctionPressure, Reading::SuctionTemperature])?;
        let superheat = t1 - self.fluid.dew_temperature(p1).ok()?;
        let says = format!(
            "liquid reaches the compressors: suction reads {} of superheat, and discharge {} cooler than compression without loss",
            self.difference(superheat),
            self.difference(cold.by)
        );
        (superheat < band).then_some(Contradiction { says, ..cold })
    }

    fn cold_discharge(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let Some([(p1, _), (p2, _), (t2, band)]) = self.found(COMPRESSION) else { return Ok(None) };
        let t1 = self.find(Reading::SuctionTemperature).map_or(f64::NEG_INFINITY, |(t, _)| t);
        let suction = self.fluid.vapour_pt(p1, t1.max(self.fluid.dew_temperature(p1)?))?;
        let by = self.fluid.state_ps(p2, suction.entropy)?.temperature - t2;
        let readings = vec![Reading::SuctionTemperature, Reading::DischargeTemperature];
        let says = format!(
            "discharge reads {} cooler than compression without loss would leave it: wet gas, or a sensor",
            self.difference(by)
        );
        Ok((by > band).then_some(Contradiction { readings, says, by, accuracy: band }))
    }

    fn warm_liquid(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let readings = [Reading::LiquidPressure, Reading::LiquidTemperature];
        let Some([(p, _), (t, band)]) = self.found(readings) else { return Ok(None) };
        let by = t - self.fluid.bubble_temperature(p)?;
        let readings = readings.to_vec();
        let says = format!("liquid reads {} warmer than it can be at its pressure", self.difference(by));
        Ok((by > 1.5 * band).then_some(Contradiction { readings, says, by, accuracy: band }))
    }

    fn cold_liquid(&self) -> Option<Contradiction> {
        let air = self.find(Reading::AirOn).map_or(self.outdoor_K, |(t, _)| t.min(self.outdoor_K));
        let (t, band) = self.find(Reading::LiquidTemperature)?;
        let by = air - t;
        let readings = vec![Reading::Outdoor, Reading::LiquidTemperature];
        let says = format!("liquid reads {} colder than the air that cools it", self.difference(by));
        (by > 2.0 * band).then_some(Contradiction { readings, says, by, accuracy: band })
    }

    fn high_liquid(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let readings = [Reading::DischargePressure, Reading::LiquidPressure];
        let Some([(p2, _), (p, band)]) = self.found(readings) else { return Ok(None) };
        // A column of 60 m of liquid is more than any roof.
        let by = p - p2 - self.fluid.bubble_p(p2)?.density * 9.81 * 60.0;
        let readings = readings.to_vec();
        let says = format!(
            "liquid reads {} above discharge, more than its column gives",
            self.units.pressure_difference(p - p2)
        );
        Ok((by > band).then_some(Contradiction { readings, says, by, accuracy: band }))
    }

    /// What the refrigerant takes up in the evaporator by the compressors' power, (1 - bypass) P (h1 - h4) / (h2 - h1), against what the
    /// fluid gives.
    fn heat_balance(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let Some([(p1, _), (p2, _), (t2, band)]) = self.found(COMPRESSION) else { return Ok(None) };
        let more = [Reading::SuctionTemperature, Reading::LiquidTemperature, Reading::Power, Reading::EnteringFluid];
        let Some([(t1, _), (t4, _), (power, of_power), (entering, of_entering)]) = self.found(more) else {
            return Ok(None);
        };
        let Some((leaving, carries)) = self.fluid_side.filter(|(leaving, _)| entering > leaving + 1.0) else {
            return Ok(None);
        };
        let suction = self.fluid.vapour_pt(p1, t1.max(self.fluid.dew_temperature(p1)?))?;
        let discharge = self.fluid.vapour_pt(p2, t2.max(self.fluid.dew_temperature(p2)?))?;
        let work = discharge.enthalpy - suction.enthalpy;
        let bubble = self.fluid.bubble_temperature(p2)?;
        let to_valve = 1.0 - self.bypass;
        let taken = power * to_valve * (suction.enthalpy - self.fluid.liquid_enthalpy(p2, t4.min(bubble))?) / work;
        let given = carries * (entering - leaving);
        if work <= 0.0 {
            return Ok(None);
        }
        let errors = [
            discharge.cp * band / work,
            of_power / power,
            2.0_f64.sqrt() * of_entering / (entering - leaving),
            UNBALANCED,
        ];
        let error = errors.iter().map(|error| error * error).sum::<f64>().sqrt();
        let by = (taken - given).abs() / carries;
        let readings = vec![
            Reading::Power,
            Reading::DischargeTemperature,
            Reading::SuctionTemperature,
            Reading::LeavingFluid,
            Reading::EnteringFluid,
        ];
        let says = format!(
            "heat does not balance: by the power the refrigerant takes up {}, the fluid gives {}; power, discharge temperature, or the fluid's flow or temperatures are off",
            self.units.capacity(taken),
            self.units.capacity(given)
        );
        Ok(((taken / given).ln().abs() > error).then_some(Contradiction {
            readings,
            says,
            by,
            accuracy: of_entering.max(by / SMALL_BALANCE),
        }))
    }

    fn cold_condensing(&self) -> Result<Option<Contradiction>, OutOfRange> {
        let Some((p, _)) = self.find(Reading::DischargePressure) else { return Ok(None) };
        let by = self.outdoor_K - self.fluid.dew_temperature(p)?;
        let readings = vec![Reading::Outdoor, Reading::DischargePressure];
        let says = format!("condensing reads {} below the outdoor air", self.difference(by));
        Ok((by > 1.2).then_some(Contradiction { readings, says, by, accuracy: 1.2 }))
    }
}

/// How pressures were typed.
#[derive(Clone, Copy, Debug)]
pub struct Typed {
    /// Atmospheric pressure, Pa.
    pub atmosphere_Pa: f64,
    /// Some say neither gauge nor absolute.
    pub bare: bool,
}

/// A reading that is left out of the rest, which does without it.
pub fn apart(reading: Reading, [read, expected, band]: [f64; 3], typed: Typed) -> Contradiction {
    let says = match slip(reading, [read, expected, band], typed) {
        Some(slip) => format!("{} does not go with the rest; it would if its number is {slip}", reading.says()),
        None => format!("{} does not go with the rest, and is left out", reading.says()),
    };
    Contradiction { readings: vec![reading], says, by: 0.0, accuracy: 1.0 }
}

/// What the number of a reading may be, where that explains it: another unit, gauge for absolute, ten times.
pub fn slip(reading: Reading, [read, expected, band]: [f64; 3], typed: Typed) -> Option<&'static str> {
    let atmosphere = typed.atmosphere_Pa;
    let near = |value: f64| (value - expected).abs() <= 1.5 * band;
    if near(read) {
        return None;
    }
    match reading.unit() {
        _ if reading.is_difference() => None,
        "Pa" => {
            let gauge = read - atmosphere;
            [
                (read - atmosphere, "absolute, not gauge"),
                (read + atmosphere, "gauge, not absolute"),
                (gauge / 10.0 + atmosphere, "ten times too large"),
                (gauge * 10.0 + atmosphere, "ten times too small"),
            ]
            .into_iter()
            // Who types psig or bara has looked.
            .skip(if typed.bare { 0 } else { 2 })
            .find(|(value, _)| near(*value))
            .map(|(_, says)| says)
        }
        "K" => {
            let fahrenheit = read * 1.8 - 459.67;
            let celsius = read - 273.15;
            [(fahrenheit + 273.15, "in C, not F"), ((celsius + 459.67) / 1.8, "in F, not C")]
                .into_iter()
                .find(|(value, _)| near(*value))
                .map(|(_, says)| says)
        }
        "W" => [(read / 10.0, "ten times too large"), (read * 10.0, "ten times too small")]
            .into_iter()
            .find(|(value, _)| near(*value))
            .map(|(_, says)| says),
        _ => None,
    }
}
