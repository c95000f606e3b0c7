//! What a column of a trend is: a reading, or what else a diagnosis needs of it; told by its name.

use crate::job::Reading;
use crate::units::Kind;

/// What a column is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// A reading.
    Of(Reading),
    /// Saturated temperature at the discharge, in the place of its pressure.
    DischargeSaturated,
    /// The same at the suction.
    SuctionSaturated,
    /// Superheat at the suction, in the place of its temperature.
    Superheat,
    /// Subcooling of the liquid, in the place of its temperature.
    Subcooling,
    /// A compressor that runs, or how many do; several add up.
    Running,
    /// Share of full displacement.
    Share,
    /// A fan that turns, or how many do; several add up.
    FansTurn,
    /// Current of the compressors.
    Amps,
    /// Voltage between phases.
    Volts,
    /// The controller calls for an open hot-gas bypass.
    Bypass,
    /// Where the wind comes from, degrees.
    WindFrom,
    /// Speed of the wind.
    WindSpeed,
}

/// All of them, the readings as far as they are logged.
pub const POINTS: &[Point] = &[
    Point::Of(Reading::DischargePressure),
    Point::Of(Reading::DischargeTemperature),
    Point::Of(Reading::SuctionPressure),
    Point::Of(Reading::SuctionTemperature),
    Point::Of(Reading::LiquidPressure),
    Point::Of(Reading::LiquidTemperature),
    Point::Of(Reading::ValvePressure),
    Point::Of(Reading::ValveTemperature),
    Point::Of(Reading::ValveOpen),
    Point::Of(Reading::DrierOut),
    Point::Of(Reading::Outdoor),
    Point::Of(Reading::AirOn),
    Point::Of(Reading::AirOff),
    Point::Of(Reading::EnteringFluid),
    Point::Of(Reading::LeavingFluid),
    Point::Of(Reading::FluidFlow),
    Point::Of(Reading::Power),
    Point::Of(Reading::Fans),
    Point::Of(Reading::SightGlass),
    Point::Of(Reading::ReceiverLevel),
    Point::DischargeSaturated,
    Point::SuctionSaturated,
    Point::Superheat,
    Point::Subcooling,
    Point::Running,
    Point::Share,
    Point::FansTurn,
    Point::Amps,
    Point::Volts,
    Point::Bypass,
    Point::WindFrom,
    Point::WindSpeed,
];

/// What a number is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// A quantity with units.
    Quantity(Kind),
    /// Current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// Degrees of a compass.
    Compass,
    /// A share, or per cent of one.
    Share,
    /// A count, or on and off.
    Count,
}

impl Point {
    /// Its key.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.key(),
            Self::DischargeSaturated => "discharge.saturated",
            Self::SuctionSaturated => "suction.saturated",
            Self::Superheat => "suction.superheat",
            Self::Subcooling => "liquid.subcooling",
            Self::Running => "running",
            Self::Share => "share",
            Self::FansTurn => "fans.turn",
            Self::Amps => "amps",
            Self::Volts => "volts",
            Self::Bypass => "bypass",
            Self::WindFrom => "wind_from",
            Self::WindSpeed => "wind_speed",
        }
    }

    /// In words.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.says(),
            Self::DischargeSaturated => "condensing temperature",
            Self::SuctionSaturated => "evaporating temperature",
            Self::Superheat => "superheat",
            Self::Subcooling => "subcooling",
            Self::Running => "compressors running",
            Self::Share => "share of displacement",
            Self::FansTurn => "fans turning",
            Self::Amps => "compressor current",
            Self::Volts => "voltage",
            Self::Bypass => "hot-gas bypass",
            Self::WindFrom => "wind direction",
            Self::WindSpeed => "wind speed",
        }
    }

    /// SI unit of its value.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Of(reading) => reading.unit(),
            Self::DischargeSaturated | Self::SuctionSaturated | Self::Superheat | Self::Subcooling => "K",
            Self::Amps => "A",
            Self::Volts => "V",
            Self::WindFrom => "deg",
            Self::WindSpeed => "m/s",
            Self::Running | Self::Share | Self::FansTurn | Self::Bypass => "-",
        }
    }

    /// What its numbers are of.
    #[must_use]
    pub fn measured(self) -> Measured {
        match self {
            Self::Superheat | Self::Subcooling => Measured::Quantity(Kind::Difference),
            Self::WindSpeed => Measured::Quantity(Kind::Wind),
            Self::Amps => Measured::Current,
            Self::Volts => Measured::Voltage,
            Self::WindFrom => Measured::Compass,
            Self::Running | Self::FansTurn | Self::Bypass | Self::Of(Reading::SightGlass) => Measured::Count,
            _ => match self.unit() {
                "Pa" => Measured::Quantity(Kind::Pressure),
                "K" => Measured::Quantity(Kind::Temperature),
                "W" => Measured::Quantity(Kind::Power),
                "m3/s" => Measured::Quantity(Kind::VolumeRate),
                _ => Measured::Share,
            },
        }
    }

    /// The point of a key.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        POINTS.iter().copied().find(|point| point.key() == key)
    }
}

/// The words of a name, in small letters: `DischPress_1` is disch, press, 1.
#[must_use]
pub fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut before = ' ';
    for c in name.chars() {
        let begins = (c.is_uppercase() && before.is_lowercase()) || !before.is_alphanumeric();
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
    let high = has(&["disch", "discharge", "dis", "cond", "condenser", "condensing", "high", "head", "hp", "sct", "dp"]);
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
        for point in POINTS {
            assert_eq!(Point::of_key(point.key()), Some(*point));
        }
    }
}
