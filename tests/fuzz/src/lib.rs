//! What the targets share: a job as meant, a text in another order, and a drawing made of bytes.

use roofrun::job::{Job, LineId, Written};
use std::fmt::Write;

/// A job as meant: without its text and the places in it.
pub fn meant(mut job: Job) -> String {
    job.text = "".into();
    job.assumptions.sort_by(|a, b| format!("{a:?}").cmp(&format!("{b:?}")));
    for circuit in &mut job.circuits {
        circuit.written = Written::default();
        for side in LineId::BOTH {
            side.of_mut(circuit).runs.iter_mut().for_each(|run| run.fittings.sort());
        }
    }
    format!("{job:?}")
}

/// The same TOML with the keys of every table in the order of the alphabet.
pub fn reordered(text: &str) -> Option<String> {
    toml::to_string(&toml::from_str::<toml::Table>(text.trim_start_matches('\u{feff}')).ok()?).ok()
}

/// A drawing made of bytes: any of them is one.
#[derive(Clone, Debug)]
pub struct Drawing {
    refrigerant: &'static str,
    tons: f64,
    share: f64,
    summer: f64,
    winter: f64,
    subcooling: f64,
    rise: f64,
    discharge: f64,
    liquid: f64,
    tubes: [&'static str; 3],
    head: u8,
    receiver: u8,
    bypass: f64,
    ambient: bool,
    pieces: u8,
    si: bool,
    /// Whether its remedies are tried.
    pub remedies: bool,
}

const SIZES: [&str; 12] = [
    "1/2 ACR", "5/8 ACR", "3/4 ACR", "7/8 ACR", "1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR", "2-5/8 ACR",
    "3-1/8 ACR", "3-5/8 ACR", "4-1/8 ACR",
];

impl Drawing {
    /// Each value from one byte, missing bytes as 0.
    pub fn of(bytes: &[u8]) -> Self {
        let mut bytes = bytes.iter().copied().chain(std::iter::repeat(0));
        let mut next = || bytes.next().unwrap_or_default();
        let names = roofrun::refrigerant::names();
        let refrigerant = names[usize::from(next()) % names.len()];
        let mut within = |from: f64, to: f64| from + (to - from) * f64::from(next()) / 255.0;
        let tons = within(2.0, 70.0);
        let share = within(10.0, 22.0);
        let summer = within(70.0, 120.0);
        let winter = within(-20.0, 60.0);
        let subcooling = within(0.0, 16.0);
        let rise = within(-40.0, 90.0).round();
        let (discharge, liquid) = (within(1.0, 300.0), within(1.0, 300.0));
        let bypass = within(0.0, 0.4);
        let mut size = || SIZES[usize::from(next()) % SIZES.len()];
        let tubes = [size(), size(), size()];
        let (head, receiver, flags) = (next() % 3, next() % 3, next());
        let [ambient, remedies] = [flags & 1 > 0, flags & 14 == 14];
        let pieces = 1 + (flags >> 4) % 5;
        Self {
            refrigerant, tons, share, summer, winter, subcooling, rise, discharge, liquid, tubes, head, receiver, bypass,
            ambient, pieces, si: false, remedies,
        }
    }

    /// The same in one piece: neither the climbs nor the level runs are divided.
    pub fn whole(self) -> Self {
        Self { pieces: 1, ..self }
    }

    /// The same written in SI.
    pub fn in_si(self) -> Self {
        Self { si: true, ..self }
    }

    fn length(&self, feet: f64) -> String {
        if self.si { format!("\"{} m\"", feet * 0.3048) } else { format!("\"{feet} ft\"") }
    }

    fn warm(&self, fahrenheit: f64) -> String {
        if self.si { format!("\"{} °C\"", (fahrenheit - 32.0) / 1.8) } else { format!("\"{fahrenheit} F\"") }
    }

    fn warmer(&self, fahrenheit: f64) -> String {
        if self.si { format!("\"{} K\"", fahrenheit / 1.8) } else { format!("\"{fahrenheit} F\"") }
    }

    fn loss(&self, psi: f64) -> String {
        if self.si { format!("\"{} kPa\"", psi * 6.894_757_293_168) } else { format!("\"{psi} psi\"") }
    }

    fn capacity(&self, tons: f64) -> String {
        if self.si { format!("\"{} kW\"", tons * 3.516_852_842_066_667) } else { format!("\"{tons} ton\"") }
    }

    fn heat(&self, mbh: f64) -> String {
        if self.si { format!("\"{} kW\"", mbh * 0.293_071_070_172_222_2) } else { format!("\"{mbh} MBH\"") }
    }

    fn climb(&self, feet: f64, more: &str) -> String {
        let (way, length) = if feet < 0.0 { ("drop", -feet) } else { ("rise", feet) };
        let piece = self.length(length / f64::from(self.pieces));
        let piece = format!("  {{ {way} = {piece}{more} }},\n");
        if feet == 0.0 { String::new() } else { piece.repeat(usize::from(self.pieces)) }
    }

    /// As a job file.
    pub fn text(&self) -> String {
        let units = if self.si { "si" } else { "ip" };
        let [discharge, riser, liquid] = self.tubes;
        let around = if self.ambient { ", ambient = \"outdoor\"" } else { "" };
        let control = match self.head {
            0 => String::new(),
            1 => format!("head_control = {{ by = \"fans\", setpoint = {}, minimum_air = 0.05 }}", self.warm(80.0)),
            _ => format!("head_control = {{ by = \"flooding\", setpoint = {} }}", self.warm(85.0)),
        };
        let receiver = match self.receiver {
            0 => "",
            1 => "  { part = \"receiver\", style = \"surge\" },\n",
            _ => "  { part = \"receiver\", style = \"through\" },\n",
        };
        let mut text = String::new();
        let _ = write!(
            text,
            "[job]\ntitle = \"drawn\"\nunits = \"{units}\"\n[site]\naltitude = {}\nsummer = {}\nwinter = {}\n",
            self.length(500.0), self.warm(self.summer), self.warm(self.winter)
        );
        let _ = write!(
            text,
            "[[circuit]]\nname = \"A\"\nrefrigerant = \"{}\"\n[circuit.compressors]\ncount = 2\nminimum = 1\n\
             rating = {{ capacity = {}, power = \"{} kW\", suction = {}, condensing = {}, superheat = {}, subcooling = {} }}\n\
             hot_gas_bypass = {{ share = {}, when = \"minimum\" }}\n",
            self.refrigerant, self.capacity(self.tons), self.tons * 1.1, self.warm(40.0), self.warm(115.0),
            self.warmer(10.0), self.warmer(10.0), self.bypass
        );
        let _ = write!(
            text,
            "[circuit.evaporator]\nleaving = {}\napproach = {}\nsuperheat = {}\n[circuit.condenser]\nrejection = {}\n\
             td = {}\npressure_drop = {}\nsubcooling = {}\nelevation = {}\n{control}\n",
            self.warm(45.0), self.warmer(5.0), self.warmer(10.0), self.heat(self.tons * self.share), self.warmer(20.0),
            self.loss(2.0), self.warmer(self.subcooling), self.length(self.rise)
        );
        let _ = write!(
            text,
            "[circuit.valve]\nkind = \"electronic\"\nsubcooling = {}\n[circuit.discharge]\ntube = \"{discharge}\"\nroute = [\n\
             {}  {{ level = {}{around} }},\n]\n",
            self.warmer(3.0), self.climb(self.rise, &format!(", tube = \"{riser}\"{around}")), self.length(self.discharge)
        );
        let level = self.length(self.liquid / f64::from(self.pieces));
        let level = format!("  {{ level = {level}{around} }},\n").repeat(usize::from(self.pieces));
        let _ = write!(
            text,
            "[circuit.liquid]\ntube = \"{liquid}\"\nroute = [\n{receiver}{}{level}  {{ part = \"filter-drier\", pressure_drop = {} }},\n]\n",
            self.climb(-self.rise, ""), self.loss(1.0)
        );
        text
    }
}
