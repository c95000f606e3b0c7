//! What the targets share: a job as meant, a text in another order, and a drawing made of bytes.

use roofrun::job::{Job, LineId, Written};
use std::fmt::Write;

/// A job as meant: without its text and the places in it.
pub fn meant(mut job: Job) -> String {
    job.text = "".into();
    job.assumptions.sort_by_cached_key(|assumption| format!("{assumption:?}"));
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

/// Which of so many costly oracles an input gets: one, always the same.
pub fn turn(text: &str, of: u64) -> u64 {
    let hash = text
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325, |hash: u64, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
    (hash >> 32) % of
}

/// A weather file continued to a full year: the rows that it has come again and again, each at its time.
pub fn full_year(text: &str) -> String {
    const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let lines: Vec<&str> = text.lines().collect();
    let epw = lines.get(8).is_some_and(|line| line.starts_with(|c: char| c.is_ascii_digit()));
    let (head, stamped) = if epw { (8, 4) } else { (2, 2) };
    let mut year: String = lines.iter().take(head).flat_map(|line| [line, "\n"]).collect();
    let rows: Vec<&str> =
        lines.iter().skip(head).filter_map(|line| line.splitn(stamped + 1, ',').nth(stamped)).collect();
    let mut row = rows.iter().cycle();
    for (month, days) in (1..).zip(DAYS) {
        for (day, hour) in (1..=days).flat_map(|day| (1..=24).map(move |hour| (day, hour))) {
            let Some(row) = row.next() else { return year };
            let _ = if epw {
                writeln!(year, "2018,{month},{day},{hour},{row}")
            } else {
                writeln!(year, "{month:02}/{day:02}/1988,{hour:02}:00,{row}")
            };
        }
    }
    year
}

/// What an execution of `solve` asks beside finite numbers and closed energy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Asked {
    /// The same in SI.
    Twin,
    /// The same with its keys in another order.
    Order,
    /// The same with its runs in pieces.
    Pieces,
    /// What mends it, written and undone.
    Remedies,
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
    /// What is asked of it.
    pub asked: Asked,
}

/// Sizes, and their diameters in inches.
const SIZES: [(&str, f64); 12] = [
    ("1/2 ACR", 0.5),
    ("5/8 ACR", 0.625),
    ("3/4 ACR", 0.75),
    ("7/8 ACR", 0.875),
    ("1-1/8 ACR", 1.125),
    ("1-3/8 ACR", 1.375),
    ("1-5/8 ACR", 1.625),
    ("2-1/8 ACR", 2.125),
    ("2-5/8 ACR", 2.625),
    ("3-1/8 ACR", 3.125),
    ("3-5/8 ACR", 3.625),
    ("4-1/8 ACR", 4.125),
];

/// A size about the one that would be drawn, in inches at 1 ton: at most two narrower or three wider, of sixty-four sizes one any. A
/// drawing whose points have no solution takes hundreds of times as long.
fn size(byte: u8, usual: f64, tons: f64) -> &'static str {
    let usual = usual * tons.powf(0.4);
    let near = SIZES.iter().position(|(_, inches)| *inches >= usual).unwrap_or(SIZES.len() - 1);
    let any = usize::from(byte) % SIZES.len();
    let at = if byte < 4 { any } else { (near + usize::from(byte % 6)).saturating_sub(2).min(SIZES.len() - 1) };
    SIZES[at].0
}

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
        let tubes = [size(next(), 0.45, tons), size(next(), 0.45, tons), size(next(), 0.3, tons)];
        let (head, receiver, flags) = (next() % 3, next() % 3, next());
        let ambient = flags & 1 > 0;
        let asked = match flags >> 1 & 31 {
            31 => Asked::Remedies,
            of => [Asked::Twin, Asked::Order, Asked::Pieces][usize::from(of % 3)],
        };
        let pieces = 2 + (flags >> 6);
        Self {
            refrigerant,
            tons,
            share,
            summer,
            winter,
            subcooling,
            rise,
            discharge,
            liquid,
            tubes,
            head,
            receiver,
            bypass,
            ambient,
            pieces,
            si: false,
            asked,
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

    fn climb(&self, feet: f64, pieces: u8, more: &str) -> String {
        let (way, length) = if feet < 0.0 { ("drop", -feet) } else { ("rise", feet) };
        let piece = self.length(length / f64::from(pieces));
        let piece = format!("  {{ {way} = {piece}{more} }},\n");
        if feet == 0.0 { String::new() } else { piece.repeat(usize::from(pieces)) }
    }

    /// As a job file.
    pub fn text(&self) -> String {
        let units = if self.si { "si" } else { "ip" };
        let [discharge, riser, liquid] = self.tubes;
        // Liquid that flashes as it rises grows lighter, and whether a riser takes more pressure than there is, is asked of the
        // liquid at the foot of the run: one that is divided passes where the whole does not.
        let liquid_pieces = if self.rise < 0.0 { 1 } else { self.pieces };
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
            self.length(500.0),
            self.warm(self.summer),
            self.warm(self.winter)
        );
        let _ = write!(
            text,
            "[[circuit]]\nname = \"A\"\nrefrigerant = \"{}\"\n[circuit.compressors]\ncount = 2\nminimum = 1\n\
             rating = {{ capacity = {}, power = \"{} kW\", suction = {}, condensing = {}, superheat = {}, subcooling = {} }}\n\
             hot_gas_bypass = {{ share = {}, when = \"minimum\" }}\n",
            self.refrigerant,
            self.capacity(self.tons),
            self.tons * 1.1,
            self.warm(40.0),
            self.warm(115.0),
            self.warmer(10.0),
            self.warmer(10.0),
            self.bypass
        );
        let _ = write!(
            text,
            "[circuit.evaporator]\nleaving = {}\napproach = {}\nsuperheat = {}\n[circuit.condenser]\nrejection = {}\n\
             td = {}\npressure_drop = {}\nsubcooling = {}\nelevation = {}\n{control}\n",
            self.warm(45.0),
            self.warmer(5.0),
            self.warmer(10.0),
            self.heat(self.tons * self.share),
            self.warmer(20.0),
            self.loss(2.0),
            self.warmer(self.subcooling),
            self.length(self.rise)
        );
        let _ = write!(
            text,
            "[circuit.valve]\nkind = \"electronic\"\nsubcooling = {}\n[circuit.discharge]\ntube = \"{discharge}\"\nroute = [\n\
             {}  {{ level = {}{around} }},\n]\n",
            self.warmer(3.0),
            self.climb(self.rise, self.pieces, &format!(", tube = \"{riser}\"{around}")),
            self.length(self.discharge)
        );
        let level = self.length(self.liquid / f64::from(self.pieces));
        let level = format!("  {{ level = {level}{around} }},\n").repeat(usize::from(self.pieces));
        let _ = write!(
            text,
            "[circuit.liquid]\ntube = \"{liquid}\"\nroute = [\n{receiver}{}{level}  {{ part = \"filter-drier\", pressure_drop = {} }},\n]\n",
            self.climb(-self.rise, liquid_pieces, ""),
            self.loss(1.0)
        );
        text
    }
}
