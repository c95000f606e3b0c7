//! What a drawing of a route says: tags, lengths, sizes.

use crate::draw::measure;
use crate::draw::style::Type;
use crate::job::{Circuit, Job, Line, LineId, Part, Path, ReceiverStyle, Run, Slope, Traps};
use crate::refdata::Tube;
use crate::rules::{Finding, Place, liquid_flash};
use crate::units::System;

/// The tag of a run, its number from 0: `D1`, `L6`.
#[must_use]
pub fn tag(line: LineId, index: usize) -> String {
    format!("{}{}", line.letter(), index + 1)
}

/// A run in words: `level 14 ft`, `double riser 38 ft`, `filter-drier`.
#[must_use]
pub fn run(units: System, run: &Run) -> String {
    let length = |word: &str, metres: f64| {
        let many = match run.tubes.len() {
            0 | 1 => "",
            2 => "double ",
            _ => "parallel ",
        };
        format!("{many}{word} {}", units.length(metres))
    };
    match &run.path {
        Path::Level { length: along, .. } => length("level", along.value),
        Path::Rise { length: up, .. } => length("riser", up.value),
        Path::Drop { length: down } => length("drop", down.value),
        Path::Part(of) => part(units, of),
    }
}

fn part(units: System, part: &Part) -> String {
    let Some(receiver) = part.receiver else { return part.name.clone() };
    let style = match receiver.style {
        ReceiverStyle::Through => "flow-through receiver",
        ReceiverStyle::Surge => "surge receiver",
    };
    receiver.volume.map_or_else(
        || style.to_owned(),
        |volume| format!("{style} {}", units.volume(volume.value).replace("ft3", "ft³")),
    )
}

/// The size of one or more parallel tubes: `2-1/8 OD ACR`, `NPS 2 Sch 40`, `7/8 and 1-3/8 OD ACR`, `2 x 7/8 OD ACR`.
#[must_use]
pub fn size(tubes: &[Tube]) -> String {
    let names: Vec<String> = tubes.iter().map(one_size).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first, rest @ ..] if rest.iter().all(|name| name == first) => format!("{} x {first}", names.len()),
        all => all.join(" and "),
    }
}

fn one_size(tube: &Tube) -> String {
    let number = tube.name.strip_suffix(tube.kind.as_str()).map_or("", str::trim);
    let number = number.strip_suffix("OD").map_or(number, str::trim);
    match tube.kind.as_str() {
        "Sch40" => format!("NPS {number} Sch 40"),
        "Sch80" => format!("NPS {number} Sch 80"),
        "ACR" | "K" | "L" | "M" => format!("{number} OD {}", tube.kind),
        _ => tube.name.clone(),
    }
}

/// What stands behind the size: insulation, or that the tube is bare where air round it counts.
#[must_use]
pub fn cover(units: System, run: &Run) -> Option<String> {
    match &run.path {
        Path::Part(_) => None,
        _ if run.insulation.value > 0.0 => Some(format!("insulated {}", units.small_length(run.insulation.value))),
        _ => run.ambient.map(|_| "bare".to_owned()),
    }
}

/// The size and the cover of a run; nothing for a part.
#[must_use]
pub fn tube(units: System, run: &Run) -> String {
    match &run.path {
        Path::Part(_) => String::new(),
        _ if run.open => "size left open".to_owned(),
        _ => [Some(size(&run.tubes)), cover(units, run)].into_iter().flatten().collect::<Vec<_>>().join(", "),
    }
}

/// The slope of a level run in words, where stated.
#[must_use]
pub fn slope(run: &Run) -> Option<&'static str> {
    match run.path {
        Path::Level { slope: Some(Slope::WithFlow), .. } => Some("falls with flow"),
        Path::Level { slope: Some(Slope::AgainstFlow), .. } => Some("falls against flow"),
        Path::Level { slope: Some(Slope::None), .. } => Some("no slope"),
        _ => None,
    }
}

/// The traps of a riser in words: `trap at foot and top, 1 between`.
#[must_use]
pub fn traps(run: &Run) -> Option<String> {
    let Path::Rise { traps: Traps { foot, top, between }, .. } = &run.path else { return None };
    let ends = match (foot, top) {
        (true, true) => Some("trap at foot, inverted loop at top"),
        (true, false) => Some("trap at foot"),
        (false, true) => Some("inverted loop at top"),
        (false, false) => None,
    };
    let between = match between.len() {
        0 => None,
        1 => Some("1 trap between".to_owned()),
        n => Some(format!("{n} traps between")),
    };
    let words: Vec<String> = ends.map(str::to_owned).into_iter().chain(between).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Everything about a run, for the table and the description.
#[must_use]
pub fn whole(units: System, of: &Run) -> String {
    let room = of.room.as_ref().map(|room| format!("in {room}"));
    let parts = [Some(run(units, of)), traps(of), slope(of).map(str::to_owned), room];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The runs that a finding is about, by number from 1: where gas forms on the way to the valve, those too in which it does.
#[must_use]
pub fn concerned(finding: &Finding) -> Option<(LineId, Vec<usize>)> {
    let Some(Place::Runs(line, numbers)) = &finding.place else { return None };
    let mut numbers = numbers.clone();
    if finding.rule == liquid_flash::RULE.id {
        numbers.extend(finding.says.runs().into_iter().filter(|(named, _)| named == line).map(|(_, number)| number));
        numbers.sort_unstable();
        numbers.dedup();
    }
    Some((*line, numbers))
}

/// Where a finding is, by the tags of the drawing.
#[must_use]
pub fn place(job: &Job, finding: &Finding) -> String {
    let runs = |line: LineId, numbers: &[usize]| ranges(line, numbers);
    if let Some((line, numbers)) = concerned(finding) {
        return runs(line, &numbers);
    }
    match &finding.place {
        None => "circuit".to_owned(),
        Some(Place::Lines(lines)) => {
            lines.iter().map(|(line, numbers)| runs(*line, numbers)).collect::<Vec<_>>().join(", ")
        }
        Some(Place::Line(line)) => format!("{} line", line.name()),
        Some(place) => place.text(job),
    }
}

/// Numbers of runs as tags: `D1, D3`, `L2 to L6`.
fn ranges(line: LineId, numbers: &[usize]) -> String {
    let told = spans(numbers).into_iter().map(|(first, last)| {
        let [a, b] = [first, last].map(|number| tag(line, number.saturating_sub(1)));
        match last - first {
            0 => a,
            1 => format!("{a}, {b}"),
            _ => format!("{a} to {b}"),
        }
    });
    told.collect::<Vec<_>>().join(", ")
}

/// First and last of each unbroken row of numbers.
#[must_use]
pub fn spans(numbers: &[usize]) -> Vec<(usize, usize)> {
    numbers.iter().fold(Vec::new(), |mut spans, number| {
        match spans.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => spans.push((*number, *number)),
        }
        spans
    })
}

/// Where a line ends over where it began, m.
#[must_use]
pub fn climb(line: &Line) -> f64 {
    line.runs.iter().map(|run| run.path.rise_m()).sum()
}

/// The head control in a line, or in two where one does not fit.
#[must_use]
pub fn control(units: System, circuit: &Circuit, room: f64) -> Vec<String> {
    use crate::job::HeadControl::{Fans, Flooding, None as Without};
    let (by, setpoint) = match circuit.condenser.head_control {
        Without => return Vec::new(),
        Fans { setpoint, .. } => ("fans", setpoint),
        Flooding { setpoint } => ("flooding", setpoint),
    };
    let setpoint = format!("setpoint {}", units.temperature(setpoint.kelvin()));
    let line = format!("{by}, {setpoint}");
    if measure::width(&line, Type::Soft) <= room { vec![line] } else { vec![by.to_owned(), setpoint] }
}
