//! What a column of a trend is, told by its name.

use crate::job::{Point, Reading};

/// The words of a name, in small letters: `DischPress_1` is disch, press, 1.
#[must_use]
pub fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut before = ' ';
    for c in name.chars() {
        // A unit such as kW is one word.
        let long = words.last().is_some_and(|word| word.chars().count() > 1);
        let begins = (c.is_uppercase() && before.is_lowercase() && long) || !before.is_alphanumeric();
        if c.is_alphanumeric() {
            match words.last_mut().filter(|_| !begins) {
                Some(word) => word.extend(c.to_lowercase()),
                None => words.push(c.to_lowercase().collect()),
            }
        }
        before = c;
    }
    words
}

/// What is no reading of a machine that runs, whatever else its name says.
const ASIDE: &[&str] = &[
    "setpoint", "setpt", "sp", "target", "alarm", "limit", "hours", "runtime", "starts", "demand", "enable", "reset",
    "lockout", "cutout", "average", "avg",
];

/// What a name says that a column is; none where it says nothing that is known.
#[must_use]
pub fn named(name: &str) -> Option<Point> {
    if let Some(point) = Point::of_key(name.trim()) {
        return Some(point);
    }
    let words = words(name);
    let has = |any: &[&str]| {
        words.iter().any(|word| any.iter().any(|of| word == of || (of.len() > 3 && word.starts_with(of))))
    };
    if has(ASIDE) {
        return None;
    }
    let low = has(&["suct", "suction", "evap", "evaporator", "evaporating", "low", "lp", "sst", "ssp"]);
    let high =
        has(&["disch", "discharge", "dis", "cond", "condenser", "condensing", "high", "head", "hp", "sct", "dp"]);
    let liquid = has(&["liquid", "liq", "ll"]);
    let valve = has(&["valve", "exv", "eev", "txv", "tev", "tx", "expansion"]);
    let pressure = has(&["pressure", "press", "pres", "psig", "psi", "barg", "kpag", "head"]);
    let temperature = has(&["temperature", "temp", "tmp", "degf", "degc", "t"]);
    let water = has(&["water", "fluid", "glycol", "chw", "chilled", "brine", "chws", "chwr", "ewt", "lwt"]);
    let compressor = has(&["compressor", "compressors", "comp", "comps", "cmp", "cpr"]);
    let of = |reading| Some(Point::Of(reading));
    if has(&["superheat", "sh"]) {
        return (!high).then_some(Point::Superheat);
    }
    if has(&["subcool", "sc"]) {
        return Some(Point::Subcooling);
    }
    if has(&["wind"]) {
        return Some(if has(&["dir", "direction", "from"]) { Point::WindFrom } else { Point::WindSpeed });
    }
    if has(&["bypass", "hgbp", "hgb"]) {
        return Some(Point::Bypass);
    }
    if has(&["sct"]) || (has(&["saturated", "sat", "condensing"]) && high && !pressure) {
        return Some(Point::DischargeSaturated);
    }
    if has(&["sst"]) || (has(&["saturated", "sat", "evaporating"]) && low && !pressure) {
        return Some(Point::SuctionSaturated);
    }
    if has(&["drier", "dryer"]) {
        return of(Reading::DrierOut);
    }
    if valve && !pressure && !temperature && !has(&["solenoid"]) {
        return of(Reading::ValveOpen);
    }
    if pressure && !has(&["differential", "diff", "water", "oil", "static"]) {
        return match (low, liquid, valve, high) {
            (true, ..) => of(Reading::SuctionPressure),
            (_, _, true, _) => of(Reading::ValvePressure),
            (_, true, ..) => of(Reading::LiquidPressure),
            (.., true) => of(Reading::DischargePressure),
            _ => None,
        };
    }
    if has(&["outdoor", "outside", "ambient", "oat", "oa", "odt", "oda"]) && !has(&["humidity", "rh"]) {
        return of(Reading::Outdoor);
    }
    if has(&["fan", "fans"]) && !has(&["supply", "return"]) {
        let share = has(&["speed", "vfd", "command", "output", "signal"]) || name.contains('%');
        return if share { of(Reading::Fans) } else { Some(Point::FansTurn) };
    }
    if has(&["air", "coil"]) && !water {
        return match (has(&["on", "entering", "in", "inlet", "face"]), has(&["off", "leaving", "out", "outlet"])) {
            (true, false) => of(Reading::AirOn),
            (false, true) => of(Reading::AirOff),
            _ => None,
        };
    }
    if has(&["flow", "gpm"]) {
        return of(Reading::FluidFlow);
    }
    if has(&["amps", "amp", "current"]) {
        return Some(Point::Amps);
    }
    if has(&["volts", "voltage"]) {
        return Some(Point::Volts);
    }
    if has(&["power", "kw", "watts"]) && !has(&["fan", "pump", "factor"]) {
        return of(Reading::Power);
    }
    if has(&["receiver"]) && has(&["level"]) {
        return of(Reading::ReceiverLevel);
    }
    if has(&["sight", "glass"]) {
        return of(Reading::SightGlass);
    }
    let enters = has(&["entering", "return", "in", "inlet", "ewt", "rwt", "chwr"]);
    let leaves = has(&["leaving", "supply", "out", "outlet", "lwt", "swt", "chws"]);
    if water || ((enters || leaves) && low && temperature) || has(&["ewt", "lwt", "rwt", "swt"]) {
        return match (enters, leaves) {
            (true, false) => of(Reading::EnteringFluid),
            (false, true) => of(Reading::LeavingFluid),
            _ => None,
        };
    }
    if compressor && !temperature && !low && has(&["status", "run", "running", "on", "state", "stage", "stages"]) {
        return Some(Point::Running);
    }
    if has(&["running"]) || (has(&["stages", "stage"]) && has(&["on", "active"])) {
        return Some(Point::Running);
    }
    if has(&["capacity", "share", "load"]) {
        return Some(Point::Share);
    }
    match (temperature || has(&["gas", "line"]), low, liquid, high) {
        (true, true, ..) => of(Reading::SuctionTemperature),
        (true, _, true, _) => of(Reading::LiquidTemperature),
        (true, .., true) => of(Reading::DischargeTemperature),
        _ if compressor && words.len() <= 2 && !temperature => Some(Point::Running),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_loggers_say_what_a_column_is() {
        let cases = [
            ("OAT", "outdoor"),
            ("Outdoor Air Temp", "outdoor"),
            ("Ambient", "outdoor"),
            ("Discharge Pressure", "discharge.pressure"),
            ("DischPress", "discharge.pressure"),
            ("Ckt1 Head Press", "discharge.pressure"),
            ("Cond Press", "discharge.pressure"),
            ("Suct Press", "suction.pressure"),
            ("LP pressure", "suction.pressure"),
            ("Evap Pressure", "suction.pressure"),
            ("Discharge Temp", "discharge.temperature"),
            ("Discharge gas", "discharge.temperature"),
            ("Suction Temp", "suction.temperature"),
            ("Suction line", "suction.temperature"),
            ("Liquid Line Temp", "liquid.temperature"),
            ("Liq Press", "liquid.pressure"),
            ("SCT", "discharge.saturated"),
            ("Saturated Condensing Temp", "discharge.saturated"),
            ("Sat Suction Temp", "suction.saturated"),
            ("Superheat", "suction.superheat"),
            ("Subcooling", "liquid.subcooling"),
            ("EXV Position", "valve.open"),
            ("Drier out", "drier_out"),
            ("Entering Chilled Water Temp", "entering_fluid"),
            ("LWT", "leaving_fluid"),
            ("CHW Supply", "leaving_fluid"),
            ("Water flow", "fluid_flow"),
            ("Compressor kW", "power"),
            ("Comp kW", "power"),
            ("Comp Amps", "amps"),
            ("Comp 1 Status", "running"),
            ("Compressors running", "running"),
            ("Compressor A", "running"),
            ("Capacity", "share"),
            ("Cond Fan 1", "fans.turn"),
            ("Fan speed", "fans"),
            ("Hot gas bypass", "bypass"),
            ("Air on coil", "air_on"),
            ("Condenser leaving air temp", "air_off"),
            ("Wind Direction", "wind_from"),
            ("Wind (mph)", "wind_speed"),
            ("Receiver level", "receiver_level"),
        ];
        for (name, key) in cases {
            assert_eq!(named(name).map(Point::key), Some(key), "{name}");
        }
        for name in ["LWT Setpoint", "Alarm", "Comment", "Run hours", "Oil differential pressure", "Zone humidity"] {
            assert_eq!(named(name), None, "{name}");
        }
    }

    #[test]
    fn every_point_has_a_key_of_its_own() {
        for point in crate::job::POINTS {
            assert_eq!(named(point.key()), Some(*point));
        }
    }
}
