//! A job to start from, made of one that is drawn: for another refrigerant, in other units, with the condenser below.

use super::arguments::New;
use super::screen::Trouble;
use super::state::find;
use crate::job::{Holds, Keys, TABLES, read_open};
use crate::physics::atmosphere::SEA_LEVEL;
use crate::refrigerant::{OutOfRange, Refrigerant};
use crate::size;
use crate::units::factor::{FAHRENHEIT_DEGREE, PSI, fahrenheit_to_kelvin};
use crate::units::{Kind, System, quantity};
use std::path::Path;

/// The job, without what its keys mean.
const JOB: &str = include_str!("starter.toml");
/// The same in few lines.
const SHORT: &str = include_str!("short.toml");

/// What an editor completes and underlines by.
const SCHEMA: &str = "\
#:schema job.schema.json
# By the line above an editor completes keys and underlines mistakes, once the schema is beside this file:
#   roofrun schema job > job.schema.json
";

/// The refrigerant that the job is drawn for.
pub(super) const DRAWN: &str = "R-410A";
/// How far the condenser stands below, where it does; liquid that climbs further flashes with some refrigerants.
const BELOW: &str = "4 ft";
/// Dew temperature whose pressure opens the high-pressure switch, F.
const CUTOUT_F: f64 = 148.0;
/// Setting of the switch over that of the relief valve.
const OF_RELIEF: f64 = 0.9;
/// Minimum pressure difference of the valve over the difference between condensing and suction at the rating.
const OF_DIFFERENCE: f64 = 0.2;

/// The job that is asked for.
pub(super) fn starter(what: &New, units: System) -> Result<String, Trouble> {
    let mut text = if what.short { SHORT } else { JOB }.to_owned();
    let fluid = find(what.refrigerant.as_deref().unwrap_or(DRAWN))?;
    if fluid.name() != DRAWN {
        text = with(&text, fluid).map_err(Trouble::words)?;
    }
    if what.below {
        text = below(&text);
    }
    let si = units == System::Si;
    let as_drawn = fluid.name() == DRAWN && !what.below && !what.short && !what.auto && !si;
    if !as_drawn {
        for tube in ["2-1/8 CuFe", "1-3/8 CuFe"] {
            text = text.replace(&format!("\ntube = \"{tube}\""), "\ntube = \"auto\"");
        }
    }
    if si {
        text = in_si(&text);
    }
    let text = if what.short { text } else { explained(&text) };
    let text = format!("{SCHEMA}{text}");
    if what.auto {
        return Ok(text.replace("# Check it with:  roofrun check", "# Find its tube:  roofrun size"));
    }
    if as_drawn { Ok(text) } else { sized(&text) }
}

/// The job for another refrigerant: its pressures at the same temperatures, and by how much more its glide makes the condenser's
/// temperature difference.
fn with(text: &str, fluid: &Refrigerant) -> Result<String, OutOfRange> {
    let dew = |fahrenheit: f64| fluid.dew_pressure(fahrenheit_to_kelvin(fahrenheit));
    let whole = |psi: f64| format!("{:.0}", (psi / 5.0).ceil() * 5.0);
    let cutout = (dew(CUTOUT_F)? - SEA_LEVEL.pascals()) / PSI;
    let cutout = (cutout / 5.0).floor() * 5.0;
    let drop = OF_DIFFERENCE * (dew(120.0)? - dew(40.0)?) / PSI;
    let condensing = dew(120.0)?;
    let glide = (fluid.dew_p(condensing)?.temperature - fluid.bubble_p(condensing)?.temperature) / FAHRENHEIT_DEGREE;
    let pairs = [
        ("610 psig", format!("{cutout:.0} psig")),
        ("680 psig", format!("{} psig", whole(cutout / OF_RELIEF))),
        ("\"60 psi\"", format!("\"{} psi\"", whole(drop))),
        ("td = \"22 F\"", format!("td = \"{:.0} F\"", 22.0 + glide.ceil())),
        (DRAWN, fluid.name().to_owned()),
    ];
    Ok(pairs.iter().fold(text.to_owned(), |text, (from, to)| text.replace(from, to)))
}

/// The job with its condenser below the chiller, and with one compressor: at part load a blend with glide leaves the coil too
/// little subcooled to climb.
fn below(text: &str) -> String {
    let falls = format!("{{ drop = \"{BELOW}\"");
    let climbs = format!("{{ rise = \"{BELOW}\"");
    text.replace("one circuit to the roof", "one circuit to the yard below")
        .replace("count = 2\nminimum", "count = 1\nminimum")
        .replace("{ count = 2, rating", "{ count = 1, rating")
        .replace("\nelevation = \"38 ft\"", &format!("\nelevation = \"-{BELOW}\""))
        .replace("{ drop = \"38 ft\"", &climbs)
        .replace("{ rise = \"38 ft\", trap = [\"20 ft\"]", &falls)
        .replace("{ rise = \"38 ft\"", &falls)
}

/// The job with the lightest tube that passes.
fn sized(text: &str) -> Result<String, Trouble> {
    let none = || Trouble::words("no tube passes every rule in this job; --auto leaves it open");
    let job = read_open("the new job", text, Path::new(".")).map_err(|faults| Trouble::Text(faults.to_string()))?;
    let sizing = size::size(&job, &size::catalogue(&job)).map_err(|_| none())?;
    if !sizing.complete() {
        return Err(none());
    }
    size::write(text, &sizing.job).map_err(Trouble::words)
}

/// Every quantity in SI units and round in them, under the European code, which metric tube goes with.
fn in_si(text: &str) -> String {
    let line = |line: &str| {
        let mut key = "";
        let pieces = line.split('"').enumerate().map(|(at, piece)| {
            if at % 2 == 1 {
                return si(key, piece).map_or_else(|| format!("\"{piece}\""), |si| format!("\"{si}\""));
            }
            if let Some((before, _)) = piece.rsplit_once(" = ") {
                key = before.rsplit([' ', '{', '#']).next().unwrap_or_default();
            }
            piece.to_owned()
        });
        pieces.collect::<String>()
    };
    let lines: Vec<String> = text.lines().map(line).collect();
    let text = lines.join("\n") + "\n";
    let pairs = [
        ("units = \"ip\"", "units = \"si\""),
        ("# code = \"us\"", "code = \"eu\""),
        ("2-1/8 CuFe", "54 mm CuFe"),
        ("1-3/8 CuFe", "35 mm CuFe"),
        ("7/8 ACR", "22 x 1"),
    ];
    pairs.iter().fold(text, |text, (from, to)| text.replace(from, to))
}

/// A quantity of a key in SI units; none where it is no quantity.
fn si(key: &str, text: &str) -> Option<String> {
    if key.is_empty() {
        return None;
    }
    let of_key = TABLES.iter().filter_map(|keys| match keys.key(key)?.holds {
        Holds::Quantity(kind, _) => Some(kind),
        _ => None,
    });
    let kinds = of_key.chain([Kind::Length, Kind::Temperature, Kind::Velocity]);
    let read = |kind| quantity(text, kind, System::Ip, SEA_LEVEL.pascals()).ok().map(|value| (kind, value));
    let (kind, value) = kinds.into_iter().find_map(read)?;
    let kind = if kind == Kind::RoomVolume && value < 1.0 { Kind::Volume } else { kind };
    Some(round(key, &kind.show(System::Si, value, SEA_LEVEL.pascals())))
}

/// A quantity in SI as one would write it down: whole degrees, half bars, two figures. A relief valve is set above the switch.
fn round(key: &str, shown: &str) -> String {
    let Some((number, unit)) = shown.split_once(' ') else { return shown.to_owned() };
    let Ok(value) = number.parse::<f64>() else { return shown.to_owned() };
    let to = |step: f64| (value / step).round() * step;
    let rounded = match unit {
        "°C" | "K" => to(1.0),
        "barg" if ["setting", "design_pressure"].contains(&key) => (value / 0.5).ceil() * 0.5,
        "barg" => (value / 0.5).floor() * 0.5,
        "m" if key == "altitude" => to(10.0),
        "m" if value < 10.0 => value,
        "m" => to(0.5),
        _ if value.abs() > 0.0 => {
            // 140 and 195, but 42 and 21: what is left out is below 3 %.
            let tens = 10.0_f64.powf(value.abs().log10().floor() - 1.0);
            to(if value.abs() < 2.0 * 10.0 * tens { 0.5 * tens } else { tens })
        }
        _ => value,
    };
    // What is left of binary fractions is no figure.
    format!("{} {unit}", (rounded * 1e6).round() / 1e6)
}

/// The job with what every key means beside it.
fn explained(text: &str) -> String {
    let table = |place: &str| TABLES.iter().copied().find(|keys| keys.place == place);
    let mut keys: Option<&Keys> = None;
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        let bare = line.strip_prefix("# ").unwrap_or(line);
        if bare.starts_with('[') {
            keys = table(bare);
        }
        if line == "RUN_KEYS" {
            let runs = table("a run of a route").map(|keys| keys.all).unwrap_or_default();
            lines.extend(runs.iter().map(|key| format!("#   {:<12} {}", key.name, key.doc)));
            continue;
        }
        let key = bare.split_once(" = ").and_then(|(name, _)| keys?.key(name));
        lines.push(match key.filter(|_| !bare.ends_with(['[', '{'])) {
            Some(key) if line.len() > 60 && bare == line => format!("# {}\n{line}", key.doc),
            Some(key) => format!("{line:<35} # {}", key.doc),
            None => line.to_owned(),
        });
    }
    lines.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Performance, read};
    use crate::rules::{Verdict, check_all};
    use crate::survey::survey;

    fn drawn() -> New {
        New { file: None, refrigerant: None, below: false, auto: false, short: false }
    }

    /// Several of each family: low, medium and high pressure, with and without glide, of every safety group.
    const FLUIDS: [&str; 12] = [
        "R-410A",
        "R-454B",
        "R-32",
        "R-452B",
        "R-134a",
        "R-513A",
        "R-1234ze(E)",
        "R-407C",
        "R-448A",
        "R-454C",
        "R-404A",
        "R-290",
    ];

    #[test]
    fn every_choice_reads_and_passes_or_is_sized() {
        for (fluid, choice) in FLUIDS.iter().flat_map(|fluid| (0..16).map(move |choice| (fluid, choice))) {
            let [below, auto, short, si] = [1, 2, 4, 8].map(|bit| choice & bit != 0);
            let what = New { file: None, refrigerant: Some((*fluid).to_owned()), below, auto, short };
            let units = if si { System::Si } else { System::Ip };
            let text = starter(&what, units).unwrap_or_else(|trouble| panic!("{what:?}: {trouble:?}"));
            let td = text.lines().find(|line| line.starts_with("td = ")).unwrap();
            assert_eq!(td.contains(" F\""), !si, "{what:?}: {td}");
            let name = format!("{what:?}");
            let job = read_open(&name, &text, Path::new(".")).unwrap_or_else(|faults| panic!("{what:?}: {faults}"));
            assert_eq!(job.circuits[0].refrigerant, *fluid);
            assert_eq!(job.circuits[0].condenser.elevation.value < 0.0, below);
            if auto {
                assert!(read(&name, &text, Path::new(".")).is_err());
                assert!(size::size(&job, &size::catalogue(&job)).unwrap().complete(), "{what:?}");
                continue;
            }
            let job = read(&name, &text, Path::new(".")).unwrap();
            let findings = check_all(&job, &survey(&job).unwrap());
            let fails: Vec<_> = findings.iter().filter(|finding| finding.verdict == Verdict::Fail).collect();
            assert!(fails.is_empty(), "{what:?}: {fails:#?}");
        }
    }

    #[test]
    fn a_short_one_is_short() {
        let text = starter(&New { short: true, ..drawn() }, System::Ip).unwrap();
        assert!(text.lines().count() <= 25, "{text}");
    }

    #[test]
    fn the_roof_that_it_explains_reads_and_nothing_of_it_fails() {
        for units in [System::Ip, System::Si] {
            let mut of_roof = false;
            let starter = starter(&drawn(), units).unwrap();
            let lines = starter.lines().map(|line| {
                of_roof |= line == "# [roof]";
                if of_roof { line.trim_start_matches("# ") } else { line }
            });
            let text = lines.collect::<Vec<&str>>().join("\n");
            let job = read("job.toml", &text, Path::new(".")).unwrap();
            let survey = crate::survey::survey(&job).unwrap();
            let site = crate::site::study(&job, &survey, &|_| {}).unwrap();
            assert!(site.roof.is_some());
            let fails: Vec<_> = site.findings.iter().filter(|f| f.verdict == crate::rules::Verdict::Fail).collect();
            assert!(fails.is_empty(), "{fails:#?}");
        }
    }

    #[test]
    fn numbers_are_round_in_si() {
        let cases = [
            ("altitude", "271.3 m", "270 m"),
            ("elevation", "11.6 m", "11.5 m"),
            ("level", "4.3 m", "4.3 m"),
            ("winter", "-16.7 °C", "-17 °C"),
            ("cutout", "42.1 barg", "42 barg"),
            ("setting", "46.9 barg", "47 barg"),
            ("setting", "17.1 barg", "17.5 barg"),
            ("capacity", "141 kW", "140 kW"),
            ("rejection", "193 kW", "195 kW"),
            ("pressure_drop", "20.7 kPa", "21 kPa"),
            ("wall", "1.55 mm", "1.55 mm"),
            ("rated_altitude", "0 m", "0 m"),
            ("title", "two words", "two words"),
        ];
        for (key, shown, rounded) in cases {
            assert_eq!(round(key, shown), rounded, "{key}");
        }
    }

    #[test]
    fn the_map_that_it_explains_reads_in_place_of_the_rating() {
        let mut of_map = false;
        let starter = starter(&drawn(), System::Ip).unwrap();
        let lines = starter.lines().map(|line| {
            of_map |= line == "# map = {";
            let shown = if of_map { line.trim_start_matches("# ") } else { line };
            of_map &= line != "# }";
            if line.starts_with("rating = ") { "" } else { shown }
        });
        let text = lines.collect::<Vec<&str>>().join("\n");
        let job = read("job.toml", &text, Path::new(".")).unwrap();
        assert!(matches!(job.circuits[0].compressors.performance, Performance::Map(_)));
        let survey = crate::survey::survey(&job).unwrap();
        let rating = survey.circuits[0].point(crate::survey::PointId::Rating).unwrap();
        // Some 40 ton, as the rating that it stands for.
        assert!((120e3..160e3).contains(&rating.capacity_W), "{}", rating.capacity_W);
    }

    #[test]
    fn every_key_that_there_is_stands_in_it() {
        let starter = starter(&drawn(), System::Ip).unwrap();
        let words: Vec<&str> = starter.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').collect();
        let missing = |key: &&str| !words.contains(key);
        let all = TABLES.iter().flat_map(|keys| keys.all.iter().map(|key| key.name));
        assert_eq!(all.filter(missing).collect::<Vec<&str>>(), Vec::<&str>::new());
    }
}
