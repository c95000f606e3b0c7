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

/// Words before the name of a circuit.
const CIRCUIT: &[&str] = &["circuit", "ckt", "cct", "circ", "system", "sys"];

/// The name of a circuit that words speak of, and the words without it: `ckt`, `1b`, `comp` is 1b and comp.
#[must_use]
pub fn parted(words: &[String]) -> (Option<String>, Vec<String>) {
    let is_name = |word: &str| {
        let count = word.chars().count();
        count == 1 || (2..=3).contains(&count) && word.chars().any(|c| c.is_ascii_digit())
    };
    let of = |words: &[String]| -> Option<(String, usize)> {
        let (label, rest) = words.split_first()?;
        let together = CIRCUIT.iter().find_map(|before| label.strip_prefix(before)).filter(|name| is_name(name));
        let apart = rest.first().filter(|name| CIRCUIT.contains(&label.as_str()) && is_name(name));
        together.map(|name| (name.to_owned(), 1)).or_else(|| apart.map(|name| (name.clone(), 2)))
    };
    let found = (0..words.len()).find_map(|at| of(&words[at..]).map(|(name, count)| (name, at, count)));
    match found {
        Some((name, at, count)) => (Some(name), [&words[..at], &words[at + count..]].concat()),
        None => (None, words.to_vec()),
    }
}

/// Whether a name is that of a compressor by its number alone: `C1`, `K2`.
#[must_use]
pub fn compressor_by_number(name: &str) -> bool {
    let number = name.trim().to_lowercase();
    number.strip_prefix(['c', 'k']).is_some_and(|number| number.parse::<u8>().is_ok())
}

/// What is no reading of a machine that runs, whatever else its name says.
const ASIDE: &[&str] = &[
    "setpoint", "setpt", "sp", "target", "alarm", "limit", "hours", "runtime", "starts", "demand", "enable", "reset",
    "lockout", "cutout", "average", "avg",
];

/// The words of a name, to be asked for.
struct Words {
    all: Vec<String>,
    percent: bool,
}

impl Words {
    /// Whether any of some words is among them; longer ones may go on.
    fn has(&self, any: &[&str]) -> bool {
        self.all.iter().any(|word| any.iter().any(|of| word == of || (of.len() > 3 && word.starts_with(of))))
    }

    fn low(&self) -> bool {
        self.has(&["suct", "suction", "evap", "evaporator", "evaporating", "low", "lp", "sst", "ssp"])
    }

    fn high(&self) -> bool {
        self.has(&["disch", "discharge", "dis", "cond", "condenser", "condensing", "high", "head", "hp", "sct", "dp"])
    }

    fn liquid(&self) -> bool {
        self.has(&["liquid", "liq", "ll"])
    }

    fn valve(&self) -> bool {
        self.has(&["valve", "exv", "eev", "txv", "tev", "tx", "expansion"])
    }

    fn pressure(&self) -> bool {
        self.has(&["pressure", "press", "pres", "psig", "psi", "barg", "kpag", "head"])
    }

    fn temperature(&self) -> bool {
        // `Disch F`: the unit says what of the line it is.
        let in_degrees = self.all.last().is_some_and(|unit| ["f", "c"].contains(&unit.as_str()));
        self.has(&["temperature", "temp", "tmp", "degf", "degc", "t"])
            || (in_degrees && (self.low() || self.high() || self.liquid()))
    }

    fn water(&self) -> bool {
        self.has(&["water", "fluid", "glycol", "chw", "chilled", "brine", "chws", "chwr", "ewt", "lwt", "rwt", "swt"])
    }
}

/// What a kind of names says: nothing where the name is none of it, else the point, or that it says too little.
type Spoken = Option<Option<Point>>;

/// What a name says that a column is; none where it says nothing that is known.
#[must_use]
pub fn named(name: &str) -> Option<Point> {
    if let Some(point) = Point::of_key(name.trim()) {
        return Some(point);
    }
    let words = Words { all: parted(&words(name)).1, percent: name.contains('%') };
    if words.has(ASIDE) {
        return None;
    }
    // The first kind that a name speaks of decides, also where it then says too little.
    [derived, pressures, airs, electrics, fluids].iter().find_map(|kind| kind(&words)).unwrap_or_else(|| rest(&words))
}

/// What a controller makes of its readings, and what has a name of its own.
fn derived(words: &Words) -> Spoken {
    let (low, high, pressure) = (words.low(), words.high(), words.pressure());
    if words.has(&["superheat", "sh"]) {
        return Some((!high).then_some(Point::Superheat));
    }
    if words.has(&["subcool", "sc"]) {
        return Some(Some(Point::Subcooling));
    }
    if words.has(&["wind"]) {
        let from = words.has(&["dir", "direction", "from"]);
        return Some(Some(if from { Point::WindFrom } else { Point::WindSpeed }));
    }
    if words.has(&["bypass", "hgbp", "hgb"]) {
        return Some(Some(Point::Bypass));
    }
    if words.has(&["sct"]) || (words.has(&["saturated", "sat", "condensing"]) && high && !pressure) {
        return Some(Some(Point::DischargeSaturated));
    }
    if words.has(&["sst"]) || (words.has(&["saturated", "sat", "evaporating"]) && low && !pressure) {
        return Some(Some(Point::SuctionSaturated));
    }
    if words.has(&["drier", "dryer"]) {
        return Some(Some(Point::Of(Reading::DrierOut)));
    }
    let opening = words.valve() && !pressure && !words.temperature() && !words.has(&["solenoid"]);
    opening.then_some(Some(Point::Of(Reading::ValveOpen)))
}

fn pressures(words: &Words) -> Spoken {
    if !words.pressure() || words.has(&["differential", "diff", "water", "oil", "static"]) {
        return None;
    }
    let reading = match (words.low(), words.liquid(), words.valve(), words.high()) {
        (true, ..) => Reading::SuctionPressure,
        (_, _, true, _) => Reading::ValvePressure,
        (_, true, ..) => Reading::LiquidPressure,
        (.., true) => Reading::DischargePressure,
        _ => return Some(None),
    };
    Some(Some(Point::Of(reading)))
}

/// Air, and the fans that move it.
fn airs(words: &Words) -> Spoken {
    let of = |reading| Some(Some(Point::Of(reading)));
    if words.has(&["outdoor", "outside", "ambient", "oat", "oa", "odt", "oda"]) && !words.has(&["humidity", "rh"]) {
        return of(Reading::Outdoor);
    }
    if words.has(&["fan", "fans"]) && !words.has(&["supply", "return"]) {
        let share = words.has(&["speed", "vfd", "command", "output", "signal"]) || words.percent;
        return if share { of(Reading::Fans) } else { Some(Some(Point::FansTurn)) };
    }
    if !words.has(&["air", "coil"]) || words.water() {
        return None;
    }
    let on = words.has(&["on", "entering", "in", "inlet", "face"]);
    match (on, words.has(&["off", "leaving", "out", "outlet"])) {
        (true, false) => of(Reading::AirOn),
        (false, true) => of(Reading::AirOff),
        _ => Some(None),
    }
}

fn electrics(words: &Words) -> Spoken {
    let of = |reading| Some(Some(Point::Of(reading)));
    if words.has(&["flow", "gpm"]) {
        return of(Reading::FluidFlow);
    }
    if words.has(&["amps", "amp", "current"]) {
        return Some(Some(Point::Amps));
    }
    if words.has(&["volts", "voltage"]) {
        return Some(Some(Point::Volts));
    }
    if words.has(&["power", "kw", "watts"]) && !words.has(&["fan", "pump", "factor"]) {
        return of(Reading::Power);
    }
    if words.has(&["receiver"]) && words.has(&["level"]) {
        return of(Reading::ReceiverLevel);
    }
    if words.has(&["sight", "glass"]) { of(Reading::SightGlass) } else { None }
}

fn fluids(words: &Words) -> Spoken {
    let enters = words.has(&["entering", "return", "in", "inlet", "ewt", "rwt", "chwr"]);
    let leaves = words.has(&["leaving", "supply", "out", "outlet", "lwt", "swt", "chws"]);
    if !words.water() && !((enters || leaves) && words.low() && words.temperature()) {
        return None;
    }
    Some(match (enters, leaves) {
        (true, false) => Some(Point::Of(Reading::EnteringFluid)),
        (false, true) => Some(Point::Of(Reading::LeavingFluid)),
        _ => None,
    })
}

fn numbered(word: &str) -> bool {
    word.chars().any(|c| c.is_ascii_digit())
}

/// What runs, and the temperatures of the circuit.
fn rest(words: &Words) -> Option<Point> {
    let (low, temperature) = (words.low(), words.temperature());
    let compressor = words.has(&["compressor", "compressors", "comp", "comps", "cmp", "cpr"]);
    let state = words.has(&["status", "run", "running", "on", "state", "stage", "stages"]);
    if (compressor && !temperature && !low && state)
        || words.has(&["running"])
        || (words.has(&["stages", "stage"]) && words.has(&["on", "active"]))
    {
        return Some(Point::Running);
    }
    if words.has(&["capacity", "share", "load"]) {
        return Some(Point::Share);
    }
    match (temperature || words.has(&["gas", "line"]), low, words.liquid(), words.high()) {
        (true, true, ..) => Some(Point::Of(Reading::SuctionTemperature)),
        (true, _, true, _) => Some(Point::Of(Reading::LiquidTemperature)),
        (true, .., true) => Some(Point::Of(Reading::DischargeTemperature)),
        // Beside its number and that of its circuit.
        _ if compressor && words.all.iter().filter(|word| !numbered(word)).count() <= 2 && !temperature => {
            Some(Point::Running)
        }
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
            ("Disch F", "discharge.temperature"),
            ("Liq (F)", "liquid.temperature"),
            ("Suct C", "suction.temperature"),
            ("Cond psig", "discharge.pressure"),
            ("SST F", "suction.saturated"),
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
            ("Ckt 1B Comp 1", "running"),
            ("1B Comp 2", "running"),
            ("SYS 2 COMP A", "running"),
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
    fn a_circuit_is_told_by_its_label() {
        let label = |name: &str| parted(&words(name)).0;
        for name in ["Ckt 1B Disch Press", "ckt1b head press", "Disch Press, Circuit 1B", "SYS 1B COMP 1"] {
            assert_eq!(label(name).as_deref(), Some("1b"), "{name}");
        }
        for name in ["Circuit capacity", "System pressure", "Circulation pump 1", "Comp 1"] {
            assert_eq!(label(name), None, "{name}");
        }
    }

    #[test]
    fn a_compressor_may_have_a_number_for_its_name() {
        assert!(["C1", "k2", " C3 "].into_iter().all(compressor_by_number));
        assert!(["C", "1", "CO2", "C-1", "Comp 1"].into_iter().all(|name| !compressor_by_number(name)));
    }

    #[test]
    fn every_point_has_a_key_of_its_own() {
        for point in crate::job::POINTS {
            assert_eq!(named(point.key()), Some(*point));
        }
    }
}
