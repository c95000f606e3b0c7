//! How exact a reading is: 95 %, by instrument, and the standard deviation that it is weighted with.

use super::taken::Taken;
use crate::job::{Instrument, Reading, Stated};
use crate::units::factor::{FAHRENHEIT_DEGREE, PSI};
use std::collections::BTreeMap;

/// Standard deviations in the 95 % band.
pub(super) const BAND: f64 = 1.96;

/// What a source ends with that is none.
pub(super) const ASSUMED: &str = ": assumption";

/// What a gauge that is read twice repeats to, of its accuracy (assumption).
const REPEATED: f64 = 0.25;

/// What a reading is exact to, 95 %, and what that rests on.
#[derive(Clone, Copy, Debug)]
pub struct Accuracy {
    /// Of what.
    pub reading: Reading,
    /// SI.
    pub value: f64,
    /// The instrument, and where its accuracy is from.
    pub source: &'static str,
}

/// 1 % of a transducer's span (assumption): 650 psi on the high side, 200 psi on the low side; a needle gauge is 2 % of its scale, 800
/// and 500 psi; a digital manifold 1 % of the same. A public accuracy rule (California Title 24, RA3.2.2) accepts 3.5 psi on suction.
fn pressure(low: bool, by: Instrument) -> (f64, &'static str) {
    let (high_side, low_side, source) = match by {
        Instrument::Gauge => (16.0, 10.0, "needle gauge, 2 % of its scale: assumption"),
        Instrument::Digital => (8.0, 5.0, "digital manifold, 1 % of its scale: assumption"),
        _ if low => (6.5, 3.5, "transducer on suction: as California Title 24, RA3.2.2, accepts"),
        _ => (6.5, 3.5, "transducer, 1 % of its span: assumption"),
    };
    (PSI * if low { low_side } else { high_side }, source)
}

/// 2 F by a screen or a clamp on a pipe, 4 F by a clamp on the discharge, 0.5 F in a well (assumptions).
fn temperature(reading: Reading, by: Option<Instrument>) -> (f64, &'static str) {
    let (fahrenheit, source) = match (reading, by.unwrap_or(Instrument::Screen)) {
        (Reading::Outdoor | Reading::AirOn | Reading::AirOff, _) => (2.0, "thermometer in air: assumption"),
        (_, Instrument::Well) => (0.5, "sensor in a well: assumption"),
        (Reading::DischargeTemperature, Instrument::Clamp) => (4.0, "clamp on the discharge: assumption"),
        (Reading::DrierOut | Reading::CondenserOut, _) | (_, Instrument::Clamp) => (2.0, "clamp on a pipe: assumption"),
        _ => (2.0, "screen: assumption"),
    };
    (FAHRENHEIT_DEGREE * fahrenheit, source)
}

/// Accuracy of a reading, 95 %.
pub(super) fn of(taken: &Taken, stated: &BTreeMap<Stated, f64>) -> Accuracy {
    let by = taken.by.unwrap_or(Instrument::Screen);
    let by_instrument = match taken.reading.unit() {
        "Pa" => stated.get(&Stated::Pressures(by)),
        "K" => stated.get(&Stated::Temperatures(by)),
        _ => None,
    };
    let given = stated.get(&Stated::Of(taken.reading)).or(by_instrument);
    let (value, source) = match (given, taken.reading) {
        (Some(given), _) => (*given, "as stated"),
        // Twice by one gauge: what it is off by falls out, what it repeats to stays.
        (None, Reading::DischargeDrop) => {
            (REPEATED * pressure(false, Instrument::Digital).0, "digital gauge read twice: assumption")
        }
        (None, Reading::SuctionPressure) => pressure(true, by),
        (None, reading) if reading.unit() == "Pa" => pressure(false, by),
        (None, Reading::Power) if taken.indirect => (0.12 * taken.value, "by current and a power factor: assumption"),
        (None, Reading::Power) => (0.03 * taken.value, "meter, 3 %: assumption"),
        // What a job says of the fluid leaves its specific heat open.
        (None, Reading::FluidFlow) => (0.05 * taken.value, "meter, 5 %: assumption"),
        (None, Reading::ValveOpen) => (0.15, "steps of its stroke: assumption"),
        (None, Reading::Fans) => {
            (taken.fans_of.map_or(0.1, |of| 0.3 / f64::from(of)), "counted, or by speed: assumption")
        }
        // Empty and full are seen for sure.
        (None, Reading::ReceiverLevel) => (0.08, "by eye: assumption"),
        (None, Reading::SightGlass) => (2.0 * FAHRENHEIT_DEGREE, "by eye: assumption"),
        (None, Reading::Coil) => (0.65, "by eye: assumption"),
        // Hot or cold is no matter of degrees.
        (None, Reading::BypassLine) => (0.45, "surface thermometer: assumption"),
        (None, reading) => temperature(reading, taken.by),
    };
    Accuracy { reading: taken.reading, value, source }
}

/// Standard deviation: of the instrument, and of the digits that it shows (step / sqrt 12).
pub(super) fn deviation(accuracy: f64, step: f64) -> f64 {
    (accuracy / BAND).hypot(step / 12.0_f64.sqrt())
}
