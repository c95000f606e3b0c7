//! Readings that go with no chiller: whether they would in another unit.

use crate::job::{Read, Reading, Set, Station};
use crate::units::factor::PSI;

/// Pascals in a bar.
const BAR: f64 = 1e5;

/// A unit that was meant where another was typed.
struct Slip {
    says: &'static str,
    kelvin: fn(f64) -> f64,
    /// Of a pressure, Pa, at that of the atmosphere.
    pascal: fn(f64, f64) -> f64,
}

/// Outdoor temperatures that there are, K.
const OUTDOORS: std::ops::RangeInclusive<f64> = 228.0..=326.0;

/// Those of temperatures first: C for F, and F for C.
const SLIPS: [Slip; 5] = [
    Slip {
        says: "its temperatures in C: were they typed as F?",
        kelvin: |kelvin| kelvin * 1.8 - 459.67 + 273.15,
        pascal: |pascal, _| pascal,
    },
    Slip {
        says: "its temperatures in F: were they typed as C?",
        kelvin: |kelvin| (kelvin - 273.15 + 459.67) / 1.8,
        pascal: |pascal, _| pascal,
    },
    Slip {
        says: "its pressures in bar: were they typed as psi?",
        kelvin: |kelvin| kelvin,
        pascal: |pascal, atmosphere| (pascal - atmosphere) / PSI * BAR + atmosphere,
    },
    Slip {
        says: "its pressures in psi: were they typed as bar?",
        kelvin: |kelvin| kelvin,
        pascal: |pascal, atmosphere| (pascal - atmosphere) / BAR * PSI + atmosphere,
    },
    Slip {
        says: "its pressures absolute: were they typed as gauge?",
        kelvin: |kelvin| kelvin,
        pascal: |pascal, atmosphere| pascal - atmosphere,
    },
];

/// A set with its outdoor temperature in the units that may have been meant.
pub(super) fn outdoor_meant(set: &Set) -> impl Iterator<Item = (&'static str, Set, Vec<Reading>)> {
    const MEANT: [&str; 2] =
        ["its outdoor temperature in C: was it typed as F?", "its outdoor temperature in F: was it typed as C?"];
    MEANT.iter().zip(&SLIPS).filter_map(|(says, slip)| {
        let mut set = set.clone();
        let read = set.values.get_mut(&Reading::Outdoor)?;
        read.value = (slip.kelvin)(read.value);
        OUTDOORS.contains(&read.value).then_some((*says, set, vec![Reading::Outdoor]))
    })
}

/// A set of readings in the units that may have been meant: what it says, the set, and the readings that change.
pub(super) fn meant(set: &Set, atmosphere: f64) -> impl Iterator<Item = (&'static str, Set, Vec<Reading>)> {
    SLIPS.iter().map(move |slip| {
        let pressures = ((slip.pascal)(2.0 * atmosphere, atmosphere) - 2.0 * atmosphere).abs() > 0.0;
        let of = if pressures { "Pa" } else { "K" };
        let is_of = |reading: &Reading| reading.unit() == of && !reading.is_difference() && taken(set, *reading);
        let changed = Reading::ALL.iter().copied().filter(is_of);
        (slip.says, typed(set, slip, atmosphere), changed.collect())
    })
}

fn taken(set: &Set, reading: Reading) -> bool {
    let of = |station: &Station, pressure: bool| {
        if pressure { station.pressure.is_some() } else { station.temperature.is_some() }
    };
    match reading {
        Reading::DischargePressure => of(&set.discharge, true),
        Reading::DischargeTemperature => of(&set.discharge, false),
        Reading::SuctionPressure => of(&set.suction, true),
        Reading::SuctionTemperature => of(&set.suction, false),
        Reading::LiquidPressure => of(&set.liquid, true),
        Reading::LiquidTemperature => of(&set.liquid, false),
        Reading::ValvePressure => of(&set.valve, true),
        Reading::ValveTemperature => of(&set.valve, false),
        reading => set.values.contains_key(&reading),
    }
}

/// A set as it would be with another unit.
fn typed(set: &Set, slip: &Slip, atmosphere: f64) -> Set {
    let mut set = set.clone();
    let kelvin = |read: &mut Read| read.value = (slip.kelvin)(read.value);
    for station in [&mut set.discharge, &mut set.suction, &mut set.liquid, &mut set.valve] {
        if let Some(read) = &mut station.pressure {
            read.value = (slip.pascal)(read.value, atmosphere);
        }
        station.temperature.iter_mut().for_each(kelvin);
        station.saturated.iter_mut().for_each(|(read, _)| kelvin(read));
    }
    set.values.iter_mut().filter(|(reading, _)| reading.unit() == "K").for_each(|(_, read)| kelvin(read));
    set
}
