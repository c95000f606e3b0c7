//! Capacity and power over outdoor temperature, and what takes the capacity from the rating to the design day.

use super::canvas::{Canvas, Drawing, Hatch, Setting, Text};
use super::chart::{Panel, Show, ceil, floor, many, numbered_ticks, step, title};
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::{Circuit, Job};
use crate::survey::{CircuitSurvey, CurvePoint, Derating, PointId};

/// The drawing of a circuit; nothing where its capacity could not be followed.
#[must_use]
pub fn capacity(
    job: &Job,
    (index, circuit, solved): (usize, &Circuit, &CircuitSurvey),
    setting: Setting,
) -> Option<Drawing> {
    let derating = solved.derating.as_ref().filter(|derating| derating.curve.len() > 1)?;
    let design = solved.point(PointId::SummerFull)?;
    let show = Show::of(job);
    let narrow = setting.is_narrow();
    let mut canvas = Canvas::new(&format!("capacity-{}", index + 1), if narrow { 360.0 } else { 760.0 }, setting);
    let words = format!("Capacity and power of circuit {} over outdoor temperature", circuit.name);
    let unit = show.units.temperature_unit();
    let below = match show.units.capacity_unit() {
        "kW" => format!("All compressors on. {unit} outdoors; capacity above, power below, kW."),
        capacity => format!("All compressors on. {unit} outdoors; {capacity} and kW."),
    };
    let top = title(&mut canvas, &words, &below);
    let width = if narrow { 290.0 } else { 400.0 };
    let scene = Scene { show: &show, derating, design: (design.outdoor_K, design.capacity_W, design.power_W) };
    // A load belongs to one circuit only where that is the whole plant.
    let load =
        job.plant.as_ref().filter(|_| job.circuits.len() == 1 && circuit.copies == 1).map(|plant| plant.load.value);
    let high = Rect::new(52.0, top + 34.0, width, 150.0);
    let low = Rect::new(52.0, high.bottom() + 44.0, width, 104.0);
    scene.panel(&mut canvas, &Curve { frame: high, name: "capacity", of: |point| point.capacity_W, level: load });
    scene.panel(&mut canvas, &Curve { frame: low, name: "power", of: |point| point.power_W, level: None });
    let list = if narrow {
        Rect::new(16.0, canvas.bottom() + 14.0, 328.0, 0.0)
    } else {
        Rect::new(490.0, top + 22.0, 254.0, 0.0)
    };
    scene.steps(&mut canvas, list);
    Some(canvas.done(words, scene.says()))
}

struct Scene<'a> {
    show: &'a Show,
    derating: &'a Derating,
    /// Outdoor temperature, capacity and power of the design day.
    design: (f64, f64, f64),
}

/// A curve over outdoor temperature.
struct Curve {
    frame: Rect,
    name: &'static str,
    of: fn(&CurvePoint) -> f64,
    /// A level that the plant asks for, W.
    level: Option<f64>,
}

impl Scene<'_> {
    fn is_capacity(curve: &Curve) -> bool {
        curve.name == "capacity"
    }

    fn value(&self, curve: &Curve, watts: f64) -> f64 {
        if Self::is_capacity(curve) { self.show.capacity(watts) } else { watts / 1e3 }
    }

    fn panel(&self, canvas: &mut Canvas, curve: &Curve) {
        let points: Vec<(f64, f64)> = self
            .derating
            .curve
            .iter()
            .map(|point| (self.show.temperature(point.outdoor_K), self.value(curve, (curve.of)(point))))
            .collect();
        let at_design = if Self::is_capacity(curve) { self.design.1 } else { self.design.2 };
        let design = (self.show.temperature(self.design.0), self.value(curve, at_design));
        let rated = Self::is_capacity(curve).then(|| self.value(curve, self.derating.rated_W));
        let level = curve.level.map(|watts| self.value(curve, watts));
        let values = || points.iter().map(|point| point.1).chain([design.1]).chain(rated).chain(level);
        let (low, high) = (values().fold(f64::INFINITY, f64::min), values().fold(0.0, f64::max));
        let round = step(high - 0.9 * low, 4);
        let x = (points.first().map_or(design.0, |first| first.0), points.last().map_or(design.0, |last| last.0));
        let room = 0.035 * (x.1 - x.0);
        let panel = Panel::new(
            curve.frame,
            (x.0.min(design.0), x.1.max(design.0) + room),
            (floor(low * 0.97, round), ceil(high, round)),
        );
        panel.begin(canvas, curve.name);
        let unit = if Self::is_capacity(curve) { self.show.units.capacity_unit() } else { "kW" };
        canvas.write(Text::new(unit, (curve.frame.x - 36.0, curve.frame.y - 12.0), Type::Strong));
        self.past_the_end(canvas, &panel, Self::is_capacity(curve));
        panel.rows(canvas, &numbered_ticks(&panel.y, 4));
        let columns = numbered_ticks(&panel.x, 8);
        if Self::is_capacity(curve) {
            canvas.line(
                class::THIN,
                (curve.frame.x, curve.frame.bottom()),
                (curve.frame.right(), curve.frame.bottom()),
            );
        }
        panel.columns(canvas, &columns);
        let path: Vec<At> = points.iter().map(|(x, y)| panel.at(*x, *y)).collect();
        let at = panel.at(design.0, design.1);
        canvas.line(class::LIMIT, (at.0, curve.frame.y), (at.0, curve.frame.bottom()));
        canvas.polyline(if Self::is_capacity(curve) { class::CURVE_LIQUID } else { class::CURVE_GAS }, &path);
        canvas.circle(class::INK, at, 4.2);
        canvas.take(Rect::round(at, at, 4.0));
        let level_line = |y: f64| [(curve.frame.x, y), (curve.frame.right(), y)];
        canvas.avoid_along(&path);
        canvas.avoid_along(&[(at.0, curve.frame.y), (at.0, curve.frame.bottom())]);
        for (value, _) in numbered_ticks(&panel.y, 4) {
            canvas.avoid_along(&level_line(panel.y.at(value)));
        }
        let levels = [rated.map(|level| ("rating", level)), level.map(|level| ("load", level))];
        let levels: Vec<(&str, f64)> = levels.into_iter().flatten().collect();
        for (_, value) in &levels {
            let [from, to] = level_line(panel.y.at(*value));
            canvas.line(class::OUTLINE, from, to);
            canvas.avoid_along(&[from, to]);
        }
        let words = self.shown(curve, design.1);
        canvas.write_where_free(&round_point(&words, at));
        for (name, value) in levels {
            let y = panel.y.at(value);
            let words = format!("{name} {}", self.shown(curve, value));
            let along = (0..10_u8).map(|place| curve.frame.x + 5.0 + 0.1 * curve.frame.w * f64::from(place));
            let places = along
                .flat_map(|x| [-5.0, 15.0, -8.0, 18.0].map(|off| Text::new(&words, (x, y + off), Type::Soft).halo()));
            let inside = |text: &Text| text.covers().right() <= curve.frame.right();
            canvas.write_where_free(&places.filter(inside).collect::<Vec<Text>>());
        }
        if Self::is_capacity(curve) {
            let words = format!("design day {}", self.show.units.temperature(self.design.0));
            let foot = curve.frame.bottom() - 6.0;
            let places = [
                Text::new(&words, (at.0 - 6.0, foot), Type::Soft).end().halo(),
                Text::new(&words, (at.0 + 6.0, foot), Type::Soft).halo(),
            ];
            canvas.write_where_free(&places);
        }
        panel.end(canvas);
    }

    /// What lies past the highest outdoor temperature.
    fn past_the_end(&self, canvas: &mut Canvas, panel: &Panel, named: bool) {
        let frame = panel.frame;
        let x = panel.x.at(self.show.temperature(self.derating.highest_outdoor_K));
        canvas.hatched(
            Hatch::Fails,
            &[(x, frame.y), (frame.right(), frame.y), (frame.right(), frame.bottom()), (x, frame.bottom())],
        );
        canvas.line(class::FAILS, (x, frame.y), (x, frame.bottom()));
        if !named {
            return;
        }
        let highest = self.show.units.temperature(self.derating.highest_outdoor_K);
        let lines = if self.derating.highest_is_cutout {
            ["cut-out".to_owned(), format!("trips at {highest}")]
        } else {
            ["refrigerant's".to_owned(), format!("data end at {highest}")]
        };
        for (line, words) in (0_u8..).zip(&lines) {
            let y = frame.y + 14.0 + 15.0 * f64::from(line);
            canvas.write(Text::new(words, (x - 6.0, y), Type::Fails).end().halo());
        }
    }

    /// A value of a curve with its unit.
    fn shown(&self, curve: &Curve, value: f64) -> String {
        let unit = if Self::is_capacity(curve) { self.show.units.capacity_unit() } else { "kW" };
        format!("{value:.1} {unit}")
    }

    /// What takes the capacity from the rating to the design day, as a list with bars.
    fn steps(&self, canvas: &mut Canvas, room: Rect) {
        let units = self.show.units;
        let all: Vec<f64> = [self.derating.rated_W, self.derating.at_design_W]
            .into_iter()
            .chain(self.derating.steps.iter().map(|step| step.change_W))
            .collect();
        let shown: Vec<String> = all.iter().map(|watts| format!("{:.2}", self.show.capacity(*watts))).collect();
        let (ends, changes) = shown.split_at(2.min(shown.len()));
        let mut y = room.y + 14.0;
        canvas.write(Text::new("Rating to design day", (room.x, y), Type::Strong));
        canvas.write(Text::new(units.capacity_unit(), (room.right(), y), Type::Soft).end());
        y += 21.0;
        let row = |canvas: &mut Canvas, words: &str, value: &str, look: Type, y: f64| -> f64 {
            let lines = measure::wrap(words, look, room.w - 62.0);
            canvas.write(Text::new(value, (room.right(), y), look).end());
            for (line, words) in (0_u8..).zip(&lines) {
                canvas.write(Text::new(words, (room.x, y + 16.0 * f64::from(line)), look));
            }
            y + 16.0 * many(lines.len().max(1)) + 4.0
        };
        let [rating, design] = [0, 1].map(|i| ends.get(i).cloned().unwrap_or_default());
        y = row(canvas, "rating", &rating, Type::Plain, y);
        for (step, change) in self.derating.steps.iter().zip(changes) {
            if change.trim_start_matches('-').bytes().all(|b| matches!(b, b'0' | b'.')) {
                continue;
            }
            let change =
                change.strip_prefix('-').map_or_else(|| format!("+{change}"), |size| format!("\u{2212}{size}"));
            y = row(canvas, cause(&step.cause), &change, Type::Plain, y);
        }
        canvas.line(class::OUTLINE, (room.x, y - 14.0), (room.right(), y - 14.0));
        row(canvas, "design day", &design, Type::Strong, y + 3.0);
    }

    fn says(&self) -> String {
        let units = self.show.units;
        let highest = units.temperature(self.derating.highest_outdoor_K);
        let end = if self.derating.highest_is_cutout { "the cut-out trips" } else { "the refrigerant's data end" };
        format!(
            "{} on the design day, {} outdoors, of {} rated; power {} there. At {highest} outdoors {end}.",
            units.capacity(self.design.1),
            units.temperature(self.design.0),
            units.capacity(self.derating.rated_W),
            units.power(self.design.2),
        )
    }
}

/// Places for a value about its point, the nearest first.
fn round_point(words: &str, (x, y): At) -> Vec<Text<'_>> {
    let offs = [18.0, -9.0, 23.0, -14.0, 28.0, -20.0, 34.0, -27.0, 41.0, -34.0];
    let places = offs.into_iter().flat_map(|off| {
        let text = |dx: f64| Text::new(words, (x + dx, y + off), Type::Strong).halo();
        [text(-8.0).end(), text(8.0), text(-22.0).end(), text(22.0)]
    });
    places.collect()
}

/// A cause in the words of a chart.
fn cause(cause: &str) -> &str {
    match cause {
        "outdoor temperature" => "rating to design conditions",
        "discharge-line loss" => "lines, loss and heat",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;

    #[test]
    fn curves_and_the_design_day_stand_at_their_values() {
        for example in ["as-drawn", "long-run-si"] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/{example}.toml"));
            let job = crate::job::open(&path).unwrap();
            let survey = crate::survey::survey(&job).unwrap();
            let (circuit, solved) = (&job.circuits[0], &survey.circuits[0]);
            let svg = capacity(&job, (0, circuit, solved), Setting::ALONE).unwrap().svg();
            let (show, derating) = (Show::of(&job), solved.derating.as_ref().unwrap());
            let shown = Shown::of(&svg, "capacity");
            for (place, point) in shown.curve(class::CURVE_LIQUID).iter().zip(&derating.curve) {
                let (x, y) = shown.values(*place);
                assert!((x - show.temperature(point.outdoor_K)).abs() < 0.2, "{x}");
                assert!((y - show.capacity(point.capacity_W)).abs() < 0.005 * y, "{y}");
            }
            let (x, y) = shown.values(shown.circles(class::INK)[0]);
            assert!((x - show.temperature(job.site.summer.kelvin())).abs() < 0.2);
            assert!((y - show.capacity(derating.at_design_W)).abs() < 0.005 * y);
        }
    }
}
