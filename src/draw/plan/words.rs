//! What a plan says: how it is read, what warms each unit, what its signs mean, and all of it in sentences.

use super::sheet::Sheet;
use crate::draw::canvas::{Canvas, Hatch, Text};
use crate::draw::marks::Numbered;
use crate::draw::measure;
use crate::draw::plane::At;
use crate::draw::style::{Type, class};
use crate::job::{Job, Roof};
use crate::roof::{RoofStudy, WarmAir};
use crate::rules::Finding;

/// The place of a finding.
pub(super) fn place(job: &Job, finding: &Finding) -> String {
    let words = finding.place.as_ref().map(|place| place.text(job)).unwrap_or_default();
    // The names are those of the drawing.
    ["unit ", "listener "].iter().find_map(|kind| words.strip_prefix(kind)).unwrap_or(&words).to_owned()
}

/// How the plan is to be read.
pub(super) fn how(job: &Job, roof: &Roof, study: &RoofStudy) -> String {
    let height = roof.height_m.map(|metres| format!(" {} over the ground", job.units.length(metres)));
    let parapet = (roof.parapet_m > 0.0).then(|| format!(", parapet {}", job.units.rule_length(roof.parapet_m)));
    let edge = match (height, parapet) {
        (None, None) => String::new(),
        (height, parapet) => format!(" Roof{}{}.", height.unwrap_or_default(), parapet.unwrap_or_default()),
    };
    let units = study.clearances.len();
    let what = if units == 1 { "one condenser" } else { "condensers" };
    let unit = job.units.length_unit();
    format!("To scale: {what}, walls and edge as drawn.{edge} Numbers along the sides: x and y of the job, {unit}.")
}

impl Sheet<'_> {
    /// What warms the air of a unit, in lines.
    pub(super) fn warm_lines(&self, warm: &WarmAir) -> Vec<(String, Type)> {
        let units = self.job.units;
        let Some(worst) = &warm.worst else {
            let why = if warm.unknown.is_some() { "warm air not known" } else { "warm air alone" };
            return vec![(why.to_owned(), Type::Strong)];
        };
        let least = if worst.at_least { "≥ " } else { "" };
        let mut lines = vec![(format!("{least}{} warmer air", units.difference(worst.rise_K)), Type::Strong)];
        let wind = worst.wind_from_deg.map(|bearing| format!("wind from {bearing:.0}°: "));
        lines.push((format!("{}own {}", wind.unwrap_or_default(), units.difference(worst.own_K)), Type::Soft));
        if let (Some(other), Some(by)) = (&worst.other, worst.other_K) {
            lines.push((format!("from {other} {}", units.difference(by)), Type::Soft));
        }
        lines
    }

    /// What warms each unit, for those whose box has no room for it.
    pub(super) fn warm_air_in_words(&self, canvas: &mut Canvas, margin: f64) {
        let mut y = canvas.bottom() + 4.0;
        for (index, (unit, warm)) in self.roof.units.iter().zip(&self.study.warm_air).enumerate() {
            let words: Vec<String> = self.warm_lines(warm).into_iter().map(|(words, _)| words).collect();
            let called = if canvas.shows(&tag(index)) { format!("{}, ", tag(index)) } else { String::new() };
            let told = format!("{called}{}: {}", unit.name, words.join(", "));
            if words.first().is_some_and(|first| canvas.shows(&format!("{}: {first}", unit.name))) {
                continue;
            }
            for line in measure::wrap(&told, Type::Plain, canvas.width() - 2.0 * margin) {
                y += 16.0;
                canvas.write(Text::new(&line, (margin, y), Type::Plain));
            }
        }
    }

    /// All of it in sentences.
    pub(super) fn description(&self) -> String {
        let units = self.job.units;
        let rooms = self.study.clearances.iter().map(|clearance| {
            let sides = clearance.faces.iter().filter_map(|face| {
                let (free, what) = (face.free_m?, face.obstacle.as_deref()?);
                let needs =
                    if face.short_m > 0.0 { format!(", needs {}", units.length(face.asked_m)) } else { String::new() };
                Some(format!("{} {} to {what}{needs}", face.side, units.length(free)))
            });
            let sides: Vec<String> = sides.collect();
            let sides = if sides.is_empty() { "nothing before its sides".to_owned() } else { sides.join("; ") };
            format!("Unit {}: {sides}.", clearance.name)
        });
        let warm = self.roof.units.iter().zip(&self.study.warm_air).map(|(unit, warm)| {
            let words: Vec<String> = self.warm_lines(warm).into_iter().map(|(words, _)| words).collect();
            format!("Unit {}: {}.", unit.name, words.join(", "))
        });
        let heard = self.study.heard.iter().map(|heard| {
            let level = |word: &str, found: Option<f64>| found.map(|level| format!("{word} {}", units.level(level)));
            let levels = [level("by day", heard.day_dBA), level("at night", heard.night_dBA)];
            let levels: Vec<String> = levels.into_iter().flatten().collect();
            format!(
                "{} hears {}.",
                heard.name,
                if levels.is_empty() { "what is not known".to_owned() } else { levels.join(", ") }
            )
        });
        rooms.chain(warm).chain(heard).collect::<Vec<_>>().join(" ")
    }
}

/// What stands for the name of a unit that is too small for it; the words under the plan say whose it is.
pub(super) fn tag(index: usize) -> String {
    format!("U{}", index + 1)
}

/// What draws a sample of a legend.
type Sample<'a> = &'a dyn Fn(&mut Canvas, At);

/// What hatches and bars mean.
pub(super) fn legend(canvas: &mut Canvas, roof: &Roof, margin: f64, [fails, warm]: [bool; 2], at_least: bool) {
    let turned = roof.units.iter().any(|unit| unit.rotation_deg != 0.0);
    let corner = if turned {
        "“at”: corner of minimum x and y, unturned"
    } else {
        "“at” of a unit: its corner of minimum x and y"
    };
    let mut x = margin;
    let mut y = canvas.bottom() + 18.0;
    let width = canvas.width();
    let hatch = |hatch: Hatch| {
        move |canvas: &mut Canvas, (x, y): At| {
            canvas.hatched(hatch, &[(x, y - 10.0), (x + 26.0, y - 10.0), (x + 26.0, y + 4.0), (x, y + 4.0)]);
        }
    };
    let bar = |canvas: &mut Canvas, (x, y): At| canvas.line(class::WALL, (x + 18.0, y - 10.0), (x + 18.0, y + 4.0));
    let inlet =
        |canvas: &mut Canvas, (x, y): At| canvas.turned(class::THIN, "M-5-3.5L2 0L-5 3.5", (x + 18.0, y - 3.0), 0.0);
    let wind = |canvas: &mut Canvas, (x, y): At| {
        canvas.line(class::CURVE_GAS, (x, y - 3.0), (x + 20.0, y - 3.0));
        canvas.turned(class::GAS_FILL, "M-6-4.8L6 0L-6 4.8z", (x + 20.0, y - 3.0), 0.0);
    };
    let dot = |canvas: &mut Canvas, (x, y): At| canvas.circle(class::INK, (x + 5.0, y - 4.0), 3.2);
    let none = |_: &mut Canvas, _: At| {};
    let all: [(bool, Sample, f64, &str); 7] = [
        (fails, &hatch(Hatch::Fails), 34.0, "air inlet short of clearance"),
        (warm, &hatch(Hatch::Warm), 34.0, "pit: warm air returns"),
        (true, &inlet, 34.0, "air enters"),
        (true, &bar, 34.0, "controls side"),
        (true, &wind, 34.0, "wind of the warmest air"),
        (true, &dot, 14.0, corner),
        (at_least, &none, 0.0, "≥ too close for the formula: may be more"),
    ];
    for (_, sample, wide, words) in all.iter().filter(|(shown, ..)| *shown) {
        let long = wide + measure::width(words, Type::Plain);
        if x + long > width - margin && x > margin {
            x = margin;
            y += 22.0;
        }
        sample(canvas, (x, y));
        canvas.write(Text::new(words, (x + wide, y), Type::Plain));
        x += long + 22.0;
    }
    canvas.reach(y + 8.0);
}

/// Names what fails and has no place on the plan.
pub(super) fn not_drawn(canvas: &mut Canvas, margin: f64, findings: &[Numbered], marked: &[usize]) {
    let missing: Vec<String> =
        findings.iter().filter(|of| !marked.contains(&of.number)).map(|of| of.number.to_string()).collect();
    if missing.is_empty() {
        return;
    }
    let words = format!("Not marked on the plan: {}.", missing.join(", "));
    let mut y = canvas.bottom() + 6.0;
    for line in measure::wrap(&words, Type::Soft, canvas.width() - 2.0 * margin) {
        y += 15.0;
        canvas.write(Text::new(&line, (margin, y), Type::Soft));
    }
}
