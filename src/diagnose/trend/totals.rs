//! What is counted over all moments in which a machine runs: time, oil that is not lifted, liquid that flashes.

use super::expectation::Healthy;
use super::state::Reader;
use crate::job::{LiquidAt, Point, Reading};
use crate::trend::Moment;
use std::collections::BTreeMap;

/// Time in which something held: in all, the longest at once, and from when to when.
#[derive(Clone, Copy, Debug, Default)]
pub struct Lasting {
    /// s.
    pub time: i64,
    /// s.
    pub longest: i64,
    /// By the clock on the wall, s.
    pub span: Option<[i64; 2]>,
    now: i64,
}

impl Lasting {
    /// Hears whether it holds for the next so many s.
    pub fn hear(&mut self, holds: bool, local: i64, seconds: i64) {
        if !holds {
            self.now = 0;
            return;
        }
        self.time += seconds;
        self.now += seconds;
        self.longest = self.longest.max(self.now);
        self.span = Some([self.span.map_or(local, |[first, _]| first), local + seconds]);
    }
}

/// Everything that is counted.
#[derive(Clone, Debug, Default)]
pub struct Totals {
    /// Time that is logged without a gap, s.
    pub logged: i64,
    /// Of it, it is known what runs.
    pub known: i64,
    /// Of it compressors run.
    pub running: i64,
    /// Times that they started from a stop.
    pub starts: u32,
    /// Of it nothing had stepped for ten minutes.
    pub steady: i64,
    /// Gaps: how many, the longest, s.
    pub gaps: (u32, i64),
    /// Oil that does not rise, by run of the discharge line, with the least flow over what lifts it.
    pub oil: BTreeMap<usize, (Lasting, f64)>,
    /// Liquid that flashes before the valve, with what it lacks at worst, K.
    pub flash: (Lasting, f64),
    /// Whether liquid was read at all.
    pub liquid: bool,
}

impl Totals {
    /// Hears what a machine that runs shows, and what a healthy one would; `limit` is the flow over what lifts oil that is asked for.
    /// Answers whether oil return was lost, and whether liquid flashed.
    pub fn hear(
        &mut self,
        (reader, moment): (&Reader<'_>, &Moment),
        healthy: &Healthy,
        (seconds, settled): (i64, bool),
        limit: f64,
    ) -> [bool; 2] {
        let mut lost = [false; 2];
        let pressures = reader.pressures(moment);
        let expected = [Reading::DischargePressure, Reading::SuctionPressure].map(|reading| healthy.of(reading));
        // Flow goes with the density of the gas that is drawn in, the least flow with the root of that of the gas that rises.
        let by_pressures = match (pressures, expected) {
            ([Some(high), Some(low)], [Some(high_expected), Some(low_expected)]) => {
                low / low_expected * (high_expected / high).sqrt()
            }
            _ => 1.0,
        };
        for (ratio, run) in &healthy.risers {
            let ratio = ratio * by_pressures;
            let (lasting, least) = self.oil.entry(*run).or_insert((Lasting::default(), f64::INFINITY));
            lasting.hear(ratio < limit, moment.local, seconds);
            *least = least.min(ratio);
            lost[0] |= ratio < limit;
        }
        let margin = settled.then(|| subcooling_at_valve(reader, moment, healthy)).flatten();
        if let Some(margin) = margin {
            self.liquid = true;
            self.flash.0.hear(margin < 0.0, moment.local, seconds);
            self.flash.1 = self.flash.1.min(margin);
            lost[1] = margin < 0.0;
        }
        lost
    }
}

/// Subcooling at the valve's inlet from what is read of the liquid, K: read there, or read elsewhere and taken along the line as a
/// healthy machine's liquid would go.
fn subcooling_at_valve(reader: &Reader<'_>, moment: &Moment, healthy: &Healthy) -> Option<f64> {
    let bubble = |pressure: f64| reader.fluid.bubble_temperature(pressure).ok();
    let at_valve = moment.get(Point::Of(Reading::ValveTemperature)).zip(moment.get(Point::Of(Reading::ValvePressure)));
    if let Some((temperature, pressure)) = at_valve {
        return Some(bubble(pressure)? - temperature);
    }
    let expected = bubble(healthy.of(Reading::LiquidPressure)?)? - healthy.of(Reading::LiquidTemperature)?;
    let along = healthy.margin_K - expected;
    if let Some(subcooling) = moment.get(Point::Subcooling) {
        return Some(subcooling + along);
    }
    let temperature = moment.get(Point::Of(Reading::LiquidTemperature))?;
    let from_discharge = || {
        let [high, _] = reader.pressures(moment);
        Some(high? + healthy.of(Reading::LiquidPressure)? - healthy.of(Reading::DischargePressure)?)
    };
    // Without a pressure of its own the liquid has that of the discharge less what a healthy line loses, which holds for the machine alone.
    let pressure = moment.get(Point::Of(Reading::LiquidPressure)).or_else(|| {
        matches!(reader.always.liquid_at, LiquidAt::Machine | LiquidAt::Condenser).then(from_discharge).flatten()
    })?;
    Some(bubble(pressure)? - temperature + along)
}
