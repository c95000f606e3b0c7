//! Readings and sizes of causes in the units of a job.

use super::cause::Cause;
use crate::job::{Job, Reading};
use crate::units::{System, factor};

/// Job, for what is shown of it.
pub(super) struct Show {
    pub(super) units: System,
    atmosphere: f64,
}

impl Show {
    pub(super) fn of(job: &Job) -> Self {
        Self { units: job.units, atmosphere: job.site.atmosphere.pascals() }
    }

    /// The number of a reading alone.
    pub(super) fn value(&self, reading: Reading, value: f64) -> String {
        match reading {
            Reading::SightGlass => if value > 0.5 { "bubbles" } else { "clear" }.to_owned(),
            Reading::Coil => if value > 0.5 { "dirty" } else { "clean" }.to_owned(),
            Reading::BypassLine => if value > 0.5 { "hot" } else { "cold" }.to_owned(),
            // Between empty and full the level tells nothing.
            Reading::ReceiverLevel if (0.05..0.95).contains(&value) => "10 to 90".to_owned(),
            _ => self.quantity(reading, value).0,
        }
    }

    /// The number of a reading alone, as it was read.
    pub(super) fn read(&self, reading: Reading, value: f64) -> String {
        if reading == Reading::ReceiverLevel { self.quantity(reading, value).0 } else { self.value(reading, value) }
    }

    /// A temperature to three digits, as it is read.
    pub(super) fn temperature(&self, kelvin: f64) -> String {
        let (value, unit) = match self.units {
            System::Ip => (factor::kelvin_to_fahrenheit(kelvin), "F"),
            System::Si => (kelvin - 273.15, "°C"),
        };
        let decimals = usize::from(value.abs() < 99.95 || self.units == System::Si);
        format!("{value:.decimals$} {unit}")
    }

    /// The number and its unit.
    pub(super) fn quantity(&self, reading: Reading, value: f64) -> (String, String) {
        let text = match reading.unit() {
            "Pa" if reading.is_difference() => self.units.pressure_difference(value),
            "Pa" => self.units.pressure_gauge(value, self.atmosphere),
            "K" => self.temperature(value),
            "W" => self.units.power(value),
            "m3/s" => self.units.liquid_flow(value),
            _ => self.units.percent(value),
        };
        match text.rsplit_once(' ') {
            Some((number, unit)) => (number.to_owned(), unit.to_owned()),
            None => (text, String::new()),
        }
    }

    pub(super) fn unit(&self, reading: Reading) -> String {
        match reading {
            Reading::SightGlass | Reading::Coil | Reading::BypassLine => String::new(),
            _ => self.quantity(reading, 300.0).1,
        }
    }

    pub(super) fn whole(&self, reading: Reading, value: f64) -> String {
        self.with_unit(reading, self.value(reading, value))
    }

    pub(super) fn with_unit(&self, reading: Reading, value: String) -> String {
        let unit = self.unit(reading);
        if unit.is_empty() { value } else { format!("{value} {unit}") }
    }

    /// The band beside a value, in its unit.
    pub(super) fn band(&self, reading: Reading, band: f64) -> String {
        match reading.unit() {
            "Pa" if reading.is_difference() => self.quantity(reading, band).0,
            // As the pressure beside it: psi, or bar.
            "Pa" if self.units == System::Si => format!("{:.2}", band / 1e5),
            "Pa" => self.units.pressure_difference_value(band),
            "K" => self.units.difference_value(band),
            "W" => self.units.power_value(band),
            _ => String::new(),
        }
    }

    /// Its unit.
    pub(super) fn band_unit(&self, reading: Reading) -> String {
        match (reading.unit(), self.units) {
            ("Pa", _) if reading.is_difference() => self.unit(reading),
            ("Pa", System::Ip) => "psi".to_owned(),
            ("Pa", System::Si) => "bar".to_owned(),
            ("K", _) => self.units.difference_unit().to_owned(),
            _ => self.unit(reading),
        }
    }

    pub(super) fn size(&self, cause: Cause, size: f64) -> String {
        // Nobody knows it better.
        let percent = || format!("{:.0} %", 100.0 * size);
        let units = self.units;
        match cause {
            Cause::WarmAir => format!("air on the coil {} warmer than the job expects", units.difference(size)),
            Cause::DirtyCoil => format!("dirt that takes {} of the coil's air", percent()),
            Cause::FansOut => format!("{} of the fans' air missing", percent()),
            Cause::HeadControlOpen => "head control that does not act".to_owned(),
            Cause::HeadControlShut => format!("head control that holds {} of the coil's cooling back", percent()),
            Cause::NonCondensables => format!("gas of {} in coil and receiver", units.pressure_difference(size)),
            Cause::Overcharge => format!("{} of the coil full of liquid", percent()),
            Cause::Undercharge => {
                format!("liquid leaves the coil {} less subcooled, or with gas", units.difference(size))
            }
            Cause::LiquidRestriction => {
                format!("{} lost in a part of the liquid line at the rated flow", units.pressure_difference(size))
            }
            Cause::DischargeRestriction => {
                format!("{} lost in the discharge line at the rated flow", units.pressure_difference(size))
            }
            Cause::BypassPassing => format!("{} of the flow through the bypass", percent()),
            Cause::CompressorLeak => format!("{} of the flow back inside the compressors", percent()),
            Cause::ValveShut => format!("{} of the valve's capacity missing", percent()),
            Cause::ValveOpen => format!("superheat {} lower than set", units.difference(size)),
            Cause::LowFluidFlow => format!("{} of the fluid's flow missing", percent()),
            Cause::DirtyEvaporator => format!("{} of the evaporator's surface lost to dirt", percent()),
            Cause::LiquidFlashing => format!("{} of heat into the liquid line", units.heat(size)),
            Cause::Healthy | Cause::WrongSensor => String::new(),
        }
    }
}

/// Names in a sentence, any of which it may be: `Warm air, dirty coil, or fans out`.
pub(super) fn or(names: &[String]) -> String {
    let mut seen: Vec<&String> = Vec::new();
    for name in names {
        if !seen.contains(&name) {
            seen.push(name);
        }
    }
    let text = match seen.as_slice() {
        [] => String::new(),
        [one] => (*one).clone(),
        [one, other] => format!("{one} or {other}"),
        [first @ .., last] => {
            format!("{}, or {last}", first.iter().map(|name| name.as_str()).collect::<Vec<_>>().join(", "))
        }
    };
    capital(&text)
}

/// With a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
