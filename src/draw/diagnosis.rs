//! What was read against what is expected with its band, and what each leading cause would read.

use super::canvas::{Canvas, Drawing, Setting, Text};
use super::chart::title;
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::diagnose::{Answer, Fitted, Row, lead, leading, named, read_and_expected};
use crate::job::Job;

/// Causes that are drawn beside what was read, where the leading group has no more.
const CAUSES: usize = 3;
/// Causes that are drawn at most.
const MAXIMUM: usize = 4;

/// The drawing of an answer; nothing where nothing was held against it.
#[must_use]
pub fn diagnosis(job: &Job, answer: &Answer, setting: Setting) -> Option<Drawing> {
    if answer.rows.is_empty() {
        return None;
    }
    let narrow = setting.is_narrow();
    let mut canvas = Canvas::new("read", if narrow { 360.0 } else { 760.0 }, setting);
    let words = format!("Read against expected, circuit {}", answer.circuit);
    let below = format!(
        "{} outdoors. Bar: expected with its band (95 %); distances in bands.",
        job.units.temperature(answer.outdoor_K)
    );
    let top = title(&mut canvas, &words, &below);
    let fits = drawn(answer);
    let scene = Scene { job, fits: &fits, bands: bands(answer, &fits), narrow };
    let mut y = top + 12.0;
    for row in &answer.rows {
        y = scene.row(&mut canvas, row, y);
    }
    scene.legend(&mut canvas, y + 18.0);
    let mut y = canvas.bottom() + 8.0;
    for line in measure::wrap(&lead(answer), Type::Strong, canvas.width() - 32.0) {
        y += 17.0;
        canvas.write(Text::new(&line, (16.0, y), Type::Strong));
    }
    let told: Vec<String> = answer.rows.iter().map(|row| told(job, row)).collect();
    Some(canvas.done(words, format!("{} {}", lead(answer), told.join(" "))))
}

/// The causes that are drawn: all of the leading group, as its title names them, and of the next ones where there is room.
fn drawn(answer: &Answer) -> Vec<&Fitted> {
    let group = answer.groups.first().map_or(0, |group| group.fits.iter().filter(|fit| !fit.causes.is_empty()).count());
    leading(answer, group.clamp(CAUSES, MAXIMUM))
}

/// So many bands reach from the middle of a row to its end.
fn bands(answer: &Answer, fits: &[&Fitted]) -> f64 {
    let off = |row: &Row| {
        let made = fits.iter().filter_map(|fit| fit.prediction.of(row.reading));
        made.chain([row.read]).map(|value| distance(row, value).abs()).fold(0.0, f64::max)
    };
    answer.rows.iter().map(off).fold(3.0, f64::max) * 1.08
}

/// How many bands a value is off what is expected.
fn distance(row: &Row, value: f64) -> f64 {
    if row.accuracy > 0.0 { (value - row.expected) / row.accuracy } else { 0.0 }
}

fn told(job: &Job, row: &Row) -> String {
    let [read, expected] = read_and_expected(job, row);
    let within = if row.within() { "within" } else { "outside" };
    format!("{} {read}, expected {expected}: {within} its band.", row.reading.says())
}

struct Scene<'a> {
    job: &'a Job,
    fits: &'a [&'a Fitted],
    bands: f64,
    narrow: bool,
}

impl Scene<'_> {
    /// One reading; where the next begins.
    fn row(&self, canvas: &mut Canvas, row: &Row, y: f64) -> f64 {
        let [read, expected] = read_and_expected(self.job, row);
        let look = if row.within() { Type::Plain } else { Type::Strong };
        let (left, right, line, next) =
            if self.narrow { (20.0, 340.0, y + 34.0, y + 52.0) } else { (282.0, 590.0, y + 18.0, y + 34.0) };
        let text = if self.narrow { y + 16.0 } else { line + 4.0 };
        let name = measure::fit(row.reading.says(), look, if self.narrow { 150.0 } else { 176.0 });
        canvas.write(Text::new(&name, (16.0, text), look));
        canvas.write(Text::new(&read, (if self.narrow { 228.0 } else { 266.0 }, text), look).end());
        canvas.write(Text::new(&expected, (if self.narrow { 346.0 } else { 746.0 }, text), Type::Plain).end());
        let middle = f64::midpoint(left, right);
        let unit = (right - left) / 2.0 / self.bands;
        let at = |value: f64| (middle + unit * distance(row, value), line);
        canvas.rect(class::BAND, Rect::new(middle - unit, line - 8.0, 2.0 * unit, 16.0), 0.0);
        canvas.line(class::HAIR, (left, line), (right, line));
        for end in [middle - unit, middle + unit] {
            canvas.line(class::THIN, (end, line - 8.0), (end, line + 8.0));
        }
        canvas.line(class::OUTLINE, (middle, line - 8.0), (middle, line + 8.0));
        for (cause, fit) in self.fits.iter().enumerate() {
            if let Some(value) = fit.prediction.of(row.reading) {
                cause_mark(canvas, cause, at(value));
            }
        }
        read_mark(canvas, row.within(), at(row.read));
        canvas.reach(next);
        next
    }

    fn legend(&self, canvas: &mut Canvas, y: f64) {
        let mut at = (16.0, y);
        let mut entry = |canvas: &mut Canvas, words: &str, mark: &dyn Fn(&mut Canvas, At)| {
            let width = measure::width(words, Type::Soft) + 44.0;
            if at.0 > 16.0 && at.0 + width > canvas.width() - 12.0 {
                at = (16.0, at.1 + 20.0);
            }
            mark(canvas, (at.0 + 7.0, at.1 - 4.0));
            let words = measure::fit(words, Type::Soft, canvas.width() - at.0 - 34.0).into_owned();
            canvas.write(Text::new(&words, (at.0 + 20.0, at.1), Type::Soft));
            at.0 += width;
        };
        entry(canvas, "read, outside the band", &|canvas, at| read_mark(canvas, false, at));
        entry(canvas, "read, within", &|canvas, at| read_mark(canvas, true, at));
        for (cause, fit) in self.fits.iter().enumerate() {
            entry(canvas, &format!("{} would read", named(fit)), &|canvas, at| cause_mark(canvas, cause, at));
        }
    }
}

const TRIANGLE: &str = "M0-7.5L7 5H-7z";

/// A diamond, filled where it is outside the band.
fn read_mark(canvas: &mut Canvas, within: bool, at: At) {
    let look = if within { class::OUTLINE } else { class::FAILS_FILL };
    canvas.turned(look, "M-6 0L0-6L6 0L0 6z", at, 0.0);
}

/// A ring, a cross, a square, a triangle: one for each cause.
fn cause_mark(canvas: &mut Canvas, cause: usize, at: At) {
    match cause {
        0 => canvas.circle("gas thinner", at, 6.0),
        1 => canvas.turned("liquid thinner", "M-5-5L5 5M-5 5L5-5", at, 0.0),
        2 => canvas.turned("caution", "M-5-5h10v10h-10z", at, 0.0),
        _ => canvas.turned("line", TRIANGLE, at, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn complaint() -> (Job, Answer) {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
        let job = crate::job::open(&root.join("as-drawn.toml")).unwrap();
        let readings = crate::job::open_readings(&root.join("readings/high-head.toml"), &job);
        let answer = crate::diagnose::diagnose(&job, &readings.unwrap()).unwrap();
        (job, answer)
    }

    #[test]
    fn what_was_read_stands_as_many_bands_off_as_it_is() {
        let (job, answer) = complaint();
        let svg = diagnosis(&job, &answer, Setting::ALONE).unwrap().svg();
        let bands = bands(&answer, &drawn(&answer));
        let diamonds: Vec<f64> = svg
            .split("d=\"M-6 0L0-6L6 0L0 6z\" transform=\"translate(")
            .skip(1)
            .filter_map(|rest| rest.split_once(' ')?.0.parse().ok())
            .collect();
        // Two more stand in the legend.
        assert_eq!(diamonds.len(), answer.rows.len() + 2);
        for (x, row) in diamonds.iter().zip(&answer.rows) {
            let off = (x - 436.0) / (154.0 / bands);
            assert!((off - distance(row, row.read)).abs() < 0.05, "{off} for {}", row.reading.says());
        }
        assert!(svg.contains("would read"));
    }

    #[test]
    fn every_cause_of_the_leading_group_is_in_the_chart_and_its_legend() {
        let (job, answer) = complaint();
        let group: Vec<&Fitted> = answer.groups[0].fits.iter().collect();
        assert_eq!(group.len(), MAXIMUM, "four causes read alike here");
        for setting in [Setting::ALONE, Setting { breadth: super::super::Breadth::Narrow, ..Setting::ALONE }] {
            let svg = diagnosis(&job, &answer, setting).unwrap().svg();
            assert_eq!(svg.matches("would read").count(), group.len());
            for fit in &group {
                assert!(svg.contains(&format!(">{} would read<", named(fit))), "{}", named(fit));
            }
            // One in each row that it says something of, one in the legend.
            let told = answer.rows.iter().filter(|row| group[3].prediction.of(row.reading).is_some()).count();
            assert_eq!(svg.matches(TRIANGLE).count(), told + 1);
        }
    }
}
