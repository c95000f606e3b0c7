//! How exact a reading is: 95 %, by instrument, and the standard deviation that it is weighted with.

use super::taken::Taken;
use crate::job::{Instrument, Reading, Stated};
use crate::units::factor::{FAHRENHEIT_DEGREE, PSI};
use std::collections::BTreeMap;

/// Standard deviations in the 95 % band.
pub(super) const BAND: f64 = 1.96;

/// What a gauge that is read twice repeats to, of its accuracy (assumption).
const REPEATED: f64 = 0.25;

/// 1 % of a transducer's span (assumption): 650 psi on the high side, 200 psi on the low side; a needle gauge is 2 % of its scale, 800
/// and 500 psi; a digital manifold 1 % of the same. A public accuracy rule (California Title 24, RA3.2.2) accepts 3.5 psi on suction.
fn pressure(low: bool, by: Instrument) -> f64 {
    let (high_side, low_side) = match by {
        Instrument::Gauge => (16.0, 10.0),
        Instrument::Digital => (8.0, 5.0),
        _ => (6.5, 3.5),
    };
    PSI * if low { low_side } else { high_side }
}

/// 2 F by a screen or a clamp on a pipe, 4 F by a clamp on the discharge, 0.5 F in a well (assumptions).
fn temperature(reading: Reading, by: Instrument) -> f64 {
    let fahrenheit = match (reading, by) {
        (_, Instrument::Well) => 0.5,
        (Reading::DischargeTemperature, Instrument::Clamp) => 4.0,
        _ => 2.0,
    };
    FAHRENHEIT_DEGREE * fahrenheit
}

/// Accuracy of a reading, 95 %, SI.
pub(super) fn of(taken: &Taken, stated: &BTreeMap<Stated, f64>) -> f64 {
    let by = taken.by.unwrap_or(Instrument::Screen);
    let by_instrument = match taken.reading.unit() {
        "Pa" => stated.get(&Stated::Pressures(by)),
        "K" => stated.get(&Stated::Temperatures(by)),
        _ => None,
    };
    if let Some(given) = stated.get(&Stated::Of(taken.reading)).or(by_instrument) {
        return *given;
    }
    match taken.reading {
        // Twice by one gauge: what it is off by falls out, what it repeats to stays.
        Reading::DischargeDrop => REPEATED * pressure(false, Instrument::Digital),
        Reading::SuctionPressure => pressure(true, by),
        reading if reading.unit() == "Pa" => pressure(false, by),
        Reading::Power => taken.value * if taken.indirect { 0.12 } else { 0.03 },
        // What a job says of the fluid leaves its specific heat open.
        Reading::FluidFlow => taken.value * 0.05,
        Reading::ValveOpen => 0.15,
        Reading::Fans => taken.fans_of.map_or(0.1, |of| 0.3 / f64::from(of)),
        // Empty and full are seen for sure (assumption).
        Reading::ReceiverLevel => 0.08,
        Reading::SightGlass => 2.0 * FAHRENHEIT_DEGREE,
        Reading::Coil | Reading::BypassLine => 0.65,
        reading => temperature(reading, by),
    }
}

/// Standard deviation: of the instrument, and of the digits that it shows (step / sqrt 12).
pub(super) fn deviation(accuracy: f64, step: f64) -> f64 {
    (accuracy / BAND).hypot(step / 12.0_f64.sqrt())
}
